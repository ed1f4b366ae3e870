"""Tells which places belong to one walk."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from catalog_gui.presenting.spots import Spots


def of_the_walk(middles: Spots) -> NDArray[np.bool_]:
    """Tell which points are of the walk: within six times the median distance from the middle, at least 300 m."""
    if len(middles) < 3:
        return np.ones(len(middles), np.bool_)
    away = middles - np.median(middles, axis=0)
    distance = np.hypot(away[:, 0], away[:, 1])
    return np.asarray(distance <= max(300.0, 6.0 * float(np.median(distance))))
