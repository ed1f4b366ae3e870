"""What Sort shows: one selection on trail, plan and lanes; the place on the page kept; a late card; a tray."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from catalog_gui.domain.photo import WrittenTime
from catalog_gui.views.bench import Bench
from catalog_gui.views.sort.page import SortPage
from catalog_gui.views.sort.reader import read_state
from catalog_gui.views.sort.state import SortState
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
