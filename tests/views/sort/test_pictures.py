"""Pictures for widgets: scaled in the decoder's thread, dropped only when nobody waits, refused with the reason."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from catalog_gui.domain.photo import Photo, Raster
from catalog_gui.views.widgets.pictures import PictureSource
from tests.views.plain import PlainPictures


class SlowPictures(PlainPictures):
    """Decodes nothing until it is let go on."""

    def __init__(self) -> None:
        self.go_on = threading.Event()
        self.seen: list[str] = []

    def look(self, photo: Photo, edge: int) -> Raster:
        assert self.go_on.wait(20)
        self.seen.append(photo.id)
        return self._grey(photo, edge)


@pytest.fixture
def slow() -> SlowPictures:
    return SlowPictures()


@pytest.fixture
def source(slow: SlowPictures, qapp: object) -> Iterator[PictureSource]:
    made = PictureSource(slow)
    yield made
    slow.go_on.set()
    made.close()


def test_a_fitted_picture_comes_scaled_and_another_size_stands_in(
    source: PictureSource, slow: SlowPictures, qtbot: QtBot
) -> None:
    slow.go_on.set()
    photo = Photo("p", "/card/p.jpg")
    assert source.pixmap(photo, 160, fit=(100, 90)) is None
    qtbot.waitUntil(lambda: source.pixmap(photo, 160, fit=(100, 90)) is not None)
    fitted = source.pixmap(photo, 160, fit=(100, 90))
    assert fitted is not None
    assert (fitted.width(), fitted.height()) == (100, 75)
    stand_in = source.pixmap(photo, 160, fit=(60, 60))
    assert stand_in is not None
    assert stand_in.width() == 100
    with qtbot.waitSignal(source.ready):
        pass
    sharp = source.pixmap(photo, 160, fit=(60, 60))
    assert sharp is not None
    assert sharp.width() == 60


def test_what_is_dropped_can_be_asked_for_again(
    source: PictureSource, slow: SlowPictures, qtbot: QtBot
) -> None:
    photos = [Photo(f"p{n}", f"/card/p{n}.jpg") for n in range(8)]
    for photo in photos:
        source.pixmap(photo, 160)
    source.drop_requests({photo.id for photo in photos if photo.id != "p0"})
    slow.go_on.set()
    qtbot.waitUntil(lambda: source.pixmap(photos[0], 160) is not None)
    assert len(slow.seen) <= 3, "one that was wanted and at most the two that had begun"
    qtbot.waitUntil(lambda: all([source.pixmap(photo, 160) is not None for photo in photos]))  # noqa: C419 - ask all


def test_a_picture_that_cannot_be_shown_says_why(
    source: PictureSource, slow: SlowPictures, qtbot: QtBot
) -> None:
    slow.go_on.set()
    gone = Photo("g", "/card/gone.jpg")
    with qtbot.waitSignal(source.refused) as told:
        source.pixmap(gone, 160)
    assert told.args is not None
    assert told.args[0] == "g"
    assert "gone" in source.problem("g")
    source.forget("g")
    assert source.problem("g") == ""
