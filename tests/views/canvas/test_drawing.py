"""Every kind of mark, by mouse and by keyboard; each gesture is one step and can be taken back."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QMenu

from catalog_gui.annotation.marks import MarkKind
from catalog_gui.domain.feature import Vocabulary
from catalog_gui.views.canvas.view import CanvasView
from catalog_gui.workflows.annotate import GREY_CARD
from tests.views.canvas.hands import Hands

K = MarkKind
NEAR = 1.5  # picture pixels: a mouse points at whole pixels of the screen

DRAGGED = [("O", K.ELLIPSE), ("L", K.LINE), ("C", K.COLOUR), ("G", K.COLOUR), ("X", K.CROP), ("Y", K.BODY)]


@pytest.mark.parametrize(("letter", "kind"), DRAGGED)
def test_two_points_by_dragging(hands: Hands, letter: str, kind: MarkKind) -> None:
    before = hands.everything()
    hands.tool(letter)
    hands.drag((200, 150), (420, 360))
    hands.no_words()
    (mark,) = hands.marks()
    assert mark.kind is kind
    assert mark.points[0] == pytest.approx((200, 150), abs=NEAR)
    assert mark.points[1] == pytest.approx((420, 360), abs=NEAR)
    assert (mark.photo_id, mark.specimen_id) == ("p", "s")
    assert mark.part == ("" if letter == "G" else "cap")
    assert len(hands.labels()) == 1
    hands.undo()
    assert hands.everything() == before


@pytest.mark.parametrize(("letter", "kind"), [("L", K.LINE), ("O", K.ELLIPSE)])
def test_two_points_by_two_clicks(hands: Hands, letter: str, kind: MarkKind) -> None:
    hands.tool(letter)
    hands.click(100, 100)
    assert hands.surface.drafting
    hands.click(300, 250)
    hands.no_words()
    (mark,) = hands.marks()
    assert mark.kind is kind
    assert mark.points[1] == pytest.approx((300, 250), abs=NEAR)


def test_a_pointer_is_drawn_from_what_it_means_to_its_words(hands: Hands) -> None:
    hands.tool("P")
    hands.drag((200, 150), (420, 360))
    hands.say("veil remains")
    (mark,) = hands.marks()
    assert mark.points[-1] == pytest.approx((200, 150), abs=NEAR)
    assert mark.points[0] == pytest.approx((420, 360), abs=NEAR)
    assert mark.label == "veil remains"
    assert hands.labels() == ["Word: pointer", "Draw: pointer"]


def test_a_clicked_pointer_leaves_the_place_of_its_words_open(hands: Hands) -> None:
    hands.tool("P")
    hands.click(200, 150)
    hands.no_words()
    (mark,) = hands.marks()
    assert mark.points[0] == mark.points[1]


def test_corners_close_on_the_first_one(hands: Hands) -> None:
    hands.tool("K")
    for corner in ((100, 100), (300, 110), (280, 300), (120, 280), (101, 101)):
        hands.click(*corner)
    hands.no_words()
    (mark,) = hands.marks()
    assert mark.kind is K.POLYGON
    assert len(mark.points) == 4


def test_a_bent_line_ends_with_a_double_click(hands: Hands) -> None:
    hands.tool("B")
    hands.click(100, 100)
    hands.click(200, 160)
    hands.click(300, 120)
    QTest.mouseDClick(
        hands.surface.viewport(),
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
        hands.at(300, 120),
    )
    (mark,) = hands.marks()
    assert mark.kind is K.POLYLINE
    assert len(mark.points) == 3


def test_an_angle_takes_three_clicks(hands: Hands) -> None:
    hands.tool("A")
    for place in ((200, 100), (100, 100), (100, 300)):
        hands.click(*place)
    (mark,) = hands.marks()
    assert mark.kind is K.ANGLE
    figure = hands.canvas.readings.found[mark.id].real
    assert figure is not None
    assert figure.value == pytest.approx(90, abs=1)


def test_freehand_follows_the_mouse(hands: Hands) -> None:
    hands.tool("F")
    hands.drag(*((100 + 12 * n, 200 + (n % 3) * 9) for n in range(12)))
    hands.no_words()
    (mark,) = hands.marks()
    assert mark.kind is K.FREE
    assert len(mark.points) >= 12


def test_shift_makes_a_circle(hands: Hands) -> None:
    hands.tool("O")
    hands.click(100, 100)
    hands.click(300, 180, Qt.KeyboardModifier.ShiftModifier)
    hands.no_words()
    (mark,) = hands.marks()
    (x0, y0), (x1, y1) = mark.points
    assert x1 - x0 == pytest.approx(y1 - y0)


BY_KEYS = [
    ("P", K.POINTER, 2),
    ("O", K.ELLIPSE, 2),
    ("L", K.LINE, 2),
    ("X", K.CROP, 2),
    ("Y", K.BODY, 2),
    ("C", K.COLOUR, 2),
    ("G", K.COLOUR, 2),
    ("A", K.ANGLE, 3),
    ("K", K.POLYGON, 4),
    ("B", K.POLYLINE, 4),
    ("F", K.FREE, 4),
]


@pytest.mark.parametrize(("letter", "kind", "points"), BY_KEYS)
def test_every_kind_by_keyboard_alone(hands: Hands, letter: str, kind: MarkKind, points: int) -> None:
    before = hands.everything()
    hands.tool(letter)
    ways = [Qt.Key.Key_Left, Qt.Key.Key_Up, Qt.Key.Key_Right, Qt.Key.Key_Down]
    for way in ways[:points]:
        hands.key(way, Qt.KeyboardModifier.ShiftModifier, times=3)
        hands.key(Qt.Key.Key_Return)
    if points == 4:
        hands.key(Qt.Key.Key_Escape)
    hands.no_words()
    (mark,) = hands.marks()
    assert mark.kind is kind
    assert len(mark.points) == points
    assert (mark.label == GREY_CARD) == (letter == "G")
    hands.undo()
    assert hands.everything() == before


def test_backspace_takes_the_last_point_and_escape_gives_up_what_is_too_short(hands: Hands) -> None:
    hands.tool("K")
    for way in (Qt.Key.Key_Left, Qt.Key.Key_Up, Qt.Key.Key_Right):
        hands.key(way, times=9)
        hands.key(Qt.Key.Key_Return)
    hands.key(Qt.Key.Key_Backspace)
    hands.key(Qt.Key.Key_Escape)
    assert hands.marks() == ()
    assert not hands.surface.drafting
    assert hands.surface.tool == "corners"
    hands.key(Qt.Key.Key_Escape)
    assert hands.surface.tool == "move"


def test_escape_leaves_the_canvas_at_last(hands: Hands, canvas: CanvasView) -> None:
    left: list[bool] = []
    canvas.closed.connect(lambda: left.append(True))
    hands.tool("L")
    hands.key(Qt.Key.Key_Escape)
    assert not left
    hands.key(Qt.Key.Key_Escape)
    assert left == [True]


def test_words_with_completion_tie_a_mark_to_feature_and_state(
    hands: Hands, canvas: CanvasView, reference: object
) -> None:
    vocabulary: Vocabulary = canvas.bench.vocabulary
    feature = vocabulary.feature("base.volva")
    assert feature is not None
    state = vocabulary.states_of("base.volva")[0]
    hands.tool("P")
    hands.click(300, 200)
    completer = canvas.words.completer()
    assert completer is not None
    completer.setCompletionPrefix(state.name)
    offered = {completer.completionModel().index(row, 0).data() for row in range(completer.completionCount())}
    assert f"{state.name} ({feature.name})" in offered
    hands.say(f"{state.name} ({feature.name})")
    (mark,) = hands.marks()
    assert (mark.feature, mark.state, mark.part, mark.label) == ("base.volva", state.id, "base", "")
    assert any(state.name in note.lines for note in hands.surface.sketch_now().notes)


def test_a_cut_out_without_a_part_asks_for_one(hands: Hands, canvas: CanvasView) -> None:
    canvas.open("p", "s", "")
    hands.settle()
    hands.tool("X")
    hands.drag((100, 100), (400, 300))
    menu = canvas.findChild(QMenu, "canvas-cutout-menu")
    assert menu is not None
    action = next(one for one in menu.actions() if one.text() == "base")
    action.trigger()
    (mark,) = hands.marks()
    assert (mark.kind, mark.part) == (K.CROP, "base")


def test_marks_stay_on_the_picture(hands: Hands) -> None:
    hands.tool("L")
    hands.drag((400, 300), (2000, 300))
    (mark,) = hands.marks()
    assert mark.points[1][0] == 800
