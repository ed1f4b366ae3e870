"""Evidence across cameras: when two people's pictures are of one specimen and not merely of one hour.

What a coincidence is worth is learnt from the day itself. The stretches in which one camera was busy
are laid beside another's; then the other's are shifted by a few minutes, which keeps the stop and
the company but breaks the moment. Coincidences beyond those of the shifted streams are real ones.
"""

from __future__ import annotations

import numpy as np

from catalog_gui.grouping.columns import Bools, Floats, Ints

_EDGES = np.array([-20.0, 0.0, 8.0, 20.0, 45.0, 90.0, 180.0])  # s between stretches, negative: overlapping
_BELIEF = np.array([0.75, 0.7, 0.55, 0.45, 0.3, 0.15, 0.06, 0.01])  # before looking, per bin
_SHIFTS = (-420.0, -290.0, -190.0, 190.0, 290.0, 420.0)
_WEIGHT = 10.0
_REACH_S = 180.0


def coincidences(
    starts: Floats, ends: Floats, other_starts: Floats, other_ends: Floats, spread: float
) -> tuple[Ints, Ints, Floats]:
    """Pairs (index, other index, log odds) of stretches of two cameras close enough in time to matter.

    All stretches ascend and do not overlap within one camera. `spread` (s) is how far the two clocks may
    disagree.
    """
    empty = np.zeros(0, np.int64)
    if not len(starts) or not len(other_starts):
        return empty, empty, np.zeros(0)
    seen = _nearest(starts, ends, other_starts, other_ends)
    counts = _histogram(seen)
    chance = np.mean(
        [_histogram(_nearest(starts, ends, other_starts + s, other_ends + s)) for s in _SHIFTS], axis=0
    )
    # One minus the share that chance explains (local false discovery rate), leaning on belief where counts are low.
    real = np.clip(counts - chance, 0.0, None)
    chance_rate = (real + _WEIGHT * _BELIEF) / (counts + _WEIGHT)
    rate = np.minimum.accumulate(np.clip(chance_rate, 0.004, 0.97))
    a, b = _close_pairs(starts, ends, other_starts, other_ends)
    apart = np.maximum(starts[a], other_starts[b]) - np.minimum(ends[a], other_ends[b])
    p = rate[np.searchsorted(_EDGES, apart)]
    odds = np.log(p) - np.log1p(-p)
    return a, b, odds / np.sqrt(1.0 + (spread / 60.0) ** 2)


def _nearest(starts: Floats, ends: Floats, other_starts: Floats, other_ends: Floats) -> Floats:
    """For each stretch the time to the nearest other one; negative by how much they overlap."""
    i = np.searchsorted(other_starts, starts)
    before, after = np.clip(i - 1, 0, len(other_starts) - 1), np.clip(i, 0, len(other_starts) - 1)
    gap_before = np.maximum(starts, other_starts[before]) - np.minimum(ends, other_ends[before])
    gap_after = np.maximum(starts, other_starts[after]) - np.minimum(ends, other_ends[after])
    return np.asarray(np.minimum(gap_before, gap_after))


def _histogram(values: Floats) -> Floats:
    return np.bincount(np.searchsorted(_EDGES, values), minlength=len(_EDGES) + 1).astype(np.float64)


def _close_pairs(starts: Floats, ends: Floats, other_starts: Floats, other_ends: Floats) -> tuple[Ints, Ints]:
    low = np.searchsorted(other_ends, starts - _REACH_S)
    high = np.searchsorted(other_starts, ends + _REACH_S, side="right")
    many = np.maximum(high - low, 0)
    a = np.repeat(np.arange(len(starts)), many)
    offset = np.arange(len(a)) - np.repeat(np.cumsum(many) - many, many)
    return a, np.repeat(low, many) + offset


def distance_evidence(metres: Floats, error: Floats, still_m: float, moved_m: float) -> Floats:
    """Log odds from the distance (m) of two stretches whose combined 68 % error is `error` (m); NaN gives 0."""
    known: Bools = ~np.isnan(metres)
    near = np.hypot(still_m, np.where(known, error, 1.0) / 1.5)
    far = np.hypot(near, moved_m)
    d = np.where(known, metres, 0.0)
    evidence = 2 * np.log(far / near) + 2.5 * (np.log1p((d / far) ** 2 / 3) - np.log1p((d / near) ** 2 / 3))
    return np.where(known, np.clip(evidence, -5.0, 1.5), 0.0)
