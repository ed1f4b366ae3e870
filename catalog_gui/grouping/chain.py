"""How many pictures a find gets: the pauses of one photographer, weighed as a whole.

Somebody with a shot list in mind neither takes one picture of everything nor fifty: after a single
picture the find is probably not done with, after a dozen it probably is. Which of her pauses lead to
another find is therefore reckoned over all ways of cutting the day at once (a semi-Markov chain; forward
and backward messages as in Rabiner 1989, Proc. IEEE 77:257-286, section IV.D), and the law of the sizes is
learnt from the same pauses.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from catalog_gui.grouping.columns import Floats

_TINY = 1e-12
_SIZES = 12  # pictures after which it no longer matters how many there were
_LINK = 12  # pauses to a stretch of the chain; stretches are reckoned side by side
_RUN_UP = 7  # pauses before and after a stretch that still matter to it
_BREATH = 4  # pauses after which the messages are scaled anew, before they grow too small to be told from 0
_MEAN_WEIGHT = 6.0  # finds' worth of belief in the mean size
# Shapes of the gamma law of sizes (1 is no list at all, 6 a strict one) and how far each is believed beforehand.
_SHAPES = np.array([1.0, 2.0, 3.5, 6.0])
_BELIEF = np.array([0.2, 0.3, 0.3, 0.2])
_FINE = np.linspace(0.0, 60.0, 601)


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
    stay, go, real = _stretches(within, between)
    laws = _ends(mean)
    kinds = len(_SHAPES)
    probability, value = _both_ways(np.tile(stay, (1, kinds)), np.tile(go, (1, kinds)), laws)
    value = value.reshape(kinds, -1).sum(axis=1) * (real[_RUN_UP : _RUN_UP + _LINK].sum() / stay.size)
    weights = _BELIEF * np.exp(value - value.max())
    weights /= weights.sum()
    apart = (
        np.where(np.tile(real, (1, kinds)), 1.0 - probability, 0.0).sum(axis=0).reshape(kinds, -1).sum(axis=1)
    )
    return _renewed(Sizes(mean, weights), len(within), float(weights @ apart), mean)


def together(within: Floats, between: Floats, sizes: Sizes) -> Floats:
    """Probability of one find for each pause (n,).

    `within` and `between` (n,) are densities of the pauses if they lie at one find, and between two.
    """
    stay, go, real = _stretches(within, between)
    probability, _ = _both_ways(stay, go, sizes.ends[None])
    inner = slice(_RUN_UP, _RUN_UP + _LINK)
    return np.asarray(probability[inner].T[real[inner].T])


def renewed(sizes: Sizes, probability: Floats, mean: float) -> Sizes:
    """`sizes` with the mean that the probabilities of one find speak for; `mean` is believed beforehand."""
    return _renewed(sizes, len(probability), float((1.0 - probability).sum()), mean)


def _renewed(sizes: Sizes, pauses: int, apart: float, mean: float) -> Sizes:
    return replace(sizes, mean=(pauses + 1.0 + _MEAN_WEIGHT * mean) / (apart + 1.0 + _MEAN_WEIGHT))


def _stretches(within: Floats, between: Floats) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Both densities cut into overlapping stretches (place, stretch), and which places are real."""
    n = len(within)
    most = np.maximum(np.maximum(within, between), _TINY)
    count = -(-n // _LINK)
    index = np.arange(_LINK + 2 * _RUN_UP)[:, None] - _RUN_UP + np.arange(count)[None, :] * _LINK
    real = (index >= 0) & (index < n)
    index = np.clip(index, 0, n - 1)
    stay = np.where(real, np.maximum(within / most, _TINY)[index], 1.0)
    go = np.where(real, np.maximum(between / most, _TINY)[index], 1.0)
    return stay, go, real


def _ends(mean: float) -> Floats:
    """Chance (shapes, sizes) that a find has no more: gamma laws of one mean, cut into whole numbers."""
    size = np.maximum(_FINE, 1e-3)
    shape = _SHAPES[:, None]
    density = size ** (shape - 1.0) * np.exp(-size * shape / max(mean, 1.0))
    beyond = np.cumsum(density[:, ::-1], axis=1)[:, ::-1] + _TINY
    after = beyond[:, np.concatenate(([0], 15 + 10 * np.arange(_SIZES)))]
    return np.asarray(np.clip(1.0 - after[:, 1:] / after[:, :-1], 0.02, 0.95))


def _both_ways(stay: Floats, go: Floats, laws: Floats) -> tuple[Floats, Floats]:
    """Probability of one find (place, stretch), 1 in the run-up; log likelihoods (stretch,) up to a constant.

    `laws` (k, sizes): the first k-th part of the stretches follows the first law, and so on.
    """
    width, count = stay.shape
    # A single law is a column, which numpy spreads over all stretches.
    ends = laws.T if len(laws) == 1 else np.repeat(laws, count // len(laws), axis=0).T.copy()
    on = 1.0 - ends
    # Messages are kept over, or times, the chance of coming so far: what she goes on with then cancels out.
    far = np.cumprod(np.concatenate((np.ones((1, on.shape[1])), on[:-1])), axis=0)
    done = far * ends
    ahead, behind = np.empty((width + 1, _SIZES, count)), np.empty((width, _SIZES, count))
    leaves = np.empty((width, count))
    ahead[0] = 1.0 / far.sum(axis=0)
    value = np.zeros(count)
    for k in range(width):
        state, fresh = ahead[k], ahead[k + 1]
        leaves[k] = done[:, 0] @ state if len(laws) == 1 else (done * state).sum(axis=0)
        np.multiply(state[:-1], stay[k], out=fresh[1:])
        fresh[-1] += state[-1] * on[-1] * stay[k]
        np.multiply(leaves[k], go[k], out=fresh[0])
        if k % _BREATH == 0 or k == width - 1:
            total = far[:, 0] @ fresh if len(laws) == 1 else (far * fresh).sum(axis=0)
            value += np.log(total)
            fresh /= total
    behind[-1] = far
    for k in range(width - 1, 0, -1):
        state, fresh = behind[k], behind[k - 1]
        np.multiply(done, go[k] * state[0], out=fresh)
        fresh[:-1] += state[1:] * stay[k]
        fresh[-1] += state[-1] * on[-1] * stay[k]
        if k % _BREATH == 0:
            fresh /= fresh[0]
    inner = slice(_RUN_UP, _RUN_UP + _LINK)
    before, after = ahead[inner], behind[inner]
    apart = go[inner] * leaves[inner] * after[:, 0]
    one = np.einsum("ksc,ksc->kc", before[:, :-1], after[:, 1:])
    one += before[:, -1] * after[:, -1] * on[-1]
    one *= stay[inner]
    probability = np.ones((width, count))
    probability[inner] = one / (one + apart)
    return probability, value
