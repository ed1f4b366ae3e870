"""What a correction changed: the stretch of the walk that `propose_near` sorted anew, without the rest.

Putting a whole proposal of thousands of pictures into words takes far longer than a correction; here only
its neighbourhood is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from catalog_gui.domain.foray import Group, Join, SameAs
from catalog_gui.grouping.joining import Sorting
from catalog_gui.grouping.proposal import Proposal, Reckoning


@dataclass(frozen=True, slots=True)
class Stretch:
    """Consecutive photos in true time (ids), their groups, and their joins with those at both ends.

    Every group is whole: none reaches beyond `photos`, but for members without a time of their own.
    """

    photos: tuple[str, ...]
    groups: tuple[Group, ...]
    joins: tuple[Join, ...]


def stretch(before: Proposal, after: Proposal) -> Stretch | None:
    """What `after`, made by `propose_near` from `before`, sorted anew; None where it is not such a one."""
    old, new = before.reckoning, after.reckoning
    if old is None or new is None or old.scene is not new.scene:
        return None
    moved = np.flatnonzero(old.sorting.group != new.sorting.group)
    if not len(moved):
        return None
    n = len(new.scene.order)
    first, last = int(moved[0]), int(moved[-1]) + 1
    photos = tuple(new.scene.columns.ids[row] for row in new.scene.order[first:last].tolist())
    inside = set(photos)
    groups = tuple(group for group in _part(new, first, last).groups if not inside.isdisjoint(group.photos))
    return Stretch(photos, groups, _part(new, max(0, first - 1), min(n, last + 1)).joins)


def _part(r: Reckoning, first: int, last: int) -> Proposal:
    scene = replace(r.scene, order=r.scene.order[first:last])
    sorting = Sorting(0, last - first, r.sorting.group[first:last], r.sorting.odds[first : last - 1])
    return Proposal(replace(r, scene=scene, sorting=sorting))


def offers_among(proposal: Proposal, groups: Sequence[Group]) -> tuple[SameAs, ...]:
    """The offers 'same specimen as' among these groups of the foray, as a proposal made of them would have."""
    whole = Proposal(proposal.reckoning)
    whole.__dict__["groups"] = tuple(groups)
    return whole.same_as
