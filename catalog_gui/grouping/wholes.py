"""The most probable whole: which pictures show one find, all evidence weighed together.

Pictures of one photographer that belong together form an atom. Between atoms stand links of evidence
(log odds of one find against two): along each photographer's stream, and across photographers. Atoms
are contracted greedily by the summed evidence between whole clusters, which is greedy additive
contraction for correlation clustering (Keuper et al. 2015, ICCV): a chain of doubtful steps doesn't join
what the whole speaks against.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass, field
from typing import TypeVar

import numpy as np

from catalog_gui.grouping.columns import Bools, Floats, Ints

FORBIDDEN, REQUIRED = -1e9, 1e6
"""Evidence that nothing outweighs: set apart, or put together, by hand."""

_ECHO = 0.8  # how far links across photographers repeat each other: 0 not at all, 1 wholly
_STRANGERS = -5.0  # log odds of neighbours in time that no link ties at all

_Key = TypeVar("_Key")
_Link = tuple[float, float, int]  # evidence along streams, evidence across, number of links across


@dataclass(slots=True)
class Links:
    """Links between atoms, in parts: left and right atom, log odds, whether across photographers."""

    left: list[Ints] = field(default_factory=list)
    right: list[Ints] = field(default_factory=list)
    odds: list[Floats] = field(default_factory=list)
    across: list[Bools] = field(default_factory=list)

    def add(self, left: Ints, right: Ints, odds: Floats, *, across: bool) -> None:
        self.left.append(left)
        self.right.append(right)
        self.odds.append(odds)
        self.across.append(np.full(len(left), across))

    def forbid_mixed(self, home: Ints) -> None:
        """Forbid every link between atoms of different homes (-1 is no home, and not closed)."""
        for part, (left, right) in enumerate(zip(self.left, self.right, strict=True)):
            mixed = (home[left] != home[right]) & ((home[left] >= 0) | (home[right] >= 0))
            self.odds[part] = np.where(mixed, FORBIDDEN, self.odds[part])

    def rows(self) -> list[tuple[int, int, float, bool]]:
        if not self.left:
            return []
        columns = (np.concatenate(c).tolist() for c in (self.left, self.right, self.odds, self.across))
        return list(zip(*columns, strict=True))


def contract(count: int, links: Links) -> Ints:
    """Cluster number of each of `count` atoms.

    Links along one photographer's stream add up. Those across photographers all rest on the same company
    at the same time and echo each other: k of them weigh as k ** (1 - echo) times their mean.
    """
    near: list[dict[int, _Link]] = [{} for _ in range(count)]
    for a, b, odds, across in links.rows():
        if a != b:
            along, over, many = near[a].get(b, (0.0, 0.0, 0))
            near[a][b] = near[b][a] = (along, over + odds, many + 1) if across else (along + odds, over, many)
    queue = [(-_total(link), a, b) for a in range(count) for b, link in near[a].items() if a < b]
    queue = [entry for entry in queue if entry[0] < 0.0]
    heapq.heapify(queue)
    owner = list(range(count))
    while queue:
        negative, a, b = heapq.heappop(queue)
        current = near[a].get(b)
        if current is None or -_total(current) != negative:
            continue  # one of the two has changed since
        if len(near[a]) < len(near[b]):
            a, b = b, a
        owner[b] = a
        _absorb(near, a, b, queue)
    for atom in range(count):
        top = atom
        while owner[top] != top:
            top = owner[top]
        owner[atom] = top
    return np.array(owner, np.int64)


def _absorb(near: list[dict[int, _Link]], a: int, b: int, queue: list[tuple[float, int, int]]) -> None:
    del near[a][b]
    for c, (along, over, many) in near[b].items():
        if c == a:
            continue
        del near[c][b]
        old = near[a].get(c, (0.0, 0.0, 0))
        merged = (old[0] + along, old[1] + over, old[2] + many)
        near[a][c] = near[c][a] = merged
        total = _total(merged)
        if total > 0.0:
            heapq.heappush(queue, (-total, min(a, c), max(a, c)))
    near[b] = {}


def _total(link: _Link) -> float:
    along, over, many = link
    return along + over if many < 2 else along + over * float(many) ** -_ECHO


def join_odds(atom: Ints, root: Ints, own: Floats, links: Links, most: float) -> Floats:
    """Log odds that neighbours in time show one find, from the evidence around each pair.

    Within an atom it is that of the step (`own`). Neighbours in one cluster but different atoms: the weaker of
    what ties either atom to the rest of the cluster. In two clusters: what lies between the two clusters.
    """
    before, after = atom[:-1], atom[1:]
    odds = own[1:].copy()
    differ = np.flatnonzero(before != after)
    if not len(differ):
        return np.clip(odds, -most, most)
    between: dict[tuple[int, int], _Link] = {}
    to_rest: dict[int, _Link] = {}
    cluster = root.tolist()
    for a, b, value, across in links.rows():
        if a == b:
            continue
        one, two = cluster[a], cluster[b]
        if one == two:
            _gather(to_rest, a, value, across=across)
            _gather(to_rest, b, value, across=across)
        else:
            _gather(between, (min(one, two), max(one, two)), value, across=across)
    nothing = (0.0, 0.0, 0)
    for step in differ.tolist():
        a, b = int(before[step]), int(after[step])
        one, two = cluster[a], cluster[b]
        if one == two:
            odds[step] = max(0.0, min(_total(to_rest.get(a, nothing)), _total(to_rest.get(b, nothing))))
        else:
            link = between.get((min(one, two), max(one, two)))
            odds[step] = _STRANGERS if link is None else min(0.0, _total(link))
    return np.clip(odds, -most, most)


def _gather(table: dict[_Key, _Link], key: _Key, value: float, *, across: bool) -> None:
    along, over, many = table.get(key, (0.0, 0.0, 0))
    table[key] = (along, over + value, many + 1) if across else (along + value, over, many)
