"""Lanes: one ending each, in the GUI thread, in order, cancellable."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from catalog_gui.domain.problem import Cancelled
from catalog_gui.jobs.lane import Lane, Reporter


@pytest.fixture
def lane(qtbot: QtBot) -> Iterator[Lane]:
    made = Lane("test")
    yield made
    made.close()


def test_value_and_callback_arrive_in_the_gui_thread(lane: Lane, qtbot: QtBot) -> None:
    seen: list[tuple[object, int]] = []
    worker: list[int] = []

    def call(_: Reporter) -> str:
        worker.append(threading.get_ident())
        return "amyloid"

    lane.submit(call, done=lambda value: seen.append((value, threading.get_ident())))
    qtbot.waitUntil(lambda: bool(seen))
    assert seen == [("amyloid", threading.get_ident())]
    assert worker[0] != threading.get_ident()


def test_pieces_run_in_order_and_each_ends_once(lane: Lane, qtbot: QtBot) -> None:
    endings: list[int] = []
    for number in range(50):
        lane.submit(lambda _, n=number: n, done=endings.append)
    qtbot.waitUntil(lambda: len(endings) == 50)
    assert endings == list(range(50))
    assert not lane.busy


def test_failure_goes_to_failed_and_a_lonely_one_to_trouble(lane: Lane, qtbot: QtBot) -> None:
    def fail(_: Reporter) -> None:
        raise ValueError("no card")

    failures: list[Exception] = []
    lane.submit(fail, failed=failures.append)
    qtbot.waitUntil(lambda: bool(failures))
    assert isinstance(failures[0], ValueError)
    with qtbot.waitSignal(lane.trouble) as heard:
        lane.submit(fail)
    assert isinstance(heard.args[0], ValueError)


def test_cancel_ends_it_with_cancelled(lane: Lane, qtbot: QtBot) -> None:
    started = threading.Event()
    failures: list[Exception] = []

    def long(reporter: Reporter) -> None:
        started.set()
        while True:
            reporter.check()

    ticket = lane.submit(long, failed=failures.append)
    assert started.wait(5)
    assert ticket.running
    ticket.cancel()
    qtbot.waitUntil(lambda: bool(failures))
    assert isinstance(failures[0], Cancelled)
    assert not ticket.running


def test_newest_first_serves_what_was_asked_last(qtbot: QtBot) -> None:
    lane = Lane("pictures", newest_first=True)
    gate, began, order = threading.Event(), threading.Event(), list[int]()

    def hold(_: Reporter) -> None:
        began.set()
        gate.wait(5)

    lane.submit(hold)
    assert began.wait(5)
    for number in (1, 2, 3):
        lane.submit(lambda _, n=number: order.append(n))
    gate.set()
    qtbot.waitUntil(lambda: not lane.busy)
    assert order == [3, 2, 1]
    lane.close()


def test_dropped_work_is_never_heard_of(lane: Lane, qtbot: QtBot) -> None:
    gate, heard = threading.Event(), list[object]()
    lane.submit(lambda _: gate.wait(5))
    ticket = lane.submit(lambda _: "late", done=heard.append)
    ticket.drop()
    gate.set()
    qtbot.waitUntil(lambda: not lane.busy)
    assert heard == []


def test_finish_runs_what_is_queued(qtbot: QtBot) -> None:
    lane, saved = Lane("records"), list[int]()
    for number in range(20):
        lane.submit(lambda _, n=number: saved.append(n))
    lane.finish()
    assert saved == list(range(20))


def test_progress_comes_before_the_ending(lane: Lane, qtbot: QtBot) -> None:
    heard: list[object] = []

    def call(reporter: Reporter) -> str:
        for step in range(3):
            reporter.progress(step)
        return "end"

    lane.submit(call, done=heard.append, progress=heard.append)
    qtbot.waitUntil(lambda: "end" in heard)
    assert heard == [0, 1, 2, "end"]
