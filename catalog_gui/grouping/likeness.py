"""The look of neighbouring pictures as one more piece of evidence, worth what the foray shows it to be worth."""

from __future__ import annotations

import numpy as np

from catalog_gui.domain.photo import Photo
from catalog_gui.grouping.columns import Floats, Ints
from catalog_gui.grouping.terms import Likeness

_SURE = 4.0  # log odds from which time and place have settled a pair
_OPEN = 3.0  # log odds up to which likeness is asked
_LESSONS = 120  # pairs of each kind looked at
_ENOUGH = 12
_MOST = 2.5  # a look alone never outweighs time and place by more (log odds)


def weigh_likeness(odds: Floats, photos: list[Photo], likeness: Likeness) -> Floats:
    """`odds` of the steps between consecutive `photos`, with the look of those that are open added.

    What a likeness is worth is learnt from steps that are settled: two bells are fitted, to pairs that are
    surely one find and to pairs that are surely two. Where either kind is rare, or the bells coincide,
    nothing changes.
    """
    same = _some(np.flatnonzero(odds > _SURE))
    other = _some(np.flatnonzero(odds < -_SURE))
    if len(same) < _ENOUGH or len(other) < _ENOUGH:
        return odds
    alike, unlike = _look(same, photos, likeness), _look(other, photos, likeness)
    alike, unlike = alike[~np.isnan(alike)], unlike[~np.isnan(unlike)]
    if len(alike) < _ENOUGH or len(unlike) < _ENOUGH:
        return odds
    means = float(alike.mean()), float(unlike.mean())
    pooled = float(np.sqrt(0.5 * (alike.var() + unlike.var()))) + 1e-9
    if means[0] <= means[1]:
        return odds
    open_steps = np.flatnonzero(np.abs(odds) < _OPEN)
    seen = _look(open_steps, photos, likeness)
    gain = (means[0] - means[1]) / pooled**2 * (seen - 0.5 * (means[0] + means[1]))
    weighed = odds.copy()
    weighed[open_steps] += np.clip(np.nan_to_num(gain), -_MOST, _MOST)
    return weighed


def _some(steps: Ints) -> Ints:
    if len(steps) <= _LESSONS:
        return steps
    return np.asarray(steps[(np.arange(_LESSONS) * (len(steps) / _LESSONS)).astype(np.int64)])


def _look(steps: Ints, photos: list[Photo], likeness: Likeness) -> Floats:
    seen = (likeness(photos[step], photos[step + 1]) for step in steps.tolist())
    return np.array([np.nan if value is None else value for value in seen], np.float64)
