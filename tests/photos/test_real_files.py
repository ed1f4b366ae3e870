"""Real camera files (never part of the repository) against Exiv2 through pyexiv2, an independent reader."""

# ruff: noqa: DTZ001 - a camera's clock has no zone

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path

import pyexiv2
import pytest
from PIL import Image

from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import Refusal
from catalog_gui.photos.files import DiskPictures

pyexiv2.set_log_level(4)


def _other(path: Path) -> dict[str, str] | None:
    try:
        image = pyexiv2.Image(str(path))
    except RuntimeError:
        return None
    try:
        return dict(image.read_exif())
    finally:
        image.close()


def _degrees(text: str | None, letter: str | None, negative: str) -> float | None:
    if not text or not letter:
        return None
    value = sum(Fraction(part) / 60**power for power, part in enumerate(text.split()))
    return float(-value if letter == negative else value)


def test_every_file_is_taken_in_with_time_and_place_as_found_elsewhere_or_refused(
    pictures_folder: Path,
) -> None:
    reader = DiskPictures()
    taken = refused = places = times = 0
    for found in reader.find([str(pictures_folder)]):
        assert isinstance(found, str)
        photo = reader.read(found)
        theirs = _other(Path(found))
        if isinstance(photo, Refusal):
            refused += 1
            assert photo.reason.endswith(".")
            assert theirs is None, f"{found} was refused, yet another reader opens it"
            continue
        taken += 1
        assert theirs is not None
        stamp = theirs.get("Exif.Photo.DateTimeOriginal", "")
        if photo.written.local is None:
            assert not stamp.strip(" :0"), found
            assert photo.written.problem
        else:
            times += 1
            assert photo.written.local.strftime("%Y:%m:%d %H:%M:%S") == stamp, found
        latitude = _degrees(
            theirs.get("Exif.GPSInfo.GPSLatitude"), theirs.get("Exif.GPSInfo.GPSLatitudeRef"), "S"
        )
        longitude = _degrees(
            theirs.get("Exif.GPSInfo.GPSLongitude"), theirs.get("Exif.GPSInfo.GPSLongitudeRef"), "W"
        )
        if photo.fix is None:
            assert latitude is None or longitude is None or photo.fix_problem, found
        else:
            places += 1
            assert photo.fix.position.latitude == pytest.approx(latitude, abs=1e-9), found
            assert photo.fix.position.longitude == pytest.approx(longitude, abs=1e-9), found
        assert photo.camera.make == " ".join(theirs.get("Exif.Image.Make", "").split()), found
        assert photo.camera.model == " ".join(theirs.get("Exif.Image.Model", "").split()), found
        if photo.format == "JPEG" and "Exif.Image.Orientation" in theirs:
            assert photo.orientation == int(theirs["Exif.Image.Orientation"]), found
    assert taken >= 70
    assert refused >= 1  # the folder's own README
    assert times >= 40
    assert places >= 14


def test_sizes_are_those_of_the_picture_itself(pictures_folder: Path) -> None:
    """Editors leave the camera's pixel counts in the notes; the stored picture is what counts."""
    reader = DiskPictures()
    for path in sorted((pictures_folder / "heic").iterdir()) + sorted(
        (pictures_folder / "cameras").iterdir()
    ):
        photo = reader.read(str(path))
        assert isinstance(photo, Photo)
        with Image.open(path) as picture:
            assert (photo.width, photo.height) == picture.size, path.name


def _read(folder: Path, name: str) -> Photo:
    if not (folder / name).exists():
        pytest.skip(f"{name} is not among the real files")
    photo = DiskPictures().read(str(folder / name))
    assert isinstance(photo, Photo)
    return photo


def test_b2_1_written_offset_gives_the_instant(pictures_folder: Path) -> None:
    photo = _read(pictures_folder, "mobile/HMD_Nokia_8.3_5G.jpg")
    assert photo.written.local == datetime(2022, 8, 14, 14, 12, 31)
    assert photo.written.offset == timedelta(hours=3)
    assert photo.fix is not None
    assert photo.fix.satellite_time == datetime(2022, 8, 14, 11, 12, 32, tzinfo=UTC)
    assert photo.fix.position.latitude == pytest.approx(60.1467056, abs=5e-8)
    assert photo.fix.position.longitude == pytest.approx(24.9067722, abs=5e-8)
    assert (photo.fix.direction_deg, photo.fix.direction_reference) == (56.0, "M")


def test_b2_2_b2_3_b2_4_the_walk_keeps_both_clocks_apart(pictures_folder: Path) -> None:
    first, last = _read(pictures_folder, "gps/DSCN0010.jpg"), _read(pictures_folder, "gps/DSCN0042.jpg")
    assert first.fix is not None
    assert first.fix.satellite_time is not None
    assert first.written.local is not None
    assert first.written.local == datetime(2008, 10, 22, 16, 28, 39)
    difference = first.written.local.replace(tzinfo=UTC) - first.fix.satellite_time
    assert difference.total_seconds() == pytest.approx(-(21 * 3600 + 58 * 60 + 28.24))  # B2.3
    assert last.fix is not None
    assert last.fix.satellite_time is not None
    assert last.written.local is not None
    ahead = last.written.local.replace(tzinfo=UTC) - last.fix.satellite_time + timedelta(days=1)
    assert ahead.total_seconds() == pytest.approx(2 * 3600 + 2 * 60 + 25.63)  # B2.4


def test_b2_5_sign_on_a_zero_degree(pictures_folder: Path) -> None:
    photo = _read(pictures_folder, "cameras/Kodak_CX7530.jpg")
    assert photo.fix is not None
    assert photo.fix.position.latitude == pytest.approx(-0.3713, abs=5e-8)
    assert photo.fix.position.longitude == pytest.approx(36.0564167, abs=5e-8)


def test_b2_6_place_without_a_time(pictures_folder: Path) -> None:
    photo = _read(pictures_folder, "tests/67-0_length_string.jpg")
    assert photo.written.local is None
    assert "2016" in photo.written.problem
    assert photo.fix is not None
    assert photo.fix.position.latitude == pytest.approx(51.025, abs=5e-8)
    assert photo.fix.position.longitude == pytest.approx(7.5919444, abs=5e-8)
    assert photo.fix.altitude_m == 340
    assert photo.fix.error_m is None
    assert (photo.fix.direction_deg, photo.fix.direction_reference) == (pytest.approx(291.39), "M")


def test_b2_7_decimal_minutes_and_altitude_without_reference(pictures_folder: Path) -> None:
    photo = _read(pictures_folder, "tests/87_OSError.jpg")
    assert photo.fix is not None
    assert photo.fix.position.latitude == pytest.approx(43.7855944, abs=5e-8)
    assert photo.fix.position.longitude == pytest.approx(11.2346194, abs=5e-8)
    assert photo.fix.altitude_m == pytest.approx(42.123)
