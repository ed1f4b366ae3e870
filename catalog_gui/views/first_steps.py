"""Says on the first evening how to begin."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QWidget,
)

from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label


class FirstSteps(QFrame):
    """A strip for the first evening; closed for good with one click."""

    take_in = Signal()
    closed = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("first-steps")
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 3, 8, 3)
        words = label(
            "First steps: take in a folder of pictures, settle the doubtful joins, keep the groups as specimens. "
            "Then describe them part by part and compare.",
            "faded",
            name="first-steps-words",
            wrap=True,
        )
        row.addWidget(words, 1)
        take = button("first-steps-take-in", "Take in pictures…", "Take in pictures", call=self.take_in.emit)
        close = button(
            "first-steps-close", "Close this strip", "Close the first-steps strip", call=self.closed.emit
        )
        row.addWidget(take)
        row.addWidget(close)
