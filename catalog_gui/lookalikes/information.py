"""How much an answer is expected to tell (Shannon 1948; Lindley 1956, Ann. Math. Stat. 27:986-1005)."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.floating]
Whole = npt.NDArray[np.intp]


def entropy_terms(chance: Array) -> Array:
    """-p ln p for each chance, nats; 0 for 0."""
    return np.asarray(-chance * np.log(np.maximum(chance, 1e-12)))


def expected_information(share: Array, expected: Array, answer_entropy: Array, starts: Whole) -> Array:
    """(F,) nats that the answer to each question is expected to tell about which taxon it is.

    `share` (T,) are the taxa's shares, `expected` (K,) the chance of each answer over all taxa, its
    questions' answers standing one after the other; question f begins at `starts[f]` (K + 1 ends the last
    one: F + 1 starts). `answer_entropy` (F, T) is the entropy of the answer given the taxon. The result is
    the mutual information of taxon and answer, never below 0.
    """
    running = np.concatenate([[0.0], np.cumsum(entropy_terms(expected), dtype=np.float64)])
    inside = running[starts[1:]] - running[starts[:-1]]
    return np.asarray(np.maximum(inside - answer_entropy @ share, 0.0))
