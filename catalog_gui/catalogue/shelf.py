"""Shelves: all values of one kind, and the work over all of them in one transaction."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import cache
from typing import Any, Generic, TypeVar

from sqlalchemy import Connection, Select, and_, func, or_, select
from sqlalchemy.sql.elements import ColumnElement

from catalog_gui.annotation.marks import Mark
from catalog_gui.catalogue import journal
from catalog_gui.catalogue.pending import Changes, Pending, among
from catalog_gui.catalogue.rows import Cell, Shape
from catalog_gui.catalogue.tables import SHELVES
from catalog_gui.domain.evidence import Evidence
from catalog_gui.domain.foray import Clock, Foray, Group, Join, SameAs, Track
from catalog_gui.domain.ledger import HandedOn, SavedSearch, TaxonNote
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Determination, Specimen, Task
from catalog_gui.domain.struck_out import StruckOut, still_said

T = TypeVar("T")
AskStruckOut = Callable[[Connection, str], tuple[StruckOut, ...]]

_KINDS: dict[str, type[Any]] = {
    "forays": Foray, "photos": Photo, "clocks": Clock, "groups": Group, "joins": Join, "same_as": SameAs,
    "tracks": Track, "specimens": Specimen, "evidence": Evidence, "marks": Mark,
    "determinations": Determination, "tasks": Task, "handed_on": HandedOn, "searches": SavedSearch,
    "taxon_notes": TaxonNote,
}  # fmt: skip


@cache
def shape_of(name: str) -> Shape[Any]:
    """How the values of a shelf lie in its table."""
    return Shape(_KINDS[name], SHELVES[name])


class Desk:
    """What a work and its shelves share: the connection and what was written; closed when the block ends."""

    def __init__(self, connection: Connection, pending: Pending | None) -> None:
        self._connection: Connection | None = connection
        self._pending = pending

    @property
    def connection(self) -> Connection:
        """Raises RuntimeError after the block has ended: the values stay usable, the shelves do not."""
        if self._connection is None:
            raise RuntimeError("This reading or step has ended; open another one.")
        return self._connection

    @property
    def unsaved(self) -> Changes:
        """What the open step has changed so far; nothing while only reading."""
        return self._pending.changes() if self._pending is not None else {}

    @property
    def pending(self) -> Pending:
        """Raises RuntimeError while only reading."""
        if self._connection is None or self._pending is None:
            raise RuntimeError("Nothing can be changed here; open a step to change something.")
        return self._pending

    def close(self) -> None:
        """Nothing can be read or written through it any more."""
        self._connection = None


class TableShelf(Generic[T]):
    """A shelf over one table. `where` takes fields, or columns such as `camera_serial`."""

    def __init__(self, name: str, desk: Desk) -> None:
        self._shape: Shape[T] = shape_of(name)
        self._table = SHELVES[name]
        self._desk = desk
        order = [self._table.c.path] if name == "photos" else []
        self._order = [*order, self._table.c.seq]
        self._columns = [self._table.c[column] for column in self._shape.columns]

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
        return int(self._desk.connection.scalar(query) or 0)

    def put(self, *values: T) -> None:
        """Insert or replace by id. Twice the same id in one call: the last one stands."""
        pending = self._desk.pending
        cells = {self._shape.key(value): self._shape.cells(value) for value in values}
        now = pending.look_up(self._table, cells)
        rows = []
        for key, row in cells.items():
            old = now[key]
            seq: Cell = pending.new_seq(self._table, key) if old is None else old[0]
            rows.append((seq, *row))
        pending.write(self._table, rows)

    def remove(self, *keys: str) -> None:
        """Take rows away. Unknown ids are passed over; links that may be loose are cleared.

        A row that others belong to (a specimen with evidence) makes the step fail when it ends.
        """
        self._desk.pending.delete(self._table, keys)

    def _values(self, query: Select[Any]) -> tuple[T, ...]:
        return tuple(map(self._shape.value, self._desk.connection.execute(query)))

    def _asked(self, fields: dict[str, object]) -> list[ColumnElement[bool]]:
        return [self._one(name, wanted) for name, wanted in fields.items()]

    def _one(self, name: str, wanted: object) -> ColumnElement[bool]:
        if not isinstance(wanted, Iterable) or isinstance(wanted, str):
            return self._equal(tuple(self._shape.asked(name, wanted)))
        members = [tuple(self._shape.asked(name, member)) for member in wanted]
        cells = [pairs[0][1] for pairs in members if len(pairs) == 1]
        if len(cells) < len(members) or any(cell is None or isinstance(cell, bytes) for cell in cells):
            return or_(False, *map(self._equal, members))
        column = self._table.c[members[0][0][0]] if members else self._table.c.id
        return among(column, cells)  # type: ignore[arg-type]

    def _equal(self, pairs: tuple[tuple[str, Cell], ...]) -> ColumnElement[bool]:
        return and_(*(self._table.c[column].is_not_distinct_from(cell) for column, cell in pairs))


class TableWork:
    """One transaction over the records (the `Work` of the ports)."""

    def __init__(self, desk: Desk, struck_out: AskStruckOut | None = None) -> None:
        self._desk = desk
        self._shelves: dict[str, TableShelf[Any]] = {}
        self._struck_out = struck_out

    def _shelf(self, name: str) -> TableShelf[Any]:
        if name not in self._shelves:
            self._shelves[name] = TableShelf(name, self._desk)
        return self._shelves[name]

    @property
    def connection(self) -> Connection:
        """For the catalogue's own queries inside the same transaction."""
        return self._desk.connection

    def struck_out(self, specimen_ids: Sequence[str]) -> dict[str, tuple[StruckOut, ...]]:
        """Specimen to its records that were withdrawn or changed (`domain/struck_out.py`), oldest first.

        Each once, in the way it was struck out last; what is said again today is not among them. A specimen
        without any is left out.
        """
        if self._struck_out is None:
            return {}
        wanted = tuple(dict.fromkeys(specimen_ids))
        all_of = {key: found for key in wanted if (found := self._struck_out(self.connection, key))}
        today: dict[str, list[Evidence]] = {}
        for row in self.evidence.where(specimen_id=tuple(all_of)) if all_of else ():
            today.setdefault(row.specimen_id, []).append(row)
        return {
            key: left
            for key, found in all_of.items()
            if (left := _last_of_each(one for one in found if not _said(one.evidence, today.get(key, ()))))
        }

    def position(self) -> journal.Position:
        """Where the records stand; what this step has changed does not count until it is saved."""
        return journal.position(self.connection)

    def changed_since(self, position: object) -> dict[str, frozenset[str]] | None:
        """Shelf name to the ids that changed since, this step's own included; None: read everything again."""
        if not isinstance(position, journal.Position):
            return None
        touched = journal.touched_since(self.connection, position)
        if touched is None:
            return None
        for name, rows in self._desk.unsaved.items():
            touched.setdefault(name, set()).update(rows)
        return {name: frozenset(ids) for name, ids in touched.items()}

    @property
    def forays(self) -> TableShelf[Foray]:
        """Outings."""
        return self._shelf("forays")

    @property
    def photos(self) -> TableShelf[Photo]:
        """Pictures, by path."""
        return self._shelf("photos")

    @property
    def clocks(self) -> TableShelf[Clock]:
        """Corrections of cameras."""
        return self._shelf("clocks")

    @property
    def groups(self) -> TableShelf[Group]:
        """Photos proposed or held to show one specimen."""
        return self._shelf("groups")

    @property
    def joins(self) -> TableShelf[Join]:
        """Boundaries between neighbours."""
        return self._shelf("joins")

    @property
    def same_as(self) -> TableShelf[SameAs]:
        """Offers that two groups show one specimen."""
        return self._shelf("same_as")

    @property
    def tracks(self) -> TableShelf[Track]:
        """Walks as receivers logged them."""
        return self._shelf("tracks")

    @property
    def specimens(self) -> TableShelf[Specimen]:
        """What was collected."""
        return self._shelf("specimens")

    @property
    def evidence(self) -> TableShelf[Evidence]:
        """What was seen, and what was not."""
        return self._shelf("evidence")

    @property
    def marks(self) -> TableShelf[Mark]:
        """What was drawn on photos."""
        return self._shelf("marks")

    @property
    def determinations(self) -> TableShelf[Determination]:
        """Names that people gave."""
        return self._shelf("determinations")

    @property
    def tasks(self) -> TableShelf[Task]:
        """What cannot wait."""
        return self._shelf("tasks")

    @property
    def handed_on(self) -> TableShelf[HandedOn]:
        """What left the house."""
        return self._shelf("handed_on")

    @property
    def searches(self) -> TableShelf[SavedSearch]:
        """Searches she keeps."""
        return self._shelf("searches")

    @property
    def taxon_notes(self) -> TableShelf[TaxonNote]:
        """Her words on taxa."""
        return self._shelf("taxon_notes")


def _said(before: Evidence, today: Iterable[Evidence]) -> bool:
    return any(still_said(before, row) for row in today)


def _last_of_each(found: Iterable[StruckOut]) -> tuple[StruckOut, ...]:
    kept: dict[Evidence, StruckOut] = {}
    for one in found:
        said = replace(one.evidence, id="", note="", noted_at=None, noted_by="", photo_id="", mark_id="")
        kept.pop(said, None)
        kept[said] = one
    return tuple(kept.values())
