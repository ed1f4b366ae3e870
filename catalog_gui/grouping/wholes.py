"""The most probable whole: which pictures show one specimen, all evidence weighed together.

Pictures that surely belong together (same camera, moments apart) form an atom. Between atoms stand
links of evidence (log odds of 'one specimen' against 'two'): along each camera's own stream, and
across cameras. Atoms are contracted greedily by the summed evidence between whole clusters, which is
the greedy additive solution of correlation clustering (Keuper et al. 2015, ICCV): a chain of
doubtful steps doesn't join what the whole speaks against.
"""

from __future__ import annotations

import heapq

import numpy as np

from catalog_gui.grouping.columns import Floats, Ints

FORBIDDEN = -1e6
"""Evidence so strong that nothing outweighs it: set apart by hand."""


def contract(count: int, left: Ints, right: Ints, evidence: Floats) -> Ints:
    """Cluster number of each of `count` atoms, given links `left[i]` - `right[i]` with log odds `evidence[i]`."""
    near: list[dict[int, float]] = [{} for _ in range(count)]
    for a, b, e in zip(left.tolist(), right.tolist(), evidence.tolist(), strict=True):
        if a != b:
            near[a][b] = near[a].get(b, 0.0) + e
            near[b][a] = near[b].get(a, 0.0) + e
    queue = [(-e, a, b) for a in range(count) for b, e in near[a].items() if a < b and e > 0]
    heapq.heapify(queue)
    owner = list(range(count))
    while queue:
        negative, a, b = heapq.heappop(queue)
        if near[a].get(b) != -negative:
            continue  # one of the two has changed since
        if len(near[a]) < len(near[b]):
            a, b = b, a
        owner[b] = a
        del near[a][b]
        for c, e in near[b].items():
            if c == a:
                continue
            del near[c][b]
            total = near[a].get(c, 0.0) + e
            near[a][c] = near[c][a] = total
            if total > 0:
                heapq.heappush(queue, (-total, min(a, c), max(a, c)))
        near[b] = {}
    root = np.empty(count, np.int64)
    for atom in range(count):
        top = atom
        while owner[top] != top:
            top = owner[top]
        root[atom] = top
    return root
