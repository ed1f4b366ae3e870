"""The ways of writing a place, and writing one for people to read."""

from __future__ import annotations

from enum import Enum

from catalog_gui.geo import mgrs
from catalog_gui.geo.angles import sexagesimal
from catalog_gui.geo.britishgrid import BRITISH_GRID
from catalog_gui.geo.gridsquare import Grid
from catalog_gui.geo.irishgrid import IRISH_GRID, to_itm
from catalog_gui.geo.iso6709 import write_iso6709
from catalog_gui.geo.position import CoordinateError, Position
from catalog_gui.geo.uncertainty import coordinate_precision_m
from catalog_gui.geo.usualgrid import usual_grid
from catalog_gui.geo.utm import to_utm

# Five decimals of a degree are about a metre: what is shown when no uncertainty is known.
_USUAL_STEP_DEG = 1e-5


class Notation(Enum):
    """A way of writing a place; the value is what Darwin Core's verbatimCoordinateSystem says."""

    DECIMAL_DEGREES = "decimal degrees"
    DEGREES_MINUTES = "degrees decimal minutes"
    DEGREES_MINUTES_SECONDS = "degrees minutes seconds"
    ISO_6709 = "ISO 6709"
    BRITISH = "British National Grid"
    IRISH = "Irish Grid"
    ITM = "Irish Transverse Mercator"
    UTM = "UTM"
    MGRS = "MGRS"


def write_position(position: Position, notation: Notation, uncertainty_m: float | None = None) -> str:
    """`position` in `notation`, as fine as `uncertainty_m` (None: not noted) lets it be.

    Degrees get the fewest digits that do not add to the uncertainty; grid references the most that
    are honest; UTM and ITM are always whole metres, so state the uncertainty beside them. Raises
    `CoordinateError` where the notation does not reach; see `show_position` for a text that never fails.
    """
    match notation:
        case Notation.DECIMAL_DEGREES:
            decimals = _decimals(position, uncertainty_m, 1.0, 7)
            return f"{position.latitude:z.{decimals}f}, {position.longitude:z.{decimals}f}"
        case Notation.DEGREES_MINUTES:
            decimals = _decimals(position, uncertainty_m, 1.0 / 60.0, 5)
            return sexagesimal(position, seconds=False, decimals=decimals)
        case Notation.DEGREES_MINUTES_SECONDS:
            decimals = _decimals(position, uncertainty_m, 1.0 / 3600.0, 3)
            return sexagesimal(position, seconds=True, decimals=decimals)
        case Notation.ISO_6709:
            return write_iso6709(position, _decimals(position, uncertainty_m, 1.0, 7))
        case Notation.BRITISH:
            return BRITISH_GRID.reference(position, uncertainty_m)
        case Notation.IRISH:
            return IRISH_GRID.reference(position, uncertainty_m)
        case Notation.ITM:
            easting, northing = to_itm(position)
            return f"ITM {int(easting)} {int(northing)}"
        case Notation.UTM:
            return str(to_utm(position))
        case Notation.MGRS:
            return mgrs.reference(position, uncertainty_m)


def show_position(position: Position, preferred: Notation, uncertainty_m: float | None = None) -> str:
    """Like `write_position`, but a place away from the preferred grid's country is written another way.

    A British or Irish preference gives the usual grid of the place, MGRS abroad; what no grid can
    name (the poles, a place known to 100 km) is written in decimal degrees.
    """
    notation = preferred
    if preferred in (Notation.BRITISH, Notation.IRISH):
        notation = _NOTATION_OF[usual_grid(position)]
    try:
        return write_position(position, notation, uncertainty_m)
    except CoordinateError:
        return write_position(position, Notation.DECIMAL_DEGREES, uncertainty_m)


_NOTATION_OF = {Grid.BRITISH: Notation.BRITISH, Grid.IRISH: Notation.IRISH, Grid.MGRS: Notation.MGRS}


def _decimals(position: Position, uncertainty_m: float | None, unit_deg: float, most: int) -> int:
    allowed_m = uncertainty_m or coordinate_precision_m(position.latitude, _USUAL_STEP_DEG)
    for decimals in range(most):
        # A part in 10**9 of slack: the step of five decimals must count as itself.
        if coordinate_precision_m(position.latitude, unit_deg / 10**decimals) <= allowed_m * (1 + 1e-9):
            return decimals
    return most
