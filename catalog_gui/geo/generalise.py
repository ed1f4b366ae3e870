"""Deliberate imprecision: handing on a find without handing on its place.

A place is snapped to the centre of a fixed square. The same place gives the same square every time,
so a hundred exports say no more than one. A random shift would not do: it puts false points on the
map, and the mean of many of them walks back to the truth (Chapman 2020, Current Best Practices for
Generalizing Sensitive Species Occurrence Data, advises against it). For the same reason everything
that goes out here - centre, radius, words - depends on the square alone and not on where in it the
place lies. Squares of 1 km lie wholly in those of 10 km of the same grid, so both grades together say
no more than the finer one; squares of different grids overlap askew and would narrow the place down,
so keep to one grid for one find.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum

from catalog_gui.geo import mgrs
from catalog_gui.geo.britishgrid import BRITISH_GRID
from catalog_gui.geo.gridsquare import Grid, GridSquare
from catalog_gui.geo.irishgrid import IRISH_GRID
from catalog_gui.geo.position import CoordinateError, Position
from catalog_gui.geo.uncertainty import (
    coordinate_precision_m,
    half_diagonal_m,
    point_radius_spatial_fit,
    rounded_up_m,
)
from catalog_gui.geo.usualgrid import grid_for
from catalog_gui.geo.utm import band_of, to_utm, zone_of

_WITHHELD = "The exact place is withheld to protect the site."
_HIDDEN = "The place is withheld to protect the site."


class Grade(Enum):
    """How coarse a place goes out."""

    ONE_KM = "1 km square"
    TEN_KM = "10 km square"
    HUNDREDTH_DEGREE = "0.01 degree"
    TENTH_DEGREE = "0.1 degree"
    HIDDEN = "hidden"


_SIDES_M = {Grade.ONE_KM: 1_000.0, Grade.TEN_KM: 10_000.0}
_DECIMALS = {Grade.HUNDREDTH_DEGREE: 2, Grade.TENTH_DEGREE: 1}
# Where no grid reaches (beyond 80 S and 84 N) degrees of like size stand in.
_DEGREES_FOR = {Grade.ONE_KM: Grade.HUNDREDTH_DEGREE, Grade.TEN_KM: Grade.TENTH_DEGREE}


@dataclass(frozen=True, slots=True)
class Generalised:
    """A place as it may go out; everything about the place is None when it is hidden.

    `uncertainty_m` is a radius about `position` that holds the true place. `reference` and
    `footprint_wkt` name and outline the square, `spatial_fit` is pointRadiusSpatialFit; all three are
    None when the place was known no better than the square, for then it may lie outside, and for
    degrees. `precision_deg` is Darwin Core's coordinatePrecision. The two last are sentences for the
    Darwin Core terms of these names, empty where there is nothing to say.
    """

    position: Position | None
    uncertainty_m: int | None
    reference: str | None
    footprint_wkt: str | None
    spatial_fit: float | None
    precision_deg: float | None
    data_generalizations: str
    information_withheld: str


def generalise(
    position: Position, grade: Grade, *, grid: Grid | None = None, uncertainty_m: float = 0.0
) -> Generalised:
    """`position`, known to `uncertainty_m`, made as coarse as `grade` says.

    Squares are those of `grid` where that is in use, otherwise of the grid usual there.
    """
    if grade is Grade.HIDDEN:
        return Generalised(None, None, None, None, None, None, "", _HIDDEN)
    if grade in _DECIMALS:
        return _to_degrees(position, grade, uncertainty_m)
    square = _square(position, _SIDES_M[grade], grid_for(position, grid))
    if square is None:
        return _to_degrees(position, _DEGREES_FOR[grade], uncertainty_m)
    # Centre and square come from the position by one and the same datum shift, there and back: its
    # error cancels and is not added here.
    reach_m = rounded_up_m(square.radius_m + uncertainty_m)
    inside = uncertainty_m <= half_diagonal_m(square.side_m)
    named = f" {square.reference}" if inside else ""
    return Generalised(
        position=square.centre,
        uncertainty_m=reach_m,
        reference=square.reference if inside else None,
        footprint_wkt=square.footprint_wkt if inside else None,
        spatial_fit=point_radius_spatial_fit(reach_m, square.side_m) if inside else None,
        precision_deg=None,
        data_generalizations=(
            f"Coordinates generalised to the centre of the {square.side_m / 1000.0:g} km square{named} "
            f"of the {square.grid.value}."
        ),
        information_withheld=_WITHHELD,
    )


def _square(position: Position, side_m: float, grid: Grid) -> GridSquare | None:
    for lettered in (BRITISH_GRID, IRISH_GRID):
        if grid is lettered.grid and lettered.covers(position):
            return lettered.square_at(position, side_m)
    try:
        return _whole_mgrs_square(position, side_m)
    except CoordinateError:
        return None


def _whole_mgrs_square(position: Position, side_m: float) -> GridSquare:
    """The MGRS square, or a coarser one where the edge of a zone leaves only a sliver of it.

    A sliver would tell the place far better than the square it is called by. Its band letter is that
    of the centre, since the letter of the place itself would tell on which side of a band's edge it is.
    """
    point = to_utm(position)
    square = mgrs.square_on_grid(point, side_m)
    if zone_of(square.centre) != point.zone and side_m < 100_000.0:
        return _whole_mgrs_square(position, side_m * 10.0)
    return mgrs.square_on_grid(replace(point, band=band_of(square.centre.latitude)), side_m)


def _to_degrees(position: Position, grade: Grade, uncertainty_m: float) -> Generalised:
    decimals = _DECIMALS[grade]
    step = 10.0**-decimals
    latitude = round(position.latitude, decimals)
    longitude = round(position.longitude, decimals)
    # The radius falls towards the poles; taken at the true latitude it would give that away. The
    # cell's edge nearest the equator holds for the whole cell.
    diagonal_m = coordinate_precision_m(max(0.0, abs(latitude) - step / 2.0), step)
    return Generalised(
        position=Position(latitude + 0.0, 180.0 if longitude == -180.0 else longitude + 0.0),
        uncertainty_m=rounded_up_m(max(diagonal_m, diagonal_m / 2.0 + uncertainty_m)),
        reference=None,
        footprint_wkt=None,
        spatial_fit=None,
        precision_deg=step,
        data_generalizations=f"Coordinates rounded to the nearest {step:g} degree.",
        information_withheld=_WITHHELD,
    )
