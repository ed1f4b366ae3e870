"""Two cameras of one model without serial numbers share a key: telling their pictures apart."""

from __future__ import annotations

import numpy as np

from catalog_gui.grouping.columns import Columns, Floats, Ints

SECOND_CAMERA = " (body {})"
_TURN = 5000  # a counter that falls by more has rolled over from 9999
_APART = 200  # numbers between two cameras' ranges
_LONG_S = 20 * 86400.0  # a break that long in the written time of one foray: the clock was reset between


def split_cameras(columns: Columns, key: str, rows: Ints) -> list[Ints]:
    """The rows of one camera key, as one part or, where its numbering cannot be one camera's, as several.

    One camera counts upwards as time goes by. If by written time the numbers keep jumping to and fro
    between two ranges, or between two folders, two cameras are at work. A break of weeks in the written
    time of one foray is a clock that was reset: such stretches get a clock each.
    """
    parts = [rows] if "#" in key else _by_number(columns, rows)
    return [piece for part in parts for piece in _by_date(columns.written, part)]


def _by_number(columns: Columns, rows: Ints) -> list[Ints]:
    usable = rows[(columns.counter[rows] >= 0) & ~np.isnan(columns.written[rows])]
    if len(usable) < 8:
        return [rows]
    usable = usable[np.lexsort((columns.counter[usable], columns.written[usable]))]
    number = columns.counter[usable].astype(np.float64)
    if _falls(number) < 3:
        return [rows]
    for side in (_upper_range(number), _second_folder(columns, usable)):
        if side is None or side.sum() < 4 or (~side).sum() < 4:
            continue
        turns = int((side[1:] != side[:-1]).sum())
        alone = max(_falls(number[side]), _falls(number[~side]))
        if turns >= 4 and alone <= 0.2 * _falls(number):
            second = set(usable[side].tolist())
            inside = np.array([row in second for row in rows.tolist()])
            return [rows[~inside], rows[inside]]
    return [rows]


def _falls(number: Floats) -> int:
    """How often the numbers go down, not counting a roll-over."""
    step = np.diff(number)
    return int(((step < 0) & (step > -_TURN)).sum())


def _upper_range(number: Floats) -> np.ndarray | None:
    ranked = np.sort(number)
    gaps = np.diff(ranked)
    if gaps.max() < _APART:
        return None
    return np.asarray(number > ranked[int(np.argmax(gaps))])


def _second_folder(columns: Columns, rows: Ints) -> np.ndarray | None:
    folders = [columns.photos[row].path.replace("\\", "/").rpartition("/")[0] for row in rows.tolist()]
    names = sorted(set(folders))
    return np.array([folder == names[1] for folder in folders]) if len(names) == 2 else None


def _by_date(written: Floats, rows: Ints) -> list[Ints]:
    dated = np.sort(written[rows][~np.isnan(written[rows])])
    breaks = np.flatnonzero(np.diff(dated) > _LONG_S)
    if not len(breaks) or len(breaks) > 3:
        return [rows]
    edges = dated[breaks + 1]
    which = np.searchsorted(edges, np.where(np.isnan(written[rows]), dated[0], written[rows]), side="right")
    return sorted(
        (rows[which == k] for k in range(len(edges) + 1)), key=lambda part: (-len(part), int(part[0]))
    )
