"""Raw camera files that are TIFF inside (NEF, CR2, DNG, ARW), and the pictures embedded in them."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO

# TIFF 6.0, TIFF/EP and DNG 1.4 tag numbers
_COMPRESSION, _PHOTOMETRIC, _STRIP_OFFSETS, _STRIP_COUNTS = 0x103, 0x106, 0x111, 0x117
_SUB_IFDS, _JPEG_AT, _JPEG_LENGTH, _DNG_VERSION = 0x14A, 0x201, 0x202, 0xC612
_WANTED = {
    _COMPRESSION, _PHOTOMETRIC, _STRIP_OFFSETS, _STRIP_COUNTS,
    _SUB_IFDS, _JPEG_AT, _JPEG_LENGTH, _DNG_VERSION,
}  # fmt: skip
_SENSOR = {32803, 34892}  # colour filter array; linear raw: pixels that need developing
_TYPES = {1: "B", 3: "H", 4: "I", 7: "B", 13: "I"}
_MOST_DIRECTORIES, _MOST_ENTRIES, _MOST_VALUES = 40, 1000, 16


@dataclass(frozen=True, slots=True)
class EmbeddedJpeg:
    """A JPEG inside a file: where, how long, and its stored pixels."""

    offset: int
    length: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class TiffLayout:
    """What stands in a TIFF-shaped file. `raw` is whether its main picture is sensor data."""

    raw: bool
    dng: bool
    previews: tuple[EmbeddedJpeg, ...]  # smallest first


def tiff_layout(file: BinaryIO) -> TiffLayout:
    """Walk the directories. Damaged ones are left out; nothing is raised but OSError."""
    file.seek(0)
    head = file.read(16)
    raw = head[8:10] == b"CR"
    dng = False
    previews: dict[int, EmbeddedJpeg] = {}
    for directory in _directories(file, head):
        dng = dng or _DNG_VERSION in directory
        sensor = directory.get(_PHOTOMETRIC, (0,))[0] in _SENSOR
        raw = raw or dng or sensor
        if sensor:
            continue
        if _JPEG_AT in directory and _JPEG_LENGTH in directory:
            span = directory[_JPEG_AT][0], directory[_JPEG_LENGTH][0]
        elif directory.get(_COMPRESSION, (0,))[0] in (6, 7) and len(directory.get(_STRIP_OFFSETS, ())) == 1:
            span = directory[_STRIP_OFFSETS][0], directory.get(_STRIP_COUNTS, (0,))[0]
        else:
            continue
        found = _jpeg_at(file, *span)
        if found is not None:
            previews[found.offset] = found
    return TiffLayout(raw, dng, tuple(sorted(previews.values(), key=lambda one: one.width * one.height)))


def _directories(file: BinaryIO, head: bytes) -> Iterator[dict[int, tuple[int, ...]]]:
    endian = "<" if head[:2] == b"II" else ">"
    waiting = [int.from_bytes(head[4:8], "little" if endian == "<" else "big")]
    seen: set[int] = {0}
    while waiting and len(seen) <= _MOST_DIRECTORIES:
        offset = waiting.pop(0)
        if offset in seen:
            continue
        seen.add(offset)
        try:
            directory, following = _directory(file, offset, endian)
        except struct.error:
            continue
        yield directory
        waiting.extend(directory.get(_SUB_IFDS, ()))
        waiting.append(following)


def _directory(file: BinaryIO, offset: int, endian: str) -> tuple[dict[int, tuple[int, ...]], int]:
    file.seek(offset)
    (count,) = struct.unpack(endian + "H", file.read(2))
    entries = file.read(12 * min(count, _MOST_ENTRIES))
    after = file.read(4)
    following = struct.unpack(endian + "I", after)[0] if len(after) == 4 and count <= _MOST_ENTRIES else 0
    directory = {}
    for tag, kind, values, inline in struct.iter_unpack(endian + "HHI4s", entries[: len(entries) // 12 * 12]):
        if tag not in _WANTED or kind not in _TYPES or not 0 < values <= _MOST_VALUES:
            continue
        form = f"{endian}{values}{_TYPES[kind]}"
        size = struct.calcsize(form)
        data = inline[:size]
        if size > 4:
            file.seek(struct.unpack(endian + "I", inline)[0])
            data = file.read(size)
        if len(data) == size:
            directory[tag] = struct.unpack(form, data)
    return directory, following


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
