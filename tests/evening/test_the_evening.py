"""The whole evening in the real window on a copy of the demo: sort, describe, mark, compare, hand on, find again.

Then the window is closed and opened again, and everything is there.
"""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QHeaderView,
    QLabel,
    QLineEdit,
    QMenuBar,
    QPlainTextEdit,
    QTextEdit,
    QWidget,
)
from pytestqt.qtbot import QtBot

from catalog_gui import assets
from catalog_gui.app import build_window
from catalog_gui.domain.caution import CAUTION
from catalog_gui.domain.evidence import Standing
from catalog_gui.views.canvas.view import CanvasView
from catalog_gui.views.intake import IntakeAccount
from catalog_gui.views.main_window import MainWindow
from catalog_gui.workflows.ports import UnitOfWork

LONG = 30_000


@pytest.fixture
def card(tmp_path: Path) -> Path:
    folder = tmp_path / "card"
    shutil.copytree(assets.demo_foray(), folder)
    return folder


@pytest.fixture
def open_it(tmp_path: Path, qapp: QApplication) -> Iterator[Callable[[], MainWindow]]:
    opened: list[MainWindow] = []

    def build() -> MainWindow:
        window = build_window(
            qapp, folder=str(tmp_path / "catalogue"), preferences_file=tmp_path / "preferences.json"
        )
        window.resize(1366, 768)
        window.show()
        opened.append(window)
        return window

    yield build
    for window in opened:
        window.close()


def child(window: QWidget, kind: type[Any], name: str) -> Any:
    found = window.findChild(kind, name)
    assert found is not None, name
    return found


def ask(window: MainWindow, qtbot: QtBot, question: Callable[[UnitOfWork], Any]) -> Any:
    """Ask the records and wait for the answer."""
    heard: list[Any] = []
    window.bench.read(question, heard.append)
    qtbot.waitUntil(lambda: bool(heard), timeout=LONG)
    return heard[0]


def fingerprints(folder: Path) -> dict[str, str]:
    return {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in folder.rglob("*") if p.is_file()}


@pytest.mark.window
def test_the_whole_evening(
    open_it: Callable[[], MainWindow], card: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    before = fingerprints(card)
    window = open_it()
    trouble: list[str] = []
    window.bench.trouble.connect(trouble.append)
    sort: Any = window.pages["sort"]
    pictures = sum(1 for path in card.rglob("*") if path.suffix.casefold() == ".jpg")

    # Point at a folder, see the proposal.
    with qtbot.waitSignal(window.intake.finished, timeout=LONG) as done:
        window.intake.start([str(card)])
    report = done.args[0]
    assert len(report.taken) == pictures
    assert report.files == sum(1 for path in card.rglob("*") if path.is_file())
    qtbot.waitUntil(lambda: len(sort.state.photos) == pictures, timeout=LONG)
    for account in window.findChildren(IntakeAccount):
        account.close()
    assert len(sort.state.rows) > 5

    # Correct it by keyboard: cut a group, and take it back.
    row = max(sort.state.rows, key=lambda one: len(one.photos))
    groups = len(sort.state.rows)
    sort.trail.setFocus()
    sort.trail.choose(row.photos[1].id)
    qtbot.keyClick(sort.trail, Qt.Key.Key_C)
    qtbot.waitUntil(
        lambda: sort.state.row_of(row.photos[0].id) != sort.state.row_of(row.photos[1].id), timeout=LONG
    )
    window.bench.undo()
    qtbot.waitUntil(lambda: len(sort.state.rows) == groups, timeout=LONG)

    # Lay one picture aside, and accept the group as a specimen.
    first = sort.state.rows[0].photos[0].id
    sort.trail.choose(first)
    qtbot.keyClick(sort.trail, Qt.Key.Key_N)
    qtbot.waitUntil(lambda: first in {photo.id for photo in sort.state.tray}, timeout=LONG)
    row = max(sort.state.rows, key=lambda one: len(one.photos))
    sort.trail.choose_group(row.group.id)
    qtbot.keyClick(sort.trail, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: bool(window.bench.specimen_id), timeout=LONG)
    specimen_id = window.bench.specimen_id

    # Describe: what was seen, what was looked for and not there, what was gone.
    window.show_page("describe")
    describe: Any = window.pages["describe"]
    qtbot.waitUntil(lambda: describe.state.specimen is not None, timeout=LONG)
    line = child(describe, QLineEdit, "entry-line")
    wanted = {
        "cap.colour": ("cap colour white", Standing.SEEN),
        "ring.kind": ("no ring", Standing.NOT_THERE),
        "cap.patches": ("gone cap remains", Standing.GONE),
        "gills.attachment": ("attachment free", Standing.SEEN),
        "cap.width": ("cap 45-60", Standing.SEEN),
    }
    for feature, (typed, standing) in wanted.items():
        line.setFocus()
        qtbot.keyClicks(line, typed)
        qtbot.keyClick(line, Qt.Key.Key_Return)

        def noted(feature: str = feature, standing: Standing = standing) -> bool:
            found = ask(window, qtbot, lambda w: w.evidence.where(specimen_id=specimen_id, feature=feature))
            return [one.standing for one in found] == [standing]

        qtbot.waitUntil(noted, timeout=LONG)

    # Mark it on a picture: a measured line, by mouse.
    describe.canvas_desk.open(row.photos[0].id, "cap")
    canvas = describe.findChild(CanvasView)
    assert canvas is not None
    qtbot.waitUntil(lambda: canvas.state.photo is not None, timeout=LONG)
    surface = canvas.surface
    qtbot.waitUntil(surface.isVisible, timeout=LONG)
    view = surface.viewport()
    near = QPoint(int(view.width() * 0.3), int(view.height() * 0.4))
    far = QPoint(int(view.width() * 0.6), int(view.height() * 0.5))
    qtbot.keyClick(surface, Qt.Key.Key_L)
    qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=near)
    qtbot.mouseMove(view, far)
    qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=far)
    qtbot.waitUntil(
        lambda: bool(ask(window, qtbot, lambda w: w.marks.where(photo_id=row.photos[0].id))), timeout=LONG
    )
    canvas.leave()

    # Compare: the banner stands, with the caution, and cannot be closed.
    window.show_page("compare")
    compare: Any = window.pages["compare"]
    qtbot.waitUntil(lambda: compare.comparison.recorded >= len(wanted), timeout=LONG)
    names = {hazard.taxon.id for hazard in compare.comparison.hazards}
    assert {"amanita-virosa", "amanita-phalloides"} <= names
    assert compare.banner.isVisible()
    assert any(CAUTION in label.text() for label in compare.banner.findChildren(QLabel))
    qtbot.waitUntil(lambda: len(compare.table.rows.rows) > 20, timeout=LONG)

    # A next check leads to its feature on Describe.
    window.bench.page_wanted.emit("describe")
    window.bench.feature_wanted.emit("base.volva")
    qtbot.waitUntil(lambda: describe.entry.asked == "base.volva", timeout=LONG)

    # Hand on: the specimen sheet as PDF, with no exact place on it.
    window.show_page("outputs")
    outputs: Any = window.pages["outputs"]
    qtbot.waitUntil(lambda: outputs.order().papers > 0, timeout=LONG)
    target = tmp_path / "sheet.pdf"
    outputs.save(target)
    qtbot.waitUntil(lambda: target.exists() and not outputs.running, timeout=LONG)
    assert target.read_bytes().startswith(b"%PDF-")

    # Catalogue: found by a state of a part.
    window.show_page("catalogue")
    catalogue: Any = window.pages["catalogue"]
    catalogue.search_for("ring: not there")
    qtbot.waitUntil(lambda: catalogue.table.model().rowCount() == 1, timeout=LONG)
    assert not trouble
    state = ask(window, qtbot, everything)
    window.close()

    # Close, open again: all is there, and undo still works.
    again = open_it()
    qtbot.waitUntil(lambda: bool(again.bench.foray_id), timeout=LONG)
    assert ask(again, qtbot, everything) == state
    heard: list[str] = []
    again.bench.said.connect(heard.append)
    again.bench.undo()
    qtbot.waitUntil(lambda: any(words.startswith("Taken back") for words in heard), timeout=LONG)
    assert fingerprints(card) == before


def everything(work: UnitOfWork) -> object:
    """All that she made, as values (hashes are filled in the background)."""
    shelves = (
        work.forays,
        work.groups,
        work.joins,
        work.clocks,
        work.same_as,
        work.specimens,
        work.evidence,
        work.marks,
        work.determinations,
        work.tasks,
    )
    photos = sorted((photo.path, photo.group_id, photo.aside) for photo in work.photos.all())
    return tuple(shelf.all() for shelf in shelves), photos


PARTS_OF_OTHERS = (QComboBox, QAbstractSpinBox, QLineEdit, QAbstractItemView, QMenuBar)
"""Qt builds buttons, lists and heads into these: they speak for their parts."""


def own_controls(window: QWidget) -> Iterator[QWidget]:
    """The controls that we made, without the parts that Qt builds into its own."""
    for kind in (QAbstractButton, QAbstractItemView, QLineEdit, QComboBox, QTextEdit, QPlainTextEdit):
        for control in window.findChildren(kind):
            private = control.objectName().startswith("qt_") or isinstance(control, QHeaderView)
            parent = control.parent()
            built_in = isinstance(parent, PARTS_OF_OTHERS) or isinstance(parent.parent(), PARTS_OF_OTHERS)
            if not private and not built_in:
                yield control


@pytest.mark.window
def test_every_control_has_a_name(open_it: Callable[[], MainWindow], card: Path, qtbot: QtBot) -> None:
    window = open_it()
    with qtbot.waitSignal(window.intake.finished, timeout=LONG):
        window.intake.start([str(card)])
    for key in window.pages:
        window.show_page(key)
        qtbot.waitUntil(lambda: not window.bench.records_queue.busy, timeout=LONG)
    nameless = set()
    for control in own_controls(window):
        words = control.accessibleName() or (control.text() if isinstance(control, QAbstractButton) else "")
        if not words or not control.objectName():
            nameless.add(f"{type(control).__name__} {control.objectName()!r} {words!r} in {control.parent()}")
    assert not nameless, "\n".join(sorted(nameless))
