"""The British National Grid: references such as SU387148.

Positions reach it by the seven-parameter shift that Ordnance Survey publishes, pinned in
`projections`. That shift misses by up to 4.74 m at Ordnance Survey's own test points (Scilly), so
5 m are added to what a reference read from a map leaves open, and a position from a receiver gets
no reference finer than 6 figures: the 10 m square might well be the wrong one.
"""

from __future__ import annotations

from catalog_gui.geo.gridsquare import Grid
from catalog_gui.geo.letteredgrid import LETTERS, LetteredGrid
from catalog_gui.geo.projections import BRITISH

HELMERT_M = 5.0

# The grid's sheet is 700 km wide and 1300 km high; its origin is the corner of square SV.
_COLUMNS, _ROWS = 7, 13


def _letters(column: int, row: int) -> str:
    """First the letter of the 500 km square, then of the 100 km square in it, A in the north-west."""
    pair = ((column // 5 + 2, 3 - row // 5), (column % 5, 4 - row % 5))
    return "".join(LETTERS[down * 5 + across] for across, down in pair)


BRITISH_GRID = LetteredGrid(
    grid=Grid.BRITISH,
    srs="EPSG:27700",
    projection=BRITISH,
    squares={(column, row): _letters(column, row) for column in range(_COLUMNS) for row in range(_ROWS)},
    shift_m=HELMERT_M,
)
