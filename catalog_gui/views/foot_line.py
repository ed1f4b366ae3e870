"""Says at the foot of the window what happened last, and how far a take-in has come."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QProgressBar, QWidget

from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label

HIGH = 36


class FootLine(QFrame):
    """One message, the newest. `log_wanted` opens the log behind a fault, `stop_wanted` stops the take-in."""

    log_wanted = Signal()
    stop_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._message = label("", "faded", name="message-line")
        self._message.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._what = button(
            "what-happened-show",
            "What happened…",
            "Show what the log says",
            small=True,
            call=self.log_wanted.emit,
        )
        self._what.hide()
        self._progress = QProgressBar()
        self._progress.setObjectName("intake-progress")
        self._progress.setAccessibleName("Progress of the take-in")
        self._progress.setFixedWidth(300)
        self._stop = button(
            "intake-stop", "Stop", "Stop the take-in; what was read is kept", call=self.stop_wanted.emit
        )
        row = QHBoxLayout(self)
        row.setContentsMargins(10, 3, 10, 3)
        row.addWidget(self._message, 1)
        for one in (self._what, self._progress, self._stop):
            row.addWidget(one)
        self.setFixedHeight(HIGH)
        self.end_progress()

    def say(self, words: str) -> None:
        """Say quietly what was done."""
        self._show(words, "faded")

    def warn(self, words: str) -> None:
        """Say what needs to be seen."""
        self._show(words, "trouble")
        self._message.setToolTip(words)

    def fault(self, words: str) -> None:
        """Say that the program is at fault; the log can be opened from here."""
        self.warn(words)
        self._what.show()

    def _show(self, words: str, role: str) -> None:
        self._what.hide()
        self._message.setProperty("role", role)
        self._message.setText(words)
        self._message.style().polish(self._message)

    def show_progress(self, words: str, done: int, total: int) -> None:
        """Say how far the take-in is; `total` 0 where that is not known yet."""
        self._progress.setRange(0, total)
        self._progress.setValue(done)
        self._progress.setFormat(f"{words}: {done} of {total}" if total else words)
        self._progress.show()
        self._stop.show()

    def end_progress(self) -> None:
        """The take-in has ended."""
        self._progress.hide()
        self._stop.hide()
