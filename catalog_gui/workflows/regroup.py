"""Making the proposal again: what was fixed by hand stays exactly as it is.

After a correction only its neighbourhood is proposed anew, as long as clocks, times and places are those
of the last proposal; everything else is left as it stands in the records.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from catalog_gui.domain.foray import NOT_A_SPECIMEN, Clock, Group, Join, SameAs
from catalog_gui.domain.photo import Photo
from catalog_gui.grouping import Held, Proposal, propose, propose_near
from catalog_gui.grouping.neighbourhood import stretch
from catalog_gui.workflows.foray_memory import ForayMemory
from catalog_gui.workflows.named_proposal import named_clocks, named_groups, named_joins, named_links
from catalog_gui.workflows.ports import Surroundings, UnitOfWork


def propose_again(
    work: UnitOfWork,
    foray_id: str,
    surroundings: Surroundings,
    *,
    fresh: Sequence[Photo] = (),
    memory: ForayMemory | None = None,
    around: Sequence[str] = (),
) -> Proposal:
    """Propose the foray's groups, clocks and joins anew and write only what came out different.

    `fresh` photos are not in the records yet: they are written here, once, with the place they got.
    `around` are the photos of a correction: only their neighbourhood is written, as long as no clock
    moves. With a `memory` that still holds the last proposal only the neighbourhood is proposed, too.
    """
    memory = memory if memory is not None else ForayMemory()
    memory.catch_up(work, foray_id)
    held = memory.held
    photos = (*memory.photos.values.values(), *fresh)
    known = memory.proposal(held) if around and not fresh else None
    proposal = propose_near(known, held, around) if known else _ask(memory, photos, held, surroundings)
    part = None
    if around and not fresh and not _clocks_move(memory, proposal):
        part = _neighbourhood(memory, known or proposal, proposal, held, around, foray_id)
    if part is not None:
        _write(work, memory, part)
        _write_counts(work, memory, proposal)
        standing = _in_time(memory.groups.values.values())
        offered = named_links(proposal.revisits_among(standing), standing, foray_id)
    else:
        if known is not None:
            proposal = _ask(memory, photos, held, surroundings)
        groups = named_groups(proposal.groups, foray_id, held.groups)
        part = _Part(
            tuple(memory.groups.values.values()),
            groups,
            tuple(memory.joins.values.values()),
            named_joins(proposal.joins, foray_id),
            photos,
            {left.photo: left.reason for left in proposal.left_out},
        )
        _write(work, memory, part, new={photo.id for photo in fresh})
        _write_clocks(work, foray_id, memory, proposal)
        offered = named_links(proposal.revisits, groups, foray_id)
    _write_same_as(work, memory, offered)
    _write_dates(work, memory)
    if not fresh:
        memory.keep_proposal(proposal, held)
    return proposal


def explain(
    work: UnitOfWork, foray_id: str, surroundings: Surroundings, memory: ForayMemory | None = None
) -> Proposal:
    """The present proposal with what is not kept: questions about clocks, fixes that were not believed.

    Nothing is written. A `memory` is made ready by it for the next correction.
    """
    memory = memory if memory is not None else ForayMemory()
    memory.catch_up(work, foray_id)
    held = memory.held
    proposal = memory.proposal(held)
    if proposal is None:
        proposal = _ask(memory, tuple(memory.photos.values.values()), held, surroundings)
        memory.keep_proposal(proposal, held)
    return proposal


def _ask(memory: ForayMemory, photos: tuple[Photo, ...], held: Held, surroundings: Surroundings) -> Proposal:
    return propose(
        photos,
        held=held,
        tracks=tuple(memory.tracks.values.values()),
        time_zone=memory.foray.time_zone if memory.foray is not None else "",
        likeness=surroundings.likeness,
        now=surroundings.now(),
        rows=memory.rows,
    )


@dataclass(frozen=True, slots=True)
class _Part:
    """Groups and joins as they were and as they shall be, of some photos or all; `aside`: why one has no group."""

    old_groups: Sequence[Group]
    groups: Sequence[Group]
    old_joins: Sequence[Join]
    joins: Sequence[Join]
    photos: Sequence[Photo]
    aside: Mapping[str, str]


def _neighbourhood(
    memory: ForayMemory,
    before: Proposal,
    after: Proposal,
    held: Held,
    around: Sequence[str],
    foray_id: str,
) -> _Part | None:
    """What there is to write around a correction; None where the whole has to be written.

    The latter when pictures without a time are concerned.
    """
    photo_of, group_of = memory.photos.values, memory.groups.values
    members = {key: group.photos for group in group_of.values() for key in group.photos}
    found = stretch(before, after, around, members)
    if found is None:
        return None
    groups = named_groups(found.groups, foray_id, held.groups)
    photos = {key: photo_of[key] for group in groups for key in group.photos if key in photo_of}
    near = {*photos, *around}
    old = [group for group in group_of.values() if not near.isdisjoint(group.photos)]
    left_out = {left.photo: left.reason for left in after.left_out}
    if (
        any(set(group.photos) != set(held.groups.get(group.id, group.photos)) for group in groups)
        or not all(photos.keys() >= set(group.photos) for group in old)
        or not all(key in photos or key in left_out for key in around)
        or {group.id for group in groups} & (group_of.keys() - {group.id for group in old})
    ):
        return None
    photos |= {key: photo_of[key] for key in around if key in photo_of}
    ends = {key for join in found.joins for key in (join.before, join.after)}.union(around)
    old_joins = [j for j in memory.joins.values.values() if j.before in ends and j.after in ends]
    joins = named_joins(found.joins, foray_id)
    return _Part(old, groups, old_joins, joins, tuple(photos.values()), left_out)


def _clocks_move(memory: ForayMemory, proposal: Proposal) -> bool:
    """Whether a clock came out so different that it concerns the whole foray: by 1 s or half its spread."""
    known = {clock.camera_key: clock for clock in memory.clocks.values.values()}
    return known.keys() != {clock.camera_key for clock in proposal.clocks} or any(
        not known[clock.camera_key].by_hand
        and abs(clock.offset_s - known[clock.camera_key].offset_s) > max(1.0, 0.5 * clock.spread_s)
        for clock in proposal.clocks
    )


def _write(work: UnitOfWork, memory: ForayMemory, part: _Part, new: Iterable[str] = ()) -> None:
    _write_groups(work, memory, part)
    _write_photos(work, memory, part, frozenset(new))
    _write_joins(work, memory, part)


def _write_groups(work: UnitOfWork, memory: ForayMemory, part: _Part) -> None:
    old = {group.id: group for group in part.old_groups}
    wanted: dict[str, Group] = {}
    for group in part.groups:
        kept = old.get(group.id)
        wanted[group.id] = replace(
            group,
            held=kept.held if kept is not None else False,
            specimen_id=kept.specimen_id if kept is not None else "",
            note=kept.note if kept is not None else "",
        )
    memory.groups.change(
        work.groups,
        [group for key, group in wanted.items() if old.get(key) != group],
        [key for key in old if key not in wanted],
    )


def _write_photos(work: UnitOfWork, memory: ForayMemory, part: _Part, new: frozenset[str]) -> None:
    place = {photo_id: group.id for group in part.groups for photo_id in group.photos}
    moved = []
    for photo in part.photos:
        group_id = place.get(photo.id, "")
        aside = "" if group_id else part.aside.get(photo.id, photo.aside)
        if photo.aside == NOT_A_SPECIMEN and not group_id:
            aside = NOT_A_SPECIMEN
        if (photo.group_id, photo.aside) != (group_id, aside):
            moved.append(replace(photo, group_id=group_id, aside=aside))
        elif photo.id in new:
            moved.append(photo)
    memory.photos.change(work.photos, moved)


def _write_joins(work: UnitOfWork, memory: ForayMemory, part: _Part) -> None:
    old = {(join.before, join.after): join for join in part.old_joins}
    wanted: dict[tuple[str, str], Join] = {}
    for join in part.joins:
        key = (join.before, join.after)
        kept = old.get(key)
        wanted[key] = replace(
            join,
            id=kept.id if kept else join.id,
            settled=kept.settled if kept else None,
        )
    memory.joins.change(
        work.joins,
        [join for key, join in wanted.items() if old.get(key) != join],
        [join.id for key, join in old.items() if key not in wanted and join.settled is None],
    )


def _write_clocks(work: UnitOfWork, foray_id: str, memory: ForayMemory, proposal: Proposal) -> None:
    old = {clock.camera_key: clock for clock in memory.clocks.values.values()}
    wanted: dict[str, Clock] = {}
    for clock in named_clocks(proposal.clocks, foray_id):
        kept = old.get(clock.camera_key)
        named = replace(clock, id=kept.id) if kept is not None else clock
        if kept is not None and kept.by_hand:
            named = replace(kept, photos=clock.photos)
        wanted[clock.camera_key] = named
    memory.clocks.change(
        work.clocks,
        [clock for key, clock in wanted.items() if old.get(key) != clock],
        [clock.id for key, clock in old.items() if key not in wanted],
    )


def _write_counts(work: UnitOfWork, memory: ForayMemory, proposal: Proposal) -> None:
    """How many pictures each clock has; the clocks themselves stay."""
    counts = {clock.camera_key: clock.photos for clock in proposal.clocks}
    clocks = memory.clocks.values.values()
    fresh = [replace(clock, photos=counts.get(clock.camera_key, 0)) for clock in clocks]
    memory.clocks.change(
        work.clocks, [clock for clock, old in zip(fresh, clocks, strict=True) if clock != old]
    )


def _write_same_as(work: UnitOfWork, memory: ForayMemory, offered: Sequence[SameAs]) -> None:
    before = {(link.group, link.earlier_group): link for link in memory.same_as.values.values()}
    wanted: dict[tuple[str, str], SameAs] = {}
    for link in offered:
        key = (link.group, link.earlier_group)
        kept = before.get(key)
        wanted[key] = replace(
            link,
            id=kept.id if kept else link.id,
            accepted=kept.accepted if kept else None,
        )
    memory.same_as.change(
        work.same_as,
        [link for key, link in wanted.items() if before.get(key) != link],
        [link.id for key, link in before.items() if key not in wanted and link.accepted is None],
    )


def _write_dates(work: UnitOfWork, memory: ForayMemory) -> None:
    foray, groups = memory.foray, memory.groups.values.values()
    if foray is None:
        return
    starts = [group.start for group in groups if group.start is not None]
    ends = [group.end for group in groups if group.end is not None]
    dated = replace(
        foray,
        started=min(starts) if starts else foray.started,
        ended=max(ends) if ends else foray.ended,
    )
    if dated != foray:
        work.forays.put(dated)
        memory.foray = dated


def _in_time(groups: Iterable[Group]) -> list[Group]:
    """As a proposal has them: those without a time first, then by start."""
    return sorted(groups, key=lambda g: (g.start is not None, g.start.timestamp() if g.start else 0.0, g.id))
