"""The EXIF tags we use, out of a TIFF-shaped block, whatever state the block is in.

exifread does the reading. Where it gives up on a damaged block, Pillow's reader, which goes tag by tag,
saves what can be saved. Both are kept within a budget, so that a hostile block can't hold the import.
"""

from __future__ import annotations

import io
import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import BinaryIO, cast

import exifread
from PIL import Image

logging.getLogger("exifread").setLevel(logging.CRITICAL)  # what it has to say, we say in the photo

Number = Fraction | None
"""A rational or integer of a tag; None for n/0, which means absent (check value B1.14)."""

# EXIF name: (exifread's group, directory in Pillow's reader, tag number)
_EXIF_IFD, _GPS_IFD = 0x8769, 0x8825
WANTED: dict[str, tuple[str, int, int]] = {
    "Make": ("Image", 0, 0x010F),
    "Model": ("Image", 0, 0x0110),
    "Orientation": ("Image", 0, 0x0112),
    "DateTime": ("Image", 0, 0x0132),
    "CameraSerialNumber": ("Image", 0, 0xC62F),
    "DateTimeOriginal": ("EXIF", _EXIF_IFD, 0x9003),
    "OffsetTimeOriginal": ("EXIF", _EXIF_IFD, 0x9011),
    "SubSecTimeOriginal": ("EXIF", _EXIF_IFD, 0x9291),
    "BodySerialNumber": ("EXIF", _EXIF_IFD, 0xA431),
    "GPSLatitudeRef": ("GPS", _GPS_IFD, 0x0001),
    "GPSLatitude": ("GPS", _GPS_IFD, 0x0002),
    "GPSLongitudeRef": ("GPS", _GPS_IFD, 0x0003),
    "GPSLongitude": ("GPS", _GPS_IFD, 0x0004),
    "GPSAltitudeRef": ("GPS", _GPS_IFD, 0x0005),
    "GPSAltitude": ("GPS", _GPS_IFD, 0x0006),
    "GPSTimeStamp": ("GPS", _GPS_IFD, 0x0007),
    "GPSImgDirectionRef": ("GPS", _GPS_IFD, 0x0010),
    "GPSImgDirection": ("GPS", _GPS_IFD, 0x0011),
    "GPSMapDatum": ("GPS", _GPS_IFD, 0x0012),
    "GPSDate": ("GPS", _GPS_IFD, 0x001D),
    "GPSHPositioningError": ("GPS", _GPS_IFD, 0x001F),
}

_READS = 20_000  # about ten times what the richest real block of a camera takes
_LONGEST = 1 << 16  # bytes in one read, the most that fits into a JPEG's block
_TOO_MANY = 64  # values in a tag; none of ours has more


@dataclass(frozen=True, slots=True)
class Tags:
    """Text tags as str (padding kept, nothing after a NUL), number tags as tuples. Absent ones are absent.

    `problem` is a sentence when the block was damaged, whether or not something was saved.
    """

    texts: Mapping[str, str] = field(default_factory=dict)
    numbers: Mapping[str, tuple[Number, ...]] = field(default_factory=dict)
    problem: str = ""

    def text(self, name: str) -> str:
        """The text with blanks around it gone, '' when absent."""
        return self.texts.get(name, "").strip()

    def number(self, name: str) -> Number:
        """The first number of a tag, None when absent or n/0."""
        return self.numbers.get(name, (None,))[0]


DAMAGED = "The camera's notes (EXIF) in this file are damaged."


def read_block(block: bytes) -> Tags:
    """Tags of one EXIF block: bytes that begin with the TIFF header, 'Exif' and two NULs before it or not."""
    if block[:6] == b"Exif\0\0":
        block = block[6:]
    if block[:4] not in (b"II*\0", b"MM\0*"):
        return Tags(problem=DAMAGED if block else "")
    return _read(io.BytesIO(block), lambda: _rescued(block))


def read_tiff(file: BinaryIO) -> Tags:
    """Tags of a TIFF or raw file, where they may stand anywhere."""
    return _read(file, lambda: Tags(problem=DAMAGED))


def _read(source: BinaryIO, rescue: Callable[[], Tags]) -> Tags:
    try:
        found = exifread.process_file(
            cast(BinaryIO, _Budgeted(source)), details=False, extract_thumbnail=False
        )
    except Exception:  # noqa: BLE001 - it raises all sorts on damaged blocks, none of them documented
        return rescue()
    texts: dict[str, str] = {}
    numbers: dict[str, tuple[Number, ...]] = {}
    for name, (group, _, number) in WANTED.items():
        tag = found.get(f"{group} {name}") or found.get(f"{group} Tag 0x{number:04X}")
        if tag is not None:
            _sort_in(name, tag.values, texts, numbers)
    return Tags(texts, numbers)


def _rescued(block: bytes) -> Tags:
    texts: dict[str, str] = {}
    numbers: dict[str, tuple[Number, ...]] = {}
    directories: dict[int, Mapping[int, object]] = {}
    exif = Image.Exif()
    try:
        exif.load(b"Exif\0\0" + block)
    except Exception:  # noqa: BLE001 - as above
        return Tags(problem=DAMAGED)
    for name, (_, directory, number) in WANTED.items():
        try:
            if directory not in directories:
                directories[directory] = exif if directory == 0 else exif.get_ifd(directory)
            value = directories[directory].get(number)
        except Exception:  # noqa: BLE001, S112 - this tag is lost, the next may not be
            continue
        if value is not None:
            _sort_in(name, value, texts, numbers)
    return Tags(texts, numbers, DAMAGED)


def _sort_in(name: str, value: object, texts: dict[str, str], numbers: dict[str, tuple[Number, ...]]) -> None:
    if isinstance(value, bytes):
        if name == "GPSAltitudeRef":  # a BYTE, which Pillow hands over as bytes
            numbers[name] = tuple(Fraction(one) for one in value[:1])
            return
        value = value.decode("latin-1")
    if isinstance(value, str):
        texts[name] = value.split("\0", 1)[0]
    elif isinstance(value, (list, tuple)):
        if 0 < len(value) <= _TOO_MANY:
            numbers[name] = tuple(_number(one) for one in value)
    else:
        numbers[name] = (_number(value),)


def _number(value: object) -> Number:
    """Exact value of an int, a float, exifread's Ratio or Pillow's rational; None where it has none."""
    if isinstance(value, tuple):  # exifread wraps floats
        value = value[0] if value else None
    numerator = getattr(value, "numerator", None)
    denominator = getattr(value, "denominator", None)
    if isinstance(numerator, int) and isinstance(denominator, int):
        return Fraction(numerator, denominator) if denominator else None
    try:
        return Fraction(float(value))  # type: ignore[arg-type]  # whatever is left either is a number or raises
    except (TypeError, ValueError, OverflowError, ZeroDivisionError):
        return None


class _OverBudgetError(Exception):
    """The block makes the reader run in circles."""


class _Budgeted:
    """A file that may be read so often and no more; a text that claims to be huge is cut."""

    def __init__(self, file: BinaryIO) -> None:
        self._read = file.read
        self._left = _READS
        self.seek = file.seek
        self.tell = file.tell

    def read(self, size: int = -1) -> bytes:
        self._left -= 1
        if self._left < 0:
            raise _OverBudgetError
        return self._read(size if 0 <= size < _LONGEST else _LONGEST)
