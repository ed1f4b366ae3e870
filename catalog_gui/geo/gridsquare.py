"""The square that a grid reference names, and how fine a reference one may honestly give."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from catalog_gui.geo.distance import distance_m
from catalog_gui.geo.position import CoordinateError, Position
from catalog_gui.geo.projections import Projection
from catalog_gui.geo.uncertainty import GPS_UNRECORDED_M, half_diagonal_m, rounded_up_m

# Figures of a reference, half for the easting and half for the northing, finest first.
FIGURES = (10, 8, 6, 4, 2, 0)

# Half a diagonal on the ground where the grid's scale is smallest (0.9996, the British grid and UTM).
_SMALLEST_SCALE = 0.9996

# Coming back from degrees may leave a coordinate nanometres short of the line it stands on.
_NOISE_M = 1e-6


class Grid(Enum):
    """A grid of squares with references."""

    BRITISH = "British National Grid"
    IRISH = "Irish Grid"
    MGRS = "Military Grid Reference System"


@dataclass(frozen=True, slots=True)
class GridSquare:
    """One square: where it lies and what a reference to it leaves open.

    `easting` and `northing` are those of the south-west corner, in metres on the grid's projection
    and `side_m` is the length of a side there. `corners` run south-west, south-east, north-east,
    north-west. `radius_m` reaches from the centre to the farthest corner on the ground (never less
    than half the diagonal); `shift_m` is how far the datum shift may be out.
    """

    grid: Grid
    reference: str
    easting: float
    northing: float
    side_m: float
    centre: Position
    corners: tuple[Position, Position, Position, Position]
    radius_m: float
    shift_m: float

    @property
    def uncertainty_m(self) -> int:
        """Radius about the centre that surely holds a place given only by this reference, in metres."""
        return rounded_up_m(self.radius_m + self.shift_m)

    @property
    def footprint_wkt(self) -> str:
        """The outline as a WKT polygon in WGS 84, longitude first; a tenth of a metre or better."""
        decimals = 6 if self.side_m >= 100.0 else 8
        ring = (*self.corners, self.corners[0])
        points = ", ".join(
            f"{corner.longitude:.{decimals}f} {corner.latitude:.{decimals}f}" for corner in ring
        )
        return f"POLYGON (({points}))"


def side_of(figures: int) -> float:
    """Side in metres of the square named by a reference of this many figures (6: 100 m)."""
    if figures not in FIGURES:
        raise CoordinateError("A grid reference has 0, 2, 4, 6, 8 or 10 figures.")
    return 100_000.0 / float(10 ** (figures // 2))


def figures_of(side_m: float) -> int:
    """How many figures name a square of this side; the inverse of `side_of`."""
    for figures in FIGURES:
        if side_of(figures) == side_m:
            return figures
    raise CoordinateError(f"There is no grid reference for a square of {side_m:g} m.")


def honest_figures(uncertainty_m: float | None, shift_m: float = 0.0) -> int:
    """The finest reference, in figures, that does not claim more than is known.

    A reference stands for a circle of half the square's diagonal about its centre, so it is honest
    when that circle, with the datum shift's own doubt, is no smaller than `uncertainty_m`; and the
    square must be wider than the shift may miss by, to either side. An uncertainty that nobody
    noted (None or 0) counts as that of a receiver. A place vaguer than 100 km raises.
    """
    known_to_m = uncertainty_m or GPS_UNRECORDED_M
    for figures in FIGURES:
        side_m = side_of(figures)
        claimed_m = rounded_up_m(half_diagonal_m(side_m) / _SMALLEST_SCALE + shift_m)
        if claimed_m >= known_to_m and side_m > 2.0 * shift_m:
            return figures
    raise CoordinateError(f"The place is known only to {known_to_m:.0f} m: too vague for a grid reference.")


def chosen_figures(figures: int | None, uncertainty_m: float | None, shift_m: float) -> int:
    """`figures` if that is honest, the finest honest number if None; otherwise raises."""
    finest = honest_figures(uncertainty_m, shift_m)
    if figures is None:
        return finest
    if side_of(figures) < side_of(finest):
        known_to_m = uncertainty_m or GPS_UNRECORDED_M
        datum = f" and the change of datum to {shift_m:g} m" if shift_m else ""
        raise CoordinateError(
            f"{figures} figures would claim {side_of(figures):g} m, but the place is known to "
            f"{known_to_m:.0f} m{datum}: {finest} figures at most."
        )
    return figures


def cut_off(metres: float, side_m: float) -> float:
    """The line of the grid at or below `metres`: digits are cut off, never rounded."""
    return (metres + _NOISE_M) // side_m * side_m


def figures_within(easting: float, northing: float, side_m: float) -> str:
    """The figures of a square within its 100 km square, easting first."""
    digits = figures_of(side_m) // 2
    if digits == 0:
        return ""
    parts = (int((metres + _NOISE_M) % 100_000.0 // side_m) for metres in (easting, northing))
    return "".join(f"{part:0{digits}d}" for part in parts)


def read_figures(text: str, reference: str) -> tuple[float, float, float]:
    """Easting and northing within the 100 km square, and the side, of the figures in `text`.

    Blanks may stand between the two halves and nowhere else; `reference` is for the sentences.
    """
    groups = text.split()
    figures = "".join(groups)
    if len(figures) % 2:
        raise CoordinateError(
            f"'{reference}' has {len(figures)} figures: it needs an even number, half east and half north."
        )
    if len(groups) > 1 and [len(group) for group in groups] != [len(figures) // 2] * 2:
        raise CoordinateError(f"'{reference}' has unequal groups of figures: write both halves equally long.")
    if len(figures) > FIGURES[0]:
        raise CoordinateError(
            f"'{reference}' has {len(figures)} figures: 10 (one metre) are the most there are."
        )
    side_m = side_of(len(figures))
    if not figures:
        return 0.0, 0.0, side_m
    middle = len(figures) // 2
    return int(figures[:middle]) * side_m, int(figures[middle:]) * side_m, side_m


def square_on(
    projection: Projection,
    *,
    grid: Grid,
    reference: str,
    easting: float,
    northing: float,
    side_m: float,
    shift_m: float,
) -> GridSquare:
    """The square with this south-west corner on `projection`."""
    centre = projection.from_plane(easting + side_m / 2.0, northing + side_m / 2.0)
    ring = ((0.0, 0.0), (side_m, 0.0), (side_m, side_m), (0.0, side_m))
    south_west, south_east, north_east, north_west = (
        projection.from_plane(easting + right, northing + up) for right, up in ring
    )
    corners = (south_west, south_east, north_east, north_west)
    # A grid's metres are not quite the ground's: near 2 degrees west a 10 km square of the British
    # grid reaches 2 m farther than its half diagonal.
    radius_m = max(half_diagonal_m(side_m), *(distance_m(centre, corner) for corner in corners))
    return GridSquare(grid, reference, easting, northing, side_m, centre, corners, radius_m, shift_m)
