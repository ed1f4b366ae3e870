"""Which kind of pause follows which: a hidden Markov chain over the pauses of one photographer."""

from __future__ import annotations

import numpy as np

from catalog_gui.grouping.columns import Floats

_TINY = 1e-12
_LINK = 24  # pauses to a stretch of the chain; stretches are reckoned side by side
_RUN_UP = 8  # pauses before and after a stretch that still matter to it
_FOLLOW_WEIGHT = 25.0  # pauses' worth of belief, for each kind, that what follows does not depend on it


def follow_on(seen: Floats, shares: Floats) -> Floats:
    """Posterior weights (n, 4) of the kinds along the chain; `seen` (n, 4) are share times density.

    The chain is cut into stretches with a run-up on either side, which are reckoned all at once; a
    pause forgets its neighbours well within the run-up.
    """
    n = len(seen)
    emission = seen / shares
    emission = emission / emission.max(axis=1, keepdims=True).clip(_TINY)
    follow = np.tile(shares, (4, 1))
    count = -(-n // _LINK)
    width = _LINK + 2 * _RUN_UP
    index = np.arange(count)[:, None] * _LINK - _RUN_UP + np.arange(width)[None, :]
    real = (index >= 0) & (index < n)
    blocks = np.where(real[:, :, None], emission[np.clip(index, 0, n - 1)], 1.0)
    inner = slice(_RUN_UP, _RUN_UP + _LINK)
    kept = real[:, inner]
    weight = np.empty((count, width, 4))
    for round_ in range(2):
        ahead = np.empty((count, width, 4))
        state = np.tile(shares, (count, 1))
        for k in range(width):
            state = (state @ follow if k else state) * blocks[:, k]
            state = state / state.sum(axis=1, keepdims=True)
            ahead[:, k] = state
        behind = np.empty((count, width, 4))
        state = np.ones((count, 4))
        for k in range(width - 1, -1, -1):
            behind[:, k] = state
            state = (state * blocks[:, k]) @ follow.T
            state = state / state.sum(axis=1, keepdims=True)
        weight = ahead * behind
        weight /= weight.sum(axis=2, keepdims=True)
        if round_ == 1:
            break
        first, second = slice(_RUN_UP, _RUN_UP + _LINK - 1), slice(_RUN_UP + 1, _RUN_UP + _LINK)
        both = real[:, first] & real[:, second]
        one = (ahead[:, first] * both[:, :, None]).reshape(-1, 4)
        two = (blocks[:, second] * behind[:, second]).reshape(-1, 4)
        scale = ((one @ follow) * two).sum(axis=1).clip(_TINY)
        joint = follow * ((one / scale[:, None]).T @ two)
        follow = (joint + _FOLLOW_WEIGHT * shares) / (joint.sum(axis=1, keepdims=True) + _FOLLOW_WEIGHT)
    return np.asarray(weight[:, inner][kept])
