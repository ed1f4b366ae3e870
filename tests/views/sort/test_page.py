"""What Sort shows: one selection on trail, plan and lanes; the place on the page kept; a late card; a tray."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QInputDevice, QNativeGestureEvent, QPointingDevice, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from catalog_gui.domain.photo import WrittenTime
from catalog_gui.presenting.sort.reader import read_state
from catalog_gui.presenting.sort.state import SortState
from catalog_gui.presenting.sort.words import walk_words
from catalog_gui.settings import ScreenGrid
from catalog_gui.views.bench import Bench
from catalog_gui.views.sort.page import SortPage
from tests.views.sort.conftest import FRIENDS, WALK, Hands
from tests.workflows.conftest import shot


def test_an_empty_page_says_how_to_begin(page: SortPage, bench: Bench, qtbot: QtBot) -> None:
    button = page.findChild(QPushButton, "sort-take-in")
    assert isinstance(button, QPushButton)
    assert button.isVisible()
    with qtbot.waitSignal(bench.take_in_wanted) as wanted:
        QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    assert wanted.args == [[], ""]


def test_one_selection_everywhere(hands: Hands) -> None:
    page = hands.page
    hands.choose("105")
    hands.settle()
    group = hands.state.rows[1].group.id
    assert page.plan.chosen == group
    lane = page.clocks.lane(hands.state.clocks[0].id)
    assert lane.chosen == pytest.approx(hands.state.times[hands.id_of("105")].timestamp())
    page.plan.group_chosen.emit(hands.state.rows[2].group.id)
    assert page.trail.current == hands.id_of("107")
    x = round(lane.x_of(hands.state.times[hands.id_of("100")].timestamp()))
    QTest.mouseClick(lane, Qt.MouseButton.LeftButton, pos=QPoint(x, 10))
    assert hands.state.row_of(page.trail.current) == 0


def test_a_stone_on_the_plan_is_chosen_by_mouse_and_by_key(hands: Hands) -> None:
    plan = hands.page.plan
    spot = plan.spot_of(hands.state.rows[1].group.id)
    assert spot is not None
    QTest.mouseClick(plan, Qt.MouseButton.LeftButton, pos=spot)
    assert hands.state.row_of(hands.page.trail.current) == 1
    QTest.keyClick(plan, Qt.Key.Key_Period)
    assert hands.state.row_of(hands.page.trail.current) == 2


def test_the_place_on_the_page_is_kept(hands: Hands, bench: Bench) -> None:
    many = tuple(
        shot(f"LOT_{n:03d}.jpg", 100 + n // 4 * 15 + n % 4 * 0.2, east_m=n // 4 * 200) for n in range(160)
    )
    hands.take_in(many, bench.foray_id)
    trail = hands.page.trail
    bar = trail.verticalScrollBar()
    bar.setValue(bar.maximum() // 2)
    top = trail.photo_at(QPoint(60, 120)) or trail.photo_at(QPoint(60, 200))
    at = trail.rect_of(top).top()
    chosen = trail.current
    first = next(row.group for row in hands.state.rows if len(row.photos) == 4)
    bench.do("Note", lambda work: work.groups.put(replace(first, note="wet")))
    hands.settle()
    assert trail.rect_of(top).top() == at
    assert trail.current == chosen
    earlier = tuple(shot(f"EARLY_{n}.jpg", -60 + n * 10, east_m=-300 - n * 100) for n in range(5))
    hands.take_in(earlier, bench.foray_id)
    assert trail.rect_of(top).top() == at, "pictures that came in above do not push the page away"


def test_a_late_card_leaves_alone_what_was_done(hands: Hands, bench: Bench) -> None:
    hands.choose("102")
    hands.key(Qt.Key.Key_C)
    hands.choose("104")
    hands.key(Qt.Key.Key_Return)
    made = hands.state.rows[2].specimen
    hands.take_in(FRIENDS, bench.foray_id)
    assert len(hands.state.photos) == len(WALK) + len(FRIENDS)
    assert ["100", "101"] in hands.names
    assert ["102", "103"] in hands.names
    assert any(row.specimen == made and len(row.photos) == 3 for row in hands.state.rows)
    everywhere = set(hands.state.where) | {photo.id for photo in hands.state.tray}
    assert everywhere == set(hands.state.photos)


def test_what_has_no_time_lies_in_the_tray_with_the_reason(hands: Hands, bench: Bench) -> None:
    timeless = replace(
        shot("gone_1.jpg", 5), written=WrittenTime(problem="Nothing was written."), fix=None, quick_key="t"
    )
    hands.take_in((timeless,), bench.foray_id)
    assert [photo.name for photo in hands.state.tray] == ["gone_1.jpg"]
    words = str(hands.page.tray.model().index(0, 0).data(Qt.ItemDataRole.DisplayRole))
    assert "time" in words.split("\n", 1)[1]


def test_arrows_shift_and_space_choose(hands: Hands) -> None:
    trail = hands.page.trail
    hands.choose("100")
    hands.key(Qt.Key.Key_Right)
    hands.key(Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    assert trail.selected() == [hands.id_of("101"), hands.id_of("102")]
    hands.key(Qt.Key.Key_Space)
    assert len(trail.selected()) == 4
    hands.key(Qt.Key.Key_End)
    assert trail.current == hands.id_of("108")
    hands.key(Qt.Key.Key_Home)
    assert trail.selected() == [hands.id_of("100")]
    hands.key(Qt.Key.Key_Down)
    assert hands.state.row_of(trail.current) == 1
    hands.key(Qt.Key.Key_Down)
    assert hands.state.row_of(trail.current) == 1, "the third card stands beside the second, not below"
    hands.key(Qt.Key.Key_PageDown)
    assert hands.state.row_of(trail.current) == 2
    hands.key(Qt.Key.Key_Up)
    hands.key(Qt.Key.Key_Up)
    assert hands.state.row_of(trail.current) == 0


def test_pictures_grow_with_the_wheel_and_the_slider_follows(hands: Hands) -> None:
    seen: list[int] = []
    hands.page.trail.edge_changed.connect(seen.append)
    hands.page.trail.set_edge(500)
    assert seen == [320]
    hands.page.trail.set_edge(10)
    assert hands.page.trail.edge == 72


PAD = QPointingDevice(
    "pad",
    7,
    QInputDevice.DeviceType.TouchPad,
    QPointingDevice.PointerType.Finger,
    QInputDevice.Capability.Scroll | QInputDevice.Capability.PixelScroll,
    2,
    0,
)


def two_fingers(
    widget: QWidget, down: int, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier
) -> None:
    """Two fingers move on a touchpad: px, and the eighths of a degree that go with them."""
    at = QPointF(60, 80)
    turned = QPoint(0, down)
    QApplication.sendEvent(
        widget,
        QWheelEvent(
            at,
            widget.mapToGlobal(at),
            turned,
            turned * 3,
            Qt.MouseButton.NoButton,
            modifier,
            Qt.ScrollPhase.ScrollUpdate,
            False,
            Qt.MouseEventSource.MouseEventNotSynthesized,
            PAD,
        ),
    )


def spread(widget: QWidget, by: float) -> None:
    """Two fingers spread on a touchpad."""
    at = QPointF(60, 80)
    there = widget.mapToGlobal(at)
    QApplication.sendEvent(
        widget,
        QNativeGestureEvent(
            Qt.NativeGestureType.ZoomNativeGesture, PAD, 2, at, there, there, by, QPointF(), 1
        ),
    )


def test_two_fingers_scroll_by_the_pixel_and_spread_to_enlarge(hands: Hands) -> None:
    """Each event moves less than a step of the wheel, or a px of size: none of it is lost."""
    trail = hands.page.trail
    trail.set_edge(320)
    bar = trail.verticalScrollBar()
    for _ in range(10):
        two_fingers(trail.viewport(), -3)
    assert bar.value() == 30
    two_fingers(trail.viewport(), 10)
    assert bar.value() == 20
    trail.set_edge(100)
    for _ in range(60):
        spread(trail.viewport(), 0.004)
    assert trail.edge == round(100 * 1.004**60)
    for _ in range(40):
        two_fingers(trail.viewport(), -2, Qt.KeyboardModifier.ControlModifier)
    assert trail.edge == pytest.approx(100 * 1.004**60 * 1.001**-240, abs=1)


def test_two_fingers_move_and_zoom_the_plan(hands: Hands) -> None:
    plan = hands.page.plan
    before = plan.frame
    two_fingers(plan, -12)
    assert plan.frame.scale == before.scale
    assert plan.frame.middle[1] == pytest.approx(before.middle[1] - 12 / before.scale)
    spread(plan, 0.5)
    assert plan.frame.scale == pytest.approx(1.5 * before.scale)


def test_the_keys_work_on_the_trail_at_once(hands: Hands, bench: Bench) -> None:
    """Coming to the page, nothing has to be clicked first."""
    hands.page.tray.setFocus()
    hands.page.enter()
    assert hands.page.focusWidget() is hands.page.trail


def test_places_are_written_in_her_grid(hands: Hands, bench: Bench) -> None:
    """52.0 N 1.0 W lies in the square SP of the British grid (letters of the Ordnance Survey's 100 km squares)."""
    assert "52.000" in hands.state.rows[0].place
    bench.set_preferences(replace(bench.preferences, grid=ScreenGrid("British")))
    hands.settle()
    assert hands.state.rows[0].place.startswith("SP")
    assert hands.state.rows[0].place in hands.page.trail.words_at(
        hands.page.trail.rect_of(hands.state.rows[0].photos[0].id).topLeft() - QPoint(0, 15)
    )


def test_reading_what_changed_gives_what_reading_everything_gives(
    hands: Hands, bench: Bench, put: Callable[..., None]
) -> None:
    """After a row of changes the page, which reads only what moved, equals a fresh look at the records."""
    hands.choose("102")
    hands.key(Qt.Key.Key_C)
    hands.choose("107")
    hands.key(Qt.Key.Key_N)
    hands.choose("104")
    hands.key(Qt.Key.Key_J)
    hands.undo()
    hands.key(Qt.Key.Key_Return)
    foray = bench.foray_id
    fresh: list[SortState] = []
    bench.read(lambda work: read_state(work, foray, bench.surroundings), fresh.append)
    hands.settle()
    assert fresh[0].rows == hands.state.rows
    assert fresh[0].tray == hands.state.tray
    assert fresh[0].photos == hands.state.photos
    assert set(fresh[0].joins) == set(hands.state.joins)
    assert fresh[0].times == hands.state.times


def test_groups_that_overlap_in_time_were_found_meanwhile(hands: Hands) -> None:
    """The minutes between a long find and one taken during it are not minutes of walking."""
    row = hands.state.rows[1]
    assert walk_words(row) == "11 min on, 149 m"
    assert walk_words(replace(row, walk_s=-120.0)) == "meanwhile, 149 m"
    assert walk_words(replace(row, walk_s=None, walk_m=None)) == "unknown time on"


def test_the_pictures_of_trail_and_tray_take_drops(hands: Hands) -> None:
    """What is under the pointer is the viewport: without its consent the real window lets nothing go there."""
    assert hands.page.trail.viewport().acceptDrops()
    assert hands.page.tray.viewport().acceptDrops()
