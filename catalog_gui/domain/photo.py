"""A photo: one picture file, known by its content, with what its camera wrote."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pickle import PickleBuffer
from typing import Any

from catalog_gui.geo.position import Position


@dataclass(frozen=True, slots=True)
class Camera:
    """Who wrote the picture: EXIF Make, Model and BodySerialNumber, stripped of padding."""

    make: str = ""
    model: str = ""
    serial: str = ""

    @property
    def key(self) -> str:
        """The same camera gives the same key; two of one model without serial share it."""
        name = (
            self.model
            if self.model.casefold().startswith(self.make.casefold())
            else f"{self.make} {self.model}"
        )
        name = " ".join(name.split()) or "unknown camera"
        return f"{name} #{self.serial}" if self.serial else name

    @property
    def label(self) -> str:
        """The key without the serial number, for papers that leave the house."""
        return Camera(self.make, self.model).key


@dataclass(frozen=True, slots=True)
class WrittenTime:
    """The moment as the camera wrote it (EXIF DateTimeOriginal, SubSecTimeOriginal, OffsetTimeOriginal).

    `local` is naive camera time with its sub-seconds, or None when nothing usable was written;
    `offset` is the UTC offset the camera wrote beside it, summer time included (EXIF 2.31), or None.
    `raw` keeps the text, `tag` the tag it came from, `problem` says why `local` is None or doubtful.
    """

    raw: str = ""
    local: datetime | None = None
    offset: timedelta | None = None
    tag: str = ""
    problem: str = ""


@dataclass(frozen=True, slots=True)
class Fix:
    """A position as a receiver wrote it. Not yet a place: see `Place`.

    `error_m` is EXIF GPSHPositioningError in metres (0 and absent are None); `satellite_time` is
    GPSDateStamp with GPSTimeStamp, aware, UTC; `date_inferred` where only the time of day was written.
    `direction_deg` is GPSImgDirection with `direction_reference` 'T' (true) or 'M' (magnetic).
    """

    position: Position
    error_m: float | None = None
    altitude_m: float | None = None
    satellite_time: datetime | None = None
    date_inferred: bool = False
    direction_deg: float | None = None
    direction_reference: str = ""


@dataclass(frozen=True, slots=True)
class Photo:
    """One picture file. `width` and `height` are the stored pixels, before EXIF `orientation` (1 to 8).

    `quick_key` is a fingerprint of size and sampled bytes, taken while importing; `content_hash` is the
    SHA-256 of the whole file in hex, filled in soon after. `counter` is the number in the file name.
    `fix_problem` says why a written position was not used (0,0, wrong datum, missing N/S letter).
    """

    id: str
    path: str
    camera: Camera = field(default_factory=Camera)
    written: WrittenTime = field(default_factory=WrittenTime)
    fix: Fix | None = None
    fix_problem: str = ""
    format: str = ""
    width: int = 0
    height: int = 0
    orientation: int = 1
    size_bytes: int = 0
    counter: int | None = None
    quick_key: str = ""
    content_hash: str = ""
    foray_id: str = ""
    group_id: str = ""
    aside: str = ""  # why it stands in the tray: 'not a specimen', 'no time', ... ; empty when in a group

    @property
    def name(self) -> str:
        """The file name without its folder."""
        return self.path.replace("\\", "/").rsplit("/", 1)[-1]

    @property
    def upright_size(self) -> tuple[int, int]:
        """Width and height as seen: orientations 5 to 8 stand on their side (EXIF 2.3 4.6.4 A)."""
        return (self.height, self.width) if self.orientation in (5, 6, 7, 8) else (self.width, self.height)


_OUT_OF_BAND = 5


@dataclass(frozen=True, slots=True)
class Raster:
    """Decoded pixels, upright: `rgb` holds height x width x 3 bytes, rows without padding.

    `scale` is raster pixels per pixel of the full upright picture (1.0 for the whole picture).
    """

    width: int
    height: int
    rgb: bytes
    scale: float = 1.0

    def __reduce_ex__(self, protocol: Any) -> Any:
        """Pickled with its pixels out of band (PEP 574): they may be large."""
        if protocol < _OUT_OF_BAND:
            return Raster, (self.width, self.height, self.rgb, self.scale)
        return Raster, (self.width, self.height, PickleBuffer(self.rgb), self.scale)
