"""Setting clocks: typed, nudged, dragged, paired, or read off a picture of one; and what is shown meanwhile."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, time

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel, QLineEdit, QPushButton
from pytestqt.qtbot import QtBot

from catalog_gui.domain.foray import Clock
from catalog_gui.domain.photo import Camera, Photo
from catalog_gui.views.bench import Bench
from catalog_gui.views.sort.clock_dialog import ClockDialog
from catalog_gui.views.sort.clocks import FEW
from tests.views.sort.conftest import FRIENDS, Hands
from tests.workflows.conftest import shot


@pytest.fixture
def friend(hands: Hands, bench: Bench) -> Clock:
    """The clock of the friend's camera, which nothing settles: two pictures are too few."""
    hands.take_in(FRIENDS, bench.foray_id)
    return clock_of(hands)


def clock_of(hands: Hands) -> Clock:
    return next(clock for clock in hands.state.clocks if "AM-20" in clock.camera_key)


def open_dialog(hands: Hands, clock: Clock) -> ClockDialog:
    hands.page.clocks.asked.emit(clock.id)
    hands.settle()
    dialog = hands.page.findChild(ClockDialog)
    assert isinstance(dialog, ClockDialog)
    return dialog


def press(dialog: ClockDialog, name: str) -> None:
    button = dialog.findChild(QPushButton, name)
    assert isinstance(button, QPushButton)
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)


def field(dialog: ClockDialog, name: str) -> QLineEdit:
    found = dialog.findChild(QLineEdit, name)
    assert isinstance(found, QLineEdit)
    return found


def test_a_clock_is_typed(hands: Hands, friend: Clock) -> None:
    dialog = open_dialog(hands, friend)
    field(dialog, "clock-correction").setText("nonsense")
    press(dialog, "clock-typed-set")
    trouble = dialog.findChild(QLabel, "clock-trouble")
    assert isinstance(trouble, QLabel)
    assert "nonsense" in trouble.text()
    field(dialog, "clock-correction").setText("+1:00:00")
    press(dialog, "clock-typed-set")
    hands.settle()
    clock = clock_of(hands)
    assert clock.by_hand
    assert clock.settled
    moment = hands.state.times[hands.id_of("AMR_1")]
    assert moment == datetime(2025, 10, 18, 11, 12, 12, tzinfo=UTC), "12 min 12 s after noon at UTC+1"
    hands.undo()
    assert clock_of(hands) == friend


def test_the_pictures_may_decide_again(hands: Hands, friend: Clock) -> None:
    hands.page.clocks.shift_wanted.emit(friend.id, 60.0)
    hands.settle()
    assert clock_of(hands).by_hand
    dialog = open_dialog(hands, clock_of(hands))
    press(dialog, "clock-release")
    hands.settle()
    assert not clock_of(hands).by_hand


def test_two_pictures_of_one_moment(hands: Hands, friend: Clock) -> None:
    dialog = open_dialog(hands, friend)
    dialog.tell("Pair two pictures.", (hands.id_of("AMR_2"), hands.id_of("108")))
    outcome = dialog.findChild(QLabel, "clock-outcome")
    assert isinstance(outcome, QLabel)
    assert "would move by" in outcome.text()
    QTest.keyClick(dialog, Qt.Key.Key_Left)
    QTest.keyClick(dialog, Qt.Key.Key_Right)
    press(dialog, "clock-pair")
    hands.settle()
    times = hands.state.times
    assert times[hands.id_of("AMR_2")] == times[hands.id_of("108")]
    assert "one moment" in clock_of(hands).basis


def test_two_chosen_pictures_set_the_less_certain_clock(hands: Hands, friend: Clock) -> None:
    before = hands.state.times[hands.id_of("105")]
    hands.choose("AMR_1")
    hands.page.trail.choose(hands.id_of("105"), add=True)
    hands.key(Qt.Key.Key_M)
    assert hands.state.times[hands.id_of("AMR_1")] == before
    assert hands.state.times[hands.id_of("105")] == before


def test_a_picture_of_a_phones_clock(hands: Hands, friend: Clock, bench: Bench) -> None:
    zone: list[str] = []
    bench.read(lambda work: [foray.time_zone for foray in work.forays.all()], zone.extend)
    dialog = open_dialog(hands, friend)
    dialog.tell("", (hands.id_of("AMR_1"), ""))
    field(dialog, "clock-face").setText("12:14:07")
    QTest.keyClick(field(dialog, "clock-face"), Qt.Key.Key_Return)
    hands.settle()
    assert zone == ["Etc/GMT-1"]
    assert hands.state.times[hands.id_of("AMR_1")] == datetime(2025, 10, 18, 11, 14, 7, tzinfo=UTC)
    assert "AMR_1" in clock_of(hands).basis


def test_a_clock_without_seconds_is_taken_in_the_middle_of_its_minute(hands: Hands, friend: Clock) -> None:
    """Uniform over a minute: the standard deviation is 60 s / sqrt 12 = 17.3 s."""
    dialog = open_dialog(hands, friend)
    dialog.face_wanted.emit(hands.id_of("AMR_1"), time(12, 14), False)
    dialog.reject()
    hands.settle()
    assert hands.state.times[hands.id_of("AMR_1")].second == 30
    assert clock_of(hands).spread_s == pytest.approx(17.32, abs=0.01)


def test_a_lane_is_dragged_and_the_order_shown(hands: Hands, friend: Clock) -> None:
    lane = hands.page.clocks.lane(friend.id)
    left, plain = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    QTest.mousePress(lane, left, plain, QPoint(100, 10))
    QTest.mouseMove(lane, QPoint(130, 10))
    order = hands.page.order
    assert order.isVisible()
    assert any(beat.moved for beat in order.beats)
    assert [beat.moment for beat in order.beats] == sorted(beat.moment for beat in order.beats)
    wanted = 30 * lane.seconds_per_px()
    QTest.mouseRelease(lane, left, plain, QPoint(130, 10))
    hands.settle()
    assert not order.isVisible()
    assert clock_of(hands).offset_s - friend.offset_s == pytest.approx(wanted, abs=0.01)


def test_a_lane_is_nudged_by_key(hands: Hands, friend: Clock) -> None:
    lane = hands.page.clocks.lane(friend.id)
    lane.setFocus()
    QTest.keyClick(lane, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    QTest.keyClick(lane, Qt.Key.Key_Left)
    assert hands.page.order.isVisible()
    QTest.keyClick(lane, Qt.Key.Key_Escape)
    assert not hands.page.order.isVisible()
    QTest.keyClick(lane, Qt.Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClick(lane, Qt.Key.Key_Return)
    hands.settle()
    assert clock_of(hands).offset_s - friend.offset_s == 3600
    assert all(row.specimen is None for row in hands.state.rows), "Return belonged to the lane"


def test_lanes_zoom_together_and_show_everything_again(hands: Hands, friend: Clock) -> None:
    shelf = hands.page.clocks
    whole = shelf.span
    lane = shelf.lane(friend.id)
    QTest.keyClick(lane, Qt.Key.Key_Plus)
    low, high = shelf.span
    assert high - low < whole[1] - whole[0]
    assert low >= whole[0]
    assert high <= whole[1]
    QTest.keyClick(lane, Qt.Key.Key_0)
    assert shelf.span == whole


def test_many_cameras_are_folded_away(hands: Hands, bench: Bench, qtbot: QtBot) -> None:
    cameras = [Camera("Quillmark", f"Fern {n}", str(n)) for n in range(6)]
    hands.take_in(
        [
            shot(f"C{n}_{k}.jpg", k * 3 + n * 0.1, camera=camera)
            for n, camera in enumerate(cameras)
            for k in range(3)
        ],
        bench.foray_id,
    )
    shelf = hands.page.clocks
    lanes = [shelf.lane(clock.id) for clock in hands.state.clocks]
    assert len(lanes) == 7
    assert sum(lane.isVisible() for lane in lanes) == FEW
    folded = shelf.height()
    more = hands.page.findChild(QPushButton, "clocks-more")
    assert isinstance(more, QPushButton)
    QTest.mouseClick(more, Qt.MouseButton.LeftButton)
    assert all(lane.isVisible() for lane in lanes)
    qtbot.waitUntil(lambda: shelf.height() > folded)
    assert shelf.height() < hands.page.height() * 0.45


TWIN = Camera("Oakley Dell", "Lumen 1")
"""Two of these, and neither writes a serial number: only their numbering tells them apart."""


def twins(behind_s: float) -> list[Photo]:
    """Twelve finds, each by both twins; the second numbers from 5000 on and its clock is `behind_s` slow."""
    made = []
    for find in range(12):
        for turn in range(3):
            minute = find * 4 + turn * 0.4
            one = shot(f"DSC_{100 + find * 3 + turn:04d}.jpg", minute, camera=TWIN)
            two = shot(f"DSC_{5000 + find * 3 + turn:04d}.jpg", minute + 0.15 - behind_s / 60, camera=TWIN)
            for photo in (one, two):
                lone = replace(photo.written, offset=None)
                counter = int(photo.name[4:8])
                made.append(replace(photo, written=lone, fix=None, counter=counter))
    return made


def test_two_cameras_of_one_name_have_a_lane_and_a_clock_each(hands: Hands, bench: Bench) -> None:
    """Pictures of the second body stand at its times, and a pair sets its clock and not the other's."""
    hands.take_in(twins(400.0), bench.foray_id)
    first, second = (
        next(c for c in hands.state.clocks if c.camera_key.endswith(end)) for end in ("Lumen 1", ")")
    )
    lanes = {facts.clock.id: facts for facts in hands.state.lanes}
    assert len(lanes[first.id].photos) == len(lanes[second.id].photos) == 36
    names = {hands.state.photos[key].name[4] for key in lanes[second.id].photos}
    assert len(names) == 1
    mine = hands.state.photos[lanes[second.id].photos[3]]
    assert mine.written.local is not None
    wanted = mine.written.local.replace(tzinfo=UTC).timestamp() + second.offset_s
    assert hands.state.times[mine.id].timestamp() == pytest.approx(wanted)
    theirs = hands.state.photos[hands.id_of("IMG_104")]
    dialog = open_dialog(hands, second)
    dialog.pair_wanted.emit(mine.id, theirs.id)
    hands.settle()
    clocks = {clock.id: clock for clock in hands.state.clocks}
    assert hands.state.times[mine.id] == hands.state.times[theirs.id]
    assert clocks[second.id].by_hand
    assert not clocks[first.id].by_hand
    twin = hands.state.photos[lanes[first.id].photos[0]]
    dialog.pair_wanted.emit(mine.id, twin.id)
    hands.settle()
    assert hands.troubles == []
