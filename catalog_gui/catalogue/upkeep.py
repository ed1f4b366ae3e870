"""Safety copies and the check, as the ports know them: plain calls that end in sentences."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from pathlib import Path

from catalog_gui.catalogue import backup, check, restore
from catalog_gui.catalogue.check import FindingKind, Moved
from catalog_gui.catalogue.safety_copy import OWN_TAXA
from catalog_gui.catalogue.store import COPIES, Catalogue
from catalog_gui.domain.ledger import Changed
from catalog_gui.domain.problem import Problem

Progress = Callable[[int, int], None]
Cancel = Callable[[], bool]
NAMED = 12


class CatalogueUpkeep:
    """What keeps a catalogue safe. Every call works on its own connection and may run in any thread."""

    def __init__(self, catalogue: Catalogue, own_taxa: Callable[[], Mapping[str, bytes]] = dict) -> None:
        self._catalogue = catalogue
        self._own_taxa = own_taxa
        self._moved: tuple[Moved, ...] = ()

    @property
    def copies(self) -> Path:
        """Where scheduled copies go when the user chose no other place."""
        return self._catalogue.folder / COPIES

    def copy_now(self, target: Path, *, pictures: bool, progress: Progress, cancelled: Cancel) -> str:
        """Make one safety copy; returns what it holds, as a sentence."""
        own, trouble = self._own_files()
        with self._own() as catalogue:
            made = backup.make_copy(
                catalogue,
                target,
                pictures=pictures,
                own_taxa=own,
                progress=progress,
                cancelled=cancelled,
            )
        return _copy_words(made) + trouble

    def copy_when_due(self, folder: Path, *, now: datetime, days: int) -> str:
        """Make a copy if the newest in `folder` is older than `days`; '' when none was due."""
        own, trouble = self._own_files()
        with self._own() as catalogue:
            made = backup.scheduled_copy(catalogue, folder, now=now, every=timedelta(days=days), own_taxa=own)
        return _copy_words(made) + trouble if made is not None else ""

    def _own_files(self) -> tuple[Mapping[str, bytes], str]:
        """The files of the user's own pack; where they cannot be read the copy is made without, and says so."""
        try:
            return self._own_taxa(), ""
        except Problem as problem:
            return {}, f" Left out: your own taxa and values. {problem}"

    def restore(self, archive: Path, folder: Path, *, progress: Progress, cancelled: Cancel) -> str:
        """Put a safety copy into an empty folder; returns how to open it."""
        restore.restore(archive, folder, progress=progress, cancelled=cancelled)
        words = f"The copy stands in {folder}. Choose that folder as the catalogue in the preferences."
        own = folder / OWN_TAXA
        return f"{words} Your own taxa and values stand in {own}." if own.is_dir() else words

    def check(self, *, progress: Progress, cancelled: Cancel) -> tuple[str, tuple[tuple[str, str], ...]]:
        """Look at every hash and link; returns a sentence and (kind, sentence) for each finding."""
        with self._own() as catalogue:
            report = check.check(catalogue, progress=progress, cancelled=cancelled)
        count = len(report.findings)
        words = f"{report.photos} pictures and all links were looked at. "
        words += (
            "Everything is as it should be."
            if not count
            else f"{count} thing{' is' if count == 1 else 's are'} not in order."
        )
        return words, tuple((finding.kind.value, finding.sentence) for finding in report.findings)

    def find_moved(self, folders: Sequence[Path], *, progress: Progress, cancelled: Cancel) -> str:
        """Look in these folders for pictures that are gone from their places; `take_moved` accepts them."""
        with self._own() as catalogue:
            report = check.check(catalogue, read_pictures=False, cancelled=cancelled)
            gone = report.of(FindingKind.GONE)
            self._moved = tuple(
                check.find_moved(catalogue, gone, folders, progress=progress, cancelled=cancelled)
            )
        if not gone:
            return "No picture is missing from its place."
        return f"{len(self._moved)} of {len(gone)} missing pictures were found again by their content."

    def take_moved(self) -> Changed | None:
        """Write the new places of what `find_moved` found, as one step that can be taken back; what it touched."""
        with self._own() as catalogue:
            changed = check.repair_moved(catalogue, self._moved)
        self._moved = ()
        return changed

    def _own(self) -> _Own:
        return _Own(self._catalogue)


class _Own:
    """A connection for this call alone."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._catalogue = catalogue

    def __enter__(self) -> Catalogue:
        self._mine = self._catalogue.another()
        return self._mine

    def __exit__(self, *_: object) -> None:
        self._mine.close()


def _copy_words(made: backup.CopyReport) -> str:
    words = f"Safety copy {made.path.name}: the catalogue, {made.papers} papers"
    words += ", your own taxa and values" if made.own_taxa else ""
    words += f", {made.pictures} pictures" if made.pictures else ""
    words += f", {made.size_bytes / 1e6:.1f} MB."
    if made.left_out:
        named = "; ".join(f"{path}: {reason}" for path, reason in made.left_out[:NAMED])
        words += f" Left out: {named}."
    return words
