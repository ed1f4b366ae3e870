"""Marks drawn on a photo, kept as vectors in upright image coordinates."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from catalog_gui.domain.problem import BadInput


class MarkKind(StrEnum):
    """What a mark is for; its shape follows from it."""

    POINTER = "pointer"  # 2 points: where the label sits, what it points at
    ELLIPSE = "ellipse"  # 2 points: opposite corners of the box around it
    POLYGON = "polygon"  # 3 or more corners, closed
    FREE = "free"  # 2 or more points of a drawn line, open
    LINE = "line"  # measure: 2 points
    POLYLINE = "polyline"  # measure: 2 or more points
    ANGLE = "angle"  # measure: arm, corner, arm
    SCALE = "scale"  # 2 points that lie `length_mm` apart
    COLOUR = "colour"  # 1 point or 2 corners: a patch
    CROP = "crop"  # 2 points: the piece of the picture a plate panel shows
    BODY = "body"  # 2 points: box around one fruit body, label is its name


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark on one photo.

    `points` are (x, y) in pixels of the upright, full-size picture, origin top left, x right, y down,
    so that orientation, zoom and re-encoding do not move them. `length_mm` and `length_u_mm` (standard
    uncertainty) belong to a scale. `part`, `feature` and `state` link it to what it shows.
    """

    id: str
    photo_id: str
    kind: MarkKind
    points: tuple[tuple[float, float], ...]
    label: str = ""
    specimen_id: str = ""
    part: str = ""
    feature: str = ""
    state: str = ""
    length_mm: float | None = None
    length_u_mm: float | None = None
    note: str = ""


# How many points a mark of each kind has: at least, at most (None: any number).
POINTS: dict[MarkKind, tuple[int, int | None]] = {
    MarkKind.POINTER: (2, 2),
    MarkKind.ELLIPSE: (2, 2),
    MarkKind.POLYGON: (3, None),
    MarkKind.FREE: (2, None),
    MarkKind.LINE: (2, 2),
    MarkKind.POLYLINE: (2, None),
    MarkKind.ANGLE: (3, 3),
    MarkKind.SCALE: (2, 2),
    MarkKind.COLOUR: (1, 2),
    MarkKind.CROP: (2, 2),
    MarkKind.BODY: (2, 2),
}


def faults(mark: Mark, size: tuple[int, int] | None = None) -> tuple[str, ...]:
    """Why a mark cannot be kept or used as it stands; empty if it can.

    `size` is the upright picture in pixels: a mark that lies wholly outside it is a fault, one that reaches
    over the edge is not.
    """
    found = []
    least, most = POINTS[mark.kind]
    if len(mark.points) < least or (most is not None and len(mark.points) > most):
        found.append(f"A {mark.kind.value} mark has {least} points or more; this one has {len(mark.points)}.")
    if not all(math.isfinite(x) and math.isfinite(y) for x, y in mark.points):
        return (*found, "One of its points is nowhere.")
    if mark.kind is MarkKind.SCALE:
        if len(set(mark.points)) < 2:
            found.append("A scale of zero length measures nothing.")
        if mark.length_mm is None or not (0 < mark.length_mm < math.inf):
            found.append("This scale does not say how long it is.")
    if size is not None and mark.points:
        if size[0] <= 0 or size[1] <= 0:
            found.append("The picture has no size.")
        elif not _touches(mark, size):
            found.append("It lies outside the picture.")
    return tuple(found)


def _touches(mark: Mark, size: tuple[int, int]) -> bool:
    xs, ys = [x for x, _ in mark.points], [y for _, y in mark.points]
    return min(xs) <= size[0] and max(xs) >= 0 and min(ys) <= size[1] and max(ys) >= 0


def copied(
    marks: Iterable[Mark],
    new_ids: Iterator[str],
    *,
    photo_id: str,
    from_size: tuple[int, int],
    to_size: tuple[int, int],
) -> tuple[Mark, ...]:
    """Marks laid over another picture, stretched from one upright size to the other.

    Scales are left behind: a scale holds only on the picture it was drawn on. `new_ids` gives each copy its
    id. Raises BadInput for a picture without size.
    """
    if min(*from_size, *to_size) <= 0:
        raise BadInput("A picture without size cannot bear marks.")
    across, down = to_size[0] / from_size[0], to_size[1] / from_size[1]
    return tuple(
        replace(
            mark,
            id=next(new_ids),
            photo_id=photo_id,
            points=tuple((x * across, y * down) for x, y in mark.points),
        )
        for mark in marks
        if mark.kind is not MarkKind.SCALE
    )
