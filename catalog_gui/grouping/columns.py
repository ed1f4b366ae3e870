"""Photos as columns: what the reasoning needs of thousands of pictures, as numpy arrays of one length."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from catalog_gui.domain.photo import Photo

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
    keys: list[str] = []
    index_of_key: dict[str, int] = {}
    index_of_object: dict[int, int] = {}
    camera = np.empty(n, np.int64)
    for row, photo in enumerate(photos):
        body = photo.camera
        index = index_of_object.get(id(body))
        if index is None:
            key = body.key
            index = index_of_key.setdefault(key, len(keys))
            if index == len(keys):
                keys.append(key)
            index_of_object[id(body)] = index
        camera[row] = index

    written_times = [photo.written for photo in photos]
    tag = np.full(n, np.nan)
    for row, written in enumerate(written_times):
        if written.offset is not None:
            tag[row] = written.offset.total_seconds()

    satellite, latitude = np.full(n, np.nan), np.full(n, np.nan)
    longitude, error = np.full(n, np.nan), np.full(n, np.nan)
    for row, photo in enumerate(photos):
        fix = photo.fix
        if fix is None:
            continue
        latitude[row] = fix.position.latitude
        longitude[row] = fix.position.longitude
        if fix.error_m is not None and fix.error_m > 0:
            error[row] = fix.error_m
        if fix.satellite_time is not None:
            satellite[row] = _utc_seconds(fix.satellite_time)
    return Columns(
        photos=photos,
        ids=[photo.id for photo in photos],
        keys=keys,
        camera=camera,
        written=_naive_seconds([written.local for written in written_times]),
        tag=tag,
        satellite=satellite,
        latitude=latitude,
        longitude=longitude,
        error=error,
        counter=np.array([-1 if p.counter is None else p.counter for p in photos], np.int64),
    )


def _naive_seconds(moments: list[datetime | None]) -> Floats:
    """Naive camera time as s since 1970 read as UTC; NaN for none. A zone, if one slipped in, is dropped."""
    plain = [m if m is None or m.tzinfo is None else m.replace(tzinfo=None) for m in moments]
    stamps = np.array(plain, "datetime64[us]")
    seconds = stamps.astype(np.int64) / 1e6
    seconds[np.isnat(stamps)] = np.nan
    return np.asarray(seconds, np.float64)


def _utc_seconds(moment: datetime) -> float:
    return ((moment if moment.tzinfo else moment.replace(tzinfo=UTC)) - EPOCH).total_seconds()


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
