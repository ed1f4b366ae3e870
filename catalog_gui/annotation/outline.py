"""The geometry of a mark, as other programs understand it, and the record that keeps the rest of it.

Marks travel as a plain shape that anybody can read, beside a record (JSON text) of every field. Coming back,
the record counts as long as its shape is still the one written beside it; if somebody moved the shape, the
shape wins and the record keeps the words.
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass, fields, replace

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.domain.plane import Point
from catalog_gui.domain.problem import BadInput

Size = tuple[int, int]

RECORD = "foray-bench-mark"
_DAMAGED = "A mark in this file is damaged and was left out."
_NOT_WORDS = {"kind", "points", "length_mm", "length_u_mm"}
_RECTANGLES = {MarkKind.CROP, MarkKind.BODY}


@dataclass(frozen=True, slots=True)
class Outline:
    """`kind` is 'point', 'line' (open, 2 or more points), 'rectangle', 'ellipse' (both: 2 opposite corners
    of the box) or 'polygon' (closed, 3 or more corners)."""

    kind: str
    points: tuple[Point, ...]

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom."""
        xs, ys = [x for x, _ in self.points], [y for _, y in self.points]
        return min(xs), min(ys), max(xs), max(ys)


def outline_of(mark: Mark) -> Outline:
    """The outline of a mark. Raises BadInput for a mark without points or with a point nowhere."""
    points = mark.points
    if not points or not all(math.isfinite(x) and math.isfinite(y) for x, y in points):
        raise BadInput("A mark without a place on the picture cannot be carried out.")
    if len(points) == 1:
        return Outline("point", points)
    if mark.kind in _RECTANGLES or (mark.kind is MarkKind.COLOUR and len(points) == 2):
        return Outline("rectangle", points[:2])
    if mark.kind is MarkKind.ELLIPSE:
        return Outline("ellipse", points[:2])
    if mark.kind is MarkKind.POLYGON and len(points) >= 3:
        return Outline("polygon", points)
    return Outline("line", points)


_KINDS = {
    "point": MarkKind.COLOUR,
    "line": MarkKind.POLYLINE,
    "rectangle": MarkKind.BODY,
    "ellipse": MarkKind.ELLIPSE,
    "polygon": MarkKind.POLYGON,
}


def mark_from_outline(outline: Outline, *, id: str, photo_id: str, label: str = "") -> Mark:  # noqa: A002
    """A mark for a shape that somebody else drew: the kind that fits its geometry best."""
    kind = _KINDS[outline.kind]
    if outline.kind == "line" and len(outline.points) == 2:
        kind = MarkKind.LINE
    return Mark(id, photo_id, kind, outline.points, label)


def record_of(mark: Mark) -> str:
    """Every field of a mark as JSON text, numbers exact."""
    values: dict[str, object] = {RECORD: 1}
    for field in fields(mark):
        values[field.name] = getattr(mark, field.name)
    return json.dumps(values, allow_nan=False)


def mark_from_record(text: str) -> Mark | None:
    """The mark of a record, None if the text is something else. Raises BadInput for a broken record."""
    try:
        values = json.loads(text)
    except ValueError:
        return None
    if not isinstance(values, dict) or RECORD not in values:
        return None
    try:
        known = {field.name for field in fields(Mark)}
        chosen = {name: value for name, value in values.items() if name in known}
        chosen["kind"] = MarkKind(chosen["kind"])
        chosen["points"] = tuple((float(x), float(y)) for x, y in chosen["points"])
        for name in ("length_mm", "length_u_mm"):
            chosen[name] = None if chosen.get(name) is None else float(chosen[name])
        words = (value for name, value in chosen.items() if name not in _NOT_WORDS)
        if all(isinstance(value, str) for value in words):
            return Mark(**chosen)
    except (KeyError, TypeError, ValueError) as error:
        raise BadInput(_DAMAGED) from error
    raise BadInput(_DAMAGED)


def with_outline(mark: Mark, outline: Outline) -> Mark:
    """The mark with another geometry; another kind of shape makes it another kind of mark."""
    if outline_of(mark).kind == outline.kind:
        return replace(mark, points=outline.points)
    moved = mark_from_outline(outline, id=mark.id, photo_id=mark.photo_id, label=mark.label)
    return replace(mark, kind=moved.kind, points=moved.points, length_mm=None, length_u_mm=None)
