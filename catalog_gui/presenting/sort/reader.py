"""Reads a foray for the Sort page, off the GUI thread; after a change only what moved is worked out again."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

import numpy as np

from catalog_gui.domain.foray import Clock, Group, Join, SameAs, Track
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Specimen
from catalog_gui.geo.distance import haversine_m
from catalog_gui.geo.plane import LocalPlane
from catalog_gui.geo.position import Position
from catalog_gui.grouping import is_doubtful
from catalog_gui.presenting.sort.state import LaneFacts, PlanFacts, PlanStone, SortState, TrailRow
from catalog_gui.presenting.spots import Spots
from catalog_gui.presenting.words import place_words
from catalog_gui.settings import Preferences
from catalog_gui.workflows.determine import current_names
from catalog_gui.workflows.foray_memory import ForayMemory
from catalog_gui.workflows.ports import Surroundings, UnitOfWork
from catalog_gui.workflows.regroup import explain
from catalog_gui.workflows.sorting import true_time


class SortReader:
    """Reads a foray whole the first time, then only what changed. Lives on the records lane.

    Rows, lanes and plans of a state that did not change are the same objects in the next one.
    """

    def __init__(self, surroundings: Surroundings, memory: ForayMemory | None = None) -> None:
        self._surroundings = surroundings
        self._memory = memory or ForayMemory()
        self._last = SortState()
        self._grid = ""
        self._names: dict[str, str] = {}
        self._names_of: tuple[object, ...] = ()

    def read(self, work: UnitOfWork, foray_id: str, preferences: Preferences | None = None) -> SortState:
        """The present state of a foray, an empty one where there is none; places in the preferred grid."""
        shown = preferences or Preferences()
        before, self._last = self._last, SortState()  # a question that fails leaves nothing to build on
        memory = self._memory
        memory.catch_up(work, foray_id)
        if memory.foray is None:
            return self._last
        if not memory.knows_bodies:
            explain(work, foray_id, self._surroundings, memory)
        if before.foray is None or before.foray.id != foray_id:
            before = SortState()
        photos = memory.photos.values
        moved = {key for key, photo in photos.items() if before.photos.get(key) is not photo}
        still = len(photos) == len(before.photos) and not any(
            _moved_in_time(photos[key], before.photos.get(key)) for key in moved
        )
        clocks = tuple(memory.clocks.values.values())
        keys = memory.clock_keys
        if still and clocks == before.clocks and keys == before.clock_keys:
            times, lanes, middle = before.times, before.lanes, before.middle
        else:
            times = _times(photos.values(), clocks, keys)
            lanes = _lanes(clocks, photos, times, keys)
            moments = sorted(times.values())
            middle = moments[len(moments) // 2] if moments else None
        groups = sorted(
            memory.groups.values.values(),
            key=lambda g: (g.start is None, g.start.timestamp() if g.start else 0.0, g.id),
        )
        joins = tuple(memory.joins.values.values())
        join_at = {join.after: join for join in joins}
        if self._grid != shown.grid:
            self._grid, before = shown.grid, SortState()
        touched = moved.union(
            (key for key, join in join_at.items() if before.join_at.get(key) is not join),
            before.join_at.keys() - join_at.keys(),
        )
        offered = [link for link in memory.same_as.values.values() if link.accepted is None]
        rows = _rows(
            groups,
            photos,
            memory.specimens.values,
            self._present_names(work),
            join_at,
            {link.group: link for link in sorted(offered, key=lambda link: link.probability)},
            before.rows,
            touched,
            shown,
        )
        where = {photo.id: (r, c) for r, row in enumerate(rows) for c, photo in enumerate(row.photos)}
        tray = sorted((p for key, p in photos.items() if key not in where), key=lambda p: (p.aside, p.path))
        tracks = tuple(memory.tracks.values.values())
        self._last = SortState(
            memory.foray,
            rows,
            tuple(tray),
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
            lanes=lanes,
            plan=_plan(rows, photos, moved, before, tracks),
            tray_key=tuple((photo.id, photo.aside) for photo in tray),
            middle=middle,
            clock_keys=keys,
        )
        return self._last

    def _present_names(self, work: UnitOfWork) -> dict[str, str]:
        specimen_ids = tuple(self._memory.specimens.values)
        wanted = (self._memory.names_seen, specimen_ids)
        if wanted != self._names_of:
            self._names = current_names(work, specimen_ids)
            self._names_of = wanted
        return self._names


def read_state(
    work: UnitOfWork, foray_id: str, surroundings: Surroundings, preferences: Preferences | None = None
) -> SortState:
    """Everything about one foray, read afresh."""
    return SortReader(surroundings).read(work, foray_id, preferences)


def _moved_in_time(photo: Photo, before: Photo | None) -> bool:
    return before is None or (photo.written, photo.camera) != (before.written, before.camera)


def _times(photos: Iterable[Photo], clocks: Sequence[Clock], keys: Mapping[str, str]) -> dict[str, datetime]:
    by_camera = {clock.camera_key: clock for clock in clocks}
    found = ((photo.id, true_time(photo, by_camera, keys)) for photo in photos)
    return {key: moment for key, moment in found if moment is not None}


def _lanes(
    clocks: Sequence[Clock],
    photos: Mapping[str, Photo],
    times: Mapping[str, datetime],
    keys: Mapping[str, str],
) -> tuple[LaneFacts, ...]:
    by_camera: dict[str, list[tuple[float, str]]] = {clock.camera_key: [] for clock in clocks}
    for photo_id, moment in times.items():
        ticks = by_camera.get(keys.get(photo_id, photos[photo_id].camera.key))
        if ticks is not None:
            ticks.append((moment.timestamp(), photo_id))
    lanes = []
    for clock in clocks:
        ticks = sorted(by_camera[clock.camera_key])
        seconds = np.array([second for second, _ in ticks], dtype=np.float64)
        lanes.append(LaneFacts(clock, seconds, tuple(photo_id for _, photo_id in ticks)))
    return tuple(lanes)


def _rows(
    groups: Sequence[Group],
    photos: Mapping[str, Photo],
    specimens: Mapping[str, Specimen],
    names: Mapping[str, str],
    by_after: Mapping[str, Join],
    offers: Mapping[str, SameAs],
    old_rows: Sequence[TrailRow],
    touched: set[str],
    preferences: Preferences,
) -> tuple[TrailRow, ...]:
    """The rows; where nothing about one and its boundary changed, that of `old_rows`.

    `touched` are photos that changed, or the join before them.
    """
    group_of = {group.id: (number, group) for number, group in enumerate(groups, 1)}
    old_row = {row.group.id: row for row in old_rows}
    old_above = {late.group.id: early.group for early, late in itertools.pairwise(old_rows)}

    def named(group_id: str) -> str:
        number, group = group_of.get(group_id, (0, None))
        if group is None:
            return ""
        known = specimens.get(group.specimen_id)
        return known.number if known is not None else f"group {number}"

    rows: list[TrailRow] = []
    above: Group | None = None
    for group in groups:
        old = old_row.get(group.id)
        if old is not None and not (old.group is group and touched.isdisjoint(group.photos)):
            old = None
        members = old.photos if old is not None else tuple(photos[k] for k in group.photos if k in photos)
        if not members:
            continue
        join = by_after.get(members[0].id) if above is not None else None
        joined = photos.get(join.before) if join is not None and is_doubtful(join) else None
        join_words = named(joined.group_id) if joined is not None else ""
        offer = offers.get(group.id)
        offer_words = named(offer.earlier_group) if offer is not None else ""
        specimen, name = specimens.get(group.specimen_id), names.get(group.specimen_id, "")
        if (
            old is None
            or above is not old_above.get(group.id)
            or old.specimen is not specimen
            or (old.name, old.join_words, old.offer_words) != (name, join_words, offer_words)
            or (offer is not old.offer and bool(offer_words))
        ):
            inside = (by_after[photo.id] for photo in members[1:] if photo.id in by_after)
            old = TrailRow(
                group,
                members,
                specimen,
                name,
                old.place if old is not None else place_words(group.place, preferences),
                *_walk(above, group),
                join,
                tuple(filter(is_doubtful, inside)),
                join_words,
                offer if offer_words else None,
                offer_words,
            )
        rows.append(old)
        above = group
    return tuple(rows)


def _walk(before: Group | None, group: Group) -> tuple[float | None, float | None]:
    walk_s = walk_m = None
    if before is not None and group.start is not None and before.end is not None:
        walk_s = (group.start - before.end).total_seconds()
    if before is not None and group.place is not None and before.place is not None:
        a, b = before.place.position, group.place.position
        walk_m = haversine_m(a.latitude, a.longitude, b.latitude, b.longitude)
    return walk_s, walk_m


def _plan(
    rows: Sequence[TrailRow],
    photos: Mapping[str, Photo],
    moved: set[str],
    before: SortState,
    tracks: tuple[Track, ...],
) -> PlanFacts:
    """The foray on a plane; what lay there before keeps its spot."""
    placed = [
        (number, row, row.group.place) for number, row in enumerate(rows, 1) if row.group.place is not None
    ]
    old = before.plan
    same_fixes = (
        old.plane is not None
        and len(photos) == len(before.photos)
        and all(key in before.photos and photos[key].fix == before.photos[key].fix for key in moved)
    )
    fixed = [] if same_fixes else [p.fix.position for p in photos.values() if p.fix is not None]
    without = len(rows) - len(placed)
    plane = old.plane
    if plane is None:
        starts = [Position(t.latitudes[0], t.longitudes[0]) for t in tracks if t.times]
        known = [place.position for _, _, place in placed] or fixed or starts
        if not known:
            return PlanFacts(without=without)
        plane = LocalPlane(sorted(known, key=lambda p: p.latitude)[len(known) // 2])
    spot_of = {before.rows[stone.number - 1].group.place: (stone.x, stone.y) for stone in old.stones}
    fresh = [place for _, _, place in placed if place not in spot_of]
    xs, ys = plane.to_plane([p.position.latitude for p in fresh], [p.position.longitude for p in fresh])
    spot_of.update(zip(fresh, zip(xs, ys, strict=True), strict=True))
    stones = tuple(
        PlanStone(row.group.id, number, *spot_of[place], place.uncertainty_m, row.specimen is not None)
        for number, row, place in placed
    )
    fixes, walks = old.fixes, old.walks
    if not same_fixes:
        fixes = _spots(*plane.to_plane([p.latitude for p in fixed], [p.longitude for p in fixed]))
    if old.plane is None or tracks != before.tracks:
        walks = tuple(_spots(*plane.to_plane(track.latitudes, track.longitudes)) for track in tracks)
    if old.plane is plane and stones == old.stones and fixes is old.fixes and walks is old.walks:
        return old
    return PlanFacts(stones, fixes, walks, without, plane)


def _spots(x: Iterable[float], y: Iterable[float]) -> Spots:
    return np.column_stack((np.array(list(x), np.float64), np.array(list(y), np.float64)))
