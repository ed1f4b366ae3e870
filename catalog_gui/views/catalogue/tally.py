"""Shows how many finds of a foray go by each name."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent
from PySide6.QtWidgets import (
    QComboBox,
    QHeaderView,
    QSizePolicy,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.foray import Foray
from catalog_gui.domain.ledger import TallyLine
from catalog_gui.views import theme
from catalog_gui.views.catalogue.found_list import name_font
from catalog_gui.views.catalogue.waiting import ROW


class Tally(QWidget):
    """The foray is chosen above, its names stand below. `name_wanted` asks for the finds of one name."""

    foray_wanted = Signal(str)
    name_wanted = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("tally-panel")
        self._foray_ids: list[str] = []
        self.choice = QComboBox()
        self.choice.setObjectName("tally-foray")
        self.choice.setAccessibleName("Foray to count")
        self.choice.setToolTip("The foray whose names are counted")
        self.choice.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.choice.activated.connect(self._on_choice)
        self.lines = _Lines()
        self.lines.wanted.connect(self.name_wanted)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addWidget(self.choice)
        column.addWidget(self.lines, 1)

    @property
    def foray_id(self) -> str:
        """The foray that is counted, or ''."""
        row = self.choice.currentIndex()
        return self._foray_ids[row] if 0 <= row < len(self._foray_ids) else ""

    def set_forays(self, forays: Sequence[tuple[Foray, str]], chosen: str) -> None:
        """Newest first, each with its date in words; `chosen` is counted."""
        keys = [foray.id for foray, _ in forays]
        words = [f"{foray.title or 'Foray without a title'}, {day}" for foray, day in forays]
        if keys != self._foray_ids or words != [self.choice.itemText(n) for n in range(self.choice.count())]:
            self._foray_ids = keys
            self.choice.clear()
            self.choice.addItems(words)
        self.choose(chosen)

    def choose(self, foray_id: str) -> None:
        """Show that this foray is counted."""
        keys = self._foray_ids
        self.choice.setCurrentIndex(keys.index(foray_id) if foray_id in keys else -1)

    def show_lines(self, lines: Sequence[TallyLine]) -> None:
        """The names with how many finds each; the total stands in the head."""
        self.lines.show_lines(lines)

    def _on_choice(self, row: int) -> None:
        if 0 <= row < len(self._foray_ids):
            self.foray_wanted.emit(self._foray_ids[row])


class _Lines(QTreeWidget):
    wanted = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("tally")
        self.setAccessibleName("Names of the foray, with how many finds")
        self.setToolTip("Return: search for these finds")
        self.setColumnCount(2)
        self.setHeaderLabels(["Name", "Finds"])
        self.setRootIsDecorated(False)
        self.setUniformRowHeights(True)
        self.setIndentation(0)
        self.setAllColumnsShowFocus(True)
        self.header().setStretchLastSection(False)
        self.header().setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        self.header().setSectionResizeMode(1, QHeaderView.ResizeMode.ResizeToContents)
        self.itemDoubleClicked.connect(self._ask)

    def show_lines(self, lines: Sequence[TallyLine]) -> None:
        current = self.currentItem()
        key = current.data(0, Qt.ItemDataRole.UserRole) if current is not None else None
        self.clear()
        t = theme.tones()
        italic = name_font(self.font())
        for line in lines:
            item = QTreeWidgetItem([line.name or "not named yet", str(line.specimens)])
            item.setData(0, Qt.ItemDataRole.UserRole, line.name)
            item.setTextAlignment(1, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            item.setSizeHint(0, QSize(0, ROW))
            if line.name:
                item.setFont(0, italic)
            else:
                item.setForeground(0, QColor(t.faded))
            self.addTopLevelItem(item)
            if line.name == key:
                self.setCurrentItem(item)
        names = sum(1 for line in lines if line.name)
        finds = sum(line.specimens for line in lines)
        words = f"{names} name{'' if names == 1 else 's'}" if lines else "No finds yet"
        self.setHeaderLabels([words, f"{finds} find{'' if finds == 1 else 's'}" if lines else ""])

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Return: its finds."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._ask()
        else:
            super().keyPressEvent(event)

    def _ask(self, *_: object) -> None:
        item = self.currentItem()
        if item is not None:
            self.wanted.emit(str(item.data(0, Qt.ItemDataRole.UserRole)))
