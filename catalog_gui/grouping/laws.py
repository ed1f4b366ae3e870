"""Heavy-tailed laws: most things lie near, and now and then one lies far off."""

from __future__ import annotations

import numpy as np

from catalog_gui.grouping.columns import Floats


def student(x: Floats, scale: float) -> Floats:
    """Density of Student's t law with 3 degrees of freedom."""
    return np.asarray(0.36755 / scale * (1.0 + (x / scale) ** 2 / 3.0) ** -2)


def disc(d: Floats, scale: Floats) -> Floats:
    """Density in the plane, d from its middle, of a two-dimensional t law with 4 degrees of freedom (over 2 pi)."""
    square = scale * scale
    wide = 1.0 + d * d / (4.0 * square)
    return np.asarray(1.0 / (wide * wide * wide * square))
