"""Offers that two groups show the same find: come back to, photographed in turn, or on the bench at home."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from catalog_gui.grouping.columns import Floats

_AGAIN = 0.06  # share of groups that show a find photographed before, before the fixes speak
_REACH_M = 60.0
_IN_TURN_S = 120.0
_HOME_S = 3600.0  # a pause before the bench at least as long
_HOME_M = 1000.0
_LEAST = 0.1  # offers less probable are not made
_LEAST_SEEN = 0.03  # from which the look of the pictures is asked, which may make it more
_MOST_EACH = 3

Look = Callable[[int, int], tuple[float, str]]
"""Log odds that two groups (indices) show one find, by the look of their pictures, and what to say of it."""


@dataclass(frozen=True, slots=True)
class Revisit:
    """Group `later` may show the find of group `earlier` (indices in time order)."""

    earlier: int
    later: int
    probability: float
    reason: str


def find_revisits(
    start: Floats, end: Floats, x: Floats, y: Floats, error: Floats, look: Look | None = None
) -> list[Revisit]:
    """Offers between groups given in order of start (UTC s); places in m with 68 % error, NaN unknown.

    `look` is not asked about the bench at home: everything there lies on the same wood.
    """
    if len(start) < 2:
        return []
    bench = _bench(start, end, x, y)
    field_groups = len(start) - bench
    found = _same_place(start[:field_groups], end[:field_groups], x, y, error, look)
    seen = {(o.earlier, o.later) for o in found}
    in_turn = _in_turn(start, end, x, y, error, field_groups)
    found += [_looked_at(o, look) for o in in_turn if (o.earlier, o.later) not in seen]
    found += _on_the_bench(field_groups, bench)
    likely = [o for o in found if o.probability >= _LEAST]
    return sorted(likely, key=lambda o: (o.later, -o.probability, o.earlier))


def _looked_at(revisit: Revisit, look: Look | None) -> Revisit:
    if look is None:
        return revisit
    told, words = look(revisit.earlier, revisit.later)
    odds = math.log(revisit.probability / (1.0 - revisit.probability)) + told
    reason = f"{revisit.reason.removesuffix('.')}; {words}." if words else revisit.reason
    return Revisit(revisit.earlier, revisit.later, 1.0 / (1.0 + math.exp(-odds)), reason)


def _same_place(
    start: Floats, end: Floats, x: Floats, y: Floats, error: Floats, look: Look | None
) -> list[Revisit]:
    """Groups as near each other as one find's fixes would be, weighed against how thick groups lie there."""
    known = np.flatnonzero(~np.isnan(x[: len(start)]))
    if len(known) < 2:
        return []
    order = known[np.argsort(x[known], kind="stable")]
    px = x[order]
    right = np.searchsorted(px, px + _REACH_M, side="right")
    many = right - np.arange(len(order)) - 1
    a = np.repeat(np.arange(len(order)), many)
    b = a + 1 + np.arange(len(a)) - np.repeat(np.cumsum(many) - many, many)
    one, two = order[a], order[b]
    metres = np.hypot(x[one] - x[two], y[one] - y[two])
    close = metres < _REACH_M
    one, two, metres = one[close], two[close], metres[close]
    neighbours = np.bincount(one, minlength=len(start)) + np.bincount(two, minlength=len(start))
    earlier, later = np.minimum(one, two), np.maximum(one, two)
    away = (start[later] - end[earlier] > _IN_TURN_S) & (later - earlier > 1)
    earlier, later, metres = earlier[away], later[away], metres[away]
    scale2 = 2.0 + (error[earlier] ** 2 + error[later] ** 2) / 2.3  # 68 % radius is 1.5 scales
    here = np.exp(-0.5 * metres**2 / scale2) / (2 * np.pi * scale2)
    density = (neighbours[later] + 1.0) / (np.pi * _REACH_M**2)
    weight = _AGAIN * here
    probability = weight / (weight + (1.0 - _AGAIN) * density)
    found: list[Revisit] = []
    for k in np.flatnonzero(probability >= (_LEAST if look is None else _LEAST_SEEN)).tolist():
        first, second = int(earlier[k]), int(later[k])
        minutes = (float(start[second]) - float(end[first])) / 60.0
        reason = f"Back at the same place: {metres[k]:.0f} m away, {minutes:.0f} min later."
        sure = min(float(probability[k]), 1.0 - 1e-9)
        found.append(_looked_at(Revisit(first, second, sure, reason), look))
    return _best(found)


def _best(found: list[Revisit]) -> list[Revisit]:
    """The most probable few for each later group."""
    kept: list[Revisit] = []
    count: dict[int, int] = {}
    for revisit in sorted(found, key=lambda o: -o.probability):
        if count.get(revisit.later, 0) < _MOST_EACH:
            count[revisit.later] = count.get(revisit.later, 0) + 1
            kept.append(revisit)
    return kept


def _in_turn(start: Floats, end: Floats, x: Floats, y: Floats, error: Floats, count: int) -> list[Revisit]:
    """First, second, first again: three groups at one spot within moments of each other."""
    found: list[Revisit] = []
    for i in range(count - 2):
        if start[i + 1] - end[i] > _IN_TURN_S or start[i + 2] - end[i + 1] > _IN_TURN_S:
            continue
        metres = float(np.hypot(x[i] - x[i + 2], y[i] - y[i + 2]))
        if not np.isnan(metres) and metres > 1.5 * float(np.hypot(error[i], error[i + 2])):
            continue
        found.append(Revisit(i, i + 2, 0.15, "Two finds at one spot may have been photographed in turn."))
    return found


def _bench(start: Floats, end: Floats, x: Floats, y: Floats) -> int:
    """How many groups at the end of the day were made on a bench at home: after a long pause, and elsewhere."""
    pauses = np.flatnonzero(start[1:] - np.maximum.accumulate(end)[:-1] > _HOME_S) + 1
    for first in pauses.tolist():
        here, there = x[first:], x[:first]
        if np.isnan(there).all():
            continue
        if np.isnan(here).all():
            return len(start) - first
        far = np.hypot(
            np.nanmedian(here) - np.nanmedian(there), np.nanmedian(y[first:]) - np.nanmedian(y[:first])
        )
        wide = np.hypot(np.nanmax(there) - np.nanmin(there), np.nanmax(y[:first]) - np.nanmin(y[:first]))
        if far > _HOME_M + wide:
            return len(start) - first
    return 0


def _on_the_bench(field_groups: int, bench: int) -> list[Revisit]:
    """On a bench finds are often gone through in the order of the day: offered, with little confidence."""
    if not bench or not field_groups:
        return []
    certain = 0.3 if bench == field_groups else 0.12
    found = []
    for k in range(bench):
        earlier = min(field_groups - 1, int((k + 0.5) * field_groups / bench))
        reason = "Made at home, perhaps in the order of the day."
        found.append(Revisit(earlier, field_groups + k, certain, reason))
    return found
