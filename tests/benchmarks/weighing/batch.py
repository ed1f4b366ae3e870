"""Many drawn finds held against both rules at once: ours, and the one before it, frozen in `rival`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from catalog_gui.domain.evidence import Evidence
from catalog_gui.lookalikes import PreparedReference, Reference, prepare
from catalog_gui.lookalikes.calibration import SampledFinds
from catalog_gui.lookalikes.exclusion import FATAL_EXTRA, LEAST_BAR_OF_FATAL
from catalog_gui.lookalikes.observations import Observations, observations_of
from catalog_gui.lookalikes.scores import score
from tests.benchmarks.weighing.rival.exclusion import Exclusion as RivalExclusion
from tests.benchmarks.weighing.rival.exclusion import build_exclusion
from tests.benchmarks.weighing.rival.records import Sheet, records_of
from tests.benchmarks.weighing.rival.rehearsal import Finds
from tests.benchmarks.weighing.rival.scores import score as rival_score
from tests.benchmarks.weighing.rival.table import build_table
from tests.simulated.finds import Drawn

Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.intp]
_AT_ONCE = 2000


@dataclass(frozen=True)
class Both:
    """One reference made ready for both rules."""

    name: str
    reference: Reference
    ours: PreparedReference
    rival: RivalExclusion

    def excluded(self, evidence: list[Evidence], *, rival: bool = False) -> Bools:
        """(H,) which dangerous taxa one of the rules excludes."""
        if rival:
            return self.rival.judge(records_of(evidence, self.rival.table)).excluded
        return self.ours.exclusion.judge(observations_of(evidence, self.ours.table)).excluded

    def totals(self, evidence: list[Evidence], *, rival: bool = False) -> npt.NDArray[np.floating]:
        """(T,) scores of all taxa."""
        if rival:
            return rival_score(records_of(evidence, self.rival.table), self.rival.table).total
        return score(observations_of(evidence, self.ours.table), self.ours.ranking).total

    def lost(self, drawn: Drawn, hazard: Ints) -> tuple[Bools, Bools]:
        """(B,) each: drawn finds of dangerous taxa that are excluded though they are it, by ours and the rival."""
        table = self.ours.table
        starts, width = table.starts[drawn.feature], np.diff(table.starts)[drawn.feature]
        simulator = drawn.simulator
        absent = simulator.can_be_absent[drawn.feature] & (drawn.state == simulator.width[drawn.feature] - 1)
        column = np.where(absent, starts + width - 1, starts + drawn.state)
        part = (
            table.can_exclude[drawn.feature] & table.known[drawn.feature, table.dangerous[hazard[drawn.find]]]
        )
        ours, rival = np.zeros(len(hazard), dtype=np.bool_), np.zeros(len(hazard), dtype=np.bool_)
        for begin in range(0, len(hazard), _AT_ONCE):
            these = part & (drawn.find >= begin) & (drawn.find < begin + _AT_ONCE)
            find, feature, size = drawn.find[these] - begin, drawn.feature[these], drawn.size[these]
            who = hazard[begin : begin + _AT_ONCE]
            measured = np.flatnonzero(drawn.state[these] < 0)
            first = column[these]
            first[measured] = table.bins.row(feature[measured], size[measured])  # type: ignore[arg-type]  # wider
            sizes = size[measured].astype(np.float32)
            sheet = Observations(table, (), feature, first, (), measured, sizes, sizes)
            lead, independent = self.ours.exclusion.contrast.ahead(SampledFinds(sheet, find, who))
            bar = self.ours.exclusion.calibration.bar(independent)  # type: ignore[arg-type]  # counts
            bar = np.where(table.fatal[who], np.maximum(bar, LEAST_BAR_OF_FATAL - FATAL_EXTRA), bar)
            ours[begin : begin + _AT_ONCE] = (lead > 0) & (lead >= bar)
            if not len(find):
                continue
            first = np.where(drawn.state[these] < 0, 0, column[these])
            old = Sheet(self.rival.table, (), feature, first, (), measured, sizes, sizes)
            lead, independent = self.rival.ahead(Finds(old, find, who[find]))
            rival[begin + np.unique(find)] = (lead > 0) & (lead >= self.rival.bar(independent))  # type: ignore[arg-type]
        return ours, rival


def both(name: str, reference: Reference) -> Both:
    """Make a reference ready for both rules."""
    return Both(name, reference, prepare(reference), build_exclusion(build_table(reference)))
