"""A foray, the clocks of its cameras, and the groups its photos are proposed to form."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from catalog_gui.geo.position import Position

NOT_A_SPECIMEN = "not a specimen"
"""The word kept in `Photo.aside` for a picture that was lifted out: boots, signs, views."""


@dataclass(frozen=True, slots=True)
class Foray:
    """One outing. `time_zone` is a tz database name or '' where it must be found from the pictures."""

    id: str
    title: str
    site: str = ""
    started: datetime | None = None
    ended: datetime | None = None
    time_zone: str = ""
    people: tuple[str, ...] = ()
    permission: str = ""  # who allowed it, on what terms: private by default
    note: str = ""
    folders: tuple[str, ...] = ()
    country: str = ""  # Darwin Core's term of the same name; the three below likewise
    country_code: str = ""
    state_province: str = ""
    county: str = ""


@dataclass(frozen=True, slots=True)
class Clock:
    """A camera's correction for one foray: true UTC = written local time read as UTC + `offset_s`.

    `spread_s` is one standard deviation; `basis` says in words what it was concluded from. A clock that
    the pictures cannot settle has `settled` False and needs one pairing; `by_hand` ones are never moved.
    """

    id: str
    foray_id: str
    camera_key: str
    offset_s: float
    spread_s: float
    basis: str = ""
    settled: bool = True
    by_hand: bool = False
    photos: int = 0


@dataclass(frozen=True, slots=True)
class Place:
    """What is concluded from fixes: always with an uncertainty in m (68 %) and how it is known."""

    position: Position
    uncertainty_m: float
    basis: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """Photos proposed to show one specimen, in true-time order. `start` and `end` are aware UTC.

    `held` groups were made or touched by hand: a new proposal leaves them exactly as they are.
    `specimen_id` is set when the user accepted it.
    """

    id: str
    foray_id: str
    photos: tuple[str, ...]
    start: datetime | None = None
    end: datetime | None = None
    place: Place | None = None
    held: bool = False
    specimen_id: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Join:
    """The boundary between two neighbours in true time: how probable it is that both show one specimen.

    `settled` is True (together) or False (apart) once the user has decided, None before. `reason` in words.
    """

    id: str
    foray_id: str
    before: str
    after: str
    probability: float
    reason: str = ""
    settled: bool | None = None


@dataclass(frozen=True, slots=True)
class SameAs:
    """An offer that two groups show the same specimen (revisited, or on the bench at home), with reasons."""

    id: str
    foray_id: str
    group: str
    earlier_group: str
    probability: float
    reason: str = ""
    accepted: bool | None = None


@dataclass(frozen=True, slots=True)
class Track:
    """A walk as a receiver logged it. `times` are UTC seconds since 1970, ascending; one entry each."""

    id: str
    foray_id: str
    name: str
    times: tuple[float, ...]
    latitudes: tuple[float, ...]
    longitudes: tuple[float, ...]
