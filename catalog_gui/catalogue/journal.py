"""The journal: every step with what it changed, so that it can be taken back, today or after a restart.

A step is kept as the rows it made, the rows it took away, and for other rows only the cells it changed.
Taking a step back sets a cell only where it still holds what the step left there: what a background step
(a content hash, say) wrote since stays, and a row that is there again is not put back over it. What really
was set back is what the journal then keeps, so that doing the step again is its exact opposite, filled-in
hashes included.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from itertools import islice
from typing import Any

from sqlalchemy import Connection, Table, func, insert, select, update

from catalog_gui.catalogue.damaged import UNREADABLE, DamagedRow, DamagedStep
from catalog_gui.catalogue.repository import mapper_of
from catalog_gui.catalogue.rows import Cell, Row, moment_from_text, moment_to_text, readable, storable
from catalog_gui.catalogue.tables import RECORD_TABLES, journal
from catalog_gui.catalogue.write_buffer import Changes, WriteBuffer
from catalog_gui.domain.ledger import Changed, Step

SLICE = 200
"""Rows that are put into JSON at a stretch: a few ms, so that the window has its turn between two."""

TOO_MUCH_BYTES = 300_000
"""Steps that take more than this, packed, are not read again only to know what they touched."""


@dataclass(slots=True)
class TableImages:
    """What a step did to one table: rows by `columns`, and for changed ids, column to (old, new)."""

    columns: list[str]
    made: list[Row] = field(default_factory=list)
    gone: list[Row] = field(default_factory=list)
    changed: dict[str, dict[str, tuple[Cell, Cell]]] = field(default_factory=dict)


Images = dict[str, TableImages]


def images_of(changes: Changes) -> Images:
    """The step that leads from `before` to `now`."""
    images: Images = {}
    for name, rows in changes.items():
        part = images[name] = TableImages(_names(RECORD_TABLES[name]))
        for key, (before, now) in rows.items():
            if before is None and now is not None:
                part.made.append(now)
            elif now is None and before is not None:
                part.gone.append(before)
            elif before is not None and now is not None:
                part.changed[key] = {
                    column: (old, new)
                    for column, old, new in zip(part.columns, before, now, strict=True)
                    if old != new
                }
    return images


def turned(images: Images) -> Images:
    """The opposite step."""
    return {
        name: TableImages(
            part.columns,
            made=part.gone,
            gone=part.made,
            changed={
                key: {column: (new, old) for column, (old, new) in cells.items()}
                for key, cells in part.changed.items()
            },
        )
        for name, part in images.items()
    }


def packed(images: Images) -> bytes:
    """Compressed JSON: tables by name, then columns, made, gone and changed."""
    return zlib.compress(b"".join(piece.encode() for piece in _pieces(images)), 1)


def _pieces(images: Images) -> Iterator[str]:
    """The JSON of a step, piece by piece: the encoder holds the interpreter's lock until it is done."""
    yield "{"
    for at, (name, part) in enumerate(images.items()):
        yield f'{"," if at else ""}{_json(name)}:{{"columns":{_json(part.columns)},"made":['
        yield from _sliced(part.made)
        yield '],"gone":['
        yield from _sliced(part.gone)
        yield '],"changed":{'
        keys = iter(part.changed)
        first = True
        while some := {key: part.changed[key] for key in islice(keys, SLICE)}:
            yield ("" if first else ",") + _json(some)[1:-1]
            first = False
        yield "}}"
    yield "}"


def _sliced(rows: list[Row]) -> Iterator[str]:
    for start in range(0, len(rows), SLICE):
        yield ("," if start else "") + _json(rows[start : start + SLICE])[1:-1]


def _json(value: object) -> str:
    return json.dumps(value, default=readable, separators=(",", ":"))


def unpacked(blob: bytes) -> Images:
    """What `packed` was given. Lone surrogates travel as JSON escapes and become bytes again."""
    text = zlib.decompress(blob).decode()
    images: Images = {}
    at = 1
    while text[at] != "}":
        name, at = _decode(text, at + (text[at] == ","))
        columns, at = _decode(text, text.index(":[", at) + 1)
        part = images[name] = TableImages(columns)
        for rows in (part.made, part.gone):
            at = text.index(":[", at) + 2
            while text[at] != "]":
                row, at = _decode(text, at + (text[at] == ","))
                rows.append(_row(row))
        at = text.index(":{", at) + 2
        while text[at] != "}":
            key, at = _decode(text, at + (text[at] == ","))
            cells, at = _decode(text, at + 1)
            part.changed[key] = {column: (_cell(old), _cell(new)) for column, (old, new) in cells.items()}
        at += 2
    return images


def step_images(step: int, label: object, blob: Any) -> Images:
    """What a step did, with its shape looked at. Raises DamagedStep for one that cannot be decoded."""
    try:
        images = unpacked(blob)
        for name, part in images.items():
            _shape(name, part)
    except (*UNREADABLE, zlib.error) as error:
        raise DamagedStep(step, label, f"what it changed cannot be read ({error})") from error
    return images


def _shape(name: str, part: TableImages) -> None:
    columns: Any = part.columns
    if not isinstance(columns, list) or not all(isinstance(column, str) for column in columns):
        raise TypeError(f"'{name}' has no columns")
    at = columns.index("id")
    for row in (*part.made, *part.gone):
        if len(row) != len(columns) or not isinstance(row[at], (str, bytes)):
            raise ValueError(f"a row of '{name}' has other cells than columns")
        if not all(map(_is_cell, row)):
            raise TypeError(f"a row of '{name}' holds something that is no cell")
    for cells in part.changed.values():
        if not all(_is_cell(old) and _is_cell(new) for old, new in cells.values()):
            raise TypeError(f"a change of '{name}' holds something that is no cell")


def check_rows(step: int, label: object, images: Images) -> None:
    """Decode every row and cell of a step. Raises DamagedStep for the first that is no value."""
    for name, part in images.items():
        if name not in RECORD_TABLES:
            continue
        table, shape = RECORD_TABLES[name], mapper_of(name)
        try:
            for row in (*part.made, *part.gone):
                shape.value(_fitted(row, part.columns, table)[1:])
            for cells in part.changed.values():
                for column, pair in cells.items():
                    for cell in pair:
                        shape.check_cell(column, cell)
        except DamagedRow as problem:
            raise DamagedStep(
                step, label, f"of the row '{problem.row}' of '{name}' {problem.why}"
            ) from problem
        except UNREADABLE as error:
            raise DamagedStep(step, label, f"what it changed in '{name}' does not fit ({error})") from error


def _is_cell(cell: object) -> bool:
    return cell is None or isinstance(cell, (str, bytes, int, float))


_decode = json.JSONDecoder().raw_decode
"""One value at a time: decoding a step of thousands of rows at one go would hold the interpreter's lock."""


def _cell(cell: Any) -> Cell:
    return storable(cell) if isinstance(cell, str) else cell


def _row(cells: Sequence[Any]) -> Row:
    return tuple(map(_cell, cells))


def apply(buffer: WriteBuffer, images: Images) -> None:
    """Do a step (or, `turned`, take it back) as far as the rows still are what it left."""
    for name, part in images.items():
        if name in RECORD_TABLES:
            _apply_table(buffer, RECORD_TABLES[name], part)


def _apply_table(buffer: WriteBuffer, table: Table, part: TableImages) -> None:
    names = _names(table)
    key_at = part.columns.index("id")
    buffer.delete(table, [str(row[key_at]) for row in part.gone])
    there = buffer.look_up(table, [str(row[key_at]) for row in part.made])
    buffer.write(
        table, [_fitted(row, part.columns, table) for row in part.made if there[str(row[key_at])] is None]
    )
    now = buffer.look_up(table, part.changed)
    rows = []
    for key, cells in part.changed.items():
        row = now[key]
        if row is None:
            continue
        fitted = list(row)
        for column, (old, new) in cells.items():
            if column in table.c and row[names.index(column)] == old:
                fitted[names.index(column)] = new
        meant = _meant(dict(zip(names, fitted, strict=True)), table)
        for name in meant.keys() - set(part.columns):
            if meant[name]:
                fitted[names.index(name)] = meant[name]
        rows.append(tuple(fitted))
    buffer.write(table, rows)


def _fitted(row: Row, columns: Sequence[str], table: Table) -> Row:
    """The row in the table's present columns: a journal may be older than the last migration."""
    if columns == _names(table):
        return row
    cells = dict(zip(columns, row, strict=True))
    meant = _meant(cells, table)
    return tuple(
        cells[name] if name in cells else meant.get(name, default_of(table, name)) for name in _names(table)
    )


def _meant(cells: dict[str, Cell], table: Table) -> dict[str, int]:
    """What a row says for a column that is younger than it, where a word in it did that work."""
    return {column.name: int(column.info["older"](cells)) for column in table.c if "older" in column.info}


def _names(table: Table) -> list[str]:
    return [column.name for column in table.c]


def default_of(table: Table, name: str) -> Cell:
    """The cell of a row that is older than its column."""
    default: Any = table.c[name].server_default
    if default is None:
        return None
    words = str(default.arg.text)
    return words[1:-1] if words.startswith("'") else int(words)


def changed(label: str, changes: Changes) -> Changed:
    """What views need to know of a step."""
    return Changed(label, {name: frozenset(rows) for name, rows in changes.items()})


def write(connection: Connection, label: str, at: datetime, changes: Changes, *, undoable: bool) -> None:
    """Enter a step. One that can be taken back ends the branch of steps that could be done again."""
    if undoable:
        connection.execute(journal.delete().where(journal.c.undone))
    connection.execute(
        insert(journal).values(
            label=label,
            at=moment_to_text(at),
            undoable=undoable,
            undone=False,
            images=packed(images_of(changes)),
        )
    )


def move(connection: Connection, buffer: WriteBuffer, *, back: bool) -> str | None:
    """Take back the newest step, or do again the oldest one taken back; its label, or None without one."""
    order = journal.c.id.desc() if back else journal.c.id.asc()
    entry = connection.execute(
        select(journal.c.id, journal.c.label, journal.c.images)
        .where(journal.c.undoable, journal.c.undone.is_(not back))
        .order_by(order)
        .limit(1)
    ).first()
    if entry is None:
        return None
    images = step_images(entry.id, entry.label, entry.images)
    try:
        apply(buffer, turned(images) if back else images)
    except UNREADABLE as error:
        raise DamagedStep(entry.id, entry.label, f"what it changed does not fit ({error})") from error
    done = images_of(buffer.changes())
    connection.execute(
        update(journal)
        .where(journal.c.id == entry.id)
        .values(undone=back, images=packed(turned(done) if back else done))
    )
    return str(entry.label)


def steps(connection: Connection, limit: int) -> tuple[Step, ...]:
    """Newest first; steps that cannot be taken back are not listed."""
    rows = connection.execute(
        select(journal.c.id, journal.c.label, journal.c.at, journal.c.undone)
        .where(journal.c.undoable)
        .order_by(journal.c.id.desc())
        .limit(limit)
    )
    return tuple(
        Step(row.id, str(row.label), step_at(row.id, row.label, row.at), bool(row.undone)) for row in rows
    )


def step_at(step: int, label: object, at: object) -> datetime:
    """When a step was made. Raises DamagedStep for a time that cannot be read."""
    try:
        return moment_from_text(at)
    except UNREADABLE as error:
        raise DamagedStep(step, label, "its time cannot be read") from error


@dataclass(frozen=True, slots=True)
class JournalPosition:
    """Where the journal stands: its newest step, how many stand up to there, and which of them are taken back."""

    newest: int
    standing: int
    undone: frozenset[int]


def position(connection: Connection) -> JournalPosition:
    """Where the journal stands now. A step that is still open does not count."""
    newest = connection.exec_driver_sql("SELECT seq FROM sqlite_sequence WHERE name = 'journal'").scalar()
    undone = frozenset(connection.scalars(select(journal.c.id).where(journal.c.undoable, journal.c.undone)))
    return JournalPosition(newest or 0, _standing(connection, newest or 0), undone)


def _standing(connection: Connection, newest: int) -> int:
    return int(connection.scalar(select(func.count()).where(journal.c.id <= newest)) or 0)


def touched_since(connection: Connection, before: JournalPosition) -> dict[str, set[str]] | None:
    """Table to ids that steps, or taking them back, touched since; None when it is too much or cannot be told."""
    now = position(connection)
    if now == before:
        return {}
    # What was taken back then and is gone now changed nothing; anything else that is gone did.
    left = connection.scalar(select(func.count()).where(journal.c.id.in_(list(before.undone)))) or 0
    gone = before.standing - _standing(connection, before.newest)
    if now.newest < before.newest or gone != len(before.undone) - left:
        return None
    wanted = (journal.c.id > before.newest) | journal.c.id.in_(list(before.undone ^ now.undone))
    if (
        connection.scalar(select(func.sum(func.length(journal.c.images))).where(wanted)) or 0
    ) > TOO_MUCH_BYTES:
        return None
    touched: dict[str, set[str]] = {}
    for step, label, images in connection.execute(
        select(journal.c.id, journal.c.label, journal.c.images).where(wanted)
    ):
        try:
            parts = step_images(step, label, images)
        except DamagedStep:
            return None
        for name, part in parts.items():
            key_at = part.columns.index("id")
            ids = touched.setdefault(name, set())
            ids.update(part.changed)
            ids.update(str(row[key_at]) for row in (*part.made, *part.gone))
    return touched
