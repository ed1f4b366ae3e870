"""Making safety copies: the catalogue in one zip file with a manifest of hashes.

A copy is written beside its final name and appears there only when it is whole. It is for the user alone:
it holds exact places and names, and must not be handed on.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import re
import sqlite3
import zipfile
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import IO, Any

from catalog_gui.catalogue import schema
from catalog_gui.catalogue.safety_copy import (
    BROKEN_ZIP,
    CHUNK,
    FORMAT,
    MANIFEST,
    OWN_TAXA,
    PICTURES,
    VERSION,
    Member,
    Progress,
    Watch,
    is_wrong_name,
)
from catalog_gui.catalogue.sqlite_errors import sentence
from catalog_gui.catalogue.store import CATALOGUE_FILE, PAPERS, Catalogue
from catalog_gui.catalogue.tables import RECORD_TABLES
from catalog_gui.domain.problem import Problem
from catalog_gui.durable import put_in_place

_NAMED_BY_TIME = re.compile(r"finds-\d{4}-\d\d-\d\d-\d{6}\.zip")
_DRAFT = re.compile(r"finds-\d{4}-\d\d-\d\d-\d{6}\.zip(\.sqlite)?(\.part)+(-journal)?")
_LEFT_BEHIND = timedelta(days=1)
_LARGEST_MANIFEST = 256 << 20
FAR_FULLER = 2
"""A copy with more than so many times the rows of a newer one is not pushed out by it."""


@dataclass(frozen=True, slots=True)
class CopyReport:
    """What a copy holds: files, and `rows` of the catalogue.

    `own_taxa`: the tables of the user's own pack. `left_out` are paths with the reason (a vanished picture, an
    impossible name).
    """

    path: Path
    pictures: int
    papers: int
    size_bytes: int
    rows: int = 0
    own_taxa: int = 0
    left_out: tuple[tuple[str, str], ...] = ()


def make_copy(
    catalogue: Catalogue,
    target: Path,
    *,
    pictures: bool = False,
    own_taxa: Mapping[str, bytes] | None = None,
    progress: Progress | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> CopyReport:
    """Write a safety copy to `target`, which must not exist yet; `own_taxa` are the files of the own pack by name.

    `progress` gets bytes done and in all. Originals are only read. Raises Problem for a target that
    exists, a disk that is full or cannot be written, and Cancelled; no half file is left in any case.
    """
    if target.exists():
        raise Problem(
            "There is already a file of this name; nothing was overwritten. Choose another name.",
            path=str(target),
        )
    part = target.with_name(target.name + ".part")
    database = target.with_name(target.name + ".sqlite.part")
    try:
        try:
            part.unlink(missing_ok=True)  # a copy that was killed left it
            schema.copy_file(catalogue.folder / CATALOGUE_FILE, database)
            report = _write(catalogue, part, database, target, pictures, own_taxa or {}, progress, cancelled)
            put_in_place(part, target)
        finally:
            part.unlink(missing_ok=True)
            database.unlink(missing_ok=True)
    except (OSError, sqlite3.Error) as error:
        raise Problem(
            f"{sentence(error)}. The safety copy was not made; choose another place for it, or try again.",
            path=str(target),
        ) from error
    return report


def _write(
    catalogue: Catalogue,
    part: Path,
    database: Path,
    target: Path,
    pictures: bool,
    own_taxa: Mapping[str, bytes],
    progress: Progress | None,
    cancelled: Callable[[], bool] | None,
) -> CopyReport:
    left_out: list[tuple[str, str]] = []
    members: dict[str, Path] = {CATALOGUE_FILE: database}
    papers = dict(_papers(catalogue.papers, left_out))
    members |= papers
    origin: dict[str, str] = {}
    if pictures:
        with catalogue.read() as work:
            photos = work.photos.all()
        for number, photo in enumerate(photos, 1):
            suffix = Path(photo.name).suffix
            name = f"{PICTURES}/{number:06}{suffix if re.fullmatch(r'[.][A-Za-z0-9]{1,5}', suffix) else ''}"
            members[name] = Path(photo.path)
            origin[name] = photo.id
    own = {f"{OWN_TAXA}/{name}": content for name, content in own_taxa.items()}
    total = sum(_size(path) for path in members.values()) + sum(map(len, own.values()))
    rows = _rows(database)
    watch = Watch(total, progress, cancelled)
    written: dict[str, Member] = {}
    with zipfile.ZipFile(part, "x", allowZip64=True) as archive:
        for name, path in members.items():
            try:
                source = path.open("rb")
            except (OSError, ValueError) as error:
                if name == CATALOGUE_FILE:
                    raise
                reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
                left_out.append((str(path), reason))
                continue
            with source:
                written[name] = _pack(archive, name, source, watch)
        for name, content in own.items():
            written[name] = _pack(archive, name, io.BytesIO(content), watch)
        manifest = {
            "format": FORMAT,
            "rows": rows,
            "version": VERSION,
            "revision": schema.HEAD,
            "members": {name: {"size": m.size, "sha256": m.sha256} for name, m in written.items()},
            "photos": {name: photo for name, photo in origin.items() if name in written},
        }
        archive.writestr(MANIFEST, json.dumps(manifest, indent=1), zipfile.ZIP_DEFLATED)
    return CopyReport(
        target,
        pictures=sum(name in written for name in origin),
        papers=sum(name in written for name in papers),
        size_bytes=part.stat().st_size,
        rows=rows,
        own_taxa=sum(name.endswith(".csv") for name in own),
        left_out=tuple(left_out),
    )


def _rows(database: Path) -> int:
    """How many rows all shelves of a catalogue file have together."""
    with contextlib.closing(sqlite3.connect(database)) as connection:
        counts = [connection.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in RECORD_TABLES]  # noqa: S608 - our own names
    return sum(counts)


def _papers(folder: Path, left_out: list[tuple[str, str]]) -> Iterator[tuple[str, Path]]:
    for path in sorted(folder.rglob("*")):
        name = f"{PAPERS}/{path.relative_to(folder).as_posix()}"
        if path.is_symlink():
            left_out.append((str(path), "A link to somewhere else is not copied."))
        elif path.is_file():
            if is_wrong_name(name):
                left_out.append((str(path), "This file name cannot be kept in a copy."))
            else:
                yield name, path


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except (OSError, ValueError):
        return 0


def _pack(archive: zipfile.ZipFile, name: str, source: IO[bytes], watch: Watch) -> Member:
    info = zipfile.ZipInfo(name)
    # Pictures are packed already; trying again costs time and gains nothing.
    info.compress_type = zipfile.ZIP_STORED if name.startswith(f"{PICTURES}/") else zipfile.ZIP_DEFLATED
    digest, size = hashlib.sha256(), 0
    with archive.open(info, "w", force_zip64=True) as sink:
        while chunk := source.read(CHUNK):
            sink.write(chunk)
            digest.update(chunk)
            size += len(chunk)
            watch.on(len(chunk))
    return Member(size, digest.hexdigest())


def scheduled_copy(
    catalogue: Catalogue,
    folder: Path,
    *,
    now: datetime,
    every: timedelta = timedelta(days=7),
    keep: int = 5,
    pictures: bool = False,
    own_taxa: Mapping[str, bytes] | None = None,
    progress: Progress | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> CopyReport | None:
    """Make a copy named by the time in `folder` if the newest there is older than `every`; else None.

    A copy that is dated after `now` was made under a wrong clock: it does not count and is left alone.
    Afterwards only the newest `keep` of the others stay, and of those that went too far back each that is
    far fuller than the new one: an emptied catalogue never pushes out what can be restored. What a killed
    copy left is swept away; no other file is touched. Raises as `make_copy` does.
    """
    name = f"finds-{now:%Y-%m-%d-%H%M%S}.zip"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        sweep(folder, now)
        there = sorted(
            path for path in folder.iterdir() if _NAMED_BY_TIME.fullmatch(path.name) and path.name < name
        )
    except OSError as error:
        raise Problem(
            f"{sentence(error)}. The safety copy was not made; choose another place for it, or try again.",
            path=str(folder),
        ) from error
    if there and there[-1].name > f"finds-{now - every:%Y-%m-%d-%H%M%S}.zip":
        return None
    report = make_copy(
        catalogue,
        folder / name,
        pictures=pictures,
        own_taxa=own_taxa,
        progress=progress,
        cancelled=cancelled,
    )
    for path in [*there, folder / name][: -max(keep, 1)]:
        if not _is_far_fuller(path, report):
            path.unlink(missing_ok=True)
    return report


def sweep(folder: Path, now: datetime) -> None:
    """Take away what copies that were killed left in `folder`: drafts that nobody wrote to for a day."""
    for path in folder.iterdir():
        if _DRAFT.fullmatch(path.name) and path.is_file():
            with contextlib.suppress(OSError):
                if path.stat().st_mtime < (now - _LEFT_BEHIND).timestamp():
                    path.unlink()


def _is_far_fuller(path: Path, made: CopyReport) -> bool:
    """Whether an older copy holds so much more than the new one that it must not go; unreadable ones do not."""
    older = rows_in_copy(path)
    if older is not None:
        return older > FAR_FULLER * made.rows
    mine = _size_of_catalogue(made.path)
    before = _size_of_catalogue(path)  # copies of earlier versions do not say how many rows they hold
    return before is not None and mine is not None and before > mine


def rows_in_copy(path: Path) -> int | None:
    """How many rows the catalogue in a copy has by its manifest; None where it does not say."""
    found = _manifest(path).get("rows")
    return found if isinstance(found, int) else None


def _size_of_catalogue(path: Path) -> int | None:
    try:
        return int(_manifest(path)["members"][CATALOGUE_FILE]["size"])
    except (KeyError, TypeError, ValueError):
        return None


def _manifest(path: Path) -> dict[str, Any]:
    try:
        with zipfile.ZipFile(path) as archive:
            if archive.getinfo(MANIFEST).file_size > _LARGEST_MANIFEST:
                return {}
            found = json.loads(archive.read(MANIFEST))
    except BROKEN_ZIP:
        return {}
    return found if isinstance(found, dict) else {}
