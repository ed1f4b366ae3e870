"""What the Sort page shows, read from the records in one go and kept as values."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from catalog_gui.domain.foray import Clock, Foray, Group, Join, SameAs, Track
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Determination, Specimen
from catalog_gui.geo.distance import haversine_m
from catalog_gui.grouping.proposal import is_doubtful
from catalog_gui.workflows.ports import Work
from catalog_gui.workflows.sorting import true_time


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the trail: a group, what she made of it, and the walk that led to it.

    `walk_s` and `walk_m` are from the row above, None where unknown. `join` is the boundary between the
    last photo above and the first here, None for the first row. `inner` are doubtful joins inside.
    """

    group: Group
    photos: tuple[Photo, ...]
    specimen: Specimen | None = None
    name: str = ""
    walk_s: float | None = None
    walk_m: float | None = None
    join: Join | None = None
    inner: tuple[Join, ...] = ()
    offer: SameAs | None = None
    offer_words: str = ""

    @property
    def doubtful(self) -> bool:
        """Whether the boundary above, or one inside, wants looking at."""
        return bool(self.inner) or (self.join is not None and is_doubtful(self.join))


@dataclass(frozen=True, slots=True)
class SortState:
    """A foray as Sort shows it. `times` are concluded moments by photo id, aware UTC."""

    foray: Foray | None = None
    rows: tuple[Row, ...] = ()
    tray: tuple[Photo, ...] = ()
    clocks: tuple[Clock, ...] = ()
    tracks: tuple[Track, ...] = ()
    times: dict[str, datetime] = field(default_factory=dict)
    photos: dict[str, Photo] = field(default_factory=dict)
    joins: tuple[Join, ...] = ()

    @property
    def doubtful(self) -> tuple[Join, ...]:
        """Joins to look at, the least certain first."""
        return tuple(
            sorted((join for join in self.joins if is_doubtful(join)), key=lambda j: abs(j.probability - 0.5))
        )

    def row_of(self, photo_id: str) -> int:
        """The index of the row that shows this photo, or -1."""
        photo = self.photos.get(photo_id)
        if photo is None or not photo.group_id:
            return -1
        return next((i for i, row in enumerate(self.rows) if row.group.id == photo.group_id), -1)


def read_state(work: Work, foray_id: str) -> SortState:
    """Everything about one foray; an empty state where there is none."""
    foray = work.forays.get(foray_id) if foray_id else None
    if foray is None:
        return SortState()
    photos = {photo.id: photo for photo in work.photos.where(foray_id=foray_id)}
    clocks = work.clocks.where(foray_id=foray_id)
    by_camera = {clock.camera_key: clock for clock in clocks}
    times = {
        photo.id: moment for photo in photos.values() if (moment := true_time(photo, by_camera)) is not None
    }
    groups = sorted(
        work.groups.where(foray_id=foray_id),
        key=lambda g: (g.start is None, g.start.timestamp() if g.start else 0.0, g.id),
    )
    specimens = {
        specimen.id: specimen
        for specimen in work.specimens.where(id=tuple({g.specimen_id for g in groups if g.specimen_id}))
    }
    names = current_names(work, tuple(specimens))
    joins = work.joins.where(foray_id=foray_id)
    offers = {link.group: link for link in work.same_as.where(foray_id=foray_id) if link.accepted is None}
    rows = _rows(groups, photos, specimens, names, joins, offers)
    placed = {photo.id for row in rows for photo in row.photos}
    tray = tuple(sorted((p for p in photos.values() if p.id not in placed), key=lambda p: (p.aside, p.path)))
    return SortState(foray, rows, tray, clocks, work.tracks.where(foray_id=foray_id), times, photos, joins)


def current_names(work: Work, specimen_ids: tuple[str, ...]) -> dict[str, str]:
    """The name each specimen goes by now: the determination that nothing replaces."""
    by_specimen: dict[str, list[Determination]] = {}
    for given in work.determinations.where(specimen_id=specimen_ids) if specimen_ids else ():
        by_specimen.setdefault(given.specimen_id, []).append(given)
    names: dict[str, str] = {}
    for specimen_id, given_names in by_specimen.items():
        replaced = {given.replaces for given in given_names}
        standing = [given for given in given_names if given.id not in replaced]
        if standing:
            names[specimen_id] = standing[-1].display_name
    return names


def _rows(
    groups: list[Group],
    photos: dict[str, Photo],
    specimens: dict[str, Specimen],
    names: dict[str, str],
    joins: tuple[Join, ...],
    offers: dict[str, SameAs],
) -> tuple[Row, ...]:
    rows: list[Row] = []
    by_after: dict[str, Join] = {join.after: join for join in joins}
    number_of = {group.id: number for number, group in enumerate(groups, 1)}
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
        offer = offers.get(group.id)
        earlier = next((g for g in groups if offer is not None and g.id == offer.earlier_group), None)
        words = ""
        if earlier is not None:
            known = specimens.get(earlier.specimen_id)
            words = known.number if known is not None else f"group {number_of[earlier.id]}"
        rows.append(
            Row(
                group,
                members,
                specimens.get(group.specimen_id),
                names.get(group.specimen_id, ""),
                walk_s,
                walk_m,
                by_after.get(members[0].id) if before is not None else None,
                tuple(
                    join
                    for photo in members[1:]
                    if (join := by_after.get(photo.id)) is not None and is_doubtful(join)
                ),
                offer if words else None,
                words,
            )
        )
        before = group
    return tuple(rows)
