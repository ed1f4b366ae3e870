"""Reads what the Catalogue page shows: pages of a search, the forays with their figures, what is still to do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from catalog_gui.domain.foray import Foray
from catalog_gui.domain.ledger import ForayCount, Found, FoundOrder
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Specimen, Task
from catalog_gui.workflows.ports import Records


@dataclass(frozen=True, slots=True)
class FoundPage:
    """One page of a search: rows from `offset` on, their covers by photo id; `total` and `notes` of all of it."""

    offset: int
    rows: tuple[Found, ...]
    covers: Mapping[str, Photo]
    total: int = 0
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Outings:
    """The forays, newest first, and by id what each came to."""

    forays: tuple[Foray, ...] = ()
    counts: Mapping[str, ForayCount] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class OpenTasks:
    """Tasks that are open, due first, each with its specimen; `zones` by foray id, `more` where some are left."""

    lines: tuple[tuple[Task, Specimen | None], ...] = ()
    zones: Mapping[str, str] = field(default_factory=dict)
    more: bool = False


def read_page(records: Records, text: str, order: FoundOrder, offset: int, limit: int) -> FoundPage:
    """Read a page of a search, with the count and the notes of the whole search."""
    page = read_rows(records, text, order, offset, limit)
    return FoundPage(offset, page.rows, page.covers, records.search_count(text), records.search_notes(text))


def read_rows(records: Records, text: str, order: FoundOrder, offset: int, limit: int) -> FoundPage:
    """Read a further page of a search whose count is known."""
    rows = records.search(text, limit=limit, offset=offset, order=order)
    wanted = tuple({row.cover_photo for row in rows if row.cover_photo})
    with records.read() as work:
        covers = {photo.id: photo for photo in work.photos.where(id=wanted)} if wanted else {}
    return FoundPage(offset, rows, covers)


def read_outings(records: Records) -> Outings:
    """Read every foray with its figures."""
    with records.read() as work:
        forays = work.forays.all()
    dated = sorted(forays, key=lambda one: one.started.isoformat() if one.started else "")
    return Outings(tuple(reversed(dated)), dict(records.foray_counts()))


def read_tasks(records: Records, most: int) -> OpenTasks:
    """Read at most so many open tasks."""
    tasks = records.open_tasks(limit=most + 1)
    with records.read() as work:
        found = work.specimens.where(id=tuple({task.specimen_id for task in tasks}))
        forays = work.forays.where(id=tuple({one.foray_id for one in found if one.foray_id}))
    specimens = {one.id: one for one in found}
    return OpenTasks(
        tuple((task, specimens.get(task.specimen_id)) for task in tasks[:most]),
        {foray.id: foray.time_zone for foray in forays},
        len(tasks) > most,
    )


def find_one(records: Records, specimen_id: str) -> Found | None:
    """Find the line of one specimen, as a search would list it; None where it is gone."""
    with records.read() as work:
        specimen = work.specimens.get(specimen_id)
    number = specimen.number if specimen is not None else ""
    rows = records.search(f'number: "{number}"', limit=20) if number else ()
    return next((row for row in rows if row.specimen_id == specimen_id), None)
