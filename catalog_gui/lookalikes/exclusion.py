"""When a dangerous taxon may be called excluded: its own rule, stricter than the ranking.

A record speaks against a dangerous taxon h by at most `CLIP` nats, however odd it is, so that no single
record can decide. It counts only as far as one and the same other taxon t (or a fungus that is not in the
reference) explains it better. The weight of the whole evidence against h, relative to t, is

    g(t, h) = sum over independent witnesses of  match(t, record) * against(h, record)

where features of one kin are one witness (the strongest of them counts) and nothing that agrees with h is
subtracted. h is excluded if g(t, h) reaches the bar(t, h) for some t, and at least two witnesses that are
not fragile, each seen without doubt, speak against h by `CLEAR` nats or more.

*Monotone.* All terms are at least 0 and the bars depend on the reference alone, so another record can only
raise g: taking evidence away never takes a hazard away, and what was not looked at never excludes. This is
why agreement is not allowed to rescue h (a plain likelihood ratio against the best candidate lets it, and
so loses hazards when a record is struck out): an exclusion has to hold whatever else may be seen.

*The bar.* With h in hand, every feature that the reference knows of h recorded, and a share e of the
records wrong, the chance that g(t, h) reaches a bar b is at most exp(-l*b) * product over witnesses of
E[exp(l * match * against)] for any l > 0 (Chernoff 1952, Ann. Math. Stat. 23:493-507), and recording fewer
features only lowers g. The bar is the smallest b that keeps this below a/T for all T alternatives together
(Boole) with e = 10 %, a = 1/1000 and with e = 20 %, a = 1/100; it is worked out for each pair of taxa from
the reference alone. Because Boole's and Chernoff's inequalities both give away too much, `SLACK` nats are
taken off again, as far as simulation on made-up tables allows (tests/benchmarks/weighing shows the figures
beside other rules).

Place, season, smell, taste, free text, names and whatever is doubtful, gone or not looked at take no part.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from catalog_gui.lookalikes.records import Record
from catalog_gui.lookalikes.reference import ABSENT
from catalog_gui.lookalikes.table import Bools, Floats, Ints, Table

CLIP = 2.0
"""Nats that one witness can weigh at most."""

SIZE_CLIP = 1.0
"""Nats that the sizes of a fruit body can weigh: dwarfs, giants and the cut-off are common."""

CLEAR = 1.2
"""Nats from which a contradiction counts as one of the two that are needed."""

MISSED_FIT = (0.2, 0.35, 0.6, 0.7)
"""How well 'looked for and not there' fits a taxon that has it, for fragility 0 to 3."""

CONDITIONS = ((0.10, 0.001), (0.20, 0.01))
"""(share of wrong records, chance of excluding the taxon in hand that is accepted)."""

MISSED_AT_WORST = (0.15, 0.25, 0.45, 0.55)
"""Chance that a feature of fragility 0 to 3 is recorded as absent although it was there, for the bars."""

SLACK = 1.5
"""Nats taken off the bars, from simulation."""

_MATCH_FROM, _MATCH_TO = 0.10, 0.40
_UNKNOWN_MATCH = 0.5
_TILTS = (0.4, 0.6, 0.8, 1.1, 1.5, 2.0, 3.0)


@dataclass(frozen=True)
class Exclusion:
    """What the rule needs of a reference: `match` (K, T + 1), `against` (K, H) and `bar` (T + 1, H).

    Row T of the alternatives is a fungus that is not in the reference: it half explains everything.
    """

    table: Table
    match: Floats
    against: Floats
    bar: Floats

    def decide(self, records: Sequence[Record]) -> Bools:
        """(H,) which dangerous taxa are excluded by these records."""
        table = self.table
        hazards = len(table.dangerous)
        taking_part = [r for r in records if table.can_exclude[r.index] and r.evidence.sure]
        if hazards == 0 or len(taking_part) < 2:
            return np.zeros(hazards, dtype=np.bool_)
        match = np.stack([self.match_of(r) for r in taking_part])
        against = np.stack([self.against_of(r) for r in taking_part])
        groups = table.group_of[[r.index for r in taking_part]]
        firm = np.array([table.firm[r.index] for r in taking_part])

        possible = self._firm_witnesses(against, groups, firm) >= 2
        most = _sum_of_strongest(against, groups)
        possible &= most >= self.bar.min(axis=0)
        which = np.flatnonzero(possible)
        excluded = np.zeros(hazards, dtype=np.bool_)
        if which.size:
            weight = _weigh_pairs(match, against[:, which], groups)
            excluded[which] = (weight >= self.bar[:, which]).any(axis=0)
        return excluded

    def match_of(self, record: Record) -> Floats:
        """(T + 1,) how well each alternative explains a record, 0 to 1."""
        if record.columns:
            return np.asarray(self.match[list(record.columns)].mean(axis=0))
        fit = self.table.number_fit(record.index, record.low or 0.0, record.high or 0.0, kindly=False)
        known = self.table.known[record.index]
        return np.append(np.where(known, _match(fit), _UNKNOWN_MATCH), _UNKNOWN_MATCH).astype(np.float32)

    def against_of(self, record: Record) -> Floats:
        """(H,) nats that a record speaks against each dangerous taxon; 0 where the reference has no data."""
        table = self.table
        if record.columns:
            return np.asarray(self.against[list(record.columns)].min(axis=0))
        fit = table.number_fit(record.index, record.low or 0.0, record.high or 0.0, kindly=True)[
            table.dangerous
        ]
        if record.feature.unit == "mm":
            return np.minimum(-np.log(np.maximum(fit, 1e-9)) / 4, SIZE_CLIP)  # twice the spread
        return np.minimum(-np.log(np.maximum(fit, 1e-9)), CLIP)

    @staticmethod
    def _firm_witnesses(against: Floats, groups: Ints, firm: Bools) -> Ints:
        clear = (against >= CLEAR) & firm[:, None]
        count = np.zeros(against.shape[1], dtype=np.intp)
        for group in np.unique(groups[firm]):
            count += clear[groups == group].any(axis=0)
        return count


def build_exclusion(table: Table) -> Exclusion:
    """Work out the arrays and the bars for a reference."""
    dangerous = table.dangerous
    fit = table.fit.copy()
    for block in table.blocks:
        if block.can_be_absent and ABSENT in block.labels:
            row = block.stop - 1
            kindest = MISSED_FIT[int(block.feature.fragility)]
            fit[row] = np.maximum(fit[row], kindest)
    match = np.full((fit.shape[0], fit.shape[1] + 1), _UNKNOWN_MATCH, dtype=np.float32)
    against = np.zeros((fit.shape[0], len(dangerous)), dtype=np.float32)
    for block in table.blocks:
        rows = slice(block.start, block.stop)
        has = table.known[block.index]
        match[rows, :-1] = np.where(has, _match(fit[rows]), _UNKNOWN_MATCH)
        if table.can_exclude[block.index]:
            nats = np.clip(-np.log(np.maximum(fit[rows][:, dangerous], 1e-9)), 0.0, CLIP)
            against[rows] = np.where(has[dangerous], nats, 0.0)
    bar = _bars(table, match, against)
    return Exclusion(table, match, against, bar)


def _match(fit: Floats) -> Floats:
    return np.asarray(np.clip((fit - _MATCH_FROM) / (_MATCH_TO - _MATCH_FROM), 0.0, 1.0), dtype=np.float32)


def _bars(table: Table, match: Floats, against: Floats) -> Floats:
    """(T + 1, H) the weight from which t speaks h out, see the head of this file."""
    alternatives, hazards = match.shape[1], against.shape[1]
    bar = np.zeros((alternatives, hazards), dtype=np.float64)
    groups = table.group_of
    for wrong, accepted in CONDITIONS:
        chance = _recorded_at_worst(table, wrong)
        lowest = np.full_like(bar, np.inf)
        for tilt in _TILTS:
            gain = chance * np.expm1(tilt * against)
            total = np.zeros_like(bar)
            for group in range(int(groups.max(initial=-1)) + 1):
                total += np.log1p(
                    _group_gain(table, np.flatnonzero(groups == group), match, gain, wrong, tilt)
                )
            total += np.log(alternatives / accepted)
            np.minimum(lowest, total / tilt, out=lowest)
        np.maximum(bar, lowest, out=bar)
    bar = np.maximum(bar - SLACK, CLIP + 0.5)
    bar[table.dangerous, np.arange(hazards)] = np.inf
    return bar.astype(np.float32)


def _group_gain(
    table: Table, members: Ints, match: Floats, gain: Floats, wrong: float, tilt: float
) -> Floats:
    """(T + 1, H) E[exp(tilt * strongest member)] - 1, which is at most the sum over the members.

    exp is convex, so exp(tilt * match * against) - 1 <= match * (exp(tilt * against) - 1): a matrix product.
    """
    total = np.zeros((match.shape[1], gain.shape[1]), dtype=np.float32)
    size_seen = False
    for member in members:
        if not table.can_exclude[member]:
            continue
        block = table.blocks[member]
        if not block.is_number:
            total += match[block.start : block.stop].T @ gain[block.start : block.stop]
            continue
        size = block.feature.unit == "mm"
        if size and size_seen:
            continue  # all sizes of a fruit body go wrong together
        size_seen |= size
        known = table.known[member][table.dangerous]
        total += (known * wrong * np.expm1(tilt * (SIZE_CLIP if size else CLIP))).astype(np.float32)
    return total


def _recorded_at_worst(table: Table, wrong: float) -> Floats:
    """(K, H) chance that a column is what gets recorded of each dangerous taxon, at a given error rate."""
    chance = np.zeros((table.fit.shape[0], len(table.dangerous)), dtype=np.float32)
    for block in table.blocks:
        if block.is_number or block.stop == block.start:
            continue
        rows = slice(block.start, block.stop)
        shown = table.fit[rows][:, table.dangerous]
        shown = shown / np.maximum(shown.sum(axis=0), 1e-9)
        if block.can_be_absent:
            missed = MISSED_AT_WORST[int(block.feature.fragility)]
            shown = shown * (1 - missed)
            shown[-1] += missed
        chance[rows] = (1 - wrong) * shown + wrong / (block.stop - block.start)
    return chance


def _sum_of_strongest(against: Floats, groups: Ints) -> Floats:
    """(H,) the sum over witnesses of the strongest member."""
    total = np.zeros(against.shape[1], dtype=np.float32)
    for group in np.unique(groups):
        total += against[groups == group].max(axis=0)
    return total


def _weigh_pairs(match: Floats, against: Floats, groups: Ints) -> Floats:
    """(T + 1, H) g(t, h): a matrix product for the witnesses with one record, the strongest one for kin."""
    numbers, counts = np.unique(groups, return_counts=True)
    alone = np.isin(groups, numbers[counts == 1])
    weight = match[alone].T @ against[alone]
    for group in numbers[counts > 1]:
        members = np.flatnonzero(groups == group)
        strongest = np.zeros_like(weight)
        for member in members:
            np.maximum(strongest, np.outer(match[member], against[member]), out=strongest)
        weight += strongest
    return np.asarray(weight)
