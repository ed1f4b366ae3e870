"""When a dangerous taxon may be called excluded: its own rule, stricter than the ranking.

For a dangerous taxon h and another explanation t, every record r gives bounded evidence

    d(t, h, r) = clip(ln P(r|t) / P0(r)) - clip(ln P(r|h) / P0(r)),   each clipped to +-BOUND nats,

P0 being how common r is in the whole table; d is 0 where the reference says nothing of h. h is excluded if

1. the sum of d reaches `THRESHOLD` for the best t among the taxa and a fungus that is not in the reference
   (its ratio is always 1), and
2. at least two independent witnesses that are not fragile, each seen without doubt, speak against h by
   `CLEAR` nats or more.

Features of one kin, and all sizes together, are one witness and share the weight of one. The bound keeps
any single record below the threshold. What was not looked at, or is damaged or gone, or doubtful, takes no
part; nor do place, season, smell, taste, free text and names.

h gets the benefit of the doubt: more of its records are assumed to be wrong (`WRONG`) than of the others', a
wrong one to be any other state, so that it counts less where there are few; `KIND` is the least chance of a
state that is written of it at all (falling slowly with its frequency); of several states recorded the
kindest counts, of a measured range the nearest end; and what is fragile may have been missed.

*The threshold.* The chance that a likelihood ratio against what one has in hand ever reaches K is at most
1/K, however many records are made and in whatever order (Ville 1939; see Ramdas et al. 2023, Statist. Sci.
38:576-601): that points to ln 1000 = 6.9. It covers neither the choice of the best t nor correlated errors
and wrong rates, and does not credit the bound and the benefits of the doubt. So the value was set by simulation
on made-up tables of seven shapes, none of them ours (10 to 45 features, 40 to 800 taxa, two or up to ten
states each, close or distant species): the true dangerous taxon has to stay in 999 of 1000 finds with 5 % of
the records wrong and a quarter of the fragile features missed, and in 99 of 100 with 20 % wrong, two wrong
at once, young, washed-out, cut-off, dwarf or giant finds, or rates other than written. Most tables need 3 to
7 nats, for any number of records. Tables with two states to each feature and 20 % wrong need the most: at
7.2 one of five kept only 98.4 %, hence 8.5. On 36 further tables, drawn only after the value was fixed, none
of some 100,000 usual finds lost its taxon, and the lowest share in any table under any stress was 298 of
300. The plain bounded ratio needs from 6 to 14 nats, depending on the table:
with one threshold for tables that are not known beforehand it flags more on most of them, often several
times as many, though fewer where features have two states or very much is recorded, and fewer again with a
threshold made for the one table; counting contradictions flags nearly everything. Figures:
`python -m tests.benchmarks.weighing.bench`.

*Taking evidence away.* A record that speaks for h holds it in; without it the others may exclude h. No rule
can both avoid that and be of use: a rule that agreement cannot soften has to treat six contradictions alike
whether six or sixty features were recorded, and to be safe for sixty it must not exclude on six (the
benchmark shows what such a rule flags). Therefore what she strikes out is handed over as `struck_out`: it
goes on speaking for a dangerous taxon and never against one, so that striking out never removes a hazard.
Proof: the explanations and weights are those of all records together, kept and struck out, so they stay the
same; min(0, d) <= d for every t and h, so every sum can only fall, and contradictions can only go.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from catalog_gui.lookalikes.records import Record, Sheet, sheet_of
from catalog_gui.lookalikes.table import Bools, Floats, Ints, Table

THRESHOLD = 8.5
"""Nats (a factor of 5000) by which another explanation must be better."""

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


@dataclass(frozen=True)
class Exclusion:
    """What the rule needs of a reference of T taxa, H of them dangerous, and K columns.

    `others` (K, T) and `own` (K, H): bounded nats against a taxon of which nothing is known. `against`
    (K, H): how far each column contradicts each dangerous taxon; `clear` (K, H): on a firm feature and far
    enough to count.
    """

    table: Table
    others: Floats
    own: Floats
    against: Floats
    clear: Bools

    def judge(self, records: Sequence[Record], struck_out: Sequence[Record] = ()) -> Judgement:
        """Judge all dangerous taxa by these records; records struck out can only speak for them."""
        table = self.table
        hazards = len(table.dangerous)
        kept = [r for r in records if self._takes_part(r)]
        gone = [r for r in struck_out if self._takes_part(r)]
        both = [*kept, *gone]
        if not both or not hazards:
            return Judgement(np.zeros(hazards, dtype=np.float32), np.zeros(hazards, dtype=np.intp))
        sheet = sheet_of(both, table)
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
        return Judgement(speaks.max(axis=0), self._witnesses(sheet, len(kept)))

    def _takes_part(self, record: Record) -> bool:
        return record.evidence.sure and bool(self.table.can_exclude[record.index])

    def _ratios(self, sheet: Sheet) -> tuple[Floats, Floats]:
        """(n, T) and (n, H) nats for each record; 0 where nothing is written of the taxon."""
        others = sheet.gather(self.others, middle=True)
        own = sheet.gather(self.own, middle=False)
        if len(sheet.measured):
            fit = sheet.number_fit(kindly=True)
            known = self.table.known[sheet.features[sheet.measured]]
            common = (0.9 * (fit * known).sum(axis=1) / np.maximum(known.sum(axis=1), 1) + 0.1)[:, None]
            others[sheet.measured] = np.where(known, _bounded(fit, common, WRONG_FOR_OTHERS), 0.0)
            theirs = np.where(known, _bounded(fit, common, WRONG), 0.0)
            own[sheet.measured] = theirs[:, self.table.dangerous]
        return others, own

    def _witnesses(self, sheet: Sheet, count: int) -> Ints:
        """(H,) how many independent witnesses among the first `count` records contradict clearly."""
        table = self.table
        clear = self.clear[sheet.first[:count]]
        for place, columns in sheet.several:
            if place < count:
                clear[place] = self.clear[columns].all(axis=0)
        if len(sheet.measured):
            fit = sheet.number_fit(kindly=True)[:, table.dangerous]
            firm = table.firm[sheet.features[sheet.measured]]
            far = (-np.log(np.maximum(fit, 1e-9)) >= CLEAR) & firm[:, None]
            here = sheet.measured < count
            clear[sheet.measured[here]] = far[here]
        groups = table.group_of[sheet.features[:count]]
        witnesses = np.zeros(len(table.dangerous), dtype=np.intp)
        for group in np.unique(groups[clear.any(axis=1)]):
            witnesses += clear[groups == group].any(axis=0)
        return witnesses


@dataclass(frozen=True)
class Judgement:
    """What stands against each dangerous taxon (H,).

    `margin`: nats by which the best explanation beats it; `witnesses`: how many independent witnesses
    clearly contradict it.
    """

    margin: Floats
    witnesses: Ints

    @property
    def excluded(self) -> Bools:
        """(H,) which dangerous taxa may be called excluded."""
        return np.asarray((self.margin >= THRESHOLD) & (self.witnesses >= 2))


def build_exclusion(table: Table) -> Exclusion:
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
    return Exclusion(table, others, own, against, clear)


def _bounded(chance: Floats, common: Floats, wrong: float, mistaken: Floats | None = None) -> Floats:
    """Nats of a record against its being merely common; a wrong record is `mistaken` (else common) by chance."""
    odds = ((1 - wrong) * chance + wrong * (common if mistaken is None else mistaken)) / np.maximum(
        common, 1e-9
    )
    return np.asarray(np.clip(np.log(np.maximum(odds, 1e-9)), -BOUND, BOUND), dtype=np.float32)


def _shares(groups: Ints) -> Floats:
    """(n,) 1 / m for each of m records of one kin, so that together they weigh as much as one."""
    return np.asarray(1.0 / np.bincount(groups)[groups], dtype=np.float32)
