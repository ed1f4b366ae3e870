"""A bench over the planted catalogue, with the maker of papers."""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType

import pytest
from pytestqt.qtbot import QtBot

from catalog_gui import assets
from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.outputs.papers import PaperMaker
from catalog_gui.settings import PlacePrecision, Preferences, Theme
from catalog_gui.views import theme
from catalog_gui.views.bench import Bench
from catalog_gui.views.outputs.page import HandOnPage
from catalog_gui.views.widgets.pictures import PictureSource


@pytest.fixture(scope="session")
def world() -> ModuleType:
    """The planted finds of tests/outputs."""
    spec = importlib.util.spec_from_file_location("world", Path(__file__).parents[2] / "outputs" / "world.py")
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    sys.modules.setdefault("world", made)
    spec.loader.exec_module(made)
    return made


@pytest.fixture(scope="session")
def fonts(qapp: object) -> list[str]:
    return theme.load_fonts(assets.fonts())


@pytest.fixture
def catalogue(tmp_path: Path, world: ModuleType) -> Iterator[Catalogue]:
    made = open_catalogue(tmp_path / "catalogue", now=world.counted().now)
    world.plant(made, tmp_path)
    yield made
    made.close()


@pytest.fixture
def bench(
    catalogue: Catalogue, world: ModuleType, reference: Reference, fonts: object, qapp: object
) -> Iterator[Bench]:
    made = Bench(
        catalogue.another,
        files=None,  # type: ignore[arg-type]  # this page opens no picture files by itself
        pictures=PictureSource(world.Files()),
        reference=reference,
        preferences=Preferences(theme=Theme.LIGHT, place_precision=PlacePrecision("1 km")),
        surroundings=world.counted(),
        keep_preferences=lambda _: None,
        papers=PaperMaker(catalogue.papers),
        close_records=catalogue.close,
    )
    yield made
    made.close()


@pytest.fixture
def page(bench: Bench, qtbot: QtBot) -> Iterator[HandOnPage]:
    made = HandOnPage(bench)
    qtbot.addWidget(made)
    made.resize(1366, 600)
    bench.choose_foray("walk")
    made.show()
    made.enter()
    qtbot.waitUntil(lambda: bool(made.choices.ticked()), timeout=20_000)
    yield made
    qtbot.waitUntil(lambda: not made.running, timeout=60_000)
    made.preview.close_queue()


@pytest.fixture
def shown(page: HandOnPage, qtbot: QtBot) -> Callable[[], None]:
    """Wait until the preview shows what is chosen."""

    def wait() -> None:
        qtbot.waitUntil(lambda: page.preview_is_up_to_date, timeout=60_000)

    return wait
