"""Which kind of pause follows which: a hidden Markov chain over the pauses of one photographer."""

from __future__ import annotations

import numpy as np

from catalog_gui.grouping.columns import Bools, Floats

_TINY = 1e-12
_LINK = 24  # pauses to a stretch of the chain; stretches are reckoned side by side
_RUN_UP = 8  # pauses before and after a stretch that still matter to it
_LESSONS = 40  # stretches it is learnt from
_FOLLOW_WEIGHT = 25.0  # pauses' worth of belief, for each kind, that what follows does not depend on it


def follow_on(seen: Floats, shares: Floats) -> Floats:
    """Posterior weights (n, 4) of the kinds along the chain; `seen` (n, 4) are share times density.

    The chain is cut into stretches with a run-up on either side, which are reckoned all at once; a
    pause forgets its neighbours well within the run-up. What follows what is learnt from some of them.
    """
    n = len(seen)
    emission = seen / shares
    emission = emission / emission.max(axis=1, keepdims=True).clip(_TINY)
    count = -(-n // _LINK)
    index = np.arange(_LINK + 2 * _RUN_UP)[:, None] - _RUN_UP + np.arange(count)[None, :] * _LINK
    real = (index >= 0) & (index < n)
    blocks = np.where(real[:, :, None], emission[np.clip(index, 0, n - 1)], 1.0)
    some = slice(None, None, max(1, count // _LESSONS))
    follow = _learn_follow(blocks[:, some], real[:, some], shares)
    ahead, behind = _both_ways(blocks, follow, shares)
    inner = slice(_RUN_UP, _RUN_UP + _LINK)
    weight = (ahead[inner] * behind[inner]).transpose(1, 0, 2)[real[inner].T]
    return np.asarray(weight / weight.sum(axis=1, keepdims=True))


def _both_ways(blocks: Floats, follow: Floats, shares: Floats) -> tuple[Floats, Floats]:
    """Forward and backward messages of all stretches (place, stretch, kind), each up to a factor."""
    width, count, _ = blocks.shape
    ahead, behind = np.empty((width, count, 4)), np.empty((width, count, 4))
    ones = np.ones((4, 1))
    state = shares * blocks[0]
    for k in range(width):
        if k:
            state = (state @ follow) * blocks[k]
        state = state / (state @ ones)
        ahead[k] = state
    state = np.ones((count, 4))
    back = follow.T.copy()
    for k in range(width - 1, -1, -1):
        behind[k] = state
        state = (state * blocks[k]) @ back
        state = state / (state @ ones)
    return ahead, behind


def _learn_follow(blocks: Floats, real: Bools, shares: Floats) -> Floats:
    """Which kind follows which (4 by 4, rows sum to 1): one round of counting, leaning on independence."""
    follow = np.tile(shares, (4, 1))
    ahead, behind = _both_ways(blocks, follow, shares)
    first, second = slice(_RUN_UP, _RUN_UP + _LINK - 1), slice(_RUN_UP + 1, _RUN_UP + _LINK)
    both = real[first] & real[second]
    one = (ahead[first] * both[:, :, None]).reshape(-1, 4)
    two = (blocks[second] * behind[second]).reshape(-1, 4)
    scale = ((one @ follow) * two).sum(axis=1).clip(_TINY)
    joint = follow * ((one / scale[:, None]).T @ two)
    return np.asarray((joint + _FOLLOW_WEIGHT * shares) / (joint.sum(axis=1, keepdims=True) + _FOLLOW_WEIGHT))
