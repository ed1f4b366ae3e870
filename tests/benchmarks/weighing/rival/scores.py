"""The ranking: how well each taxon explains the records."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from catalog_gui.lookalikes.information import expected_information
from tests.benchmarks.weighing.rival.records import Record, Sheet, sheet_of
from tests.benchmarks.weighing.rival.table import ERROR_RATE, Floats, Ints, Table

_DOUBT = 0.5  # weight of a record she doubts


@dataclass(frozen=True)
class Scores:
    """`by_record` (n, T) nats for each taxon against one of which nothing is known; `total` (T,) the sum."""

    table: Table
    sheet: Sheet
    by_record: Floats
    total: Floats
    measured_fit: Floats

    @cached_property
    def recorded(self) -> frozenset[int]:
        """The numbers of the features that were recorded."""
        return frozenset(record.index for record in self.sheet.records)

    def fit_of(self, taxon: int) -> Floats:
        """(n,) how well each record fits a taxon: 1 shows what it usually shows, 0 what it never does."""
        fit: Floats = self.table.fit[self.sheet.first, taxon]
        for place, columns in self.sheet.several:
            fit[place] = self.table.fit[columns, taxon].max()
        fit[self.sheet.measured] = self.measured_fit[:, taxon]
        return fit

    @cached_property
    def share(self) -> Floats:
        """(T,) the scores as shares that add up to 1, for reckoning with; not a probability of identity."""
        if not self.total.size:
            return self.total
        raised = np.exp(self.total - self.total.max())
        return np.asarray(raised / raised.sum(), dtype=np.float32)

    @cached_property
    def expected(self) -> Floats:
        """(K,) chance that each column is what gets recorded next, over all taxa by their share."""
        table = self.table
        return np.asarray((1 - ERROR_RATE) * (table.chance @ self.share) + ERROR_RATE * table.mistaken)

    @cached_property
    def gain(self) -> Floats:
        """(F,) nats that recording each feature is expected to tell about the name."""
        table = self.table
        return expected_information(self.share, self.expected, table.answer_entropy, table.starts)

    @cached_property
    def telling(self) -> Ints:
        """Feature numbers, the most telling for the name first."""
        return np.argsort(-self.gain, kind="stable")

    def potential(self, against: Floats) -> Floats:
        """(F,) nats expected against a taxon from each feature; `against` (K,) nats by column."""
        return self.table.sum_by_feature(self.expected * against)


def score(records: Sequence[Record], table: Table) -> Scores:
    """Score all taxa. Kin records share their weight: m of them weigh as much as the root of m."""
    sheet = sheet_of(records, table)
    by_record = sheet.gather(table.ranking, middle=True)
    fit = sheet.number_fit(kindly=False)
    for row, place in enumerate(sheet.measured):
        known = table.known[sheet.features[place]]
        near = np.square(fit[row])  # 0.1 at the printed extremes; reasons and exclusions are more lenient
        common = 0.9 * float(near[known].mean()) + 0.1 if known.any() else 1.0
        odds = ((1 - ERROR_RATE) * near + ERROR_RATE * common) / common
        by_record[place] = np.where(known, np.log(odds), 0.0)
    groups = table.group_of[sheet.features]
    kin = np.bincount(groups, minlength=1)[groups] if len(groups) else np.ones(0)
    doubt = np.array([1.0 if r.evidence.sure else _DOUBT for r in records], dtype=np.float32)
    weight = (table.soft[sheet.features] * doubt / np.sqrt(kin)).astype(np.float32)
    by_record *= weight[:, None]
    return Scores(table, sheet, by_record, by_record.sum(axis=0), fit)
