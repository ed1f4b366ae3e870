"""A proposal as records: the one place that knows how the ids of groups, joins, clocks and links look.

Ids come from photos and cameras, so they last when a foray is proposed again or others are added.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from catalog_gui.domain.foray import Clock, Group, Join, SameAs
from catalog_gui.grouping.proposed import ProposedClock, ProposedGroup, ProposedJoin
from catalog_gui.grouping.revisits import Revisit


def join_id(before: str, after: str) -> str:
    """Return the id of the join between two photos (ids)."""
    return f"{before}|{after}"


def named_groups(
    groups: Sequence[ProposedGroup], foray_id: str = "", held: Iterable[str] = ()
) -> tuple[Group, ...]:
    """Make records of proposed groups: a held one keeps its id, a new one is called after its first photo.

    `held` are the ids of all groups that are fixed by hand: no new group takes one of them.
    """
    taken = set(held)
    named = []
    for group in groups:
        key = group.held
        if not key:
            key = f"group-{group.photos[0]}"
            while key in taken:
                key += "'"
        taken.add(key)
        named.append(
            Group(key, foray_id, group.photos, group.start, group.end, group.place, held=bool(group.held))
        )
    return tuple(named)


def named_joins(joins: Iterable[ProposedJoin], foray_id: str) -> tuple[Join, ...]:
    """Make records of proposed joins."""
    return tuple(
        Join(join_id(j.before, j.after), foray_id, j.before, j.after, j.probability, j.reason, j.settled)
        for j in joins
    )


def named_clocks(clocks: Iterable[ProposedClock], foray_id: str) -> tuple[Clock, ...]:
    """Make records of proposed clocks."""
    return tuple(
        Clock(
            id=f"{foray_id}|{clock.camera_key}",
            foray_id=foray_id,
            camera_key=clock.camera_key,
            offset_s=clock.offset_s,
            spread_s=clock.spread_s,
            basis=clock.basis,
            settled=clock.settled,
            by_hand=clock.by_hand,
            photos=clock.photos,
        )
        for clock in clocks
    )


def named_links(revisits: Iterable[Revisit], groups: Sequence[Group], foray_id: str) -> tuple[SameAs, ...]:
    """Make records of offers that two of `groups` show the same find."""
    pairs = ((r, groups[r.later].id, groups[r.earlier].id) for r in revisits)
    return tuple(
        SameAs(f"{later}|{earlier}", foray_id, later, earlier, r.probability, r.reason)
        for r, later, earlier in pairs
    )
