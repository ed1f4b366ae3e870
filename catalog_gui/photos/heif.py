"""Size and EXIF block of a HEIF file from its boxes alone (ISO/IEC 14496-12 and 23008-12).

The decoder's own opening reads the whole file; from a card of a thousand pictures that is the difference
between seconds and minutes. Anything unusual gives None, and the decoder is asked instead.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO

_MOST_META = 8 << 20
_MOST_EXIF = 1 << 20
_MOST_BOXES = 4096


@dataclass(frozen=True, slots=True)
class HeifLayout:
    """Pixels as shown, after the file's own turning and mirroring, and the EXIF block ('' when none)."""

    width: int
    height: int
    exif: bytes


def heif_layout(file: BinaryIO) -> HeifLayout | None:
    """None when the boxes are damaged or hold something (a crop) that only the decoder knows to apply."""
    try:
        return _layout(file)
    except (struct.error, IndexError, ValueError, KeyError, OverflowError):
        return None


def _layout(file: BinaryIO) -> HeifLayout | None:
    meta = _meta(file)
    if meta is None:
        return None
    boxes = dict(_boxes(meta[4:]))
    primary = int.from_bytes(boxes[b"pitm"][4 : 6 if boxes[b"pitm"][0] == 0 else 8], "big")
    properties = _properties(boxes[b"iprp"], primary)
    size: tuple[int, int] | None = None
    for kind, body in properties:
        if kind == b"ispe":
            size = struct.unpack(">II", body[4:12])
        elif kind == b"clap":
            return None
        elif kind == b"irot" and body[0] & 1 and size is not None:
            size = size[1], size[0]
    if size is None or not all(size):
        return None
    return HeifLayout(size[0], size[1], _exif(file, boxes))


def _meta(file: BinaryIO) -> bytes | None:
    at = 0
    for _ in range(64):
        file.seek(at)
        head = file.read(16)
        size, kind = struct.unpack(">I4s", head[:8])
        skip = 8
        if size == 1:
            size, skip = struct.unpack(">Q", head[8:16])[0], 16
        if kind == b"meta":
            if not skip + 4 < size <= _MOST_META:
                return None
            file.seek(at + skip)
            return file.read(size - skip)
        if size < skip:
            return None
        at += size
    return None


def _boxes(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = 0
    for _ in range(_MOST_BOXES):
        if at + 8 > len(data):
            return
        size, kind = struct.unpack_from(">I4s", data, at)
        skip = 8
        if size == 1:
            size, skip = struct.unpack_from(">Q", data, at + 8)[0], 16
        elif size == 0:
            size = len(data) - at
        if size < skip:
            raise ValueError("box smaller than its head")
        yield kind, data[at + skip : at + size]
        at += size


def _properties(iprp: bytes, item: int) -> list[tuple[bytes, bytes]]:
    """The properties of one item in the order in which they apply."""
    refs: list[tuple[bytes, bytes]] = []
    chosen: list[tuple[bytes, bytes]] = []
    for kind, body in _boxes(iprp):
        if kind == b"ipco":
            refs = list(_boxes(body))
        elif kind == b"ipma":
            wide_item, wide_index = body[0] >= 1, body[3] & 1
            (entries,) = struct.unpack_from(">I", body, 4)
            at = 8
            for _ in range(min(entries, _MOST_BOXES)):
                number = int.from_bytes(body[at : at + (4 if wide_item else 2)], "big")
                at += 4 if wide_item else 2
                count = body[at]
                at += 1
                for _ in range(count):
                    index = (
                        int.from_bytes(body[at : at + 2], "big") & 0x7FFF if wide_index else body[at] & 0x7F
                    )
                    at += 2 if wide_index else 1
                    if number == item and index:
                        chosen.append(refs[index - 1])
    return chosen


def _exif(file: BinaryIO, boxes: dict[bytes, bytes]) -> bytes:
    wanted = _exif_item(boxes.get(b"iinf", b""))
    span = _extent(boxes.get(b"iloc", b""), wanted) if wanted is not None else None
    if span is None:
        return b""
    method, offset, length = span
    length = min(length, _MOST_EXIF)
    if method == 0:
        file.seek(offset)
        data = file.read(length)
    elif method == 1:
        data = boxes.get(b"idat", b"")[offset : offset + length]
    else:
        return b""
    if len(data) < 8:
        return b""
    return data[4 + int.from_bytes(data[:4], "big") :]


def _exif_item(iinf: bytes) -> int | None:
    skip = 6 if iinf[:1] == b"\0" else 8
    for kind, body in _boxes(iinf[skip:]):
        if kind != b"infe" or body[0] < 2:
            continue
        wide = body[0] >= 3
        number = int.from_bytes(body[4 : 8 if wide else 6], "big")
        if body[10 if wide else 8 :][:4] == b"Exif":
            return number
    return None


def _extent(iloc: bytes, item: int) -> tuple[int, int, int] | None:
    """Construction method, offset and length of the first extent of an item."""
    if len(iloc) < 8:
        return None
    version = iloc[0]
    offset_size, length_size = iloc[4] >> 4, iloc[4] & 15
    base_size, index_size = iloc[5] >> 4, (iloc[5] & 15) if version in (1, 2) else 0
    wide = 4 if version == 2 else 2
    at = 6

    def take(size: int) -> int:
        nonlocal at
        if at + size > len(iloc):
            raise ValueError("item locations end early")
        at += size
        return int.from_bytes(iloc[at - size : at], "big")

    for _ in range(take(wide)):
        number = take(wide)
        method = take(2) & 15 if version in (1, 2) else 0
        take(2)  # data reference
        base = take(base_size)
        extents = []
        for _ in range(take(2)):
            take(index_size)
            extents.append((base + take(offset_size), take(length_size)))
        if number == item and extents:
            return (method, *extents[0])
    return None
