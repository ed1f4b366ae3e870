"""Who carried which camera: one person with two devices never presses both shutters at once.

Two people at the same finds press within a second or two of each other as often as chance has it. So the
pictures of two cameras that fall side by side are counted against those of the same streams shifted
by half a minute or two, which keeps the company but breaks the turn-taking of one pair of hands.
"""

from __future__ import annotations

import numpy as np

from catalog_gui.grouping.columns import Floats, Ints, nearest

_SIDE_BY_SIDE_S = 2.5
_MARGIN_S = 300.0
_SHIFTS = (-110.0, -70.0, -45.0, -25.0, 25.0, 45.0, 70.0, 110.0)
_ENOUGH = 1500  # pictures of one of the two: what more of them would say is the same
_ONE_PERSON = 0.18  # of the coincidences of chance: clocks are known to a second or two only
_PRIOR = -0.5  # log odds that two cameras of a foray were in one pair of hands


def odds_of_one_photographer(one: Floats, two: Floats, spread: float, sure: float) -> float:
    """Log odds that two streams of true times (s, ascending) were taken by one person.

    `spread` (s) is how far the clocks may disagree, with probability `sure`; beyond a few seconds nothing
    can be said, and two people are taken for granted.
    """
    if spread > 8.0 or sure < 0.3 or len(one) < 4 or len(two) < 4:
        return -np.inf
    if len(one) > len(two):
        one, two = two, one
    one = _while(one, two[0], two[-1])
    if len(one) > _ENOUGH:
        begin = (len(one) - _ENOUGH) // 2
        one = one[begin : begin + _ENOUGH]
        two = _while(two, one[0], one[-1])
    seen = _coincidences(one, two)
    chance = float(np.mean([_coincidences(one, two + shift) for shift in _SHIFTS]))
    evidence = seen * np.log(_ONE_PERSON) + (1.0 - _ONE_PERSON) * chance
    return float(evidence + _PRIOR + min(0.0, 2.0 * np.log(sure)))


def _while(times: Floats, first: float, last: float) -> Floats:
    """Those of `times` from `first` to `last`, and a few minutes more."""
    low, high = np.searchsorted(times, (first - _MARGIN_S, last + _MARGIN_S))
    return times[low:high]


def _coincidences(one: Floats, two: Floats) -> int:
    if not len(two):
        return 0
    return int(np.count_nonzero(np.abs(one - nearest(two, one)) < _SIDE_BY_SIDE_S))


def photographers_of(times: list[Floats], spreads: list[float], sures: list[float]) -> Ints:
    """For each stream (true times, s, ascending) the number of the person who carried it.

    The surest pair is put together first; what two streams leave open, the third may tell with both.
    """
    person = np.arange(len(times))
    merged = {i: (t, spreads[i], sures[i]) for i, t in enumerate(times)}
    odds = {(i, j): _compare(merged, i, j) for i in merged for j in merged if i < j}
    while odds:
        (i, j), best = max(odds.items(), key=lambda entry: (entry[1], entry[0]))
        if best <= 0.0:
            break
        person[person == j] = i
        if len(merged) == 2:
            break
        both = np.sort(np.concatenate((merged[i][0], merged[j][0])))
        merged[i] = (both, max(merged[i][1], merged[j][1]), min(merged[i][2], merged[j][2]))
        del merged[j]
        odds = {pair: value for pair, value in odds.items() if i not in pair and j not in pair}
        odds |= {(min(i, k), max(i, k)): _compare(merged, i, k) for k in merged if k != i}
    return person


def _compare(merged: dict[int, tuple[Floats, float, float]], i: int, j: int) -> float:
    (one, spread, sure), (two, other_spread, other_sure) = merged[i], merged[j]
    return odds_of_one_photographer(one, two, float(np.hypot(spread, other_spread)), sure * other_sure)
