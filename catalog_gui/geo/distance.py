"""Distances in metres and bearings in degrees between positions.

`haversine_m` needs nothing but arithmetic and is for sorting thousands of pictures; what is
reported to the user is a geodesic on the WGS 84 ellipsoid. pyproj costs a tenth of a second to
import, so it waits for the first geodesic.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from catalog_gui.geo.position import Position

if TYPE_CHECKING:
    from pyproj import Geod

EARTH_RADIUS_M = 6_371_008.8  # IUGG mean radius R1 of the GRS 80 ellipsoid


@dataclass(frozen=True, slots=True)
class Geodesic:
    """The shortest line between two positions.

    Bearings are degrees clockwise from true north in [0, 360): `bearing` leaves the start towards
    the end, `back_bearing` leaves the end towards the start. Both are None when the two coincide.
    """

    distance_m: float
    bearing: float | None
    back_bearing: float | None


def geodesic(start: Position, end: Position) -> Geodesic:
    """Shortest line on the WGS 84 ellipsoid (Karney 2013, J. Geodesy 87:43-55)."""
    forward, backward, distance_m = _wgs84().inv(start.longitude, start.latitude, end.longitude, end.latitude)
    if distance_m == 0.0:
        return Geodesic(0.0, None, None)
    return Geodesic(float(distance_m), _compass(forward), _compass(backward))


def distance_m(start: Position, end: Position) -> float:
    """Length in metres of the geodesic; 0 exactly for equal positions."""
    return geodesic(start, end).distance_m


def bearing_deg(start: Position, end: Position) -> float | None:
    """Bearing of `end` seen from `start`, degrees from true north; None when they coincide."""
    return geodesic(start, end).bearing


def destination(start: Position, bearing: float, distance: float) -> tuple[Position, float]:
    """Where one arrives `distance` metres along `bearing`, and the bearing on which one arrives."""
    longitude, latitude, backward = _wgs84().fwd(start.longitude, start.latitude, bearing, distance)
    return Position(float(latitude), float(longitude)), _compass(float(backward) + 180.0)


def haversine_m(latitude_1: float, longitude_1: float, latitude_2: float, longitude_2: float) -> float:
    """Great-circle distance in metres between two points in degrees, on the mean sphere.

    At most about 0.6 % off the geodesic: good enough to sort by, not to report.
    """
    phi_1 = math.radians(latitude_1)
    phi_2 = math.radians(latitude_2)
    half_phi = math.sin((phi_2 - phi_1) / 2.0)
    half_lambda = math.sin(math.radians(longitude_2 - longitude_1) / 2.0)
    square = half_phi * half_phi + math.cos(phi_1) * math.cos(phi_2) * half_lambda * half_lambda
    return 2.0 * EARTH_RADIUS_M * math.asin(math.sqrt(min(1.0, square)))


def _compass(degrees: float) -> float:
    wrapped = degrees % 360.0
    return 0.0 if wrapped == 360.0 else wrapped  # a tiny negative angle rounds up to 360.0


@cache
def _wgs84() -> Geod:
    from pyproj import Geod  # noqa: PLC0415 - see the head of this file

    return Geod(ellps="WGS84")
