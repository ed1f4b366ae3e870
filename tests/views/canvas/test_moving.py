"""Choosing, moving, wording, removing and copying marks."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QMenu

from catalog_gui.annotation.marks import MarkKind
from catalog_gui.views.canvas.view import CanvasView
from tests.views.canvas.hands import Hands

K = MarkKind
NEAR = 2.0


@pytest.fixture
def line(hands: Hands) -> str:
    """A line from (200, 200) to (400, 200), not chosen, the moving tool in hand."""
    hands.tool("L")
    hands.drag((200, 200), (400, 200))
    (mark,) = hands.marks()
    hands.tool("M")
    hands.surface.choose(())
    hands.settle()
    return mark.id


def test_a_mark_is_dragged_as_a_whole(hands: Hands, line: str) -> None:
    before = hands.everything()
    hands.drag((300, 200), (350, 260))
    (mark,) = hands.marks()
    assert mark.points[0] == pytest.approx((250, 260), abs=NEAR)
    assert mark.points[1] == pytest.approx((450, 260), abs=NEAR)
    assert hands.labels()[0] == "Move: line"
    hands.undo()
    assert hands.everything() == before


def test_a_point_is_dragged_by_its_handle(hands: Hands, line: str) -> None:
    hands.click(300, 200)
    assert hands.surface.selection == (line,)
    hands.drag((400, 200), (500, 320))
    (mark,) = hands.marks()
    assert mark.points[0] == pytest.approx((200, 200), abs=NEAR)
    assert mark.points[1] == pytest.approx((500, 320), abs=NEAR)


def test_arrows_move_the_chosen_mark_and_one_run_is_one_step(hands: Hands, line: str) -> None:
    before = hands.everything()
    hands.key(Qt.Key.Key_Tab)
    assert hands.surface.selection == (line,)
    port = hands.surface
    for _ in range(5):
        QTest.keyPress(port, Qt.Key.Key_Right)
    QTest.keyRelease(port, Qt.Key.Key_Right)
    (mark,) = hands.marks()
    moved = mark.points[0][0] - 200
    assert moved == pytest.approx(5 / port.zoom, abs=NEAR)
    assert hands.labels()[0] == "Move: line"
    hands.key(Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    (mark,) = hands.marks()
    assert mark.points[0][0] - 200 - moved == pytest.approx(10 / port.zoom, abs=0.1)
    hands.undo()
    hands.undo()
    assert hands.everything() == before


def test_n_gives_the_arrows_to_one_point(hands: Hands, line: str) -> None:
    hands.key(Qt.Key.Key_Tab)
    hands.tool("N")
    hands.tool("N")
    hands.key(Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier, times=3)
    (mark,) = hands.marks()
    assert mark.points[0] == pytest.approx((200, 200), abs=NEAR)
    assert mark.points[1][1] > 210


def test_a_mark_stays_on_the_picture(hands: Hands, line: str) -> None:
    hands.drag((300, 200), (300, -500))
    (mark,) = hands.marks()
    assert mark.points[0][1] == 0
    assert mark.points[1][1] == 0


def test_tab_walks_the_marks_and_leaves_after_the_last(hands: Hands, line: str) -> None:
    hands.tool("L")
    hands.drag((200, 400), (400, 400))
    second = next(mark.id for mark in hands.marks() if mark.id != line)
    hands.surface.choose(())
    hands.key(Qt.Key.Key_Tab)
    assert hands.surface.selection == (line,)
    hands.key(Qt.Key.Key_Tab)
    assert hands.surface.selection == (second,)
    hands.key(Qt.Key.Key_Backtab, Qt.KeyboardModifier.ShiftModifier)
    assert hands.surface.selection == (line,)
    hands.key(Qt.Key.Key_Tab)
    hands.key(Qt.Key.Key_Tab)
    assert hands.surface.selection == ()


def test_return_words_a_mark_and_escape_leaves_it(hands: Hands, canvas: CanvasView, line: str) -> None:
    hands.key(Qt.Key.Key_Tab)
    hands.key(Qt.Key.Key_Return)
    assert canvas.words.isVisible()
    hands.say("cap, widest place")
    (mark,) = hands.marks()
    assert mark.label == "cap, widest place"
    hands.surface.choose((line,))
    hands.key(Qt.Key.Key_F2)
    QTest.keyClicks(canvas.words, "something else")
    hands.no_words()
    (mark,) = hands.marks()
    assert mark.label == "cap, widest place"
    hands.undo()
    (mark,) = hands.marks()
    assert mark.label == ""


def test_delete_removes_and_undo_brings_back(hands: Hands, line: str) -> None:
    before = hands.everything()
    hands.key(Qt.Key.Key_Tab)
    hands.key(Qt.Key.Key_Delete)
    assert hands.marks() == ()
    assert hands.surface.marks() == ()
    hands.undo()
    assert hands.everything() == before
    assert [mark.id for mark in hands.surface.marks()] == [line]


def test_copies_go_to_the_other_picture_of_the_specimen(
    hands: Hands, canvas: CanvasView, line: str, told: list[str]
) -> None:
    hands.tool("D")
    menu = canvas.findChild(QMenu, "canvas-copy-menu")
    assert menu is not None
    next(one for one in menu.actions() if one.text() == "b.jpg").trigger()
    copy = next(mark for mark in hands.marks() if mark.photo_id == "q")
    assert copy.points[0] == pytest.approx((100, 200), abs=NEAR)  # 400 x 600 upright against 800 x 600
    canvas.turn_page(1)
    hands.settle()
    assert canvas.state.photo is not None
    assert canvas.state.photo.id == "q"
    assert [mark.id for mark in hands.surface.marks()] == [copy.id]


def test_pages_turn_round_and_round(hands: Hands, canvas: CanvasView) -> None:
    seen = []
    for _ in range(5):
        assert canvas.state.photo is not None
        seen.append(canvas.state.photo.id)
        hands.key(Qt.Key.Key_PageDown)
        hands.settle()
    assert seen == ["p", "q", "gone", "none", "huge"]
    hands.key(Qt.Key.Key_PageUp)
    hands.settle()
    assert canvas.state.photo is not None
    assert canvas.state.photo.id == "huge"


def test_the_list_and_the_picture_choose_together(hands: Hands, canvas: CanvasView, line: str) -> None:
    canvas.side.list.setCurrentRow(0)
    assert hands.surface.selection == (line,)
    hands.surface.choose(())
    assert canvas.side.list.selectedItems() == []


def test_h_puts_the_marks_away(hands: Hands, line: str) -> None:
    assert hands.surface.sketch_now().strokes
    hands.tool("H")
    assert not hands.surface.sketch_now().strokes
    hands.tool("H")
    assert hands.surface.sketch_now().strokes


def test_zoom_keeps_the_place_under_the_mouse_and_marks_do_not_move(hands: Hands, line: str) -> None:
    surface = hands.surface
    place = hands.at(200, 200)
    surface.zoom_to(surface.zoom * 4, place.toPointF())
    assert (hands.at(200, 200) - place).manhattanLength() <= 2
    (mark,) = hands.marks()
    assert mark.points[0] == pytest.approx((200, 200), abs=NEAR)
    hands.key(Qt.Key.Key_1)
    assert surface.zoom == pytest.approx(1 / surface.devicePixelRatioF())
    hands.key(Qt.Key.Key_0)
    assert (
        surface.mapToScene(surface.viewport().rect()).boundingRect().contains(surface.picture.boundingRect())
    )


def test_space_and_the_middle_button_move_the_picture(hands: Hands) -> None:
    surface, port = hands.surface, hands.surface.viewport()
    hands.tool("L")
    for button, space in ((Qt.MouseButton.MiddleButton, False), (Qt.MouseButton.LeftButton, True)):
        before = surface.ground()
        if space:
            QTest.keyPress(surface, Qt.Key.Key_Space)
        start = hands.at(400, 300)
        QTest.mousePress(port, button, Qt.KeyboardModifier.NoModifier, start)
        QTest.mouseMove(port, start + hands.at(450, 340) - hands.at(400, 300))
        QTest.mouseRelease(port, button, Qt.KeyboardModifier.NoModifier, start)
        if space:
            QTest.keyRelease(surface, Qt.Key.Key_Space)
        now = surface.ground()
        assert now.dx - before.dx == pytest.approx(50 * now.scale, abs=2)
        assert now.dy - before.dy == pytest.approx(40 * now.scale, abs=2)
    assert hands.marks() == ()
