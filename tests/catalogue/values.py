"""Made-up values for every shelf: hypothesis strategies from the dataclasses' own types."""

from __future__ import annotations

import dataclasses
import sqlite3
from datetime import UTC, date, datetime, timedelta, timezone
from enum import Enum
from pathlib import Path
from typing import Any, get_args, get_origin, get_type_hints

from hypothesis import strategies as st

from catalog_gui.catalogue.repository import _KINDS
from catalog_gui.catalogue.rows import _bare
from catalog_gui.catalogue.tables import RECORD_TABLES
from catalog_gui.geo.position import Position

KINDS = _KINDS
NOON = datetime(2025, 10, 4, 12, 0, tzinfo=UTC)

# Text as it turns up: umlauts, emoji, right-to-left, NUL, a file name that is not UTF-8.
words = st.one_of(
    st.text(max_size=12),
    st.sampled_from(
        ["", "Knollenblätterpilz", "שלום 🍄", "a\x00b", "IMG_\udce4\udcf6.JPG", "'; DROP", '"x"', "=1+1"]
    ),
)
naive = st.datetimes(min_value=datetime(1980, 1, 1), max_value=datetime(2100, 1, 1))  # noqa: DTZ001
aware = st.builds(
    lambda moment, minutes: moment.replace(tzinfo=timezone(timedelta(minutes=minutes))),
    naive,
    st.integers(-14 * 60, 14 * 60),
)
number = st.floats(allow_nan=False, allow_infinity=False)
position = st.builds(Position, st.floats(-90, 90), st.floats(-180, 180))


def values(kind: type[Any], **fixed: Any) -> st.SearchStrategy[Any]:
    """Any value of a dataclass; `fixed` fields are strategies or plain values."""
    hints = get_type_hints(kind)
    chosen = {
        field.name: fixed[field.name] if field.name in fixed else _for(hints[field.name], field.name)
        for field in dataclasses.fields(kind)
    }
    return st.builds(
        kind, **{k: v if isinstance(v, st.SearchStrategy) else st.just(v) for k, v in chosen.items()}
    )


def _for(hint: Any, name: str) -> st.SearchStrategy[Any]:
    hint, optional = _bare(hint)
    inner = _plain(hint, name)
    return st.none() | inner if optional else inner


def _plain(hint: Any, name: str) -> st.SearchStrategy[Any]:
    if get_origin(hint) is tuple:
        parts = get_args(hint)
        if parts[-1] is Ellipsis:
            return st.lists(_plain(parts[0], name), max_size=4).map(tuple)
        return st.tuples(*(_plain(part, name) for part in parts))
    if hint is Position:
        return position
    if isinstance(hint, type) and dataclasses.is_dataclass(hint):
        return values(hint)
    if isinstance(hint, type) and issubclass(hint, Enum):
        return st.sampled_from(list(hint))
    return {
        str: words,
        bool: st.booleans(),
        int: st.integers(-(2**62), 2**62),
        float: number,
        datetime: naive if name == "local" else aware,
        date: st.dates(),
        timedelta: st.timedeltas(min_value=timedelta(hours=-26), max_value=timedelta(hours=26)),
    }[hint]


def links(name: str) -> dict[str, str]:
    """The fields of a shelf's values that point at other shelves, emptied: values that stand alone."""
    return {column.name: "" for column in RECORD_TABLES[name].c if column.foreign_keys}


def dump(folder: Path) -> dict[str, list[tuple[Any, ...]]]:
    """All rows of all shelves, byte for byte, read by an independent connection."""
    connection = sqlite3.connect(folder / "catalogue.sqlite")
    try:
        return {
            name: connection.execute(f'SELECT * FROM "{name}" ORDER BY seq').fetchall()  # noqa: S608
            for name in RECORD_TABLES
        }
    finally:
        connection.close()
