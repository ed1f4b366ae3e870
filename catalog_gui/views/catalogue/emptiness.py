"""Says instead of an empty list why it is empty, with one way out of it."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QVBoxLayout

from catalog_gui.presenting.catalogue.words import NOTHING_FOUND, NOTHING_KEPT
from catalog_gui.views.widgets.labels import label


class Emptiness(QFrame):
    """A sheet with a few words and a button."""

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("catalogue-empty")
        self.setProperty("role", "sheet")
        self._words = label("", name="catalogue-empty-words", wrap=True)
        self._words.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._words.setFixedWidth(520)
        self.button = QPushButton()
        self.button.setObjectName("catalogue-empty-act")
        column = QVBoxLayout(self)
        column.addStretch(2)
        across = QHBoxLayout()
        across.addStretch(1)
        across.addWidget(self._words)
        across.addStretch(1)
        column.addLayout(across)
        column.addSpacing(10)
        column.addWidget(self.button, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addStretch(3)

    def show_why(self, *, kept: bool) -> None:
        """Nothing matches a search (`kept`), or nothing is kept at all."""
        self._words.setText(NOTHING_FOUND if kept else NOTHING_KEPT)
        self.button.setText("Show all specimens" if kept else "Go to Sort")
        self.button.setAccessibleName(self.button.text())
