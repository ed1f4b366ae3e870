"""Writes EXIF blocks and small picture files byte by byte, so that tests decide every sign and padding.

Layout after TIFF 6.0 (directories of twelve-byte entries) and CIPA DC-008 (which directory holds what).
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Mapping
from dataclasses import dataclass

BYTE, ASCII, SHORT, LONG, RATIONAL, UNDEFINED, SRATIONAL = 1, 2, 3, 4, 5, 7, 10
_FORMS = {BYTE: "B", ASCII: "B", SHORT: "H", LONG: "I", RATIONAL: "II", UNDEFINED: "B", SRATIONAL: "ii"}


@dataclass(frozen=True)
class Value:
    """One tag's value: its TIFF type and flat numbers (two for each rational)."""

    kind: int
    numbers: tuple[int, ...]

    def packed(self, endian: str) -> tuple[int, bytes]:
        form = _FORMS[self.kind]
        count = len(self.numbers) // len(form)
        return count, struct.pack(endian + form * count, *self.numbers)


def text(value: str) -> Value:
    return Value(ASCII, tuple(value.encode("latin-1") + b"\0"))


def short(*values: int) -> Value:
    return Value(SHORT, values)


def long(*values: int) -> Value:
    return Value(LONG, values)


def byte(*values: int) -> Value:
    return Value(BYTE, values)


def undefined(data: bytes) -> Value:
    return Value(UNDEFINED, tuple(data))


def rational(*pairs: tuple[int, int]) -> Value:
    return Value(RATIONAL, tuple(number for pair in pairs for number in pair))


def srational(*pairs: tuple[int, int]) -> Value:
    return Value(SRATIONAL, tuple(number for pair in pairs for number in pair))


class TiffWriter:
    """Children first: blobs and directories give their offset, which the parent then points to."""

    def __init__(self, endian: str = "<", mark: bytes = b"") -> None:
        self.endian = endian
        self.data = bytearray(8) + mark

    def blob(self, data: bytes) -> int:
        if len(self.data) % 2:
            self.data.append(0)
        at = len(self.data)
        self.data += data
        return at

    def directory(self, fields: Mapping[int, Value], following: int = 0) -> int:
        entries = b""
        for tag, value in sorted(fields.items()):
            count, packed = value.packed(self.endian)
            inline = packed.ljust(4, b"\0")
            if len(packed) > 4:
                inline = struct.pack(self.endian + "I", self.blob(packed))
            entries += struct.pack(self.endian + "HHI", tag, value.kind, count) + inline
        head = struct.pack(self.endian + "H", len(fields))
        return self.blob(head + entries + struct.pack(self.endian + "I", following))

    def finish(self, first: int) -> bytes:
        mark = b"II*\0" if self.endian == "<" else b"MM\0*"
        self.data[:8] = mark + struct.pack(self.endian + "I", first)
        return bytes(self.data)


def block(
    main: Mapping[int, Value],
    exif: Mapping[int, Value],
    gps: Mapping[int, Value],
    *,
    preview: bytes = b"",
    endian: str = "<",
) -> bytes:
    """An EXIF block from its TIFF header on: IFD0, Exif and GPS directories, and IFD1 with a JPEG."""
    writer = TiffWriter(endian)
    fields = dict(main)
    if exif:
        fields[0x8769] = long(writer.directory(exif))
    if gps:
        fields[0x8825] = long(writer.directory(gps))
    following = 0
    if preview:
        at = writer.blob(preview)
        following = writer.directory({0x103: short(6), 0x201: long(at), 0x202: long(len(preview))})
    return writer.finish(writer.directory(fields, following))


def into_jpeg(jpeg: bytes, exif_block: bytes) -> bytes:
    """The JPEG with the block as its first APP1 segment."""
    payload = b"Exif\0\0" + exif_block
    return jpeg[:2] + b"\xff\xe1" + struct.pack(">H", len(payload) + 2) + payload + jpeg[2:]


def into_png(png: bytes, exif_block: bytes, *, late: bool = False) -> bytes:
    """The PNG with an eXIf chunk after its header, or after its pixels."""
    chunk = b"eXIf" + exif_block
    made = struct.pack(">I", len(exif_block)) + chunk + struct.pack(">I", zlib.crc32(chunk))
    at = png.rindex(b"IEND") - 4 if late else 33
    return png[:at] + made + png[at:]


def raw_file(
    jpeg: bytes,
    size: tuple[int, int],
    main: Mapping[int, Value],
    exif: Mapping[int, Value],
    gps: Mapping[int, Value],
    *,
    kind: str,
    small: bytes = b"",
    endian: str = "<",
) -> bytes:
    """A file built the way such cameras lay theirs out, with `jpeg` embedded and a stub of sensor data.

    `kind`: 'DNG' keeps the preview as one JPEG strip of a sub-directory, 'NEF' as an interchange JPEG of
    one, 'ARW' as an interchange JPEG of IFD0, 'CR2' as the JPEG strip of IFD0. `jpeg` b'' leaves it out.
    """
    writer = TiffWriter(endian, b"CR\2\0\0\0\0\0" if kind == "CR2" else b"")
    fields = dict(main)
    if exif:
        fields[0x8769] = long(writer.directory(exif))
    if gps:
        fields[0x8825] = long(writer.directory(gps))
    sensor = writer.directory(
        {
            0xFE: long(0),
            0x100: long(4 * size[0]),
            0x101: long(4 * size[1]),
            0x103: short(1),
            0x106: short(32803),
            0x111: long(writer.blob(bytes(range(64)))),
            0x117: long(64),
        }
    )
    strip = {0x100: long(size[0]), 0x101: long(size[1]), 0xFE: long(1)}
    subs = [sensor]
    following = 0
    if jpeg:
        at = writer.blob(jpeg)
        as_strip = {
            0x103: short(7 if kind == "DNG" else 6),
            0x106: short(6),
            0x111: long(at),
            0x117: long(len(jpeg)),
        }
        as_interchange = {0x103: short(6), 0x201: long(at), 0x202: long(len(jpeg))}
        if kind == "DNG":
            subs.append(writer.directory(strip | as_strip))
        elif kind == "NEF":
            subs.insert(0, writer.directory(strip | as_interchange))
        elif kind == "ARW":
            fields |= as_interchange
        else:
            fields |= strip | as_strip
    if small:
        at = writer.blob(small)
        following = writer.directory({0x103: short(6), 0x201: long(at), 0x202: long(len(small))})
    if kind == "DNG":
        fields[0xC612] = byte(1, 4, 0, 0)
    if kind != "CR2":
        fields[0x14A] = long(*subs)
    return writer.finish(writer.directory(fields, following))
