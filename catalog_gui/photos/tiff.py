"""Directories of a TIFF structure, which EXIF blocks and most raw files are: only the tags asked for.

Our own, because the embedded pictures of raw files need it anyway, because a damaged tag costs only itself,
because no block can make it run long, and because it takes a tenth of the time of exifread, which a first
look at a thousand pictures is made of (tests/benchmarks/photos). Layout: TIFF 6.0, section 2.
"""

from __future__ import annotations

import struct
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import BinaryIO

Number = Fraction | None
"""A number of a tag; None for a rational n/0, which means absent (so Exif 2.3 has it for what a lens does not know)."""

ASCII = 2
_BYTES, _RATIONALS = (1, 2, 7), {5: "I", 10: "i"}
_FORMS = {1: "B", 3: "H", 4: "I", 6: "b", 7: "B", 8: "h", 9: "i", 11: "f", 12: "d", 13: "I"}
_SIZES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8, 13: 4}
_MOST_ENTRIES, _MOST_VALUE_BYTES, _MOST_VALUES = 1000, 1 << 16, 64


@dataclass(frozen=True, slots=True)
class TiffEntry:
    """One tag: its TIFF type and its bytes, in the byte order of the file."""

    kind: int
    data: bytes
    endian: str

    def text(self) -> str:
        """What stands before the first NUL; UTF-8 where it is that, else Latin-1. '' for numbers."""
        if self.kind not in _BYTES:
            return ""
        raw = self.data.split(b"\0", 1)[0]
        try:
            return raw.decode()
        except UnicodeDecodeError:
            return raw.decode("latin-1")

    def numbers(self) -> tuple[Number, ...]:
        """All values, at most 64; () for text."""
        count = min(len(self.data) // _SIZES[self.kind], _MOST_VALUES)
        if self.kind in _RATIONALS:
            flat = struct.unpack_from(f"{self.endian}{2 * count}{_RATIONALS[self.kind]}", self.data)
            return tuple(
                Fraction(above, below) if below else None
                for above, below in zip(flat[::2], flat[1::2], strict=True)
            )
        if self.kind == ASCII:
            return ()
        flat = struct.unpack_from(f"{self.endian}{count}{_FORMS[self.kind]}", self.data)
        if self.kind in (11, 12):
            return tuple(Fraction(one) if abs(one) < 1e300 else None for one in flat)  # not NaN, not infinite
        return tuple(map(Fraction, flat))

    def integers(self) -> tuple[int, ...]:
        """The values as whole numbers, fractions cut off, absent ones left out."""
        return tuple(int(one) for one in self.numbers() if one is not None)


@dataclass(frozen=True, slots=True)
class Directory:
    """The tags found, the offset of the next directory (0: none), and whether anything was out of reach."""

    entries: Mapping[int, TiffEntry]
    following: int = 0
    damaged: bool = False

    def integers(self, tag: int) -> tuple[int, ...]:
        """Whole numbers of a tag, () when absent."""
        entry = self.entries.get(tag)
        return entry.integers() if entry is not None else ()


def byte_order(head: bytes) -> str:
    """'<' or '>' of a TIFF header, '' when it is none."""
    return {b"II*\0": "<", b"MM\0*": ">"}.get(head[:4], "")


def read_directory(source: BinaryIO, offset: int, endian: str, wanted: Collection[int]) -> Directory:
    """The directory at `offset` of a seekable source. Damage is told, never raised; OSError may be."""
    if offset <= 0:  # a damaged pointer may be of a signed type
        return Directory({}, damaged=True)
    source.seek(offset)
    head = source.read(2)
    if len(head) < 2:
        return Directory({}, damaged=True)
    (count,) = struct.unpack(endian + "H", head)
    table = source.read(12 * min(count, _MOST_ENTRIES) + 4)
    whole = len(table) // 12
    damaged = len(table) < 12 * count
    entries: dict[int, TiffEntry] = {}
    for tag, kind, values, inline in struct.iter_unpack(endian + "HHI4s", table[: 12 * min(whole, count)]):
        if tag not in wanted or tag in entries:
            continue
        size = _SIZES.get(kind, 0) * values
        if not 0 < size <= _MOST_VALUE_BYTES:
            damaged = damaged or size > 0
            continue
        if size > 4:
            source.seek(struct.unpack(endian + "I", inline)[0])
            data = source.read(size)
        else:
            data = inline[:size]
        if len(data) == size:
            entries[tag] = TiffEntry(kind, data, endian)
        else:
            damaged = True
    tail = table[12 * count : 12 * count + 4]
    following = struct.unpack(endian + "I", tail)[0] if len(tail) == 4 and count <= _MOST_ENTRIES else 0
    return Directory(entries, following, damaged)
