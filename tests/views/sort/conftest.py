"""A Sort page over a catalogue on disk: a walk of three finds by a phone and a camera, with plain pictures."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from catalog_gui.catalogue.store import open_catalogue
from catalog_gui.domain.foray import Group, SameAs
from catalog_gui.domain.ledger import Changed
from catalog_gui.domain.photo import Camera, Photo, WrittenTime
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.presenting.sort.state import SortState
from catalog_gui.views.bench import Bench
from catalog_gui.views.sort.page import SortPage
from catalog_gui.workflows.import_photos import take_in
from tests.views.plain import plain_bench
from tests.workflows.conftest import NOON, FakeFiles, shot

EVENING = datetime(2025, 10, 18, 18, tzinfo=UTC)
FRIEND = Camera("Aldermoor", "AM-20", "7")


def lone(name: str, minute: float) -> Photo:
    """A picture of the friend's camera: no position, no zone, its clock an hour slow."""
    moment = NOON + timedelta(minutes=minute - 60)
    written = WrittenTime(f"{moment:%Y:%m:%d %H:%M:%S}", moment, None, "DateTimeOriginal")
    return Photo("", f"/card/{name}", FRIEND, written, format="JPEG", quick_key=f"key-{name}")


FINDS = [(0, 0), (0.3, 1), (0.7, 0), (1.1, 2), (12, 150), (12.4, 151), (12.9, 149), (30, 400), (30.5, 401)]
WALK: tuple[Photo, ...] = tuple(
    shot(f"IMG_{100 + number}.jpg", minute, east_m=east) for number, (minute, east) in enumerate(FINDS)
)
FRIENDS: tuple[Photo, ...] = (lone("AMR_1.jpg", 12.2), lone("AMR_2.jpg", 30.2))


@pytest.fixture
def make_bench(tmp_path: Path, reference: Reference, qapp: object) -> Iterator[Callable[..., Bench]]:
    """Opens the catalogue of this test; again and again it is the same one."""
    made: list[Bench] = []
    count = itertools.count(1)

    def make(files: FakeFiles | None = None) -> Bench:
        catalogue = open_catalogue(tmp_path / "catalogue", now=lambda: EVENING)
        bench = plain_bench(catalogue, reference, EVENING, files=files or FakeFiles(WALK), count=count)
        made.append(bench)
        return bench

    yield make
    for bench in made:
        bench.close()


@pytest.fixture
def bench(make_bench: Callable[..., Bench]) -> Bench:
    return make_bench()


class Hands:
    """Does what she does and waits until it is saved and shown."""

    def __init__(self, bench: Bench, page: SortPage, qtbot: QtBot) -> None:
        self.bench, self.page, self._qtbot = bench, page, qtbot
        self.said: list[str] = []
        self.troubles: list[str] = []
        bench.said.connect(self.said.append)
        bench.trouble.connect(self.troubles.append)

    @property
    def state(self) -> SortState:
        return self.page.state

    @property
    def names(self) -> list[list[str]]:
        """The file names of each row."""
        return [[photo.name.split(".")[0][-3:] for photo in row.photos] for row in self.state.rows]

    def settle(self) -> None:
        """Wait until every question to the records is answered and shown."""
        self._qtbot.waitUntil(
            lambda: not self.bench.records_queue.busy and not self.page.slicing, timeout=20_000
        )

    def take_in(self, photos: Sequence[Photo], foray_id: str = "") -> str:
        bench = self.bench
        done: list[tuple[str, Changed | None]] = []
        bench.start_long(
            lambda records, _: (
                take_in(
                    records, FakeFiles(photos), ["/card"], bench.surroundings, foray_id=foray_id
                ).foray_id,
                records.last_change,
            ),
            done=done.append,
        )
        self._qtbot.waitUntil(lambda: bool(done), timeout=20_000)
        foray, changed = done[0]
        if changed is not None:
            bench.changed.emit(changed)
        bench.choose_foray(foray)
        self.settle()
        return foray

    def id_of(self, name: str) -> str:
        return next(photo.id for photo in self.state.photos.values() if name in photo.name)

    def choose(self, name: str) -> str:
        photo_id = self.id_of(name)
        self.page.trail.choose(photo_id)
        return photo_id

    def key(self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        self.page.trail.setFocus()
        QTest.keyClick(self.page.trail, key, modifier)
        self.settle()

    def click(self, spot: QPoint, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        QTest.mouseClick(self.page.trail.viewport(), Qt.MouseButton.LeftButton, modifier, spot)
        self.settle()

    def undo(self) -> None:
        self.bench.undo()
        self.settle()


@pytest.fixture
def page(bench: Bench, qtbot: QtBot) -> SortPage:
    made = SortPage(bench)
    qtbot.addWidget(made)
    made.resize(1366, 600)
    made.show()
    made.enter()
    return made


@pytest.fixture
def hands(bench: Bench, page: SortPage, qtbot: QtBot) -> Hands:
    found = Hands(bench, page, qtbot)
    found.take_in(WALK)
    return found


@pytest.fixture
def put(hands: Hands) -> Callable[..., None]:
    """Write values as the engine would have."""

    def write(*values: Group | SameAs) -> None:
        def action(work: object) -> None:
            for value in values:
                shelf = work.groups if isinstance(value, Group) else work.same_as  # type: ignore[attr-defined]
                shelf.put(value)

        hands.bench.do("Prepare", action)
        hands.settle()

    return write
