"""The benchmark's own measures, against scikit-learn and by hand; and a short run of it."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sklearn.metrics import adjusted_rand_score

from catalog_gui.grouping import propose
from tests.benchmarks.grouping.scoring import adjusted_rand, calibration_error, corrections
from tests.simulated.forays import TIERS, simulate

labels = st.lists(st.integers(0, 4), min_size=2, max_size=60)


@given(labels, st.randoms(use_true_random=False))
def test_adjusted_rand_agrees_with_scikit_learn(one: list[int], rng: random.Random) -> None:
    two = [rng.randint(0, 4) for _ in one]
    assert adjusted_rand(one, two) == pytest.approx(adjusted_rand_score(one, two), abs=1e-12)


TRUTH = {"a1": "a", "a2": "a", "a3": "a", "b1": "b", "b2": "b", "b3": "b"}


@pytest.mark.parametrize(
    ("groups", "count"),
    [
        ([["a1", "a2", "a3"], ["b1", "b2", "b3"]], 0),
        ([["a1", "a2", "a3", "b1", "b2", "b3"]], 1),  # one split
        ([["a1", "a2"], ["a3"], ["b1", "b2", "b3"]], 1),  # one join
        ([["a1", "a2"], ["a3", "b1", "b2", "b3"]], 1),  # one move
        ([["a1"], ["a2", "a3", "b1"], ["b2", "b3"]], 2),  # one join, one move
        ([["a1", "b1", "a2", "b2", "a3", "b3"]], 3),  # lifted out one by one
    ],
)
def test_corrections_by_hand(groups: list[list[str]], count: int) -> None:
    assert corrections(groups, TRUTH) == count


def test_calibration_error_by_hand() -> None:
    """Ten joins given 0.9 of which nine hold: none. Ten given 0.8 of which five hold: 0.3."""
    assert calibration_error([0.9] * 10, [True] * 9 + [False]) == pytest.approx(0.0)
    assert calibration_error([0.8] * 10, [True] * 5 + [False] * 5) == pytest.approx(0.3)


@pytest.mark.parametrize("tier", list(TIERS))
def test_simulated_forays_are_seeded_and_sorted_better_than_not_at_all(tier: str) -> None:
    outing = simulate(tier, 1)
    again = simulate(tier, 1)
    assert [p.id for p in outing.photos] == [p.id for p in again.photos]
    proposal = propose(outing.photos)
    groups = [list(g.photos) for g in proposal.groups]
    assert sum(len(g) for g in groups) + len(proposal.left_out) == len(outing.photos)
    assert corrections(groups, outing.label) < corrections([[p.id] for p in outing.photos], outing.label)
    assert corrections(groups, outing.label) < corrections([[p.id for p in outing.photos]], outing.label)
