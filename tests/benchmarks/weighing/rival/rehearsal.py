"""Finds of the dangerous taxa of a reference, drawn from its own table with much going wrong.

They show how far errors alone can carry another explanation ahead of the true one, on this very table; the
exclusion rule sets its bar by them. The draws are always the same for the same table.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tests.benchmarks.weighing.rival.records import Sheet
from tests.benchmarks.weighing.rival.table import Bools, Floats, Ints, Table

WRONG = 0.2
"""Share of wrong records: in half of the finds any other state, in half what one and the same other taxon shows."""

MISSED = 0.35
"""Share of the records of a fragile feature in which it was missed though it was there."""

FLATTENED = 0.7
"""Power to which the written frequencies are raised: what is rare is met more often than written."""

_SEED = 20_260_101
_SHOWN = 0.02
_WRONG_SIZES = np.log(np.array([0.5, 0.65, 1.5, 2.0]))
_EXTREME = 0.1

Doubles = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Finds:
    """N records of finds numbered from 0. `find` (N,), ascending, `hazard` (N,) which dangerous taxon it is."""

    sheet: Sheet
    find: Ints
    hazard: Ints


class Rehearsal:
    """Draws finds of the dangerous taxa of one table, all features as likely to be recorded."""

    def __init__(self, table: Table) -> None:
        self.table = table
        self._rng = np.random.default_rng(_SEED)
        self._drawable = table.can_exclude[:, None] & table.known[:, table.dangerous]
        self._width = np.diff(table.starts)
        offsets = np.arange(max(int(self._width.max(initial=0)), 1))
        inside = offsets < self._width[:, None]
        columns = np.minimum(table.starts[:-1, None] + offsets, max(len(table.fit) - 1, 0))
        fit = table.fit[columns] * table.known[:, None, :]
        shown = (fit > _SHOWN) & inside[:, :, None]
        self._shown = np.where(shown, fit, 0.0)[:, :, table.dangerous] ** FLATTENED
        self._shows = np.where(shown, fit, 0.0)
        self._any = shown.any(axis=2).astype(np.float64)
        self._number = np.array([b.is_number for b in table.blocks], dtype=np.bool_)
        self._fragile = np.array([int(b.feature.fragility) >= 2 for b in table.blocks], dtype=np.bool_)
        self._can_be_absent = np.array([b.can_be_absent for b in table.blocks], dtype=np.bool_)

    @property
    def most(self) -> int:
        """The greatest number of features that can be recorded of any dangerous taxon."""
        return int(self._drawable.sum(axis=0).max(initial=0))

    def draw(self, finds: int, records: int, *, exactly_wrong: int | None = None) -> Finds:
        """Draw finds with so many features recorded, or all that are known of the taxon, if fewer."""
        table, rng = self.table, self._rng
        which = rng.integers(0, len(table.dangerous), finds)
        order = rng.random((finds, len(table.blocks)), dtype=np.float32)
        order[~self._drawable[:, which].T] = 2.0
        count = min(records, len(table.blocks))
        chosen = np.argsort(order, axis=1)[:, :count]
        real = np.take_along_axis(order, chosen, axis=1) < 2.0
        find, place = np.nonzero(real)
        feature = chosen[real]
        hazard = which[find]
        wrong = (
            rng.random(len(feature)) < WRONG if exactly_wrong is None else np.asarray(place < exactly_wrong)
        )
        state, kept = self._states(find, feature, hazard, wrong)
        feature, find, hazard, state = feature[kept], find[kept], hazard[kept], state[kept]
        measured = np.flatnonzero(self._number[feature])
        size = self._sizes(feature[measured], hazard[measured], wrong[kept][measured])
        first = np.where(self._number[feature], 0, table.starts[feature] + state)
        return Finds(Sheet(table, (), feature, first, (), measured, size, size), find, hazard)

    def _states(self, find: Ints, feature: Ints, hazard: Ints, wrong: Bools) -> tuple[Ints, Bools]:
        """The state recorded (its place within the feature), and whether anything is recorded at all."""
        rng = self._rng
        rows = np.arange(len(feature))
        state = _pick(self._shown[feature, :, hazard], rng)
        absent = self._width[feature] - 1
        lost = self._fragile[feature] & ~self._number[feature] & (rng.random(len(feature)) < MISSED)
        mixed_up = rng.integers(0, len(self.table.taxa), find[-1] + 1 if len(find) else 0)[find]
        others = np.where((find % 2 == 0)[:, None], self._any[feature], self._shows[feature, :, mixed_up])
        others[rows, state] = 0.0
        state = np.where(wrong & ~lost & (others.sum(axis=1) > 0), _pick(others, rng), state)
        state = np.where(lost, absent, state)
        return np.asarray(state, dtype=np.intp), np.asarray(~lost | self._can_be_absent[feature])

    def _sizes(self, feature: Ints, hazard: Ints, wrong: Bools) -> Floats:
        """One measure for each, within the usual range, now and then beyond it, or by far wrong."""
        table, rng = self.table, self._rng
        taxon = table.dangerous[hazard]
        low, high = table.low[feature, taxon], table.high[feature, taxon]
        beyond = 1.5 * table.spread[feature, taxon] * (rng.random(len(feature)) < _EXTREME)
        size = (low - beyond) + rng.random(len(feature)) * (high - low + 2 * beyond)
        size = size + np.where(wrong, rng.choice(_WRONG_SIZES, len(feature)), 0.0)
        return np.exp(size).astype(np.float32)


def _pick(weights: npt.NDArray[np.floating], rng: np.random.Generator) -> Ints:
    """(N,) for each row of weights one place, as likely as its weight."""
    running = np.cumsum(weights, axis=1)
    at = rng.random(len(weights))[:, None] * 0.999999 * running[:, -1:]
    return np.asarray(np.minimum((running <= at).sum(axis=1), weights.shape[1] - 1), dtype=np.intp)
