"""Lays the places of what was found on one plane."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from catalog_gui.domain.ledger import FoundPlace
from catalog_gui.geo.plane import LocalPlane
from catalog_gui.geo.position import Position
from catalog_gui.presenting.spots import Spots


@dataclass(frozen=True, slots=True)
class PlacesFound:
    """The places of a search on one plane: `spots` in m, `spread` the uncertainty in m; row by row."""

    places: tuple[FoundPlace, ...] = ()
    spots: Spots = field(default_factory=lambda: np.empty((0, 2)))
    spread: Spots = field(default_factory=lambda: np.empty(0))
    without: int = 0


def laid_out(places: Sequence[FoundPlace], total: int) -> PlacesFound:
    """Lay places on the plane of their median place; `total` counts also finds without a place."""
    if not places:
        return PlacesFound(without=total)
    latitudes = [one.latitude for one in places]
    longitudes = [one.longitude for one in places]
    centre = Position(sorted(latitudes)[len(places) // 2], sorted(longitudes)[len(places) // 2])
    spots = np.column_stack(LocalPlane(centre).to_plane(latitudes, longitudes))
    spread = np.array([one.uncertainty_m or 0.0 for one in places])
    return PlacesFound(tuple(places), spots, spread, total - len(places))
