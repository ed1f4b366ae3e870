"""How far ahead another explanation may come by errors alone, on the very table that is in use.

Finds of the dangerous taxa of a reference are drawn from its own table with much going wrong; the exclusion
rule sets its bars by them. This is the one file of the thinking rooms that draws random numbers. It is
seeded, so that the same table has the same bars for everybody and on every day: what is excluded must not
depend on chance.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from catalog_gui.lookalikes.likelihoods import Bools, Floats, Ints, LikelihoodTable
from catalog_gui.lookalikes.observations import Observations

MISSED = 0.25
"""Share of the records of a fragile feature in which it was missed though it was there."""

FLATTENED = 0.85
"""Power to which the written frequencies are raised: what is rare is met more often than written."""

_SEED = 20_260_101
_SHOWN = 0.02
_WRONG_SIZES = np.log(np.array([0.5, 0.65, 1.5, 2.0]))
_EXTREME = 0.1

COUNTS = (2, 3, 4, 6, 8, 12, 18, 27, 40)
"""Numbers of records for which bars are drawn; between them they are interpolated."""

USUAL, STRESS = 0.05, 0.20
"""Shares of wrong records; in half of the finds any other state, in half what one and the same taxon shows."""

LOST, LOST_UNDER_STRESS, LOST_OF_TWO_WRONG = 0.0007, 0.0075, 0.0065
"""Shares of the drawn finds that may be lost: 1 in 1000 and 1 in 100 are promised for finds drawn otherwise."""

LOST_OF_FEW = 0.003
"""The same under stress with few records: published descriptions contradict more there than drawn finds do."""

_FEW = 8
_FINDS, _FEWEST = 4000, 400
_WORK = 4e8  # sums of nats (finds x records x taxa) for all finds of one kind, from which on fewer are drawn
_TAIL, _TAIL_IN_SHARES = 0.03, 6.0

Doubles = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Calibration:
    """The bar, in nats, for each number of independent records (ascending), straight lines in between."""

    records: tuple[float, ...]
    bars: tuple[float, ...]

    def bar(self, independent: npt.NDArray[np.floating]) -> Floats:
        """The nats that are needed, given how many independent records there are; inf if nothing is known."""
        return np.asarray(np.interp(independent, self.records, self.bars), dtype=np.float32)


NOTHING_EXCLUDED = Calibration((0.0,), (float("inf"),))


@dataclass(frozen=True)
class SampledFinds:
    """N records of B finds numbered from 0. `find` (N,), ascending; `hazard` (B,) which dangerous taxon it is."""

    sheet: Observations
    find: Ints
    hazard: Ints

    @property
    def count(self) -> int:
        """How many finds."""
        return len(self.hazard)


Ahead = Callable[[SampledFinds], tuple[Floats, Ints]]
"""(B,) nats by which the others lead the true taxon, less what is asked for besides if it can kill, and 0 where it
has too few witnesses against it; and (B,) how many independent records there are."""


def calibrate(table: LikelihoodTable, ahead: Ahead, least: float) -> Calibration:
    """Draw finds and set the bars, `least` nats at least."""
    sampler = FindSampler(table)
    if not sampler.most:
        return NOTHING_EXCLUDED
    finds = int(np.clip(_WORK / (sum(COUNTS) * max(len(table.taxa), 1)), _FEWEST, _FINDS))
    counts, bars = [], []
    for records in COUNTS:
        if records > max(sampler.most, COUNTS[0]):
            break
        lead, independent = ahead(sampler.draw(finds, records, wrong=USUAL))
        under_stress, _ = ahead(sampler.draw(finds, records, wrong=STRESS))
        may_be_lost = LOST_OF_FEW if records <= _FEW else LOST_UNDER_STRESS
        bar = max(reached(lead, LOST), reached(under_stress, may_be_lost))
        if records <= _FEW:
            two_wrong, _ = ahead(sampler.draw(finds, records, exactly_wrong=2))
            bar = max(bar, reached(two_wrong, LOST_OF_TWO_WRONG))
        counts.append(float(independent.mean()))
        bars.append(bar)
    ends = np.array([bars[0], *bars, bars[-1]])
    smooth = np.maximum(ends[:-2] / 4 + ends[1:-1] / 2 + ends[2:] / 4, least)
    return Calibration(tuple(counts), tuple(np.round(smooth, 6).tolist()))


def reached(lead: Floats, share: float) -> float:
    """The nats that so small a share of the leads reaches, from an exponential fitted to the far tail."""
    start = max(float(np.quantile(lead, 1 - min(_TAIL, _TAIL_IN_SHARES * share))), 0.0)
    beyond = lead[lead > start] - start
    if len(beyond) <= share * len(lead):
        return start
    return start + float(beyond.mean()) * float(np.log(len(beyond) / (share * len(lead))))


class FindSampler:
    """Draws finds of the dangerous taxa of one table, all features as likely to be recorded."""

    def __init__(self, table: LikelihoodTable) -> None:
        self.table = table
        self._rng = np.random.default_rng(_SEED)
        self._drawable = table.can_exclude[:, None] & table.known[:, table.dangerous]
        self._width = np.diff(table.starts)
        offsets = np.arange(max(int(self._width.max(initial=0)), 1))
        inside = offsets < self._width[:, None]
        columns = np.minimum(table.starts[:-1, None] + offsets, max(len(table.fit) - 1, 0))
        fit = table.fit[columns] * table.known[:, None, :]
        shown = (fit > _SHOWN) & inside[:, :, None]
        self._shows = np.where(shown, fit, 0.0)
        self._shown = self._shows[:, :, table.dangerous] ** FLATTENED
        self._any = shown.any(axis=2).astype(np.float32)
        self._number = np.array([b.is_number for b in table.blocks], dtype=np.bool_)
        self._fragile = np.array([int(b.feature.fragility) >= 2 for b in table.blocks], dtype=np.bool_)
        self._can_be_absent = np.array([b.can_be_absent for b in table.blocks], dtype=np.bool_)

    @property
    def most(self) -> int:
        """The greatest number of features that can be recorded of any dangerous taxon."""
        return int(self._drawable.sum(axis=0).max(initial=0))

    def draw(
        self, finds: int, records: int, *, wrong: float = 0.0, exactly_wrong: int | None = None
    ) -> SampledFinds:
        """Draw finds with so many features recorded, or all that are known of the taxon, if fewer."""
        table, rng = self.table, self._rng
        which = rng.integers(0, len(table.dangerous), finds)
        order = rng.random((finds, len(table.blocks)), dtype=np.float32)
        order[~self._drawable[:, which].T] = 2.0
        count = min(records, len(table.blocks))
        chosen = np.argsort(order, axis=1)[:, :count]
        real = np.take_along_axis(order, chosen, axis=1) < 2.0
        find, place = np.nonzero(real)
        feature = chosen[real]
        hazard = which[find]
        mistaken = rng.random(len(feature)) < wrong if exactly_wrong is None else place < exactly_wrong
        state, kept = self._states(find, feature, hazard, mistaken)
        feature, find, hazard, state = feature[kept], find[kept], hazard[kept], state[kept]
        measured = np.flatnonzero(self._number[feature])
        size = self._sizes(feature[measured], hazard[measured], mistaken[kept][measured])
        first = table.starts[feature] + state
        first[measured] = table.bins.row(feature[measured], size)
        return SampledFinds(Observations(table, (), feature, first, (), measured, size, size), find, which)

    def _states(self, find: Ints, feature: Ints, hazard: Ints, wrong: Bools) -> tuple[Ints, Bools]:
        """The state recorded (its place within the feature), and whether anything is recorded at all."""
        rng = self._rng
        state = _pick(self._shown[feature, :, hazard], rng)
        absent = self._width[feature] - 1
        lost = self._fragile[feature] & ~self._number[feature] & (rng.random(len(feature)) < MISSED)
        mixed_up = rng.integers(0, len(self.table.taxa), find[-1] + 1 if len(find) else 0)[find]
        at = np.flatnonzero(wrong & ~lost)
        like_another = (find[at] % 2 != 0)[:, None]
        others = np.where(like_another, self._shows[feature[at], :, mixed_up[at]], self._any[feature[at]])
        others[np.arange(len(at)), state[at]] = 0.0
        alike = ~others.any(axis=1)  # the other taxon shows the same, or nothing is known of it
        others[alike] = self._any[feature[at][alike]]
        others[np.arange(len(at)), state[at]] = 0.0
        state[at] = np.where(others.any(axis=1), _pick(others, rng), state[at])
        state = np.where(lost, absent, state)
        return state, ~lost | self._can_be_absent[feature]

    def _sizes(self, feature: Ints, hazard: Ints, wrong: Bools) -> Floats:
        """One measure for each, within the usual range, now and then beyond it, or by far wrong."""
        table, rng = self.table, self._rng
        taxon = table.dangerous[hazard]
        low, high = table.low[feature, taxon], table.high[feature, taxon]
        beyond = 1.5 * table.spread[feature, taxon] * (rng.random(len(feature)) < _EXTREME)
        size = (low - beyond) + rng.random(len(feature)) * (high - low + 2 * beyond)
        size = size + np.where(wrong, rng.choice(_WRONG_SIZES, len(feature)), 0.0)
        return np.exp(size).astype(np.float32)


def _pick(weights: npt.NDArray[np.floating], rng: np.random.Generator) -> Ints:
    """(N,) for each row of weights one place, as likely as its weight."""
    running = np.cumsum(weights, axis=1)
    at = rng.random(len(weights))[:, None] * 0.999999 * running[:, -1:]
    return np.asarray(np.minimum((running <= at).sum(axis=1), weights.shape[1] - 1), dtype=np.intp)
