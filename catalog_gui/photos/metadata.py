"""A first look at one picture file: what its camera wrote, its size and a quick fingerprint; no pixels."""

from __future__ import annotations

import re
from dataclasses import dataclass
from hashlib import blake2b
from pathlib import PurePath
from typing import BinaryIO

from catalog_gui.domain.makers_notes import MakersNotes
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import PictureRefused
from catalog_gui.photos.exif import Tags, read_block, read_tiff
from catalog_gui.photos.exif_facts import camera, fix, written_time
from catalog_gui.photos.heif import heif_layout
from catalog_gui.photos.makers_notes import MOST_BYTES, makers_notes, with_gaps_filled
from catalog_gui.photos.opening import (
    HEAD_BYTES,
    IMPOSSIBLE_SIZE,
    MAX_PIXELS,
    open_picture,
    readable,
    refused,
    sniff,
    why_not_a_picture,
)
from catalog_gui.photos.raw import EmbeddedJpeg, tiff_layout

_SAMPLE_BYTES = 4096
_DCF_NAME = re.compile(r"[A-Za-z0-9_]{4}(\d{4})(?!\d)")
_LAST_NUMBER = re.compile(r"(?:^|\D)(\d{1,6})$")
_DATED_NAME = re.compile(r"(?:19|20)\d{6}[_\- T]?\d{6}$")
_XMP_ORIENTATION = re.compile(rb"tiff:Orientation(?:=[\"']|>)([1-8])")


@dataclass(frozen=True, slots=True)
class PictureFacts:
    """What the header of a file says. `preview` is the embedded picture that stands for a raw file, `block`
    the EXIF block where it is one.

    `width` and `height` are stored pixels; `orientation` (1 to 8) is still to be applied to them. HEIF
    files are turned by their own container, so theirs is always 1.
    """

    format: str
    width: int
    height: int
    orientation: int
    tags: Tags
    preview: EmbeddedJpeg | None = None
    block: bytes = b""


def read_photo(path: str) -> Photo:
    """Metadata and quick fingerprint of one file, its id left ''. Raises PictureRefused and nothing else.

    A picture whose notes are damaged is taken in all the same; `written.problem` and `fix_problem` say so.
    """
    with readable(path) as (file, info):
        try:
            found = look(file, path)
            key = quick_key(file, info.st_size)
        except PictureRefused:
            raise
        except Exception as error:
            raise refused(path, error) from error
    tags = with_gaps_filled(found.tags, found.block) if found.tags.problem and found.block else found.tags
    written = written_time(tags)
    position, fix_problem = fix(tags, written)
    return Photo(
        id="",
        path=path,
        camera=camera(tags),
        written=written,
        fix=position,
        fix_problem=fix_problem or ("" if position else found.tags.problem),
        format=found.format,
        width=found.width,
        height=found.height,
        orientation=found.orientation,
        size_bytes=info.st_size,
        counter=counter(path),
        quick_key=key,
    )


def read_makers_notes(path: str) -> MakersNotes:
    """What the maker's note of a file adds; nothing where it has none or it cannot be read. Raises PictureRefused.

    It takes some ten milliseconds, where a first look takes less than one: not for taking pictures in.
    """
    with readable(path) as (file, _):
        try:
            found = look(file, path)
            file.seek(0)
            block = found.block or (file.read(MOST_BYTES) if found.preview or found.format == "TIFF" else b"")
        except PictureRefused:
            raise
        except Exception as error:
            raise refused(path, error) from error
    return makers_notes(block) if block else MakersNotes()


def look(file: BinaryIO, path: str) -> PictureFacts:
    """Format, size, orientation and tags of an open file. Raises PictureRefused, and whatever a damaged
    header makes the readers raise."""
    found = _looked_at(file, path)
    if found.width * found.height > MAX_PIXELS:  # Pillow refuses only what is twice its limit
        raise PictureRefused(IMPOSSIBLE_SIZE, path=path)
    return found


def _looked_at(file: BinaryIO, path: str) -> PictureFacts:
    file.seek(0)
    head = file.read(HEAD_BYTES)
    format_ = sniff(head)
    if not format_:
        raise PictureRefused(why_not_a_picture(path, head), path=path)
    if format_ == "TIFF":
        return _look_at_tiff(file, path)
    if format_ == "HEIF":
        layout = heif_layout(file)
        if layout is not None:
            tags = read_block(layout.exif)
            return PictureFacts("HEIF", layout.width, layout.height, 1, tags, block=layout.exif)
    with open_picture(file, format_) as picture:
        width, height = picture.size
        block = picture.info.get("exif") or b""
        xmp = picture.info.get("xmp") or b""
        profile = picture.info.get("Raw profile type exif") or ""
    if format_ == "PNG" and not block:
        block = _late_png_exif(file) or _text_png_exif(profile)
    tags = read_block(block)
    orientation = 1 if format_ == "HEIF" else _orientation(tags, xmp)
    return PictureFacts(format_, width, height, orientation, tags, block=block)


def _look_at_tiff(file: BinaryIO, path: str) -> PictureFacts:
    layout = tiff_layout(file)
    tags = read_tiff(file)
    if not layout.raw:
        with open_picture(file, "TIFF"):  # it can be opened; its size there may be turned already
            return PictureFacts("TIFF", layout.width, layout.height, _orientation(tags), tags)
    if not layout.previews:
        raise PictureRefused("This raw file holds no preview that can be shown.", path=path)
    best = layout.previews[-1]
    make = tags.text("Make").upper()
    format_ = "DNG" if layout.dng else "raw"
    for name, brand in (("NEF", "NIKON"), ("CR2", "CANON"), ("ARW", "SONY")):
        if not layout.dng and make.startswith(brand):
            format_ = name
    return PictureFacts(format_, best.width, best.height, _orientation(tags), tags, best)


def _orientation(tags: Tags, xmp: bytes | str = b"") -> int:
    """EXIF Orientation; absent or out of 1 to 8 is 1. A file without EXIF may say it in its XMP."""
    value = tags.number("Orientation")
    if value is not None:
        return int(value) if value in range(1, 9) else 1
    found = _XMP_ORIENTATION.search(xmp.encode() if isinstance(xmp, str) else xmp)
    return int(found[1]) if found else 1


def _late_png_exif(file: BinaryIO) -> bytes:
    """The eXIf chunk wherever it stands; Pillow knows it only before the pixels."""
    at = 8
    for _ in range(100_000):
        file.seek(at)
        head = file.read(8)
        if len(head) < 8 or head[4:] == b"IEND":
            return b""
        size = int.from_bytes(head[:4], "big")
        if head[4:] == b"eXIf":
            return file.read(min(size, 1 << 20))
        at += size + 12
    return b""


def _text_png_exif(profile: str) -> bytes:
    """The block as older programs write it into a PNG: hexadecimal text after three lines."""
    try:
        return bytes.fromhex("".join(profile.split("\n")[3:]))
    except ValueError:
        return b""


def quick_key(file: BinaryIO, size: int) -> str:
    """32 hex digits from the size and three samples of the bytes: head, middle and tail.

    The tail and middle are compressed pixels, so two frames of one burst differ. It finds candidates; that
    two files are the same is only said after their content hashes agree.
    """
    digest = blake2b(size.to_bytes(8, "big"), digest_size=16)
    for at in sorted({0, max(0, (size - _SAMPLE_BYTES) // 2), max(0, size - _SAMPLE_BYTES)}):
        file.seek(at)
        digest.update(file.read(_SAMPLE_BYTES))
    return digest.hexdigest()


def counter(path: str) -> int | None:
    """The number that the camera counted into the file name: four letters and four digits (the DCF rule),
    or a number at the end; a date and time in the name is no counter."""
    stem = PurePath(path.replace("\\", "/")).stem
    if _DATED_NAME.search(stem):
        return None
    found = _DCF_NAME.match(stem) or _LAST_NUMBER.search(stem)
    return int(found[1]) if found else None
