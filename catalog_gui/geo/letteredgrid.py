"""Grids whose 100 km squares carry letters: how positions get references and references squares."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

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
from catalog_gui.geo.projections import Projection

LETTERS = "ABCDEFGHJKLMNOPQRSTUVWXYZ"  # 25: no I

_HUNDRED_KM = 100_000.0
_TETRAD_M = 2_000.0
_TETRADS = "ABCDEFGHIJKLMNPQRSTUVWXYZ"  # 25: no O; five a column, from the south-west upwards
_REFERENCE = re.compile(r"([A-Z]{1,2}?)\s*(?:([\d\s]*)|(\d)\s*(\d)\s*([A-Z]))")


@dataclass(frozen=True, slots=True)
class LetteredGrid:
    """A grid on a projection of its own, with letters for its 100 km squares.

    `squares` gives the letters by column and row from the grid's origin; what is not there is
    outside. `shift_m` is how far the datum shift of `projection` may be out, `srs` the EPSG code.
    """

    grid: Grid
    srs: str
    projection: Projection
    squares: Mapping[tuple[int, int], str]
    shift_m: float

    def easting_northing(self, position: Position) -> tuple[float, float]:
        """Metres east and north of the grid's origin; raises when the grid does not reach there."""
        easting, northing = self.projection.to_plane(position)
        self._letters(easting, northing)
        return easting, northing

    def position_at(self, easting: float, northing: float) -> Position:
        """The position at these metres; raises when they are outside the grid."""
        self._letters(easting, northing)
        return self.projection.from_plane(easting, northing)

    def square_at(self, position: Position, side_m: float) -> GridSquare:
        """The square of this side that holds `position`, however well the position is known."""
        return self.square_on_grid(*self.easting_northing(position), side_m)

    def square_on_grid(self, easting: float, northing: float, side_m: float) -> GridSquare:
        """The square of this side (1 m to 100 km, in powers of ten) that holds this point of the grid."""
        reference = self._letters(easting, northing) + figures_within(easting, northing, side_m)
        return self._square(reference, cut_off(easting, side_m), cut_off(northing, side_m), side_m)

    def square_of(self, reference: str) -> GridSquare:
        """The square that a reference names: 0 to 10 figures, or a tetrad such as TL69A.

        Blanks and lower case are accepted. Raises `CoordinateError` with a sentence otherwise.
        """
        text = reference.strip().upper()
        match = _REFERENCE.fullmatch(text)
        if match is None:
            raise CoordinateError(f"'{reference.strip()}' is not a reference of the {self.grid.value}.")
        letters, figures, tens, units, tetrad = match.groups()
        west, south = self._corner(letters)
        if tetrad is None:
            right, up, side_m = read_figures(figures, reference.strip())
            canonical = letters + "".join(figures.split())
        else:
            if tetrad not in _TETRADS:
                raise CoordinateError(f"'{reference.strip()}' is no tetrad: they go from A to Z without O.")
            column, row = divmod(_TETRADS.index(tetrad), 5)
            side_m = _TETRAD_M
            right, up = int(tens) * 10_000.0 + column * side_m, int(units) * 10_000.0 + row * side_m
            canonical = letters + tens + units + tetrad
        return self._square(canonical, west + right, south + up, side_m)

    def reference(
        self,
        position: Position,
        uncertainty_m: float | None,
        *,
        figures: int | None = None,
        shift_m: float | None = None,
    ) -> str:
        """The reference of `position`, known to `uncertainty_m` (None: not noted).

        As fine as is honest (`gridsquare.honest_figures`), or with as many `figures` as asked for;
        more than is honest raises. `shift_m=0` is for a position that came from this grid and goes
        back to it, so that the datum shift cancels.
        """
        doubt_m = self.shift_m if shift_m is None else shift_m
        side_m = side_of(chosen_figures(figures, uncertainty_m, doubt_m))
        easting, northing = self.easting_northing(position)
        return self._letters(easting, northing) + figures_within(easting, northing, side_m)

    def covers(self, position: Position) -> bool:
        """Whether the grid reaches `position`."""
        try:
            self.easting_northing(position)
        except CoordinateError:
            return False
        return True

    def _square(self, reference: str, easting: float, northing: float, side_m: float) -> GridSquare:
        return square_on(
            self.projection,
            grid=self.grid,
            reference=reference,
            easting=easting,
            northing=northing,
            side_m=side_m,
            shift_m=self.shift_m,
        )

    def _letters(self, easting: float, northing: float) -> str:
        try:
            cell = (
                int(cut_off(easting, _HUNDRED_KM) // _HUNDRED_KM),
                int(cut_off(northing, _HUNDRED_KM) // _HUNDRED_KM),
            )
            return self.squares[cell]
        except (KeyError, ValueError, OverflowError):
            raise CoordinateError(f"This place lies outside the {self.grid.value}.") from None

    def _corner(self, letters: str) -> tuple[float, float]:
        for (column, row), name in self.squares.items():
            if name == letters:
                return column * _HUNDRED_KM, row * _HUNDRED_KM
        if "I" in letters:
            raise CoordinateError(f"There is no square '{letters}': grid letters leave out I.")
        raise CoordinateError(f"The {self.grid.value} has no square '{letters}'.")
