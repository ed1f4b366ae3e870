"""Finding, reading many, hashing: every file is accounted for, once, in the order in which one counts."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import PictureRefused, Refusal
from catalog_gui.photos.files import DiskPictures, natural_key
from catalog_gui.photos.metadata import counter
from tests.photos.scenes import jpeg


def names(found: list[str | Refusal], base: Path) -> list[str]:
    return [os.path.relpath(one.path if isinstance(one, Refusal) else one, base) for one in found]


def test_every_file_is_given_once_in_counting_order(tmp_path: Path) -> None:
    for name in (
        "IMG_10.JPG",
        "IMG_2.JPG",
        "img_1.jpg",
        ".hidden",
        "Thumbs.db",
        "b/IMG_3.jpg",
        "b/c/IMG_4.jpg",
        "a/x.txt",
    ):
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"x")
    places = [str(tmp_path), str(tmp_path / "b"), str(tmp_path / "b" / "IMG_3.jpg")]
    found = list(DiskPictures().find(places))
    assert names(found, tmp_path) == [
        ".hidden",
        "img_1.jpg",
        "IMG_2.JPG",
        "IMG_10.JPG",
        "Thumbs.db",
        "a/x.txt",
        "b/IMG_3.jpg",
        "b/c/IMG_4.jpg",
    ]


def test_single_files_and_vanished_places_are_given_to_be_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(jpeg())
    reader = DiskPictures()
    found = list(reader.find([str(path), str(tmp_path / "gone")]))
    assert names(found, tmp_path) == ["a.jpg", "gone"]
    gone = reader.read(str(tmp_path / "gone"))
    assert isinstance(gone, Refusal)
    assert "no longer there" in gone.reason


def test_a_link_that_leads_in_a_circle_is_told_and_not_followed(tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "a.jpg").write_bytes(jpeg())
    (tmp_path / "in" / "again").symlink_to(tmp_path)
    (tmp_path / "in" / "nowhere.jpg").symlink_to(tmp_path / "missing")
    reader = DiskPictures()
    found = list(reader.find([str(tmp_path)]))
    assert names(found, tmp_path) == ["in/a.jpg", "in/nowhere.jpg", "in/again"]
    assert isinstance(found[2], Refusal)
    assert "link" in found[2].reason
    assert isinstance(reader.read(str(found[1])), Refusal)


def test_a_name_that_is_no_text_is_told(tmp_path: Path) -> None:
    (tmp_path / os.fsdecode(b"IMG_\xff.jpg")).write_bytes(jpeg())
    found = list(DiskPictures().find([str(tmp_path)]))
    assert len(found) == 1
    assert isinstance(found[0], Refusal)
    found[0].path.encode()
    assert "name" in found[0].reason


def test_read_many_keeps_order_tells_progress_and_stops_when_asked(tmp_path: Path) -> None:
    paths = []
    for number in range(5):
        path = tmp_path / f"IMG_{number}.jpg"
        path.write_bytes(jpeg(seed=number) if number != 3 else b"")
        paths.append(str(path))
    told: list[int] = []
    read = list(DiskPictures().read_many(paths, progress=told.append, cancelled=lambda: False))
    assert [path for path, _ in read] == paths
    assert [isinstance(one, Photo) for _, one in read] == [True, True, True, False, True]
    assert told == [1, 2, 3, 4, 5]
    told.clear()
    some = list(DiskPictures().read_many(paths, progress=told.append, cancelled=lambda: len(told) == 2))
    assert [path for path, _ in some] == paths[:2]


def test_content_hash_is_sha256_and_originals_are_only_read(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(jpeg() + bytes(3 << 20))
    path.chmod(0o444)
    before = path.stat()
    reader = DiskPictures()
    assert reader.content_hash(str(path)) == hashlib.sha256(path.read_bytes()).hexdigest()
    reader.read(str(path))
    after = path.stat()
    assert (before.st_mtime_ns, before.st_size) == (after.st_mtime_ns, after.st_size)
    try:
        reader.content_hash(str(tmp_path / "gone.jpg"))
    except PictureRefused as refusal:
        assert refusal.path == str(tmp_path / "gone.jpg")  # noqa: PT017 - the path is the point
    else:
        raise AssertionError("a vanished file has no hash")


def test_what_can_still_be_reached(tmp_path: Path) -> None:
    (tmp_path / "a.jpg").write_bytes(b"x")
    reader = DiskPictures()
    assert reader.exists(str(tmp_path / "a.jpg"))
    assert not reader.exists(str(tmp_path / "gone.jpg"))
    assert not reader.exists(str(tmp_path))
    assert not reader.exists("a\0b")


def test_the_quick_key_tells_files_apart_and_copies_together(tmp_path: Path) -> None:
    data = bytearray(jpeg(900, 700))
    keys = set()
    for name, at in (
        ("a", None),
        ("copy", None),
        ("head", 3000),
        ("middle", len(data) // 2),
        ("tail", len(data) - 9),
    ):
        changed = bytearray(data)
        if at is not None:
            changed[at] ^= 1
        path = tmp_path / f"{name}.jpg"
        path.write_bytes(changed)
        photo = DiskPictures().read(str(path))
        assert isinstance(photo, Photo)
        keys.add(photo.quick_key)
    assert len(keys) == 4


def test_counters() -> None:
    """The DCF rule (CIPA DC-009): four free characters, four digits; else common practice, no source."""
    for name, expected in {
        "IMG_5195.HEIC": 5195,
        "DSCN0010.jpg": 10,
        "P1010023.JPG": 23,
        "_MG_0042.CR2": 42,
        "IMG_E5195.JPG": 5195,
        "DSC_0001(1).jpg": 1,
        "foray 12.jpg": 12,
        "7.jpg": 7,
        "IMG_20220814_141231.jpg": None,
        "PXL_20230901_101530123.jpg": None,
        "cap.jpg": None,
        "": None,
    }.items():
        assert counter(f"/card/{name}") == expected, name


@given(st.lists(st.text(max_size=12), max_size=8))
def test_any_names_can_be_sorted(some: list[str]) -> None:
    ordered = sorted(some, key=natural_key)
    ordered.reverse()
    assert sorted(ordered, key=natural_key) == ordered[::-1]
    assert sorted(["x10", "x9", "X1"], key=natural_key) == ["X1", "x9", "x10"]
