"""Every format that is taken in, made on the spot: the same notes, the right size, upright pixels."""

# ruff: noqa: DTZ001 - a camera's clock has no zone

from __future__ import annotations

import io
import zlib
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import PictureRefused, Refusal
from catalog_gui.photos import pixels
from catalog_gui.photos.files import DiskPictures
from tests.photos import exifwriter as ew
from tests.photos.scenes import camera_tags, encoded, every_format, jpeg, scene

NAMES = sorted(every_format())
FORMATS = {
    "jpeg": "JPEG",
    "jpeg_big_endian": "JPEG",
    "png": "PNG",
    "png_late": "PNG",
    "webp": "WebP",
    "heic": "HEIF",
    "tiff": "TIFF",
    "dng": "DNG",
    "nef": "NEF",
    "arw": "ARW",
    "cr2": "CR2",
}


def array(shown: pixels.Pixels) -> np.ndarray:
    return np.frombuffer(shown.data, np.uint8).reshape(shown.height, shown.stride // 3, 3)[:, : shown.width]


def likeness(one: np.ndarray, other: np.ndarray) -> float:
    return float(np.corrcoef(one.astype(float).ravel(), other.astype(float).ravel())[0, 1])


def read(path: Path) -> Photo:
    found = DiskPictures().read(str(path))
    assert isinstance(found, Photo), found
    return found


@pytest.mark.parametrize("name", NAMES)
def test_the_same_notes_are_read_from_each_format(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    path.write_bytes(every_format()[name])
    photo = read(path)
    assert photo.format == FORMATS[path.stem]
    assert (photo.width, photo.height) == (96, 64)
    assert photo.written.local == datetime(2026, 10, 11, 9, 8, 7, 250000)
    assert photo.written.offset == timedelta(hours=2)
    assert photo.written.problem == ""
    assert photo.camera.serial == "W0042"
    assert photo.fix is not None
    assert photo.fix.position.latitude == pytest.approx(51.5)
    assert photo.fix.position.longitude == pytest.approx(-0.125)
    assert photo.fix.error_m == pytest.approx(7.3)
    assert photo.size_bytes == path.stat().st_size


@pytest.mark.parametrize("name", NAMES)
def test_the_name_does_not_decide_the_format(tmp_path: Path, name: str) -> None:
    path = tmp_path / "IMG_0007.JPG"
    path.write_bytes(every_format()[name])
    assert read(path).format == FORMATS[Path(name).stem]


@pytest.mark.parametrize("name", NAMES)
def test_pixels_of_each_format_are_upright(tmp_path: Path, name: str) -> None:
    """Orientation 6 (check value B3): a quarter turn to the right. HEIF turns by its container instead."""
    path = tmp_path / name
    path.write_bytes(every_format(orientation=6)[name])
    photo = read(path)
    expected = np.asarray(scene())
    if photo.format == "HEIF":
        assert photo.orientation == 1
        with Image.open(path) as other:
            expected = np.asarray(other.convert("RGB"))
    else:
        assert photo.orientation == 6
        expected = np.rot90(expected, -1)
    shown = pixels.upright(str(path))
    assert (shown.width, shown.height) == photo.upright_size
    assert likeness(array(shown), expected) > 0.98
    small = pixels.thumbnail(str(path), 48)
    assert max(small.width, small.height) == 48
    assert (small.full_width, small.full_height) == photo.upright_size
    reference = np.asarray(Image.fromarray(expected).resize((small.width, small.height)))
    assert likeness(array(small), reference) > 0.98


def test_a_raw_file_without_a_preview_is_refused(tmp_path: Path) -> None:
    tags = camera_tags()
    path = tmp_path / "DSC_0001.nef"
    path.write_bytes(ew.raw_file(b"", (96, 64), **tags, kind="NEF"))
    found = DiskPictures().read(str(path))
    assert isinstance(found, Refusal)
    assert "no preview" in found.reason


def test_sensor_data_in_a_lossless_jpeg_is_not_taken_for_a_preview(tmp_path: Path) -> None:
    """A raw file may keep its sensor data as a lossless JPEG (marker SOF3, ITU-T T.81 table B.1)."""
    lossless = bytearray(jpeg(200, 100))
    at = lossless.index(b"\xff\xc0")
    lossless[at + 1] = 0xC3
    path = tmp_path / "IMG_0001.cr2"
    path.write_bytes(
        ew.raw_file(bytes(lossless), (200, 100), **camera_tags(), kind="CR2", small=jpeg(48, 32))
    )
    photo = read(path)
    assert (photo.width, photo.height) == (48, 32)


def test_the_largest_preview_stands_for_a_raw_file_and_the_smallest_is_shown_first(tmp_path: Path) -> None:
    path = tmp_path / "a.dng"
    path.write_bytes(
        ew.raw_file(jpeg(600, 400), (600, 400), **camera_tags(8), kind="DNG", small=jpeg(150, 100))
    )
    photo = read(path)
    assert (photo.width, photo.height, photo.orientation) == (600, 400, 8)
    first = pixels.embedded_preview(str(path))
    assert first is not None
    assert (first.width, first.height) == (100, 150)
    assert (first.full_width, first.full_height) == (400, 600)


def test_a_heif_turned_by_its_container_is_not_turned_again(tmp_path: Path) -> None:
    """ISO/IEC 23008-12: irot applies; the EXIF orientation beside it only repeats it."""
    exif = Image.Exif()
    exif[0x112] = 6
    path = tmp_path / "a.heic"
    scene().save(path, "HEIF", exif=exif.tobytes(), quality=95)
    photo = read(path)
    with Image.open(path) as other:
        assert (photo.width, photo.height) == other.size
    assert photo.orientation == 1


@pytest.mark.parametrize("mode", ["L", "1", "P", "LA", "RGBA", "CMYK", "I;16", "F"])
def test_odd_colour_modes_become_rgb_and_keep_their_brightness(tmp_path: Path, mode: str) -> None:
    grey = np.tile(np.linspace(0, 255, 96, dtype=np.uint8), (64, 1))
    picture = Image.fromarray(grey)
    if mode == "I;16":
        picture = Image.fromarray(grey.astype(np.uint16) * 257)
    elif mode == "F":
        picture = Image.fromarray(grey.astype(np.float32) / 255)
    else:
        picture = picture.convert("RGB").convert(mode) if mode != "1" else picture.convert("1")
    path = tmp_path / "a.tif"
    picture.save(path, "TIFF")
    shown = array(pixels.upright(str(path)))
    assert shown.shape == (64, 96, 3)
    assert abs(float(shown[:, :20].mean()) - float(grey[:, :20].mean())) < 12
    assert abs(float(shown[:, -20:].mean()) - float(grey[:, -20:].mean())) < 12
    small = array(pixels.thumbnail(str(path), 32))
    assert float(small[:, 0].mean()) < 40
    assert float(small[:, -1].mean()) > 215


def test_a_wide_gamut_profile_is_brought_to_srgb(tmp_path: Path) -> None:
    """A linear profile (gamma 1) shows mid-grey 128 as sRGB 188: IEC 61966-2-1 transfer curve of 0.502."""
    from PIL import ImageCms

    linear = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB"))
    data = bytearray(linear.tobytes())
    # The three tone curves share one 'para' or 'curv' tag; a count of 0 in 'curv' means a straight line.
    for at in range(len(data) - 12):
        if data[at : at + 4] == b"para":
            data[at : at + 12] = b"curv\0\0\0\0\0\0\0\0"
    name = data.find("sRGB".encode("utf-16-be"))
    while name >= 0:
        data[name : name + 8] = "lins".encode("utf-16-be")
        name = data.find("sRGB".encode("utf-16-be"))
    path = tmp_path / "a.png"
    Image.new("RGB", (8, 8), (128, 128, 128)).save(path, "PNG", icc_profile=bytes(data))
    shown = array(pixels.upright(str(path)))
    assert shown[4, 4] == pytest.approx([188, 188, 188], abs=3)


def test_transparent_parts_are_white(tmp_path: Path) -> None:
    path = tmp_path / "a.png"
    Image.new("RGBA", (8, 8), (10, 20, 30, 0)).save(path)
    assert array(pixels.upright(str(path)))[4, 4].tolist() == [255, 255, 255]


def test_a_file_without_notes_may_say_its_orientation_in_xmp(tmp_path: Path) -> None:
    packet = b"http://ns.adobe.com/xap/1.0/\0<x:xmpmeta><rdf:Description tiff:Orientation='6'/></x:xmpmeta>"
    plain = jpeg()
    path = tmp_path / "a.jpg"
    path.write_bytes(plain[:2] + b"\xff\xe1" + (len(packet) + 2).to_bytes(2, "big") + packet + plain[2:])
    assert read(path).orientation == 6


def test_older_programs_write_the_block_into_a_png_as_text(tmp_path: Path) -> None:
    from PIL import PngImagePlugin

    block = ew.block(**camera_tags())
    text = PngImagePlugin.PngInfo()
    text.add_text("Raw profile type exif", f"\nexif\n{len(block):8d}\n{block.hex()}\n", zip=True)
    path = tmp_path / "a.png"
    path.write_bytes(encoded(scene(), "PNG", pnginfo=text))
    assert read(path).written.local == datetime(2026, 10, 11, 9, 8, 7, 250000)


@pytest.mark.parametrize(
    ("head", "word"),
    [
        (b"GIF89a", "GIF"),
        (b"BM\0\0", "BMP"),
        (b"%PDF-1.7", "PDF"),
        (b"\0\0\0\x1cftypavif\0\0\0\0", "AVIF"),
        (b"\0\0\0\x18ftypcrx \0\0\0\0", "CR3"),
        (b"\0\0\0\x18ftypmp42\0\0\0\0", "film"),
        (b"FUJIFILMCCD-RAW 0201", "RAF"),
        (b"plain words", "not a picture"),
    ],
)
def test_what_is_not_taken_in_is_named(tmp_path: Path, head: bytes, word: str) -> None:
    path = tmp_path / "thing.bin"
    path.write_bytes(head + bytes(100))
    found = DiskPictures().read(str(path))
    assert isinstance(found, Refusal)
    assert word in found.reason
    with pytest.raises(PictureRefused, match=word):
        pixels.thumbnail(str(path), 64)


def test_sidecars_and_tracks_get_their_own_reason(tmp_path: Path) -> None:
    for name, word in (("IMG_0001.xmp", "sidecar"), ("walk.GPX", "track")):
        (tmp_path / name).write_text("<?xml version='1.0'?><a/>")
        found = DiskPictures().read(str(tmp_path / name))
        assert isinstance(found, Refusal)
        assert word in found.reason
    (tmp_path / "IMG_0002.jpg").write_bytes(b"not at all")
    found = DiskPictures().read(str(tmp_path / "IMG_0002.jpg"))
    assert isinstance(found, Refusal)
    assert "name says picture" in found.reason


def test_a_preview_in_memory_opens_as_it_was_made(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(ew.into_jpeg(jpeg(400, 300), ew.block(**camera_tags(6))))
    with Image.open(io.BytesIO(pixels.thumbnail_jpeg(str(path), 100))) as small:
        assert small.size == (75, 100)
        assert "exif" not in small.info  # no place, no serial number in the cache


def test_an_avif_file_is_told_from_a_heif_one_whichever_brand_stands_first(tmp_path: Path) -> None:
    for brands in (b"avif\0\0\0\0mif1miaf", b"mif1\0\0\0\0avifmiaf"):
        path = tmp_path / "a.heic"
        box = b"ftyp" + brands
        path.write_bytes((len(box) + 4).to_bytes(4, "big") + box + bytes(64))
        found = DiskPictures().read(str(path))
        assert isinstance(found, Refusal)
        assert found.reason == "Pictures of this kind (AVIF) are not taken in; save it as JPEG first."


@pytest.mark.filterwarnings("ignore::PIL.Image.DecompressionBombWarning")
def test_a_size_beyond_the_limit_is_refused_and_not_only_beyond_twice_of_it(tmp_path: Path) -> None:
    path = tmp_path / "huge.png"
    Image.new("L", (8, 8)).save(path)
    data = path.read_bytes()
    head = b"IHDR" + (60_000).to_bytes(4, "big") * 2 + data[24:29]  # 3,600 million pixels
    path.write_bytes(data[:12] + head + zlib.crc32(head).to_bytes(4, "big") + data[33:])
    found = DiskPictures().read(str(path))
    assert isinstance(found, Refusal)
    assert "impossible size" in found.reason
