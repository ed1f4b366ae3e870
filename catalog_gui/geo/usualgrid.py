"""Which grid people use where: the British one in Great Britain, the Irish one in Ireland, else MGRS.

Both sheets reach far over their country's shore, so the choice needs lines of its own. They are drawn
by us through open sea, some kilometres from any land; there is no publication behind them.
"""

from __future__ import annotations

from catalog_gui.geo.gridsquare import Grid
from catalog_gui.geo.position import Position

_Outline = tuple[tuple[float, float], ...]  # latitude, longitude

_IRELAND: _Outline = (
    (51.20, -11.0), (51.20, -6.20), (52.10, -5.85), (53.30, -5.30), (54.20, -5.20), (54.70, -5.30),
    (55.00, -5.45), (55.25, -5.93), (55.45, -6.10), (55.47, -6.60), (55.60, -7.40), (55.60, -11.0),
)  # fmt: skip
_GREAT_BRITAIN: _Outline = (
    (49.85, -7.00), (49.85, -1.00), (50.25, 0.00), (50.40, 0.60), (50.95, 1.45), (51.20, 1.75),
    (52.00, 2.40), (55.00, 2.00), (61.10, 0.50), (61.10, -9.00), (55.50, -9.00),
)  # fmt: skip


def usual_grid(position: Position) -> Grid:
    """The grid in which people at `position` write references."""
    if _inside(_IRELAND, position):
        return Grid.IRISH
    return Grid.BRITISH if _inside(_GREAT_BRITAIN, position) else Grid.MGRS


def grid_for(position: Position, preferred: Grid | None) -> Grid:
    """`preferred` where it is usual (MGRS is usual everywhere), otherwise the usual grid there."""
    return Grid.MGRS if preferred is Grid.MGRS else usual_grid(position)


def _inside(outline: _Outline, position: Position) -> bool:
    inside = False
    for (lat_1, lon_1), (lat_2, lon_2) in zip(outline, (*outline[1:], outline[0]), strict=True):
        if (lat_1 > position.latitude) != (lat_2 > position.latitude):
            crossing = lon_1 + (position.latitude - lat_1) / (lat_2 - lat_1) * (lon_2 - lon_1)
            inside ^= position.longitude < crossing
    return inside
