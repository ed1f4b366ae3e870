"""Marks drawn on a photo, kept as vectors in upright image coordinates."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


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
