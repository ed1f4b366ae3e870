"""The ranking: how well each taxon explains the records."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from catalog_gui.lookalikes.records import Record
from catalog_gui.lookalikes.table import ERROR_RATE, Floats, Ints, Table

_DOUBT = 0.5  # weight of a record she doubts


@dataclass(frozen=True)
class Scores:
    """`by_record` (n, T) nats for each taxon against one of which nothing is known; `total` (T,) their sum.

    `fit` (n, T) is 1 where the record shows what the taxon usually shows and 0 where it never does.
    """

    table: Table
    by_record: Floats
    fit: Floats
    total: Floats
    recorded: frozenset[int]

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
        return (1 - ERROR_RATE) * (table.chance @ self.share) + ERROR_RATE * table.background

    @cached_property
    def gain(self) -> Floats:
        """(F,) nats of information about the name expected from recording each feature.

        Entropy of the expected answer less the expected entropy given the taxon (Lindley 1956,
        Ann. Math. Stat. 27:986-1005).
        """
        table = self.table
        inside = table.sum_by_feature(_entropy_terms(self.expected))
        given = table.answer_entropy @ self.share
        return np.asarray(np.maximum(inside - given, 0.0))

    @cached_property
    def telling(self) -> Ints:
        """Feature numbers, the most telling for the name first."""
        return np.argsort(-self.gain, kind="stable")

    def potential(self, against: Floats) -> Floats:
        """(F,) nats expected against a taxon from each feature; `against` (K,) nats by column."""
        return self.table.sum_by_feature(self.expected * against)


def score(records: Sequence[Record], table: Table) -> Scores:
    """Score all taxa. Kin records share their weight: m of them weigh as much as the root of m."""
    taxa = len(table.taxa)
    by_record = np.zeros((len(records), taxa), dtype=np.float32)
    fit = np.ones((len(records), taxa), dtype=np.float32)
    kin: dict[str, int] = {}
    for record in records:
        kin[table.groups[record.index]] = kin.get(table.groups[record.index], 0) + 1
    for place, record in enumerate(records):
        known = table.known[record.index]
        if record.columns:
            rows = list(record.columns)
            nats = table.ranking[rows[0]] if len(rows) == 1 else _mixed(table.ranking[rows])
            fit[place] = table.fit[rows].max(axis=0)
        else:
            fit[place] = table.number_fit(record.index, record.low or 0.0, record.high or 0.0, kindly=False)
            common = 0.9 * float(fit[place][known].mean()) + 0.1 if known.any() else 1.0
            nats = np.where(
                known, np.log(((1 - ERROR_RATE) * fit[place] + ERROR_RATE * common) / common), 0.0
            )
        weight = table.soft[record.index] / np.sqrt(kin[table.groups[record.index]])
        by_record[place] = nats * (weight if record.evidence.sure else weight * _DOUBT)
    return Scores(table, by_record, fit, by_record.sum(axis=0), frozenset(record.index for record in records))


def _mixed(nats: Floats) -> Floats:
    """Several states recorded for one feature: the mean of their likelihood ratios."""
    return np.asarray(np.log(np.exp(nats).mean(axis=0)), dtype=np.float32)


def _entropy_terms(chance: Floats) -> Floats:
    return -chance * np.log(np.maximum(chance, 1e-12))
