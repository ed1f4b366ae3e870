"""A small EXIF block writer (Exif 2.32 layout: IFD0, Exif, GPS, and IFD1 with a JPEG preview)."""

from __future__ import annotations

import struct
from dataclasses import dataclass
from fractions import Fraction

ASCII, BYTE, SHORT, LONG, RATIONAL, UNDEFINED, SRATIONAL = 2, 1, 3, 4, 5, 7, 10
_SIZE = {BYTE: 1, ASCII: 1, SHORT: 2, LONG: 4, RATIONAL: 8, UNDEFINED: 1, SRATIONAL: 8}


@dataclass(frozen=True, slots=True)
class Field:
    """One tag: number, type, and a value (text, bytes, a number or numbers, fractions for rationals)."""

    tag: int
    kind: int
    value: str | bytes | int | float | Fraction | tuple[int | float | Fraction, ...]

    def packed(self) -> tuple[int, bytes]:
        """Count and little-endian bytes."""
        value = self.value
        if self.kind == ASCII:
            raw = str(value).encode() + b"\0"
            return len(raw), raw
        if isinstance(value, bytes):
            return len(value), value
        values = value if isinstance(value, tuple) else (value,)
        if self.kind in (RATIONAL, SRATIONAL):
            sign = "<Ii"[0] + ("II" if self.kind == RATIONAL else "ii")
            parts = [Fraction(v).limit_denominator(1_000_000) for v in values]  # type: ignore[arg-type]
            return len(values), b"".join(struct.pack(sign, p.numerator, p.denominator) for p in parts)
        code = {BYTE: "B", SHORT: "H", LONG: "I"}[self.kind]
        return len(values), struct.pack(f"<{len(values)}{code}", *values)  # type: ignore[arg-type]


def _directory(fields: list[Field], at: int, following: int = 0) -> bytes:
    fields = sorted(fields, key=lambda f: f.tag)
    head = struct.pack("<H", len(fields))
    room = at + 2 + 12 * len(fields) + 4
    extra = b""
    for f in fields:
        count, raw = f.packed()
        if len(raw) <= 4:
            slot = raw.ljust(4, b"\0")
        else:
            slot = struct.pack("<I", room + len(extra))
            extra += raw + b"\0" * (len(raw) % 2)
        head += struct.pack("<HHI", f.tag, f.kind, count) + slot
    return head + struct.pack("<I", following) + extra


def block(main: list[Field], exif: list[Field], gps: list[Field] | None, preview: bytes | None) -> bytes:
    """The bytes after the APP1 length: `Exif` header and the TIFF structure."""
    pointers = [Field(0x8769, LONG, 0)] + ([Field(0x8825, LONG, 0)] if gps else [])
    length = len(_directory([*main, *pointers], 8))
    exif_at = 8 + length
    exif_raw = _directory(exif, exif_at)
    gps_at = exif_at + len(exif_raw)
    gps_raw = _directory(gps, gps_at) if gps else b""
    next_at = gps_at + len(gps_raw)
    pointers = [Field(0x8769, LONG, exif_at)] + ([Field(0x8825, LONG, gps_at)] if gps else [])
    out = (
        b"II*\0"
        + struct.pack("<I", 8)
        + _directory([*main, *pointers], 8, next_at if preview else 0)
        + exif_raw
        + gps_raw
    )
    if preview:
        second = [Field(0x0103, SHORT, 6), Field(0x0201, LONG, 0), Field(0x0202, LONG, len(preview))]
        start = next_at + len(_directory(second, next_at))
        second[1] = Field(0x0201, LONG, start)
        out += _directory(second, next_at) + preview
    return b"Exif\0\0" + out
