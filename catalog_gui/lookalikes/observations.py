"""What was recorded, in the terms of the table: a `Observation` for each piece of evidence that says something."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature, Part
from catalog_gui.lookalikes.likelihoods import Floats, Ints, LikelihoodTable
from catalog_gui.lookalikes.reference import ABSENT

_TO_UNIT = {
    ("mm", "mm"): 1.0,
    ("cm", "mm"): 10.0,
    ("m", "mm"): 1000.0,
    ("µm", "mm"): 0.001,
    ("mm", "µm"): 1000.0,
    ("cm", "µm"): 10_000.0,
    ("nm", "µm"): 0.001,
    ("µm", "µm"): 1.0,
    ("ratio", "ratio"): 1.0,
}
_SPELT = {"um": "µm", "μm": "µm", "micron": "µm", "microns": "µm", "micrometre": "µm", "1": "ratio"}


def unit_factor(given: str, wanted: str) -> float | None:
    """What to multiply a number in `given` by to have it in `wanted`; None if that makes no sense.

    An empty unit is read as the wanted one. 'um' and the two signs for micro are the same.
    """
    plain = given.strip().casefold().rstrip(".")
    plain = _SPELT.get(plain, plain)
    if not plain or plain == wanted:
        return 1.0
    return _TO_UNIT.get((plain, wanted))


@dataclass(frozen=True, slots=True)
class Observation:
    """One piece of evidence that carries weight. `columns` of the table, or a number from `low` to `high`."""

    evidence: Evidence
    feature: Feature
    index: int
    columns: tuple[int, ...] = ()
    low: float | None = None
    high: float | None = None

    @property
    def absent(self) -> bool:
        """Whether it says 'looked for and not there'."""
        return self.evidence.standing is Standing.NOT_THERE


def observations_of(evidence: Iterable[Evidence], table: LikelihoodTable) -> tuple[Observation, ...]:
    """The evidence that says something, in an order that does not depend on how it was handed over.

    What was not looked at, or is damaged or gone, says nothing; nor does a feature or state that the
    reference does not know, nor the absence of what cannot be absent, nor free text. Nor does a taste:
    nobody shall gain a place in the order by tasting, tongues differ, and it is mostly hearsay by the time
    it is written down. It stays in the record.
    """
    found = []
    for item in evidence:
        block = table.block_of.get(item.feature)
        if block is None or block.feature.part is Part.TASTE:
            continue
        if item.standing in {Standing.NOT_LOOKED_AT, Standing.GONE}:
            continue
        if item.standing is Standing.NOT_THERE:
            if block.can_be_absent:
                column = table.column_of[item.feature, ABSENT]
                found.append(Observation(item, block.feature, block.index, (column,)))
        elif block.is_number:
            factor = unit_factor(item.unit, block.feature.unit)
            low = item.low if item.low is not None else item.high
            high = item.high if item.high is not None else item.low
            if factor is not None and low is not None and high is not None and high > 0:
                ends = sorted((low * factor, high * factor))
                found.append(Observation(item, block.feature, block.index, (), ends[0], ends[1]))
        else:
            columns = sorted(
                {
                    table.column_of[item.feature, s]
                    for s in item.states
                    if (item.feature, s) in table.column_of
                }
            )
            if columns:
                found.append(Observation(item, block.feature, block.index, tuple(columns)))
    return tuple(
        sorted(
            found,
            key=lambda r: (
                r.index,
                r.columns,
                r.low or 0.0,
                r.high or 0.0,
                not r.evidence.sure,
                r.evidence.id,
            ),
        )
    )


@dataclass(frozen=True)
class Observations:
    """All records of a find, laid out for arithmetic: n records, m of them measures.

    `first` (n,) is the (first) column of each record, or the row of the middle of a measure among the bins of
    sizes; `several` maps the place of a record with more than one state to its columns; `measured` (m,) are
    the places of the measures, `low` and `high` (m,) their ends in the unit of the feature.
    """

    table: LikelihoodTable
    records: tuple[Observation, ...]
    features: Ints
    first: Ints
    several: tuple[tuple[int, list[int]], ...]
    measured: Ints
    low: Floats
    high: Floats

    def gather(self, by_row: Floats, *, middle: bool) -> Floats:
        """(n, X) the rows of an array of nats by column, and by bin of size where it has them.

        Of several states recorded for one feature the mean likelihood counts, or the kindest; of a measured
        range its middle, or the kindest bin. Without rows for sizes those of measures are left 0.
        """
        with_sizes = len(by_row) > len(self.table.fit)
        rows = by_row[self.first if with_sizes else np.where(self.first < len(by_row), self.first, 0)]
        for place, columns in self.several:
            some = by_row[columns]
            rows[place] = np.log(np.exp(some).mean(axis=0)) if middle else some.max(axis=0)
        if not with_sizes:
            rows[self.measured] = 0
        elif not middle:
            for place, (start, stop) in zip(
                self.measured.tolist(), self.bins_of_ranges.tolist(), strict=True
            ):
                if stop > start:
                    rows[place] = by_row[start : stop + 1].max(axis=0)
        return rows

    @property
    def bins_of_ranges(self) -> Ints:
        """(m, 2) the rows of the lower and the upper end of each measure."""
        feature = self.features[self.measured]
        bins = self.table.bins
        return np.stack([bins.row(feature, self.low), bins.row(feature, self.high)], axis=1)


def arranged(records: Sequence[Observation], table: LikelihoodTable) -> Observations:
    """Lay records out for arithmetic."""
    measured = np.array([place for place, r in enumerate(records) if not r.columns], dtype=np.intp)
    features = np.array([r.index for r in records], dtype=np.intp)
    low = np.array([records[place].low or 0.0 for place in measured], dtype=np.float32)
    high = np.array([records[place].high or 0.0 for place in measured], dtype=np.float32)
    first = np.array([r.columns[0] if r.columns else 0 for r in records], dtype=np.intp)
    first[measured] = table.bins.row(features[measured], np.sqrt(low) * np.sqrt(high))
    several = tuple((place, list(r.columns)) for place, r in enumerate(records) if len(r.columns) > 1)
    return Observations(table, tuple(records), features, first, several, measured, low, high)
