"""Checking the catalogue: every row, every step, every hash, every link, and offers to put right what can be put right.

Checking only reads. Pictures that moved are found again by their content, whatever they are called now;
repairs are ordinary steps, so they can be taken back.
"""

from __future__ import annotations

import hashlib
import os
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence, Set
from contextlib import contextmanager
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import Path
from typing import Any

from sqlalchemy import select

from catalog_gui.annotation.marks import Mark, faults
from catalog_gui.catalogue.damaged import DamagedRow, DamagedStep
from catalog_gui.catalogue.journal import check_rows, step_at, step_images
from catalog_gui.catalogue.repository import mapper_of
from catalog_gui.catalogue.store import Catalogue
from catalog_gui.catalogue.tables import RECORD_TABLES, journal
from catalog_gui.catalogue.unit_of_work import TableUnitOfWork
from catalog_gui.domain.foray import Group
from catalog_gui.domain.ledger import Changed
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import Cancelled

Progress = Callable[[int, int], None]
Cancel = Callable[[], bool]


class FindingKind(StrEnum):
    """What can be wrong."""

    DAMAGED = "damaged file"  # the catalogue file itself
    LINK = "broken link"
    GONE = "picture gone"
    CHANGED = "picture changed"
    UNREADABLE = "picture unreadable"
    NOT_HASHED = "not yet fingerprinted"
    GROUP = "group and picture disagree"
    NUMBER = "number given twice"
    EVIDENCE = "feature written twice"
    ROW = "damaged row"
    STEP = "damaged step"
    MARK = "damaged mark"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is not as it should be, as a sentence. `found_hash` is what was computed, where it was."""

    kind: FindingKind
    sentence: str
    photo_id: str = ""
    path: str = ""
    found_hash: str = ""


@dataclass(frozen=True, slots=True)
class CheckReport:
    """What was looked at, and what was found."""

    photos: int
    bytes_read: int
    findings: tuple[Finding, ...]

    def of(self, *kinds: FindingKind) -> tuple[Finding, ...]:
        """The findings of these kinds."""
        return tuple(finding for finding in self.findings if finding.kind in kinds)


@dataclass(frozen=True, slots=True)
class Moved:
    """A picture that was found again: the same content at another place."""

    photo_id: str
    was: str
    now: str


def check(
    catalogue: Catalogue,
    *,
    read_pictures: bool = True,
    progress: Progress | None = None,
    cancelled: Cancel | None = None,
) -> CheckReport:
    """Look at everything. `progress` gets pictures done and in all; without `read_pictures` only that they
    are there, and their size. Raises Cancelled.
    """
    with catalogue.read() as work, _damaged_text(work):
        findings = [*_database(work)]
        values = _decoded(work, findings)
        findings += [*_journal(work), *_marks(values["marks"]), *_links(work, values)]
        photos = values["photos"]
    total = 0
    for number, photo in enumerate(photos, 1):
        if cancelled is not None and cancelled():
            raise Cancelled
        finding, size = _picture(photo, read=read_pictures)
        total += size
        if finding is not None:
            findings.append(finding)
        if progress is not None:
            progress(number, len(photos))
    return CheckReport(len(photos), total, tuple(findings))


def _database(work: TableUnitOfWork) -> Iterator[Finding]:
    run = work.connection.exec_driver_sql
    for (words,) in run("PRAGMA integrity_check(20)"):
        if words != "ok":
            yield Finding(
                FindingKind.DAMAGED,
                f"The catalogue file is damaged ({words}). Restore a safety copy into an empty folder.",
            )
    for row in run("PRAGMA foreign_key_check"):
        yield Finding(
            FindingKind.LINK, f"A row of '{row[0]}' points at a row of '{row[2]}' that is not there."
        )


@contextmanager
def _damaged_text(work: TableUnitOfWork) -> Iterator[None]:
    """Let texts that are not UTF-8 come as their bytes, so that the rows beside them can be read."""
    driver: Any = work.connection.connection.dbapi_connection
    driver.text_factory = _text_or_bytes
    try:
        yield
    finally:
        driver.text_factory = str


def _text_or_bytes(cell: bytes) -> str | _NoText:
    try:
        return cell.decode()
    except UnicodeDecodeError:
        return _NoText(cell)


class _NoText(bytearray):
    """A text cell that cannot be decoded."""


def _decoded(work: TableUnitOfWork, findings: list[Finding]) -> dict[str, list[Any]]:
    """Table to the values of every row that can be decoded; of each of the others there is a finding."""
    values: dict[str, list[Any]] = {}
    for name, table in RECORD_TABLES.items():
        shape = mapper_of(name)
        kept = values[name] = []
        order = [table.c.path, table.c.seq] if name == "photos" else [table.c.seq]
        for row in work.connection.execute(select(*shape.selected).order_by(*order)):
            try:
                kept.append(shape.value(row))
            except DamagedRow as problem:
                findings.append(Finding(FindingKind.ROW, problem.reason))
    return values


def _journal(work: TableUnitOfWork) -> Iterator[Finding]:
    """Every step, and every row that it made or took away."""
    for step, label, at, blob in work.connection.execute(
        select(journal.c.id, journal.c.label, journal.c.at, journal.c.images).order_by(journal.c.id)
    ):
        try:
            step_at(step, label, at)
            check_rows(step, label, step_images(step, label, blob))
        except DamagedStep as problem:
            yield Finding(FindingKind.STEP, problem.reason)


def _marks(marks: Sequence[Mark]) -> Iterator[Finding]:
    """Every mark, whether it can be drawn and measured with."""
    for mark in marks:
        for fault in faults(mark):
            yield Finding(
                FindingKind.MARK,
                f"The mark '{mark.id}' of the table 'marks' is damaged: {fault} Delete it on its picture and "
                "draw it again, or restore a safety copy into an empty folder.",
                mark.photo_id,
            )


def _links(work: TableUnitOfWork, values: Mapping[str, Sequence[Any]]) -> Iterator[Finding]:
    """Links that the tables cannot guard by themselves."""
    groups: Sequence[Group] = values["groups"]
    belongs: dict[str, Photo] = {photo.id: photo for photo in values["photos"]}
    for group in groups:
        for photo_id in group.photos:
            photo = belongs.get(photo_id)
            if photo is None:
                yield Finding(
                    FindingKind.GROUP, "A group lists a picture that is not in the catalogue.", photo_id
                )
            elif photo.group_id != group.id:
                yield Finding(
                    FindingKind.GROUP,
                    f"A group lists the picture '{photo.name}', which belongs elsewhere.",
                    photo_id,
                    photo.path,
                )
    listed = {(group.id, photo_id) for group in groups for photo_id in group.photos}
    for photo in belongs.values():
        if photo.group_id and (photo.group_id, photo.id) not in listed:
            yield Finding(
                FindingKind.GROUP,
                f"The picture '{photo.name}' belongs to a group that does not list it.",
                photo.id,
                photo.path,
            )
    numbers = Counter(specimen.number for specimen in values["specimens"] if specimen.number)
    for number, count in numbers.items():
        if count > 1:
            yield Finding(FindingKind.NUMBER, f"{count} specimens have the number {number}.")
    rows = work.connection.exec_driver_sql(
        "SELECT s.number, e.feature, count(*) FROM evidence AS e JOIN specimens AS s ON s.id = e.specimen_id"
        " GROUP BY e.specimen_id, e.feature, e.fruit_body HAVING count(*) > 1"
    )
    for number, feature, count in rows:
        yield Finding(FindingKind.EVIDENCE, f"Specimen {number} has '{feature}' written {count} times.")


def _picture(photo: Photo, *, read: bool) -> tuple[Finding | None, int]:
    """What is wrong with one picture, and how many bytes were read of it."""

    def finding(kind: FindingKind, words: str, found: str = "") -> Finding:
        return Finding(kind, words, photo.id, photo.path, found)

    try:
        size = os.stat(photo.path).st_size  # noqa: PTH116  (a path may hold what pathlib refuses, a NUL say)
        digest = _hashed(photo.path) if read else ""
    except FileNotFoundError:
        return finding(FindingKind.GONE, "The picture is not where it was; it may have moved."), 0
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        return finding(FindingKind.UNREADABLE, f"The picture cannot be read: {reason}."), 0
    if photo.content_hash and (digest or photo.content_hash) != photo.content_hash:
        return finding(FindingKind.CHANGED, "The file is not the picture that was taken in.", digest), size
    if photo.size_bytes and size != photo.size_bytes:
        return finding(
            FindingKind.CHANGED, "The file has another size than when it was taken in.", digest
        ), size
    if not photo.content_hash:
        return finding(FindingKind.NOT_HASHED, "Its fingerprint was not yet taken.", digest), size
    return None, size if read else 0


def _hashed(path: str | Path) -> str:
    with open(path, "rb") as source:  # noqa: PTH123  (as above)
        return hashlib.file_digest(source, "sha256").hexdigest()


def find_moved(
    catalogue: Catalogue,
    findings: Iterable[Finding],
    places: Sequence[str | Path],
    *,
    progress: Progress | None = None,
    cancelled: Cancel | None = None,
) -> tuple[Moved, ...]:
    """Look below `places` for the pictures that are gone or changed, by content.

    Only files of the right size (or, where the size was never kept, any) are read. `progress` gets files
    looked at and 0, because nobody knows how many there are. A picture without a content hash cannot be
    recognised. Raises Cancelled.
    """
    lost = [f.photo_id for f in findings if f.kind in (FindingKind.GONE, FindingKind.CHANGED)]
    with catalogue.read() as work:
        photos = [photo for photo in work.photos.where(id=lost) if photo.content_hash]
    by_hash: dict[str, list[Photo]] = defaultdict(list)
    for photo in photos:
        by_hash[photo.content_hash].append(photo)
    sizes = {photo.size_bytes for photo in photos}
    found: dict[str, Moved] = {}
    for number, path in enumerate(_files(places), 1):
        if cancelled is not None and cancelled():
            raise Cancelled
        if len(found) == len(photos):
            break
        for photo in _recognised(path, by_hash, sizes):
            kept = found.get(photo.id)
            if kept is None or (path.name == photo.name and Path(kept.now).name != photo.name):
                found[photo.id] = Moved(photo.id, photo.path, str(path))
        if progress is not None:
            progress(number, 0)
    return tuple(found.values())


def _files(places: Sequence[str | Path]) -> Iterator[Path]:
    for place in places:
        for folder, folders, names in os.walk(place):
            folders.sort()
            for name in sorted(names):
                yield Path(folder, name)


def _recognised(path: Path, by_hash: Mapping[str, Sequence[Photo]], sizes: Set[int]) -> Sequence[Photo]:
    try:
        if not path.is_file() or not (0 in sizes or path.stat().st_size in sizes):
            return ()
        return by_hash.get(_hashed(path), ())
    except OSError:
        return ()


def repair_moved(catalogue: Catalogue, moved: Iterable[Moved]) -> Changed | None:
    """Write down where the pictures are now, as one step; None when there was nothing to do."""
    places = {one.photo_id: one.now for one in moved}
    with catalogue.step("Pictures found again") as work:
        work.photos.put(
            *(replace(photo, path=places[photo.id]) for photo in work.photos.where(id=list(places)))
        )
    return _done(catalogue)


def repair_fingerprints(catalogue: Catalogue, findings: Iterable[Finding]) -> Changed | None:
    """Keep the content hashes that the check computed for pictures that had none. Not a step to take back."""
    hashes = {f.photo_id: f.found_hash for f in findings if f.kind is FindingKind.NOT_HASHED and f.found_hash}
    with catalogue.step("Fingerprints", undoable=False) as work:
        work.photos.put(
            *(replace(photo, content_hash=hashes[photo.id]) for photo in work.photos.where(id=list(hashes)))
        )
    return _done(catalogue)


def repair_groups(catalogue: Catalogue) -> Changed | None:
    """Make groups list exactly the pictures that say they belong to them, as one step.

    What a picture says counts; the order of a group's list is kept, and newcomers come last by time.
    """
    with catalogue.step("Groups put right") as work:
        members: dict[str, dict[str, Photo]] = defaultdict(dict)
        for photo in work.photos.all():
            members[photo.group_id][photo.id] = photo
        groups: list[Group] = []
        for group in work.groups.all():
            mine = members.get(group.id, {})
            kept = [photo_id for photo_id in dict.fromkeys(group.photos) if photo_id in mine]
            new = sorted(
                (photo for photo in mine.values() if photo.id not in kept),
                key=lambda photo: (str(photo.written.local or "9"), photo.path),
            )
            groups.append(replace(group, photos=(*kept, *(photo.id for photo in new))))
        work.groups.put(*groups)
    return _done(catalogue)


def _done(catalogue: Catalogue) -> Changed | None:
    change = catalogue.last_change
    return change if change is not None and change.ids else None
