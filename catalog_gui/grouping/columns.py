"""Photos as columns: what the reasoning needs of thousands of pictures, as numpy arrays of one length."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from catalog_gui.domain.photo import Camera, Photo

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_FIRST_S, _LAST_S = -62_135_596_800.0, 253_402_300_799.0  # the years 1 and 9999
METRES_PER_DEGREE = 111_194.93  # of latitude, mean sphere with the IUGG radius 6 371 008.8 m


@dataclass(slots=True)
class Columns:
    """One row per photo, in the order given.

    `written` is camera time in s, naive, read as if it were UTC; `tag` the written UTC offset in s;
    `satellite` receiver time, UTC s. `latitude`, `longitude` in degrees, `error` in m (reported).
    Missing numbers are NaN; `counter` is -1 where none is known. `camera` indexes `keys`.
    """

    photos: Sequence[Photo]
    ids: list[str]
    keys: list[str]
    camera: Ints
    written: Floats
    tag: Floats
    satellite: Floats
    latitude: Floats
    longitude: Floats
    error: Floats
    counter: Ints


def read_columns(photos: Sequence[Photo]) -> Columns:
    """Read the columns of `photos`; nothing is judged here."""
    n = len(photos)
    # Plain lists of plain values: numpy takes ten times as long over objects, and new containers by the
    # thousand would keep the garbage collector busy.
    bodies = [photo.camera for photo in photos]
    numbers = [id(body) for body in bodies]
    key_of = _keys(dict(zip(numbers, bodies, strict=True)))
    keys = sorted(set(key_of.values()))
    index_of_key = {key: index for index, key in enumerate(keys)}
    index_of = {number: index_of_key[key] for number, key in key_of.items()}
    written = [photo.written for photo in photos]
    fixes = [photo.fix for photo in photos]
    rows = np.array([row for row, fix in enumerate(fixes) if fix is not None], np.int64)
    known = [fix for fix in fixes if fix is not None]
    places = [fix.position for fix in known]
    return Columns(
        photos=photos,
        ids=[photo.id for photo in photos],
        keys=keys,
        camera=np.array([index_of[number] for number in numbers], np.int64),
        written=np.array(_seconds([w.local for w in written], aware=False)),
        tag=np.array([_NAN if w.offset is None else w.offset.total_seconds() for w in written]),
        satellite=_spread(n, rows, _seconds([fix.satellite_time for fix in known], aware=True)),
        latitude=_spread(n, rows, [place.latitude for place in places]),
        longitude=_spread(n, rows, [place.longitude for place in places]),
        error=_spread(n, rows, [fix.error_m if fix.error_m and fix.error_m > 0 else _NAN for fix in known]),
        counter=np.array([-1 if photo.counter is None else photo.counter for photo in photos], np.int64),
    )


def _keys(bodies: dict[int, Camera]) -> dict[int, str]:
    """Key of each camera object; an importer may make one object per picture, so equal ones are worked out once."""
    names = {number: f"{body.make}\0{body.model}\0{body.serial}" for number, body in bodies.items()}
    key_of_name: dict[str, str] = {}
    for number, name in names.items():
        if name not in key_of_name:
            key_of_name[name] = bodies[number].key
    return {number: key_of_name[name] for number, name in names.items()}


_NAN = float("nan")


def _spread(n: int, rows: Ints, values: list[float]) -> Floats:
    """`values` at `rows` of a column that is otherwise unknown."""
    column = np.full(n, _NAN)
    column[rows] = values
    return column


def _seconds(moments: list[datetime | None], *, aware: bool) -> list[float]:
    """Seconds since 1970; NaN for none. Camera time is naive and read as UTC; a zone that slipped in is dropped.

    Receiver time is UTC; where its zone is missing it is taken to be that.
    """
    zero = EPOCH if aware else EPOCH.replace(tzinfo=None)
    try:
        return [_NAN if m is None else (m - zero).total_seconds() for m in moments]
    except TypeError:  # naive and aware ones mixed
        mended = [
            m if m is None or (m.tzinfo is not None) == aware else m.replace(tzinfo=UTC if aware else None)
            for m in moments
        ]
        return [_NAN if m is None else (m - zero).total_seconds() for m in mended]


def moment(seconds: float) -> datetime:
    """UTC seconds since 1970 as an aware datetime, held within the years 1 to 9999."""
    return EPOCH + timedelta(seconds=min(max(float(seconds), _FIRST_S), _LAST_S))


def to_plane(latitude: Floats, longitude: Floats, origin: tuple[float, float]) -> tuple[Floats, Floats]:
    """Metres east and north of `origin` (latitude, longitude); good to 0.1 % over a day's walk.

    Longitudes are taken the short way round, so a walk across the 180th meridian stays in one piece.
    """
    east = (longitude - origin[1] + 180.0) % 360.0 - 180.0
    return east * METRES_PER_DEGREE * np.cos(np.radians(origin[0])), (
        latitude - origin[0]
    ) * METRES_PER_DEGREE


def from_plane(x: float, y: float, origin: tuple[float, float]) -> tuple[float, float]:
    """The inverse of `to_plane` for one point: (latitude, longitude) in degrees."""
    longitude = origin[1] + x / (METRES_PER_DEGREE * float(np.cos(np.radians(origin[0]))))
    return origin[0] + y / METRES_PER_DEGREE, (longitude + 180.0) % 360.0 - 180.0
