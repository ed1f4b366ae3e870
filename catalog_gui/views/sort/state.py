"""What the Sort page shows, read from the records in one go and kept as values."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from catalog_gui.domain.foray import Clock, Foray, Group, Join, SameAs, Track
from catalog_gui.domain.ledger import Changed
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Specimen
from catalog_gui.geo.distance import haversine_m
from catalog_gui.geo.plane import LocalPlane
from catalog_gui.geo.position import Position
from catalog_gui.grouping.proposal import is_doubtful
from catalog_gui.workflows.determine import present_by_specimen
from catalog_gui.workflows.ports import Shelf, Work
from catalog_gui.workflows.sorting import true_time

Spots = npt.NDArray[np.float64]
Seconds = npt.NDArray[np.float64]
V = TypeVar("V", Photo, Group, Join)

MANY = 500
"""When a change touched more than this of a kind, all of the kind is read again: that is faster."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the trail: a group, what she made of it, and the walk that led to it.

    `walk_s` and `walk_m` are from the row above, None where unknown. `join` is the boundary between the
    first photo here and the one before it in time, None for the first row; `join_words` names the row of
    that one. `inner` are doubtful joins inside.
    """

    group: Group
    photos: tuple[Photo, ...]
    specimen: Specimen | None = None
    name: str = ""
    walk_s: float | None = None
    walk_m: float | None = None
    join: Join | None = None
    inner: tuple[Join, ...] = ()
    join_words: str = ""
    offer: SameAs | None = None
    offer_words: str = ""

    @property
    def doubtful(self) -> bool:
        """Whether the boundary above, or one inside, wants looking at."""
        return bool(self.inner) or (self.join is not None and is_doubtful(self.join))


@dataclass(frozen=True, slots=True)
class Stone:
    """A group on the plan: `x`, `y` in m east and north of the plan's middle, its uncertainty in m."""

    group_id: str
    number: int
    x: float
    y: float
    spread: float
    accepted: bool


@dataclass(frozen=True, slots=True, eq=False)
class PlanFacts:
    """The foray on a local plane in m: groups, written fixes (n x 2) and tracks (n x 2 each)."""

    stones: tuple[Stone, ...] = ()
    fixes: Spots = field(default_factory=lambda: np.zeros((0, 2)))
    walks: tuple[Spots, ...] = ()
    without: int = 0  # groups that have no place


@dataclass(frozen=True, slots=True, eq=False)
class LaneFacts:
    """One camera's pictures on the common time: `seconds` (UTC, ascending) and the photo of each."""

    clock: Clock
    seconds: Seconds
    photos: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class SortState:
    """A foray as Sort shows it. `times` are concluded moments by photo id, aware UTC.

    All that takes a walk through thousands of pictures is worked out here, off the GUI thread:
    `where` (row and place in it of each photo of the trail), `order` (their ids from top to bottom),
    `join_at` (the boundary before each photo), `doubtful` (least certain first), `lanes` and `plan`.
    """

    foray: Foray | None = None
    rows: tuple[Row, ...] = ()
    tray: tuple[Photo, ...] = ()
    clocks: tuple[Clock, ...] = ()
    tracks: tuple[Track, ...] = ()
    times: dict[str, datetime] = field(default_factory=dict)
    photos: dict[str, Photo] = field(default_factory=dict)
    joins: tuple[Join, ...] = ()
    where: dict[str, tuple[int, int]] = field(default_factory=dict)
    order: tuple[str, ...] = ()
    firsts: tuple[int, ...] = ()
    row_of_group: dict[str, int] = field(default_factory=dict)
    join_at: dict[str, Join] = field(default_factory=dict)
    doubtful: tuple[Join, ...] = ()
    lanes: tuple[LaneFacts, ...] = ()
    plan: PlanFacts = field(default_factory=PlanFacts)
    tray_key: tuple[tuple[str, str], ...] = ()
    middle: datetime | None = None

    def row_of(self, photo_id: str) -> int:
        """The index of the row that shows this photo, or -1."""
        return self.where.get(photo_id, (-1, 0))[0]

    def place_of(self, photo_id: str) -> int:
        """Where this photo stands in `order`, or -1."""
        at = self.where.get(photo_id)
        return self.firsts[at[0]] + at[1] if at is not None else -1

    @property
    def offers(self) -> tuple[Row, ...]:
        """Rows with an unanswered offer, from the top."""
        return tuple(row for row in self.rows if row.offer is not None)


class SortReader:
    """Reads a foray whole the first time, then only what changed. Lives on the records lane.

    Every change must be told to it, in order, unless None is told later on.
    """

    def __init__(self) -> None:
        self._last: SortState | None = None

    def read(self, work: Work, foray_id: str, changed: Changed | None) -> SortState:
        """The present state; `changed` is what one change touched, or None for everything."""
        before, self._last = self._last, None  # a question that fails leaves nothing to build on
        self._last = read_state(work, foray_id, before, changed)
        return self._last


def read_state(
    work: Work, foray_id: str, before: SortState | None = None, changed: Changed | None = None
) -> SortState:
    """Everything about one foray; an empty state where there is none.

    With the state `before` a change and what the change touched, only that is read again.
    """
    foray = work.forays.get(foray_id) if foray_id else None
    if foray is None:
        return SortState()
    if before is None or before.foray is None or before.foray.id != foray_id:
        changed = None
    photos = _fresh(work.photos, foray_id, "photos", before.photos if before else {}, changed)
    kept_joins = {join.id: join for join in before.joins} if before else {}
    joins = tuple(_fresh(work.joins, foray_id, "joins", kept_joins, changed).values())
    kept_groups = {row.group.id: row.group for row in before.rows} if before else {}
    groups = sorted(
        _fresh(work.groups, foray_id, "groups", kept_groups, changed).values(),
        key=lambda g: (g.start is None, g.start.timestamp() if g.start else 0.0, g.id),
    )
    clocks = work.clocks.where(foray_id=foray_id)
    by_camera = {clock.camera_key: clock for clock in clocks}
    times = {
        photo.id: moment for photo in photos.values() if (moment := true_time(photo, by_camera)) is not None
    }
    specimens = {
        specimen.id: specimen
        for specimen in work.specimens.where(id=tuple({g.specimen_id for g in groups if g.specimen_id}))
    }
    names = current_names(work, tuple(specimens))
    unanswered = work.same_as.where(foray_id=foray_id, accepted=None)
    offers = {link.group: link for link in sorted(unanswered, key=lambda link: link.probability)}
    join_at = {join.after: join for join in joins}
    rows = _rows(groups, photos, specimens, names, join_at, offers)
    where = {photo.id: (r, c) for r, row in enumerate(rows) for c, photo in enumerate(row.photos)}
    tray = tuple(sorted((p for p in photos.values() if p.id not in where), key=lambda p: (p.aside, p.path)))
    tracks = work.tracks.where(foray_id=foray_id)
    moments = sorted(times.values())
    return SortState(
        foray,
        rows,
        tray,
        clocks,
        tracks,
        times,
        photos,
        joins,
        where=where,
        order=tuple(where),
        firsts=tuple(itertools.accumulate((len(row.photos) for row in rows), initial=0)),
        row_of_group={row.group.id: index for index, row in enumerate(rows)},
        join_at=join_at,
        doubtful=tuple(sorted(filter(is_doubtful, joins), key=lambda join: abs(join.probability - 0.5))),
        lanes=_lanes(clocks, photos, times),
        plan=_plan(rows, photos, tracks),
        tray_key=tuple((photo.id, photo.aside) for photo in tray),
        middle=moments[len(moments) // 2] if moments else None,
    )


def _fresh(
    shelf: Shelf[V], foray_id: str, name: str, kept: Mapping[str, V], changed: Changed | None
) -> dict[str, V]:
    """The values of a foray by id: those that were read before, and again those that a change touched."""
    touched = changed.ids.get(name, frozenset()) if changed is not None else None
    if touched is None or len(touched) > MANY:
        return {value.id: value for value in shelf.where(foray_id=foray_id)}
    values = dict(kept)
    if touched:
        found = {value.id: value for value in shelf.where(id=tuple(touched), foray_id=foray_id)}
        for key in touched:
            if key not in found:
                values.pop(key, None)
        values.update(found)
    return values


def _lanes(
    clocks: tuple[Clock, ...], photos: dict[str, Photo], times: dict[str, datetime]
) -> tuple[LaneFacts, ...]:
    by_camera: dict[str, list[tuple[float, str]]] = {clock.camera_key: [] for clock in clocks}
    for photo_id, moment in times.items():
        ticks = by_camera.get(photos[photo_id].camera.key)
        if ticks is not None:
            ticks.append((moment.timestamp(), photo_id))
    lanes = []
    for clock in clocks:
        ticks = sorted(by_camera[clock.camera_key])
        seconds = np.array([second for second, _ in ticks], dtype=np.float64)
        lanes.append(LaneFacts(clock, seconds, tuple(photo_id for _, photo_id in ticks)))
    return tuple(lanes)


def _plan(rows: tuple[Row, ...], photos: dict[str, Photo], tracks: tuple[Track, ...]) -> PlanFacts:
    placed = [
        (number, row, row.group.place) for number, row in enumerate(rows, 1) if row.group.place is not None
    ]
    fixed = [photo.fix.position for photo in photos.values() if photo.fix is not None and photo.group_id]
    tracked = [
        Position(lat, lon)
        for track in tracks
        for lat, lon in zip(track.latitudes[:1], track.longitudes[:1], strict=True)
    ]
    known = [place.position for _, _, place in placed] or fixed or tracked
    without = len(rows) - len(placed)
    if not known:
        return PlanFacts(without=without)
    plane = LocalPlane(sorted(known, key=lambda p: p.latitude)[len(known) // 2])
    xs, ys = plane.to_plane(
        [place.position.latitude for _, _, place in placed],
        [place.position.longitude for _, _, place in placed],
    )
    stones = tuple(
        Stone(row.group.id, number, x, y, place.uncertainty_m, row.specimen is not None)
        for (number, row, place), x, y in zip(placed, xs, ys, strict=True)
    )
    fixes = _spots(*plane.to_plane([p.latitude for p in fixed], [p.longitude for p in fixed]))
    walks = tuple(_spots(*plane.to_plane(track.latitudes, track.longitudes)) for track in tracks)
    return PlanFacts(stones, fixes, walks, without)


def _spots(x: Iterable[float], y: Iterable[float]) -> Spots:
    return np.column_stack((np.fromiter(x, np.float64), np.fromiter(y, np.float64)))


def current_names(work: Work, specimen_ids: tuple[str, ...]) -> dict[str, str]:
    """The name each specimen goes by now: the determination that nothing replaces."""
    given = work.determinations.where(specimen_id=specimen_ids) if specimen_ids else ()
    return {key: one.display_name for key, one in present_by_specimen(given).items()}


def _rows(
    groups: list[Group],
    photos: dict[str, Photo],
    specimens: dict[str, Specimen],
    names: dict[str, str],
    by_after: dict[str, Join],
    offers: dict[str, SameAs],
) -> tuple[Row, ...]:
    rows: list[Row] = []
    number_of = {group.id: number for number, group in enumerate(groups, 1)}
    group_of = {group.id: group for group in groups}

    def named(other: Group | None) -> str:
        if other is None:
            return ""
        known = specimens.get(other.specimen_id)
        return known.number if known is not None else f"group {number_of[other.id]}"

    before: Group | None = None
    for group in groups:
        members = tuple(photos[key] for key in group.photos if key in photos)
        if not members:
            continue
        walk_s = walk_m = None
        if before is not None:
            if group.start is not None and before.end is not None:
                walk_s = (group.start - before.end).total_seconds()
            if group.place is not None and before.place is not None:
                a, b = before.place.position, group.place.position
                walk_m = haversine_m(a.latitude, a.longitude, b.latitude, b.longitude)
        join = by_after.get(members[0].id) if before is not None else None
        joined = photos.get(join.before) if join is not None else None
        offer = offers.get(group.id)
        earlier = group_of.get(offer.earlier_group) if offer is not None else None

        words = named(earlier)
        rows.append(
            Row(
                group,
                members,
                specimens.get(group.specimen_id),
                names.get(group.specimen_id, ""),
                walk_s,
                walk_m,
                join,
                tuple(
                    join
                    for photo in members[1:]
                    if (join := by_after.get(photo.id)) is not None and is_doubtful(join)
                ),
                named(group_of.get(joined.group_id)) if joined is not None else "",
                offer if words else None,
                words,
            )
        )
        before = group
    return tuple(rows)
