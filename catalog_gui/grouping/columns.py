"""Photos as columns: what the reasoning needs of thousands of pictures, as numpy arrays of one length."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from catalog_gui.domain.photo import Photo
from catalog_gui.grouping.photo_rows import FIGURES, PhotoRows

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


def read_columns(photos: Sequence[Photo], rows: PhotoRows | None = None) -> Columns:
    """Read the columns of `photos`; nothing is judged here.

    `rows` keeps the figures of photos between two readings: what it has seen need not be packed again.
    """
    rows = PhotoRows() if rows is None else rows
    column = dict(zip(FIGURES, rows.of(photos).T.copy(), strict=True))
    device = column.pop("camera").astype(np.int64)
    key_of = {number: photos[int(np.argmax(device == number))].camera.key for number in _distinct(device)}
    keys = sorted(set(key_of.values()))  # two cameras may share one
    index = np.zeros(max(key_of, default=0) + 1, np.int64)
    for number, key in key_of.items():
        index[number] = keys.index(key)
    return Columns(
        photos=photos,
        ids=[photo.id for photo in photos],
        keys=keys,
        camera=index[device],
        counter=column.pop("counter").astype(np.int64),
        **column,
    )


def _distinct(numbers: Ints) -> list[int]:
    return np.flatnonzero(np.bincount(numbers)).tolist()


def moment(seconds: float) -> datetime:
    """UTC seconds since 1970 as an aware datetime, held within the years 1 to 9999."""
    return EPOCH + timedelta(seconds=min(max(float(seconds), _FIRST_S), _LAST_S))


def length(x: Floats, y: Floats) -> Floats:
    """Of vectors of ordinary size; `np.hypot`, which also minds the largest numbers, takes several times as long."""
    return np.asarray(np.sqrt(x * x + y * y))


def nearest(times: Floats, moments: Floats) -> Floats:
    """Of `times` (ascending, at least one) the one nearest to each moment."""
    return np.asarray(times[np.searchsorted(0.5 * (times[1:] + times[:-1]), moments)])


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
