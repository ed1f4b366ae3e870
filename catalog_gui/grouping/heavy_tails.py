"""Heavy-tailed laws: most things lie near, and now and then one lies far off."""

from __future__ import annotations

import numpy as np

from catalog_gui.grouping.columns import Floats


def student_density(x: Floats, scale: float) -> Floats:
    """Density of Student's t law with 3 degrees of freedom."""
    wide = 1.0 + x * x / (3.0 * scale * scale)
    return np.asarray(0.36755 / scale / (wide * wide))


def disc(square: Floats, scale: Floats) -> Floats:
    """Density in the plane of a two-dimensional t law with 4 degrees of freedom (over 2 pi).

    `square` is the squared distance from its middle, `scale` the squared scale, both of one unit.
    """
    wide = 1.0 + square / (4.0 * scale)
    return np.asarray(1.0 / (wide * wide * wide * scale))
