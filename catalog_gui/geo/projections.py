"""The projections behind the grids, each pinned step by step.

Asked for "WGS 84 to British National Grid", PROJ picks an operation by what grid files happen to be
installed or can be fetched. A record must not change with the machine, so every step is spelt out
here. pyproj costs a tenth of a second to import and is imported with the first projection.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from catalog_gui.geo.position import CoordinateError, Position

if TYPE_CHECKING:
    from pyproj import Transformer

# Ordnance Survey, A guide to coordinate systems in Great Britain, v3.6: Airy 1830, the National
# Grid, and the seven-parameter shift from ETRS89/WGS 84 (wrong by up to about 5 m in the islands).
AIRY = "+a=6377563.396 +b=6356256.909"
AIRY_CARTESIAN = f"+proj=cart {AIRY}"
WGS84_TO_OSGB36 = (
    "+proj=helmert +x=-446.448 +y=125.157 +z=-542.060 +s=20.4894 "
    "+rx=-0.1502 +ry=-0.2470 +rz=-0.8421 +convention=position_vector"
)
NATIONAL_GRID = f"+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996012717 +x_0=400000 +y_0=-100000 {AIRY}"

# Airy modified and the TM75 grid (EPSG 29903); the shift is EPSG operation 1954, stated accuracy 1 m,
# there given in the other direction.
AIRY_MODIFIED = "+a=6377340.189 +b=6356034.448"
TM75_TO_WGS84 = (
    "+proj=helmert +x=482.5 +y=-130.6 +z=564.6 +s=8.15 "
    "+rx=-1.042 +ry=-0.214 +rz=-0.631 +convention=position_vector"
)
IRISH_GRID = f"+proj=tmerc +lat_0=53.5 +lon_0=-8 +k=1.000035 +x_0=200000 +y_0=250000 {AIRY_MODIFIED}"

# Irish Transverse Mercator (EPSG 2157), on GRS 80 itself: no shift.
IRISH_TRANSVERSE_MERCATOR = (
    "+proj=tmerc +lat_0=53.5 +lon_0=-8 +k=0.99982 +x_0=600000 +y_0=750000 +ellps=GRS80"
)


@dataclass(frozen=True, slots=True)
class Projection:
    """Steps of a PROJ pipeline that takes WGS 84 degrees to metres east and north."""

    steps: tuple[str, ...]

    def to_plane(self, position: Position) -> tuple[float, float]:
        """Easting and northing in metres."""
        easting, northing = pipeline(self.steps).transform(position.longitude, position.latitude)
        return float(easting), float(northing)

    def from_plane(self, easting: float, northing: float) -> Position:
        """The position that `to_plane` takes to this easting and northing.

        Raises `CoordinateError` where the projection has no such place.
        """
        # A datum shift leaves the ellipsoid by some metres of height, which both directions drop;
        # going back and forth would drift by a millimetre, enough to slip over the edge of a square.
        aim_e, aim_n = easting, northing
        for _ in range(3):
            position = _back(self.steps, aim_e, aim_n)
            e, n = self.to_plane(position)
            aim_e, aim_n = aim_e + easting - e, aim_n + northing - n
        return position


BRITISH = Projection(("+proj=cart +ellps=WGS84", WGS84_TO_OSGB36, f"+inv {AIRY_CARTESIAN}", NATIONAL_GRID))
IRISH = Projection(
    (
        "+proj=cart +ellps=WGS84",
        f"+inv {TM75_TO_WGS84}",
        f"+inv +proj=cart {AIRY_MODIFIED}",
        IRISH_GRID,
    )
)
ITM = Projection((IRISH_TRANSVERSE_MERCATOR,))


def utm_projection(zone: int, *, south: bool) -> Projection:
    """The UTM projection of a zone, with the southern false northing if `south`."""
    return Projection((f"+proj=utm +zone={zone} +ellps=WGS84" + (" +south" if south else ""),))


@cache
def pipeline(steps: tuple[str, ...]) -> Transformer:
    """A PROJ pipeline from longitude and latitude in degrees through `steps`."""
    from pyproj import Transformer  # noqa: PLC0415 - see the head of this file

    head = "+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad"
    return Transformer.from_pipeline(" ".join([head, *(f"+step {step}" for step in steps)]))


def _back(steps: tuple[str, ...], easting: float, northing: float) -> Position:
    longitude, latitude = pipeline(steps).transform(easting, northing, direction="INVERSE")
    try:
        return Position(float(latitude), math.remainder(longitude, 360.0))
    except ValueError:  # infinite, PROJ's way of saying no
        message = f"There is no place at easting {easting:.0f}, northing {northing:.0f}."
        raise CoordinateError(message) from None
