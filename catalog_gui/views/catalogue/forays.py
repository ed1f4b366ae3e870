"""Lists every foray with what it came to, and what can be put right about it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QEvent, QObject, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QHeaderView,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.foray import Foray
from catalog_gui.domain.ledger import ForayCount
from catalog_gui.presenting.words import day
from catalog_gui.views.bench import Bench
from catalog_gui.views.catalogue.foray_form import ForayForm


class ForayList(QWidget):
    """The forays, newest first, and below them the fields of the chosen one: each change is one step."""

    finds_wanted = Signal(str)  # foray id
    sort_wanted = Signal(str)
    chosen = Signal(str)

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("foray-panel")
        self._bench = bench
        self._forays: dict[str, Foray] = {}
        self.lines = QTreeWidget()
        self.lines.setObjectName("forays")
        self.lines.setAccessibleName("Forays")
        self.lines.setToolTip("Return: its finds")
        self.lines.setHeaderLabels(["Title", "Date", "Site", "Pictures", "Finds", "Names"])
        self.lines.setRootIsDecorated(False)
        self.lines.setUniformRowHeights(True)
        self.lines.setIndentation(0)
        self.lines.setAlternatingRowColors(True)
        self.lines.setAllColumnsShowFocus(True)
        self.lines.installEventFilter(self)
        head = self.lines.header()
        head.setStretchLastSection(False)
        head.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        for column, width in ((1, 150), (2, 190), (3, 76), (4, 64), (5, 64)):
            head.setSectionResizeMode(column, QHeaderView.ResizeMode.Interactive)
            self.lines.setColumnWidth(column, width)
        self.lines.currentItemChanged.connect(self._on_line)
        self.lines.itemDoubleClicked.connect(self._ask_finds)
        self.form = ForayForm(bench)
        self.form.finds_wanted.connect(self._ask_finds)
        self.form.sort_wanted.connect(self._ask_sort)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(4)
        whole.addWidget(self.lines, 1)
        whole.addWidget(self.form)

    def show_forays(self, forays: Sequence[Foray], counts: Mapping[str, ForayCount], present: str) -> None:
        """Show these (newest first). The chosen line stays; without one, `present` is chosen."""
        key = self.form.shown.id if self.form.shown is not None else present
        self._forays = {foray.id: foray for foray in forays}
        self.lines.blockSignals(True)
        self.lines.clear()
        chosen = None
        for foray in forays:
            count = counts.get(foray.id)
            figures = [str(n) for n in (count.photos, count.specimens, count.names)] if count else [""] * 3
            written = day(foray.started, self._bench.preferences, foray.time_zone)
            item = QTreeWidgetItem([foray.title or "Foray without a title", written, foray.site, *figures])
            item.setData(0, Qt.ItemDataRole.UserRole, foray.id)
            item.setSizeHint(0, QSize(0, 28))
            for column in range(3):
                item.setToolTip(column, item.text(column))
            self.lines.addTopLevelItem(item)
            if foray.id == key:
                chosen = item
        chosen = chosen or self.lines.topLevelItem(0)
        if chosen is not None:
            self.lines.setCurrentItem(chosen)
        self.lines.blockSignals(False)
        self.form.show_foray(self._forays.get(_key(chosen)))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Return on a line asks for its finds."""
        if (
            watched is self.lines
            and isinstance(event, QKeyEvent)
            and event.type() == QEvent.Type.KeyPress
            and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        ):
            self._ask_finds()
            return True
        return super().eventFilter(watched, event)

    def _on_line(self, current: QTreeWidgetItem | None, _previous: QTreeWidgetItem | None) -> None:
        self.form.leave()
        key = _key(current)
        self.form.show_foray(self._forays.get(key))
        if key:
            self.chosen.emit(key)

    def _ask_finds(self, *_: object) -> None:
        if self.form.shown is not None:
            self.finds_wanted.emit(self.form.shown.id)

    def _ask_sort(self, *_: object) -> None:
        if self.form.shown is not None:
            self.sort_wanted.emit(self.form.shown.id)


def _key(item: QTreeWidgetItem | None) -> str:
    return str(item.data(0, Qt.ItemDataRole.UserRole)) if item is not None else ""
