"""A reference made ready for weighing: likelihoods, ranking and the calibrated exclusion rule beside its values."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from catalog_gui.lookalikes import calibration as drawn
from catalog_gui.lookalikes import exclusion as rule
from catalog_gui.lookalikes.calibration import Calibration, calibrate
from catalog_gui.lookalikes.exclusion import Contrast, Exclusion, build_contrast
from catalog_gui.lookalikes.likelihoods import LikelihoodTable, build_likelihoods
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.lookalikes.scores import Ranking, build_ranking


@dataclass(frozen=True)
class PreparedReference:
    """What a weighing needs. Taxa are numbered as in `reference.taxa`, dangerous ones as in `reference.dangerous`."""

    reference: Reference
    table: LikelihoodTable
    ranking: Ranking
    exclusion: Exclusion


Prepare = Callable[[Reference], PreparedReference]
"""Makes a reference ready; whoever weighs more than once hands over one that remembers the last."""


@dataclass(frozen=True)
class Uncalibrated:
    """A reference whose arrays are ready and whose bars are not: they may be kept from an earlier day."""

    reference: Reference
    contrast: Contrast

    @property
    def key(self) -> str:
        """What the bars depend on, in one word of hexadecimal digits: the arrays and the constants of the rule."""
        table, contrast = self.contrast.table, self.contrast
        constants = (
            *(getattr(rule, name) for name in _OF_RULE),
            *(getattr(drawn, name) for name in _OF_DRAWING),
        )
        told = hashlib.blake2b(repr(constants).encode(), digest_size=16)
        for array in (contrast.others, contrast.own, contrast.points, table.fit, table.low, table.high):
            told.update(np.ascontiguousarray(array).data)
        told.update(repr((table.groups, table.starts.tolist(), table.dangerous.tolist())).encode())
        return told.hexdigest()

    def calibrated(self) -> Calibration:
        """Set the bars on drawn finds (a second or two)."""
        return calibrate(self.contrast.table, self.contrast.ahead, rule.LEAST_BAR)

    def with_bars(self, calibration: Calibration) -> PreparedReference:
        """Give the reference ready for weighing with these bars."""
        table = self.contrast.table
        return PreparedReference(
            self.reference, table, build_ranking(table), Exclusion(self.contrast, calibration)
        )


_OF_RULE = ("LEAST_BAR", "NEEDED")
_OF_DRAWING = (
    "MISSED",
    "FLATTENED",
    "COUNTS",
    "USUAL",
    "STRESS",
    "LOST",
    "LOST_UNDER_STRESS",
    "LOST_OF_TWO_WRONG",
    "LOST_OF_FEW",
)


def arrays_of(reference: Reference) -> Uncalibrated:
    """Work out the arrays of a reference."""
    return Uncalibrated(reference, build_contrast(build_likelihoods(reference)))


def prepare(reference: Reference) -> PreparedReference:
    """Work out the arrays of a reference and set its bars."""
    ready = arrays_of(reference)
    return ready.with_bars(ready.calibrated())
