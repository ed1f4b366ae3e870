"""Offers that two groups show the same find: come back to, photographed in turn, or on the bench at home."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from catalog_gui.grouping.columns import Floats, Ints

_AGAIN = 0.06  # share of groups that show a find photographed before, before the fixes speak
_REACH_M = 60.0
_IN_TURN_S = 120.0
_HOME_S = 3600.0  # a pause before the bench at least as long
_HOME_M = 1000.0
_LEAST = 0.1  # offers less probable are not made
_MOST_EACH = 3


@dataclass(frozen=True, slots=True)
class Offer:
    """Group `later` may show the find of group `earlier` (indices in time order)."""

    earlier: int
    later: int
    probability: float
    reason: str


def offers(start: Floats, end: Floats, x: Floats, y: Floats, error: Floats) -> list[Offer]:
    """Offers between groups given in order of start (UTC s); places in m with 68 % error, NaN unknown."""
    if len(start) < 2:
        return []
    bench = _bench(start, end, x, y)
    field_groups = len(start) - bench
    found = _same_place(start[:field_groups], end[:field_groups], x, y, error)
    seen = {(o.earlier, o.later) for o in found}
    found += [o for o in _in_turn(start, end, x, y, error, field_groups) if (o.earlier, o.later) not in seen]
    found += _on_the_bench(field_groups, bench)
    return sorted(found, key=lambda o: (o.later, -o.probability, o.earlier))


def _same_place(start: Floats, end: Floats, x: Floats, y: Floats, error: Floats) -> list[Offer]:
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
    return _best(earlier, later, probability, metres, start, end)


def _best(
    earlier: Ints, later: Ints, probability: Floats, metres: Floats, start: Floats, end: Floats
) -> list[Offer]:
    found: list[Offer] = []
    count: dict[int, int] = {}
    for k in np.argsort(-probability, kind="stable").tolist():
        p = float(probability[k])
        if p < _LEAST:
            break
        second = int(later[k])
        if count.get(second, 0) >= _MOST_EACH:
            continue
        count[second] = count.get(second, 0) + 1
        minutes = (float(start[second]) - float(end[int(earlier[k])])) / 60.0
        reason = f"Back at the same place: {metres[k]:.0f} m away, {minutes:.0f} min later."
        found.append(Offer(int(earlier[k]), second, p, reason))
    return found


def _in_turn(start: Floats, end: Floats, x: Floats, y: Floats, error: Floats, count: int) -> list[Offer]:
    """First, second, first again: three groups at one spot within moments of each other."""
    found: list[Offer] = []
    for i in range(count - 2):
        if start[i + 1] - end[i] > _IN_TURN_S or start[i + 2] - end[i + 1] > _IN_TURN_S:
            continue
        metres = float(np.hypot(x[i] - x[i + 2], y[i] - y[i + 2]))
        if not np.isnan(metres) and metres > 1.5 * float(np.hypot(error[i], error[i + 2])):
            continue
        found.append(Offer(i, i + 2, 0.15, "Two finds at one spot may have been photographed in turn."))
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


def _on_the_bench(field_groups: int, bench: int) -> list[Offer]:
    """On a bench finds are often gone through in the order of the day: offered, with little confidence."""
    if not bench or not field_groups:
        return []
    certain = 0.3 if bench == field_groups else 0.12
    found = []
    for k in range(bench):
        earlier = min(field_groups - 1, int((k + 0.5) * field_groups / bench))
        reason = "Made at home, perhaps in the order of the day."
        found.append(Offer(earlier, field_groups + k, certain, reason))
    return found
