"""Sizes as densities: how likely a measure is under each taxon, in fine bins of the logarithm.

A printed range is taken as even over the logarithm, with exponential tails beyond it, so a narrow range earns
more where it fits. Tails are as long as the printed extremes ask for.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float32]
Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.intp]

BINS = 96
"""Bins to each number; with the ranges of our pack a bin is 4 to 8 % wide."""

MACRO_SPREAD, MICRO_SPREAD = 0.25, 0.10
"""Spread of ln(size) beyond the printed range where no extremes are printed (our estimate)."""

TAIL, SHORTEST_TAIL = 0.4, 0.04
"""Length of the tails as a share of the spread, and at least, in ln(size); fitted to drawn finds."""

_BEYOND = 1.0


@dataclass(frozen=True)
class SizeBins:
    """Where the rows of sizes stand in arrays by column: behind the K columns of states.

    `first` (F,) is the first row of each number's bins (0 for other features), `lowest` and `step` (F,) the
    middle of the first bin and the distance to the next, in ln of the unit. `rows` counts all rows.
    """

    first: Ints
    lowest: Floats
    step: Floats
    rows: int

    def row(self, feature: Ints, size: Floats) -> Ints:
        """(m,) the row of each measure; what lies beyond all bins goes to the outermost."""
        place = (np.log(np.maximum(size, 1e-6)) - self.lowest[feature]) / self.step[feature]
        return np.asarray(self.first[feature] + np.clip(np.rint(place), 0, BINS - 1).astype(np.intp))

    def middles(self, feature: int) -> Floats:
        """(BINS,) ln of the middle of each bin of one number."""
        return np.asarray(self.lowest[feature] + self.step[feature] * np.arange(BINS), dtype=np.float32)

    def slice_of(self, feature: int) -> slice:
        """The rows of one number."""
        start = int(self.first[feature])
        return slice(start, start + BINS)


def size_bins(columns: int, numbers: Ints, low: Floats, high: Floats) -> SizeBins:
    """Lay out bins for the `numbers` among F features, given ln of the ranges (F, T), NaN where unknown."""
    first = np.zeros(len(low), dtype=np.intp)
    lowest, step = np.zeros(len(low), dtype=np.float32), np.ones(len(low), dtype=np.float32)
    for place, feature in enumerate(numbers.tolist()):
        first[feature] = columns + place * BINS
        if not np.isnan(low[feature]).all():
            lowest[feature] = np.nanmin(low[feature]) - _BEYOND
            step[feature] = (np.nanmax(high[feature]) + _BEYOND - lowest[feature]) / (BINS - 1)
    return SizeBins(first, lowest, step, columns + len(numbers) * BINS)


def log_densities(middles: Floats, low: Floats, high: Floats, tail: Floats, shift: float = 0.0) -> Floats:
    """(BINS, T) ln of the density of ln(size) at the middles; `shift` moves all sizes, as in a dwarf."""
    at = middles[:, None] - np.float32(shift)
    gap = np.maximum(np.maximum(low - at, at - high), 0.0)
    return np.asarray(-gap / tail - np.log(high - low + 2 * tail), dtype=np.float32)


def mixed_density(
    middles: Floats, low: Floats, high: Floats, tail: Floats, shifts: tuple[tuple[float, float], ...]
) -> Floats:
    """(BINS, T) density with dwarfs and giants mixed in: `shifts` are pairs of a shift and its share."""
    total = np.zeros((len(middles), len(low)), dtype=np.float32)
    for shift, share in shifts:
        total += np.float32(share) * np.exp(log_densities(middles, low, high, tail, shift))
    return total


def tails(spread: Floats) -> Floats:
    """Length of the tails for the spread of each range."""
    return np.asarray(np.maximum(TAIL * spread, SHORTEST_TAIL), dtype=np.float32)
