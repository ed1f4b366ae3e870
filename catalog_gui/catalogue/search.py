"""Running a search: one page of specimens, newest first, with what the list shows of each."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from functools import partial
from typing import Any

from sqlalchemy import Connection

from catalog_gui.catalogue import not_excluded
from catalog_gui.catalogue.damaged import or_else, shown
from catalog_gui.catalogue.lexicon import Lexicon, words_of
from catalog_gui.catalogue.overview import DATED
from catalog_gui.catalogue.query import Query, read_query
from catalog_gui.catalogue.rows import list_from_text, moment_from_text, readable, storable
from catalog_gui.domain.evidence import Standing
from catalog_gui.domain.ledger import Found, FoundOrder, FoundPlace, SeasonCount, WorstNotExcluded

_AROUND = 40
_SNIPPET_COLUMNS = ("notes", "habitat", "site", "people", "names", "number")


_ORDERS = {
    FoundOrder.NEWEST: "s.collected_at DESC, s.seq DESC",
    FoundOrder.OLDEST: "s.collected_at IS NULL, s.collected_at, s.seq",
    FoundOrder.NUMBER: "l.number_key, s.seq",
    FoundOrder.NUMBER_DOWN: "l.number_key DESC, s.seq DESC",
    FoundOrder.NAME: "l.plain_name = '', l.plain_name, s.collected_at DESC, s.seq DESC",
    FoundOrder.NAME_DOWN: "l.plain_name = '', l.plain_name DESC, s.collected_at DESC, s.seq DESC",
    FoundOrder.SITE: "l.site = '', l.site COLLATE NOCASE, s.collected_at DESC, s.seq DESC",
    FoundOrder.SITE_DOWN: "l.site = '', l.site COLLATE NOCASE DESC, s.collected_at DESC, s.seq DESC",
}


def search(
    connection: Connection,
    text: str,
    lexicon: Lexicon,
    *,
    limit: int,
    offset: int,
    order: FoundOrder = FoundOrder.NEWEST,
) -> tuple[Found, ...]:
    """One page in `order`, what lacks date, name or site last; newest first, a number typed whole is on top."""
    query = read_query(text, lexicon)
    condition, parameters = _condition(query)
    number = storable(text.strip()) if order is FoundOrder.NEWEST else ""
    rows = connection.exec_driver_sql(
        "SELECT s.seq, s.id, s.number, l.name, l.plain_name, l.taxon, l.site, s.collected_at, s.cover_photo,"  # noqa: S608
        f" l.local_date FROM specimens AS s JOIN find_listing AS l ON l.seq = s.seq {condition}"
        f" ORDER BY {'(s.number = ?) DESC,' if number else ''} {_ORDERS[order]}"
        " LIMIT ? OFFSET ?",
        (*parameters, *((number,) if number else ()), max(limit, 0), max(offset, 0)),
    ).all()
    ids = json.dumps([row.id for row in rows])
    pictures = _pictures(connection, ids)
    worst = not_excluded.found(connection, (row.id for row in rows))
    snippets = _snippets(connection, query, lexicon, {row.seq: row.id for row in rows})
    return tuple(
        Found(
            specimen_id=row.id,
            number=_words(row.number),
            name=row.name,
            site=row.site,
            collected_at=or_else(partial(moment_from_text, row.collected_at), None),
            photos=pictures.get(row.id, (0, ""))[0],
            cover_photo=row.cover_photo or pictures.get(row.id, (0, ""))[1],
            hazard=lexicon.hazard(row.taxon, row.plain_name),
            snippet=snippets.get(row.id, ""),
            local_date=row.local_date,
            worst=_worst(worst[row.id], lexicon) if row.id in worst else None,
        )
        for row in rows
    )


def _list(cell: object) -> tuple[Any, ...]:
    return or_else(partial(list_from_text, cell), ())


def _words(cell: object) -> str:
    return str(or_else(partial(readable, cell), shown(cell)))


def _worst(found: tuple[str, str, int, int], lexicon: Lexicon) -> WorstNotExcluded:
    severity, taxon, deadly, dangerous = found
    names = lexicon.names_of(taxon)
    return WorstNotExcluded(severity, names[0] if names else taxon, deadly, dangerous)


def count(connection: Connection, text: str, lexicon: Lexicon) -> int:
    """How many specimens the search has in all."""
    condition, parameters = _condition(read_query(text, lexicon))
    return int(
        connection.exec_driver_sql(
            f"SELECT count(*) FROM specimens AS s JOIN find_listing AS l ON l.seq = s.seq {condition}",  # noqa: S608
            parameters,
        ).scalar()
        or 0
    )


def season(connection: Connection, text: str, lexicon: Lexicon) -> tuple[SeasonCount, ...]:
    """What the search has, by year and month of the day on the spot; undated ones are left out."""
    condition, parameters = _condition(read_query(text, lexicon))
    rows = connection.exec_driver_sql(
        "SELECT substr(l.local_date, 1, 4), substr(l.local_date, 6, 2), count(*),"  # noqa: S608
        " min(l.local_date), max(l.local_date)"
        f" FROM specimens AS s JOIN find_listing AS l ON l.seq = s.seq {condition}"
        f" {'AND' if condition else 'WHERE'} {DATED} GROUP BY 1, 2 ORDER BY 1, 2",
        parameters,
    )
    return tuple(SeasonCount(int(row[0]), int(row[1]), *row[2:]) for row in rows)


def places(connection: Connection, text: str, lexicon: Lexicon) -> tuple[FoundPlace, ...]:
    """Where everything stands that the search has and that has a place, newest first."""
    condition, parameters = _condition(read_query(text, lexicon))
    placed = "abs(s.place_latitude) <= 90 AND abs(s.place_longitude) <= 180"
    placed += "".join(f" AND typeof(s.place_{name}) <> 'text'" for name in ("latitude", "longitude"))
    rows = connection.exec_driver_sql(
        "SELECT s.id, s.number, l.name, l.plain_name, l.taxon,"  # noqa: S608
        " s.place_latitude, s.place_longitude, s.place_uncertainty_m"
        " FROM specimens AS s JOIN find_listing AS l ON l.seq = s.seq"
        f" {f'{condition} AND {placed}' if condition else f'WHERE {placed}'}"
        f" ORDER BY {_ORDERS[FoundOrder.NEWEST]}",
        parameters,
    )
    return tuple(
        FoundPlace(row[0], _words(row[1]), row[2], lexicon.hazard(row[4], row[3]), *row[5:]) for row in rows
    )


_WORDS = "SELECT rowid FROM find_words WHERE find_words MATCH ?"
_TAGS = "SELECT seq FROM find_tags WHERE tag IN (SELECT value FROM json_each(?))"


def _condition(query: Query) -> tuple[str, tuple[Any, ...]]:
    """The WHERE clause and its parameters. Conditions on words alone are one full-text expression."""
    only_words = [c for c in query.conditions if c.words and not c.tags and not c.negative]
    parts: list[str] = []
    parameters: list[str] = []
    if only_words:
        parts.append(f"s.seq IN ({_WORDS})")
        parameters.append(" AND ".join(f"({condition.words})" for condition in only_words))
    for condition in query.conditions:
        if condition in only_words:
            continue
        either = [(_WORDS, condition.words)] if condition.words else []
        either.append((_TAGS, json.dumps(condition.tags)))
        negative = "NOT " if condition.negative else ""
        parts.append(f"s.seq {negative}IN ({' UNION ALL '.join(sql for sql, _ in either)})")
        parameters += [parameter for _, parameter in either]
    for sql, values in query.where:
        parts.append(f"({sql})")
        parameters += values
    return ("WHERE " + " AND ".join(parts) if parts else ""), tuple(parameters)


def _pictures(connection: Connection, ids: str) -> Mapping[str, tuple[int, str]]:
    """Of each specimen: how many pictures, and the earliest."""
    rows = connection.exec_driver_sql(
        "SELECT g.specimen_id, count(*), p.id, min(coalesce(p.written_local, '9999'))"
        " FROM groups AS g JOIN photos AS p ON p.group_id = g.id"
        " WHERE g.specimen_id IN (SELECT value FROM json_each(?)) GROUP BY g.specimen_id",
        (ids,),
    )
    return {row[0]: (row[1], row[2]) for row in rows}  # SQLite takes p.id from the row of the minimum


def _snippets(
    connection: Connection, query: Query, lexicon: Lexicon, page: Mapping[int, str]
) -> Mapping[str, str]:
    """The first place where a word stands, and the states that were asked for."""
    found: dict[str, list[str]] = {}
    if query.words:
        rows = connection.exec_driver_sql(
            f"SELECT rowid, {', '.join(_SNIPPET_COLUMNS)} FROM find_words"  # noqa: S608
            " WHERE rowid IN (SELECT value FROM json_each(?))",
            (json.dumps(list(page)),),
        )
        for row in rows:
            piece = _first(row[1:], query.words)
            if piece:
                found.setdefault(page[row[0]], []).append(piece)
    if query.shown:
        rows = connection.exec_driver_sql(
            "SELECT specimen_id, feature, states FROM evidence"
            " WHERE specimen_id IN (SELECT value FROM json_each(?)) AND +standing = ? ORDER BY seq",
            (json.dumps(list(page.values())), Standing.SEEN.value),
        )
        features = {feature for feature, _ in query.shown}
        for specimen_id, feature, states in rows:
            for state in _list(states) if feature in features else ():
                if (feature, state) in query.shown:
                    found.setdefault(specimen_id, []).append(lexicon.state_name(feature, state))
    return {key: "; ".join(dict.fromkeys(pieces)) for key, pieces in found.items()}


def _first(texts: Iterable[str], wanted: Iterable[Sequence[str]]) -> str:
    lines = [line for text in texts for line in text.split("\n")]
    return next((piece for line in lines for words in wanted if (piece := _around(line, words))), "")


def _around(text: str, words: Sequence[str]) -> str:
    """The piece of a text around the first of these words; '' when it is not there."""
    first = words[0]
    plain = text.casefold()
    at = plain.find(first)
    if at < 0 and text.isascii():
        return ""
    if at < 0 or len(plain) != len(text):
        # Accents, or letters that change their length: find the word by its plain form instead.
        for word in text.split():
            if any(part.startswith(first) for part in words_of(word)):
                at = text.find(word)
                break
        else:
            return ""
    if at > 0 and text[at - 1].isalnum():
        return ""
    start, end = max(at - _AROUND, 0), min(at + len(first) + _AROUND, len(text))
    piece = " ".join(text[start:end].split())
    return f"{'…' if start else ''}{piece}{'…' if end < len(text) else ''}"
