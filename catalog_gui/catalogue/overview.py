"""Questions that the pages ask of the whole catalogue: seasons, tallies, what is due, what is known."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sqlalchemy import select

from catalog_gui.catalogue.repository import mapper_of
from catalog_gui.catalogue.tables import photos, tasks
from catalog_gui.catalogue.unit_of_work import TableUnitOfWork
from catalog_gui.catalogue.write_buffer import among
from catalog_gui.domain.ledger import ForayCount, SeasonCount, TallyLine
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Task

DATED = (
    "local_date GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-*' AND substr(local_date, 6, 2) BETWEEN '01' AND '12'"
)
"""What a line of the index needs to be counted in a season."""


def season(work: TableUnitOfWork, name_or_taxon: str = "") -> tuple[SeasonCount, ...]:
    """Specimens by year and month of the day on the spot, in order; those without a date are left out.

    `name_or_taxon` limits it to a present name (caseless, without qualifier) or a taxon id.
    """
    limit = "AND (taxon = ? OR plain_name = ?)" if name_or_taxon else ""
    rows = work.connection.exec_driver_sql(
        "SELECT substr(local_date, 1, 4), substr(local_date, 6, 2), count(*),"  # noqa: S608
        " min(local_date), max(local_date)"
        f" FROM find_listing WHERE {DATED} {limit} GROUP BY 1, 2 ORDER BY 1, 2",
        (name_or_taxon, name_or_taxon) if name_or_taxon else (),
    )
    return tuple(SeasonCount(int(row[0]), int(row[1]), row[2], row[3], row[4]) for row in rows)


def tally(work: TableUnitOfWork, foray_id: str) -> tuple[TallyLine, ...]:
    """The names of a foray by how many specimens go by them, then by alphabet; unnamed ones last."""
    rows = work.connection.exec_driver_sql(
        "SELECT name, max(taxon), count(*) FROM find_listing WHERE foray_id = ?"
        " GROUP BY name ORDER BY name = '', count(*) DESC, name",
        (foray_id,),
    )
    return tuple(TallyLine(*row) for row in rows)


def foray_counts(work: TableUnitOfWork) -> dict[str, ForayCount]:
    """Foray id to what it came to; every foray is in it."""
    rows = work.connection.exec_driver_sql(
        "SELECT f.id, (SELECT count(*) FROM photos AS p WHERE p.foray_id = f.id),"
        " (SELECT count(*) FROM specimens AS s WHERE s.foray_id = f.id),"
        " (SELECT count(DISTINCT plain_name) FROM find_listing AS l"
        "  WHERE l.foray_id = f.id AND plain_name <> '')"
        " FROM forays AS f ORDER BY f.seq"
    )
    return {row[0]: ForayCount(*row) for row in rows}


def open_tasks(work: TableUnitOfWork, *, limit: int = 500) -> tuple[Task, ...]:
    """What is still to be done, by due time; tasks without one last."""
    shape = mapper_of("tasks")
    rows = work.connection.execute(
        select(*shape.selected)
        .where(tasks.c.done_at.is_(None))
        .order_by(tasks.c.due.is_(None), tasks.c.due, tasks.c.seq)
        .limit(limit)
    )
    return tuple(map(shape.value, rows))


def known_photos(
    work: TableUnitOfWork, *, quick_keys: Iterable[str] = (), content_hashes: Iterable[str] = ()
) -> tuple[Photo, ...]:
    """The photos that have one of these fingerprints; empty ones match nothing."""
    found: dict[str, Any] = {}
    shape = mapper_of("photos")
    for column, keys in ((photos.c.quick_key, quick_keys), (photos.c.content_hash, content_hashes)):
        wanted = [key for key in keys if key]
        if wanted:
            rows = work.connection.execute(select(*shape.selected).where(among(column, wanted)))
            found.update((row[0], row) for row in rows)
    return tuple(map(shape.value, found.values()))
