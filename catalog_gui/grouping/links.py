"""Evidence across photographers: when two people's pictures are of one find and not merely of one hour.

First: did two people keep company at all? The pictures of people in company are nearer each other in
time than those of the same streams shifted by five minutes to an hour, and nearer in place than a wood
is wide. What one pair shows speaks for the others of the party too. Then: of two stretches of pictures
made at one time in company, do both show one find? That is told by the fixes where two people have
them, and is a matter of belief where not.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from catalog_gui.grouping.columns import Bools, Floats, Ints
from catalog_gui.grouping.heavy_tails import disc
from catalog_gui.grouping.pause_model import PauseModel

_WAIT_S = 25.0  # how long one waits for one's turn at a find (our estimate)
_TURN = 0.6  # log odds of one find for stretches that follow each other, before the pause between speaks
_REACH_S = 120.0
_LOOSE, _CLOSE = 0.87, 0.98  # of overlapping stretches in loose and in close company that show one find
_CLOSE_GAIN = 0.9  # mean log gain of nearness in close company (our estimate)
# Of that share lost for each one more than three: a large party waits for nobody (our estimate).
_PER_HEAD = 0.05
_ONE_FIND_WEIGHT = 5.0
_COMPANY = 2.0  # log odds that people whose pictures lie in one folder kept company
_SHIFTS = np.concatenate((np.arange(-3300.0, -280.0, 170.0), np.arange(300.0, 3310.0, 170.0)))
_NEAR = np.array([4.0, 10.0, 25.0, 60.0, 150.0])  # s to the other's nearest picture
_NEARER = np.log(np.array([2.0, 1.8, 1.4, 1.0, 0.6, 0.35]))  # what company makes of them, against chance
_SAMPLE = 300  # pictures looked at
_WIDE_M = 80.0  # people in company are within hail


@dataclass(slots=True)
class Stretches:
    """One photographer's busy stretches, ascending: start, end (UTC s), middle x, y, error (m, NaN unknown)."""

    start: Floats
    end: Floats
    x: Floats
    y: Floats
    error: Floats


@dataclass(slots=True)
class Pairs:
    """Pairs of stretches (indices into the one's and the other's): s between (negative: overlap), metres, error."""

    one: Ints
    two: Ints
    apart: Floats
    metres: Floats
    error: Floats


def close_pairs(one: Stretches, two: Stretches) -> Pairs:
    """Pairs of stretches of two photographers close enough in time to matter."""
    a, b = _close_pairs(one, two)
    apart = np.maximum(one.start[a], two.start[b]) - np.minimum(one.end[a], two.end[b])
    metres = np.hypot(one.x[a] - two.x[b], one.y[a] - two.y[b])
    error = np.hypot(one.error[a], two.error[b])
    return Pairs(a, b, apart, metres, error)


def company_evidence(one: Floats, two: Floats, pairs: Pairs, spread: float) -> tuple[float, float]:
    """What shows that two photographers (times of pictures, s, ascending) kept company.

    Returns the log likelihood ratio, and how much nearer in time their pictures are than by chance (mean log
    gain, 0 where that is not known).
    """
    total = nearer = 0.0
    if spread < 30.0 and len(one) > 3 and len(two) > 3:
        here = _nearness(one, two, np.zeros(1))[0]
        elsewhere = _nearness(one, two, _SHIFTS)
        sd = float(elsewhere.std())
        if sd > 0.0:
            nearer = float(here - elsewhere.mean())
            total += 0.8 * float(np.clip(nearer / sd, -3.0, 5.0)) - 0.2
    known = ~np.isnan(pairs.metres) & (pairs.apart < 10.0)
    if known.any():
        far = float((pairs.metres[known] > _WIDE_M + 2.0 * pairs.error[known]).mean())
        total += (0.4 - 3.0 * far) * min(float(known.sum()), 8.0)
    return total, nearer


def _nearness(one: Floats, two: Floats, shifts: Floats) -> Floats:
    """How near the two streams lie in time, for each shift of the first: mean log gain of company over chance."""
    score = np.zeros(len(shifts))
    for whole, second, sign in ((one, two, 1.0), (two, one, -1.0)):
        first = whole[:: max(1, len(whole) // _SAMPLE)]
        weight = 1.0 / np.minimum(_run_lengths(whole), 8.0)[:: max(1, len(whole) // _SAMPLE)]
        moved = first[None, :] + sign * shifts[:, None]
        at = np.searchsorted(second, moved)
        last = len(second) - 1
        before = moved - second[np.clip(at - 1, 0, last)]
        after = second[np.clip(at, 0, last)] - moved
        gain = _NEARER[np.searchsorted(_NEAR, np.minimum(np.abs(before), np.abs(after)))]
        inside = (moved > second[0] - 60.0) & (moved < second[-1] + 60.0)
        score += (gain * inside) @ weight / np.maximum(inside @ weight, 1.0)
    return score


def _run_lengths(times: Floats) -> Floats:
    """For each picture the number of pictures in its run without a pause over 40 s."""
    run = np.concatenate(([0], np.cumsum(np.diff(times) > 40.0)))
    return np.bincount(run)[run].astype(np.float64)


def company(evidence_of: list[float]) -> list[float]:
    """Probability of company for each pair of people: its own evidence, and half of what the others show."""
    whole = sum(evidence_of)
    odds = [float(np.clip(_COMPANY + e + 0.5 * (whole - e), -6.0, 5.0)) for e in evidence_of]
    return [1.0 / (1.0 + float(np.exp(-o))) for o in odds]


def one_find_share(
    pairs: list[Pairs], together: list[float], nearer: list[float], moved_m: float, people: int
) -> float:
    """Share of stretches in company that show one find.

    Believed from how closely the company keeps together (`nearer`, mean log gain of each pair of people)
    and how many `people` it has, then learnt from the distances of stretches with fixes on both sides.
    """
    whole = sum(together)
    gain = sum(t * g for t, g in zip(together, nearer, strict=True)) / whole if whole > 0.0 else 0.0
    closely = _LOOSE + (_CLOSE - _LOOSE) * float(np.clip(gain / _CLOSE_GAIN, 0.0, 1.0))
    believed = share = min(max(closely - _PER_HEAD * (people - 3), 0.6), _CLOSE)
    if not pairs:
        return share
    metres = np.concatenate([p.metres for p in pairs])
    error = np.concatenate([p.error for p in pairs])
    near = np.concatenate([p.apart for p in pairs]) < 10.0
    weight = np.concatenate([np.full(len(p.apart), t) for p, t in zip(pairs, together, strict=True)])
    use = near & ~np.isnan(metres) & (weight > 0.3)
    if not use.any():
        return share
    same, other = _distance(metres[use], error[use], moved_m)
    w = weight[use]
    for _ in range(12):
        one = w * share * same / (share * same + (1.0 - share) * other)
        share = float((one.sum() + _ONE_FIND_WEIGHT * believed) / (w.sum() + _ONE_FIND_WEIGHT))
    return share


def evidence(pairs: Pairs, together: float, share: float, pause_model: PauseModel, spread: float) -> Floats:
    """Log odds that each pair shows one find.

    `together` is the probability of company, `share` that of one find in company, `pause_model` the party's, which
    knows how long the way to the next find takes. `spread` (s): how far the two clocks may disagree.
    """
    prior = np.clip(together * share * _same_stop(pairs.apart, pause_model), 0.002, 0.99)
    odds = np.log(prior) - np.log1p(-prior)
    known: Bools = ~np.isnan(pairs.metres)
    if known.any():
        metres, error = np.where(known, pairs.metres, 1.0), np.where(known, pairs.error, 8.0)
        same, other = _distance(metres, error, pause_model.moved_m)
        odds = odds + np.where(known, np.clip(np.log(same / other), -6.0, 1.5), 0.0)
    return np.asarray(odds / np.sqrt(1.0 + (spread / 90.0) ** 2))


def _same_stop(apart: Floats, pause_model: PauseModel) -> Floats:
    """Probability that stretches so many s apart belong to one stop: waiting one's turn, or the way between two."""
    gap = np.maximum(apart, 1.0)
    waiting = gap / _WAIT_S * np.exp(-gap / _WAIT_S)
    odds = _TURN + np.log(waiting + 1e-12) - np.log(pause_model.away(np.log(gap)) + 1e-12)
    return np.where(apart <= 0.0, 1.0, 1.0 / (1.0 + np.exp(-np.clip(odds, -30.0, 30.0))))


def _distance(metres: Floats, error: Floats, moved_m: float) -> tuple[Floats, Floats]:
    """Densities in the plane (t law, 4 degrees of freedom) at one find and at two."""
    near = 1.5**2 + (0.66 * error) ** 2  # 68 % radius of a round normal law is 1.5 times its scale
    square = metres * metres
    return disc(square, near), disc(square, near + (0.7 * moved_m) ** 2)


def _close_pairs(one: Stretches, two: Stretches) -> tuple[Ints, Ints]:
    low = np.searchsorted(two.end, one.start - _REACH_S)
    high = np.searchsorted(two.start, one.end + _REACH_S, side="right")
    many = np.maximum(high - low, 0)
    a = np.repeat(np.arange(len(one.start)), many)
    offset = np.arange(len(a)) - np.repeat(np.cumsum(many) - many, many)
    return a, np.repeat(low, many) + offset
