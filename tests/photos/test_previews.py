"""The preview store: made once, kept whole, made again when damaged."""

from __future__ import annotations

import io
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from catalog_gui.domain.problem import PictureRefused
from catalog_gui.photos.pixels import thumbnail_jpeg
from catalog_gui.photos.previews import Previews
from tests.photos.scenes import jpeg

KEY = "0123456789abcdef" * 2


class Maker:
    """The real thumbnailer, counting."""

    def __init__(self) -> None:
        self.calls: list[int] = []

    def __call__(self, path: str, edge: int) -> bytes:
        self.calls.append(edge)
        return thumbnail_jpeg(path, edge)


def test_made_once_for_each_size_and_kept_over_a_restart(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(jpeg(400, 300))
    make = Maker()
    store = Previews(str(tmp_path / "previews"), make)
    assert store.kept(KEY, 128) is None
    first = store.get(str(path), KEY, 128)
    with Image.open(io.BytesIO(first)) as picture:
        assert picture.size == (128, 96)
    store.get(str(path), KEY, 256)
    path.unlink()
    assert Previews(str(tmp_path / "previews"), make).get(str(path), KEY, 128) == first
    assert make.calls == [128, 256]


def test_a_smaller_one_is_made_from_a_larger_one_that_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(jpeg(400, 300))
    make = Maker()
    store = Previews(str(tmp_path / "previews"), make)
    store.get(str(path), KEY, 256)
    small = store.get(str(path), KEY, 100)
    assert make.calls == [256]
    with (
        Image.open(io.BytesIO(small)) as picture,
        Image.open(io.BytesIO(thumbnail_jpeg(str(path), 100))) as other,
    ):
        assert picture.size == other.size == (100, 75)
        assert np.abs(np.asarray(picture).astype(int) - np.asarray(other)).mean() < 3
    assert store.kept(KEY, 100) == small


@pytest.mark.parametrize("damage", ["cut", "flip", "empty"])
def test_a_damaged_one_is_made_again(tmp_path: Path, damage: str) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(jpeg(400, 300))
    make = Maker()
    store = Previews(str(tmp_path / "previews"), make)
    whole = store.get(str(path), KEY, 128)
    (kept,) = (tmp_path / "previews").rglob("*.jpg")
    data = bytearray(kept.read_bytes())
    data[len(data) // 2] ^= 64
    kept.write_bytes({"cut": bytes(data[:100]), "flip": bytes(data), "empty": b""}[damage])
    assert store.kept(KEY, 128) is None
    assert store.get(str(path), KEY, 128) == whole
    assert len(make.calls) == 2
    assert store.kept(KEY, 128) == whole


def test_a_kept_file_is_an_ordinary_jpeg(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(jpeg(400, 300))
    Previews(str(tmp_path / "previews")).get(str(path), KEY, 128)
    (kept,) = (tmp_path / "previews").rglob("*.jpg")
    with Image.open(kept) as picture:
        picture.load()
        assert picture.size == (128, 96)


def test_forgetting_one_picture_leaves_the_others(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(jpeg(400, 300))
    store = Previews(str(tmp_path / "previews"))
    other = KEY[:-1] + "0"
    for key in (KEY, other):
        for edge in (64, 128):
            store.get(str(path), key, edge)
    store.forget(KEY)
    assert store.kept(KEY, 64) is None
    assert store.kept(KEY, 128) is None
    assert store.kept(other, 64) is not None


def test_a_key_of_any_shape_stays_inside_the_folder(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(jpeg(40, 30))
    store = Previews(str(tmp_path / "previews"))
    for key in ("../../outside", "", "a/b", "C:\\x"):
        store.get(str(path), key, 16)
        assert store.kept(key, 16) is not None
    assert sorted(one.name for one in tmp_path.iterdir()) == ["a.jpg", "previews"]


def test_a_store_that_cannot_be_written_still_gives_the_picture(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(jpeg(400, 300))
    (tmp_path / "previews").write_text("a file stands where the folder should be")
    store = Previews(str(tmp_path / "previews"))
    assert store.get(str(path), KEY, 64)[:2] == b"\xff\xd8"


def test_a_picture_that_cannot_be_read_is_refused_and_nothing_is_kept(tmp_path: Path) -> None:
    store = Previews(str(tmp_path / "previews"))
    with pytest.raises(PictureRefused, match="no longer there"):
        store.get(str(tmp_path / "gone.jpg"), KEY, 64)
    assert not list(tmp_path.rglob("*.jpg"))


def test_many_threads_may_ask_for_the_same(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(jpeg(400, 300))
    store = Previews(str(tmp_path / "previews"))
    with ThreadPoolExecutor(4) as pool:
        made = set(pool.map(lambda _: store.get(str(path), KEY, 64), range(40)))
    assert len(made) == 1
    assert not list((tmp_path / "previews").rglob("*.part"))
