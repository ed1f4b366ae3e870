"""What is known of one foray between two changes, so that a correction reads only what moved."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Generic, Protocol, TypeVar

from catalog_gui.domain.foray import NOT_A_SPECIMEN, Clock, Foray, Group, Join, SameAs, Track
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Specimen
from catalog_gui.grouping import Held, PhotoRows, Proposal
from catalog_gui.grouping.by_clock import photos_by_clock
from catalog_gui.workflows.ports import Repository, UnitOfWork

MANY = 500
"""When a change touched more than this of a kind, all of the kind is read again: that is faster."""


class Kept(Protocol):
    """A value of the records."""

    @property
    def id(self) -> str: ...


V = TypeVar("V", bound=Kept)


class Rows(Generic[V]):
    """The values of one kind in one foray, by id. `values` is never changed in place: it may be handed on."""

    def __init__(self) -> None:
        self.values: Mapping[str, V] = {}
        self._unsure: set[str] = set()

    def catch_up(
        self, repository: Repository[V], foray_id: str, touched: Iterable[str] | None
    ) -> list[V | None]:
        """Read again what was touched (None: everything); what was there before of all that differs now.

        A value that did not change stays the same object.
        """
        known: Mapping[str, V] = self.values
        # What a step had not saved may have been taken back since: it is read once more.
        wanted = None if touched is None else self._unsure.union(touched)
        self._unsure = set(touched or ())
        if wanted is not None and not wanted:
            return []
        if wanted is None or len(wanted) > MANY:
            found = {value.id: value for value in repository.where(foray_id=foray_id)}
            values = dict(found)  # in the order of the records
            wanted = {*found, *known}
        else:
            found = {value.id: value for value in repository.where(id=tuple(wanted), foray_id=foray_id)}
            values = {key: value for key, value in known.items() if key in found or key not in wanted}
        for key, value in found.items():
            values[key] = known[key] if known.get(key) == value else value
        self.values = values
        return [known.get(key) for key in wanted if known.get(key) is not values.get(key)]

    def change(self, repository: Repository[V], put: Iterable[V], remove: Iterable[str] = ()) -> None:
        """Change the records, and know of it."""
        fresh, gone = {value.id: value for value in put}, list(remove)
        repository.remove(*gone)
        repository.put(*fresh.values())
        if fresh or gone:
            self.values = {**{key: value for key, value in self.values.items() if key not in gone}, **fresh}
            self._unsure.update(fresh, gone)


class ForayMemory:
    """The rows of one foray as the records have them, and the proposal last reckoned from them.

    `catch_up` before every use: the records themselves say what changed since, whoever changed it. For one
    thread; it may be thrown away at any time.
    """

    def __init__(self) -> None:
        self._forget("")

    def _forget(self, foray_id: str) -> None:
        self.foray: Foray | None = None
        self.photos: Rows[Photo] = Rows()
        self.groups: Rows[Group] = Rows()
        self.joins: Rows[Join] = Rows()
        self.clocks: Rows[Clock] = Rows()
        self.same_as: Rows[SameAs] = Rows()
        self.tracks: Rows[Track] = Rows()
        self.specimens: Rows[Specimen] = Rows()
        self.rows = PhotoRows()  # what sorting reads of the photos, packed once
        self.names_seen = 0
        """Counts up when determinations changed, of whatever specimen."""
        self._foray_id = foray_id
        self._position: object = None
        self._seen = 0  # counts up when pictures or tracks changed in what a proposal is reckoned from
        self._cameras: set[str] = set()
        self._proposal: Proposal | None = None
        self._reckoned_from: tuple[object, ...] = ()
        self.clock_keys: Mapping[str, str] = {}
        """Photo id to clock, for the photos of a second body: those do not go by the key of their camera."""

    def catch_up(self, work: UnitOfWork, foray_id: str) -> None:
        """Read what changed since the last time, or everything where that cannot be told."""
        if foray_id != self._foray_id:
            self._forget(foray_id)
        touched = work.changed_since(self._position) if self._position is not None else None
        self._position = None  # what fails half way leaves nothing to build on
        self.foray = work.forays.get(foray_id) if foray_id else None
        if self.foray is None:
            return

        def ids(name: str) -> Iterable[str] | None:
            return touched.get(name, ()) if touched is not None else None

        moved = self.photos.catch_up(work.photos, foray_id, ids("photos"))
        now = self.photos.values
        if any(photo is None or not _alike(photo, now.get(photo.id)) for photo in moved):
            self._seen += 1
            self._cameras = {camera.key for camera in {photo.camera for photo in now.values()}}
        if self.tracks.catch_up(work.tracks, foray_id, ids("tracks")):
            self._seen += 1
        self.groups.catch_up(work.groups, foray_id, ids("groups"))
        self.joins.catch_up(work.joins, foray_id, ids("joins"))
        self.clocks.catch_up(work.clocks, foray_id, ids("clocks"))
        self.same_as.catch_up(work.same_as, foray_id, ids("same_as"))
        self.specimens.catch_up(work.specimens, foray_id, ids("specimens"))
        if touched is None or "determinations" in touched:
            self.names_seen += 1
        self._position = work.position()

    @property
    def held(self) -> Held:
        """All that is fixed by hand."""
        return Held(
            clocks={
                clock.camera_key: clock.offset_s for clock in self.clocks.values.values() if clock.by_hand
            },
            groups={
                group.id: group.photos
                for group in self.groups.values.values()
                if group.held or group.specimen_id
            },
            together=tuple((j.before, j.after) for j in self.joins.values.values() if j.settled is True),
            apart=tuple((j.before, j.after) for j in self.joins.values.values() if j.settled is False),
            aside=frozenset(p.id for p in self.photos.values.values() if p.aside == NOT_A_SPECIMEN),
        )

    def proposal(self, held: Held) -> Proposal | None:
        """The last proposal, if its clocks, times and places still are those of these rows; else None."""
        return self._proposal if self._reckoned_from == self._ground(held) else None

    def keep_proposal(self, proposal: Proposal, held: Held) -> None:
        """Remember what was reckoned from the present rows."""
        self._proposal, self._reckoned_from = proposal, self._ground(held)
        if all(clock.camera_key in self._cameras for clock in proposal.clocks):
            self.clock_keys = {}
            return
        self.clock_keys = {
            photo: key
            for key, photos in photos_by_clock(proposal).items()
            for photo in (() if key in self._cameras else photos)
        }

    @property
    def knows_bodies(self) -> bool:
        """Whether it is known which photos go by which clock: only a proposal tells second bodies apart."""
        told = self._cameras.union(self.clock_keys.values())
        return all(clock.camera_key in told for clock in self.clocks.values.values())

    def _ground(self, held: Held) -> tuple[object, ...]:
        zone = self.foray.time_zone if self.foray is not None else ""
        return self._foray_id, self._seen, zone, dict(held.clocks)


def _alike(one: Photo, other: Photo | None) -> bool:
    """Whether a proposal cannot tell them apart."""
    return (
        other is not None
        and replace(one, group_id=other.group_id, aside=other.aside, content_hash=other.content_hash) == other
    )
