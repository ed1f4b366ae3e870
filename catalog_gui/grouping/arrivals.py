"""Arrivals: people who walk together come to a find together.

Whoever keeps company may take five pictures where the other takes twenty, and be done a minute sooner; but
both begin soon after they have come to a find. The pictures that follow a long pause are therefore laid over
those of the others: at the right offset many fall side by side, at a wrong one only as many as chance has it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from catalog_gui.grouping.clock_alignment import quick_size
from catalog_gui.grouping.columns import Floats
from catalog_gui.grouping.heavy_tails import student_density
from catalog_gui.grouping.pause_model import Steps, judge, learn, weigh

_FEWEST = 4  # arrivals of each from which anything can be told
_MAYBE, _PROBABLY = 0.15, 0.5  # chance of an arrival from which a picture is laid over, and laid over by
# Share of arrivals made together, and how far apart they then are (s): each as probable as the others.
_TOGETHER = (0.25, 0.5)
_APART_S = (8.0, 20.0, 45.0)
_AWAY = -1.0  # log evidence of an arrival while the other was not about at all
_BUSY = 0.7  # how much rarer than by chance arrivals are while the other is in the midst of a find
_MIDST_S = 20.0  # from so long after an arrival until so long after the find's last picture
_TEMPER = 0.7  # of the evidence of both ways together: people who walk evenly agree by chance more often


@dataclass(slots=True)
class Arrivals:
    """Moments (s, ascending) that may be somebody's first at a find, each with its probability.

    `probable` are those that are more probable than not, `ends` when the last picture after each was taken;
    `first` and `last` are those of all pictures.
    """

    times: Floats
    chance: Floats
    probable: Floats
    ends: Floats
    first: float
    last: float


def arrivals(times: Floats) -> Arrivals:
    """Read the arrivals off the pauses between one person's pictures (s, ascending), by that person's habit."""
    gaps = np.diff(times)
    unknown = np.full(len(gaps), np.nan)
    steps = Steps(gaps, unknown, np.ones(len(gaps)), np.ones(len(gaps)))
    pause_model, sizes = judge(learn(steps), steps)
    return pick_arrivals(times, weigh(pause_model, sizes, steps))


def remembering() -> Callable[[Floats], Arrivals]:
    """`arrivals`, which is asked again and again about the same person, reckoning each only once."""
    known: dict[bytes, Arrivals] = {}

    def read(times: Floats) -> Arrivals:
        key = times.tobytes()
        if key not in known:
            known[key] = arrivals(times)
        return known[key]

    return read


def pick_arrivals(times: Floats, odds: Floats) -> Arrivals:
    """Arrivals of one person from the log odds (n - 1,) of each step between the pictures."""
    chance = np.concatenate(([1.0], 1.0 / (1.0 + np.exp(odds))))
    maybe = chance > _MAYBE
    begin = np.flatnonzero(chance > _PROBABLY)
    ends = times[np.append(begin[1:] - 1, len(times) - 1)]
    return Arrivals(times[maybe], chance[maybe], times[begin], ends, float(times[0]), float(times[-1]))


def agreement(one: Arrivals, two: Arrivals, start: float, step: float, shifts: int) -> Floats:
    """Log likelihood ratio (shifts,) of company against chance, with `one` moved by `start`, `start + step`, ... s.

    Reckoned both ways, for every law of how people arrive, and averaged over the laws.
    """
    if min(len(one.probable), len(two.probable)) < _FEWEST:
        return np.zeros(shifts)
    there = _one_way(one, two, start, step, shifts)
    back = _one_way(two, one, -(start + step * (shifts - 1)), step, shifts)[:, ::-1]
    return _whatever_the_law(there + back)


def agreement_at(one: Arrivals, two: Arrivals, shifts: Floats) -> Floats:
    """`agreement` for a few shifts (s, ascending) looked at closely."""
    if min(len(one.probable), len(two.probable)) < _FEWEST:
        return np.zeros(len(shifts))
    there = _one_way_at(one, two, shifts)
    back = _one_way_at(two, one, -shifts)
    return _whatever_the_law(there + back)


def _whatever_the_law(ratios: Floats) -> Floats:
    """The mean of likelihood ratios over the laws, from their logs (laws, shifts)."""
    return np.asarray(np.logaddexp.reduce(_TEMPER * ratios, axis=0) - np.log(len(ratios)))


def _one_way_at(one: Arrivals, two: Arrivals, shifts: Floats) -> Floats:
    """Log likelihood ratios (laws, shifts) to the second."""
    moved: Floats = one.times[None, :] + shifts[:, None]
    inside = (moved >= two.first) & (moved <= two.last)
    gain = _gains(two, moved.ravel()).reshape(-1, *moved.shape)
    return np.asarray(np.where(inside, gain, _AWAY) @ one.chance)


def _one_way(one: Arrivals, two: Arrivals, start: float, step: float, shifts: int) -> Floats:
    """Log likelihood ratios (laws, shifts): arrivals of `one`, moved, among those of `two`."""
    bins = int((two.last - two.first) / step) + 2
    moments = np.asarray(two.first + np.arange(bins) * step, np.float64)
    gain = _gains(two, moments) - _AWAY
    # Bin of each arrival at the first shift; earlier and later ones come in as the shift goes on.
    at = np.round((one.times + start - two.first) / step).astype(np.int64)
    low, high = int(at.min()), int(at.max())
    counts = np.bincount(at - low, weights=one.chance)
    size = quick_size(bins + (high - low) + 1)
    spectrum = np.conj(np.fft.rfft(counts, size))
    whole = np.fft.irfft(spectrum * np.fft.rfft(gain, size, axis=1), size, axis=1)
    lag = low + np.arange(shifts)
    meets = (lag > -(high - low) - 1) & (lag < bins)
    found = np.where(meets, whole[:, lag % size], 0.0)
    return np.asarray(found + _AWAY * float(one.chance.sum()))


def _gains(two: Arrivals, moments: Floats) -> Floats:
    """Log likelihood ratio (laws, moments) of somebody's arrival at a moment: with `two`, against anywhen."""
    known = two.probable
    span = max(two.last - two.first, 1.0)
    after = np.searchsorted(known, moments)
    current = np.maximum(after - 1, 0)
    midst = (after > 0) & (moments > known[current] + _MIDST_S) & (moments <= two.ends[current] + _MIDST_S)
    filled = min(float((two.ends - known).clip(0.0).sum()) / span, 0.9)
    alone = np.where(midst, _BUSY, (1.0 - filled * _BUSY) / (1.0 - filled))
    laws = []
    for apart in _APART_S:
        density = np.zeros(len(moments))
        for near in (-2, -1, 0, 1):
            at = after + near
            inside = (at >= 0) & (at < len(known))
            density += np.where(
                inside, student_density(moments - known[np.clip(at, 0, len(known) - 1)], apart), 0.0
            )
        density *= span / len(known)
        laws += [np.log(share * density + (1.0 - share) * alone) for share in _TOGETHER]
    return np.stack(laws)
