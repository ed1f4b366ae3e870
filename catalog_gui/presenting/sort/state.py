"""Holds what the Sort page shows, as values that are handed to the GUI thread and never change."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np
import numpy.typing as npt

from catalog_gui.domain.foray import Clock, Foray, Group, Join, SameAs, Track
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Specimen
from catalog_gui.geo.plane import LocalPlane
from catalog_gui.grouping import is_doubtful
from catalog_gui.presenting.spots import Spots

Seconds = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class TrailRow:
    """One row of the trail: a group, what the user made of it, and the walk that led to it.

    `place` is where it is, in the preferred grid. `walk_s` and `walk_m` are from the row above, None where unknown.
    `join` is the boundary between the first photo here and the one before it in time, None for the first
    row; where that is doubtful `join_words` names the row of that one. `inner` are doubtful joins inside.
    """

    group: Group
    photos: tuple[Photo, ...]
    specimen: Specimen | None = None
    name: str = ""
    place: str = ""
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
class PlanStone:
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

    stones: tuple[PlanStone, ...] = ()
    fixes: Spots = field(default_factory=lambda: np.zeros((0, 2)))
    walks: tuple[Spots, ...] = ()
    without: int = 0  # groups that have no place
    plane: LocalPlane | None = None


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
    `where` (row and index in it of each photo of the trail), `order` (their ids from top to bottom),
    `join_at` (the boundary before each photo), `doubtful` (least certain first), `lanes` and `plan`.
    """

    foray: Foray | None = None
    rows: tuple[TrailRow, ...] = ()
    tray: tuple[Photo, ...] = ()
    clocks: tuple[Clock, ...] = ()
    tracks: tuple[Track, ...] = ()
    times: Mapping[str, datetime] = field(default_factory=dict)
    photos: Mapping[str, Photo] = field(default_factory=dict)
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
    clock_keys: Mapping[str, str] = field(default_factory=dict)

    def clock_key(self, photo: Photo) -> str:
        """The key of the clock that this photo goes by: that of its camera, but for a second body."""
        return self.clock_keys.get(photo.id, photo.camera.key)

    def row_of(self, photo_id: str) -> int:
        """The index of the row that shows this photo, or -1."""
        return self.where.get(photo_id, (-1, 0))[0]

    def index_of(self, photo_id: str) -> int:
        """The index of this photo in `order`, or -1."""
        at = self.where.get(photo_id)
        return self.firsts[at[0]] + at[1] if at is not None else -1

    @property
    def offers(self) -> tuple[TrailRow, ...]:
        """Rows with an unanswered offer, from the top."""
        return tuple(row for row in self.rows if row.offer is not None)

    @property
    def to_settle(self) -> tuple[str, ...]:
        """The photos at which something is asked: doubtful joins first, the least certain first, then offers."""
        offers = sorted(self.offers, key=lambda row: -row.offer.probability if row.offer else 0.0)
        asked = [join.after for join in self.doubtful] + [row.photos[0].id for row in offers]
        return tuple(key for key in dict.fromkeys(asked) if key in self.where)

    @property
    def certain(self) -> tuple[str, ...]:
        """The groups that can be accepted unseen: no specimen yet, nothing doubtful, nothing offered."""
        return tuple(
            row.group.id
            for row in self.rows
            if row.specimen is None and not row.doubtful and row.offer is None
        )

    @property
    def proposed(self) -> int:
        """How many groups are no specimen yet."""
        return sum(1 for row in self.rows if row.specimen is None)

    def following(self, leaving: Collection[str]) -> str:
        """The photo to go to when these leave the trail: the next one after them, or the first that stays."""
        last = max((self.index_of(key) for key in leaving), default=-1)
        rest = (*self.order[last + 1 :], *self.order)
        return next((key for key in rest if key not in leaving), "")
