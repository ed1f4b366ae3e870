"""The rows that an open step has touched, as they were and as they are now."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain

from sqlalchemy import Connection, Table, func, select
from sqlalchemy.sql.elements import ColumnElement

from catalog_gui.catalogue.rows import Row
from catalog_gui.catalogue.tables import LOOSE_LINKS, RECORD_TABLES

Changes = dict[str, dict[str, tuple[Row | None, Row | None]]]
"""Table name to id to (row before, row now)."""


def among(column: ColumnElement[str], keys: Iterable[str]) -> ColumnElement[bool]:
    """`column IN keys` for any number of keys: one bound JSON text instead of a parameter each."""
    wanted = func.json_each(json.dumps(list(keys))).table_valued("value")
    return column.in_(select(wanted.c.value))


@dataclass(slots=True)
class Touched:
    """Of one table: full rows (`seq` first) before the step and now; None where there is no row."""

    before: dict[str, Row | None] = field(default_factory=dict)
    now: dict[str, Row | None] = field(default_factory=dict)


class WriteBuffer:
    """Writes rows and remembers what stood there. Rows are full: `seq`, then every column."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection
        self.tables: dict[str, Touched] = {name: Touched() for name in RECORD_TABLES}
        self._next: dict[str, int] = {}

    def look_up(self, table: Table, keys: Iterable[str]) -> Mapping[str, Row | None]:
        """The rows of these ids as they stand now, None for those that do not exist."""
        touched = self.tables[table.name]
        unknown = [key for key in keys if key not in touched.now]
        if unknown:
            found: dict[str, Row | None] = dict.fromkeys(unknown)
            rows = self.connection.execute(select(*table.c).where(among(table.c.id, unknown)))
            found.update((row[1], tuple(row)) for row in rows)
            touched.before.update(found)
            touched.now.update(found)
        return touched.now

    def new_seq(self, table: Table, key: str) -> int:
        """The place in the order of first insertion: the old one if the row was only just removed."""
        before = self.tables[table.name].before.get(key)
        if before is not None:
            return int(before[0])  # type: ignore[arg-type]
        if table.name not in self._next:
            used = self.connection.exec_driver_sql(
                "SELECT seq FROM sqlite_sequence WHERE name = ?", (table.name,)
            ).scalar()
            self._next[table.name] = (used or 0) + 1
        seq = self._next[table.name]
        self._next[table.name] = seq + 1
        return seq

    def write(self, table: Table, rows: Sequence[Row]) -> None:
        """Insert or replace whole rows, each id once, keeping the `seq` of those that are there."""
        now = self.look_up(table, [str(row[1]) for row in rows])
        fresh: list[Row] = []
        # By the places of the cells that changed: SQLite renews every index of a column that is set.
        changed: dict[tuple[int, ...], list[Row]] = defaultdict(list)
        for row in rows:
            old = now[str(row[1])]
            if old is None:
                fresh.append(row)
            elif old != row:
                changed[tuple(at for at, cell in enumerate(row) if cell != old[at])].append(row)
        if fresh:
            self.connection.exec_driver_sql(_insert(table), fresh)
        for places, some in changed.items():
            cells = [(*(row[at] for at in places), row[0]) for row in some]
            self.connection.exec_driver_sql(_update(table, places), cells)
        touched = self.tables[table.name].now
        for row in chain(fresh, *changed.values()):
            touched[str(row[1])] = row

    def delete(self, table: Table, keys: Iterable[str]) -> None:
        """Remove rows; loose links to them are cleared. Ids that do not exist are passed over."""
        wanted = list(keys)
        now = self.look_up(table, wanted)
        gone = [key for key in wanted if now[key] is not None]
        if not gone:
            return
        for column in LOOSE_LINKS[table.name]:
            self._clear(column.table, column.name, gone)
        self.connection.execute(table.delete().where(among(table.c.id, gone)))
        self.tables[table.name].now.update(dict.fromkeys(gone))

    def _clear(self, table: Table, name: str, targets: Sequence[str]) -> None:
        ids = self.connection.scalars(select(table.c.id).where(among(table.c[name], targets))).all()
        if ids:
            place = [column.name for column in table.c].index(name)
            rows = [row for key in ids if (row := self.look_up(table, ids)[key]) is not None]
            self.write(table, [(*row[:place], None, *row[place + 1 :]) for row in rows])

    def changes(self) -> Changes:
        """What differs between before and now; tables and ids without a difference are left out."""
        return {
            name: differing
            for name, touched in self.tables.items()
            if (
                differing := {
                    key: (before, now)
                    for key, now in touched.now.items()
                    if (before := touched.before[key]) != now
                }
            )
        }


def _names(table: Table) -> list[str]:
    return [f'"{column.name}"' for column in table.c]


def _insert(table: Table) -> str:
    names = _names(table)
    return f'INSERT INTO "{table.name}" ({", ".join(names)}) VALUES ({", ".join("?" * len(names))})'  # noqa: S608  (our own table names)


def _update(table: Table, places: Sequence[int]) -> str:
    names = _names(table)
    cells = ", ".join(f"{names[at]} = ?" for at in places)
    return f'UPDATE "{table.name}" SET {cells} WHERE seq = ?'  # noqa: S608  (our own table names)
