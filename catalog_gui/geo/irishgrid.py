"""The Irish Grid (references such as O159346) and Irish Transverse Mercator (ITM, metres only)."""

from __future__ import annotations

import math

from catalog_gui.geo.gridsquare import Grid
from catalog_gui.geo.letteredgrid import LETTERS, LetteredGrid
from catalog_gui.geo.position import CoordinateError, Position
from catalog_gui.geo.projections import IRISH, ITM

SHIFT_M = 1.0  # accuracy that the EPSG register states for its operation 1954

IRISH_GRID = LetteredGrid(
    grid=Grid.IRISH,
    srs="EPSG:29903",
    projection=IRISH,
    squares={(column, row): LETTERS[(4 - row) * 5 + column] for column in range(5) for row in range(5)},
    shift_m=SHIFT_M,
)

ITM_SRS = "EPSG:2157"
# The Irish Grid's 500 km square in ITM's numbers, where the false origin is 400 km and 500 km farther off.
_EAST = (400_000.0, 900_000.0)
_NORTH = (500_000.0, 1_000_000.0)


def to_itm(position: Position) -> tuple[float, float]:
    """ITM easting and northing in metres; raises away from Ireland."""
    easting, northing = ITM.to_plane(position)
    _check_itm(easting, northing)
    return easting, northing


def from_itm(easting: float, northing: float) -> Position:
    """The position at these ITM metres; raises away from Ireland."""
    _check_itm(easting, northing)
    return ITM.from_plane(easting, northing)


def _check_itm(easting: float, northing: float) -> None:
    inside = _EAST[0] <= easting < _EAST[1] and _NORTH[0] <= northing < _NORTH[1]
    if not inside or not math.isfinite(easting + northing):
        raise CoordinateError("This place lies outside Irish Transverse Mercator.")
