"""The user's own pack: a folder of plain tables that the program may write to, one whole step at a time.

A step changes several tables and must never be half there. It is written down whole first (one file,
renamed into place when it is on the disk), then the tables follow, each renamed into place; whoever opens
the folder after a kill finishes a step that was written down. Before anything counts, the reader has read
the tables as they will be: what it refuses, with file, line and column, is never written.

The steps stay beside the tables in the folder `steps`, so that the last ones can be taken back, today or
after a restart. A step is only taken back while its tables still are what it left: what the user changed in
another program since is never overwritten.
"""

from __future__ import annotations

import base64
import contextlib
import json
import os
import zlib
from collections.abc import Iterable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from catalog_gui.domain.pack_edit import PackStep, RowEdit
from catalog_gui.domain.problem import PackRefused
from catalog_gui.durable import write_whole
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.packs.columns import TABLES
from catalog_gui.packs.csv_edit import edited, form_of, rows_of
from catalog_gui.packs.plain_file import read_plain
from catalog_gui.packs.reader import read_packs, tables_in

STEPS = "steps"
KEPT_STEPS = 200
"""So many steps can be taken back; older ones are forgotten."""

_UNFINISHED = "unfinished.json"
_READINGS = 20
Texts = dict[str, bytes | None]


class OwnPackFolder:
    """Ours and the user's together. `shipped` is our pack; `folder` is the user's and need not exist yet."""

    def __init__(self, shipped: Path, folder: Path) -> None:
        self._shipped = shipped
        self._folder = folder
        self._known: dict[str, tuple[int, PackStep]] = {}  # file name: when it was written, what it says

    @property
    def folder(self) -> Path:
        """Where the user's tables stand, or will stand."""
        return self._folder

    def read(self) -> Reference:
        """Ours with the user's on top. Raises PackRefused naming file, line and column."""
        self._finish()
        return self._read({})

    def rows(self, table: str) -> tuple[Mapping[str, str], ...]:
        """The user's rows of a table, cells by column. Raises PackRefused for what cannot be read."""
        header, rows = rows_of(self._folder / form_of(table).file)
        return tuple(dict(zip(header, cells, strict=False)) for cells in rows)

    def change(
        self, label: str, edits: Iterable[RowEdit], *, at: datetime, place: str = "", after: int = 0
    ) -> Reference:
        """Make all the edits as one step, or none of them; returns the reference as it is then.

        Raises PackRefused (file, line, column) for what the reader would refuse, and for a folder that
        cannot be written; BadInput for an edit that fits no table. Nothing is changed then.
        """
        self._finish()
        by_file: dict[str, list[RowEdit]] = {}
        for edit in edits:
            by_file.setdefault(form_of(edit.table).file, []).append(edit)
        texts: Texts = {file: edited(self._folder / file, some) for file, some in by_file.items()}
        before = {file: self._text(file) for file in texts}
        texts = {file: text for file, text in texts.items() if text != before[file]}
        reference = self._read(texts)
        if texts:
            self.forget_undone()
            number = max((step.number for step in self.steps()), default=0) + 1
            step = PackStep(number, label, at, place, after)
            self._write(texts, _StepFile(step, {f: before[f] for f in texts}, texts))
            for old in self.steps()[KEPT_STEPS:]:
                self._step_path(old.number).unlink(missing_ok=True)
        return reference

    def files(self) -> dict[str, bytes]:
        """All that the folder holds of the pack, by name: tables, and steps that can be taken back.

        Read until two readings agree, so that a change made meanwhile is in it whole or not at all. Raises
        PackRefused for what cannot be read.
        """
        before = self._files()
        for _ in range(_READINGS):
            now = self._files()
            if now == before:
                return now
            before = now
        raise PackRefused("Your own pack is being changed; try again in a moment.", path=str(self._folder))

    def _files(self) -> dict[str, bytes]:
        wanted = [self._folder / form.file for form in TABLES]
        with contextlib.suppress(OSError):
            wanted += sorted((self._folder / STEPS).glob("*.step"))
        wanted.append(self._folder / STEPS / _UNFINISHED)
        found = {}
        for path in wanted:
            if path.is_file():
                with contextlib.suppress(FileNotFoundError):
                    try:
                        found[path.relative_to(self._folder).as_posix()] = read_plain(path)
                    except FileNotFoundError:
                        raise
                    except OSError as problem:
                        reason = problem.strerror or type(problem).__name__
                        raise PackRefused(
                            f"Your own pack cannot be read: {reason}.", path=str(path)
                        ) from problem
        return found

    def steps(self) -> tuple[PackStep, ...]:
        """Newest first, those taken back included while they can be done again."""
        found = {}
        with contextlib.suppress(OSError), os.scandir(self._folder / STEPS) as entries:
            for entry in entries:
                if entry.name.endswith(".step"):
                    with contextlib.suppress(OSError, ValueError, KeyError):
                        written = entry.stat().st_mtime_ns
                        before = self._known.get(entry.name)
                        found[entry.name] = (
                            before
                            if before is not None and before[0] == written
                            else (written, _StepFile.read(Path(entry.path)).step)
                        )
        self._known = found
        return tuple(sorted((step for _, step in found.values()), key=lambda step: -step.number))

    def undo(self) -> tuple[PackStep, Reference] | None:
        """Take back the newest step that is not undone; None without one.

        Raises PackRefused when a table was changed outside since, or would not be read any more.
        """
        self._finish()
        return self._move(next((step for step in self.steps() if not step.undone), None), back=True)

    def redo(self) -> tuple[PackStep, Reference] | None:
        """Do again the step that was taken back last; None without one."""
        self._finish()
        return self._move(next((step for step in reversed(self.steps()) if step.undone), None), back=False)

    def forget_undone(self) -> None:
        """Another change was made: what was taken back cannot be done again."""
        for step in self.steps():
            if step.undone:
                self._step_path(step.number).unlink(missing_ok=True)

    def _move(self, step: PackStep | None, *, back: bool) -> tuple[PackStep, Reference] | None:
        if step is None:
            return None
        kept = _StepFile.read(self._step_path(step.number))
        now, wanted = (kept.after, kept.before) if back else (kept.before, kept.after)
        for file, text in now.items():
            if self._text(file) != text:
                raise PackRefused(
                    f"The table was changed outside the program, so '{step.label}' was left as it is.",
                    path=str(self._folder / file),
                )
        reference = self._read(wanted)
        moved = PackStep(step.number, step.label, step.at, step.place, step.after, undone=back)
        self._write(wanted, _StepFile(moved, kept.before, kept.after))
        return moved, reference

    def _read(self, texts: Mapping[str, bytes | None]) -> Reference:
        drafts = {self._folder / file: text for file, text in texts.items()}
        hers = [self._folder] if tables_in(self._folder, drafts) else []
        return read_packs(self._shipped, *hers, drafts=drafts)

    def _text(self, file: str) -> bytes | None:
        try:
            return read_plain(self._folder / file)
        except FileNotFoundError:
            return None
        except OSError as problem:
            raise _refused(problem, self._folder / file) from problem

    def _step_path(self, number: int) -> Path:
        return self._folder / STEPS / f"{number:06d}.step"

    def _write(self, texts: Texts, kept: _StepFile) -> None:
        """Written down whole, then carried out."""
        try:
            (self._folder / STEPS).mkdir(parents=True, exist_ok=True)
            _put(self._folder / STEPS / _UNFINISHED, kept.packed(texts))
        except OSError as problem:
            raise _refused(problem, self._folder) from problem
        self._finish()

    def _finish(self) -> None:
        """Carry out a step that is written down. Can be done any number of times."""
        note = self._folder / STEPS / _UNFINISHED
        try:
            if not note.exists():
                return
            kept, texts = _StepFile.unpacked(read_plain(note))
            for form in TABLES:
                if form.file in texts:
                    _put(self._folder / form.file, texts[form.file])
            _put(self._step_path(kept.step.number), kept.packed(None))
            note.unlink()
        except OSError as problem:
            raise _refused(problem, self._folder) from problem
        except (ValueError, KeyError) as problem:
            raise PackRefused("The note of an unfinished change cannot be read.", path=str(note)) from problem


class _StepFile:
    """A step with its tables before and after, as it lies on the disk: compressed JSON."""

    def __init__(self, step: PackStep, before: Mapping[str, bytes | None], after: Mapping[str, bytes | None]):
        self.step = step
        self.before = dict(before)
        self.after = dict(after)

    def packed(self, texts: Texts | None) -> bytes:
        step = self.step
        plain = {
            "number": step.number,
            "label": step.label,
            "at": step.at.isoformat(),
            "place": step.place,
            "after_step": step.after,
            "undone": step.undone,
            "before": _plain(self.before),
            "after": _plain(self.after),
            "to_write": _plain(texts) if texts is not None else None,
        }
        return zlib.compress(json.dumps(plain).encode("utf-8"))

    @classmethod
    def unpacked(cls, blob: bytes) -> tuple[_StepFile, Texts]:
        try:
            plain: dict[str, Any] = json.loads(zlib.decompress(blob))
        except zlib.error as problem:
            raise ValueError(str(problem)) from problem
        step = PackStep(
            int(plain["number"]),
            str(plain["label"]),
            datetime.fromisoformat(plain["at"]),
            str(plain["place"]),
            int(plain["after_step"]),
            undone=bool(plain["undone"]),
        )
        return cls(step, _texts(plain["before"]), _texts(plain["after"])), _texts(plain["to_write"] or {})

    @classmethod
    def read(cls, path: Path) -> _StepFile:
        return cls.unpacked(read_plain(path))[0]


def _plain(texts: Mapping[str, bytes | None]) -> dict[str, str | None]:
    return {
        file: base64.b64encode(text).decode("ascii") if text is not None else None
        for file, text in texts.items()
    }


def _texts(plain: Mapping[str, str | None]) -> Texts:
    return {file: base64.b64decode(text) if text is not None else None for file, text in plain.items()}


def _put(path: Path, content: bytes | None) -> None:
    """A file that is there whole or not at all, and on the disk when this returns; None takes it away."""
    if content is None:
        path.unlink(missing_ok=True)
        return
    write_whole(path, content)


def _refused(problem: OSError, path: Path) -> PackRefused:
    reason = problem.strerror or type(problem).__name__
    return PackRefused(f"Your own pack cannot be written: {reason}. Nothing was changed.", path=str(path))
