"""How pictures look: what stays the same, what differs, and what is no look at all."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from catalog_gui.annotation.colour import lab
from catalog_gui.domain.photo import Photo, Raster
from catalog_gui.photos.cached_pictures import CachedPictures
from catalog_gui.photos.looks import _chroma, look_of, vector_of
from catalog_gui.photos.pixels import thumbnail
from tests.photos.scenes import jpeg, scene


def raster(picture: Image.Image) -> Raster:
    return Raster(picture.width, picture.height, picture.convert("RGB").tobytes())


def vector(picture: Image.Image) -> NDArray[np.float32]:
    look = look_of(raster(picture))
    assert look is not None
    return vector_of(look)


def lit(picture: Image.Image, factor: float) -> Image.Image:
    """The same in other light, scaled as light is (sRGB decoded with 2.2)."""
    return picture.point(
        [round(255 * min(1.0, factor * (v / 255) ** 2.2) ** (1 / 2.2)) for v in range(256)] * 3
    )


class TestLook:
    def test_colours_are_those_of_the_tables(self) -> None:
        red = np.array([[[255, 0, 0]]], np.uint8)
        assert np.stack(_chroma(red)).ravel() == pytest.approx((80.111, 67.224), abs=0.05)  # G3.2
        pixels = np.asarray(scene(40, 30, 3))
        ours = np.stack(_chroma(pixels), axis=-1)
        theirs = [
            [lab((float(pixel[0]), float(pixel[1]), float(pixel[2])))[1:] for pixel in row] for row in pixels
        ]
        assert np.abs(ours - theirs).max() < 0.05

    def test_smaller_brighter_and_mirrored_look_alike_and_other_colours_do_not(self) -> None:
        picture = scene(320, 240, 1)
        same = vector(picture)
        assert float(same @ same) == pytest.approx(1.0, abs=1e-5)
        assert float(same @ vector(picture.resize((160, 120)))) > 0.98
        assert float(same @ vector(picture.transpose(Image.Transpose.FLIP_LEFT_RIGHT))) > 0.98
        other = float(same @ vector(scene(320, 240, 9)))
        assert float(same @ vector(lit(picture, 0.6))) > other + 0.1
        assert other < 0.8

    @pytest.mark.parametrize(
        "picture",
        [
            Image.new("L", (300, 200), 90),
            Image.linear_gradient("L"),
            Image.new("RGB", (1, 1), "red"),
            Image.new("RGB", (900, 3), "red"),
            Image.new("RGB", (300, 200), "black"),
        ],
    )
    def test_grey_and_tiny_pictures_have_no_look(self, picture: Image.Image) -> None:
        assert look_of(raster(picture)) is None

    def test_too_few_bytes_are_no_look(self) -> None:
        assert look_of(Raster(300, 200, b"\x10" * 50)) is None

    @pytest.mark.parametrize("colour", ["#ff0000", "#00ff00", "#0000ff", "#ff00ff", "#ffff00"])
    def test_the_loudest_colours_stay_in_their_boxes(self, colour: str) -> None:
        look = vector(Image.new("RGB", (64, 64), colour))
        assert np.isfinite(look).all()
        assert float(look @ look) == pytest.approx(1.0, abs=1e-5)


class TestKeptLooks:
    def test_unknown_until_shown_then_kept_over_a_restart(self, tmp_path: Path) -> None:
        for name, seed in (("a", 1), ("b", 1), ("c", 9)):
            (tmp_path / f"{name}.jpg").write_bytes(jpeg(400, 300, seed))
        a, b, c = (Photo(name, str(tmp_path / f"{name}.jpg"), quick_key=name * 32) for name in "abc")
        store = CachedPictures(tmp_path / "previews")
        assert store.looks(a, b) is None
        assert not store.looks.knows(a)
        for photo in (a, b, c):
            store.look(photo, 160)
        alike, unlike = store.looks(a, b), store.looks(a, c)
        assert alike == pytest.approx(1.0, abs=1e-3)
        assert unlike is not None
        assert unlike < 0.8
        again = CachedPictures(tmp_path / "previews")
        assert again.looks(a, c) == pytest.approx(unlike)

    def test_a_grey_picture_is_known_to_tell_nothing(self, tmp_path: Path) -> None:
        Image.new("L", (300, 200), 90).save(tmp_path / "grey.jpg")
        (tmp_path / "b.jpg").write_bytes(jpeg(400, 300))
        grey, other = Photo("g", str(tmp_path / "grey.jpg")), Photo("b", str(tmp_path / "b.jpg"))
        store = CachedPictures(tmp_path / "previews")
        store.look(grey, 160), store.look(other, 160)
        assert store.looks(grey, other) is None
        assert store.looks(grey, grey) is None
        assert CachedPictures(tmp_path / "previews").looks.knows(grey)

    @pytest.mark.parametrize("damage", [b"", b"short", b"x" * 448])
    def test_a_damaged_one_is_unknown_and_made_again(self, tmp_path: Path, damage: bytes) -> None:
        (tmp_path / "a.jpg").write_bytes(jpeg(400, 300))
        photo = Photo("a", str(tmp_path / "a.jpg"), quick_key="a" * 32)
        CachedPictures(tmp_path / "previews").look(photo, 160)
        (kept,) = (tmp_path / "previews").rglob("*.look1")
        kept.write_bytes(damage)
        store = CachedPictures(tmp_path / "previews")
        assert store.looks(photo, photo) is None
        store.look(photo, 160)
        assert store.looks(photo, photo) == pytest.approx(1.0, abs=1e-5)

    def test_forgetting_a_picture_forgets_its_look(self, tmp_path: Path) -> None:
        (tmp_path / "a.jpg").write_bytes(jpeg(400, 300))
        photo = Photo("a", str(tmp_path / "a.jpg"), quick_key="a" * 32)
        store = CachedPictures(tmp_path / "previews")
        store.look(photo, 160)
        store._previews.forget(photo.quick_key)
        assert not list((tmp_path / "previews").rglob("*.*"))

    def test_a_picture_that_cannot_be_shown_stays_unknown(self, tmp_path: Path) -> None:
        (tmp_path / "bad.jpg").write_bytes(jpeg(400, 300)[:200])
        photo = Photo("bad", str(tmp_path / "bad.jpg"))
        store = CachedPictures(tmp_path / "previews")
        assert store.first_look(photo, 160) is None
        assert not store.looks.knows(photo)
        assert store.looks(photo, photo) is None


def test_real_pictures_of_one_scene_look_more_alike_than_others(real_pictures: Path) -> None:
    """The same view turned eight ways, by its own written orientation, beside walks through a town."""
    turned = sorted((real_pictures / "orientation").glob("landscape_*.jpg"))
    town = sorted((real_pictures / "gps").glob("DSCN*.jpg"))
    if len(turned) < 2 or len(town) < 2:
        pytest.skip("the real files of one scene are not there")

    def seen(path: Path) -> NDArray[np.float32]:
        pixels = thumbnail(str(path), 160)
        look = look_of(Raster(pixels.width, pixels.height, pixels.data))
        assert look is not None
        return vector_of(look)

    first, *rest = [seen(path) for path in turned]
    streets = [seen(path) for path in town]
    least = min(float(first @ one) for one in rest)
    assert least > 0.9
    assert least > max(float(first @ street) for street in streets)
