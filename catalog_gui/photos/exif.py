"""The EXIF tags we use, out of a TIFF-shaped block, whatever state the block is in."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import BinaryIO

from catalog_gui.photos.tiff import ASCII, Number, byte_order, read_directory

DAMAGED = "The camera's notes (EXIF) in this file are damaged."

_EXIF_IFD, _GPS_IFD = 0x8769, 0x8825
_MAIN_TAGS = {
    0x010F: "Make",
    0x0110: "Model",
    0x0112: "Orientation",
    0x0132: "DateTime",
    0xC62F: "CameraSerialNumber",
}
_SUB_TAGS = {
    _EXIF_IFD: {
        0x9003: "DateTimeOriginal",
        0x9011: "OffsetTimeOriginal",
        0x9291: "SubSecTimeOriginal",
        0xA431: "BodySerialNumber",
    },
    _GPS_IFD: {
        0x0001: "GPSLatitudeRef",
        0x0002: "GPSLatitude",
        0x0003: "GPSLongitudeRef",
        0x0004: "GPSLongitude",
        0x0005: "GPSAltitudeRef",
        0x0006: "GPSAltitude",
        0x0007: "GPSTimeStamp",
        0x0010: "GPSImgDirectionRef",
        0x0011: "GPSImgDirection",
        0x0012: "GPSMapDatum",
        0x001D: "GPSDateStamp",
        0x001F: "GPSHPositioningError",
    },
}
_WANTED_MAIN = {*_MAIN_TAGS, *_SUB_TAGS}
_JPEG_AT, _JPEG_LENGTH, _PIXEL_WIDTH = 0x0201, 0x0202, 0xA002


@dataclass(frozen=True, slots=True)
class Tags:
    """Text tags as str (padding kept, nothing after a NUL), number tags as tuples. Absent ones are absent.

    `problem` is a sentence when the block was damaged, whether or not something could be read.
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


def read_block(block: bytes) -> Tags:
    """Tags of one EXIF block: bytes that begin with the TIFF header, 'Exif' and two NULs before it or not."""
    if not block:
        return Tags()
    return read_tiff(io.BytesIO(block[6:] if block[:6] == b"Exif\0\0" else block))


def read_tiff(source: BinaryIO) -> Tags:
    """Tags of a seekable TIFF structure: a block, a TIFF file or a raw file. Raises nothing but OSError."""
    source.seek(0)
    head = source.read(8)
    endian = byte_order(head)
    if not endian or len(head) < 8:
        return Tags(problem=DAMAGED)
    first = int.from_bytes(head[4:], "little" if endian == "<" else "big")
    main = read_directory(source, first, endian, _WANTED_MAIN)
    damaged = main.damaged
    found = {name: main.entries[tag] for tag, name in _MAIN_TAGS.items() if tag in main.entries}
    for pointer, names in _SUB_TAGS.items():
        for offset in main.integers(pointer)[:1]:
            part = read_directory(source, offset, endian, names)
            damaged = damaged or part.damaged
            found |= {names[tag]: entry for tag, entry in part.entries.items()}
    texts = {name: entry.text() for name, entry in found.items() if entry.kind in (ASCII, 7)}
    numbers = {name: entry.numbers() for name, entry in found.items() if entry.kind != ASCII}
    return Tags(texts, numbers, DAMAGED if damaged else "")


def embedded_jpeg(block: bytes) -> tuple[bytes, int]:
    """The small JPEG in a block (its second directory), b'' when there is none, and the width in px that
    the camera wrote for its whole picture, 0 when it wrote none."""
    block = block[6:] if block[:6] == b"Exif\0\0" else block
    endian = byte_order(block)
    if not endian or len(block) < 8:
        return b"", 0
    source = io.BytesIO(block)
    first = int.from_bytes(block[4:8], "little" if endian == "<" else "big")
    main = read_directory(source, first, endian, {_EXIF_IFD})
    width: tuple[int, ...] = ()
    for offset in main.integers(_EXIF_IFD)[:1]:
        width = read_directory(source, offset, endian, {_PIXEL_WIDTH}).integers(_PIXEL_WIDTH)
    small = read_directory(source, main.following, endian, {_JPEG_AT, _JPEG_LENGTH})
    at, length = small.integers(_JPEG_AT), small.integers(_JPEG_LENGTH)
    jpeg = block[at[0] : at[0] + length[0]] if at and length else b""
    return jpeg, width[0] if width else 0
