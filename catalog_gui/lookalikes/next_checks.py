"""What to check next: first what would exclude the deadly, then what would settle the name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from catalog_gui.domain import vocabulary_roles as roles
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Part
from catalog_gui.lookalikes.check_order import in_field_order
from catalog_gui.lookalikes.exclusion import CLEAR, Exclusion
from catalog_gui.lookalikes.likelihoods import Block, Bools, Floats, Ints
from catalog_gui.lookalikes.observations import Observation
from catalog_gui.lookalikes.reasons import state_name
from catalog_gui.lookalikes.reference import ABSENT, Reference
from catalog_gui.lookalikes.scores import Scores

DEADLY_WEIGHT = 0.4
"""How much a nat expected against the close deadly taxa counts beside a nat about the name."""

WORTH = {
    "picture": 1.0,
    "specimen": 1.0,
    "habitat": 1.0,
    "smell": 0.95,
    "dig": 0.9,
    "cut": 0.85,
    "print": 0.75,
    "reagent": 0.6,
    "microscope": 0.5,
}
"""What a nat is worth by what looking takes: a dearer look comes first only where it settles clearly more.

Our choice. On our own pack (`tests/benchmarks/weighing`) the deadly are cleared and the name leads after 18
questions, with plain information gain, which knows no cost, after 23, at random after 26.
"""

_AGREES, _LIKELY = 0.3, 0.03
_NOTHING = 1e-4
"""A check whose answers tell less than this, in nats, is not offered."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What one answer would do: the dangerous taxa it speaks against, the best candidates it agrees with."""

    state: str
    speaks_against: tuple[str, ...]
    agrees_with: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NextCheck:
    """A feature worth looking at. `gain` is in nats times `WORTH`, for putting in order; `cost` what it takes."""

    feature: str
    name: str
    gain: float
    cost: str
    settles: str
    how: str
    answers: tuple[Answer, ...]


def next_checks(
    reference: Reference,
    scores: Scores,
    records: Sequence[Observation],
    by_feature: Mapping[str, Evidence],
    standing: Bools,
    *,
    exclusion: Exclusion,
    count: int,
) -> tuple[NextCheck, ...]:
    """The most useful checks, in the order of `check_order`. `standing` (H,): the dangerous taxa that are not excluded.

    Never offers tasting, free text, what is recorded, gone, or makes no sense after what is recorded.
    """
    table = scores.table
    if not table.taxa or count <= 0:
        return ()
    wanted = np.flatnonzero(standing & reference.fatal)
    if not wanted.size:
        wanted = np.flatnonzero(standing)
    deadly = deadly_gain(scores, exclusion, wanted)
    worth = np.array([WORTH.get(block.feature.cost, 1.0) for block in table.blocks])
    value = (scores.gain + DEADLY_WEIGHT * deadly) * worth
    offered = _offered(reference, scores, records, by_feature)
    by_value = [int(i) for i in np.argsort(-np.round(value, 6), kind="stable") if offered[i]]
    ordered = in_field_order(
        [(table.blocks[i].feature, float(value[i])) for i in by_value],
        reference,
        by_feature,
        deadly_stand=bool((standing & reference.fatal).any()),
        least=_NOTHING,
    )
    blocks = {block.feature.id: block for block in table.blocks}
    return tuple(
        _describe(reference, scores, exclusion, block, float(value[block.index]), wanted)
        for block in (blocks[feature.id] for feature in ordered[:count])
    )


def deadly_gain(scores: Scores, exclusion: Exclusion, wanted: Ints) -> Floats:
    """(F,) nats expected against the wanted dangerous taxa, on the mean, if none of them is the find."""
    table = scores.table
    if not wanted.size:
        return np.zeros(len(table.blocks), dtype=np.float32)
    share = scores.share.copy()
    share[table.dangerous[wanted]] = 0
    left = float(share.sum())
    if left < 1e-6:
        share[:] = 1.0 / len(share)
        left = 1.0
    expected = table.chance @ (share / left)
    pull = np.zeros(len(table.dangerous), dtype=np.float32)
    pull[wanted] = scores.share[table.dangerous[wanted]] + 1.0 / len(table.taxa)
    against = exclusion.contrast.against @ (pull / pull.sum())
    return table.sum_by_feature(expected * against)


def _offered(
    reference: Reference, scores: Scores, records: Sequence[Observation], by_feature: Mapping[str, Evidence]
) -> Bools:
    table = scores.table
    forms = {s for r in records if r.feature.id == roles.FORM for s in r.evidence.states}
    offered = np.ones(len(table.blocks), dtype=np.bool_)
    for block in table.blocks:
        feature = block.feature
        stands = by_feature.get(feature.id)
        needed = by_feature.get(reference.ties.needs.get(feature.id, ""))
        if (
            (stands is not None and stands.standing is not Standing.NOT_LOOKED_AT)
            or (needed is not None and needed.standing in {Standing.NOT_THERE, Standing.GONE})
            or feature.part in {Part.TASTE, Part.SEASON}
            or feature.id == roles.REGION
            or (forms and feature.forms and not forms & set(feature.forms))
        ):
            offered[block.index] = False
    return offered


def _describe(
    reference: Reference, scores: Scores, exclusion: Exclusion, block: Block, gain: float, wanted: Ints
) -> NextCheck:
    table = scores.table
    leaders = np.argsort(-scores.total, kind="stable")[:5]
    leaders = leaders[table.known[block.index, leaders]]
    answers = []
    hit: dict[str, None] = {}
    for offset, label in enumerate(block.labels):
        column = block.start + offset
        if scores.expected[column] < _LIKELY:
            continue
        against = [
            reference.taxa[table.dangerous[h]].name
            for h in wanted
            if exclusion.contrast.against[column, h] >= CLEAR
        ]
        hit.update(dict.fromkeys(against))
        agrees = [reference.taxa[t].name for t in leaders if table.fit[column, t] >= _AGREES]
        answers.append(Answer(_answer_words(reference, block, label), tuple(against), tuple(agrees)))
    if hit:
        names = list(hit)
        more = f" and {len(names) - 3} more" if len(names) > 3 else ""
        settles = f"may speak against {', '.join(names[:3])}{more}"
    elif len(leaders) > 1:
        settles = f"parts {reference.taxa[leaders[0]].name} from {reference.taxa[leaders[1]].name}"
    else:
        settles = "narrows the name"
    feature = block.feature
    return NextCheck(
        feature.id, feature.name, round(gain, 4), feature.cost, settles, feature.how_to_look, tuple(answers)
    )


def _answer_words(reference: Reference, block: Block, label: str) -> str:
    if block.is_number:
        return f"{label} {block.feature.unit}".rstrip()
    if label == ABSENT:
        return reference.absent_name(block.feature.id) or "not there"
    return state_name(reference.vocabulary, block.feature.id, label)
