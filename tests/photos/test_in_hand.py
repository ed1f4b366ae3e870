"""A picture over which the program was killed is left alone until the user asks for it."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import PictureRefused, PictureSuspected
from catalog_gui.photos.cached_pictures import CachedPictures
from catalog_gui.photos.in_hand import FOLDER

KILLED = """
import os, signal, sys
from pathlib import Path
from catalog_gui.domain.photo import Photo
from catalog_gui.photos import cached_pictures, pixels

def end(*_): os.kill(os.getpid(), signal.SIGKILL)

pixels.thumbnail_jpeg = pixels.upright = pixels.region = end
store = cached_pictures.CachedPictures(Path(sys.argv[1]))
store._previews._make = end
photo = Photo("a", sys.argv[2], quick_key="ab" * 8, width=64, height=48)
{call}
"""


@pytest.fixture
def picture(tmp_path: Path) -> Photo:
    path = tmp_path / "a.jpg"
    Image.new("RGB", (64, 48), "brown").save(path)
    return Photo("a", str(path), quick_key="ab" * 8, width=64, height=48)


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no such kill here")
@pytest.mark.parametrize(
    "call", ["store.look(photo, 320)", "store.whole(photo)", "store.piece(photo, (0, 0, 9, 9), 9)"]
)
def test_a_picture_that_ended_the_program_is_remembered_until_it_is_asked_for(
    picture: Photo, tmp_path: Path, call: str
) -> None:
    previews = tmp_path / "previews"
    ran = subprocess.run(
        [sys.executable, "-c", KILLED.format(call=call), str(previews), picture.path],
        check=False,
        env=os.environ,
    )
    assert ran.returncode == -signal.SIGKILL
    for _ in range(2):  # not forgotten by the next start either
        store = CachedPictures(previews)
        for ask in (
            lambda store=store: store.look(picture, 320),
            lambda store=store: store.whole(picture),
            lambda store=store: store.piece(picture, (0, 0, 9, 9), 9),
        ):
            with pytest.raises(PictureSuspected, match="program ended while") as told:
                ask()
            assert told.value.path == picture.path
        assert store.first_look(picture, 320) is None
        other = tmp_path / "b.jpg"
        other.write_bytes(Path(picture.path).read_bytes())
        assert store.look(Photo("b", str(other), quick_key="cd" * 8, width=64, height=48), 320).width == 64
    store.try_again(picture)
    assert store.look(picture, 320).width == 64
    assert CachedPictures(previews).whole(picture).width == 64
    assert list((previews / FOLDER).iterdir()) == []


def test_a_picture_that_is_only_damaged_is_no_suspect(tmp_path: Path) -> None:
    (tmp_path / "c.jpg").write_bytes(b"\xff\xd8\xff damaged")
    photo = Photo("c", str(tmp_path / "c.jpg"), quick_key="ef" * 8)
    with pytest.raises(PictureRefused):
        CachedPictures(tmp_path / "previews").look(photo, 320)
    with pytest.raises(PictureRefused) as told:
        CachedPictures(tmp_path / "previews").look(photo, 320)
    assert not isinstance(told.value, PictureSuspected)


def test_a_kept_preview_of_a_suspect_is_shown(picture: Photo, tmp_path: Path) -> None:
    previews = tmp_path / "previews"
    store = CachedPictures(previews)
    store.look(picture, 320)
    with store._in_hand.decoding("ab" * 8, picture.path):
        left = next((previews / FOLDER).iterdir())
    left.touch()  # as if the program had ended inside
    again = CachedPictures(previews)
    assert again.look(picture, 320).width == 64
    with pytest.raises(PictureSuspected):
        again.whole(picture)
