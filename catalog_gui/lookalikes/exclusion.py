"""When a dangerous taxon may be called excluded: its own rule, stricter than the ranking.

For a dangerous taxon h and every other explanation t, each record r gives bounded evidence (nats against its
being merely common). The explanations are taken together; h is excluded if

1. together they are ahead of h by the bar, which depends on how much of h is recorded and is set on the very
   table in use (see `calibration`), higher for what can kill; and
2. enough independent witnesses speak clearly against h: two on features that stay, three on features that
   fade within days or sizes, or one of the first and two of the others. What goes with rain or handling, or
   is often missed, is no witness, seen or not.

One contrary feature is never enough. What was not looked at, or is damaged or gone, or doubtful, takes no
part; nor do place, season, smell, taste, free text and names. The absence of what fades is no witness.
Features of one kin, and all sizes together, are one witness and share the weight of one. h gets the benefit
of the doubt: more of its records are assumed to be wrong, what is rarely shown counts as shown more often,
of several states recorded the kindest counts, of a measured range the nearest end.

What is struck out is handed over as `struck_out`: it goes on speaking for a dangerous taxon and never against
one, so that striking out never removes a hazard. Proof: explanations, weights and bar are those of all records
together, kept and struck out, so they stay the same; min(0, d) <= d for every t and h, so every sum can only
fall, and with it all explanations together; and contradictions can only go.

Why it is built like this, what was tried and what it promises: `resources/docs/decisions/exclusion.md`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from catalog_gui.domain.feature import Fragility
from catalog_gui.lookalikes.calibration import Calibration, SampledFinds
from catalog_gui.lookalikes.likelihoods import Block, Bools, Floats, Ints, LikelihoodTable
from catalog_gui.lookalikes.observations import Observation, Observations, arranged
from catalog_gui.lookalikes.sizes import mixed_density, tails

LEAST_BAR = 4.1
"""Nats (a factor of 60) by which the others together must be ahead at least."""

FATAL_EXTRA, LEAST_BAR_OF_FATAL = 2.5, 9.0
"""Nats by which they must be further ahead of what can kill, and at least (a factor of 8000)."""

BOUND = 2.5
"""Nats that one record can speak for or against one taxon at most."""

CLEAR = 1.25
"""Nats from which a contradiction counts as a witness."""

FIRM, SOFT, NEEDED = 3, 2, 6
"""Points of a witness on a feature that stays, of any other witness, and how many it takes to exclude."""

WRONG, WRONG_FOR_OTHERS = 0.15, 0.05
"""Share of wrong records that is assumed for a dangerous taxon, and for the others."""

KIND = 0.4
"""Least chance of a state that is written of a dangerous taxon, at full frequency."""

MISSED_FIT = (0.2, 0.35, 0.6, 0.7)
"""How well 'looked for and not there' fits a dangerous taxon that has it, for fragility 0 to 3."""

STATURES = ((0.0, 0.8), (-0.6, 0.1), (0.45, 0.1))
STATURES_OF_DANGEROUS = ((0.0, 0.6), (-0.8, 0.2), (0.6, 0.2))
"""Dwarfs and giants: by how much ln(size) is moved, and the share of such finds; more for a dangerous taxon."""

_SHARPNESS = 2.0
_LONGER_TAILS = 1.5
_WRITTEN = 0.02
_BEST = 64


@dataclass(frozen=True)
class Contrast:
    """What the rule needs of a reference of T taxa, H of them dangerous; K columns, then the bins of sizes.

    `others` (rows, T) and `own` (rows, H): bounded nats against a taxon of which nothing is known. `against`
    (K, H): how far each column contradicts each dangerous taxon. `points` (rows, H): what each row counts as
    a witness against it.
    """

    table: LikelihoodTable
    others: Floats
    own: Floats
    against: Floats
    points: Ints

    def ahead(self, finds: SampledFinds) -> tuple[Floats, Ints]:
        """How far the others lead each drawn find's own taxon, see `calibration.Ahead`."""
        table, sheet = self.table, finds.sheet
        hazard = finds.hazard[finds.find]
        groups = table.group_of[sheet.features] + finds.find * len(table.blocks)
        witnesses, place, kin = np.unique(groups, return_inverse=True, return_counts=True)
        weight = (1.0 / kin[place]).astype(np.float32)
        total = np.zeros((finds.count, self.others.shape[1]), dtype=np.float32)
        starts = np.searchsorted(finds.find, np.arange(finds.count + 1)).tolist()
        for find, (start, stop) in enumerate(pairwise(starts)):
            np.dot(weight[start:stop], self.others[sheet.first[start:stop]], out=total[find])
        own = np.bincount(finds.find, self.own[sheet.first, hazard] * weight, finds.count)
        points = np.zeros(len(witnesses), dtype=np.intp)
        np.maximum.at(points, place, self.points[sheet.first, hazard])
        of_find = witnesses // len(table.blocks)
        enough = np.bincount(of_find, points, finds.count) >= NEEDED
        independent = np.bincount(of_find, minlength=finds.count)
        lead = together(total.T) - own - FATAL_EXTRA * table.fatal[finds.hazard]
        return np.where(enough, lead, 0.0).astype(np.float32), independent


@dataclass(frozen=True)
class Exclusion:
    """The rule, ready for one reference: its contrast and the bars that were set for it."""

    contrast: Contrast
    calibration: Calibration

    @cached_property
    def table(self) -> LikelihoodTable:
        return self.contrast.table

    def judge(self, records: Sequence[Observation], struck_out: Sequence[Observation] = ()) -> Judgement:
        """Judge all dangerous taxa by these records; records struck out can only speak for them."""
        table, contrast = self.table, self.contrast
        hazards = len(table.dangerous)
        kept = [r for r in records if self._takes_part(r)]
        both = [*kept, *(r for r in struck_out if self._takes_part(r))]
        if not both or not hazards:
            nothing = np.zeros(hazards, dtype=np.float32)
            return Judgement(nothing, nothing, np.zeros(hazards, dtype=np.intp), self.bar(nothing))
        sheet = arranged(both, table)
        weight = _shares(table.group_of[sheet.features])
        known = table.known_dangerous[sheet.features]
        others = sheet.gather(contrast.others, middle=True)
        own = sheet.gather(contrast.own, middle=False) * weight[:, None]
        total = weight @ others
        if len(total) > _BEST:
            others = others[:, np.argpartition(-total, _BEST)[:_BEST]]
        others *= weight[:, None]
        others = np.concatenate([others, np.zeros((len(both), 1), dtype=np.float32)], axis=1)
        now = slice(0, len(kept))
        speaks = others[now].T @ known[now] - own[now].sum(axis=0)
        for row in range(len(kept), len(both)):
            speaks += np.minimum(others[row][:, None] * known[row] - own[row], 0.0)
        return Judgement(
            together(speaks[:-1], speaks[-1]),
            speaks.max(axis=0),
            self._points(sheet, len(kept)),
            self.bar(weight @ known),
        )

    def bar(self, independent: Floats) -> Floats:
        """(H,) the nats that the others must be ahead, given how many independent records there are."""
        bar = self.calibration.bar(independent)
        of_fatal = np.maximum(bar + FATAL_EXTRA, LEAST_BAR_OF_FATAL)
        return np.where(self.table.fatal, of_fatal, bar)

    def _takes_part(self, record: Observation) -> bool:
        return record.evidence.sure and bool(self.table.can_exclude[record.index])

    def _points(self, sheet: Observations, count: int) -> Ints:
        """(H,) the points of the independent witnesses among the first `count` records."""
        table, points = self.table, self.contrast.points
        by_record = points[sheet.first[:count]]
        for place, columns in sheet.several:
            if place < count:
                by_record[place] = points[columns].min(axis=0)
        for place, (start, stop) in zip(sheet.measured.tolist(), sheet.bins_of_ranges.tolist(), strict=True):
            if place < count:
                by_record[place] = points[start : stop + 1].min(axis=0)
        groups = table.group_of[sheet.features[:count]]
        total = np.zeros(len(table.dangerous), dtype=np.intp)
        for group in np.unique(groups[by_record.any(axis=1)]):
            total += by_record[groups == group].max(axis=0)
        return total


@dataclass(frozen=True)
class Judgement:
    """What stands against each dangerous taxon (H,).

    `margin`: nats by which all other explanations together beat it; `lead`: by which the best one does;
    `points`: of the independent witnesses that clearly contradict it; `bar`: the nats that are needed.
    """

    margin: Floats
    lead: Floats
    points: Ints
    bar: Floats

    @property
    def excluded(self) -> Bools:
        """(H,) which dangerous taxa may be called excluded."""
        return np.asarray((self.margin >= self.bar) & (self.points >= NEEDED))


def together(nats: Floats, unknown: Floats | float = 0.0) -> Floats:
    """(X,) explanations (T, X) taken together, and a fungus that is not in the reference (`unknown`) with them.

    A sum in which the better ones count for more: ln of the root of the sum of squared likelihoods.
    """
    sharp = np.float32(_SHARPNESS)
    best = np.maximum(nats.max(axis=0), unknown) if len(nats) else np.asarray(unknown)
    rest = np.exp(sharp * (unknown - best))
    return np.asarray(
        best + np.log(np.exp(sharp * (nats - best)).sum(axis=0) + rest) / sharp, dtype=np.float32
    )


def build_contrast(table: LikelihoodTable) -> Contrast:
    """Work out the arrays for a reference."""
    columns, rows, hazards = len(table.fit), table.bins.rows, len(table.dangerous)
    contrast = Contrast(
        table,
        np.zeros((rows, len(table.taxa)), dtype=np.float32),
        np.zeros((rows, hazards), dtype=np.float32),
        np.zeros((columns, hazards), dtype=np.float32),
        np.zeros((rows, hazards), dtype=np.int8),
    )
    for block in table.blocks:
        if block.start < block.stop and table.can_exclude[block.index] and table.known[block.index].any():
            (_sizes if block.is_number else _states)(contrast, block)
    return contrast


def _states(contrast: Contrast, block: Block) -> None:
    """Fill in the rows of a feature with states."""
    table, dangerous = contrast.table, contrast.table.dangerous
    rows = slice(block.start, block.stop)
    common = table.background[rows][:, None]
    has = table.known[block.index]
    contrast.others[rows] = np.where(has, _bounded(table.chance[rows], common, WRONG_FOR_OTHERS, common), 0.0)
    fit = table.fit[rows][:, dangerous].copy()
    if block.can_be_absent:
        fit[-1] = np.maximum(fit[-1], MISSED_FIT[int(block.feature.fragility)])
    chance = table.chance[rows][:, dangerous]
    kind = np.where(fit > _WRITTEN, np.maximum(chance, KIND * fit**0.3), chance)
    mistaken = np.maximum(common, (1 - kind) / max(block.stop - block.start - 1, 1))
    contrast.own[rows] = np.where(has[dangerous], _bounded(kind, common, WRONG, mistaken), 0.0)
    against = np.where(has[dangerous], -np.log(np.maximum(fit, 1e-9)), 0.0)
    contrast.against[rows] = np.clip(against, 0.0, BOUND)
    if block.feature.fragility > Fragility.FADES:
        return
    points = FIRM if table.firm[block.index] else SOFT
    contrast.points[rows] = np.where(against >= CLEAR, points, 0)
    if block.can_be_absent and block.feature.fragility > Fragility.STAYS:
        contrast.points[block.stop - 1] = 0


def _sizes(contrast: Contrast, block: Block) -> None:
    """Fill in the coarse columns and the fine bins of a number."""
    table, feature, dangerous = contrast.table, block.index, contrast.table.dangerous
    rows, middles = table.bins.slice_of(feature), table.bins.middles(feature)
    has = table.known[feature]
    low, high, spread = table.low[feature], table.high[feature], table.spread[feature]
    is_size = bool(table.is_size[feature])
    any_size = 1.0 / float(middles[-1] - middles[0])
    usual = ((0.0, 1.0),)
    chance = mixed_density(middles, low, high, tails(spread), STATURES if is_size else usual)
    chance[:, ~has] = 0.0
    common = (0.9 * chance.sum(axis=1) / has.sum() + 0.1 * any_size)[:, None]
    contrast.others[rows] = np.where(has, _bounded(chance, common, WRONG_FOR_OTHERS, any_size), 0.0)
    has = has[dangerous]
    if not has.any():
        return
    low, high, spread = low[dangerous], high[dangerous], spread[dangerous]
    kind = mixed_density(
        middles, low, high, _LONGER_TAILS * tails(spread), STATURES_OF_DANGEROUS if is_size else usual
    )
    mistaken = np.maximum(common, any_size)
    contrast.own[rows] = np.where(has, _bounded(np.nan_to_num(kind), common, WRONG, mistaken), 0.0)
    half = float(table.bins.step[feature]) / 2  # a measure may stand nearer than the middle of its bin
    gap = np.maximum(np.maximum(low - middles[:, None], middles[:, None] - high) - half, 0.0) / spread
    clear = has & (0.5 * np.square(gap) >= CLEAR)
    contrast.points[rows] = np.where(clear, FIRM if table.firm[feature] else SOFT, 0)
    fit = table.fit[block.start : block.stop][:, dangerous]
    against = np.clip(-np.log(np.maximum(fit, 1e-9)), 0.0, BOUND)
    contrast.against[block.start : block.stop] = np.where(has, against, 0.0)


def _bounded(chance: Floats, common: Floats, wrong: float, mistaken: Floats | float) -> Floats:
    """Nats of a record against its being merely common; a wrong record is `mistaken` by chance."""
    odds = ((1 - wrong) * chance + wrong * mistaken) / np.maximum(common, 1e-9)
    return np.asarray(np.clip(np.log(np.maximum(odds, 1e-9)), -BOUND, BOUND), dtype=np.float32)


def _shares(groups: Ints) -> Floats:
    """(n,) 1 / m for each of m records of one kin, so that together they weigh as much as one."""
    return np.asarray(1.0 / np.bincount(groups)[groups], dtype=np.float32)
