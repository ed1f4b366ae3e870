"""How far the evidence as a whole stands against a dangerous taxon, relative to the best candidates.

This orders and folds the banner; it excludes nothing. It is a likelihood ratio with bounded terms, over
the features that the reference knows of the dangerous taxon. The taxon gets the error rate that suits it
best out of `_ERROR_RATES` (the likelihood is profiled), so that it is not called far because records were
poor: the ratio stays honest whether 5 % or 25 % of the records are wrong.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from catalog_gui.lookalikes.records import Record
from catalog_gui.lookalikes.scores import Scores
from catalog_gui.lookalikes.table import Floats, Ints, Table

_ERROR_RATES = (0.06, 0.14, 0.28)
_BEST = 48
_BOUND = 3.0


def close_margin(records: Sequence[Record], scores: Scores, table: Table) -> Floats:
    """(H,) nats by which the best candidate beats each dangerous taxon; 0 or less where none does."""
    hazards = len(table.dangerous)
    taking_part = [r for r in records if table.can_exclude[r.index] and r.evidence.sure]
    if not taking_part or hazards == 0:
        return np.zeros(hazards, dtype=np.float32)
    best = np.argsort(-scores.total, kind="stable")[:_BEST]
    alternatives = np.stack([_ratio(r, table, best, _ERROR_RATES[0]) for r in taking_part])
    known = table.known[[r.index for r in taking_part]][:, table.dangerous].astype(np.float32)
    theirs = alternatives.T @ known
    kindest = np.full(hazards, -np.inf, dtype=np.float32)
    for rate in _ERROR_RATES:
        own = np.stack([_ratio(r, table, table.dangerous, rate) for r in taking_part])
        np.maximum(kindest, (own * known).sum(axis=0), out=kindest)
    return np.asarray(np.maximum(theirs.max(axis=0), 0.0) - kindest, dtype=np.float32)


def _ratio(record: Record, table: Table, taxa: Ints, wrong: float) -> Floats:
    """Nats for some taxa against one of which nothing is known, at a given error rate, bounded both ways."""
    known = table.known[record.index][taxa]
    if record.columns:
        rows = list(record.columns)
        chance = table.chance[rows][:, taxa].mean(axis=0)
        common = float(table.background[rows].mean())
    else:
        fit = table.number_fit(record.index, record.low or 0.0, record.high or 0.0, kindly=True)
        everywhere = table.known[record.index]
        common = 0.9 * float(fit[everywhere].mean()) + 0.1 if everywhere.any() else 1.0
        chance = fit[taxa]
    ratio = np.log(((1 - wrong) * chance + wrong * common) / max(common, 1e-9))
    return np.where(known, np.clip(ratio, -_BOUND, _BOUND), 0.0).astype(np.float32)
