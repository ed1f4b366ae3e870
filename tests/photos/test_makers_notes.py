"""Makers' notes and damaged directories through the second reader, against Exiv2 (pyexiv2) on real camera files."""

from __future__ import annotations

import contextlib
from dataclasses import replace
from pathlib import Path

import pyexiv2
import pytest

from catalog_gui.domain.makers_notes import MakersNotes
from catalog_gui.domain.problem import PictureRefused
from catalog_gui.photos.exif import DAMAGED, Tags, read_block
from catalog_gui.photos.files import DiskPictures
from catalog_gui.photos.makers_notes import makers_notes, with_gaps_filled
from tests.photos import exifwriter

pyexiv2.set_log_level(4)


def _exiv2(path: Path) -> dict[str, str]:
    image = pyexiv2.Image(str(path))
    try:
        return dict(image.read_exif())
    finally:
        image.close()


def _file(folder: Path, name: str) -> Path:
    return next(folder.rglob(name))


def test_the_serial_number_inside_a_nikon_is_exiv2s(pictures_folder: Path) -> None:
    """EXIF has no BodySerialNumber in this file: only the maker's note tells the body."""
    path = _file(pictures_folder, "32-lens_data.jpeg")
    theirs = _exiv2(path)
    assert "Exif.Photo.BodySerialNumber" not in theirs
    assert DiskPictures().makers_notes(str(path)).serial == theirs["Exif.Nikon3.SerialNumber"]


@pytest.mark.parametrize(
    ("name", "tag", "value", "drive"),
    [
        ("Canon_DIGITAL_IXUS_400.jpg", "Exif.CanonCs.DriveMode", "0", "Single Or Timer"),
        ("22-canon_tags.jpg", "Exif.CanonCs.DriveMode", "0", "Single Or Timer"),
        ("32-lens_data.jpeg", "Exif.Nikon3.ShootingMode", "1", "Continuous"),
    ],
)
def test_the_drive_is_what_exiv2s_number_means(
    pictures_folder: Path, name: str, tag: str, value: str, drive: str
) -> None:
    path = _file(pictures_folder, name)
    assert _exiv2(path)[tag] == value
    assert DiskPictures().makers_notes(str(path)).drive == drive


def test_bracketing_is_told_where_exiv2_says_it_was_on_and_nowhere_else(pictures_folder: Path) -> None:
    seen = 0
    for path in sorted(pictures_folder.rglob("*.jp*g")):
        try:
            theirs = _exiv2(path).get("Exif.CanonSi.AutoExposureBracketing")
        except RuntimeError:
            continue
        if theirs is None:
            continue
        seen += 1
        assert bool(DiskPictures().makers_notes(str(path)).bracket) == (theirs != "0"), path
    assert seen >= 4


def test_every_lens_that_exif_names_is_the_one_exiv2_names(pictures_folder: Path) -> None:
    seen = 0
    for path in sorted(pictures_folder.rglob("*")):
        try:
            theirs = _exiv2(path).get("Exif.Photo.LensModel", "") if path.is_file() else ""
        except (RuntimeError, UnicodeDecodeError):
            continue
        if theirs:
            seen += 1
            # pyexiv2 gives at most 40 letters of some texts
            assert DiskPictures().makers_notes(str(path)).lens.startswith(" ".join(theirs.split())[:40]), path
    assert seen >= 3


def test_no_file_makes_it_raise_anything_but_a_refusal(pictures_folder: Path) -> None:
    read = 0
    for path in sorted(pictures_folder.rglob("*")):
        if path.is_file():
            with contextlib.suppress(PictureRefused):
                read += isinstance(DiskPictures().makers_notes(str(path)), MakersNotes)
    assert read > 50


def test_words_leave_the_serial_number_out() -> None:
    notes = MakersNotes("123", "Continuous", "On (shot 1)", "50 mm", "HDR Image")
    assert notes.words == ("50 mm", "drive: Continuous", "bracketing: On (shot 1)", "HDR Image")
    assert MakersNotes(serial="123").words == ()


def test_what_is_no_block_has_no_notes() -> None:
    for block in (b"", b"II*\0", b"\0" * 40, b"MM\0*" + b"\xff" * 4000):
        assert makers_notes(block) == MakersNotes()


def test_a_fact_out_of_our_reach_is_filled_and_nothing_is_replaced() -> None:
    """As if ours had lost the time to damage: the second reader still finds it, and leaves make and model alone."""
    whole = exifwriter.block(
        main={0x010F: exifwriter.text("Aldermoor"), 0x0110: exifwriter.text("AM-20")},
        exif={0x9003: exifwriter.text("2025:10:12 10:00:00"), 0x9291: exifwriter.text("25")},
        gps={1: exifwriter.text("N"), 2: exifwriter.rational((51, 1), (30, 1), (0, 1))},
    )
    ours = read_block(whole)
    lost = replace(
        ours,
        texts={"Make": "Kept"},
        numbers={"GPSLatitude": (None,)},
        problem=DAMAGED,
    )
    filled = with_gaps_filled(lost, whole)
    assert filled.texts == {
        "Make": "Kept",
        "DateTimeOriginal": "2025:10:12 10:00:00",
        "SubSecTimeOriginal": "25",
    }
    assert filled.numbers == {"GPSLatitude": (None,)}
    assert filled.problem == DAMAGED
    everything = with_gaps_filled(Tags(problem=DAMAGED), whole)
    assert everything.numbers["GPSLatitude"] == ours.numbers["GPSLatitude"]
    assert everything.texts["GPSLatitudeRef"] == "N"


def test_a_damaged_pointer_of_a_signed_type_costs_only_its_directory() -> None:
    """It pointed before the beginning of the block, and the whole picture was refused."""
    whole = bytearray(
        exifwriter.block(
            {0x010F: exifwriter.text("Aldermoor")}, {0x9003: exifwriter.text("2025:10:12 10:00:00")}, {}
        )
    )
    at = whole.index(b"\x69\x87")  # the pointer to the EXIF directory, little-endian
    whole[at + 2 : at + 4] = (9).to_bytes(2, "little")  # a signed long
    whole[at + 8 : at + 12] = (-42).to_bytes(4, "little", signed=True)
    tags = read_block(bytes(whole))
    assert tags.text("Make") == "Aldermoor"
    assert tags.problem == DAMAGED
