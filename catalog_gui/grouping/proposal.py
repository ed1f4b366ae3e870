"""What comes out: the proposal, its parts put into words when they are asked for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

import numpy as np

from catalog_gui.domain.foray import Place, Track
from catalog_gui.grouping import clocks, places
from catalog_gui.grouping.columns import Floats, Ints, moment, to_plane
from catalog_gui.grouping.inputs import ClockQuestion, Held, Remark
from catalog_gui.grouping.partition import Photographers, Sorting
from catalog_gui.grouping.proposed import Grouped, ProposedClock, ProposedGroup, ProposedJoin, is_doubtful
from catalog_gui.grouping.revisits import Look, Revisit, find_revisits
from catalog_gui.grouping.timeline import Timeline

_LOOK_TOLD = 4.0  # log odds up to which a join's reason speaks of the look
_AROUND = "from where the party was at that time"


NOTHING_SORTED = Sorting(0, 0, np.zeros(0, np.int64), np.zeros(0))


@dataclass(frozen=True)
class Whole:
    """What is concluded from all pictures, those in the tray too; `lost`: by id, why a picture has no time."""

    timeline: Timeline
    photographers: Photographers | None
    lost: Mapping[str, str]
    tracks: Sequence[Track]
    track_notes: Sequence[str]


@dataclass(frozen=True)
class Reckoning:
    """What a proposal was reckoned from, kept so that a correction need not reckon everything anew.

    `timeline` and `photographers` are those of `whole` without the pictures that were set aside.
    """

    whole: Whole
    timeline: Timeline
    photographers: Photographers | None
    held: Held
    sorting: Sorting


class Proposal:
    """The most probable whole. Every photo is in exactly one of `groups` and `left_out`.

    All parts are tuples of plain values, worked out when first asked for and kept. `groups` are ordered by
    start, their photos by true time. `joins` hold one entry for every two neighbours in true time among
    all grouped photos. `times` gives each grouped photo's true time (aware UTC).
    """

    def __init__(self, reckoning: Reckoning | None = None) -> None:
        self.reckoning = reckoning

    @cached_property
    def left_out(self) -> tuple[Remark, ...]:
        """Photos that could not be placed, or were set aside, with the reason."""
        return _left_out(self.reckoning) if self.reckoning else ()

    @cached_property
    def clocks(self) -> tuple[ProposedClock, ...]:
        """One clock per camera (two for two cameras that share a key), in order of key."""
        if self.reckoning is None:
            return ()
        timeline = self.reckoning.timeline
        counted = sorted(zip(timeline.streams, _in_use(timeline), strict=True), key=lambda pair: pair[0].key)
        return tuple(_clock(stream, count) for stream, count in counted if count)

    @cached_property
    def questions(self) -> tuple[ClockQuestion, ...]:
        """What would settle the clocks that the pictures cannot settle; with key '': what is odd about a track."""
        if self.reckoning is None:
            return ()
        timeline = self.reckoning.timeline
        asked = [
            ClockQuestion(s.key, s.question, _pair(timeline, index))
            for index, (s, count) in enumerate(zip(timeline.streams, _in_use(timeline), strict=True))
            if s.question and not s.by_hand and count
        ]
        noted = [ClockQuestion(s.key, s.note) for s in timeline.streams if s.note]
        return (*asked, *noted, *(ClockQuestion("", note) for note in self.reckoning.whole.track_notes))

    @cached_property
    def ignored_fixes(self) -> tuple[Remark, ...]:
        """Positions that were written but not believed, with the reason."""
        if self.reckoning is None:
            return ()
        timeline = self.reckoning.timeline
        return tuple(
            Remark(timeline.columns.ids[row], reason) for row, reason in sorted(timeline.where.ignored)
        )

    @cached_property
    def times(self) -> Mapping[str, datetime]:
        """True time (aware UTC) of every grouped photo."""
        if self.reckoning is None:
            return {}
        timeline = self.reckoning.timeline
        return {timeline.columns.ids[row]: moment(timeline.true[row]) for row in timeline.order.tolist()}

    @cached_property
    def joins(self) -> tuple[ProposedJoin, ...]:
        """Every two neighbours in true time: the probability (0 to 1) that both show one find, and why."""
        return _joins(self.reckoning) if self.reckoning else ()

    @property
    def doubtful(self) -> tuple[ProposedJoin, ...]:
        """Joins that nobody settled and that may well be wrong, the least certain first."""
        return tuple(
            sorted((j for j in self.joins if is_doubtful(j)), key=lambda j: abs(j.probability - 0.5))
        )

    @cached_property
    def groups(self) -> tuple[ProposedGroup, ...]:
        """Photos proposed to show one find."""
        return _groups(self.reckoning) if self.reckoning else ()

    @cached_property
    def revisits(self) -> tuple[Revisit, ...]:
        """Pairs of `groups` that may show the same find, with reasons; nothing is joined unless the user says so."""
        return self.revisits_among(self.groups)

    def revisits_among(self, groups: Sequence[Grouped]) -> tuple[Revisit, ...]:
        """The same for other groups of these photos, given in order of start; indices are those of `groups`."""
        return _revisits(self.reckoning, groups) if self.reckoning else ()


def _left_out(r: Reckoning) -> tuple[Remark, ...]:
    lost = r.whole.lost
    if not lost and not r.held.aside:
        return ()
    in_group = {photo for members in r.held.groups.values() for photo in members}
    found: list[Remark] = []
    for name in dict.fromkeys(r.timeline.columns.ids):
        if name in r.held.aside:
            found.append(Remark(name, "Set aside by hand."))
        elif name in lost and name not in in_group:  # else it stays in its group, without a time
            found.append(Remark(name, lost[name]))
    return tuple(found)


def _in_use(timeline: Timeline) -> list[int]:
    """How many pictures of each stream are not set aside."""
    device = timeline.device[timeline.order]
    counts: list[int] = np.bincount(device[device >= 0], minlength=len(timeline.streams)).tolist()
    return counts


def _clock(stream: clocks.Stream, count: int) -> ProposedClock:
    return ProposedClock(
        camera_key=stream.key,
        offset_s=stream.offset,
        spread_s=stream.spread,
        basis=stream.basis,
        settled=stream.settled,
        by_hand=stream.by_hand,
        photos=count,
    )


def _pair(timeline: Timeline, index: int) -> tuple[str, str] | None:
    """A picture of this body and the nearest in time of a settled one: candidates for a pairing."""
    mine = timeline.order[timeline.device[timeline.order] == index]
    settled = [k for k, s in enumerate(timeline.streams) if s.settled and k != index]
    other = timeline.order[np.isin(timeline.device[timeline.order], settled)]
    if not len(mine) or not len(other):
        return None
    at = np.clip(np.searchsorted(timeline.true[other], timeline.true[mine]), 0, len(other) - 1)
    best = int(np.argmin(np.abs(timeline.true[other[at]] - timeline.true[mine])))
    return timeline.columns.ids[int(mine[best])], timeline.columns.ids[int(other[at[best]])]


def _joins(r: Reckoning) -> tuple[ProposedJoin, ...]:
    timeline, held = r.timeline, r.held
    settled: dict[tuple[str, str], bool] = {}
    for pairs, answer in ((held.together, True), (held.apart, False)):
        for a, b in pairs:
            settled[a, b] = settled[b, a] = answer
    home = {photo: name for name, members in held.groups.items() for photo in members}
    names = [timeline.columns.ids[row] for row in timeline.order.tolist()]
    seconds = np.diff(timeline.true[timeline.order]).tolist()
    x, y = timeline.where.x[timeline.order], timeline.where.y[timeline.order]
    metres = np.hypot(np.diff(x), np.diff(y)).tolist()
    person = timeline.person[timeline.order]
    others = (person[1:] != person[:-1]).tolist()
    probabilities = (1.0 / (1.0 + np.exp(-r.sorting.odds))).tolist()
    looked = r.photographers.looks if r.photographers is not None else None
    joins: list[ProposedJoin] = []
    for at, chance in enumerate(probabilities):
        one, two = names[at], names[at + 1]
        by_hand: bool | None = settled.get((one, two))
        if one in home or two in home:
            by_hand = home.get(one) == home.get(two)
        if by_hand is None:
            reason = _reason(seconds[at], metres[at], another=others[at])
            if looked is not None and abs(r.sorting.odds[at]) < _LOOK_TOLD:
                words = looked.words(*_sides(timeline.order, r.sorting.group, at))
                reason += f", {words}" if words else ""
            joins.append(ProposedJoin(one, two, chance, reason))
        else:
            joins.append(ProposedJoin(one, two, 1.0 if by_hand else 0.0, "Settled by hand.", by_hand))
    return tuple(joins)


def _sides(order: Ints, group: Ints, at: int) -> tuple[list[int], list[int]]:
    """Rows of up to three pictures on either side of the step after place `at`, of one group each."""
    first = [int(order[k]) for k in range(at, max(-1, at - 3), -1) if group[k] == group[at]]
    last = min(len(order), at + 4)
    return first, [int(order[k]) for k in range(at + 1, last) if group[k] == group[at + 1]]


def _reason(seconds: float, metres: float, *, another: bool) -> str:
    if seconds < 90:
        words = f"{seconds:.0f} s later"
    elif seconds < 5400:
        words = f"{seconds / 60:.0f} min later"
    else:
        words = f"{seconds / 3600:.1f} h later"
    if metres == metres:  # noqa: PLR0124 - NaN where one of the two has no fix
        words += f", {metres:.0f} m away"
    return words + ", another photographer" if another else words


def _groups(r: Reckoning) -> tuple[ProposedGroup, ...]:
    timeline = r.timeline
    ids = timeline.columns.ids
    order = timeline.order
    found = _timeless(r)
    if not len(order):
        return tuple(found)
    # Places in order of group, groups in order of their first picture.
    _, first, number = np.unique(r.sorting.group, return_index=True, return_inverse=True)
    rank = np.argsort(np.argsort(first))[number]
    by_group = np.argsort(rank, kind="stable")
    bounds = np.concatenate(([0], np.cumsum(np.bincount(rank)))).tolist()
    rows = order[by_group]
    found_places = _group_places(r, rows, bounds)
    names = [ids[row] for row in rows.tolist()]
    times = timeline.true[rows]
    home = {photo: name for name, members in r.held.groups.items() for photo in members}
    waiting = _without_time(r)
    for index, place in enumerate(found_places):
        low, high = bounds[index], bounds[index + 1]
        mine = tuple(names[low:high])
        held = home.get(mine[0], "")
        mine += waiting.get(held, ())
        found.append(ProposedGroup(mine, moment(times[low]), moment(times[high - 1]), place, held))
    return tuple(found)


def _without_time(r: Reckoning) -> dict[str, tuple[str, ...]]:
    """Photos of held groups that have no time: they stay where the user put them, after the others."""
    if not r.held.groups:
        return {}
    ids = r.timeline.columns.ids
    lost = {ids[row] for row in np.flatnonzero(np.isnan(r.timeline.true)).tolist()} - r.held.aside
    kept = {name: tuple(p for p in members if p in lost) for name, members in r.held.groups.items()}
    return {name: members for name, members in kept.items() if members}


def _timeless(r: Reckoning) -> list[ProposedGroup]:
    """Held groups of which no photo has a time."""
    timed = {r.timeline.columns.ids[row] for row in r.timeline.order.tolist()}
    return [
        ProposedGroup(members, held=name)
        for name, members in _without_time(r).items()
        if not timed.intersection(r.held.groups[name])
    ]


def _group_places(r: Reckoning, rows: Ints, bounds: Sequence[int]) -> list[Place | None]:
    timeline = r.timeline
    where = timeline.where
    x, y, error, device = where.x[rows], where.y[rows], where.error[rows], timeline.device[rows]
    starts = np.array(bounds[:-1])
    size = np.diff(bounds)
    middle = np.add.reduceat(timeline.true[rows], starts) / size
    doubt = np.add.reduceat(timeline.spread[rows], starts) / size
    known = np.add.reduceat((~np.isnan(x)).astype(np.int64), starts)
    tracked = np.add.reduceat(where.tracked[rows].astype(np.int64), starts)
    missing = np.flatnonzero(known == 0)
    around: dict[int, tuple[Floats, Floats, Floats]] = {}
    if len(missing):
        path = places.trail(timeline.true, where, r.whole.tracks)
        px, py, pe = places.interpolate(path, middle[missing], doubt[missing])
        for k, index in enumerate(missing.tolist()):
            if not np.isnan(px[k]):
                around[index] = (px[k : k + 1], py[k : k + 1], pe[k : k + 1])
    found: list[Place | None] = []
    for index in range(len(starts)):
        low, high = bounds[index], bounds[index + 1]
        if known[index]:
            words = "from the track" if tracked[index] == known[index] else ""
            found.append(
                places.combine(
                    x[low:high], y[low:high], error[low:high], device[low:high], where.origin, words
                )
            )
        elif index in around:
            found.append(places.combine(*around[index], device[low : low + 1], where.origin, _AROUND))
        else:
            found.append(None)
    return found


def _revisits(r: Reckoning, groups: Sequence[Grouped]) -> tuple[Revisit, ...]:
    timeline = r.timeline
    n = len(groups)
    start = np.array([g.start.timestamp() if g.start else np.nan for g in groups])
    end = np.array([g.end.timestamp() if g.end else np.nan for g in groups])
    latitude, longitude, error = np.full(n, np.nan), np.full(n, np.nan), np.full(n, np.nan)
    for index, group in enumerate(groups):
        if group.place is not None:
            latitude[index] = group.place.position.latitude
            longitude[index] = group.place.position.longitude
            error[index] = group.place.uncertainty_m
    x, y = to_plane(latitude, longitude, timeline.where.origin)
    return tuple(find_revisits(start, end, x, y, error, _look_again(r, groups)))


def _look_again(r: Reckoning, groups: Sequence[Grouped]) -> Look | None:
    """How the pictures of two groups look beside each other, where looks tell something in this foray."""
    looks = r.photographers.looks if r.photographers is not None else None
    if looks is None:
        return None
    row_of = {name: row for row, name in enumerate(r.timeline.columns.ids)}
    rows: dict[int, list[int]] = {}

    def look(earlier: int, later: int) -> tuple[float, str]:
        for index in (earlier, later):
            if index not in rows:
                rows[index] = [row_of[name] for name in groups[index].photos if name in row_of]
        return looks.again(rows[earlier], rows[later])

    return look
