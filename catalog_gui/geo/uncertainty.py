"""How far from the stated point the true place may be, in metres.

The rules are those of Chapman & Wieczorek 2020, Georeferencing Best Practices
(doi 10.15468/doc-gg7h-s853): every source of doubt has a largest amount, amounts are added, and
the sum is rounded up, so that the circle always holds the place.
"""

from __future__ import annotations

import math

from catalog_gui.geo.position import CoordinateError

# The two figures below are Darwin Core's examples of a sensible lower limit for a receiver whose
# accuracy nobody noted; on 2000-05-01 selective availability was switched off.
GPS_UNRECORDED_M = 30.0
GPS_UNRECORDED_BEFORE_MAY_2000_M = 100.0

# Largest distance between readings of the same degrees on any two datums (same book).
DATUM_UNRECORDED_M = 5359.0

WGS84_A_M = 6_378_137.0
WGS84_E2 = (2.0 - 1.0 / 298.257223563) / 298.257223563

# Keeps 10 000.000 000 001 from becoming 10 001; a micrometre is no uncertainty.
_NOISE_M = 1e-6


def rounded_up_m(metres: float) -> int:
    """Whole metres, never less than `metres` and never 0 (0 would claim perfect knowledge)."""
    if not math.isfinite(metres) or metres < 0:
        raise CoordinateError("An uncertainty must be a number of metres, 0 or more.")
    return max(1, math.ceil(metres - _NOISE_M))


def combined_m(*parts_m: float, datum_recorded: bool = True) -> int:
    """The sum of all doubts in `parts_m`, rounded up; an unknown datum adds 5359 m."""
    datum_m = 0.0 if datum_recorded else DATUM_UNRECORDED_M
    return rounded_up_m(sum(parts_m) + datum_m)


def half_diagonal_m(side_m: float) -> float:
    """Distance from the centre of a square to its corners: the radius that stands for the square."""
    return side_m / math.sqrt(2.0)


def metres_per_degree(latitude: float) -> tuple[float, float]:
    """Length on the WGS 84 ellipsoid of one degree of latitude and of longitude, at `latitude`."""
    phi = math.radians(latitude)
    curvature = 1.0 - WGS84_E2 * math.sin(phi) ** 2
    meridian_m = WGS84_A_M * (1.0 - WGS84_E2) / curvature**1.5
    parallel_m = WGS84_A_M / math.sqrt(curvature) * math.cos(phi)
    return math.radians(meridian_m), math.radians(parallel_m)


def coordinate_precision_m(latitude: float, precision_deg: float) -> float:
    """What coordinates written to `precision_deg` (0.01 for two decimals) leave open, in metres.

    The full diagonal of the cell, as the book takes it: nobody says whether a reading was rounded
    or cut off.
    """
    north_m, east_m = metres_per_degree(latitude)
    return precision_deg * math.hypot(north_m, east_m)


def point_radius_spatial_fit(radius_m: float, side_m: float) -> float:
    """Darwin Core's pointRadiusSpatialFit of a circle about the centre of a square.

    Area of the circle over area of the square; 0 when the circle does not hold the whole square;
    pi / 2 for the smallest circle that does.
    """
    if side_m <= 0:
        raise CoordinateError("The side of a square must be more than 0 m.")
    if radius_m < half_diagonal_m(side_m) - _NOISE_M:
        return 0.0
    return math.pi * (radius_m / side_m) ** 2
