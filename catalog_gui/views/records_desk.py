"""Asks the records and changes them, on worker queues of its own: the GUI thread never waits for a disk."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import QObject, Signal

from catalog_gui.domain.ledger import Changed
from catalog_gui.jobs.worker_queue import Reporter, Ticket, WorkerQueue
from catalog_gui.workflows.ports import Records, UnitOfWork

T = TypeVar("T")


class RecordsDesk(QObject):
    """Reads and changes the records. Every method returns at once; answers come in the GUI thread.

    `stepped` is called on the records' queue after every undoable step, before its answer is told.
    """

    changed = Signal(object)  # Changed, after every change
    said = Signal(str)  # the label of an undoable step
    failed = Signal(object)  # an Exception that no `failed` was waiting for

    def __init__(
        self,
        open_records: Callable[[], Records],
        *,
        close_all: Callable[[], None] = lambda: None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._open_records = open_records
        self._records: Records | None = None
        self._close_all = close_all
        self.stepped: Callable[[], None] = lambda: None
        self.queue = WorkerQueue("records", parent=self)
        self.long_queue = WorkerQueue("long", parent=self)
        self.quiet_queue = WorkerQueue(
            "quiet", parent=self
        )  # what nobody waits for: fingerprints, scheduled copies
        for queue in (self.queue, self.long_queue, self.quiet_queue):
            queue.trouble.connect(self.failed)

    def read(
        self,
        question: Callable[[UnitOfWork], T],
        then: Callable[[T], None],
        *,
        failed: Callable[[Exception], None] | None = None,
    ) -> Ticket[T]:
        """Ask the records something; `then(answer)` follows."""

        def call(_: Reporter) -> T:
            with self._opened().read() as work:
                return question(work)

        return self.queue.submit(call, done=then, failed=failed)

    def ask(
        self,
        question: Callable[[Records], T],
        then: Callable[[T], None],
        *,
        failed: Callable[[Exception], None] | None = None,
    ) -> Ticket[T]:
        """Ask the catalogue as a whole something (search, steps, safety copies)."""
        return self.queue.submit(lambda _: question(self._opened()), done=then, failed=failed)

    def do(
        self,
        label: str,
        action: Callable[[UnitOfWork], T],
        then: Callable[[T], None] | None = None,
        *,
        undoable: bool = True,
        failed: Callable[[Exception], None] | None = None,
    ) -> Ticket[tuple[T, Changed | None]]:
        """Make one change, saved with its undo step before `then` is called."""

        def call(_: Reporter) -> tuple[T, Changed | None]:
            records = self._opened()
            with records.step(label, undoable=undoable) as work:
                value = action(work)
            if undoable and records.last_change is not None:
                self.stepped()
            return value, records.last_change

        def done(outcome: tuple[T, Changed | None]) -> None:
            value, change = outcome
            if change is not None:
                self.changed.emit(change)
                if undoable:
                    self.said.emit(label)
            if then is not None:
                then(value)

        return self.queue.submit(call, done=done, failed=failed)

    def start_long(
        self,
        call: Callable[[Records, Reporter], T],
        *,
        done: Callable[[T], None],
        failed: Callable[[Exception], None] | None = None,
        progress: Callable[[object], None] | None = None,
        quiet: bool = False,
    ) -> Ticket[T]:
        """Run something long beside the other work, with its own connection to the records.

        `quiet` work never keeps waiting what was asked for: it has a queue of its own.
        """

        def work(reporter: Reporter) -> T:
            records = self._open_records()
            try:
                return call(records, reporter)
            finally:
                records.close()

        queue = self.quiet_queue if quiet else self.long_queue
        return queue.submit(work, done=done, failed=failed, progress=progress)

    def close(self) -> None:
        """Save what is queued, then end every queue."""
        self.long_queue.close()
        self.quiet_queue.close()
        self.queue.submit(lambda _: self._close_records())
        self.queue.finish()
        self._close_all()

    def _opened(self) -> Records:
        """The records of the queue's own thread: a connection never crosses threads."""
        if self._records is None:
            self._records = self._open_records()
        return self._records

    def _close_records(self) -> None:
        if self._records is not None:
            self._records.close()
            self._records = None
