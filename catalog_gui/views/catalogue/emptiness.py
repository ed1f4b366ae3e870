"""What stands there instead of an empty list: why, and one way out of it."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QVBoxLayout

from catalog_gui.views.page import label

NOTHING_KEPT = (
    "No specimen is kept yet.\n\n"
    "Take in the pictures of a foray, look at the doubtful joins on Sort and accept the groups. "
    "Each becomes a specimen with a number for life and stands here, to be found by what you wrote."
)
NOTHING_FOUND = (
    "Nothing matches this search.\n\n"
    "All conditions hold together: take one away, or write the beginning of a word only. "
    "'Ways to search' has examples."
)


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
