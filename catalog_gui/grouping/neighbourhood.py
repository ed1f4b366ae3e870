"""The neighbourhood of a correction, cut out of a proposal.

Putting a whole proposal of thousands of pictures into words takes far longer than a correction, and what
lies far from it should not move. So only the stretch around it is put into words, widened until every
group, of the proposal and of what stood before, lies wholly inside or wholly outside.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from catalog_gui.grouping.columns import Ints
from catalog_gui.grouping.partition import Sorting
from catalog_gui.grouping.proposal import Proposal, Reckoning
from catalog_gui.grouping.proposed import ProposedGroup, ProposedJoin
from catalog_gui.grouping.timeline import Timeline

REACH = 60
"""Pictures on either side of a correction that belong to its neighbourhood, at least."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Consecutive photos in true time (ids), their groups, and their joins, those at both ends included.

    No group reaches beyond `photos`, but for members without a time of their own.
    """

    photos: tuple[str, ...]
    groups: tuple[ProposedGroup, ...]
    joins: tuple[ProposedJoin, ...]


def stretch(
    before: Proposal, after: Proposal, around: Iterable[str], standing: Mapping[str, Sequence[str]]
) -> Stretch | None:
    """The neighbourhood of the photos `around` (ids) in the proposal `after`.

    `before` is the proposal that it follows: where `after` is a near one, all that it sorted anew is taken.
    `standing` gives for a photo the members of the group that it is in at present. None where none of
    `around` has a time.
    """
    new = after.reckoning
    if new is None:
        return None
    places = near_places(new.timeline, around)
    if not places:
        return None
    ids = [new.timeline.columns.ids[row] for row in new.timeline.order.tolist()]
    place_of = {name: place for place, name in enumerate(ids)}
    first, last = max(0, min(places) - REACH), min(len(ids), max(places) + REACH + 1)
    old = before.reckoning
    if old is not None and old.whole is new.whole:
        moved = np.flatnonzero(by_row(old)[new.timeline.order] != new.sorting.group)
        if len(moved):
            first, last = int(moved[0]), int(moved[-1]) + 1
    low, high = new.sorting.reaches()
    looked_at: set[int] = set()
    while True:
        members = {
            place_of[other]
            for place in set(range(first, last)) - looked_at
            for other in standing.get(ids[place], ())
            if other in place_of
        }
        looked_at.update(range(first, last))
        inside = new.sorting.group[first:last]
        wider = (
            min(int(low[inside].min()), first, *members),
            max(int(high[inside].max()) + 1, last, *(place + 1 for place in members)),
        )
        if wider == (first, last):
            break
        first, last = wider
    photos = set(ids[first:last])
    groups = tuple(group for group in _part(new, first, last).groups if not photos.isdisjoint(group.photos))
    joins = _part(new, max(0, first - 1), min(len(ids), last + 1)).joins
    return Stretch(tuple(ids[first:last]), groups, joins)


def near_places(timeline: Timeline, photos: Iterable[str]) -> list[int]:
    """Places of these photos (ids) in the order of time, ascending; of those that lie aside, the places around."""
    wanted = set(photos)
    rows = [row for row, name in enumerate(timeline.columns.ids) if name in wanted]
    n = len(timeline.order)
    place = np.full(len(timeline.true), -1, np.int64)
    place[timeline.order] = np.arange(n)
    found = {int(place[row]) for row in rows if place[row] >= 0}
    aside = [row for row in rows if place[row] < 0 and not np.isnan(timeline.true[row])]
    after = np.searchsorted(timeline.true[timeline.order], timeline.true[aside]).tolist()
    found.update(at for later in after for at in (later - 1, later) if 0 <= at < n)
    return sorted(found)


def by_row(r: Reckoning) -> Ints:
    """Group number of each row; -1 for what is in none."""
    group = np.full(len(r.timeline.true), -1, np.int64)
    group[r.timeline.order] = r.sorting.group
    return group


def _part(r: Reckoning, first: int, last: int) -> Proposal:
    timeline = replace(r.timeline, order=r.timeline.order[first:last])
    sorting = Sorting(0, last - first, r.sorting.group[first:last], r.sorting.odds[first : last - 1])
    return Proposal(replace(r, timeline=timeline, sorting=sorting))
