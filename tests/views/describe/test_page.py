"""The Describe page with the mouse and beyond the entry line."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from PySide6.QtCore import QEvent, QMimeData, QPoint, QPointF, Qt
from PySide6.QtGui import QAction, QDragEnterEvent, QDropEvent, QKeyEvent, QKeySequence
from PySide6.QtTest import QAbstractItemModelTester, QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QLineEdit, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.domain.caution import CAUTION, CAUTION_TASTING
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Part
from catalog_gui.itemmodels.drag import PHOTO_MIME
from catalog_gui.views.bench import Bench
from catalog_gui.views.canvas.view import CanvasView
from catalog_gui.views.describe.chips import StateChip
from catalog_gui.views.describe.fields import FieldsDialog
from catalog_gui.views.describe.names import NamesDialog
from catalog_gui.views.describe.page import DescribePage
from catalog_gui.views.describe.tasks import TasksDialog
from tests.views.describe.conftest import EVENING, NOON

Wait = Callable[[], None]
Noted = Callable[[], dict[str, Evidence]]


def chip(page: DescribePage, state: str) -> StateChip:
    return next(one for one in page.entry.card.findChildren(StateChip) if one.state.id == state)


def standing_button(page: DescribePage, standing: Standing) -> QPushButton:
    found = page.entry.card.findChild(QPushButton, f"standing-{standing.name.lower()}")
    assert isinstance(found, QPushButton)
    return found


def test_the_list_walks_and_the_head_follows(page: DescribePage, bench: Bench, settle: Wait) -> None:
    assert [line.specimen.number for line in page.list.lines] == ["2025-001", "2025-002"]
    assert page.list.lines[0].overdue == 1, "smell was due at 16:00, it is 17:00"
    assert page.header.number.text() == "2025-001"
    assert "Wilma Thorn" in page.header.facts.text()
    QTest.keyClick(page.list, Qt.Key.Key_Down)
    settle()
    assert bench.specimen_id == "s2"
    assert page.header.number.text() == "2025-002"
    QTest.keyClick(page, Qt.Key.Key_PageUp, Qt.KeyboardModifier.ControlModifier)
    settle()
    assert page.header.number.text() == "2025-001"


def test_a_specimen_chosen_elsewhere_is_shown(page: DescribePage, bench: Bench, settle: Wait) -> None:
    bench.choose_specimen("s2")
    settle()
    assert page.state.specimen is not None
    assert page.state.specimen.id == "s2"


def test_chips_and_standings(page: DescribePage, settle: Wait, noted: Noted) -> None:
    page.entry.ask("cap.colour")
    chip(page, "white").click()
    settle()
    chip(page, "cream").click()
    settle()
    assert noted()["cap.colour"].states == ("white", "cream")
    assert chip(page, "white").isChecked()
    chip(page, "white").click()
    settle()
    assert noted()["cap.colour"].states == ("cream",)
    assert not standing_button(page, Standing.NOT_THERE).isEnabled(), "a cap always has some colour"
    standing_button(page, Standing.GONE).click()
    settle()
    assert noted()["cap.colour"].standing is Standing.GONE
    page.entry.ask("cap.colour")
    standing_button(page, Standing.NOT_LOOKED_AT).click()
    settle()
    assert "cap.colour" not in noted()


def test_a_note_a_doubt_and_a_size_on_the_card(page: DescribePage, settle: Wait, noted: Noted) -> None:
    page.entry.ask("cap.width")
    size = page.entry.card.findChild(QLineEdit, "asked-size")
    assert isinstance(size, QLineEdit)
    QTest.keyClicks(size, "4.5-6 cm")
    QTest.keyClick(size, Qt.Key.Key_Return)
    settle()
    assert (noted()["cap.width"].low, noted()["cap.width"].high) == (45, 60)
    page.entry.ask("cap.width")
    note = page.entry.card.findChild(QLineEdit, "asked-note")
    doubt = page.entry.card.findChild(QAbstractButton, "asked-doubted")
    assert isinstance(note, QLineEdit)
    assert isinstance(doubt, QAbstractButton)
    doubt.click()
    settle()
    QTest.keyClicks(note, "measured from the picture")
    QTest.keyClick(note, Qt.Key.Key_Return)
    settle()
    row = noted()["cap.width"]
    assert (row.note, row.sure, row.low) == ("measured from the picture", False, 45)


def test_not_looked_at_is_never_shown_as_absent(page: DescribePage) -> None:
    page.entry.ask("ring.kind")
    assert standing_button(page, Standing.NOT_LOOKED_AT).isChecked()
    assert not standing_button(page, Standing.NOT_THERE).isChecked()
    line = next(
        one for one in page.features.lines if one.feature is not None and one.feature.id == "ring.kind"
    )
    assert line.row is None
    assert line.words == ""


def test_the_order_switches_and_what_fades_stands_first(page: DescribePage) -> None:
    assert page.features.lines[1].feature is not None
    assert page.features.lines[1].feature.id == "whole.form"
    page.set_order(True)
    assert page.features.lines[0].head == "While it is fresh"
    first = page.features.lines[1]
    assert first.due == NOON + timedelta(hours=2)
    assert first.late, "it is five hours after picking"
    assert page.entry.asked == first.feature.id if first.feature is not None else False


def test_pictures_go_on_panels_by_key_and_off_again(page: DescribePage, settle: Wait) -> None:
    base = page.plate.panels[Part.BASE]
    assert base.content.photo is None
    assert base.content.missing == "No picture of the base: a volva can’t be ruled out."
    strip = page.plate.strip
    QTest.keyClick(strip, Qt.Key.Key_Right)
    QTest.keyClick(strip, Qt.Key.Key_Right)
    assert strip.current == "p2"
    QTest.keyClick(strip, Qt.Key.Key_B)
    settle()
    assert base.content.photo is not None
    assert base.content.photo.id == "p2"
    assert base.content.chosen
    assert strip.panels_of("p2") == "Base"
    QTest.keyClick(base, Qt.Key.Key_Delete)
    settle()
    assert base.content.photo is None
    page.bench.undo()
    settle()
    settle()
    assert base.content.photo is not None


def test_a_picture_that_is_gone_says_so(page: DescribePage, bench: Bench, qtbot: QtBot, settle: Wait) -> None:
    page.plate.assigned.emit("cap", "p3")
    settle()
    page.grab()
    qtbot.waitUntil(lambda: bench.pictures.problem("p3") != "")
    page.grab()
    assert "gone" in bench.pictures.problem("p3")


def test_clicking_a_panel_asks_for_its_part(page: DescribePage) -> None:
    QTest.mouseClick(page.plate.panels[Part.BASE], Qt.MouseButton.LeftButton)
    assert page.entry.asked.startswith("base.")
    assert page.features.asked == page.entry.asked


def test_the_live_drawing_follows(page: DescribePage, settle: Wait) -> None:
    before = page.plate.drawing.view.drawing()
    page.entry.ask("whole.form")
    chip(page, "bolete").click()
    settle()
    assert page.plate.drawing.view.drawing() != before
    assert page.plate.panels[Part.GILLS].content.title == "Pores"


def test_a_fruit_body_of_its_own(page: DescribePage, settle: Wait, noted: Noted) -> None:
    page.entry.ask("cap.colour")
    chip(page, "white").click()
    settle()
    page.describe_body("B")
    assert noted() == {}
    page.entry.ask("cap.colour")
    chip(page, "green").click()
    settle()
    assert noted()["cap.colour"].states == ("green",)
    assert noted()["cap.colour"].fruit_body == "B"
    page.describe_body("")
    assert noted()["cap.colour"].states == ("white",)


def test_names_are_a_history(page: DescribePage, settle: Wait) -> None:
    for name, qualifier in (("Amanita citrina", ""), ("Amanita cf. phalloides", "cf.")):
        page.give_name()
        dialog = page.findChildren(NamesDialog)[-1]
        assert any(CAUTION in one.text() for one in dialog.findChildren(type(page.header.facts)))
        QTest.keyClicks(dialog.name, name)
        assert dialog.qualifier.currentData() == qualifier
        dialog.accept()
        settle()
    assert [one.display_name for one in page.state.names] == ["Amanita citrina", "Amanita cf. phalloides"]
    assert page.state.names[1].replaces == page.state.names[0].id
    assert "cf." in page.header.name.text()
    assert page.list.lines[0].name == page.state.names[1]


def test_fields_are_kept_as_one_step(page: DescribePage, bench: Bench, settle: Wait) -> None:
    page.edit_fields()
    dialog = page.findChild(FieldsDialog)
    assert dialog is not None
    habitat = dialog.findChild(QLineEdit, "field-habitat")
    assert isinstance(habitat, QLineEdit)
    QTest.keyClicks(habitat, "beech wood on chalk")
    dialog.count.setValue(3)
    dialog.accept()
    settle()
    assert page.state.specimen is not None
    assert (page.state.specimen.habitat, page.state.specimen.fruit_bodies) == ("beech wood on chalk", 3)
    bench.undo()
    settle()
    settle()
    assert page.state.specimen.habitat == ""


def test_tasks_are_worked_off(page: DescribePage, settle: Wait) -> None:
    page.show_tasks()
    dialog = page.findChild(TasksDialog)
    assert dialog is not None
    start = dialog.findChild(QPushButton, "task-start-1")
    assert isinstance(start, QPushButton)
    start.click()
    settle()
    settle()
    reading = next(task for task in page.state.tasks if task.title.startswith("Read the spore print"))
    assert reading.due == EVENING + timedelta(hours=8)
    QTest.keyClicks(dialog.reagent, "KOH on the cap")
    QTest.keyClick(dialog.reagent, Qt.Key.Key_Return)
    settle()
    settle()
    assert sum(task.kind == "reaction" for task in page.state.tasks) == 4
    dialog.accept()


def test_the_canvas_takes_over_and_hands_back(page: DescribePage, qtbot: QtBot, settle: Wait) -> None:
    QTest.keyClick(page.plate.strip, Qt.Key.Key_Return)
    settle()
    canvas = page.findChild(CanvasView, "canvas")
    assert isinstance(canvas, CanvasView)
    assert canvas.isVisible()
    canvas.closed.emit()
    settle()
    assert page.plate.isVisible()


def test_a_mark_made_to_show_a_feature_is_linked_to_its_entry(
    page: DescribePage, bench: Bench, settle: Wait, noted: Noted
) -> None:
    page.entry.ask("base.volva")
    chip(page, "sac").click()
    settle()
    page.entry.ask("base.volva")
    link = page.entry.card.findChild(QPushButton, "asked-link")
    assert isinstance(link, QPushButton)
    link.click()
    settle()
    canvas = page.findChild(CanvasView, "canvas")
    assert isinstance(canvas, CanvasView)
    ends = ((10.0, 10.0), (60.0, 60.0))
    for key in ("m1", "gone"):
        canvas.marking.put(Mark(key, "p0", MarkKind.POINTER, ends))
    canvas.marking.put(Mark("cut", "p1", MarkKind.CROP, ends, part="cap"))
    canvas.marking.remove(["gone"])
    settle()
    canvas.closed.emit()
    for _ in range(3):
        settle()
    assert noted()["base.volva"].mark_id == "m1"
    assert page.plate.panels[Part.BASE].content.photo is not None, "the mark is a guess for the panel"
    assert not page.plate.panels[Part.BASE].content.chosen


def test_a_picture_dropped_on_a_panel_stands_for_it(page: DescribePage, settle: Wait) -> None:
    panel = page.plate.panels[Part.GILLS]
    data = QMimeData()
    data.setData(PHOTO_MIME, b"p1")
    for kind in (QDragEnterEvent, QDropEvent):
        place: Any = QPoint(20, 20) if kind is QDragEnterEvent else QPointF(20, 20)
        event = kind(
            place, Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
        )
        QApplication.sendEvent(panel, event)
    settle()
    assert panel.content.photo is not None
    assert panel.content.photo.id == "p1"


@pytest.mark.parametrize(
    ("keys", "name"),
    [
        ("Ctrl+N", "describe-name"),
        ("Ctrl+I", "describe-fields"),
        ("Ctrl+K", "describe-tasks"),
        ("Ctrl+L", "describe-compare"),
        ("Ctrl+B", "describe-order"),
        ("Alt+Down", "describe-next"),
        ("Ctrl+PgDown", "describe-next"),
    ],
)
def test_shortcuts_work_while_the_caret_is_in_the_line(
    page: DescribePage, qtbot: QtBot, keys: str, name: str
) -> None:
    page.activateWindow()
    page.write()
    action = page.findChild(QAction, name)
    assert isinstance(action, QAction)
    heard: list[bool] = []
    action.triggered.disconnect()
    action.triggered.connect(lambda: heard.append(True))
    QTest.keySequence(page.entry.line, QKeySequence(keys))
    assert heard, f"{keys} is swallowed by the entry line"


def test_undo_in_the_empty_line_belongs_to_the_window(page: DescribePage) -> None:
    page.write()
    override = QKeyEvent(QEvent.Type.ShortcutOverride, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    override.ignore()
    QApplication.sendEvent(page.entry.line, override)
    assert not override.isAccepted()
    page.entry.line.setText("vol")
    QApplication.sendEvent(page.entry.line, override)
    assert override.isAccepted(), "while she types, undo is about the letters"


def test_another_specimens_change_reads_the_list_again(
    page: DescribePage, bench: Bench, settle: Wait
) -> None:
    row = Evidence("e", "s2", "cap.colour", Standing.SEEN, ("white",), noted_at=NOON)
    bench.do("Elsewhere", lambda work: work.evidence.put(row))
    settle()
    settle()
    assert page.list.lines[1].noted == 1
    assert page.state.recent == (("cap.colour", "white"),)
    page.entry.ask("cap.colour")
    page.write()
    QTest.keyClicks(page.entry.line, "0")
    settle()
    assert page.state.of_body("")["cap.colour"].states == ("white",), "0 is the state used last"
    assert page.list.lines[0].noted == 1


def test_a_measure_becomes_evidence(page: DescribePage, settle: Wait, noted: Noted) -> None:
    page.recording.measured("", "cap.width", 4.5, 6.0, "cm")
    settle()
    assert (noted()["cap.width"].low, noted()["cap.width"].high, noted()["cap.width"].unit) == (45, 60, "mm")


def test_reload_keeps_the_asked_feature_and_the_place(page: DescribePage, settle: Wait) -> None:
    page.entry.ask("flesh.colour")
    at = page.features.verticalScrollBar().value()
    page.reload(None)
    settle()
    assert page.entry.asked == "flesh.colour"
    assert page.features.verticalScrollBar().value() == at


def test_refused_changes_say_why(page: DescribePage, bench: Bench, qtbot: QtBot) -> None:
    with qtbot.waitSignal(bench.trouble) as heard:
        page.entry.card.size_typed.emit("cap.width", "as a hand")
    assert "no size" in heard.args[0]


def test_the_taste_card_carries_the_caution(page: DescribePage) -> None:
    page.entry.ask("taste.kind")
    caution = page.entry.card.findChild(QWidget, "asked-caution")
    assert caution is not None
    assert caution.isVisibleTo(page)
    assert caution.text() == CAUTION_TASTING  # type: ignore[attr-defined]
    page.entry.ask("cap.colour")
    assert not caution.isVisibleTo(page)


def test_an_empty_foray_helps_on(bench: Bench, qtbot: QtBot) -> None:
    made = DescribePage(bench)
    qtbot.addWidget(made)
    made.show()
    made.enter()
    qtbot.waitUntil(lambda: not bench.records_queue.busy)
    button = made.findChild(QPushButton, "describe-go-sort")
    assert isinstance(button, QPushButton)
    with qtbot.waitSignal(bench.page_wanted) as wanted:
        button.click()
    assert wanted.args == ["sort"]


def test_every_control_has_a_name(page: DescribePage) -> None:
    for widget in page.findChildren(QWidget):
        if widget.focusPolicy() is Qt.FocusPolicy.NoFocus or widget.objectName().startswith("qt_"):
            continue
        if not widget.isVisibleTo(page):
            continue
        words = widget.accessibleName() or (widget.text() if isinstance(widget, QAbstractButton) else "")
        assert words, f"{type(widget).__name__} '{widget.objectName()}' has no accessible name"


def test_models_are_sound(page: DescribePage, settle: Wait) -> None:
    testers = [
        QAbstractItemModelTester(view.model(), QAbstractItemModelTester.FailureReportingMode.Fatal)
        for view in (page.list, page.features, page.plate.strip, page.entry.offers)
    ]
    page.entry.ask("cap.colour")
    chip(page, "white").click()
    settle()
    page.set_order(True)
    QTest.keyClicks(page.entry.line, "whi")
    assert testers
