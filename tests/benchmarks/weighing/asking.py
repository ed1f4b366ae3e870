"""How many questions it takes, by different ways of choosing the next one."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from catalog_gui.domain.evidence import Evidence
from catalog_gui.lookalikes import PreparedReference, Weighing, weigh
from catalog_gui.lookalikes.reference import Severity
from tests.simulated.finds import USUAL, Simulator

Choose = Callable[[Weighing, list[str]], str]
LIMIT = 30


def ours(weighing: Weighing, open_features: list[str]) -> str:
    """What the program would offer first."""
    offered = [check.feature for check in weighing.next_checks if check.feature in open_features]
    return offered[0] if offered else open_features[0]


def information_gain(weighing: Weighing, open_features: list[str]) -> str:
    """The feature with the greatest expected information about the name."""
    gain = weighing.scores.gain
    blocks = weighing.scores.table.block_of
    return max(open_features, key=lambda f: gain[blocks[f].index])


def at_random(rng: np.random.Generator) -> Choose:
    """Any feature."""
    return lambda _weighing, open_features: open_features[int(rng.integers(len(open_features)))]


def questions(
    prepared: PreparedReference, choose: Choose, finds: int, seed: int
) -> tuple[float, float, float]:
    """Mean number of questions until (the deadly others are excluded, the name leads by 2.3 nats, both)."""
    reference = prepared.reference
    simulator = Simulator(reference, seed)
    taxa = [t.id for t in reference.taxa]
    deadly = {t for t in reference.dangerous if reference.severity_of(t) is Severity.FATAL}
    counts = []
    for _ in range(finds):
        taxon = taxa[int(simulator.rng.integers(len(taxa)))]
        answers = {e.feature: e for e in simulator.find(taxon, 500, USUAL)}
        order = list(answers)
        simulator.rng.shuffle(order)
        known: list[Evidence] = [answers.pop(f) for f in order[:3]]
        cleared = named = 0
        for asked in range(LIMIT + 1):
            weighing = weigh(known, prepared, checks=12)
            scores = np.sort(weighing.scores.total)
            if not cleared and not ({h.taxon.id for h in weighing.hazards} & deadly) - {taxon}:
                cleared = asked + 1
            if not named and weighing.candidates[0].taxon.id == taxon and scores[-1] - scores[-2] >= 2.3:
                named = asked + 1
            if (cleared and named) or not answers:
                break
            known.append(answers.pop(choose(weighing, list(answers))))
        counts.append((cleared or LIMIT + 1, named or LIMIT + 1))
    table = np.array(counts, dtype=float) - 1
    return float(table[:, 0].mean()), float(table[:, 1].mean()), float(table.max(axis=1).mean())
