"""How good a sorting is: adjusted Rand index, corrections by hand, calibration of probabilities."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Hashable, Mapping, Sequence

import numpy as np

from catalog_gui.grouping import Proposal


def adjusted_rand(one: Sequence[Hashable], two: Sequence[Hashable]) -> float:
    """Adjusted Rand index of two labellings of the same things (Hubert and Arabie 1985, J. Classif. 2:193-218)."""
    n = len(one)
    if n < 2:
        return 1.0
    cells = sum(k * (k - 1) // 2 for k in Counter(zip(one, two, strict=True)).values())
    rows = sum(k * (k - 1) // 2 for k in Counter(one).values())
    columns = sum(k * (k - 1) // 2 for k in Counter(two).values())
    pairs = n * (n - 1) // 2
    expected = rows * columns / pairs
    most = (rows + columns) / 2
    return 1.0 if most == expected else (cells - expected) / (most - expected)


def as_shown(proposal: Proposal) -> list[list[str]]:
    """Groups of photo ids as she sees them: what was left out lies by itself."""
    return [list(g.photos) for g in proposal.groups] + [[r.photo] for r in proposal.left_out]


def corrections(groups: Sequence[Sequence[str]], truth: Mapping[str, str]) -> int:
    """Hand movements that turn `groups` (photo ids, each in the order shown) into the true ones.

    Three movements exist: a split (cut a group in two, or lift a run of neighbours out), a join (put
    two groups together) and a move (one picture into another group). Of every proposed group the find
    with most pictures in it stays; of every find the group where most of its pictures lie is its home.
    - A find that is not the largest in a group but has its home there: lifted out, 1 for its first run.
    - Runs that belong elsewhere: 1 each if a single picture (a move), else 2 (lift out, then join).
    - A group whose largest find has its home elsewhere: 1 (a join).
    """
    cells: dict[str, Counter[int]] = defaultdict(Counter)
    for index, group in enumerate(groups):
        for photo in group:
            cells[truth[photo]][index] += 1
    home = {find: max(spread, key=lambda g: (spread[g], -g)) for find, spread in cells.items()}
    total = 0
    for index, group in enumerate(groups):
        names = [truth[p] for p in group]
        count = Counter(names)
        largest = max(count, key=lambda f: (count[f], home[f] == index, f))
        if home[largest] != index:
            total += 1
        first_lifted: set[str] = set()
        run_start = 0
        for i in range(1, len(names) + 1):
            if i < len(names) and names[i] == names[run_start]:
                continue
            find, length = names[run_start], i - run_start
            run_start = i
            if find == largest:
                continue
            if home[find] == index and find not in first_lifted:
                first_lifted.add(find)
                total += 1
            else:
                total += min(2, length)
    return total


def calibration_error(probability: Sequence[float], held: Sequence[bool], bins: int = 10) -> float:
    """Expected calibration error: mean over joins of how far their bin's mean probability is from its truth."""
    if not len(probability):
        return 0.0
    p, h = np.asarray(probability, float), np.asarray(held, float)
    which = np.minimum((p * bins).astype(int), bins - 1)
    error = 0.0
    for b in range(bins):
        mine = which == b
        if mine.any():
            error += mine.mean() * abs(float(p[mine].mean()) - float(h[mine].mean()))
    return float(error)
