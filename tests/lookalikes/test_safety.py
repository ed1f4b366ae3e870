"""The promise of the exclusion rule, on finds of made-up tables and of our own pack.

Seeded, and smaller than the benchmark: `python -m tests.benchmarks.weighing.bench` shows the rest.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from catalog_gui.lookalikes import Reference
from catalog_gui.lookalikes.exclusion import BOUND, LEAST_BAR, build_exclusion
from catalog_gui.lookalikes.observations import observations_of
from tests.benchmarks.weighing.finds import STRESSES, USUAL, Simulator, Trouble
from tests.benchmarks.weighing.made_up import SHAPES, made_up
from tests.lookalikes.ready import ready


def share_that_stays(reference: Reference, trouble: Trouble, records: int, finds: int) -> float:
    place = {taxon: i for i, taxon in enumerate(reference.dangerous)}
    simulator = Simulator(reference, 17)
    stays = [
        not ready(reference)
        .exclusion.judge(observations_of(evidence, ready(reference).table))
        .excluded[place[taxon]]
        for taxon, evidence in simulator.finds(list(place), finds, records, trouble)
    ]
    return float(np.mean(stays))


def share_flagged(reference: Reference, records: int, finds: int) -> float:
    simulator = Simulator(reference, 18)
    flagged = []
    for taxon, evidence in simulator.finds([t.id for t in reference.taxa], finds, records, USUAL):
        excluded = (
            ready(reference).exclusion.judge(observations_of(evidence, ready(reference).table)).excluded
        )
        flagged += [not gone for t, gone in zip(reference.dangerous, excluded, strict=True) if t != taxon]
    return float(np.mean(flagged))


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.name)
def test_the_dangerous_taxon_in_hand_stays(shape: object) -> None:
    reference = made_up(shape, 55)  # type: ignore[arg-type]
    for records in (6, 12, 60):
        assert share_that_stays(reference, USUAL, records, 1000) >= 0.999


@pytest.mark.parametrize("trouble", STRESSES, ids=lambda trouble: trouble.name)
def test_it_stays_under_stress(ours: Reference, trouble: Trouble) -> None:
    """1000 finds where it is near: of 200, four lost by chance at a true 1 in 300 already look like 98 %."""
    finds = 1000 if trouble.wrong > USUAL.wrong else 250
    for reference in (made_up(SHAPES[1], 56), made_up(SHAPES[4], 57), ours):
        for records in (10, 80):
            assert share_that_stays(reference, trouble, records, finds) >= 0.99


def test_the_rule_is_not_idle(ours: Reference) -> None:
    """With enough recorded nearly all others go, so that the safety above is not bought by flagging all."""
    assert share_flagged(made_up(SHAPES[1], 55), 20, 60) < 0.05
    assert share_flagged(ours, 76, 30) < 0.05
    assert share_flagged(ours, 3, 30) > 0.9


def test_no_single_record_can_reach_the_bar(ours: Reference) -> None:
    """One record moves the comparison of two taxa by twice the bound at most."""
    assert 2 * BOUND < LEAST_BAR
    for reference in (made_up(SHAPES[0], 55), ours):
        assert (ready(reference).exclusion.bars[1] >= LEAST_BAR).all()


def test_the_bar_is_the_same_every_time(ours: Reference) -> None:
    """It is set by drawn finds, but the draws depend on the table alone."""
    again = build_exclusion(ready(ours).table)
    for once, twice in zip(ready(ours).exclusion.bars, again.bars, strict=True):
        assert once.tolist() == twice.tolist()


def test_a_table_of_which_nothing_can_be_drawn_excludes_nothing() -> None:
    full = made_up(SHAPES[0], 55)
    assert ready(replace(full, states=())).exclusion.bar(np.array([0.0, 5.0, 50.0])).tolist() == [np.inf] * 3
    assert not ready(replace(full, hazards=())).exclusion.judge(()).excluded.any()
