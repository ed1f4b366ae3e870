"""Raw camera files that are TIFF inside (NEF, CR2, DNG, ARW), and the pictures embedded in them."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO

from catalog_gui.photos.tiff import Directory, byte_order, read_directory

# TIFF 6.0, TIFF/EP and DNG 1.4 tag numbers
_WIDTH, _HEIGHT = 0x100, 0x101
_COMPRESSION, _PHOTOMETRIC, _STRIP_OFFSETS, _STRIP_COUNTS = 0x103, 0x106, 0x111, 0x117
_SUB_IFDS, _JPEG_AT, _JPEG_LENGTH, _DNG_VERSION = 0x14A, 0x201, 0x202, 0xC612
_WANTED = {
    _WIDTH,
    _HEIGHT,
    _COMPRESSION,
    _PHOTOMETRIC,
    _STRIP_OFFSETS,
    _STRIP_COUNTS,
    _SUB_IFDS,
    _JPEG_AT,
    _JPEG_LENGTH,
    _DNG_VERSION,
}
_SENSOR = {32803, 34892}  # colour filter array; linear raw: pixels that need developing
_MOST_DIRECTORIES = 40


@dataclass(frozen=True, slots=True)
class EmbeddedJpeg:
    """A JPEG inside a file: where, how long, and its stored pixels."""

    offset: int
    length: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class TiffLayout:
    """What stands in a TIFF-shaped file. `raw` is whether its main picture is sensor data.

    `width` and `height` are those of the first directory as stored, 0 when absent.
    """

    width: int
    height: int
    raw: bool
    dng: bool
    previews: tuple[EmbeddedJpeg, ...]  # smallest first


def tiff_layout(file: BinaryIO) -> TiffLayout:
    """Walk the directories. Damaged ones are left out; nothing is raised but OSError and struct.error."""
    file.seek(0)
    head = file.read(16)
    raw = head[8:10] == b"CR"
    dng = False
    previews: dict[int, EmbeddedJpeg] = {}
    sizes: list[tuple[int, ...]] = []
    for directory in _directories(file, head):
        sizes.append((*directory.integers(_WIDTH)[:1], *directory.integers(_HEIGHT)[:1]))
        dng = dng or _DNG_VERSION in directory.entries
        sensor = bool(_SENSOR & set(directory.integers(_PHOTOMETRIC)))
        raw = raw or dng or sensor
        strips = directory.integers(_STRIP_OFFSETS)
        span: tuple[int, ...] = ()
        if directory.integers(_JPEG_AT):
            span = (*directory.integers(_JPEG_AT), *directory.integers(_JPEG_LENGTH))
        elif directory.integers(_COMPRESSION) in ((6,), (7,)) and len(strips) == 1:
            span = (*strips, *directory.integers(_STRIP_COUNTS))
        found = _jpeg_at(file, *span) if len(span) == 2 and not sensor else None
        if found is not None:
            previews[found.offset] = found
    width, height = next((one for one in sizes[:1] if len(one) == 2), (0, 0))
    return TiffLayout(
        width, height, raw, dng, tuple(sorted(previews.values(), key=lambda one: one.width * one.height))
    )


def _directories(file: BinaryIO, head: bytes) -> Iterator[Directory]:
    endian = byte_order(head)
    waiting = [int.from_bytes(head[4:8], "little" if endian == "<" else "big")]
    seen: set[int] = {0}
    while waiting and len(seen) <= _MOST_DIRECTORIES:
        offset = waiting.pop(0)
        if offset not in seen:
            seen.add(offset)
            directory = read_directory(file, offset, endian, _WANTED)
            yield directory
            waiting += [*directory.integers(_SUB_IFDS), directory.following]


def _jpeg_at(file: BinaryIO, offset: int, length: int) -> EmbeddedJpeg | None:
    """The JPEG at a place, if it is one that shows a picture; lossless ones are sensor data."""
    file.seek(offset)
    if file.read(2) != b"\xff\xd8":
        return None
    at = offset + 2
    for _ in range(64):
        file.seek(at)
        segment = file.read(9)
        if len(segment) < 9 or segment[0] != 0xFF:
            return None
        marker, size = segment[1], int.from_bytes(segment[2:4], "big")
        if marker in (0xC0, 0xC1, 0xC2):
            height, width = struct.unpack(">HH", segment[5:9])
            return EmbeddedJpeg(offset, length, width, height) if width and height and length > 0 else None
        if 0xC3 <= marker <= 0xCF and marker not in (0xC4, 0xC8, 0xCC):
            return None
        at += 2 + size
    return None
