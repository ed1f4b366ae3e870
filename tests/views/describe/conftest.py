"""A bench with one short foray of two specimens, plain pictures, and the shipped reference."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from catalog_gui.catalogue.store import open_catalogue
from catalog_gui.domain.evidence import Evidence
from catalog_gui.domain.foray import Foray, Group
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Specimen, Task
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.views.bench import Bench
from catalog_gui.views.describe.page import DescribePage
from tests.views.plain import plain_bench

NOON = datetime(2025, 10, 18, 12, 0, tzinfo=UTC)
EVENING = NOON + timedelta(hours=5)


@pytest.fixture
def bench(tmp_path: Path, reference: Reference, qapp: object) -> Iterator[Bench]:
    catalogue = open_catalogue(tmp_path / "catalogue", now=lambda: EVENING)
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
    made = plain_bench(catalogue, reference, EVENING)
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
    qtbot.waitUntil(lambda: made.state.specimen is not None and not bench.records_queue.busy)
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
        qtbot.waitUntil(lambda: not bench.records_queue.busy, timeout=20_000)

    return wait


@pytest.fixture
def keyboard(page: DescribePage, settle: Callable[[], None]) -> Keyboard:
    page.write()
    return Keyboard(page, settle)


@pytest.fixture
def noted(page: DescribePage) -> Callable[[], dict[str, Evidence]]:
    """What is written down for the specimen shown, by feature."""
    return lambda: page.state.of_body(page.fruit_body)
