"""When a dangerous taxon may be called excluded: its own rule, stricter than the ranking.

For a dangerous taxon h and another explanation t, every record r gives bounded evidence

    d(t, h, r) = clip(ln P(r|t) / P0(r)) - clip(ln P(r|h) / P0(r)),   each clipped to +-BOUND nats,

P0 being how common r is in the whole table; d is 0 where the reference says nothing of h. h is excluded if

1. the sum of d reaches the bar for the best t among the taxa and a fungus that is not in the reference
   (its ratio is always 1), and
2. at least two independent witnesses that are not fragile, each seen without doubt, speak against h by
   `CLEAR` nats or more.

Features of one kin, and all sizes together, are one witness and share the weight of one. The bound keeps
any single record below the least bar, 4.1 nats. What was not looked at, or is damaged or gone, or doubtful, takes no
part; nor do place, season, smell, taste, free text and names.

h gets the benefit of the doubt: more of its records are assumed to be wrong (`WRONG`) than of the others', a
wrong one to be any other state, so that it counts less where there are few; `KIND` is the least chance of a
state that is written of it at all (falling slowly with its frequency); of several states recorded the
kindest counts, of a measured range the nearest end; and what is fragile may have been missed.

*The bar.* The chance that a likelihood ratio against what one has in hand ever reaches K is at most 1/K,
however many records are made and in whatever order (Ville 1939; see Ramdas et al. 2023, Statist. Sci.
38:576-601): that points to ln 1000 = 6.9. It covers neither the choice of the best t nor correlated errors
and wrong rates, and does not credit the bound and the benefits of the doubt. What is really needed depends
on the table (some 4 to 9 nats) and on how much is recorded: with two wrong records out of four some other
taxon often fits by chance, with four out of twenty hardly ever, unless features have but two states. One bar
for all tables that is safe for the worst of them (8.5) flags more on nearly all. So the bar is set when a
table is loaded: finds of its own dangerous taxa are drawn (`rehearsal`: always the same, 0.1 to
0.4 s) with 20 % of the records wrong, in half of the finds towards one and the same other
taxon, 35 % of the fragile features missed, and
frequencies flatter than written; and finds with exactly two wrong. The bar for each number of independent
records is what the best other explanation reaches, by an exponential fitted to the far tail, in 0.4 % of
the first and 0.6 % of the second, evened out between neighbours, and 0.2 nats more.

The promise, in finds drawn by rules of their own (`python -m tests.benchmarks.weighing.bench`): the true
dangerous taxon stays in 999 of 1000 finds with 5 % of the records wrong and a quarter of the fragile
features missed, and in 99 of 100 with 20 % wrong, two wrong at once, young, washed-out, cut-off, dwarf or
giant finds, or rates other than written. Drawn apart (6000 to 12,000 finds for each number of records), at
most 55 % of the losses allowed were used on our pack and on a table of two states each.

Dangerous others flagged at 6, 10, 15 and 20 usual records, with one bar of 8.5 and with this one: our pack
.98 .86 .62 .43 and .91 .69 .46 .33; 45 features .90 .61 .25 .11 and .73 .41 .14 .04; close species .63 .21
.08 .04 and .50 .14 .05 .02. With two states to each feature it is about level (.75 against .72 at 20). On
our pack much of what is left is due to the two firm contradictions that are demanded, not to the bar: a
plain ratio that heeds them too, its threshold fitted to the finds it is tried on, flags .91 .67 .43 .31; one
threshold for all tables 1.0 .99 .85 .67. Without that demand, and with place and smell, .68 .38 .14 .06.

*Taking evidence away.* A record that speaks for h holds it in; without it the others may exclude h. No rule
can both avoid that and be of use: a rule that agreement cannot soften has to treat six contradictions alike
whether six or sixty features were recorded, and to be safe for sixty it must not exclude on six (the
benchmark shows what such a rule flags). Therefore what she strikes out is handed over as `struck_out`: it
goes on speaking for a dangerous taxon and never against one, so that striking out never removes a hazard.
Proof: the explanations, weights and bar are those of all records together, kept and struck out, so they stay the
same; min(0, d) <= d for every t and h, so every sum can only fall, and contradictions can only go.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from catalog_gui.lookalikes.calibration import Doubles, Finds, FindSampler
from catalog_gui.lookalikes.likelihoods import Bools, Floats, Ints, LikelihoodTable
from catalog_gui.lookalikes.observations import Observation, Observations, arranged

LEAST_BAR = 4.1
"""Nats (a factor of 60) by which another explanation must be better at least: no single record reaches it."""

BOUND = 2.0
"""Nats that one record can speak for or against one taxon at most."""

CLEAR = 1.25
"""Nats from which a contradiction counts as one of the two that are needed."""

WRONG, WRONG_FOR_OTHERS = 0.20, 0.05
"""Share of wrong records that is assumed for a dangerous taxon, and for the others."""

KIND = 0.4
"""Least chance of a state that is written of a dangerous taxon, at full frequency."""

MISSED_FIT = (0.2, 0.35, 0.6, 0.7)
"""How well 'looked for and not there' fits a dangerous taxon that has it, for fragility 0 to 3."""

_WRITTEN = 0.02
_BEST = 64
_COUNTS = (2, 3, 4, 6, 8, 12, 17, 24, 34, 50)
_FEW = 8
_FINDS, _RECORDS = 3000, 18_000
_LOST, _LOST_OF_TWO_WRONG = 0.004, 0.006
_MARGIN, _TAIL = 0.2, 0.03


@dataclass(frozen=True)
class Exclusion:
    """What the rule needs of a reference of T taxa, H of them dangerous, and K columns.

    `others` (K, T) and `own` (K, H): bounded nats against a taxon of which nothing is known. `against`
    (K, H): how far each column contradicts each dangerous taxon; `clear` (K, H): on a firm feature and far
    enough to count.
    """

    table: LikelihoodTable
    others: Floats
    own: Floats
    against: Floats
    clear: Bools
    bars: tuple[Doubles, Doubles] = (np.zeros(1), np.full(1, np.inf))

    def judge(self, records: Sequence[Observation], struck_out: Sequence[Observation] = ()) -> Judgement:
        """Judge all dangerous taxa by these records; records struck out can only speak for them."""
        table = self.table
        hazards = len(table.dangerous)
        kept = [r for r in records if self._takes_part(r)]
        gone = [r for r in struck_out if self._takes_part(r)]
        both = [*kept, *gone]
        if not both or not hazards:
            nothing = np.zeros(hazards, dtype=np.float32)
            return Judgement(nothing, np.zeros(hazards, dtype=np.intp), self.bar(nothing))
        sheet = arranged(both, table)
        others, own = self._ratios(sheet)
        weight = _shares(table.group_of[sheet.features])
        known = table.known_dangerous[sheet.features]
        best = np.argsort(-(weight @ others), kind="stable")[:_BEST]
        others = np.concatenate([others[:, best], np.zeros((len(both), 1), dtype=np.float32)], axis=1)
        others *= weight[:, None]
        own *= weight[:, None]
        now = slice(0, len(kept))
        speaks = others[now].T @ known[now] - own[now].sum(axis=0)
        for row in range(len(kept), len(both)):
            speaks += np.minimum(others[row][:, None] * known[row] - own[row], 0.0)
        return Judgement(speaks.max(axis=0), self._witnesses(sheet, len(kept)), self.bar(weight @ known))

    def bar(self, independent: Floats) -> Floats:
        """(H,) the nats that another explanation must be ahead, given how many independent records there are."""
        return np.interp(independent, *self.bars).astype(np.float32)

    def ahead(self, finds: Finds) -> tuple[Floats, Ints]:
        """For rehearsed finds: nats by which the best other explanation leads, and the independent records.

        Leads without two witnesses count as none.
        """
        table, sheet, find = self.table, finds.sheet, finds.find
        rows = np.arange(len(find))
        others = sheet.gather(self.others, middle=True)
        own, clear = self.own[sheet.first, finds.hazard], self.clear[sheet.first, finds.hazard]
        if len(sheet.measured):
            numbers = self._numbers(sheet)
            of = finds.hazard[sheet.measured]
            others[sheet.measured] = numbers.others
            own[sheet.measured] = numbers.own[rows[: len(of)], of]
            clear[sheet.measured] = numbers.clear[rows[: len(of)], of]
        groups = table.group_of[sheet.features] + find * len(table.blocks)
        witnesses, place, kin = np.unique(groups, return_inverse=True, return_counts=True)
        weight = (1.0 / kin[place]).astype(np.float32)
        others *= weight[:, None]
        present, starts, lengths = np.unique(find, return_index=True, return_counts=True)
        total = others[starts]
        for place in range(1, int(lengths.max())):  # several times as fast as one ufunc.reduceat over all
            longer = lengths > place
            total[longer] += others[starts[longer] + place]
        lead = np.maximum(total.max(axis=1), 0.0) - np.add.reduceat(own * weight, starts)
        against = np.bincount(np.unique(groups[clear]) // len(table.blocks), minlength=present[-1] + 1)
        independent = np.bincount(witnesses // len(table.blocks), minlength=present[-1] + 1)
        return np.where(against[present] >= 2, lead, 0.0).astype(np.float32), independent[present]

    def _takes_part(self, record: Observation) -> bool:
        return record.evidence.sure and bool(self.table.can_exclude[record.index])

    def _ratios(self, sheet: Observations) -> tuple[Floats, Floats]:
        """(n, T) and (n, H) nats for each record; 0 where nothing is written of the taxon."""
        others = sheet.gather(self.others, middle=True)
        own = sheet.gather(self.own, middle=False)
        if len(sheet.measured):
            numbers = self._numbers(sheet)
            others[sheet.measured], own[sheet.measured] = numbers.others, numbers.own
        return others, own

    def _numbers(self, sheet: Observations) -> _Numbers:
        """What the measures among the records say."""
        table = self.table
        feature = sheet.features[sheet.measured]
        fit = sheet.number_fit(kindly=True)
        known = table.known[feature]
        common = (0.9 * (fit * known).sum(axis=1) / np.maximum(known.sum(axis=1), 1) + 0.1)[:, None]
        theirs, mine = fit[:, table.dangerous], known[:, table.dangerous]
        far = -np.log(np.maximum(theirs, 1e-9)) >= CLEAR
        return _Numbers(
            np.where(known, _bounded(fit, common, WRONG_FOR_OTHERS), 0.0),
            np.where(mine, _bounded(theirs, common, WRONG), 0.0),
            far & table.firm[feature][:, None],
        )

    def _witnesses(self, sheet: Observations, count: int) -> Ints:
        """(H,) how many independent witnesses among the first `count` records contradict clearly."""
        table = self.table
        clear = self.clear[sheet.first[:count]]
        for place, columns in sheet.several:
            if place < count:
                clear[place] = self.clear[columns].all(axis=0)
        here = sheet.measured < count
        if here.any():
            clear[sheet.measured[here]] = self._numbers(sheet).clear[here]
        groups = table.group_of[sheet.features[:count]]
        witnesses = np.zeros(len(table.dangerous), dtype=np.intp)
        for group in np.unique(groups[clear.any(axis=1)]):
            witnesses += clear[groups == group].any(axis=0)
        return witnesses


@dataclass(frozen=True)
class _Numbers:
    """What m measures say: nats for all taxa (m, T), for the dangerous (m, H), who is clearly contradicted."""

    others: Floats
    own: Floats
    clear: Bools


@dataclass(frozen=True)
class Judgement:
    """What stands against each dangerous taxon (H,).

    `margin`: nats by which the best explanation beats it; `witnesses`: how many independent witnesses
    clearly contradict it; `bar`: the nats that are needed.
    """

    margin: Floats
    witnesses: Ints
    bar: Floats

    @property
    def excluded(self) -> Bools:
        """(H,) which dangerous taxa may be called excluded."""
        return np.asarray((self.margin >= self.bar) & (self.witnesses >= 2))


def build_exclusion(table: LikelihoodTable) -> Exclusion:
    """Work out the arrays for a reference."""
    dangerous = table.dangerous
    columns = table.fit.shape[0]
    others = np.zeros(table.fit.shape, dtype=np.float32)
    own = np.zeros((columns, len(dangerous)), dtype=np.float32)
    against = np.zeros((columns, len(dangerous)), dtype=np.float32)
    clear = np.zeros((columns, len(dangerous)), dtype=np.bool_)
    for block in table.blocks:
        rows = slice(block.start, block.stop)
        if block.start == block.stop or not table.can_exclude[block.index]:
            continue
        common = table.background[rows][:, None]
        has = table.known[block.index]
        others[rows] = np.where(has, _bounded(table.chance[rows], common, WRONG_FOR_OTHERS), 0.0)
        fit = table.fit[rows][:, dangerous].copy()
        if block.can_be_absent:
            fit[-1] = np.maximum(fit[-1], MISSED_FIT[int(block.feature.fragility)])
        chance = table.chance[rows][:, dangerous]
        kind = np.where(fit > _WRITTEN, np.maximum(chance, KIND * fit**0.3), chance)
        mistaken = np.maximum(common, (1 - kind) / max(block.stop - block.start - 1, 1))
        own[rows] = np.where(has[dangerous], _bounded(kind, common, WRONG, mistaken), 0.0)
        against[rows] = np.where(has[dangerous], np.clip(-np.log(np.maximum(fit, 1e-9)), 0.0, BOUND), 0.0)
        clear[rows] = (against[rows] >= CLEAR) & table.firm[block.index]
    without_bars = Exclusion(table, others, own, against, clear)
    return replace(without_bars, bars=_bars(without_bars))


def _bars(exclusion: Exclusion) -> tuple[Doubles, Doubles]:
    """How many independent records, ascending, and the nats that are then needed."""
    rehearsal = FindSampler(exclusion.table)
    counts, bars = [], []
    for records in _COUNTS:
        if records > max(rehearsal.most, _COUNTS[0]) or not rehearsal.most:
            break
        finds = min(_FINDS, _RECORDS // records)
        lead, independent = exclusion.ahead(rehearsal.draw(finds, records))
        bar = _reached(lead, _LOST)
        if records <= _FEW:
            two_wrong, _ = exclusion.ahead(rehearsal.draw(finds, records, exactly_wrong=2))
            bar = max(bar, _reached(two_wrong, _LOST_OF_TWO_WRONG))
        counts.append(float(independent.mean()))
        bars.append(bar)
    if not bars:
        return np.zeros(1), np.full(1, np.inf)
    ends = np.array([bars[0], *bars, bars[-1]])
    smooth = ends[:-2] / 4 + ends[1:-1] / 2 + ends[2:] / 4
    return np.array(counts), np.maximum(smooth + _MARGIN, LEAST_BAR)


def _reached(lead: Floats, share: float) -> float:
    """The nats that so small a share of the leads reaches, from an exponential fitted to the far tail."""
    start = max(float(np.quantile(lead, 1 - _TAIL)), 0.0)
    beyond = lead[lead > start] - start
    if len(beyond) <= share * len(lead):
        return start
    return start + float(beyond.mean()) * float(np.log(len(beyond) / (share * len(lead))))


def _bounded(chance: Floats, common: Floats, wrong: float, mistaken: Floats | None = None) -> Floats:
    """Nats of a record against its being merely common; a wrong record is `mistaken` (else common) by chance."""
    odds = ((1 - wrong) * chance + wrong * (common if mistaken is None else mistaken)) / np.maximum(
        common, 1e-9
    )
    return np.asarray(np.clip(np.log(np.maximum(odds, 1e-9)), -BOUND, BOUND), dtype=np.float32)


def _shares(groups: Ints) -> Floats:
    """(n,) 1 / m for each of m records of one kin, so that together they weigh as much as one."""
    return np.asarray(1.0 / np.bincount(groups)[groups], dtype=np.float32)
