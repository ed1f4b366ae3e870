"""A canvas over a specimen with four pictures made up here, and hands that draw on it."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.foray import Foray, Group
from catalog_gui.domain.photo import Photo, Raster
from catalog_gui.domain.problem import PictureRefused
from catalog_gui.domain.specimen import Specimen
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.views.bench import Bench
from catalog_gui.views.canvas.view import CanvasView
from catalog_gui.views.widgets.pictures import PictureSource
from tests.views.canvas.hands import Hands
from tests.views.plain import plain_bench

EVENING = datetime(2025, 10, 18, 18, tzinfo=UTC)
BROWN = (139, 69, 19)


class MadePictures:
    """One colour for every photo; 'gone' has only its preview left, 'huge' comes at a fifth of its size."""

    def _plain(self, width: int, height: int, scale: float) -> Raster:
        return Raster(width, height, bytes(BROWN) * (width * height), scale)

    def try_again(self, photo: Photo) -> None:
        pass

    def first_look(self, photo: Photo, edge: int) -> Raster | None:
        return None

    def look(self, photo: Photo, edge: int) -> Raster:
        width, height = photo.upright_size
        scale = min(1.0, 200 / max(width, height, 1))
        return self._plain(max(1, round(width * scale)), max(1, round(height * scale)), scale)

    def whole(self, photo: Photo, most_pixels: int = 60_000_000) -> Raster:
        if photo.name.startswith("gone"):
            raise PictureRefused("The file is gone.", path=photo.path)
        width, height = photo.upright_size
        if photo.name.startswith("huge"):
            return self._plain(width // 20, height // 20, 0.05)
        return self._plain(width, height, 1.0)

    def piece(self, photo: Photo, box: tuple[float, float, float, float], edge: int) -> Raster:
        across, down = box[2] - box[0], box[3] - box[1]
        scale = min(1.0, edge / max(across, down))
        return self._plain(max(1, round(across * scale)), max(1, round(down * scale)), scale)


@pytest.fixture(autouse=True)
def _garbage_in_this_thread() -> Iterator[None]:
    """A search for garbage in a worker thread could destroy the last test's timers there, which Qt forbids."""
    gc.disable()
    yield
    gc.collect()
    gc.enable()


@pytest.fixture
def catalogue(tmp_path: Path, qapp: object) -> Iterator[Catalogue]:
    made = open_catalogue(tmp_path / "catalogue", now=lambda: EVENING)
    with made.step("Begin", undoable=False) as work:
        work.forays.put(Foray("f", "A walk"))
        work.specimens.put(Specimen("s", "2025-001", "f"))
        work.photos.put(
            Photo("p", "/card/a.jpg", width=800, height=600),
            Photo("q", "/card/b.jpg", width=600, height=400, orientation=6),
            Photo("gone", "/card/gone.jpg", width=800, height=600),
            Photo("none", "/card/none.jpg"),
            Photo("huge", "/card/huge.jpg", width=30000, height=10000),
        )
        work.groups.put(Group("g", "f", ("p", "q", "gone", "none", "huge"), specimen_id="s"))
    yield made
    made.close()


@pytest.fixture
def bench(catalogue: Catalogue, reference: Reference) -> Iterator[Bench]:
    made = plain_bench(catalogue, reference, EVENING, pictures=PictureSource(MadePictures()))
    yield made
    made.close()


@pytest.fixture
def canvas(bench: Bench, qtbot: QtBot) -> Iterator[CanvasView]:
    made = CanvasView(bench)
    qtbot.addWidget(made)
    made.resize(1366, 600)
    made.show()
    made.open("p", "s", "cap")
    qtbot.waitUntil(lambda: made.state.photo is not None and made.surface.picture.whole is not None)
    yield made
    made.shut()


@pytest.fixture
def hands(canvas: CanvasView, catalogue: Catalogue, qtbot: QtBot) -> Hands:
    made = Hands(canvas, catalogue, qtbot)
    made.settle()
    canvas.surface.setFocus()
    return made


@pytest.fixture
def told(bench: Bench) -> list[str]:
    """What the bench said or warned of."""
    words: list[str] = []
    bench.said.connect(words.append)
    bench.trouble.connect(words.append)
    return words
