"""The full list of the dangerous taxa not excluded, laid over the table and taken away by a key."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout, QWidget

from catalog_gui.presenting.compare.state import BannerLine
from catalog_gui.views import theme
from catalog_gui.views.compare.hazard_list import HazardList
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label


class HazardOverlay(QFrame):
    """Every taxon under the line of the banner that counts it. The banner itself stays in sight above."""

    closed = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("hazard-overlay")
        self.setAccessibleName("Every dangerous taxon that is not excluded")
        self._title = label("", "heading", name="hazard-overlay-title")
        self._hint = label(
            "The chosen one in full. Return lays it beside the find, Ctrl+I tells all about it, "
            "Left and Right fold.",
            "faded",
            name="hazard-overlay-hint",
        )
        self.close_button = button("hazard-overlay-close", "Back to the table (Esc)", "Take the list away")
        self.close_button.clicked.connect(self.fold)
        self.list = HazardList(self)
        head = QHBoxLayout()
        head.addWidget(self._title)
        head.addWidget(self._hint, 1)
        head.addWidget(self.close_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 6, 8, 6)
        column.setSpacing(4)
        column.addLayout(head)
        column.addWidget(self.list, 1)
        self.hide()

    def show_lines(self, lines: tuple[BannerLine, ...], find: str) -> None:
        """Fill the list."""
        self.list.show_lines(lines, find)
        count = sum(len(line.members) for line in lines if line.counted)
        self._title.setText("1 taxon is not excluded" if count == 1 else f"{count} taxa are not excluded")
        if not lines and not self.isHidden():
            self.fold()

    def unfold(self, place: int = 0) -> None:
        """Lay the list over the table, at the line of that number."""
        t = theme.tones()
        self.setStyleSheet(
            f"#hazard-overlay {{ background: {t.sheet}; border: 2px solid {t.edge}; }}"
            f"#hazard-list {{ background: {t.sheet}; border: 1px solid {t.line}; }}"
            f"#hazard-list:focus {{ border: 2px solid {t.moss}; }}"
        )
        self.show()
        self.raise_()
        self.list.go_to(place)
        self.list.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def fold(self) -> None:
        """Take the list away."""
        self.hide()
        self.closed.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape takes the list away."""
        if event.key() == Qt.Key.Key_Escape:
            self.fold()
        else:
            super().keyPressEvent(event)
