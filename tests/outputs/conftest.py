"""Everything a paper is made with, over a catalogue full of secrets."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))  # the planted world stands beside the tests

from world import Files, counted, plant

from catalog_gui import assets
from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.outputs.papers import PaperMaker
from catalog_gui.packs.reader import read_packs
from catalog_gui.views import theme
from catalog_gui.workflows.ports import UnitOfWork
from catalog_gui.workflows.publish.gathered import Gathered, gather_many
from catalog_gui.workflows.publish.press import Press


@pytest.fixture(scope="session")
def reference() -> Reference:
    return read_packs(assets.reference_pack())


@pytest.fixture(scope="session")
def fonts(qapp: object) -> list[str]:
    return theme.load_fonts(assets.fonts())


@pytest.fixture(scope="session")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Catalogue]:
    folder = tmp_path_factory.mktemp("secrets")
    made = open_catalogue(folder / "catalogue", now=counted().now)
    plant(made, folder)
    yield made
    made.close()


@pytest.fixture(scope="session")
def press(reference: Reference) -> Press:
    return Press(reference, Files(), counted(), ("Emergency: 000 (invented)",), zone="Europe/London")


@pytest.fixture
def makers(tmp_path: Path) -> PaperMaker:
    return PaperMaker(tmp_path)


@pytest.fixture
def read(
    catalogue: Catalogue,
) -> Callable[[Callable[[UnitOfWork], tuple[Gathered, ...]]], tuple[Gathered, ...]]:
    def ask(question: Callable[[UnitOfWork], tuple[Gathered, ...]]) -> tuple[Gathered, ...]:
        with catalogue.read() as work:
            return question(work)

    return ask


@pytest.fixture
def found(catalogue: Catalogue) -> tuple[Gathered, ...]:
    with catalogue.read() as work:
        return gather_many(work, ("s1", "s2", "s3"))


@pytest.fixture
def open_found(found: tuple[Gathered, ...]) -> tuple[Gathered, ...]:
    """The same finds with places that are not private."""
    return tuple(replace(one, private=False) for one in found)
