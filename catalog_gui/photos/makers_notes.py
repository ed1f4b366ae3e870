"""The second reader of a camera's notes, exifread: makers' own notes, and what lies in damaged directories.

Ours (`tiff.py`) stays the first: on 2,823 real and damaged files exifread raised on 34 and lost facts of 4,
and it takes six times as long. It knows the notes of Canon, Nikon, Fujifilm, Olympus, Sony, Casio, Apple and
DJI, which ours does not read. It is given the block that holds the notes, or the first bytes of a raw file,
never more, so that no file can make it run long.
"""

from __future__ import annotations

import io
import logging
import re
from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any

from catalog_gui.domain.makers_notes import MakersNotes
from catalog_gui.photos.exif import Tags
from catalog_gui.photos.tiff import Number

MOST_BYTES = 1 << 20
"""Of a block or a raw file that are looked at; makers' notes lie near the beginning."""

_MOST_IN_VAIN = 1000
_SERIALS = ("InternalSerialNumber", "InternalSerialNumber ", "SerialNumber")
_DRIVES = ("ContinuousDriveMode", "ReleaseMode", "BracketingMode")
_BRACKETS = ("AutoExposureBracketing", "BracketMode", "BracketingMode", "ReleaseMode", "MotorOrBracket")
_LENSES = ("MakerNote LensModel", "EXIF LensModel", "MakerNote LensType")
_KINDS = {"HDRImageType": "", "ImageCaptureType": "", "MultiBurstMode": "multi-burst "}
_NOTHING = {"", "n/a", "none", "off", "unknown", "no", "normal", "photo", "scene", "0"}
_SERIAL = re.compile(r"[0-9A-Za-z][0-9A-Za-z .\-]{2,39}")
_FILLED = {
    "time": {
        "DateTimeOriginal": "EXIF DateTimeOriginal",
        "OffsetTimeOriginal": "EXIF OffsetTimeOriginal",
        "SubSecTimeOriginal": "EXIF SubSecTimeOriginal",
    },
    "changed": {"DateTime": "Image DateTime"},
    "camera": {"Make": "Image Make", "Model": "Image Model"},
    "serial": {"BodySerialNumber": "EXIF BodySerialNumber"},
    "place": {
        name: f"GPS {name}"
        for name in (
            *("GPSLatitudeRef", "GPSLatitude", "GPSLongitudeRef", "GPSLongitude", "GPSAltitudeRef"),
            *("GPSAltitude", "GPSTimeStamp", "GPSImgDirectionRef", "GPSImgDirection", "GPSMapDatum"),
            *("GPSDateStamp", "GPSHPositioningError"),
        )
    },
}
"""What is filled together: the parts of one fact are never taken from two readers."""


def makers_notes(block: bytes) -> MakersNotes:
    """Read the maker's note of a block that begins with a TIFF header ('Exif' and two NULs may come first)."""
    found = _read(block, details=True) or _read(block, details=False)  # damaged notes cost only themselves

    def one(names: Iterable[str]) -> str:
        return next((words for name in names if (words := _words(found, f"MakerNote {name}"))), "")

    drive, bracket = one(_DRIVES), one(_BRACKETS)
    if ", " in drive:  # Nikon says both in one: 'Continuous, exposure bracketing'
        drive, _, bracket = drive.partition(", ")
    if "bracketing" in drive.casefold():
        drive = ""
    return MakersNotes(
        serial=next((s for name in _SERIALS if (s := _serial(found, f"MakerNote {name}"))), ""),
        drive=drive,
        bracket="" if bracket.casefold() == "no bracketing" or bracket == drive else bracket,
        lens=next((words for name in _LENSES if (words := _words(found, name))), ""),
        kind=next((f"{lead}{words}" for name, lead in _KINDS.items() if (words := one([name]))), ""),
    )


def with_gaps_filled(tags: Tags, block: bytes) -> Tags:
    """Fill what ours did not find in a damaged block by what the second reader does; nothing is replaced."""
    found = _read(block, details=False)
    texts, numbers = dict(tags.texts), dict(tags.numbers)
    for names in _FILLED.values():
        if any(name in tags.texts or name in tags.numbers for name in names):
            continue
        for name, theirs in names.items():
            values = getattr(found.get(theirs), "values", None)
            if isinstance(values, str):
                texts[name] = values.split("\0", 1)[0]
            elif isinstance(values, list) and values:
                numbers[name] = tuple(map(_number, values))
    return Tags(texts, numbers, tags.problem)


def _read(block: bytes, *, details: bool) -> Mapping[str, Any]:
    """Return exifread's tags by name; none where it raises, whatever that is."""
    import exifread  # noqa: PLC0415 - a tenth of a second, and most sessions need it only in the background

    logging.getLogger("exifread").disabled = True  # what it finds odd is of no use to anybody
    body = block[6:] if block[:6] == b"Exif\0\0" else block
    try:
        found: Mapping[str, Any] = exifread.process_file(
            _Block(body[:MOST_BYTES]), details=details, extract_thumbnail=False
        )
    except Exception:  # noqa: BLE001 - it raises all kinds on damaged notes, and nothing hangs on them
        return {}
    return found


class _Block(io.BytesIO):
    """A block that ends: a damaged directory may name 65,535 tags, and each is looked for beyond the end."""

    def __init__(self, data: bytes) -> None:
        super().__init__(data)
        self._in_vain = 0

    def read(self, size: int | None = -1, /) -> bytes:
        """Raise EOFError when it was read a thousand times where nothing is."""
        data = super().read(size)
        if size and not data:
            self._in_vain += 1
            if self._in_vain > _MOST_IN_VAIN:
                raise EOFError
        return data


def _number(value: object) -> Number:
    """A value of exifread's, whose fractions may have nothing below the line; None for that."""
    if not isinstance(value, Fraction | int):
        return None
    return Fraction(value.numerator, value.denominator) if value.denominator else None


def _words(found: Mapping[str, Any], name: str) -> str:
    """The words of a tag that say something; '' where they are a bare number, 'off' or the like."""
    text = " ".join(str(found[name]).split()) if name in found else ""
    plain = text.isprintable() and re.search("[A-Za-z]", text) and not text.startswith("[")
    return text if plain and text.casefold() not in _NOTHING else ""


def _serial(found: Mapping[str, Any], name: str) -> str:
    """A serial number; '' for zeros, for what is no text or number, and for text without any digit."""
    text = " ".join(str(found[name]).replace("\0", " ").split()) if name in found else ""
    text = text.removeprefix("NO= ").strip()
    sound = _SERIAL.fullmatch(text) and re.search("[1-9]", text)
    return text if sound else ""
