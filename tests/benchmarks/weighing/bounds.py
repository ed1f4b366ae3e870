"""Exact bounds for shares that were counted."""

from __future__ import annotations

import math


def upper_bound(lost: int, of: int, confidence: float = 0.95) -> float:
    """The share that so few losses leave open at most, one-sided (Clopper & Pearson 1934, Biometrika 26:404-413)."""
    if lost >= of:
        return 1.0
    low, high = lost / of, 1.0
    for _ in range(60):
        middle = (low + high) / 2
        if _at_most(lost, of, middle) > 1 - confidence:
            low = middle
        else:
            high = middle
    return high


def _at_most(lost: int, of: int, share: float) -> float:
    """Chance of at most so many losses."""
    return sum(
        math.exp(
            math.lgamma(of + 1)
            - math.lgamma(k + 1)
            - math.lgamma(of - k + 1)
            + (k * math.log(share) if k else 0.0)
            + ((of - k) * math.log1p(-share) if share < 1 else -math.inf)
        )
        for k in range(lost + 1)
    )
