"""Making the proposal again: what she fixed by hand stays exactly as it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from catalog_gui.domain.foray import NOT_A_SPECIMEN, Clock, Foray, Group, Join
from catalog_gui.domain.photo import Photo
from catalog_gui.grouping import Held, Proposal, propose
from catalog_gui.workflows.ports import Surroundings, Work


def propose_again(
    work: Work, foray_id: str, surroundings: Surroundings, *, fresh: Sequence[Photo] = ()
) -> Proposal:
    """Propose the foray's groups, clocks and joins anew and write only what came out different.

    `fresh` photos are not in the records yet: they are written here, once, with the place they got.
    """
    foray = work.forays.get(foray_id)
    photos = (*work.photos.where(foray_id=foray_id), *fresh)
    groups = work.groups.where(foray_id=foray_id)
    joins = work.joins.where(foray_id=foray_id)
    clocks = work.clocks.where(foray_id=foray_id)
    proposal = _ask(work, foray, photos, _held(photos, groups, joins, clocks), surroundings)
    _write_groups(work, foray_id, groups, proposal)
    _write_photos(work, photos, proposal, {photo.id for photo in fresh})
    _write_clocks(work, foray_id, clocks, proposal)
    _write_joins(work, foray_id, joins, proposal)
    _write_same_as(work, foray_id, proposal)
    if foray is not None:
        starts = [group.start for group in proposal.groups if group.start is not None]
        ends = [group.end for group in proposal.groups if group.end is not None]
        dated = replace(
            foray,
            started=min(starts) if starts else foray.started,
            ended=max(ends) if ends else foray.ended,
        )
        if dated != foray:
            work.forays.put(dated)
    return proposal


def explain(work: Work, foray_id: str, surroundings: Surroundings) -> Proposal:
    """The present proposal with what is not kept: questions about clocks, fixes that were not believed.

    Nothing is written.
    """
    photos = work.photos.where(foray_id=foray_id)
    held = _held(
        photos,
        work.groups.where(foray_id=foray_id),
        work.joins.where(foray_id=foray_id),
        work.clocks.where(foray_id=foray_id),
    )
    return _ask(work, work.forays.get(foray_id), photos, held, surroundings)


def _ask(
    work: Work, foray: Foray | None, photos: tuple[Photo, ...], held: Held, surroundings: Surroundings
) -> Proposal:
    return propose(
        photos,
        held=held,
        tracks=work.tracks.where(foray_id=foray.id) if foray is not None else (),
        time_zone=foray.time_zone if foray is not None else "",
        now=surroundings.now(),
    )


def _held(
    photos: tuple[Photo, ...], groups: tuple[Group, ...], joins: tuple[Join, ...], clocks: tuple[Clock, ...]
) -> Held:
    return Held(
        clocks={clock.camera_key: clock.offset_s for clock in clocks if clock.by_hand},
        groups={group.id: group.photos for group in groups if group.held or group.specimen_id},
        together=tuple((join.before, join.after) for join in joins if join.settled is True),
        apart=tuple((join.before, join.after) for join in joins if join.settled is False),
        aside=frozenset(photo.id for photo in photos if photo.aside == NOT_A_SPECIMEN),
    )


def _write_groups(work: Work, foray_id: str, before: tuple[Group, ...], proposal: Proposal) -> None:
    old = {group.id: group for group in before}
    wanted: dict[str, Group] = {}
    for group in proposal.groups:
        kept = old.get(group.id)
        wanted[group.id] = replace(
            group,
            foray_id=foray_id,
            held=kept.held if kept is not None else False,
            specimen_id=kept.specimen_id if kept is not None else "",
            note=kept.note if kept is not None else "",
        )
    work.groups.remove(*(key for key in old if key not in wanted))
    work.groups.put(*(group for key, group in wanted.items() if old.get(key) != group))


def _write_photos(work: Work, before: tuple[Photo, ...], proposal: Proposal, fresh: set[str]) -> None:
    place: dict[str, tuple[str, str]] = {}
    for group in proposal.groups:
        for photo_id in group.photos:
            place[photo_id] = (group.id, "")
    for left in proposal.left_out:
        place[left.photo] = ("", left.reason)
    moved = []
    for photo in before:
        group_id, aside = place.get(photo.id, ("", photo.aside))
        if photo.aside == NOT_A_SPECIMEN and not group_id:
            aside = NOT_A_SPECIMEN
        if (photo.group_id, photo.aside) != (group_id, aside):
            moved.append(replace(photo, group_id=group_id, aside=aside))
        elif photo.id in fresh:
            moved.append(photo)
    work.photos.put(*moved)


def _write_clocks(work: Work, foray_id: str, before: tuple[Clock, ...], proposal: Proposal) -> None:
    old = {clock.camera_key: clock for clock in before}
    wanted: dict[str, Clock] = {}
    for clock in proposal.clocks:
        kept = old.get(clock.camera_key)
        named = replace(clock, id=kept.id if kept else f"{foray_id}|{clock.camera_key}", foray_id=foray_id)
        if kept is not None and kept.by_hand:
            named = replace(kept, photos=clock.photos)
        wanted[clock.camera_key] = named
    work.clocks.remove(*(clock.id for key, clock in old.items() if key not in wanted))
    work.clocks.put(*(clock for key, clock in wanted.items() if old.get(key) != clock))


def _write_joins(work: Work, foray_id: str, before: tuple[Join, ...], proposal: Proposal) -> None:
    old = {(join.before, join.after): join for join in before}
    wanted: dict[tuple[str, str], Join] = {}
    for join in proposal.joins:
        key = (join.before, join.after)
        kept = old.get(key)
        wanted[key] = replace(
            join,
            id=kept.id if kept else f"{join.before}|{join.after}",
            foray_id=foray_id,
            settled=kept.settled if kept else None,
        )
    gone = [join.id for key, join in old.items() if key not in wanted and join.settled is None]
    work.joins.remove(*gone)
    work.joins.put(*(join for key, join in wanted.items() if old.get(key) != join))


def _write_same_as(work: Work, foray_id: str, proposal: Proposal) -> None:
    before = {(link.group, link.earlier_group): link for link in work.same_as.where(foray_id=foray_id)}
    wanted = {}
    for link in proposal.same_as:
        key = (link.group, link.earlier_group)
        kept = before.get(key)
        wanted[key] = replace(
            link,
            id=kept.id if kept else f"{link.group}|{link.earlier_group}",
            foray_id=foray_id,
            accepted=kept.accepted if kept else None,
        )
    work.same_as.remove(
        *(link.id for key, link in before.items() if key not in wanted and link.accepted is None)
    )
    work.same_as.put(*(link for key, link in wanted.items() if before.get(key) != link))
