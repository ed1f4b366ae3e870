"""What a camera wrote, against blocks written byte by byte. Row ids: check values, B1 (CIPA DC-008)."""

# ruff: noqa: DTZ001 - a camera's clock has no zone

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path

import pyexiv2
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from catalog_gui.domain.photo import Photo
from catalog_gui.photos.exif import DAMAGED, read_block
from catalog_gui.photos.exif_facts import camera, fix, written_time
from catalog_gui.photos.metadata import read_photo
from tests.photos import exifwriter as ew
from tests.photos.scenes import jpeg

JPEG = jpeg()
NORTH = {1: ew.text("N"), 2: ew.rational((51, 1), (30, 1), (0, 1))}
EAST = {3: ew.text("E"), 4: ew.rational((7, 1), (15, 1), (0, 1))}

pyexiv2.set_log_level(4)


def photo(
    tmp_path: Path,
    *,
    main: dict[int, ew.Value] | None = None,
    exif: dict[int, ew.Value] | None = None,
    gps: dict[int, ew.Value] | None = None,
    endian: str = "<",
) -> Photo:
    path = tmp_path / "IMG_0001.jpg"
    path.write_bytes(ew.into_jpeg(JPEG, ew.block(main or {}, exif or {}, gps or {}, endian=endian)))
    return read_photo(str(path))


def test_the_time_of_exposure_is_read_and_never_the_last_change(tmp_path: Path) -> None:
    """B1.1"""
    both = photo(
        tmp_path,
        main={0x132: ew.text("2008:11:01 21:15:07")},
        exif={0x9003: ew.text("2008:10:22 16:28:39")},
    )
    assert both.written.local == datetime(2008, 10, 22, 16, 28, 39)
    assert both.written.offset is None
    assert both.written.tag == "DateTimeOriginal"
    assert both.written.problem == ""
    changed = photo(
        tmp_path, main={0x132: ew.text("2008:11:01 21:15:07")}, exif={0x9004: ew.text("2008:11:01 00:00:00")}
    )
    assert changed.written.local is None
    assert "2008:11:01 21:15:07" in changed.written.problem
    assert "last changed" in changed.written.problem


@pytest.mark.parametrize(
    "raw",
    [
        " " * 19,  # B1.2
        "    :  :     :  :  ",  # B1.2
        "0000:00:00 00:00:00",  # B1.3 and the next three
        "2022:00:14 14:12:31",
        "2022:08:00 14:12:31",
        "2022:08:14 24:00:00",
        "2022:02:30 10:00:00",
        "2022:08:14 14:60:00",
        "2022:08:14",
        "yesterday",
        "",
    ],
)
def test_an_unknown_or_impossible_date_is_no_date_and_says_so(tmp_path: Path, raw: str) -> None:
    found = photo(tmp_path, exif={0x9003: ew.text(raw), 0x9291: ew.text("50")})
    assert found.written.local is None
    assert found.written.problem.endswith(".")
    assert found.written.raw == raw.strip()


def test_the_iso_spelling_is_unambiguous_and_read(tmp_path: Path) -> None:
    """B1.3 asks for no crash and no guess; this one needs no guess."""
    found = photo(tmp_path, exif={0x9003: ew.text("2022-08-14T14:12:31")})
    assert found.written.local == datetime(2022, 8, 14, 14, 12, 31)


def test_a_clock_that_was_never_set_is_told(tmp_path: Path) -> None:
    found = photo(tmp_path, exif={0x9003: ew.text("1970:01:01 00:03:10")})
    assert "1970" in found.written.problem
    assert found.written.local == datetime(1970, 1, 1, 0, 3, 10)


@pytest.mark.parametrize(
    ("text", "microseconds"),
    [
        *[("016", 16000), ("550", 550000), ("5", 500000), ("5  ", 500000), ("  ", 0), ("", 0)],
        *[("1234567", 123456), ("x7", 0), ("-5", 0), ("٣", 0)],
    ],
)
def test_sub_seconds_are_a_decimal_fraction(tmp_path: Path, text: str, microseconds: int) -> None:
    """B1.4"""
    tag = ew.undefined(text.encode()) if not text.isascii() else ew.text(text)
    found = photo(tmp_path, exif={0x9003: ew.text("2015:04:10 20:12:23"), 0x9291: tag})
    assert found.written.local == datetime(2015, 4, 10, 20, 12, 23, microseconds)


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        *[("+03:00", 180), ("+05:45", 345), ("-03:30", -210), ("+00:00", 0), ("-00:30", -30)],
        *[("+14:00", 840), ("   :  ", None), ("", None), ("+25:00", None), ("+01:75", None), ("CEST", None)],
    ],
)
def test_offsets_keep_sign_and_minutes(tmp_path: Path, text: str, minutes: int | None) -> None:
    """B1.5"""
    found = photo(tmp_path, exif={0x9003: ew.text("2022:08:14 14:12:31"), 0x9011: ew.text(text)})
    assert found.written.offset == (None if minutes is None else timedelta(minutes=minutes))


def test_the_offset_of_another_time_is_not_taken(tmp_path: Path) -> None:
    """B1.5: 0x9010 belongs to DateTime and 0x9012 to DateTimeDigitized."""
    found = photo(
        tmp_path,
        exif={0x9003: ew.text("2022:08:14 14:12:31"), 0x9010: ew.text("+01:00"), 0x9012: ew.text("+02:00")},
    )
    assert found.written.offset is None


def test_satellite_time_is_utc_with_its_fraction(tmp_path: Path) -> None:
    """B1.6, figures of B2.2"""
    stamp = {7: ew.rational((18, 1), (12, 1), (2206, 100)), 0x1D: ew.text("2015:04:10")}
    found = photo(tmp_path, gps={**NORTH, **EAST, **stamp})
    assert found.fix is not None
    assert found.fix.satellite_time == datetime(2015, 4, 10, 18, 12, 22, 60000, tzinfo=UTC)
    assert not found.fix.date_inferred


@pytest.mark.parametrize(
    ("local", "offset", "degrees_east", "clock", "day"),
    [
        ("2026:10:11 00:30:00", "+02:00", 7, (22, 30), 10),  # past midnight here, still yesterday in UTC
        ("2026:10:11 00:30:00", None, 7, (22, 30), 10),
        ("2026:10:11 23:40:00", "-03:30", 7, (3, 10), 12),
        ("2026:10:11 23:40:00", None, -52, (3, 10), 12),
        ("2026:10:11 12:00:00", None, 7, (10, 0), 11),
        ("2026:10:11 09:00:00", None, 170, (20, 0), 10),  # New Zealand: +13 h, not -11 h
        ("2026:10:11 09:00:00", None, -170, (20, 0), 11),  # Samoa: -11 h, not +13 h
    ],
)
def test_a_missing_satellite_date_is_inferred_from_the_camera_and_marked(
    tmp_path: Path, local: str, offset: str | None, degrees_east: int, clock: tuple[int, int], day: int
) -> None:
    """B1.6"""
    exif = {0x9003: ew.text(local)} | ({0x9011: ew.text(offset)} if offset else {})
    gps = {
        **NORTH,
        3: ew.text("E" if degrees_east > 0 else "W"),
        4: ew.rational((abs(degrees_east), 1), (0, 1), (0, 1)),
        7: ew.rational((clock[0], 1), (clock[1], 1), (0, 1)),
    }
    found = photo(tmp_path, exif=exif, gps=gps)
    assert found.fix is not None
    assert found.fix.satellite_time == datetime(2026, 10, day, *clock, tzinfo=UTC)
    assert found.fix.date_inferred


def test_a_satellite_clock_without_any_date_is_left_out(tmp_path: Path) -> None:
    found = photo(tmp_path, gps={**NORTH, **EAST, 7: ew.rational((10, 1), (0, 1), (0, 1))})
    assert found.fix is not None
    assert found.fix.satellite_time is None
    assert not found.fix.date_inferred


@pytest.mark.parametrize(
    ("letter", "sign"),
    [("N", 1), ("S", -1), ("n", 1), ("s ", -1), ("North", 1), ("SOUTH", -1)],
)
def test_the_letter_decides_the_side(tmp_path: Path, letter: str, sign: int) -> None:
    """B1.7"""
    found = photo(tmp_path, gps={1: ew.text(letter), 2: ew.rational((0, 1), (22, 1), (30, 1)), **EAST})
    assert found.fix is not None
    assert found.fix.position.latitude == pytest.approx(sign * 0.375)


@pytest.mark.parametrize(
    ("gps", "word"),
    [
        ({2: NORTH[2], **EAST}, "letter"),  # B1.7
        ({**NORTH, 4: EAST[4]}, "letter"),  # B1.7
        ({1: ew.text("Q"), 2: NORTH[2], **EAST}, "'Q'"),
        ({**NORTH, 3: ew.text("O"), 4: EAST[4]}, "'O'"),  # east in German, west in French
        ({**NORTH, 3: ew.text("N"), 4: EAST[4]}, "'N'"),
        (NORTH, "half"),
        (EAST, "half"),
        ({**EAST, 1: ew.text("N"), 2: ew.rational((51, 0), (30, 1), (0, 1))}, "no value"),  # B1.14
        ({**EAST, 1: ew.text("N"), 2: ew.rational((51, 1), (30, 1), (5, 0))}, "no value"),  # B1.14
        ({**EAST, 1: ew.text("N"), 2: ew.rational((0, 0), (0, 0), (0, 0))}, "no value"),
        ({**EAST, 1: ew.text("N"), 2: ew.rational((91, 1), (0, 1), (0, 1))}, "out of range"),
        ({**EAST, 1: ew.text("N"), 2: ew.rational((51, 1), (75, 1), (0, 1))}, "out of range"),
        ({**EAST, 1: ew.text("N"), 2: ew.srational((-51, 1), (30, 1), (0, 1))}, "negative"),
        ({**NORTH, **EAST, 0x12: ew.text("TOKYO")}, "TOKYO"),  # B1.12
        (
            {
                1: ew.text("N"),
                2: ew.rational((0, 1), (0, 1), (0, 1)),
                3: ew.text("E"),
                4: ew.rational((0, 1), (0, 1), (0, 1)),
            },
            "0, 0",
        ),
    ],
)
def test_a_position_that_cannot_be_trusted_is_refused_with_its_reason(
    tmp_path: Path, gps: dict[int, ew.Value], word: str
) -> None:
    found = photo(tmp_path, gps=gps)
    assert found.fix is None
    assert word in found.fix_problem
    assert found.fix_problem.endswith(".")


def test_nothing_written_is_no_position_and_no_complaint(tmp_path: Path) -> None:
    """B2.8: a directory with nothing but its version; B1.13: the target's place is not the camera's."""
    found = photo(
        tmp_path,
        gps={0: ew.byte(2, 2, 0, 0), 0x13: ew.text("N"), 0x14: NORTH[2], 0x15: ew.text("E"), 0x16: EAST[4]},
    )
    assert found.fix is None
    assert found.fix_problem == ""


def test_degrees_and_decimal_minutes_with_the_seconds_never_filled_in(tmp_path: Path) -> None:
    gps = {1: ew.text("N"), 2: ew.rational((51, 1), (3055, 100), (0, 0)), **EAST}
    found = photo(tmp_path, gps=gps)
    assert found.fix is not None
    assert found.fix.position.latitude == pytest.approx(51 + 30.55 / 60)


@pytest.mark.parametrize(
    ("reference", "expected"),
    [(None, 12.0), (0, 12.0), (1, -12.0), (2, 12.0), (3, -12.0)],
)
def test_altitude_below_the_sea(tmp_path: Path, reference: int | None, expected: float) -> None:
    """B1.8"""
    gps = {**NORTH, **EAST, 6: ew.rational((12, 1))} | (
        {5: ew.byte(reference)} if reference is not None else {}
    )
    found = photo(tmp_path, gps=gps)
    assert found.fix is not None
    assert found.fix.altitude_m == expected


def test_direction_keeps_its_reference_and_error_is_in_metres(tmp_path: Path) -> None:
    """B1.9, B1.10; B1.11: a dilution of precision is no uncertainty"""
    gps = {
        **NORTH,
        **EAST,
        0x0B: ew.rational((12, 10)),
        0x10: ew.text("M"),
        0x11: ew.rational((5600, 100)),
        0x12: ew.text("WGS-84   "),  # B1.12
        0x1F: ew.rational((73, 10)),
    }
    found = photo(tmp_path, gps=gps)
    assert found.fix is not None
    assert (found.fix.direction_deg, found.fix.direction_reference) == (56.0, "M")
    assert found.fix.error_m == pytest.approx(7.3)
    without = photo(tmp_path, gps={**NORTH, **EAST, 0x0B: ew.rational((12, 10)), 0x1F: ew.rational((0, 1))})
    assert without.fix is not None
    assert without.fix.error_m is None
    broken = photo(
        tmp_path,
        gps={**NORTH, **EAST, 0x11: ew.rational((5, 0)), 6: ew.rational((5, 0)), 0x1F: ew.rational((5, 0))},
    )
    assert broken.fix is not None
    assert (broken.fix.direction_deg, broken.fix.altitude_m, broken.fix.error_m) == (
        None,
        None,
        None,
    )  # B1.14


def test_the_camera_without_padding(tmp_path: Path) -> None:
    main = {0x10F: ew.text("Wrenfield   "), 0x110: ew.text("Wrenfield  Hollow 12 ")}
    found = photo(tmp_path, main=main, exif={0xA431: ew.text(" W0042 ")})
    assert found.camera.key == "Wrenfield Hollow 12 #W0042"
    assert photo(tmp_path, main=main, exif={0xA431: ew.text("0000000")}).camera.serial == ""


@pytest.mark.parametrize(("value", "expected"), [(1, 1), (6, 6), (8, 8), (0, 1), (9, 1), (65535, 1)])
def test_orientation_out_of_range_is_one(tmp_path: Path, value: int, expected: int) -> None:
    """B3"""
    assert photo(tmp_path, main={0x112: ew.short(value)}).orientation == expected


@st.composite
def _moments(draw: st.DrawFn) -> datetime:
    return draw(st.datetimes(min_value=datetime(1990, 1, 1), max_value=datetime(2099, 12, 31, 23, 59, 59)))


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    moment=_moments(),
    digits=st.text("0123456789", max_size=6),
    blanks=st.integers(0, 3),
    offset=st.none() | st.integers(-14 * 60, 14 * 60),
    north=st.sampled_from("NS"),
    east=st.sampled_from("EW"),
    latitude=st.fractions(0, 89, max_denominator=10**5),
    longitude=st.fractions(Fraction(1, 100), 179, max_denominator=10**5),
    shape=st.sampled_from(["d", "dm", "dms"]),
    scale=st.sampled_from([1, 3, 100]),
    endian=st.sampled_from("<>"),
)
def test_what_is_written_is_read_back_as_an_independent_reader_does(
    tmp_path: Path,
    moment: datetime,
    digits: str,
    blanks: int,
    offset: int | None,
    north: str,
    east: str,
    latitude: Fraction,
    longitude: Fraction,
    shape: str,
    scale: int,
    endian: str,
) -> None:
    """Signs, fractions, offsets and sub-seconds in both byte orders; raw text against pyexiv2 (Exiv2)."""
    stamp = moment.strftime("%Y:%m:%d %H:%M:%S")
    exif = {0x9003: ew.text(stamp), 0x9291: ew.text(digits + " " * blanks)}
    if offset is not None:
        exif[0x9011] = ew.text(f"{'-' if offset < 0 else '+'}{abs(offset) // 60:02d}:{abs(offset) % 60:02d}")
    gps = {
        1: ew.text(north),
        2: ew.rational(*_parts(latitude, shape, scale)),
        3: ew.text(east),
        4: ew.rational(*_parts(longitude, shape, scale)),
    }
    path = tmp_path / "IMG_0001.jpg"
    path.write_bytes(ew.into_jpeg(JPEG, ew.block({}, exif, gps, endian=endian)))
    found = read_photo(str(path))

    sub = int(digits.ljust(6, "0")) if digits else 0
    assert found.written.local == moment.replace(microsecond=sub)
    assert found.written.offset == (None if offset is None else timedelta(minutes=offset))
    assert found.fix is not None, found.fix_problem
    assert found.fix.position.latitude == pytest.approx(
        float(latitude) * (1 if north == "N" else -1), abs=1e-9
    )
    assert found.fix.position.longitude == pytest.approx(
        float(longitude) * (1 if east == "E" else -1), abs=1e-9
    )

    other = pyexiv2.Image(str(path))
    try:
        tags = other.read_exif()
    finally:
        other.close()
    assert tags["Exif.Photo.DateTimeOriginal"] == found.written.raw
    assert tags["Exif.GPSInfo.GPSLatitudeRef"] == north
    read = [Fraction(part) for part in tags["Exif.GPSInfo.GPSLatitude"].split()]
    theirs = sum(part / 60**power for power, part in enumerate(read))
    assert abs(float(theirs)) == pytest.approx(abs(found.fix.position.latitude), abs=1e-12)


def _parts(value: Fraction, shape: str, scale: int) -> list[tuple[int, int]]:
    """Degrees, minutes and seconds as rationals, exact, with the common denominators that cameras use."""
    if shape == "d":
        return [(value.numerator * scale, value.denominator * scale)]
    degrees = int(value)
    minutes = (value - degrees) * 60
    if shape == "dm":
        return [(degrees * scale, scale), (minutes.numerator, minutes.denominator), (0, scale)]
    seconds = (minutes - int(minutes)) * 60
    return [(degrees, 1), (int(minutes) * scale, scale), (seconds.numerator, seconds.denominator)]


@settings(max_examples=300, deadline=None)
@given(data=st.binary(max_size=400), endian=st.sampled_from([b"II*\0\x08\0\0\0", b"MM\0*\0\0\0\x08", b""]))
def test_no_block_makes_the_reader_stumble(data: bytes, endian: bytes) -> None:
    tags = read_block(endian + data)
    written = written_time(tags)
    fix(tags, written)
    camera(tags)
    if written.local is None:
        assert written.problem


def test_one_damaged_tag_costs_only_itself() -> None:
    """A maker's text that points outside the block must not take the time and the place with it."""
    exif = {0x9003: ew.text("2022:08:14 14:12:31"), 0x9011: ew.text("+03:00")}
    whole = ew.block({0x10F: ew.text("Wrenfield")}, exif, {**NORTH, **EAST})
    at = whole.index(b"\x0f\x01\x02\x00")
    damaged = whole[: at + 8] + b"\xf0\xff\xff\x7f" + whole[at + 12 :]
    tags = read_block(damaged)
    written = written_time(tags)
    assert written.local == datetime(2022, 8, 14, 14, 12, 31)
    assert written.problem == DAMAGED
    assert fix(tags, written)[0] is not None
    assert camera(tags).make == ""
