"""The search index: words and tags of every specimen, kept up in the same transaction as the change.

Everything in it can be made again from the tables: it belongs to no migration and no journal, and it is
rebuilt whenever `INDEX_VERSION` or a migration says so. It holds only the words that were typed and the ids that were
chosen. What a state or taxon is called is looked up when somebody searches, so a new reference pack needs no
new index. Words stand in an FTS5 table; ids stand in a plain table of tags, which for the many states
that one word can mean is several times faster than full text.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from functools import lru_cache, partial
from hashlib import blake2b
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, Row, select

from catalog_gui.catalogue.damaged import or_else
from catalog_gui.catalogue.rows import list_from_text, moment_from_text
from catalog_gui.catalogue.tables import RECORD_TABLES, determinations, evidence, forays, marks, specimens
from catalog_gui.catalogue.write_buffer import Changes, among
from catalog_gui.domain.evidence import Standing
from catalog_gui.domain.number_order import number_key
from catalog_gui.domain.region import REGION_FIELDS, Region, region_of
from catalog_gui.domain.specimen import Determination, Qualifier, present_determination

INDEX_VERSION = 2

WORD_COLUMNS = ("number", "name", "names", "site", "people", "habitat", "notes")
"""What plain words look through: number, present name, all names, place with its region, people, habitat,
notes."""

_MAKE = f"""
DROP TABLE IF EXISTS find_words;
DROP TABLE IF EXISTS find_tags;
DROP TABLE IF EXISTS find_listing;
CREATE VIRTUAL TABLE find_words USING fts5(
    {", ".join(WORD_COLUMNS)}, tokenize = 'unicode61 remove_diacritics 2'
);
CREATE TABLE find_tags (tag INTEGER NOT NULL, seq INTEGER NOT NULL, PRIMARY KEY (tag, seq)) WITHOUT ROWID;
CREATE INDEX ix_find_tags_seq ON find_tags (seq);
CREATE TABLE find_listing (
    seq INTEGER PRIMARY KEY,
    specimen_id TEXT NOT NULL,
    name TEXT NOT NULL,                         -- the present name with its qualifier
    plain_name TEXT NOT NULL COLLATE NOCASE,    -- and without
    taxon TEXT NOT NULL,
    site TEXT NOT NULL,
    foray_id TEXT,
    local_date TEXT NOT NULL,                   -- the day on the spot
    number_key TEXT NOT NULL                    -- sorts as people count: 2 before 10
);
CREATE INDEX ix_find_listing_taxon ON find_listing (taxon, local_date);
CREATE INDEX ix_find_listing_plain_name ON find_listing (plain_name, local_date);
CREATE INDEX ix_find_listing_local_date ON find_listing (local_date);
CREATE INDEX ix_find_listing_foray_id ON find_listing (foray_id, plain_name);
CREATE INDEX ix_find_listing_number_key ON find_listing (number_key)
"""
_BATCH = 2000


@lru_cache(maxsize=65536)
def tag(*words: str) -> int:
    """One number for an id or a combination of ids; 64 bits of a hash, so that two never meet."""
    digest = blake2b("\x1f".join(words).encode("utf-8", "surrogatepass"), digest_size=8).digest()
    return int.from_bytes(digest, "big", signed=True)


def looked_at(feature: str) -> int:
    """The tag of a specimen whose feature was looked at, whatever came of it."""
    return tag("looked", feature)


def stands(feature: str, standing: Standing) -> int:
    """The tag of a feature with that standing."""
    return tag("stands", feature, standing.value)


def shows(feature: str, state: str) -> int:
    """The tag of a state that was seen."""
    return tag("shows", feature, state)


def is_named(taxon: str) -> int:
    """The tag of the present determination's taxon."""
    return tag("taxon", taxon)


def was_named(taxon: str) -> int:
    """The tag of any determination's taxon, the present one included."""
    return tag("named", taxon)


NAMED = tag("determined")
"""The tag of a specimen that somebody named."""


def ensure(connection: Connection) -> None:
    """Make the index, or make it anew when it is of another version; in the open transaction."""
    if connection.exec_driver_sql("PRAGMA user_version").scalar() != INDEX_VERSION:
        rebuild(connection)


def is_current(connection: Connection) -> bool:
    """Whether `ensure` would have nothing to do."""
    return connection.exec_driver_sql("PRAGMA user_version").scalar() == INDEX_VERSION


def rebuild(connection: Connection) -> None:
    """Throw the index away and make it from the tables; in the open transaction."""
    for statement in _MAKE.split(";"):
        connection.exec_driver_sql(statement)
    _add(connection, connection.scalars(select(specimens.c.id)).all())
    connection.exec_driver_sql(f"PRAGMA user_version = {INDEX_VERSION}")


def refresh(connection: Connection, changes: Changes) -> None:
    """Bring the index up to what a step changed, before the step ends."""
    ids = _touched(connection, changes)
    if not ids:
        return
    gone = [row[0][0] for row in changes.get("specimens", {}).values() if row[0] is not None]
    present = connection.scalars(select(specimens.c.seq).where(among(specimens.c.id, ids))).all()
    outdated = json.dumps([*gone, *present])
    for table, key in (("find_words", "rowid"), ("find_tags", "seq"), ("find_listing", "seq")):
        connection.exec_driver_sql(
            f"DELETE FROM {table} WHERE {key} IN (SELECT value FROM json_each(?))",  # noqa: S608
            (outdated,),
        )
    _add(connection, ids)


def _touched(connection: Connection, changes: Changes) -> list[str]:
    ids: dict[str, None] = dict.fromkeys(changes.get("specimens", {}))
    for name in ("evidence", "determinations", "marks"):
        place = [column.name for column in RECORD_TABLES[name].c].index("specimen_id")
        for pair in changes.get(name, {}).values():
            ids.update((str(row[place]), None) for row in pair if row is not None and row[place])
    read = ("title", "site", "time_zone", "started", *REGION_FIELDS)
    used = [RECORD_TABLES["forays"].c.keys().index(name) for name in read]
    forays_changed = [
        key
        for key, (before, now) in changes.get("forays", {}).items()
        if before is None or now is None or any(before[place] != now[place] for place in used)
    ]
    if forays_changed:
        in_them = select(specimens.c.id).where(among(specimens.c.foray_id, forays_changed))
        ids.update(dict.fromkeys(connection.scalars(in_them)))
    return list(ids)


def _add(connection: Connection, ids: Sequence[str]) -> None:
    if not ids:
        return
    outings = {row.id: row for row in connection.execute(select(forays))}
    for start in range(0, len(ids), _BATCH):
        _add_batch(connection, ids[start : start + _BATCH], outings)


def _add_batch(
    connection: Connection, ids: Sequence[str], outings: dict[str, Row[tuple[object, ...]]]
) -> None:
    names: dict[str, list[Determination]] = defaultdict(list)
    for row in connection.execute(
        select(determinations).where(among(determinations.c.specimen_id, ids)).order_by(determinations.c.seq)
    ):
        names[row.specimen_id].append(
            Determination(
                row.id,
                row.specimen_id,
                _text(row.name),
                _text(row.taxon),
                or_else(partial(Qualifier, row.qualifier), Qualifier.NONE),
                _text(row.determined_by),
                entered_at=or_else(partial(moment_from_text, row.entered_at), None),
                replaces=row.replaces or "",
            )
        )
    tags: dict[str, set[int]] = defaultdict(set)
    notes: dict[str, list[str]] = defaultdict(list)
    seen = evidence.c
    for specimen_id, feature, standing, states, note in connection.execute(
        select(seen.specimen_id, seen.feature, seen.standing, seen.states, seen.note).where(
            among(seen.specimen_id, ids)
        )
    ):
        tags[specimen_id].update(_evidence_tags(feature, standing, states))
        notes[specimen_id].append(_text(note))
    for row in connection.execute(
        select(marks.c.specimen_id, marks.c.label, marks.c.note).where(among(marks.c.specimen_id, ids))
    ):
        notes[row.specimen_id] += [_text(row.label), _text(row.note)]

    tagged: list[tuple[int, int]] = []
    words: list[tuple[object, ...]] = []
    listing: list[tuple[object, ...]] = []
    for row in connection.execute(select(specimens).where(among(specimens.c.id, ids))):
        given = names[row.id]
        present = present_determination(given)
        outing = outings.get(row.foray_id)
        all_tags = {*tags[row.id], *(was_named(one.taxon) for one in given if one.taxon)}
        if present is not None:
            all_tags |= {NAMED, is_named(present.taxon)}
        name = present.display_name if present else ""
        site = _text(row.site) or (_text(outing.site) if outing else "")
        tagged += [(one, row.seq) for one in all_tags]
        words.append(
            (
                row.seq,
                _text(row.number),
                name,
                _lines(word for one in given for word in (one.display_name, one.name)),
                _lines(
                    (
                        _text(row.site),
                        *((_text(outing.site), _text(outing.title)) if outing else ()),
                        *_region(row, outing),
                    )
                ),
                _lines((_text(row.collector), *(one.determined_by for one in given))),
                _lines(map(_text, (row.habitat, row.substrate, row.associated_taxa))),
                _lines(
                    (
                        *map(_text, (row.note, row.condition, row.ages, row.voucher, row.section)),
                        *notes[row.id],
                    )
                ),
            )
        )
        listing.append(
            (
                row.seq,
                row.id,
                name,
                present.name if present else "",
                present.taxon if present else "",
                site,
                row.foray_id,
                _local_date(row.collected_at, outing),
                number_key(_text(row.number)),
            )
        )
    if words:
        places = ", ".join("?" * len(words[0]))
        connection.exec_driver_sql(
            f"INSERT INTO find_words (rowid, {', '.join(WORD_COLUMNS)}) VALUES ({places})",  # noqa: S608
            words,
        )
        connection.exec_driver_sql("INSERT INTO find_listing VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", listing)
    if tagged:
        connection.exec_driver_sql("INSERT INTO find_tags VALUES (?, ?)", sorted(tagged))


@lru_cache(maxsize=4096)
def _evidence_tags(feature: str | bytes, standing: str, states: str) -> tuple[int, ...]:
    feature = _text(feature)
    if standing == Standing.NOT_LOOKED_AT.value:
        return ()
    kept = or_else(partial(Standing, standing), None)
    held = [looked_at(feature)]
    held += [stands(feature, kept)] if kept is not None else []
    if kept is Standing.SEEN:
        held += [shows(feature, str(state)) for state in _list(states)]
    return tuple(held)


def _list(cell: object) -> tuple[Any, ...]:
    return or_else(partial(list_from_text, cell), ())


def _text(cell: object) -> str:
    """The words of a cell; those that are no words (a file name's stray bytes) become question marks."""
    return cell.decode("utf-8", "replace") if isinstance(cell, bytes) else str(cell or "")


def _lines(words: Iterable[str]) -> str:
    return "\n".join(dict.fromkeys(word for word in words if word))


def _region(row: Row[tuple[object, ...]], outing: Row[tuple[object, ...]] | None) -> tuple[str, ...]:
    """The words of the region a specimen lies in, its own or its outing's."""
    own, theirs = (
        Region(*(_text(getattr(one, name)) for name in REGION_FIELDS)) if one is not None else None
        for one in (row, outing)
    )
    region = region_of(own or Region(), theirs)
    return region.country, region.country_code, region.state_province, region.county


def _local_date(collected_at: str | None, outing: Row[tuple[object, ...]] | None) -> str:
    """The calendar day on the spot; the outing's first day for a specimen without a time; '' without both."""
    moment = collected_at or (outing.started if outing else None)
    if not moment:
        return ""
    zone = _zone(_text(outing.time_zone) if outing else "")
    return or_else(lambda: moment_from_text(moment).astimezone(zone).date().isoformat(), "")


@lru_cache(maxsize=256)
def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name or "UTC")
    except (ValueError, OSError, KeyError):  # a zone that this machine's table does not know
        return ZoneInfo("UTC")
