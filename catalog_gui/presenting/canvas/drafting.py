"""Keeps a mark while it is being drawn: which point comes next and when it is done."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from catalog_gui.annotation.marks import POINTS, Mark, MarkKind
from catalog_gui.domain.plane import Point
from catalog_gui.presenting.canvas.look import TWO_CORNERS, Tool

_AT_ONCE = {MarkKind.POINTER, MarkKind.COLOUR}  # one click is enough; a drag says more
_CHAIN = {MarkKind.POLYGON, MarkKind.POLYLINE, MarkKind.FREE}


@dataclass(slots=True)
class MarkDraft:
    """The points set so far with one tool, in picture pixels. `tip` follows the mouse or the cross-hair."""

    tool: Tool
    points: list[Point] = field(default_factory=list)
    tip: Point | None = None

    @property
    def kind(self) -> MarkKind:
        """What is being drawn."""
        assert self.tool.kind is not None  # noqa: S101 - the moving tool drafts nothing
        return self.tool.kind

    @property
    def least(self) -> int:
        """How many points make it worth keeping."""
        return 1 if self.kind in _AT_ONCE else POINTS[self.kind][0]

    @property
    def chain(self) -> bool:
        """Whether it takes any number of points."""
        return self.kind in _CHAIN

    def add(self, point: Point) -> bool:
        """Set a point; True when the mark is done with it."""
        if self.chain and self.points and self.points[-1] == point:
            return len(self.points) >= self.least  # twice in one place ends it
        if self.kind is MarkKind.COLOUR and self.points == [point]:
            return True
        self.points.append(point)
        most = POINTS[self.kind][1]
        return most is not None and len(self.points) >= most

    def take_back(self) -> None:
        """Forget the last point."""
        if self.points:
            self.points.pop()

    def finished(self) -> tuple[Point, ...]:
        """The points as the mark keeps them; empty when there are too few."""
        if len(self.points) < self.least:
            return ()
        if self.kind is MarkKind.POINTER:  # drawn from what it means to where its words go
            return self.points[-1], self.points[0]
        return tuple(self.points)

    def preview(self) -> Mark | None:
        """The mark as it would look now, or None while there is nothing to see."""
        points = [*self.points]
        if self.tip is not None and points and (not points or points[-1] != self.tip):
            points.append(self.tip)
        if not points:
            return None
        kind = self.kind
        if kind is MarkKind.POINTER:
            points = [points[-1], points[0]]
        elif kind is MarkKind.POLYGON and len(points) < 3:
            kind = MarkKind.POLYLINE
        elif kind is MarkKind.ANGLE and len(points) < 3:
            kind = MarkKind.LINE
        if len(points) < POINTS[kind][0]:
            return None
        return Mark("", "", kind, tuple(points))


def straightened(kind: MarkKind, start: Point, point: Point) -> Point:
    """With Shift held: a circle or square from corner tools, lines in steps of 45 degrees."""
    dx, dy = point[0] - start[0], point[1] - start[1]
    if kind in TWO_CORNERS or kind is MarkKind.COLOUR:
        side = max(abs(dx), abs(dy))
        return start[0] + math.copysign(side, dx), start[1] + math.copysign(side, dy)
    angle = round(math.atan2(dy, dx) / (math.pi / 4)) * (math.pi / 4)
    length = dx * math.cos(angle) + dy * math.sin(angle)
    return start[0] + length * math.cos(angle), start[1] + length * math.sin(angle)


def inside(point: Point, size: tuple[int, int]) -> Point:
    """The nearest place on the picture."""
    return min(max(point[0], 0.0), float(size[0])), min(max(point[1], 0.0), float(size[1]))
