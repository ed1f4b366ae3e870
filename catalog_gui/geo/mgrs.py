"""The Military Grid Reference System: references such as 30UXB006363 (FGDC-STD-011-2001).

Squares are those of UTM; figures are cut off, never rounded.
"""

from __future__ import annotations

import math
import re

from catalog_gui.geo.gridsquare import (
    Grid,
    GridSquare,
    chosen_figures,
    cut_off,
    figures_within,
    read_figures,
    side_of,
    square_on,
)
from catalog_gui.geo.position import CoordinateError, Position
from catalog_gui.geo.projections import utm_projection
from catalog_gui.geo.utm import UtmPoint, band_limits, check_zone, half_width_deg, to_utm

_COLUMNS = ("ABCDEFGH", "JKLMNPQR", "STUVWXYZ")
_ROWS = "ABCDEFGHJKLMNPQRSTUV"
_HUNDRED_KM = 100_000.0
_ROWS_REPEAT_M = 2_000_000.0
_REFERENCE = re.compile(r"(\d{1,2})\s*([A-Z])\s*([A-Z])\s*([A-Z])\s*([\d\s]*)")

# A square of 100 km on a curved edge of a band may reach into it between its corners only.
_SLACK_DEG = 0.02


def square_at(position: Position, side_m: float) -> GridSquare:
    """The square of this side that holds `position`, however well the position is known."""
    return square_on_grid(to_utm(position), side_m)


def square_on_grid(point: UtmPoint, side_m: float) -> GridSquare:
    """The square of this side (1 m to 100 km, in powers of ten) that holds this point of its zone."""
    return _square(
        point.zone,
        point.band,
        cut_off(point.easting, side_m),
        cut_off(point.northing, side_m),
        side_m,
    )


def square_of(reference: str) -> GridSquare:
    """The square that a reference names, 0 to 10 figures; blanks and lower case are accepted.

    Raises `CoordinateError` with a sentence when it is malformed or names no square of its zone.
    """
    match = _REFERENCE.fullmatch(reference.strip().upper())
    if match is None:
        raise CoordinateError(f"'{reference.strip()}' is not an MGRS reference, such as 30UXB006363.")
    zone, band = int(match[1]), match[2]
    check_zone(zone, band)
    column, row = match[3], match[4]
    right, up, side_m = read_figures(match[5], reference.strip())
    columns = _COLUMNS[(zone - 1) % 3]
    if column not in columns or row not in _ROWS:
        raise CoordinateError(f"Zone {zone} has no square '{column}{row}'.")
    easting = (columns.index(column) + 1) * _HUNDRED_KM + right
    lowest = (_ROWS.index(row) - _row_offset(zone)) % len(_ROWS) * _HUNDRED_KM + up
    for turn in range(6):
        square = _square(zone, band, easting, lowest + turn * _ROWS_REPEAT_M, side_m)
        if _reaches(square, zone, band):
            return square
    raise CoordinateError(f"Square '{column}{row}' does not lie in zone {zone}{band}.")


def reference(position: Position, uncertainty_m: float | None, *, figures: int | None = None) -> str:
    """The reference of `position`, known to `uncertainty_m` (None: not noted).

    As fine as is honest (`gridsquare.honest_figures`), or with as many `figures` as asked for; more
    than is honest raises.
    """
    point = to_utm(position)
    return _name(
        point.zone,
        point.band,
        point.easting,
        point.northing,
        side_of(chosen_figures(figures, uncertainty_m, shift_m=0.0)),
    )


def _square(zone: int, band: str, easting: float, northing: float, side_m: float) -> GridSquare:
    return square_on(
        utm_projection(zone, south=band < "N"),
        grid=Grid.MGRS,
        reference=_name(zone, band, easting, northing, side_m),
        easting=easting,
        northing=northing,
        side_m=side_m,
        shift_m=0.0,
    )


def _name(zone: int, band: str, easting: float, northing: float, side_m: float) -> str:
    column = int(cut_off(easting, _HUNDRED_KM) // _HUNDRED_KM) - 1
    row = int(cut_off(northing, _HUNDRED_KM) // _HUNDRED_KM)
    square = _COLUMNS[(zone - 1) % 3][column] + _ROWS[(row + _row_offset(zone)) % len(_ROWS)]
    return f"{zone:02d}{band}{square}{figures_within(easting, northing, side_m)}"


def _row_offset(zone: int) -> int:
    return 5 if zone % 2 == 0 else 0


def _reaches(square: GridSquare, zone: int, band: str) -> bool:
    low, high = band_limits(band)
    spots = (square.centre, *square.corners)
    if max(spot.latitude for spot in spots) < low - _SLACK_DEG:
        return False
    if min(spot.latitude for spot in spots) > high + _SLACK_DEG:
        return False
    middle = zone * 6.0 - 183.0
    away = min(abs(math.remainder(spot.longitude - middle, 360.0)) for spot in spots)
    return away <= half_width_deg(zone, band) + _SLACK_DEG
