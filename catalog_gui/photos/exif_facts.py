"""From EXIF tags to what the camera wrote: time, fix and camera, with a sentence for what cannot be used.

The source of the rules is CIPA DC-008-2019 (Exif 2.32), 4.6.5 F for time and 4.6.6 for positions.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

from catalog_gui.domain.photo import Camera, Fix, WrittenTime
from catalog_gui.geo.position import Position
from catalog_gui.photos.exif import Tags
from catalog_gui.photos.tiff import Number

_MOMENT = re.compile(r"(\d{4})[:\-/.](\d{2})[:\-/.](\d{2})[ T](\d{2}):(\d{2}):(\d{2})")
_OFFSET = re.compile(r"([+\-\u2212])(\d{1,2}):?(\d{2})")
_DATE = re.compile(r"(\d{4})[:\-/](\d{1,2})[:\-/](\d{1,2})")
_NORTH_SOUTH = {"N": 1, "NORTH": 1, "S": -1, "SOUTH": -1}
_EAST_WEST = {"E": 1, "EAST": 1, "W": -1, "WEST": -1}
_WGS84 = {"", "WGS84", "WGS1984", "WORLDGEODETICSYSTEM1984", "EPSG4326"}
_FIRST_DIGITAL_YEAR = 1990
_WIDEST_OFFSET = timedelta(hours=14)  # the line islands; the tz database has none beyond
_EARLIEST_ZONE_H, _LATEST_ZONE_H = -12.0, 14.0


def camera(tags: Tags) -> Camera:
    """Make, model and body serial number without padding; a serial of zeros is no serial."""
    serial = tags.text("BodySerialNumber") or tags.text("CameraSerialNumber")
    return Camera(
        make=" ".join(tags.text("Make").split()),
        model=" ".join(tags.text("Model").split()),
        serial="" if not serial.strip("0 ") else serial,
    )


def written_time(tags: Tags) -> WrittenTime:
    """DateTimeOriginal with its sub-seconds and offset (Exif 2.32, 4.6.5 F); DateTime is only the last change.

    Blank, zero and impossible dates give no moment and a sentence. The ISO spelling with dashes and 'T',
    which some programs write, is unambiguous and read.
    """
    raw = tags.texts.get("DateTimeOriginal", "").strip()
    offset = _offset(tags.text("OffsetTimeOriginal"))
    if not raw.strip(": "):
        changed = tags.text("DateTime")
        problem = "The camera wrote no time of exposure."
        if changed.strip(": 0"):
            problem += f" {changed} is only when the file was last changed."
        return WrittenTime(raw=raw, tag="DateTimeOriginal" if raw else "", problem=tags.problem or problem)
    local = _moment(raw)
    if local is None:
        zero = not raw.strip("0:- T")
        return WrittenTime(
            raw=raw,
            offset=offset,
            tag="DateTimeOriginal",
            problem="The camera wrote an empty time (zeros): its clock was not set."
            if zero
            else f"The written time '{raw}' is not a date and time.",
        )
    problem = tags.problem
    if local.year < _FIRST_DIGITAL_YEAR:
        problem = f"The written time says {local.year}: the camera's clock was not set."
    return WrittenTime(
        raw=raw,
        local=local + _fraction_of_second(tags.texts.get("SubSecTimeOriginal", "")),
        offset=offset,
        tag="DateTimeOriginal",
        problem=problem,
    )


def _moment(text: str) -> datetime | None:
    found = _MOMENT.fullmatch(text)
    if found is None:
        return None
    try:
        return datetime(*(int(part) for part in found.groups()))  # type: ignore[arg-type]  # noqa: DTZ001
    except ValueError:
        return None


def _fraction_of_second(text: str) -> timedelta:
    """Decimal digits after the point, padded with blanks on the right (SubSecTime): `5  ` is half a second."""
    digits = text.rstrip()
    if not (digits.isascii() and digits.isdigit()):
        return timedelta(0)
    return timedelta(microseconds=int((digits + "000000")[:6]))


def _offset(text: str) -> timedelta | None:
    if text == "Z":
        return timedelta(0)
    found = _OFFSET.fullmatch(text)
    if found is None:
        return None
    sign, hours, minutes = found.groups()
    offset = timedelta(hours=int(hours), minutes=int(minutes))
    if int(minutes) >= 60 or offset > _WIDEST_OFFSET:
        return None
    return offset if sign == "+" else -offset


def fix(tags: Tags, written: WrittenTime) -> tuple[Fix | None, str]:
    """The position as the receiver wrote it (Exif 2.32, 4.6.6), or None and why a written one is not used.

    Refuses rather than guesses: no letter for the hemisphere, no position. Nothing written, no reason.
    """
    latitudes, longitudes = tags.numbers.get("GPSLatitude"), tags.numbers.get("GPSLongitude")
    if latitudes is None and longitudes is None:
        return None, ""
    if latitudes is None or longitudes is None:
        return None, "Only half a position is written: latitude or longitude is missing."
    latitude = _degrees(latitudes, tags.text("GPSLatitudeRef"), _NORTH_SOUTH, "latitude", "N or S", 90)
    if isinstance(latitude, str):
        return None, latitude
    longitude = _degrees(longitudes, tags.text("GPSLongitudeRef"), _EAST_WEST, "longitude", "E or W", 180)
    if isinstance(longitude, str):
        return None, longitude
    position = Position(latitude, longitude)
    if position.is_null_island:
        return None, "The written position is 0, 0: the receiver had no fix."
    datum = tags.text("GPSMapDatum")
    if re.sub(r"[^A-Z0-9]", "", datum.upper()) not in _WGS84:
        return None, f"The position is written on another datum ({datum}), not WGS 84."
    satellite, inferred = _satellite_time(tags, written, longitude)
    direction = tags.number("GPSImgDirection")
    reference = tags.text("GPSImgDirectionRef").upper()
    error = tags.number("GPSHPositioningError")
    return (
        Fix(
            position=position,
            error_m=float(error) if error is not None and error > 0 else None,
            altitude_m=_altitude(tags),
            satellite_time=satellite,
            date_inferred=inferred,
            direction_deg=float(direction) % 360.0
            if direction is not None and 0 <= direction <= 360
            else None,
            direction_reference=reference if direction is not None and reference in ("T", "M") else "",
        ),
        "",
    )


def _degrees(
    parts: tuple[Number, ...], letter: str, letters: dict[str, int], which: str, expected: str, limit: int
) -> float | str:
    """Signed decimal degrees, or the sentence why not. One to three parts d, m, s, each may be fractional."""
    if not letter:
        return f"The {which} is written without its letter ({expected}), so its side is not known."
    sign = letters.get(letter.upper())
    if sign is None:
        return f"The {which} is written with '{letter}' instead of {expected}."
    # Trailing parts that were never filled in do no harm if the part before carries the fraction.
    known = list(parts[:3])
    while len(known) > 1 and known[-1] is None and known[-2] is not None and known[-2].denominator != 1:
        known.pop()
    if not known or any(part is None for part in known):
        return f"The {which} is written with a part that has no value."
    degrees, minutes, seconds = ([part for part in known if part is not None] + [0, 0])[:3]
    if degrees < 0 and sign < 0:
        degrees = -degrees  # signed and lettered, both saying the same
    if min(degrees, minutes, seconds) < 0:
        return f"The {which} has a negative number beside its letter."
    value = degrees + minutes / 60 + seconds / 3600
    if minutes > 60 or seconds > 60 or value > limit:
        return f"The {which} is out of range."
    return sign * float(value)


def _altitude(tags: Tags) -> float | None:
    """Metres; the reference says above (0, 2) or below (1, 3) sea level or ellipsoid; absent means above."""
    altitude = tags.number("GPSAltitude")
    if altitude is None:
        return None
    below = tags.number("GPSAltitudeRef") in (1, 3)
    return -abs(float(altitude)) if below else float(altitude)


def _satellite_time(tags: Tags, written: WrittenTime, longitude: float) -> tuple[datetime | None, bool]:
    """GPSDateStamp and GPSTimeStamp in UTC, and whether the date had to be inferred (Exif 2.32, GPSDateStamp)."""
    parts = tags.numbers.get("GPSTimeStamp", ())
    if len(parts) < 3 or any(part is None for part in parts[:3]):
        return None, False
    hour, minute, second = (float(part) for part in parts[:3] if part is not None)
    if not (0 <= hour <= 24 and 0 <= minute < 60 and 0 <= second <= 60):
        return None, False
    clock = timedelta(hours=hour, minutes=minute, seconds=second)
    found = _DATE.fullmatch(tags.text("GPSDateStamp"))
    if found is not None:
        try:
            year, month, day = (int(part) for part in found.groups())
            return datetime(year, month, day, tzinfo=UTC) + clock, False
        except (ValueError, OverflowError):
            pass
    if written.local is None:
        return None, False
    try:
        return _nearest_day(clock, written.local, written.offset, longitude), True
    except OverflowError:
        return None, False


def _nearest_day(clock: timedelta, local: datetime, offset: timedelta | None, longitude: float) -> datetime:
    """The day on which that time of day fits the camera's own time best.

    With a written offset: nearest to it. Without: the zone that follows must exist (-12 to +14 h), and
    of two that do, the one nearer to the sun's own at this longitude (15 degrees an hour) is taken.
    """
    midnight = datetime(local.year, local.month, local.day, tzinfo=UTC)
    choices = [midnight + timedelta(days=day) + clock for day in (-1, 0, 1)]

    def strangeness(moment: datetime) -> tuple[bool, float]:
        zone = (local.replace(tzinfo=UTC) - moment).total_seconds() / 3600
        if offset is not None:
            return False, abs(zone - offset.total_seconds() / 3600)
        return not _EARLIEST_ZONE_H <= zone <= _LATEST_ZONE_H, abs(zone - longitude / 15)

    return min(choices, key=strangeness)
