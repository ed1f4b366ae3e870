"""Turns marks into shapes on a surface: what a painter or a vector file draws, in the surface's own pixels.

Pure geometry: the same sketch serves the screen at any zoom, a picture at full resolution and a vector file.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from catalog_gui.annotation.labels import Label, place_labels
from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.domain.plane import Box, Point
from catalog_gui.drawing.shapes import DASHED, DOTTED, SOLID, Command, Shape
from catalog_gui.presenting.canvas.look import COLOURS, LINE_PX, TWO_CORNERS

TextSize = Callable[[tuple[str, ...]], tuple[float, float]]

MOST_LABELS = 24
"""Beyond so many in view labels hide more than they tell: the marks stay, zooming in brings the labels."""
_SMALL = 150.0  # an outline smaller than this, in pixels of the screen, keeps its label outside
_DETOUR = 3.0
_SAMPLE = 9.0
_MOST_SAMPLES = 240
_CIRCLE = 0.5522847498  # control points of a quarter circle as a cubic curve


@dataclass(frozen=True, slots=True)
class Ground:
    """How the picture lies on the surface: `scale` surface pixels a picture pixel, its corner at (dx, dy).

    `unit` is the size of a screen pixel on the surface: 1 on screen, more on a picture at full resolution.
    """

    scale: float
    dx: float = 0.0
    dy: float = 0.0
    unit: float = 1.0

    def at(self, point: Point) -> Point:
        """Where a point of the picture lies on the surface."""
        return point[0] * self.scale + self.dx, point[1] * self.scale + self.dy

    def back(self, point: Point) -> Point:
        """Where a point of the surface lies on the picture."""
        return (point[0] - self.dx) / self.scale, (point[1] - self.dy) / self.scale


@dataclass(frozen=True, slots=True)
class Note:
    """A label on its little sheet of paper."""

    mark_id: str
    box: Box
    lines: tuple[str, ...]
    colour: str
    chosen: bool = False


@dataclass(frozen=True, slots=True)
class Sketch:
    """Strokes (with contour), solid heads and dots, notes and handles in painting order."""

    strokes: tuple[Shape, ...]
    solids: tuple[Shape, ...]
    notes: tuple[Note, ...]
    handles: tuple[Point, ...] = ()
    handle_at: int | None = None


def bounds_of(points: Sequence[Point]) -> Box:
    """The box around points."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def outline(mark: Mark, ground: Ground) -> tuple[list[Point], bool]:
    """The drawn line of a mark on the surface and whether it is closed; an ellipse comes as 48 corners."""
    points = [ground.at(p) for p in mark.points]
    if mark.kind in TWO_CORNERS or (mark.kind is MarkKind.COLOUR and len(points) == 2):
        left, top, right, bottom = bounds_of(points)
        if mark.kind is not MarkKind.ELLIPSE:
            return [(left, top), (right, top), (right, bottom), (left, bottom)], True
        cx, cy, rx, ry = (left + right) / 2, (top + bottom) / 2, (right - left) / 2, (bottom - top) / 2
        turns = (2 * math.pi * i / 48 for i in range(48))
        return [(cx + rx * math.cos(a), cy + ry * math.sin(a)) for a in turns], True
    return points, mark.kind is MarkKind.POLYGON


def distance_to(mark: Mark, ground: Ground, where: Point) -> float:
    """How far a place on the surface is from the drawn line of a mark."""
    points, closed = outline(mark, ground)
    if mark.kind is MarkKind.POINTER:
        points = points[1:]
    if len(points) == 1:
        return math.dist(points[0], where)
    pairs = list(pairwise(points)) + ([(points[-1], points[0])] if closed else [])
    return min(_to_segment(where, a, b) for a, b in pairs)


def _to_segment(p: Point, a: Point, b: Point) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = dx * dx + dy * dy
    t = 0.0 if length == 0 else max(0.0, min(1.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length))
    return math.dist(p, (a[0] + t * dx, a[1] + t * dy))


def target_of(mark: Mark, ground: Ground) -> Box:
    """The box a label of this mark stays clear of and points at."""
    unit = ground.unit
    points = [ground.at(p) for p in mark.points]
    if mark.kind is MarkKind.POINTER:
        return _around(points[-1], 13 * unit)
    if mark.kind in {MarkKind.CROP, MarkKind.BODY}:
        left, top, right, _ = bounds_of(points)
        return left, top - unit, right, top + unit
    if mark.kind is MarkKind.COLOUR and len(points) == 1:
        return _around(points[0], 11 * unit)
    drawn, _closed = outline(mark, ground)
    box = bounds_of(drawn)
    wide, high = box[2] - box[0], box[3] - box[1]
    if mark.kind in {MarkKind.LINE, MarkKind.SCALE}:
        if min(wide, high) < 24 * unit:
            return box
        return _around(((box[0] + box[2]) / 2, (box[1] + box[3]) / 2), 4 * unit)
    if mark.kind is MarkKind.ANGLE and len(points) == 3:
        return _around(points[1], 10 * unit)
    if wide < _SMALL * unit and high < _SMALL * unit:
        return box
    return _around(min(drawn, key=lambda p: p[1]), 4 * unit)


def _around(point: Point, by: float) -> Box:
    return point[0] - by, point[1] - by, point[0] + by, point[1] + by


def handles_of(mark: Mark) -> tuple[Point, ...]:
    """The points that can be moved one by one; a freehand line is moved as a whole or drawn again."""
    return () if mark.kind is MarkKind.FREE else mark.points


def labels_for(
    marks: Sequence[Mark], captions: Mapping[str, tuple[str, ...]], ground: Ground, text_size: TextSize
) -> tuple[Label, ...]:
    """What has to be placed for the marks that have words."""
    made = []
    for mark in marks:
        lines = captions.get(mark.id, ())
        if not lines:
            continue
        width, height = text_size(lines)
        wish = None
        if mark.kind is MarkKind.POINTER and mark.points[0] != mark.points[-1]:
            wish = ground.at(mark.points[0])
        made.append(Label(mark.id, width, height, target_of(mark, ground), wish))
    return tuple(made)


def strokes_as_boxes(marks: Sequence[Mark], ground: Ground) -> tuple[Box, ...]:
    """Small boxes along every drawn line, for labels to stay off."""
    step = _SAMPLE * ground.unit
    boxes: list[Box] = []
    for mark in marks:
        if mark.kind in {MarkKind.POINTER, MarkKind.CROP}:
            continue
        points, closed = outline(mark, ground)
        pairs = list(pairwise(points)) + ([(points[-1], points[0])] if closed else [])
        for a, b in pairs:
            pieces = max(1, math.ceil(math.dist(a, b) / step))
            boxes.extend(
                _around((a[0] + (b[0] - a[0]) * i / pieces, a[1] + (b[1] - a[1]) * i / pieces), step / 3)
                for i in range(pieces)
            )
    every = max(1, math.ceil(len(boxes) / _MOST_SAMPLES))
    return tuple(boxes[::every])


def offsets(
    labels: Sequence[Label], bounds: Box, avoid: Sequence[Box], unit: float = 1.0
) -> dict[str, Point]:
    """Where each label's top left corner goes, from the middle of its target. May take a while: not for the GUI."""
    # The placer weighs detours in its own unit against lines that labels would lie on. Handing it coarser
    # units makes detours cheap; and they weigh the same on screen and on a copy at full resolution.
    unit *= _DETOUR
    small = [
        replace(
            label,
            width=label.width / unit,
            height=label.height / unit,
            target=_shrunk(label.target, unit),
            wish=(label.wish[0] / unit, label.wish[1] / unit) if label.wish is not None else None,
        )
        for label in labels
    ]
    placed = place_labels(
        small, _shrunk(bounds, unit), keep_clear=5.0 / _DETOUR, avoid=[_shrunk(box, unit) for box in avoid]
    )
    found = {}
    for label, place in zip(small, placed, strict=True):
        x, y = _middle(label.target)
        found[label.id] = (place.box[0] - x) * unit, (place.box[1] - y) * unit
    return found


def _shrunk(box: Box, unit: float) -> Box:
    return box[0] / unit, box[1] / unit, box[2] / unit, box[3] / unit


def _middle(box: Box) -> Point:
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2


def sketch(
    marks: Sequence[Mark],
    captions: Mapping[str, tuple[str, ...]],
    ground: Ground,
    *,
    places: Mapping[str, Point],
    text_size: TextSize,
    chosen: Sequence[str] = (),
    handle_at: int | None = None,
) -> Sketch:
    """Everything to draw. `places` are offsets as `offsets` gives them; a label without one waits for it."""
    unit = ground.unit
    strokes: list[Shape] = []
    solids: list[Shape] = []
    notes: list[Note] = []
    for mark in marks:
        colour = COLOURS[mark.kind]
        picked = mark.id in chosen
        width = (LINE_PX + (1.0 if picked else 0.0)) * unit
        note_box = _note_box(mark, captions, ground, places, text_size)
        if note_box is not None:
            notes.append(Note(mark.id, note_box, captions[mark.id], colour, picked))
        strokes.extend(_strokes(mark, ground, colour, width))
        solids.extend(_solids(mark, ground, colour))
        line, head = _leader(mark, ground, note_box, colour, width)
        strokes.extend(line)
        solids.extend(head)
    handles: tuple[Point, ...] = ()
    if len(chosen) == 1:
        only = next((mark for mark in marks if mark.id == chosen[0]), None)
        if only is not None:
            handles = tuple(ground.at(p) for p in handles_of(only))
    return Sketch(tuple(strokes), tuple(solids), tuple(notes), handles, handle_at)


def _note_box(
    mark: Mark,
    captions: Mapping[str, tuple[str, ...]],
    ground: Ground,
    places: Mapping[str, Point],
    text_size: TextSize,
) -> Box | None:
    if not captions.get(mark.id) or mark.id not in places:
        return None
    x, y = _middle(target_of(mark, ground))
    dx, dy = places[mark.id]
    width, height = text_size(captions[mark.id])
    return x + dx, y + dy, x + dx + width, y + dy + height


def _strokes(mark: Mark, ground: Ground, colour: str, width: float) -> list[Shape]:
    unit = ground.unit
    if mark.kind is MarkKind.POINTER:
        return []
    points, closed = outline(mark, ground)
    if len(points) == 1:
        (x, y), r = points[0], 7 * unit
        return [
            Shape(circle((x, y), r), stroke=colour, width=width),
            *(
                Shape(_path([a, b]), stroke=colour, width=width * 0.7)
                for a, b in (((x - 2 * r, y), (x - r, y)), ((x + r, y), (x + 2 * r, y)))
            ),
        ]
    line = {MarkKind.CROP: DASHED, MarkKind.BODY: DOTTED}.get(mark.kind, SOLID)
    commands = (
        oval(bounds_of([ground.at(p) for p in mark.points]))
        if mark.kind is MarkKind.ELLIPSE
        else _path(points, closed=closed)
    )
    found = [Shape(commands, stroke=colour, width=width, line=line)]
    if mark.kind in {MarkKind.LINE, MarkKind.SCALE, MarkKind.POLYLINE}:
        long = (9 if mark.kind is MarkKind.SCALE else 6) * unit
        found += [
            Shape(_path(_tick(end, other, long)), stroke=colour, width=width)
            for end, other in ((points[0], points[1]), (points[-1], points[-2]))
        ]
    if mark.kind is MarkKind.ANGLE and len(points) == 3:
        found.append(Shape(_path(_arc(points, 22 * unit)), stroke=colour, width=width * 0.8))
    return found


def _solids(mark: Mark, ground: Ground, colour: str) -> list[Shape]:
    if mark.kind is not MarkKind.POLYLINE:
        return []
    return [Shape(circle(ground.at(p), 2.4 * ground.unit), fill=colour) for p in mark.points[1:-1]]


def _leader(
    mark: Mark, ground: Ground, note: Box | None, colour: str, width: float
) -> tuple[list[Shape], list[Shape]]:
    """The line from a label to its target; a pointer's has a head and is there without label too."""
    unit = ground.unit
    if mark.kind is MarkKind.POINTER:
        tip = ground.at(mark.points[-1])
        if note is not None:
            start = _clamped(tip, note)
        else:
            start = ground.at(mark.points[0])
            if start == tip:
                start = tip[0] + 26 * unit, tip[1] - 26 * unit
        return _arrow(start, tip, colour, width, unit)
    if note is None:
        return [], []
    target = target_of(mark, ground)
    start = _clamped(_middle(target), note)
    end = _clamped(start, target)
    if math.dist(start, end) <= 12 * unit:
        return [], []
    return [Shape(_path([start, end]), stroke=colour, width=width * 0.6)], []


def _arrow(
    start: Point, tip: Point, colour: str, width: float, unit: float
) -> tuple[list[Shape], list[Shape]]:
    length = math.dist(start, tip)
    if length < 1e-9:
        return [], []
    ux, uy = (tip[0] - start[0]) / length, (tip[1] - start[1]) / length
    long, half = min(13 * unit, max(length, 7 * unit)), 5.2 * unit
    base = tip[0] - ux * long, tip[1] - uy * long
    wings = (
        (base[0] - uy * half, base[1] + ux * half),
        tip,
        (base[0] + uy * half, base[1] - ux * half),
    )
    line = [Shape(_path([start, base]), stroke=colour, width=width)] if length > long else []
    return line, [Shape(_path(wings, closed=True), fill=colour)]


def _clamped(point: Point, box: Box) -> Point:
    return min(max(point[0], box[0]), box[2]), min(max(point[1], box[1]), box[3])


def _path(points: Sequence[Point], *, closed: bool = False) -> tuple[Command, ...]:
    commands: list[Command] = [("M", *points[0])]
    commands += [("L", x, y) for x, y in points[1:]]
    return (*commands, ("Z",)) if closed else tuple(commands)


def circle(centre: Point, radius: float) -> tuple[Command, ...]:
    """A circle as curves."""
    x, y = centre
    return oval((x - radius, y - radius, x + radius, y + radius))


def oval(box: Box) -> tuple[Command, ...]:
    """The ellipse in a box as four curves."""
    cx, cy = _middle(box)
    rx, ry = (box[2] - box[0]) / 2, (box[3] - box[1]) / 2
    kx, ky = rx * _CIRCLE, ry * _CIRCLE
    return (
        ("M", cx + rx, cy),
        ("C", cx + rx, cy + ky, cx + kx, cy + ry, cx, cy + ry),
        ("C", cx - kx, cy + ry, cx - rx, cy + ky, cx - rx, cy),
        ("C", cx - rx, cy - ky, cx - kx, cy - ry, cx, cy - ry),
        ("C", cx + kx, cy - ry, cx + rx, cy - ky, cx + rx, cy),
        ("Z",),
    )


def _tick(end: Point, other: Point, long: float) -> list[Point]:
    """A short cross line at the end of a measured line: it shows exactly where it was set."""
    length = math.dist(end, other) or 1.0
    nx, ny = -(other[1] - end[1]) / length, (other[0] - end[0]) / length
    return [(end[0] - nx * long, end[1] - ny * long), (end[0] + nx * long, end[1] + ny * long)]


def _arc(points: Sequence[Point], radius: float) -> list[Point]:
    first, corner, second = points
    radius = min(radius, 0.7 * math.dist(first, corner), 0.7 * math.dist(second, corner))
    start = math.atan2(first[1] - corner[1], first[0] - corner[0])
    turn = math.atan2(second[1] - corner[1], second[0] - corner[0]) - start
    turn = (turn + math.pi) % (2 * math.pi) - math.pi
    return [
        (
            corner[0] + radius * math.cos(start + turn * i / 12),
            corner[1] + radius * math.sin(start + turn * i / 12),
        )
        for i in range(13)
    ]
