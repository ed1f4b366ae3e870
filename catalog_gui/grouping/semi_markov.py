"""How many pictures a find gets: the pauses of one photographer, weighed as a whole.

Somebody with a shot list in mind neither takes one picture of everything nor fifty: after a single
picture the find is probably not done with, after a dozen it probably is. Which of the photographer's pauses lead to
another find is therefore reckoned over all ways of cutting the day at once (a semi-Markov chain; forward
and backward messages as in Rabiner 1989, Proc. IEEE 77:257-286, section IV.D), and the law of the sizes is
learnt from the same pauses.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from catalog_gui.grouping.columns import Floats

_TINY = 1e-12
_LEAST = 1e-200  # densities may be small, if only one is smaller still
_SIZES = 12  # pictures after which it no longer matters how many there were
_LINK = 12  # pauses to a stretch of the chain; stretches are reckoned side by side
_RUN_UP = 7  # pauses before and after a stretch that still matter to it
_MOST = 1e8  # ratio of densities: certain enough, and the product over a stretch stays in range
_MEAN_WEIGHT = 6.0  # finds' worth of belief in the mean size
# Shapes of the gamma law of sizes (1 is no list at all, 6 a strict one) and how far each is believed beforehand.
_SHAPES = np.array([1.0, 2.0, 3.5, 6.0])
_BELIEF = np.array([0.2, 0.3, 0.3, 0.2])
_FINE = np.maximum(np.linspace(0.0, 60.0, 601), 1e-3)
_POWERS = _FINE ** (_SHAPES[:, None] - 1.0)


@dataclass(frozen=True, slots=True)
class Sizes:
    """The law of how many pictures a find gets, bursts counted once: its mean, and a weight for each shape."""

    mean: float
    weights: Floats

    @property
    def ends(self) -> Floats:
        """Chance (sizes,) that a find that has 1, 2, ... pictures gets no more."""
        return np.asarray(self.weights @ _ends(self.mean))


def learn_sizes(within: Floats, between: Floats, mean: float) -> Sizes:
    """Learn the law of sizes from the densities of the pauses; `mean` is what is believed beforehand."""
    ratio, real = _stretches(within, between)
    tried = [_cuts(ratio, ends) for ends in _ends(mean)]
    value = np.array([float(values.sum()) for _, values in tried]) * (real.sum() / ratio.size)
    weights = _BELIEF * np.exp(value - value.max())
    weights /= weights.sum()
    apart = np.array([float(cut[real].sum()) for cut, _ in tried])
    return _renewed(Sizes(mean, weights), len(within), float(weights @ apart), mean)


def together(within: Floats, between: Floats, sizes: Sizes) -> Floats:
    """Probability of one find for each pause (n,).

    `within` and `between` (n,) are densities of the pauses if they lie at one find, and between two.
    """
    ratio, real = _stretches(within, between)
    return np.asarray(1.0 - _cuts(ratio, sizes.ends)[0].T[real.T])


def renewed(sizes: Sizes, probability: Floats, mean: float) -> Sizes:
    """`sizes` with the mean that the probabilities of one find speak for; `mean` is believed beforehand."""
    return _renewed(sizes, len(probability), float((1.0 - probability).sum()), mean)


def _renewed(sizes: Sizes, pauses: int, apart: float, mean: float) -> Sizes:
    return replace(sizes, mean=(pauses + 1.0 + _MEAN_WEIGHT * mean) / (apart + 1.0 + _MEAN_WEIGHT))


def _stretches(within: Floats, between: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Ratios of the densities, `between` over `within`, cut into overlapping stretches (place, stretch).

    And which places of the inner part of each stretch are real ones.
    """
    n = len(within)
    count = -(-n // _LINK)
    padded = np.ones(_RUN_UP + count * _LINK + _RUN_UP)
    np.divide(between + _LEAST, within + _LEAST, out=padded[_RUN_UP : _RUN_UP + n])
    np.clip(padded, 1.0 / _MOST, _MOST, out=padded)
    ratio = sliding_window_view(padded, _LINK + 2 * _RUN_UP)[::_LINK].T
    places = np.arange(count * _LINK).reshape(count, _LINK).T
    return np.ascontiguousarray(ratio), places < n


def _ends(mean: float) -> Floats:
    """Chance (shapes, sizes) that a find has no more: gamma laws of one mean, cut into whole numbers."""
    density = _POWERS * np.exp(_FINE * _SHAPES[:, None] / -max(mean, 1.0))
    beyond = np.cumsum(density[:, ::-1], axis=1)[:, ::-1] + _TINY
    after = beyond[:, np.concatenate(([0], 15 + 10 * np.arange(_SIZES)))]
    return np.asarray(np.clip(1.0 - after[:, 1:] / after[:, :-1], 0.02, 0.95))


def _cuts(ratio: Floats, ends: Floats) -> tuple[Floats, Floats]:
    """Probability of a cut at each inner place (place, stretch); log likelihood of each stretch up to a constant.

    `ratio` (place, stretch) is the density of each pause between two finds over that at one find, so that a
    stretch without a cut has the likelihood 1; `ends` (sizes,) as in `Sizes`. Whoever comes to a stretch has
    been at the find for as long as chance has it.
    """
    width, count = ratio.shape
    far, exactly = _sizes(ends, width)
    usual = far[:_SIZES].sum()
    # What comes into each place: from the find that was begun already (first column), and from finds begun since.
    into = np.empty((width + 1, width + 2))
    into[:width, 0] = np.convolve(exactly, np.ones(_SIZES), "valid")[:width] / usual
    into[width, 0] = far[width : width + _SIZES].sum() / usual
    since = np.arange(width + 1)[:, None] - np.arange(width + 1)
    into[:, 1:] = exactly[np.maximum(since, 0)]
    into[width, 1:] = far[since[width]]
    begun, left = np.empty((width + 2, count)), np.empty((width, count))
    begun[0], begun[1] = 1.0, 0.0
    for k in range(width):  # the pictures before pause k are at one find, and it is done with
        np.matmul(into[k, : k + 2], begun[: k + 2], out=left[k])
        np.multiply(left[k], ratio[k], out=begun[k + 2])
    whole = into[width] @ begun
    first, last = _RUN_UP, _RUN_UP + _LINK
    onto = exactly[np.maximum(-since[:width], 0)]
    onto[:, width] = far[width:0:-1]
    past, onward = np.empty((width + 1, count)), np.empty((width + 1, count))
    past[width] = onward[width] = 1.0  # `onward` is the value of what follows, where a find begins
    for k in range(width - 1, first, -1):
        np.multiply(ratio[k], onward[k + 1], out=past[k])
        np.matmul(onto[k, k:], past[k:], out=onward[k])
    return left[first:last] * ratio[first:last] * onward[first + 1 : last + 1] / whole, np.log(whole)


def _sizes(ends: Floats, width: int) -> tuple[Floats, Floats]:
    """Chance (sizes + width + 1,) that a find has at least 1, 2, ... pictures, and that it has so many."""
    all_ends = np.concatenate((ends, np.full(width + 1, ends[-1])))
    far = np.concatenate(([1.0], np.cumprod(1.0 - all_ends[:-1])))
    return far, far * all_ends
