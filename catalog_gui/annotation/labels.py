"""Where labels go: near what they name, never over it, never over each other.

Deterministic: greedy from the most cramped label on, then moves and swaps while the whole gets better. Places
are tried around the target in growing rings, then along the four margins (joined by a leader line), and last,
when the picture is full, in a column right of it, so that there always is a place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from catalog_gui.domain.plane import Box, Point

_DIRECTIONS = 16
_RINGS = (0.0, 0.6, 1.4, 2.6, 4.2, 6.5)  # gaps in label heights
_ROUNDS = 12
_SLOTS = 16  # places along each margin
_CROSSING = 400.0
_OVER_AVOIDED = 40.0
_OVER_LEADER = 250.0
_MARGIN = 60.0
_OUTSIDE = 1e6


@dataclass(frozen=True, slots=True)
class Label:
    """A label to place: its size, the box it names (a point is a box without size) and its wish.

    All in the same unit (pixels of the view or of the picture). `wish` is where the label's middle was put by
    hand; it is kept when it can be.
    """

    id: str
    width: float
    height: float
    target: Box
    wish: Point | None = None


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a label went: its box, and the leader from the label's edge to the target, None when it touches.

    `outside` is True when it had to leave the picture.
    """

    id: str
    box: Box
    leader: tuple[Point, Point] | None
    outside: bool = False


@dataclass(frozen=True, slots=True)
class _Place:
    box: Box
    leader: tuple[Point, Point] | None
    cost: float
    outside: bool = False


def _overlap(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _grown(box: Box, by: float) -> Box:
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def _clamped(point: Point, box: Box) -> Point:
    return min(max(point[0], box[0]), box[2]), min(max(point[1], box[1]), box[3])


def _middle(box: Box) -> Point:
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2


def _crosses(a: tuple[Point, Point], b: tuple[Point, Point]) -> bool:
    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    first = side(a[0], a[1], b[0]) * side(a[0], a[1], b[1])
    return first < 0 and side(b[0], b[1], a[0]) * side(b[0], b[1], a[1]) < 0


def _passes(line: tuple[Point, Point], box: Box) -> bool:
    """Whether a line runs through the inside of a box (Liang-Barsky clipping)."""
    (x, y), (x2, y2) = line
    if (x <= box[0] and x2 <= box[0]) or (x >= box[2] and x2 >= box[2]):
        return False  # most lines are far from most boxes
    if (y <= box[1] and y2 <= box[1]) or (y >= box[3] and y2 >= box[3]):
        return False
    enter, leave = 0.0, 1.0
    for start, way, low, high in ((x, x2 - x, box[0], box[2]), (y, y2 - y, box[1], box[3])):
        if way == 0:
            if not low < start < high:
                return False
            continue
        near, far = sorted(((low - start) / way, (high - start) / way))
        enter, leave = max(enter, near), min(leave, far)
    return enter < leave


class _Table:
    """The candidate places of every label and what two places cost together."""

    def __init__(self, labels: Sequence[Label], bounds: Box, keep_clear: float, avoid: Sequence[Box]) -> None:
        self.labels = labels
        self.bounds = bounds
        self.keep_clear = keep_clear
        self.targets = [_grown(label.target, keep_clear) for label in labels]
        self.avoid = avoid
        self.places = [self._candidates(i, label) for i, label in enumerate(labels)]

    def _candidates(self, index: int, label: Label) -> list[_Place]:
        found = []
        for ring, (box, extra) in enumerate(self._boxes(label)):
            inside = (
                box[0] >= self.bounds[0]
                and box[1] >= self.bounds[1]
                and box[2] <= self.bounds[2]
                and box[3] <= self.bounds[3]
            )
            if inside and not any(_overlap(box, target) for target in self.targets):
                found.append(self._place(label, box, extra + 1e-6 * ring))
        found.append(self._outside(index, label))
        return sorted(found, key=lambda place: place.cost)

    def _place(self, label: Label, box: Box, extra: float) -> _Place:
        start = _clamped(_middle(label.target), box)
        end = _clamped(start, label.target)
        length = math.dist(start, end)
        over = sum(_overlap(box, other) for other in self.avoid)
        leader = (start, end) if length > 2 * self.keep_clear + 1e-9 else None
        cost = length + extra + over * _OVER_AVOIDED
        if leader is not None:
            others = (t for t, who in zip(self.targets, self.labels, strict=True) if who is not label)
            cost += _OVER_LEADER / 4 * sum(_passes(leader, other) for other in others)
        return _Place(box, leader, cost)

    def _boxes(self, label: Label) -> list[tuple[Box, float]]:
        """Boxes to try with what they cost beyond their distance, nearest rings first."""
        w, h = label.width, label.height
        boxes: list[tuple[Box, float]] = []
        if label.wish is not None:
            x, y = label.wish
            boxes.append(((x - w / 2, y - h / 2, x + w / 2, y + h / 2), -10_000.0))
        around = _grown(label.target, self.keep_clear)
        cx, cy = _middle(around)
        half_w, half_h = (around[2] - around[0] + w) / 2, (around[3] - around[1] + h) / 2
        for ring in _RINGS:
            for step in range(_DIRECTIONS):
                angle = 2 * math.pi * step / _DIRECTIONS
                dx, dy = math.cos(angle), -math.sin(angle)
                # Slide along the edge of the box around the target: the label touches it, whatever the angle.
                stretch = 1 / max(abs(dx), abs(dy))
                x = cx + dx * stretch * (half_w + ring * h)
                y = cy + dy * stretch * (half_h + ring * h)
                untidy = 0.0 if step % 4 == 0 else 0.15 * h
                boxes.append(((x - w / 2, y - h / 2, x + w / 2, y + h / 2), untidy))
        left, top, right, bottom = self.bounds
        for i in range(_SLOTS):
            x = left + (right - left - w) * i / (_SLOTS - 1)
            y = top + (bottom - top - h) * i / (_SLOTS - 1)
            corners = ((x, top), (x, bottom - h), (left, y), (right - w, y))
            boxes.extend(((a, b, a + w, b + h), _MARGIN) for a, b in corners)
        return boxes

    def _outside(self, index: int, label: Label) -> _Place:
        """A row of its own right of everything: always free."""
        right = max([self.bounds[2]] + [t[2] for t in self.targets]) + self.keep_clear
        top = self.bounds[1] + sum(other.height + self.keep_clear for other in self.labels[:index])
        box = (right, top, right + label.width, top + label.height)
        start = (right, top + label.height / 2)
        return _Place(box, (start, _clamped(start, label.target)), _OUTSIDE, outside=True)

    def together(self, first: _Place, second: _Place) -> float:
        """What two places cost beside each other; infinite when the labels would overlap."""
        if _overlap(_grown(first.box, self.keep_clear / 2), _grown(second.box, self.keep_clear / 2)):
            return math.inf
        cost = 0.0
        if first.leader and second.leader and _crosses(first.leader, second.leader):
            cost += _CROSSING
        if first.leader and _passes(first.leader, second.box):
            cost += _OVER_LEADER
        if second.leader and _passes(second.leader, first.box):
            cost += _OVER_LEADER
        return cost

    def cost(self, index: int, place: _Place, chosen: Sequence[_Place | None]) -> float:
        """What a place costs given where the others stand."""
        total = place.cost
        for other, taken in enumerate(chosen):
            if other != index and taken is not None:
                total += self.together(place, taken)
                if total == math.inf:
                    break
        return total

    def best(self, index: int, chosen: Sequence[_Place | None]) -> _Place:
        """The cheapest place for one label given the others."""
        best, lowest = self.places[index][-1], math.inf
        for place in self.places[index]:
            if place.cost >= lowest:
                break  # neighbours only ever add to what a place costs by itself
            cost = self.cost(index, place, chosen)
            if cost < lowest:
                best, lowest = place, cost
        return best


def place_labels(
    labels: Sequence[Label], bounds: Box, *, keep_clear: float = 6.0, avoid: Sequence[Box] = ()
) -> tuple[Placed, ...]:
    """A place for every label, in the order given.

    `bounds` is the picture; `keep_clear` the gap around targets and between labels; `avoid` are boxes that
    labels would rather not cover (other marks). No label ever covers a target or another label, whatever the
    crowd; a label wider than the picture, or without room, goes right of it (`outside`).
    """
    table = _Table(labels, bounds, keep_clear, avoid)
    chosen: list[_Place | None] = [None] * len(labels)
    cramped = sorted(range(len(labels)), key=lambda i: (labels[i].wish is None, len(table.places[i]), i))
    for index in cramped:
        chosen[index] = table.best(index, chosen)
    for _ in range(_ROUNDS):
        if not _improve(table, chosen):
            break
    return tuple(
        Placed(label.id, place.box, place.leader, place.outside)
        for label, place in zip(labels, chosen, strict=True)
        if place is not None
    )


def _improve(table: _Table, chosen: list[_Place | None]) -> bool:
    """One round of moves: each label alone, then each pair that disturbs each other."""
    better = False
    for index in range(len(chosen)):
        current = chosen[index]
        if current is None:
            continue
        found = table.best(index, chosen)
        if table.cost(index, found, chosen) < table.cost(index, current, chosen) - 1e-9:
            chosen[index] = found
            better = True
    for first in range(len(chosen)):
        for second in range(first):
            a, b = chosen[first], chosen[second]
            if a is None or b is None or not (table.together(a, b) or a.outside or b.outside):
                continue
            before = _pair_cost(table, chosen, first, second)
            chosen[first] = None
            chosen[second] = table.best(second, chosen)
            chosen[first] = table.best(first, chosen)
            if _pair_cost(table, chosen, first, second) < before - 1e-9:
                better = True
            else:
                chosen[first], chosen[second] = a, b
    return better


def _pair_cost(table: _Table, chosen: list[_Place | None], first: int, second: int) -> float:
    a, b = chosen[first], chosen[second]
    if a is None or b is None:
        return math.inf
    return table.cost(first, a, chosen) + table.cost(second, b, chosen) - table.together(a, b)
