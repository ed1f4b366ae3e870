"""A bench with one short foray of two specimens, plain pictures, and the shipped reference."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from catalog_gui import assets
from catalog_gui.catalogue.store import open_catalogue
from catalog_gui.domain.evidence import Evidence
from catalog_gui.domain.foray import Foray, Group
from catalog_gui.domain.photo import Photo, Raster
from catalog_gui.domain.problem import PictureRefused
from catalog_gui.domain.specimen import Specimen, Task
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.packs.reader import read_packs
from catalog_gui.settings import Preferences
from catalog_gui.views.bench import Bench
from catalog_gui.views.describe.page import DescribePage
from catalog_gui.views.widgets.pictures import PictureSource
from catalog_gui.workflows.ports import Surroundings

NOON = datetime(2025, 10, 18, 12, 0, tzinfo=UTC)
EVENING = NOON + timedelta(hours=5)


class PlainPictures:
    """Grey pixels for every photo; those whose name begins with 'gone' are refused."""

    def _grey(self, photo: Photo, edge: int) -> Raster:
        if photo.name.startswith("gone"):
            raise PictureRefused("The file is gone.", path=photo.path)
        return Raster(edge, edge * 3 // 4, b"\x80" * (edge * (edge * 3 // 4) * 3), edge / 400)

    def first_look(self, photo: Photo, edge: int) -> Raster | None:
        return None

    def look(self, photo: Photo, edge: int) -> Raster:
        return self._grey(photo, edge)

    def whole(self, photo: Photo, most_pixels: int = 0) -> Raster:
        return self._grey(photo, 400)

    def piece(self, photo: Photo, box: tuple[float, float, float, float], edge: int) -> Raster:
        return self._grey(photo, edge)


@pytest.fixture(scope="session")
def reference() -> Reference:
    return read_packs(assets.reference_pack())


@pytest.fixture
def bench(tmp_path: Path, reference: Reference, qapp: object) -> Iterator[Bench]:
    count = itertools.count(1)
    catalogue = open_catalogue(tmp_path / "catalogue", now=lambda: EVENING)
    surroundings = Surroundings(lambda: EVENING, lambda: f"id-{next(count):05d}")
    records = catalogue.another()
    photos = [
        Photo(f"p{n}", f"/card/{name}.jpg", width=400, height=300, foray_id="walk", group_id=group)
        for n, (name, group) in enumerate(
            [("whole", "g1"), ("cap", "g1"), ("base", "g1"), ("gone", "g1"), ("other", "g2")]
        )
    ]
    with records.step("Foray") as work:
        work.forays.put(Foray("walk", "A walk", "Hobbin Shaw", NOON, time_zone="UTC", people=("Hedda Moss",)))
        work.specimens.put(
            Specimen("s1", "2025-001", "walk", NOON, collector="Wilma Thorn", cover_photo="p0"),
            Specimen("s2", "2025-002", "walk", NOON, cover_photo="p4"),
        )
        work.groups.put(
            Group("g1", "walk", ("p0", "p1", "p2", "p3"), NOON, NOON, specimen_id="s1"),
            Group("g2", "walk", ("p4",), NOON, NOON, specimen_id="s2"),
        )
        work.photos.put(*photos)
        work.tasks.put(
            Task("t1", "s1", "smell", "Smell it", due=NOON + timedelta(hours=4)),
            Task("t2", "s1", "print", "Start a spore print", due=NOON + timedelta(hours=12)),
        )
    records.close()
    made = Bench(
        catalogue.another,
        files=None,  # type: ignore[arg-type]  # this page opens no files
        pictures=PictureSource(PlainPictures()),
        reference=reference,
        vocabulary=reference.vocabulary,
        preferences=Preferences(person="Wilma Thorn", theme="light"),
        surroundings=surroundings,
        keep_preferences=lambda _: None,
        close_records=catalogue.close,
    )
    yield made
    made.close()


@pytest.fixture
def page(bench: Bench, qtbot: QtBot) -> DescribePage:
    made = DescribePage(bench)
    qtbot.addWidget(made)
    made.resize(1366, 600)
    bench.choose_foray("walk")
    made.show()
    made.enter()
    qtbot.waitUntil(lambda: made.state.specimen is not None and not bench.records_lane.busy)
    return made


class Keyboard:
    """Types and counts every key that is pressed."""

    def __init__(self, page: DescribePage, settle: Callable[[], None]) -> None:
        self.page = page
        self.pressed = 0
        self._settle = settle

    def text(self, text: str) -> None:
        """Letters into the entry line."""
        QTest.keyClicks(self.page.entry.line, text)
        self.pressed += len(text)

    def key(self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        """One other key."""
        QTest.keyClick(self.page.entry.line, key, modifier)
        self.pressed += 1

    def line(self, text: str) -> None:
        """A line and Return; waits until it is saved."""
        self.text(text)
        self.key(Qt.Key.Key_Return)
        self._settle()

    def settle(self) -> None:
        """Wait until everything asked of the records has been answered."""
        self._settle()


@pytest.fixture
def settle(bench: Bench, qtbot: QtBot) -> Callable[[], None]:
    def wait() -> None:
        qtbot.waitUntil(lambda: not bench.records_lane.busy, timeout=20_000)

    return wait


@pytest.fixture
def keyboard(page: DescribePage, settle: Callable[[], None]) -> Keyboard:
    page.write()
    return Keyboard(page, settle)


@pytest.fixture
def noted(page: DescribePage) -> Callable[[], dict[str, Evidence]]:
    """What is written down for the specimen shown, by feature."""
    return lambda: page.state.of_body(page.fruit_body)
