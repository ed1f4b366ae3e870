"""Runs queues of work off the GUI thread, each piece with progress, cancel and exactly one ending.

A worker queue is a QObject that lives in the GUI thread. Its workers run plain callables and put what they have
into an outbox; `done`, `failed` and `progress` always run in the GUI thread, a few milliseconds' worth
between other events, so that a burst of endings never holds the window.
"""

from __future__ import annotations

import itertools
import logging
import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

from PySide6.QtCore import QObject, Qt, QTimer, Signal, Slot

from catalog_gui.domain.problem import Cancelled, Problem

T = TypeVar("T")

_log = logging.getLogger(__name__)

SLICE_S = 0.008
"""How long endings are told at a stretch before other events have their turn."""


class Reporter:
    """What a piece of work may use while it runs, from the worker's thread."""

    def __init__(self, owner: WorkerQueue, number: int) -> None:
        self._owner = owner
        self._number = number
        self._cancelled = threading.Event()

    def cancelled(self) -> bool:
        """Whether the person asked to stop."""
        return self._cancelled.is_set()

    def check(self) -> None:
        """Raise Cancelled if the person asked to stop."""
        if self._cancelled.is_set():
            raise Cancelled

    def progress(self, value: object) -> None:
        """Hand a value to the GUI thread on the way; one that is not yet told is replaced by a newer one."""
        self._owner._tell(self._number, "progress", value)


@dataclass(eq=False)
class _Piece:
    number: int
    call: Callable[[Reporter], object]
    reporter: Reporter
    done: Callable[[object], object] | None
    failed: Callable[[Exception], object] | None
    progress: Callable[[object], object] | None
    ended: bool = False


class Ticket(Generic[T]):
    """The receipt for a piece of work."""

    def __init__(self, owner: WorkerQueue, piece: _Piece) -> None:
        self._owner = owner
        self._piece = piece

    @property
    def running(self) -> bool:
        """Whether its ending has not been told yet."""
        return not self._piece.ended

    def cancel(self) -> None:
        """Ask it to stop; its ending (done, or failed with Cancelled) still comes."""
        self._piece.reporter._cancelled.set()

    def drop(self) -> None:
        """Cancel it and hear nothing more of it: for work nobody waits for any longer."""
        self._piece.done = self._piece.failed = self._piece.progress = None
        self.cancel()
        self._owner._forget(self._piece)

    def withdraw(self) -> bool:
        """Take it out of the queue, silently, if it has not begun; whether that was so."""
        return self._owner._forget(self._piece)


class WorkerQueue(QObject):
    """A queue with its own threads. `newest_first` queues serve what was asked last (thumbnails in view)."""

    _arrived = Signal()
    idle = Signal()
    trouble = Signal(object)
    """An exception that no `failed` was waiting for."""

    def __init__(
        self, name: str, *, threads: int = 1, newest_first: bool = False, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName(f"queue-{name}")
        self._numbers = itertools.count(1)
        self._pieces: dict[int, _Piece] = {}
        self._queue: deque[_Piece] = deque()
        self._condition = threading.Condition()
        self._closing = False
        self._newest_first = newest_first
        self._outbox: deque[tuple[int, str, object]] = deque()
        self._newest: dict[int, object] = {}
        self._outbox_lock = threading.Lock()
        self._woken = False
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._deliver)
        self._arrived.connect(self._schedule, Qt.ConnectionType.QueuedConnection)
        self._threads = [
            threading.Thread(target=self._serve, name=f"{name}-{index}", daemon=True)
            for index in range(threads)
        ]
        for thread in self._threads:
            thread.start()

    def submit(
        self,
        call: Callable[[Reporter], T],
        *,
        done: Callable[[T], object] | None = None,
        failed: Callable[[Exception], object] | None = None,
        progress: Callable[[object], object] | None = None,
    ) -> Ticket[T]:
        """Queue `call(reporter)`; exactly one of `done(value)` and `failed(error)` follows, in the GUI thread."""
        number = next(self._numbers)
        reporter = Reporter(self, number)
        piece = _Piece(number, call, reporter, done, failed, progress)  # type: ignore[arg-type]
        self._pieces[number] = piece
        with self._condition:
            self._queue.append(piece)
            self._condition.notify()
        return Ticket(self, piece)

    @property
    def busy(self) -> bool:
        """Whether anything is queued, running or not yet told."""
        return bool(self._pieces)

    def close(self, *, wait_s: float = 10.0) -> None:
        """Cancel what is queued or running and end the threads; nothing is delivered afterwards."""
        with self._condition:
            self._closing = True
            for piece in self._pieces.values():
                piece.reporter._cancelled.set()
            self._queue.clear()
            self._condition.notify_all()
        for thread in self._threads:
            thread.join(wait_s)
        self._pieces.clear()

    def finish(self, *, wait_s: float = 30.0) -> None:
        """Run everything that is queued, then end the threads: for the queue that saves what was entered."""
        with self._condition:
            self._closing = True
            self._condition.notify_all()
        for thread in self._threads:
            thread.join(wait_s)

    def _forget(self, piece: _Piece) -> bool:
        with self._condition:
            if piece not in self._queue:
                return False
            self._queue.remove(piece)
            self._pieces.pop(piece.number, None)
            piece.ended = True
            return True

    def _serve(self) -> None:
        while True:
            with self._condition:
                while not self._queue and not self._closing:
                    self._condition.wait()
                if not self._queue:
                    return
                piece = self._queue.pop() if self._newest_first else self._queue.popleft()
            try:
                piece.reporter.check()
                value = piece.call(piece.reporter)
            except Exception as error:  # noqa: BLE001 - whatever it was, its owner must hear of it
                self._note(error)
                self._tell(piece.number, "failed", error)
            else:
                self._tell(piece.number, "done", value)
            del piece

    def _note(self, error: Exception) -> None:
        """Log what went wrong: in full what a person cannot use, else only its sentence."""
        if isinstance(error, Problem):
            if not isinstance(error, Cancelled):
                _log.info("%s: %s", self.objectName(), error)
        else:
            _log.error("%s failed", self.objectName(), exc_info=error)

    def _tell(self, number: int, kind: str, value: object) -> None:
        """From the worker's thread: leave it for the GUI thread. Of progress only the newest waits there."""
        with self._outbox_lock:
            if kind == "progress":
                waiting = number in self._newest
                self._newest[number] = value
                if waiting:
                    return
                value = None
            self._outbox.append((number, kind, value))
            if self._woken:
                return
            self._woken = True
        try:
            self._arrived.emit()
        except RuntimeError:  # the queue's QObject is gone: the program is closing
            return

    @Slot()
    def _schedule(self) -> None:
        if not self._timer.isActive():
            self._timer.start(0)

    @Slot()
    def _deliver(self) -> None:
        until = time.perf_counter() + SLICE_S
        while True:
            with self._outbox_lock:
                if not self._outbox:
                    self._woken = False
                    return
                number, kind, value = self._outbox.popleft()
                if kind == "progress":
                    value = self._newest.pop(number)
            self._schedule()  # also for an event loop that an ending may start (a dialog's)
            self._deliver_one(number, kind, value)
            del value
            if time.perf_counter() >= until:
                return

    def _deliver_one(self, number: int, kind: str, value: object) -> None:
        piece = self._pieces.get(number)
        if piece is None or piece.ended:
            return
        if kind != "progress":
            piece.ended = True
            del self._pieces[number]
        try:
            self._hand_over(piece, kind, value)
        except RuntimeError as error:
            if "already deleted" not in str(error):
                raise
            # The page or dialog that asked was closed meanwhile: there is nobody left to tell.
        finally:
            if piece.ended and not self._pieces:
                self.idle.emit()

    def _hand_over(self, piece: _Piece, kind: str, value: object) -> None:
        if kind == "progress":
            if piece.progress is not None:
                piece.progress(value)
        elif kind == "done":
            if piece.done is not None:
                piece.done(value)
        elif piece.failed is not None:
            piece.failed(value)  # type: ignore[arg-type]
        elif not isinstance(value, Cancelled):
            self.trouble.emit(value)
