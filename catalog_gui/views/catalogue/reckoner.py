"""Weighs in the background every specimen that is not weighed as it stands now."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer, Signal

from catalog_gui.jobs.worker_queue import Reporter, Ticket
from catalog_gui.views.bench import Bench
from catalog_gui.workflows.ports import Records
from catalog_gui.workflows.reckon_not_excluded import reckon_not_excluded

REST_MS = 300
"""After so long without another change the weighing begins."""

TELL_EVERY = 100
"""After so many specimens what is shown is read again."""


class Reckoner(QObject):
    """Weighs on the quiet lane, one run at a time.

    Signals:
        reckoned: some specimens were weighed; what shows them reads them again.
    """

    reckoned = Signal()

    def __init__(self, bench: Bench, parent: QObject) -> None:
        super().__init__(parent)
        self._bench = bench
        self._ticket: Ticket[int] | None = None
        self._again = False
        self._told = 0
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(REST_MS)
        self._rest.timeout.connect(self._begin)

    @property
    def busy(self) -> bool:
        """Whether specimens are being weighed or are about to be."""
        return self._rest.isActive() or (self._ticket is not None and self._ticket.running)

    def wake(self) -> None:
        """Something that is weighed may have changed."""
        self._rest.start()

    def _begin(self) -> None:
        if self._ticket is not None and self._ticket.running:
            self._again = True
            return
        reference, prepare = self._bench.reference, self._bench.prepare
        self._told = 0

        def call(records: Records, reporter: Reporter) -> int:
            return reckon_not_excluded(
                records, reference, prepare, cancelled=reporter.cancelled, progress=reporter.progress
            )

        self._ticket = self._bench.start_long(
            call, done=self._done, failed=self._failed, progress=self._progress, quiet=True
        )

    def _progress(self, weighed: object) -> None:
        if isinstance(weighed, int) and weighed - self._told >= TELL_EVERY:
            self._told = weighed
            self.reckoned.emit()

    def _done(self, weighed: int) -> None:
        if weighed > self._told:
            self.reckoned.emit()
        self._go_on()

    def _failed(self, error: Exception) -> None:
        self._bench.fail(error)
        self._go_on()

    def _go_on(self) -> None:
        if self._again:
            self._again = False
            self.wake()
