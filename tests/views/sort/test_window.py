"""Taking in from the window: dropped files, which foray they join, stopping, and the account of every file."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QTimer, QUrl
from PySide6.QtGui import QAction, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QMessageBox, QPushButton, QTableWidget
from pytestqt.qtbot import QtBot

from catalog_gui.domain.caution import AFTER_A_MEAL, CAUTION
from catalog_gui.domain.foray import Track
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import Refusal
from catalog_gui.views.bench import Bench
from catalog_gui.views.intake import IntakeAccount
from catalog_gui.views.main_window import MainWindow
from catalog_gui.views.pages import ALL
from catalog_gui.views.sort.page import SortPage
from tests.views.sort.conftest import FRIENDS, WALK
from tests.workflows.conftest import FakeFiles


class GatedFiles(FakeFiles):
    """After two pictures it waits until it is let go on."""

    def __init__(self, photos: Sequence[Photo], damaged: Sequence[str] = ()) -> None:
        super().__init__(photos, damaged)
        self.two_read, self.go_on = threading.Event(), threading.Event()
        self.gated = False

    def read_many(
        self, paths: Sequence[str], *, progress: Callable[[int], None], cancelled: Callable[[], bool]
    ) -> Iterator[tuple[str, Photo | Refusal]]:
        for number, path in enumerate(paths):
            if self.gated and number == 2:
                self.two_read.set()
                assert self.go_on.wait(20)
            if cancelled():
                return
            yield path, self.read(path)
            progress(number + 1)

    def tracks(self, path: str) -> tuple[Track, ...]:  # type: ignore[override]
        start = 1760785200.0  # 18 October 2025, 11:00 UTC
        times = tuple(start + 60 * n for n in range(40))
        return (Track("", "", "walk", times, (52.0,) * 40, tuple(-1.0 + n * 0.0002 for n in range(40))),)


@pytest.fixture
def files() -> GatedFiles:
    return GatedFiles(WALK, damaged=["/card/bad.jpg"])


@pytest.fixture
def window(make_bench: Callable[..., Bench], files: GatedFiles, qtbot: QtBot) -> Iterator[MainWindow]:
    made = MainWindow(make_bench(files), (SortPage,))
    made.resize(1366, 768)
    made.show()
    yield made
    made.close()


def sort_page(window: MainWindow) -> SortPage:
    page = window.pages["sort"]
    assert isinstance(page, SortPage)
    return page


def drop(window: MainWindow, *places: str) -> None:
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(place) for place in places])
    window.dropEvent(
        QDropEvent(
            QPointF(50, 50),
            Qt.DropAction.CopyAction,
            data,
            Qt.MouseButton.LeftButton,
            Qt.KeyboardModifier.NoModifier,
        )
    )


def settled(window: MainWindow, qtbot: QtBot, rows: int) -> None:
    page = sort_page(window)
    qtbot.waitUntil(
        lambda: len(page.state.rows) >= rows and not window.bench.records_queue.busy and not page.slicing,
        timeout=20_000,
    )


def account_of(window: MainWindow) -> list[tuple[str, str, str]]:
    dialog = window.findChildren(IntakeAccount)[-1]
    table = dialog.findChild(QTableWidget, "intake-table")
    assert isinstance(table, QTableWidget)
    cells = [[table.item(row, column) for column in range(3)] for row in range(table.rowCount())]
    return [tuple(cell.text() if cell else "" for cell in row) for row in cells]  # type: ignore[misc]


def test_dropped_files_are_taken_in_and_every_file_is_accounted_for(window: MainWindow, qtbot: QtBot) -> None:
    with qtbot.waitSignal(window.intake.finished, timeout=20_000) as ended:
        drop(window, "/card")
    settled(window, qtbot, 3)
    assert len(sort_page(window).state.photos) == len(WALK)
    assert ended.args is not None
    assert ended.args[0].files == len(WALK) + 1
    assert account_of(window) == [("refused", "bad.jpg", "The file is empty.")]
    sentence = window.findChildren(IntakeAccount)[-1].findChild(QLabel, "intake-sentence")
    assert isinstance(sentence, QLabel)
    assert "9 taken in, 1 refused" in sentence.text()


@pytest.mark.parametrize("word", ["Join this foray", "New foray", "Leave it"])
def test_a_second_card_is_asked_where_it_belongs(
    window: MainWindow, files: GatedFiles, qtbot: QtBot, word: str
) -> None:
    with qtbot.waitSignal(window.intake.finished, timeout=20_000):
        window.intake.start(["/card"])
    settled(window, qtbot, 3)
    foray = window.bench.foray_id
    files.photos = {photo.path: replace(photo, path=f"/second/{photo.name}") for photo in FRIENDS}
    files.photos = {photo.path: photo for photo in files.photos.values()}
    files.damaged = set()
    answered: list[str] = []

    def answer() -> None:
        box = QApplication.activeModalWidget()
        if not isinstance(box, QMessageBox):
            QTimer.singleShot(20, answer)
            return
        button = next(one for one in box.buttons() if one.text() == word)
        answered.append(box.informativeText())
        button.click()

    QTimer.singleShot(20, answer)
    drop(window, "/second")
    qtbot.waitUntil(lambda: bool(answered), timeout=20_000)
    assert "stays" in answered[0]
    if word != "Leave it":
        qtbot.waitUntil(lambda: not window.intake.running, timeout=20_000)
        settled(window, qtbot, 1)
    count = len(sort_page(window).state.photos)
    assert count == {"Join this foray": 11, "New foray": 2, "Leave it": 9}[word]
    assert (window.bench.foray_id == foray) == (word != "New foray")


def test_stopping_keeps_what_was_read_and_names_the_rest(
    window: MainWindow, files: GatedFiles, qtbot: QtBot
) -> None:
    files.gated = True
    with qtbot.waitSignal(window.intake.finished, timeout=20_000):
        window.intake.start(["/card"])
        stop = window.findChild(QPushButton, "intake-stop")
        assert isinstance(stop, QPushButton)
        qtbot.waitUntil(lambda: files.two_read.is_set() and stop.isVisible(), timeout=20_000)
        QTest.mouseClick(stop, Qt.MouseButton.LeftButton)
        files.go_on.set()
    qtbot.waitUntil(lambda: bool(window.findChildren(IntakeAccount)))
    rows = account_of(window)
    taken = len(WALK) + 1 - sum(what == "not reached" for what, _, _ in rows)
    settled(window, qtbot, 1)
    assert taken == 2
    assert len(sort_page(window).state.photos) == taken
    assert not stop.isVisible()


def test_a_track_joins_the_foray_and_shows_on_the_plan(
    window: MainWindow, files: GatedFiles, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(window.intake.finished, timeout=20_000):
        window.intake.start(["/card"])
    settled(window, qtbot, 3)
    files.photos, files.damaged = {}, {"/card/walk.gpx"}
    with qtbot.waitSignal(window.intake.finished, timeout=20_000) as ended:
        window.bench.take_in_wanted.emit(["/card/walk.gpx"], window.bench.foray_id)
    page = sort_page(window)
    qtbot.waitUntil(lambda: bool(page.state.tracks), timeout=20_000)
    assert ended.args is not None
    assert ended.args[0].tracks == ("/card/walk.gpx",)
    assert len(page.state.plan.walks[0]) == 40
    assert len(page.state.photos) == len(WALK)


def test_the_header_counts_what_the_page_counts(window: MainWindow, qtbot: QtBot) -> None:
    with qtbot.waitSignal(window.intake.finished, timeout=20_000):
        window.intake.start(["/card"])
    settled(window, qtbot, 3)
    page = sort_page(window)
    join = page.state.join_at[page.state.rows[1].photos[0].id]
    window.bench.do("Doubt", lambda work: work.joins.put(replace(join, probability=0.5)))
    qtbot.waitUntil(lambda: "to settle" in page.sentence and not window.bench.records_queue.busy)
    count = len(page.state.doubtful) + len(page.state.offers)
    assert f"{count} to settle" in page.sentence
    assert window.header.waiting("sort") == f"{count} to settle"


def test_the_caution_is_in_sight_on_every_page(
    make_bench: Callable[..., Bench], files: GatedFiles, qtbot: QtBot
) -> None:
    window = MainWindow(make_bench(files), ALL)
    window.resize(1366, 768)
    window.show()
    for key, page in window.pages.items():
        window.show_page(key)
        shown = [
            label for label in window.findChildren(QLabel) if label.isVisible() and label.text() == CAUTION
        ]
        assert len(shown) == 1, key
        assert page.own_caution is page.isAncestorOf(shown[0])
    window.close()


def test_help_begins_with_the_call_and_the_numbers(window: MainWindow) -> None:
    preferences = replace(window.bench.preferences, emergency_number="000 (invented)")
    window.bench.set_preferences(preferences)
    for action, name in (("caution", "caution-box"), ("if-eaten", "if-eaten-box")):
        found = window.findChild(QAction, f"action-{action}")
        assert found is not None
        assert not found.shortcut().isEmpty()
        found.trigger()
        box = window.findChild(QMessageBox, name)
        assert isinstance(box, QMessageBox)
        assert "000 (invented)" in box.text()
        words = f"{box.text()} {box.informativeText()}"
        assert words.split(". ", maxsplit=1)[0].casefold().count("call ") == 1
        assert all(advice in words for advice in AFTER_A_MEAL)
        box.close()
