"""Chooses round steps for an axis."""

from __future__ import annotations

import math


def nice_step(span: float, wanted: int = 5) -> float:
    """A step of 1, 2 or 5 times a power of ten that cuts `span` into about `wanted` pieces."""
    rough = max(span, 1e-9) / wanted
    power = 10.0 ** math.floor(math.log10(rough))
    return power * next(one for one in (1.0, 2.0, 5.0, 10.0) if one * power >= rough * 0.999)
