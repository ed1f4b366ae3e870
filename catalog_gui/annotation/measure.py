"""Measuring on a picture: scale, lengths, areas, angles and ratios with their uncertainty.

Uncertainties follow the GUM (JCGM 100:2008): each clicked coordinate is uncertain by `click_u_px`, each by
itself; a shape's uncertainty is its gradient times that; products and quotients add relative variances. What
cannot be averaged away, tilt and depth, is stated as a bound beside the figure (`Bounds`), never mixed in.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.annotation.quantity import Quantity, decimal_text, places_for, product
from catalog_gui.domain.plane import Point
from catalog_gui.domain.problem import BadInput

CLICK_U_PX = 0.7  # standard uncertainty of one clicked coordinate along the line; both ends: 0.99 px
NO_SCALE = "No scale on this picture: only ratios can be given."
ONE_PLANE = "Holds if scale and object lie in one plane, square to the view. Lens distortion stays in."


_DEGREE = {  # the power of the scale that turns pixels into millimetres
    MarkKind.LINE: 1,
    MarkKind.POLYLINE: 1,
    MarkKind.FREE: 1,
    MarkKind.ELLIPSE: 2,
    MarkKind.POLYGON: 2,
    MarkKind.ANGLE: 0,
}


@dataclass(frozen=True, slots=True)
class Scale:
    """How many millimetres a pixel is. `doubt` is a sentence when several scales disagree, else ''."""

    mm_per_px: Quantity
    doubt: str = ""


@dataclass(frozen=True, slots=True)
class Measurement:
    """What one mark measures. `real` is None without a scale; then `pixels` still gives ratios.

    `what` is 'length', 'area' or 'angle'. Angles need no scale: `real` is always there, in degrees.
    """

    mark: Mark
    what: str
    pixels: Quantity
    real: Quantity | None
    scale: Scale | None = None

    def text(self) -> str:
        """The figure as printed, or the sentence that there is no scale."""
        return self.real.text() if self.real is not None else NO_SCALE


@dataclass(frozen=True, slots=True)
class Range:
    """One length or area over several fruit bodies. `u` is the largest standard uncertainty among them."""

    n: int
    low: float
    high: float
    mean: float
    u: float
    unit: str

    def text(self) -> str:
        """As printed: '34–61 mm (n = 3)', as many digits as the least certain of them bears."""
        places = places_for(2 * self.u, 1) if self.u > 0 else 2
        low, high = decimal_text(self.low, places), decimal_text(self.high, places)
        figure = low if low == high else f"{low}–{high}"
        return f"{figure} {self.unit} (n = {self.n})"


@dataclass(frozen=True, slots=True)
class Bounds:
    """How far tilt and depth may falsify a figure, as factors: true length = shown length * factor."""

    tilt_deg: float = 0.0
    distance_mm: float | None = None
    depth_mm: float = 0.0

    def text(self) -> str:
        """The sentences that stand beside a measured figure."""
        parts = [ONE_PLANE]
        if self.tilt_deg:
            short = 100 * (1 - tilt_factor(self.tilt_deg))
            parts.append(f"Tilted by {self.tilt_deg:g}°, it reads up to {decimal_text(short, 1)} % short.")
        if self.depth_mm and self.distance_mm is not None:
            near = 100 * (depth_factor(self.distance_mm, self.depth_mm) - 1)
            far = 100 * (1 - depth_factor(self.distance_mm, -self.depth_mm))
            parts.append(
                f"{self.depth_mm:g} mm nearer the camera than the scale, at {self.distance_mm:g} mm, "
                f"it reads {decimal_text(near, 1)} % long; as much farther, {decimal_text(far, 1)} % short."
            )
        return " ".join(parts)


def _need(points: Sequence[Point], least: int, what: str) -> None:
    if len(points) < least:
        raise BadInput(f"{what} needs at least {least} points; this one has {len(points)}.")
    if not all(math.isfinite(x) and math.isfinite(y) for x, y in points):
        raise BadInput(f"{what} has a point that is not on any picture.")


def _towards(start: Point, end: Point) -> tuple[float, float, float]:
    """Distance and unit vector; the vector is (0, 0) for two equal points."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    distance = math.hypot(dx, dy)
    return (distance, dx / distance, dy / distance) if distance else (0.0, 0.0, 0.0)


def path_length(points: Sequence[Point], click_u_px: float = CLICK_U_PX) -> Quantity:
    """Length of a line or polyline, px. A corner in a straight line adds no uncertainty. Raises BadInput."""
    _need(points, 2, "A length")
    total, gradients = 0.0, [[0.0, 0.0] for _ in points]
    for i, (start, end) in enumerate(pairwise(points)):
        distance, ux, uy = _towards(start, end)
        total += distance
        for index, sign in ((i, -1.0), (i + 1, 1.0)):
            gradients[index][0] += sign * ux
            gradients[index][1] += sign * uy
    if total == 0:
        raise BadInput("This line has no length; draw it again.")
    return Quantity(total, click_u_px * math.sqrt(sum(gx * gx + gy * gy for gx, gy in gradients)), "px")


def polygon_area(corners: Sequence[Point], click_u_px: float = CLICK_U_PX) -> Quantity:
    """Area inside a polygon that does not cross itself, px². Raises BadInput for an area of zero."""
    _need(corners, 3, "An area")
    x0, y0 = corners[0]
    moved = [(x - x0, y - y0) for x, y in corners]  # near the origin the sums stay exact
    double, gradient = 0.0, 0.0
    for i, (x, y) in enumerate(moved):
        after, before = moved[(i + 1) % len(moved)], moved[i - 1]
        double += x * after[1] - after[0] * y
        gradient += ((after[0] - before[0]) / 2) ** 2 + ((after[1] - before[1]) / 2) ** 2
    if double == 0:
        raise BadInput("This outline has no area; draw it again.")
    return Quantity(abs(double) / 2, click_u_px * math.sqrt(gradient), "px²")


def ellipse_area(corners: Sequence[Point], click_u_px: float = CLICK_U_PX) -> Quantity:
    """Area of the ellipse in the box between two opposite corners, px². Raises BadInput for a flat box."""
    _need(corners, 2, "An ellipse")
    (x0, y0), (x1, y1) = corners[0], corners[1]
    side = math.sqrt(2) * click_u_px
    width, height = Quantity(abs(x1 - x0), side, "px"), Quantity(abs(y1 - y0), side, "px")
    return product(((Quantity(math.pi / 4, 0.0), 1), (width, 1), (height, 1)), "px²")


def angle(points: Sequence[Point], click_u_px: float = CLICK_U_PX) -> Quantity:
    """Angle at the second of three points, 0 to 180 degrees. Raises BadInput when an arm has no length."""
    _need(points, 3, "An angle")
    first, corner, second = points[0], points[1], points[2]
    length_a, ax, ay = _towards(corner, first)
    length_b, bx, by = _towards(corner, second)
    if not (length_a and length_b):
        raise BadInput("An arm of this angle has no length; draw it again.")
    value = math.atan2(abs(ax * by - ay * bx), ax * bx + ay * by)
    # Turning arm A moves the angle by its normal / length, arm B by the opposite; the corner feels both.
    normal_a, normal_b = (-ay / length_a, ax / length_a), (by / length_b, -bx / length_b)
    corner_x, corner_y = normal_a[0] + normal_b[0], normal_a[1] + normal_b[1]
    variance = length_a**-2 + length_b**-2 + corner_x**2 + corner_y**2
    return Quantity(math.degrees(value), math.degrees(click_u_px * math.sqrt(variance)), "°")


def scale_from(length: Quantity, pixels: Quantity) -> Scale:
    """Scale from a known length (mm) and the pixels it covers.

    Raises BadInput for a length of zero or less on either side.
    """
    if pixels.value <= 0:
        raise BadInput("A scale of zero length measures nothing; draw it again from end to end.")
    if length.value <= 0:
        raise BadInput("The known length of a scale must be larger than zero.")
    return Scale(product(((length, 1), (pixels, -1)), "mm/px"))


def scale_from_mark(mark: Mark, click_u_px: float = CLICK_U_PX) -> Scale:
    """Scale from a scale mark. Raises BadInput when it has no length or no known length."""
    if mark.kind is not MarkKind.SCALE:
        raise BadInput("This mark is not a scale.")
    if mark.length_mm is None or not math.isfinite(mark.length_mm) or mark.length_mm <= 0:
        raise BadInput("This scale does not say how long it is; give its length in millimetres.")
    _need(mark.points, 2, "A scale")
    if _towards(mark.points[0], mark.points[1])[0] == 0:
        raise BadInput("A scale of zero length measures nothing; draw it again from end to end.")
    return scale_from(
        Quantity(mark.length_mm, mark.length_u_mm or 0.0, "mm"), path_length(mark.points[:2], click_u_px)
    )


def scale_of(marks: Iterable[Mark], click_u_px: float = CLICK_U_PX) -> Scale | None:
    """The scale of one picture from all its scale marks, None without any.

    Several are averaged by their weights; if they differ by more than their expanded uncertainty the widest
    half difference becomes the uncertainty and `doubt` says so. Raises BadInput for a broken scale mark.
    """
    scales = [scale_from_mark(mark, click_u_px).mm_per_px for mark in marks if mark.kind is MarkKind.SCALE]
    if not scales:
        return None
    if len(scales) == 1:
        return Scale(scales[0])
    weights = [1 / s.u**2 if s.u else 1e18 for s in scales]
    mean = sum(w * s.value for w, s in zip(weights, scales, strict=True)) / sum(weights)
    u = 1 / math.sqrt(sum(weights))
    lowest, highest = min(scales, key=lambda s: s.value), max(scales, key=lambda s: s.value)
    apart = highest.value - lowest.value
    if apart > 2 * math.hypot(lowest.u, highest.u):
        percent = decimal_text(100 * apart / mean, 1)
        doubt = f"The scales on this picture differ by {percent} %; they do not lie in one plane."
        return Scale(Quantity(mean, max(u, apart / 2), "mm/px"), doubt)
    return Scale(Quantity(mean, u, "mm/px"))


def measure(mark: Mark, scale: Scale | None = None, click_u_px: float = CLICK_U_PX) -> Measurement:
    """What a mark measures. Raises BadInput for a mark that measures nothing or has no size."""
    match mark.kind:
        case MarkKind.LINE | MarkKind.POLYLINE | MarkKind.FREE:
            what, unit, pixels = "length", "mm", path_length(mark.points, click_u_px)
        case MarkKind.ELLIPSE:
            what, unit, pixels = "area", "mm²", ellipse_area(mark.points, click_u_px)
        case MarkKind.POLYGON:
            what, unit, pixels = "area", "mm²", polygon_area(mark.points, click_u_px)
        case MarkKind.ANGLE:
            turned = angle(mark.points, click_u_px)
            return Measurement(mark, "angle", turned, turned, scale)
        case _:
            raise BadInput(f"A {mark.kind.value} mark measures nothing.")
    real = product(((pixels, 1), (scale.mm_per_px, _DEGREE[mark.kind])), unit) if scale else None
    return Measurement(mark, what, pixels, real, scale)


def measures(kind: MarkKind) -> bool:
    """Whether marks of this kind measure something."""
    return kind in _DEGREE


def ratio(first: Measurement, second: Measurement) -> Quantity:
    """First divided by second. On one picture the scale cancels and is not needed.

    Raises BadInput for unlike kinds and for two pictures of which one has no scale.
    """
    if first.what != second.what:
        raise BadInput(f"A ratio of {first.what} to {second.what} says nothing.")
    if first.mark.photo_id == second.mark.photo_id:
        return product(((first.pixels, 1), (second.pixels, -1)), "")
    if first.real is None or second.real is None:
        raise BadInput("Two pictures can only be compared if both have a scale.")
    return product(((first.real, 1), (second.real, -1)), "")


def range_over(measurements: Iterable[Measurement]) -> Range:
    """The range over several fruit bodies. Raises BadInput without scale, for none, or for mixed units."""
    chosen = list(measurements)
    found = [m.real for m in chosen if m.real is not None]
    if not chosen:
        raise BadInput("Nothing was measured.")
    if len(found) < len(chosen):
        raise BadInput(NO_SCALE)
    if len({q.unit for q in found}) > 1:
        raise BadInput("Lengths, areas and angles make no common range.")
    values = [q.value for q in found]
    return Range(
        len(values),
        min(values),
        max(values),
        math.fsum(values) / len(values),
        max(q.u for q in found),
        found[0].unit,
    )


def tilt_factor(tilt_deg: float, direction_deg: float = 0.0) -> float:
    """Shown length over true length on a plane tilted by `tilt_deg`.

    `direction_deg` is the angle between the length and the direction of tilt: 0 is worst, 90 is not touched.
    """
    tilt, direction = math.radians(tilt_deg), math.radians(direction_deg)
    return math.sqrt(math.sin(direction) ** 2 + (math.cos(direction) * math.cos(tilt)) ** 2)


def tilt_from_circle(long_px: float, short_px: float) -> float:
    """Tilt in degrees of a round thing seen as an ellipse of these axes. Raises BadInput for a zero axis."""
    short, long = sorted((abs(long_px), abs(short_px)))
    if short == 0:
        raise BadInput("A circle seen edge on tells no scale.")
    return math.degrees(math.acos(short / long))


def depth_factor(distance_mm: float, nearer_mm: float) -> float:
    """Shown length over true length of a thing `nearer_mm` nearer the camera than the scale (pinhole).

    `distance_mm` is from camera to scale; negative `nearer_mm` is farther. Raises BadInput
    for what is at or behind the lens.
    """
    if distance_mm <= 0 or nearer_mm >= distance_mm:
        raise BadInput("The thing measured must lie in front of the camera.")
    return distance_mm / (distance_mm - nearer_mm)
