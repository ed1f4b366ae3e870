"""The most probable whole: which pictures show one find, all evidence weighed together.

Pictures of one photographer that belong together form a node. Between nodes stand links of evidence
(log odds of one find against two): along each photographer's stream, and across photographers. Nodes
are contracted greedily by the summed evidence between whole clusters, which is greedy additive
contraction for correlation clustering (Keuper et al. 2015, ICCV): a chain of doubtful steps doesn't join
what the whole speaks against.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import exp, log
from typing import TypeVar

import numpy as np

from catalog_gui.grouping.columns import Bools, Floats, Ints

FORBIDDEN, REQUIRED = -1e9, 1e6
"""Evidence that nothing outweighs: set apart, or put together, by hand."""

_ECHO = 0.8  # how far links across photographers repeat each other: 0 not at all, 1 wholly
_DIRECT = 1.0  # log odds from which two neighbours' own link speaks against the whole that parts them
_OWN_WORD = 0.7  # of what that link says counts beside the whole
_MOST_ACROSS = 2.2  # nobody is surer of two people's pictures: one of them may be of the wood or the people
_STILL_APART = 0.7  # log odds at most of neighbours that the best whole keeps apart
_STRANGERS = -5.0  # log odds of neighbours in time that no link ties at all

_Key = TypeVar("_Key")
_Tie = tuple[int, float, bool]  # the other node, log odds, whether across photographers
_Evidence = tuple[float, float, int]  # evidence along streams, evidence across, number of links across


@dataclass(slots=True)
class Edges:
    """Weighted edges between nodes, in parts: left and right node, log odds, whether across photographers."""

    left: list[Ints] = field(default_factory=list)
    right: list[Ints] = field(default_factory=list)
    odds: list[Floats] = field(default_factory=list)
    across: list[Bools] = field(default_factory=list)
    wary: list[Floats] = field(default_factory=list)

    def add(self, left: Ints, right: Ints, odds: Floats, *, across: bool, wary: float = 0.0) -> None:
        """Add a part; `wary` is what the log odds must exceed for pictures to be put together."""
        self.left.append(left)
        self.right.append(right)
        self.odds.append(odds)
        self.across.append(np.full(len(left), across))
        self.wary.append(np.full(len(left), wary))

    def forbid_mixed(self, home: Ints) -> None:
        """Forbid every link between nodes of different homes (-1 is no home, and not closed)."""
        for part, (left, right) in enumerate(zip(self.left, self.right, strict=True)):
            mixed = (home[left] != home[right]) & ((home[left] >= 0) | (home[right] >= 0))
            self.odds[part] = np.where(mixed, FORBIDDEN, self.odds[part])

    def rows(self, *, wary: bool = False) -> list[tuple[int, int, float, bool]]:
        """Left node, right node, log odds (less what they must exceed), whether across."""
        if not self.left:
            return []
        odds = np.concatenate(self.odds) - wary * np.concatenate(self.wary)
        left, right, across = (np.concatenate(c) for c in (self.left, self.right, self.across))
        columns = (c.tolist() for c in (left, right, odds, across))
        return list(zip(*columns, strict=True))


def contract(count: int, links: Edges) -> Ints:
    """Cluster number of each of `count` nodes.

    Links along one photographer's stream add up. Those across photographers all rest on the same company
    at the same time and echo each other: k of them weigh as k ** (1 - echo) times their mean.
    """
    near: list[dict[int, _Evidence]] = [{} for _ in range(count)]
    for a, b, odds, across in links.rows(wary=True):
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
    for node in range(count):
        top = node
        while owner[top] != top:
            top = owner[top]
        owner[node] = top
    if any(part.any() for part in links.across):
        _settle_in(owner, links)
    return np.array(owner, np.int64)


_ROUNDS = 3


def _settle_in(owner: list[int], links: Edges) -> None:
    """Let single nodes move to the cluster that holds most evidence for them, until none wants to."""
    neighbours = _neighbours(links.rows(wary=True))
    restless = [node for node, tied in neighbours.items() if any(across for _, _, across in tied)]
    for _ in range(_ROUNDS):
        moved = False
        for node in restless:
            pull = _pulls(neighbours[node], owner)
            here = owner[node]
            best = max(pull, key=lambda c: (pull[c], c == here, -c))
            if best != here and pull[best] > max(0.0, pull.get(here, 0.0)) + 1e-9:
                owner[node] = best
                moved = True
        if not moved:
            return


def _neighbours(rows: list[tuple[int, int, float, bool]]) -> dict[int, list[_Tie]]:
    """What each node is tied to."""
    found: dict[int, list[_Tie]] = {}
    for a, b, odds, across in rows:
        if a != b:
            found.setdefault(a, []).append((b, odds, across))
            found.setdefault(b, []).append((a, odds, across))
    return found


def _pulls(tied: list[_Tie], owner: Sequence[int]) -> dict[int, float]:
    """Evidence between one node and each cluster it is tied to."""
    table: dict[int, _Evidence] = {}
    for b, odds, across in tied:
        _gather(table, owner[b], odds, across=across)
    return {cluster: _total(link) for cluster, link in table.items()}


def _absorb(near: list[dict[int, _Evidence]], a: int, b: int, queue: list[tuple[float, int, int]]) -> None:
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


def _total(link: _Evidence) -> float:
    along, over, many = link
    return along + over if many < 2 else along + over * float(many) ** -_ECHO


def join_odds(node: Ints, root: Ints, own: Floats, links: Edges, most: float) -> Floats:
    """Log odds that neighbours in time show one find, from the evidence around each pair.

    Within a node it is that of the step (`own`). Between two nodes it is how much better the best whole is
    than those that differ in this pair, as far as one move goes: two clusters made one, or one of
    the two nodes going over to another cluster.
    """
    before, after = node[:-1], node[1:]
    odds = own[1:].copy()
    differ = np.flatnonzero(before != after)
    if not len(differ):
        return np.clip(odds, -most, most)
    cluster = root.tolist()
    between: dict[tuple[int, int], _Evidence] = {}
    rows = links.rows()
    neighbours = _neighbours(rows)
    for a, b, value, across in rows:
        one, two = cluster[a], cluster[b]
        if one != two:
            _gather(between, (min(one, two), max(one, two)), value, across=across)
    pulls: dict[int, dict[int, float]] = {}
    known: dict[tuple[int, int], float] = {}
    for step in differ.tolist():
        a, b = int(before[step]), int(after[step])
        if (a, b) not in known:
            for c in (a, b):
                if c not in pulls:
                    pulls[c] = _pulls(neighbours.get(c, []), cluster)
            one, two = cluster[a], cluster[b]
            link = between.get((min(one, two), max(one, two)))
            made_one = _STRANGERS if link is None else _total(link)
            direct = sum(value for c, value, _ in neighbours.get(a, ()) if c == b)
            known[a, b] = _pair_odds((pulls[a], pulls[b]), (one, two), made_one, direct)
        odds[step] = known[a, b]
    return np.clip(odds, -most, most)


def _pair_odds(
    pulls: tuple[dict[int, float], dict[int, float]], homes: tuple[int, int], made_one: float, direct: float
) -> float:
    """Log odds for two nodes: their pulls, their clusters, the evidence between the clusters and between the two."""
    one, two = homes
    if one == two:
        # What keeps either node here, over standing alone or over its next best cluster.
        stays = [pull.get(one, 0.0) - max([0.0, *(e for c, e in pull.items() if c != one)]) for pull in pulls]
        return min(max(0.0, min(stays)), _MOST_ACROSS)
    # An node that is alone in its cluster and goes over makes the two clusters one: that is one way, not two.
    goes = [
        pull.get(there, _STRANGERS) - max(0.0, pull[here])
        for pull, here, there in ((pulls[0], one, two), (pulls[1], two, one))
        if here in pull
    ]
    odds = min(_STILL_APART, _sum_up([made_one, *goes]))
    return odds if direct < _DIRECT else 0.5 * (odds + _OWN_WORD * min(direct, _MOST_ACROSS))


def _sum_up(odds: list[float]) -> float:
    """Log odds of several ways to differ, taken together."""
    top = max(odds)
    return top + log(sum(exp(max(o - top, -50.0)) for o in odds))


def _gather(table: dict[_Key, _Evidence], key: _Key, value: float, *, across: bool) -> None:
    along, over, many = table.get(key, (0.0, 0.0, 0))
    table[key] = (along, over + value, many + 1) if across else (along + value, over, many)
