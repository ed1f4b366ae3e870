"""A reference made ready for weighing: its likelihoods and the calibrated exclusion rule beside its values."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from catalog_gui.lookalikes.exclusion import Exclusion, build_exclusion
from catalog_gui.lookalikes.likelihoods import LikelihoodTable, build_likelihoods
from catalog_gui.lookalikes.reference import Reference


@dataclass(frozen=True)
class PreparedReference:
    """What a weighing needs. Taxa are numbered as in `reference.taxa`, dangerous ones as in `reference.dangerous`."""

    reference: Reference
    table: LikelihoodTable
    exclusion: Exclusion


Prepare = Callable[[Reference], PreparedReference]
"""Makes a reference ready; whoever weighs more than once hands over one that remembers the last."""


def prepare(reference: Reference) -> PreparedReference:
    """Work out the arrays of a reference and calibrate its exclusion rule (some tenths of a second)."""
    table = build_likelihoods(reference)
    return PreparedReference(reference, table, build_exclusion(table))
