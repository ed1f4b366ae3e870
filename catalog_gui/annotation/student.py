"""Quantile of Student's t distribution, so that an interval of a mean needs no large library."""

from __future__ import annotations

import math

_TINY = 1e-300
_TERMS = 400


def _continued_fraction(a: float, b: float, x: float) -> float:
    """The continued fraction of the incomplete beta function (DLMF 8.17.22), evaluated after Lentz."""
    c, d = 1.0, 1.0 / max(1.0 - (a + b) * x / (a + 1.0), _TINY)
    fraction = d
    for m in range(1, _TERMS):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        for term in (even, odd):
            d = 1.0 / ((1.0 + term * d) or _TINY)
            c = (1.0 + term / c) or _TINY
            fraction *= d * c
        if abs(d * c - 1.0) < 1e-16:
            break
    return fraction


def _incomplete_beta(a: float, b: float, x: float) -> float:
    """Regularised incomplete beta function I_x(a, b), 0 <= x <= 1."""
    if x <= 0.0 or x >= 1.0:
        return min(max(x, 0.0), 1.0)
    front = math.exp(
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    )
    if x < (a + 1.0) / (a + b + 2.0):
        return front * _continued_fraction(a, b, x) / a
    return 1.0 - front * _continued_fraction(b, a, 1.0 - x) / b


def upper_tail(t: float, degrees: float) -> float:
    """Chance that Student's t with so many degrees of freedom exceeds `t` (>= 0)."""
    return 0.5 * _incomplete_beta(degrees / 2.0, 0.5, degrees / (degrees + t * t))


def t_quantile(p: float, degrees: float) -> float:
    """The value that Student's t stays below with probability `p`, 0 < p < 1; accurate to better than 1e-6.

    Raises ValueError for other `p` or fewer than one degree of freedom.
    """
    if not 0.0 < p < 1.0 or degrees < 1.0:
        raise ValueError("t_quantile needs 0 < p < 1 and at least one degree of freedom")
    if p < 0.5:
        return -t_quantile(1.0 - p, degrees)
    low, high = 0.0, 1.0
    while upper_tail(high, degrees) > 1.0 - p:
        high *= 2.0
    for _ in range(200):
        middle = (low + high) / 2.0
        if middle in {low, high}:
            break
        if upper_tail(middle, degrees) > 1.0 - p:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0
