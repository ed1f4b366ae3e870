"""Rows to frozen values and back, exactly.

A value's fields become columns of the same name; a field that is itself a value becomes columns that
begin with the field's name (`place.position.latitude` is `place_latitude`). Aware times are stored as
UTC, a camera's written time stays naive, both to the microsecond; tuples are JSON; '' in a link is NULL.
"""

from __future__ import annotations

import dataclasses
import json
import math
import types
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, date, datetime, timedelta
from enum import Enum
from operator import attrgetter
from typing import Any, Generic, TypeVar, Union, get_args, get_origin, get_type_hints

from sqlalchemy import Boolean, Integer, Table, type_coerce

from catalog_gui.catalogue.damaged import UNREADABLE, DamagedRow, shown

T = TypeVar("T")
Cell = str | int | float | bytes | None
Row = tuple[Cell, ...]
Convert = Callable[[Any], Any]

_MICROSECOND = timedelta(microseconds=1)
_LONGEST_OFFSET = timedelta(hours=99, minutes=59)  # what EXIF 2.31 has room for


def storable(value: str) -> str | bytes:
    """The text itself, or bytes where it holds lone surrogates, as undecodable file names do."""
    if value.isascii():
        return value
    try:
        value.encode()
    except UnicodeEncodeError:
        return value.encode("utf-8", "surrogatepass")
    return value


def readable(cell: Any) -> str:
    """The text that `storable` was given. Raises TypeError and ValueError for what it cannot have given."""
    if isinstance(cell, str):
        return cell
    if isinstance(cell, bytes):
        return cell.decode("utf-8", "surrogatepass")
    raise TypeError("no text")


def moment_to_text(value: datetime) -> str:
    """Aware time as UTC ISO 8601 with microseconds. Raises ValueError for a naive one."""
    if value.tzinfo is None:
        raise ValueError(f"{value.isoformat()} has no time zone; only aware times are kept.")
    return value.astimezone(UTC).isoformat(timespec="microseconds")


def _naive_to_text(value: datetime) -> str:
    if value.tzinfo is not None:
        raise ValueError(f"{value.isoformat()} has a time zone; a camera's written time is kept without one.")
    return value.isoformat(timespec="microseconds")


def _list_to_text(value: Sequence[Any]) -> str:
    written = json.dumps(value, ensure_ascii=False, separators=(",", ":"))
    return written if isinstance(storable(written), str) else json.dumps(value, separators=(",", ":"))


def _tuples(value: Any) -> Any:
    return tuple(_tuples(item) for item in value) if isinstance(value, list) else value


def list_from_text(cell: Any) -> tuple[Any, ...]:
    """The tuple, or tuple of tuples, of a list column. Raises ValueError and TypeError for anything else."""
    if cell == "[]":
        return ()
    found = _tuples(json.loads(readable(cell)))
    if not isinstance(found, tuple):
        raise TypeError("no list")
    return found


def _list_reader(kind: Any) -> Convert:
    """How a list column of this type is read, with every member looked at."""
    member, *rest = get_args(kind)
    inner = get_args(member) if get_origin(member) is tuple else ()
    allowed = {float, int} if float in (member, *inner) else {member if not inner else inner[0]}
    width = len(inner)

    def read(cell: Any) -> Any:
        found = list_from_text(cell)
        if rest != [Ellipsis] and len(found) != len(rest) + 1:
            raise ValueError("another number of members")
        if not width:
            if not set(map(type, found)) <= allowed:
                raise TypeError("a member of another kind")
        elif any(
            type(one) is not tuple or len(one) != width or not set(map(type, one)) <= allowed for one in found
        ):
            raise TypeError("a member of another kind")
        return found

    return read


def moment_from_text(cell: Any) -> datetime:
    """The aware time that `moment_to_text` was given. Raises ValueError and TypeError for anything else."""
    found = datetime.fromisoformat(cell)
    if found.tzinfo is None:
        raise ValueError("no time zone")
    return found


def _naive_from_text(cell: Any) -> datetime:
    found = datetime.fromisoformat(cell)
    if found.tzinfo is not None:
        raise ValueError("a time zone")
    return found


def _whole(cell: Any) -> int:
    if type(cell) is not int:
        raise TypeError("no whole number")
    return cell


def _offset(cell: Any) -> timedelta:
    found = _whole(cell) * _MICROSECOND
    if abs(found) > _LONGEST_OFFSET:
        raise ValueError("no offset from UTC")
    return found


def _yes_no(cell: Any) -> bool:
    if cell not in (0, 1) or not isinstance(cell, int):
        raise ValueError("neither yes nor no")
    return bool(cell)


def _number(cell: Any) -> float:
    if type(cell) is not float and type(cell) is not int:
        raise TypeError("no number")
    return float(cell)


def _degrees(most: float) -> Convert:
    def read(cell: Any) -> float:
        found = _number(cell)
        if not (math.isfinite(found) and abs(found) <= most):
            raise ValueError("no place on earth")
        return found

    return read


def _or_none(convert: Convert) -> Convert:
    return lambda value: None if value is None else convert(value)


def _bare(hint: Any) -> tuple[Any, bool]:
    """The type without `| None`, and whether None is allowed."""
    if get_origin(hint) in (Union, types.UnionType):
        inner = [part for part in get_args(hint) if part is not type(None)]
        if len(inner) == 1:
            return inner[0], True
    return hint, False


def _same(value: Any) -> Any:
    return value


_EARTH = {"latitude": 90.0, "longitude": 180.0}


def _converters(kind: Any, name: str, *, naive: bool, link: bool) -> tuple[Convert, Convert]:
    """How a field of this type becomes a cell, and how the cell becomes the field again."""
    if link:
        return (lambda value: storable(value) if value else None), (
            lambda cell: readable(cell) if cell is not None else ""
        )
    if get_origin(kind) is tuple:
        return _list_to_text, _list_reader(kind)
    if kind is float and name in _EARTH:
        return float, _degrees(_EARTH[name])
    pairs: dict[Any, tuple[Convert, Convert]] = {
        str: (storable, readable),
        bool: (int, _yes_no),
        int: (_same, _whole),
        float: (float, _number),
        datetime: (_naive_to_text, _naive_from_text) if naive else (moment_to_text, moment_from_text),
        date: (date.isoformat, date.fromisoformat),
        timedelta: (lambda value: value // _MICROSECOND, _offset),
    }
    if kind in pairs:
        return pairs[kind]
    if isinstance(kind, type) and issubclass(kind, Enum):
        return attrgetter("value"), kind
    raise TypeError(f"No column is known for {kind!r}.")


@dataclasses.dataclass(frozen=True, slots=True)
class _Field:
    """One field of a value: where its cells stand (from, to), and how they are made and read."""

    name: str
    first: int
    last: int
    to_cells: Callable[[Any], Sequence[Cell]] | None
    to_cell: Convert | None
    read: Convert


class RowMapper(Generic[T]):
    """How values of one type lie in their table. `columns` are in field order, `seq` not among them;
    `selected` is what to ask the table for to read them.
    """

    def __init__(self, kind: type[T], table: Table) -> None:
        self.kind = kind
        self.table = table
        names: list[str] = []
        self._readers: dict[str, Convert] = {}
        self._fields = _plan(kind, table, "", names, self._readers)
        self.columns = tuple(names)
        # Yes and no as they are kept: SQLAlchemy would make a yes of everything that is not nought.
        self.selected = tuple(
            type_coerce(table.c[name], Integer) if isinstance(table.c[name].type, Boolean) else table.c[name]
            for name in names
        )
        self.fields = {field.name: field for field in self._fields}
        self._key = attrgetter("id")

    def key(self, value: T) -> str:
        """The id of a value."""
        return str(self._key(value))

    def cells(self, value: T) -> Row:
        """The row of a value, without `seq`."""
        return tuple(_cells(self._fields, value))

    def value(self, row: Sequence[Cell]) -> T:
        """The value of a row that has `columns` in their order. Raises DamagedRow for one that is no value."""
        try:
            made: T = _value(self.kind, self._fields, row)
        except UNREADABLE as error:
            raise DamagedRow(self.table.name, _shown_id(row), self._blame(row, error)) from error
        return made

    def check_cell(self, column: str, cell: Cell) -> None:
        """Decode one cell. Raises ValueError, TypeError and their like; a column that is no more is let pass."""
        if cell is None and column in self.table.c and self.table.c[column].nullable:
            return
        if column in self._readers:
            self._readers[column](cell)

    def _blame(self, row: Sequence[Cell], error: Exception) -> str:
        """Which cell it was that could not be read, and what it holds."""
        if len(row) != len(self.columns):
            return f"it has {len(row)} cells instead of {len(self.columns)}"
        for field in self._fields:
            try:
                field.read(row[field.first] if field.to_cell is not None else row[field.first : field.last])
            except UNREADABLE:
                cells = tuple(row[field.first : field.last])
                return f"'{field.name}' cannot be read from {', '.join(map(shown, cells))}"
        return f"its values do not go together ({error})"

    def asked(self, name: str, wanted: object) -> Iterator[tuple[str, Cell]]:
        """The columns and cells that say `name == wanted`; `name` is a field or a column.

        Raises TypeError for a name that the value does not have.
        """
        field = self.fields.get(name)
        if field is None:
            place = self.columns.index(name) if name in self.columns else -1
            if place < 0:
                raise TypeError(f"{self.kind.__name__} has no field called '{name}'.")
            yield name, storable(wanted) if isinstance(wanted, str) else wanted  # type: ignore[misc]
            return
        cells = field.to_cells(wanted) if field.to_cells else (field.to_cell(wanted),)  # type: ignore[misc]
        yield from zip(self.columns[field.first : field.last], cells, strict=True)


def _shown_id(row: Sequence[Cell]) -> str:
    found = row[0] if len(row) else None
    return found if isinstance(found, str) and found.isprintable() else shown(found)


def _plan(
    kind: Any, table: Table, prefix: str, names: list[str], readers: dict[str, Convert]
) -> tuple[_Field, ...]:
    hints = get_type_hints(kind)
    base = len(names)
    plan = []
    for item in dataclasses.fields(kind):
        hint, optional = _bare(hints[item.name])
        first = len(names) - base
        if dataclasses.is_dataclass(hint):
            inner_prefix = prefix if item.name == "position" else f"{prefix}{item.name}_"
            inner = _plan(hint, table, inner_prefix, names, readers)
            width = len(names) - base - first
            plan.append(_nested(item.name, hint, inner, first, width, optional=optional))
            continue
        name = prefix + item.name + ("_us" if hint is timedelta else "")
        column = table.c[name]
        names.append(name)
        write, read = _converters(
            hint, item.name, naive=bool(column.info.get("naive")), link=bool(column.foreign_keys)
        )
        readers[name] = read
        if optional:
            write, read = _or_none(write), _or_none(read)
        plan.append(_Field(item.name, first, first + 1, None, write, read))
    return tuple(plan)


def _nested(
    name: str, kind: Any, inner: tuple[_Field, ...], first: int, width: int, *, optional: bool
) -> _Field:
    nothing: tuple[Cell, ...] = (None,) * width

    def to_cells(value: Any) -> Sequence[Cell]:
        return nothing if value is None else _cells(inner, value)

    def read(row: Sequence[Cell]) -> Any:
        # The first cell of an optional value (a latitude) is never empty when the value is there.
        if optional and row[0] is None:
            if any(cell is not None for cell in row):
                raise ValueError("half a value")
            return None
        return _value(kind, inner, row)

    return _Field(name, first, first + width, to_cells, None, read)


def _cells(plan: tuple[_Field, ...], value: Any) -> list[Cell]:
    cells: list[Cell] = []
    for field in plan:
        part = getattr(value, field.name)
        if field.to_cell is not None:
            cells.append(field.to_cell(part))
        elif field.to_cells is not None:
            cells.extend(field.to_cells(part))
    return cells


def _value(kind: Any, plan: tuple[_Field, ...], row: Sequence[Cell]) -> Any:
    return kind(
        *[
            field.read(row[field.first])
            if field.to_cell is not None
            else field.read(row[field.first : field.last])
            for field in plan
        ]
    )
