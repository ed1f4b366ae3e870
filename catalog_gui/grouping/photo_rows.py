"""The figures that sorting reasons with, one packed row per photo, kept by whoever proposes again.

To follow ten thousand photos from object to object takes ten times as long as to read their packed rows, and
a foray is proposed anew after every correction. So a row is packed once and kept beside the photo.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from struct import Struct

import numpy as np
from numpy.typing import NDArray

from catalog_gui.domain.photo import Camera, Fix, Photo, WrittenTime

FIGURES = ("camera", "written", "tag", "satellite", "latitude", "longitude", "error", "counter")
"""What a row holds, each as a float64 of this machine, NaN for what is not known.

`camera` is the same whole number for equal cameras of one `PhotoRows`; `written` is camera time in s since
1970, read as if it were UTC; `tag` the UTC offset written beside it in s; `satellite` receiver time, UTC s
since 1970; `latitude` and `longitude` in degrees; `error` in m, above 0; `counter` is -1 for none.
"""
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_NAIVE_EPOCH = _EPOCH.replace(tzinfo=None)
_NAN = float("nan")
_ROW = Struct(f"{len(FIGURES)}d")


class PhotoRows:
    """Keeps the packed rows of the photos that it was last asked for. For one thread.

    Rows are looked up by the photo as an object, which is fast; the photos are kept, so that no other
    object can take the place of one.
    """

    def __init__(self) -> None:
        self._photo_of: dict[str, Photo] = {}
        self._row_at: dict[int, bytes] = {}
        self._number_of: dict[Camera, int] = {}

    def __len__(self) -> int:
        """How many photos have a row."""
        return len(self._row_at)

    def of(self, photos: Sequence[Photo]) -> NDArray[np.float64]:
        """Return the rows of `photos`, shape (photos, figures), in the order given; read only."""
        known = list(map(self._row_at.get, map(id, photos)))
        packed = [self._keep(photos[at]) if row is None else row for at, row in enumerate(known)]
        if len(self._row_at) > len(photos):
            self._photo_of = {photo.id: photo for photo in photos}
            here = {id(photo) for photo in self._photo_of.values()}
            self._row_at = {key: row for key, row in self._row_at.items() if key in here}
        return np.frombuffer(b"".join(packed)).reshape(-1, len(FIGURES))

    def _keep(self, photo: Photo) -> bytes:
        """Pack a row, or take over that of the same photo before it went to another group."""
        before = self._photo_of.get(photo.id)
        row = self._row_at.pop(id(before)) if before is not None else None
        if row is None or before is None or not _same_figures(before, photo):
            number = self._number_of.setdefault(photo.camera, len(self._number_of))
            row = _packed(number, photo.written, photo.fix, photo.counter)
        self._photo_of[photo.id] = photo
        self._row_at[id(photo)] = row
        return row


def _same_figures(one: Photo, other: Photo) -> bool:
    """Whether both hold the same parts, as a photo does that only went to another group."""
    return (
        one.written is other.written
        and one.fix is other.fix
        and one.camera is other.camera
        and one.counter == other.counter
    )


def _packed(camera: int, written: WrittenTime, fix: Fix | None, counter: int | None) -> bytes:
    """Pack one row. Zones that slipped into camera time are dropped; receiver time without one is UTC."""
    local, offset = written.local, written.offset
    number = -1 if counter is None else counter
    wall = _NAN if local is None else (local.replace(tzinfo=None) - _NAIVE_EPOCH).total_seconds()
    tag = _NAN if offset is None else offset.total_seconds()
    if fix is None:
        return _ROW.pack(camera, wall, tag, _NAN, _NAN, _NAN, _NAN, number)
    place, error, seen = fix.position, fix.error_m, fix.satellite_time
    satellite = _NAN if seen is None else (seen - (_EPOCH if seen.tzinfo else _NAIVE_EPOCH)).total_seconds()
    known = error if error and error > 0 else _NAN
    return _ROW.pack(camera, wall, tag, satellite, place.latitude, place.longitude, known, number)
