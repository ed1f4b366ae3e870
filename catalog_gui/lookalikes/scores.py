"""The ranking: how well each taxon explains the records."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from catalog_gui.lookalikes.information import expected_information
from catalog_gui.lookalikes.likelihoods import ERROR_RATE, Bools, Floats, Ints, LikelihoodTable
from catalog_gui.lookalikes.observations import Observation, Observations, arranged
from catalog_gui.lookalikes.sizes import log_densities, tails

STATURES = ((0.0, 0.84), (-0.5, 0.08), (0.4, 0.08))
"""Young and lush finds: by how much ln(size) of all sizes is moved, and the share of such finds (our estimate)."""

_DOUBT = 0.5  # weight of a record in doubt
_LOWEST, _HIGHEST = -4.0, 4.0


@dataclass(frozen=True)
class Ranking:
    """What the scores need of a reference: nats for states are in the table, for sizes here.

    `sizes` (rows of all bins, T) ln of the density of a size under each taxon, errors of record included;
    `common` (rows,) ln of how common the size is in the whole table.
    """

    table: LikelihoodTable
    sizes: Floats
    common: Floats


def build_ranking(table: LikelihoodTable) -> Ranking:
    """Work out the densities of sizes for the ranking."""
    bins, columns = table.bins, len(table.fit)
    sizes = np.zeros((bins.rows - columns, len(table.taxa)), dtype=np.float32)
    common = np.zeros(bins.rows - columns, dtype=np.float32)
    for feature in np.flatnonzero(bins.first).tolist():
        rows = bins.slice_of(feature)
        rows = slice(rows.start - columns, rows.stop - columns)
        known = table.known[feature]
        if not known.any():
            continue
        middles = bins.middles(feature)
        any_size = 1.0 / (middles[-1] - middles[0])
        low, high, tail = (a[feature][known] for a in (table.low, table.high, tails(table.spread)))
        chance = (1 - ERROR_RATE) * np.exp(log_densities(middles, low, high, tail)) + ERROR_RATE * any_size
        shared = 0.9 * chance.mean(axis=1) + 0.1 * any_size
        sizes[rows, known] = np.log(chance)
        common[rows] = np.log(shared)
    return Ranking(table, sizes, common)


@dataclass(frozen=True)
class Scores:
    """`by_record` (n, T) nats for each taxon against one of which nothing is known; `total` (T,) the sum."""

    table: LikelihoodTable
    sheet: Observations
    by_record: Floats
    total: Floats

    @cached_property
    def recorded(self) -> frozenset[int]:
        """The numbers of the features that were recorded."""
        return frozenset(record.index for record in self.sheet.records)

    def fit_of(self, taxon: int) -> Floats:
        """(n,) how well each record fits a taxon: 1 shows what it usually shows, 0 what it never does."""
        sheet = self.sheet
        fit = sheet.gather(self.table.fit[:, taxon : taxon + 1], middle=False)[:, 0]
        fit[sheet.measured] = self.table.number_fit(
            sheet.features[sheet.measured], sheet.low, sheet.high, np.array([taxon])
        )[:, 0]
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


def score(records: Sequence[Observation], ranking: Ranking) -> Scores:
    """Score all taxa. Kin records share their weight: m of them weigh as much as the root of m.

    Sizes are weighed together: as those of a usual fruit body, a young or a lush one, each with its share.
    """
    table = ranking.table
    sheet = arranged(records, table)
    by_record = sheet.gather(table.ranking, middle=True)
    is_size = table.is_size[sheet.features]
    measured = np.zeros(len(records), dtype=np.bool_)
    measured[sheet.measured] = True
    by_record[measured & ~is_size] = _size_nats(ranking, sheet, ~is_size, ((0.0, 1.0),))[1]
    if (measured & is_size).any():
        together, alone = _size_nats(ranking, sheet, is_size, STATURES)
        by_record[measured & is_size] = alone + (together - alone.sum(axis=0)) / len(alone)
    groups = table.group_of[sheet.features]
    kin = np.where(is_size, 1, np.bincount(groups, minlength=1)[groups] if len(groups) else 1)
    doubt = np.array([1.0 if r.evidence.sure else _DOUBT for r in records], dtype=np.float32)
    by_record *= (table.soft[sheet.features] * doubt / np.sqrt(kin)).astype(np.float32)[:, None]
    return Scores(table, sheet, by_record, by_record.sum(axis=0))


def _size_nats(
    ranking: Ranking, sheet: Observations, which: Bools, statures: tuple[tuple[float, float], ...]
) -> tuple[Floats, Floats]:
    """(T,) nats of the measures of these features together, and (m, T) of each by itself; 0 where unknown."""
    table, columns = ranking.table, len(ranking.table.fit)
    chosen = which[sheet.measured]
    feature = sheet.features[sheet.measured][chosen]
    middle = np.sqrt(sheet.low[chosen]) * np.sqrt(sheet.high[chosen])
    common = ranking.common[table.bins.row(feature, middle) - columns]
    moved = np.array(
        [table.bins.row(feature, middle * np.exp(-shift)) for shift, _ in statures], dtype=np.intp
    )
    nats = np.where(table.known[feature], ranking.sizes[moved - columns] - common[:, None], 0.0)
    share = np.log(np.array([share for _, share in statures], dtype=np.float32))
    alone = np.logaddexp.reduce(nats + share[:, None, None], axis=0)
    together = np.logaddexp.reduce(nats.sum(axis=1) + share[:, None], axis=0)
    alone = np.clip(np.where(table.known[feature], alone, 0.0), _LOWEST, _HIGHEST)
    return np.asarray(together, dtype=np.float32), np.asarray(alone, dtype=np.float32)
