"""Rows to frozen values and back, exactly.

A value's fields become columns of the same name; a field that is itself a value becomes columns that
begin with the field's name (`place.position.latitude` is `place_latitude`). Aware times are stored as
UTC, a camera's written time stays naive, both to the microsecond; tuples are JSON; '' in a link is NULL.
"""

from __future__ import annotations

import dataclasses
import json
import types
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, date, datetime, timedelta
from enum import Enum
from operator import attrgetter
from typing import Any, Generic, TypeVar, Union, get_args, get_origin, get_type_hints

from sqlalchemy import Table

T = TypeVar("T")
Cell = str | int | float | bytes | None
Row = tuple[Cell, ...]
Convert = Callable[[Any], Any]

_MICROSECOND = timedelta(microseconds=1)


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
    """The text that `storable` was given."""
    return cell.decode("utf-8", "surrogatepass") if isinstance(cell, bytes) else cell


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


def _list_from_text(cell: Any) -> Any:
    return _tuples(json.loads(cell)) if cell != "[]" else ()


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


def _converters(kind: Any, *, naive: bool, link: bool) -> tuple[Convert, Convert]:
    """How a field of this type becomes a cell, and how the cell becomes the field again."""
    if link:
        return (lambda value: storable(value) if value else None), (
            lambda cell: readable(cell) if cell else ""
        )
    if get_origin(kind) is tuple:
        return _list_to_text, _list_from_text
    pairs: dict[Any, tuple[Convert, Convert]] = {
        str: (storable, readable),
        bool: (int, bool),
        int: (_same, _same),
        float: (float, float),
        datetime: (_naive_to_text if naive else moment_to_text, datetime.fromisoformat),
        date: (date.isoformat, date.fromisoformat),
        timedelta: (lambda value: value // _MICROSECOND, lambda cell: cell * _MICROSECOND),
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
    """How values of one type lie in their table. `columns` are in field order, `seq` not among them."""

    def __init__(self, kind: type[T], table: Table) -> None:
        self.kind = kind
        self.table = table
        names: list[str] = []
        self._fields = _plan(kind, table, "", names)
        self.columns = tuple(names)
        self.fields = {field.name: field for field in self._fields}
        self._key = attrgetter("id")

    def key(self, value: T) -> str:
        """The id of a value."""
        return str(self._key(value))

    def cells(self, value: T) -> Row:
        """The row of a value, without `seq`."""
        return tuple(_cells(self._fields, value))

    def value(self, row: Sequence[Cell]) -> T:
        """The value of a row that has `columns` in their order."""
        made: T = _value(self.kind, self._fields, row)
        return made

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


def _plan(kind: Any, table: Table, prefix: str, names: list[str]) -> tuple[_Field, ...]:
    hints = get_type_hints(kind)
    base = len(names)
    plan = []
    for item in dataclasses.fields(kind):
        hint, optional = _bare(hints[item.name])
        first = len(names) - base
        if dataclasses.is_dataclass(hint):
            inner = _plan(hint, table, prefix if item.name == "position" else f"{prefix}{item.name}_", names)
            width = len(names) - base - first
            plan.append(_nested(item.name, hint, inner, first, width, optional=optional))
            continue
        name = prefix + item.name + ("_us" if hint is timedelta else "")
        column = table.c[name]
        names.append(name)
        write, read = _converters(hint, naive=bool(column.info.get("naive")), link=bool(column.foreign_keys))
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
        return None if optional and row[0] is None else _value(kind, inner, row)

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
