"""A flat sheet of metres laid on the earth around one place, for plans and for sorting."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field

from catalog_gui.geo.position import Position
from catalog_gui.geo.uncertainty import WGS84_A_M, WGS84_E2

_WGS84_B_M = WGS84_A_M * math.sqrt(1.0 - WGS84_E2)


@dataclass(frozen=True, slots=True)
class LocalPlane:
    """Metres east (x) and north (y) of `centre`; straight-line distance and direction from it hold.

    An azimuthal equidistant map built from the straight chord between two points, so it needs no
    library and no special case: the date line and the poles are places like any other, and a
    wild fix on the other side of the world stays far away instead of folding back. It agrees with
    PROJ's ellipsoidal azimuthal equidistant map to 0.02 mm at 10 km and 2 cm at 100 km from the
    centre.
    """

    centre: Position
    _frame: tuple[float, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        phi = math.radians(self.centre.latitude)
        lam = math.radians(self.centre.longitude)
        sin_phi, cos_phi = math.sin(phi), math.cos(phi)
        curvature = 1.0 - WGS84_E2 * sin_phi * sin_phi
        normal_m = WGS84_A_M / math.sqrt(curvature)
        meridian_m = normal_m * (1.0 - WGS84_E2) / curvature
        frame = (
            sin_phi,
            cos_phi,
            lam,
            normal_m * cos_phi,
            normal_m * (1.0 - WGS84_E2) * sin_phi,
            math.sqrt(normal_m * meridian_m),
        )
        object.__setattr__(self, "_frame", frame)

    def to_plane(
        self, latitudes: Iterable[float], longitudes: Iterable[float]
    ) -> tuple[list[float], list[float]]:
        """x and y in metres of points given in degrees; as many as the shorter input has."""
        sin_c, cos_c, lam_c, axis_m, height_m, radius_m = self._frame
        sin, cos, asin, sqrt, radians = math.sin, math.cos, math.asin, math.sqrt, math.radians
        a, e2, polar = WGS84_A_M, WGS84_E2, 1.0 - WGS84_E2
        diameter_m = 2.0 * radius_m
        xs: list[float] = []
        ys: list[float] = []
        for latitude, longitude in zip(latitudes, longitudes, strict=False):
            phi = radians(latitude)
            lam = radians(longitude) - lam_c
            sin_p = sin(phi)
            normal_m = a / sqrt(1.0 - e2 * sin_p * sin_p)
            ring_m = normal_m * cos(phi)
            across = ring_m * cos(lam) - axis_m
            along = normal_m * polar * sin_p - height_m
            east = ring_m * sin(lam)
            north = cos_c * along - sin_c * across
            up = cos_c * across + sin_c * along
            flat2 = east * east + north * north
            arc_m = diameter_m * asin(min(1.0, sqrt(flat2 + up * up) / diameter_m))
            if flat2 == 0.0:  # the centre itself, or the far end of the world: any direction is right
                xs.append(0.0)
                ys.append(arc_m)
                continue
            stretch = arc_m / sqrt(flat2)
            xs.append(east * stretch)
            ys.append(north * stretch)
        return xs, ys

    def from_plane(self, xs: Iterable[float], ys: Iterable[float]) -> tuple[list[float], list[float]]:
        """Latitudes and longitudes in degrees of points given in metres; inverse of `to_plane`."""
        latitudes: list[float] = []
        longitudes: list[float] = []
        for x, y in zip(xs, ys, strict=False):
            position = self._unfold(x, y)
            latitudes.append(position.latitude)
            longitudes.append(position.longitude)
        return latitudes, longitudes

    def xy(self, position: Position) -> tuple[float, float]:
        """x and y in metres of one position."""
        xs, ys = self.to_plane((position.latitude,), (position.longitude,))
        return xs[0], ys[0]

    def position(self, x: float, y: float) -> Position:
        """The position at x metres east and y metres north of the centre."""
        return self._unfold(x, y)

    def _unfold(self, x: float, y: float) -> Position:
        arc_m = math.hypot(x, y)
        if arc_m == 0.0:
            return self.centre
        sin_c, cos_c, lam_c, axis_m, height_m, radius_m = self._frame
        chord_m = 2.0 * radius_m * math.sin(min(arc_m / (2.0 * radius_m), math.pi / 2.0))
        dip = _dip(self._frame, chord_m, x / arc_m, y / arc_m, arc_m / (2.0 * radius_m))
        flat_m, up = chord_m * math.cos(dip), -chord_m * math.sin(dip)
        east, north = flat_m * x / arc_m, flat_m * y / arc_m
        across = cos_c * up - sin_c * north + axis_m
        along = sin_c * up + cos_c * north + height_m
        # On the surface itself the geodetic latitude follows from the normal directly.
        phi = math.atan2(along, (1.0 - WGS84_E2) * math.hypot(across, east))
        lam = math.degrees(lam_c + math.atan2(east, across))
        return Position(math.degrees(phi), math.remainder(lam, 360.0))


def _dip(frame: tuple[float, ...], chord_m: float, x: float, y: float, guess: float) -> float:
    """Angle below the horizon at which a chord of this length and direction meets the surface."""
    sin_c, cos_c, _, axis_m, height_m, _ = frame
    dip = guess
    for _ in range(50):
        sin_d, cos_d = math.sin(dip), math.cos(dip)
        east, north, up = chord_m * cos_d * x, chord_m * cos_d * y, -chord_m * sin_d
        d_east, d_north, d_up = -chord_m * sin_d * x, -chord_m * sin_d * y, -chord_m * cos_d
        across = cos_c * up - sin_c * north + axis_m
        along = sin_c * up + cos_c * north + height_m
        d_across, d_along = cos_c * d_up - sin_c * d_north, sin_c * d_up + cos_c * d_north
        a2, b2 = WGS84_A_M * WGS84_A_M, _WGS84_B_M * _WGS84_B_M
        outside = (across * across + east * east) / a2 + along * along / b2 - 1.0
        slope = 2.0 * ((across * d_across + east * d_east) / a2 + along * d_along / b2)
        if slope == 0.0:
            break
        step = outside / slope
        dip -= step
        if abs(step) < 1e-15:
            break
    return dip
