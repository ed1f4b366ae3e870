"""Worker queues: one ending each, in the GUI thread, in order, cancellable."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Iterator

import pytest
import shiboken6
from PySide6.QtCore import QEventLoop, QTimer
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from catalog_gui.domain.problem import BadInput, Cancelled
from catalog_gui.jobs.worker_queue import Reporter, WorkerQueue


@pytest.fixture
def queue(qtbot: QtBot) -> Iterator[WorkerQueue]:
    made = WorkerQueue("test")
    yield made
    made.close()


def test_value_and_callback_arrive_in_the_gui_thread(queue: WorkerQueue, qtbot: QtBot) -> None:
    seen: list[tuple[object, int]] = []
    worker: list[int] = []

    def call(_: Reporter) -> str:
        worker.append(threading.get_ident())
        return "amyloid"

    queue.submit(call, done=lambda value: seen.append((value, threading.get_ident())))
    qtbot.waitUntil(lambda: bool(seen))
    assert seen == [("amyloid", threading.get_ident())]
    assert worker[0] != threading.get_ident()


def test_pieces_run_in_order_and_each_ends_once(queue: WorkerQueue, qtbot: QtBot) -> None:
    endings: list[int] = []
    for number in range(50):
        queue.submit(lambda _, n=number: n, done=endings.append)  # type: ignore[misc]  # a default in a lambda
    qtbot.waitUntil(lambda: len(endings) == 50)
    assert endings == list(range(50))
    assert not queue.busy


def test_failure_goes_to_failed_and_a_lonely_one_to_trouble(queue: WorkerQueue, qtbot: QtBot) -> None:
    def fail(_: Reporter) -> None:
        raise ValueError("no card")

    failures: list[Exception] = []
    queue.submit(fail, failed=failures.append)
    qtbot.waitUntil(lambda: bool(failures))
    assert isinstance(failures[0], ValueError)
    with qtbot.waitSignal(queue.trouble) as heard:
        queue.submit(fail)
    assert isinstance(heard.args[0], ValueError)


def test_cancel_ends_it_with_cancelled(queue: WorkerQueue, qtbot: QtBot) -> None:
    started = threading.Event()
    failures: list[Exception] = []

    def long(reporter: Reporter) -> None:
        started.set()
        while True:
            reporter.check()

    ticket = queue.submit(long, failed=failures.append)
    assert started.wait(5)
    assert ticket.running
    ticket.cancel()
    qtbot.waitUntil(lambda: bool(failures))
    assert isinstance(failures[0], Cancelled)
    assert not ticket.running


def test_newest_first_serves_what_was_asked_last(qtbot: QtBot) -> None:
    queue = WorkerQueue("pictures", newest_first=True)
    gate, began, order = threading.Event(), threading.Event(), list[int]()

    def hold(_: Reporter) -> None:
        began.set()
        gate.wait(5)

    queue.submit(hold)
    assert began.wait(5)
    for number in (1, 2, 3):
        queue.submit(lambda _, n=number: order.append(n))  # type: ignore[misc]  # a default in a lambda
    gate.set()
    qtbot.waitUntil(lambda: not queue.busy)
    assert order == [3, 2, 1]
    queue.close()


def test_dropped_work_is_never_heard_of(queue: WorkerQueue, qtbot: QtBot) -> None:
    gate, heard = threading.Event(), list[object]()
    queue.submit(lambda _: gate.wait(5))
    ticket = queue.submit(lambda _: "late", done=heard.append)
    ticket.drop()
    gate.set()
    qtbot.waitUntil(lambda: not queue.busy)
    assert heard == []


def test_finish_runs_what_is_queued(qtbot: QtBot) -> None:
    queue, saved = WorkerQueue("records"), list[int]()
    for number in range(20):
        queue.submit(lambda _, n=number: saved.append(n))  # type: ignore[misc]  # a default in a lambda
    queue.finish()
    assert saved == list(range(20))


def test_progress_comes_in_order_before_the_ending_and_only_the_newest_waits(
    queue: WorkerQueue, qtbot: QtBot
) -> None:
    heard: list[object] = []
    first_heard = threading.Event()

    def call(reporter: Reporter) -> str:
        reporter.progress(0)
        assert first_heard.wait(10)
        for step in range(1, 5000):
            reporter.progress(step)
        return "end"

    def hear(value: object) -> None:
        heard.append(value)
        first_heard.set()

    queue.submit(call, done=heard.append, progress=hear)
    qtbot.waitUntil(lambda: "end" in heard)
    steps = [value for value in heard if isinstance(value, int)]
    assert steps[0] == 0
    assert steps[-1] == 4999
    assert steps == sorted(steps)
    assert heard[-1] == "end"
    assert len(steps) < 4000


def test_a_burst_of_endings_lets_other_events_in(queue: WorkerQueue, qtbot: QtBot) -> None:
    """Each ending takes 3 ms; forty of them at once would hold the window for 120 ms."""
    ready = threading.Event()
    endings: list[float] = []
    ticks: list[int] = []
    timer = QTimer()
    timer.setInterval(0)
    timer.timeout.connect(lambda: ticks.append(len(endings)))

    def end(_: object) -> None:
        begun = time.thread_time()
        while time.thread_time() - begun < 0.003:
            pass
        endings.append(begun)

    for _ in range(39):
        queue.submit(lambda _: None, done=end)
    queue.submit(lambda _: ready.set(), done=end)
    assert ready.wait(10)
    timer.start()
    qtbot.waitUntil(lambda: len(endings) == 40)
    timer.stop()
    assert len(set(ticks)) > 8


def test_endings_come_while_a_dialog_of_an_ending_is_open(queue: WorkerQueue, qtbot: QtBot) -> None:
    heard: list[str] = []
    loop = QEventLoop()

    def inside(_: object) -> None:
        heard.append("inside")
        loop.quit()

    def open_dialog(_: object) -> None:
        queue.submit(lambda _: None, done=inside)
        loop.exec()
        heard.append("closed")

    queue.submit(lambda _: None, done=open_dialog)
    queue.submit(lambda _: None, done=lambda _: heard.append("beside"))
    qtbot.waitUntil(lambda: "closed" in heard)
    assert heard == ["beside", "inside", "closed"]


def test_only_what_has_not_begun_can_be_withdrawn(queue: WorkerQueue, qtbot: QtBot) -> None:
    begun, go_on = threading.Event(), threading.Event()
    heard: list[str] = []

    def slow(_: Reporter) -> None:
        begun.set()
        go_on.wait(10)

    running = queue.submit(slow, done=lambda _: heard.append("running"))
    queued = queue.submit(lambda _: None, done=lambda _: heard.append("queued"))
    assert begun.wait(10)
    assert not running.withdraw()
    assert queued.withdraw()
    go_on.set()
    qtbot.waitUntil(lambda: not queue.busy)
    assert heard == ["running"]


def test_an_answer_for_a_widget_that_is_gone_troubles_nobody(queue: WorkerQueue, qtbot: QtBot) -> None:
    label = QLabel()
    gate, heard = threading.Event(), list[object]()
    queue.trouble.connect(heard.append)
    queue.submit(lambda _: gate.wait(5), done=lambda _: label.setText("late"))
    shiboken6.delete(label)
    gate.set()
    qtbot.waitUntil(lambda: not queue.busy)
    assert heard == []


def test_progress_for_a_bar_that_is_gone_is_not_told(queue: WorkerQueue, qtbot: QtBot) -> None:
    label = QLabel()
    gate, done = threading.Event(), list[object]()

    def call(reporter: Reporter) -> str:
        gate.wait(5)
        reporter.progress("half")
        return "whole"

    queue.submit(call, done=done.append, progress=lambda value: label.setText(str(value)))
    shiboken6.delete(label)
    gate.set()
    qtbot.waitUntil(lambda: not queue.busy)
    assert done == ["whole"]


def test_the_log_has_the_place_of_a_fault_and_only_the_sentence_of_a_problem(
    queue: WorkerQueue, qtbot: QtBot, caplog: pytest.LogCaptureFixture
) -> None:
    def fault(_: Reporter) -> None:
        raise KeyError("gills")

    def problem(_: Reporter) -> None:
        raise BadInput("'x' is no size.")

    def stopped(_: Reporter) -> None:
        raise Cancelled

    heard: list[Exception] = []
    with caplog.at_level(logging.INFO, "catalog_gui.jobs"):
        for call in (fault, problem, stopped):
            queue.submit(call, failed=heard.append)
        qtbot.waitUntil(lambda: len(heard) == 3)
    assert [record.levelname for record in caplog.records] == ["ERROR", "INFO"]
    assert "in fault" in caplog.text
    assert "KeyError: 'gills'" in caplog.text
    assert "in problem" not in caplog.text
    assert "'x' is no size." in caplog.text
