"""Repositories: all values of one kind, read and written through one table."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any, Generic, TypeVar

from sqlalchemy import Connection, Select, and_, func, or_, select
from sqlalchemy.sql.elements import ColumnElement

from catalog_gui.annotation.marks import Mark
from catalog_gui.catalogue.rows import Cell, RowMapper
from catalog_gui.catalogue.tables import RECORD_TABLES
from catalog_gui.catalogue.write_buffer import Changes, WriteBuffer, among
from catalog_gui.domain.evidence import Evidence
from catalog_gui.domain.foray import Clock, Foray, Group, Join, SameAs, Track
from catalog_gui.domain.ledger import HandedOn, SavedSearch, TaxonNote
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Determination, Specimen, Task

T = TypeVar("T")

_KINDS: dict[str, type[Any]] = {
    "forays": Foray, "photos": Photo, "clocks": Clock, "groups": Group, "joins": Join, "same_as": SameAs,
    "tracks": Track, "specimens": Specimen, "evidence": Evidence, "marks": Mark,
    "determinations": Determination, "tasks": Task, "handed_on": HandedOn, "searches": SavedSearch,
    "taxon_notes": TaxonNote,
}  # fmt: skip


@cache
def mapper_of(name: str) -> RowMapper[Any]:
    """How the values of one kind lie in its table."""
    return RowMapper(_KINDS[name], RECORD_TABLES[name])


class TableSession:
    """What a unit of work and its repositories share: the connection and the buffer; closed when the block ends."""

    def __init__(self, connection: Connection, buffer: WriteBuffer | None) -> None:
        self._connection: Connection | None = connection
        self._buffer = buffer

    @property
    def connection(self) -> Connection:
        """Raises RuntimeError after the block has ended: the values stay usable, the repositories do not."""
        if self._connection is None:
            raise RuntimeError("This reading or step has ended; open another one.")
        return self._connection

    @property
    def unsaved(self) -> Changes:
        """What the open step has changed so far; nothing while only reading."""
        return self._buffer.changes() if self._buffer is not None else {}

    @property
    def buffer(self) -> WriteBuffer:
        """Raises RuntimeError while only reading."""
        if self._connection is None or self._buffer is None:
            raise RuntimeError("Nothing can be changed here; open a step to change something.")
        return self._buffer

    def close(self) -> None:
        """Nothing can be read or written through it any more."""
        self._connection = None


class TableRepository(Generic[T]):
    """A repository over one table. `where` takes fields, or columns such as `camera_serial`."""

    def __init__(self, name: str, session: TableSession) -> None:
        self._mapper: RowMapper[T] = mapper_of(name)
        self._table = RECORD_TABLES[name]
        self._session = session
        order = [self._table.c.path] if name == "photos" else []
        self._order = [*order, self._table.c.seq]
        self._columns = self._mapper.selected

    def get(self, key: str) -> T | None:
        """The value of that id, or None."""
        found = self._values(select(*self._columns).where(self._table.c.id == key))
        return found[0] if found else None

    def all(self) -> tuple[T, ...]:
        """Every value, in the order of first insertion; photos by path."""
        return self._values(select(*self._columns).order_by(*self._order))

    def where(self, **fields: object) -> tuple[T, ...]:
        """The values whose fields equal these; a sequence matches any of its members.

        Raises TypeError for a field that the values do not have.
        """
        return self._values(select(*self._columns).where(*self._asked(fields)).order_by(*self._order))

    def count(self, **fields: object) -> int:
        """How many `where` would give."""
        query = select(func.count()).select_from(self._table).where(*self._asked(fields))
        return int(self._session.connection.scalar(query) or 0)

    def put(self, *values: T) -> None:
        """Insert or replace by id. Twice the same id in one call: the last one stands."""
        buffer = self._session.buffer
        cells = {self._mapper.key(value): self._mapper.cells(value) for value in values}
        now = buffer.look_up(self._table, cells)
        rows = []
        for key, row in cells.items():
            old = now[key]
            seq: Cell = buffer.new_seq(self._table, key) if old is None else old[0]
            rows.append((seq, *row))
        buffer.write(self._table, rows)

    def remove(self, *keys: str) -> None:
        """Take rows away. Unknown ids are passed over; links that may be loose are cleared.

        A row that others belong to (a specimen with evidence) makes the step fail when it ends.
        """
        self._session.buffer.delete(self._table, keys)

    def _values(self, query: Select[Any]) -> tuple[T, ...]:
        return tuple(map(self._mapper.value, self._session.connection.execute(query)))

    def _asked(self, fields: dict[str, object]) -> list[ColumnElement[bool]]:
        return [self._one(name, wanted) for name, wanted in fields.items()]

    def _one(self, name: str, wanted: object) -> ColumnElement[bool]:
        if not isinstance(wanted, Iterable) or isinstance(wanted, str):
            return self._equal(tuple(self._mapper.asked(name, wanted)))
        members = [tuple(self._mapper.asked(name, member)) for member in wanted]
        cells = [pairs[0][1] for pairs in members if len(pairs) == 1]
        if len(cells) < len(members) or any(cell is None or isinstance(cell, bytes) for cell in cells):
            return or_(False, *map(self._equal, members))
        column = self._table.c[members[0][0][0]] if members else self._table.c.id
        return among(column, cells)  # type: ignore[arg-type]

    def _equal(self, pairs: tuple[tuple[str, Cell], ...]) -> ColumnElement[bool]:
        return and_(*(self._table.c[column].is_not_distinct_from(cell) for column, cell in pairs))
