"""Takes a search: its field, examples of what can be asked, and searches that are kept."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QWidget

from catalog_gui.views.bench import Bench
from catalog_gui.views.catalogue.ways import KeptSearches, fill_ways, menu_button
from catalog_gui.views.widgets.buttons import button

PAUSE_MS = 120
"""After so long without a key what was typed is searched for."""


class SearchBar(QWidget):
    """A line to type into. `wanted` follows a pause, Return or an example; `left` sends the keyboard on."""

    wanted = Signal()
    left = Signal()
    chosen = Signal(str)  # an example, a kept search, or '' when Escape empties the field

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.field = QLineEdit()
        self.field.setObjectName("catalogue-search")
        self.field.setAccessibleName("Search the catalogue")
        self.field.setPlaceholderText("Search words, or: gills: white, missing: base, date: october")
        self.field.setToolTip("Ctrl+F comes here. Down goes to what was found.")
        self.field.setClearButtonEnabled(True)
        self.field.installEventFilter(self)
        self._searched: str | None = None
        self._wait = QTimer(self)
        self._wait.setSingleShot(True)
        self._wait.setInterval(PAUSE_MS)
        self._wait.timeout.connect(self.wanted)
        self.field.textChanged.connect(lambda _: self._wait.start())
        self.kept = KeptSearches(bench, self, self.chosen.emit)
        ways = menu_button(
            "Ways to search",
            "catalogue-ways",
            "Examples; choose one to try it",
            lambda menu: fill_ways(menu, self.chosen.emit),
        )
        kept = menu_button("Kept searches", "catalogue-kept", "Searches you kept", self.kept.fill)
        keep = button("catalogue-keep", "Keep this search…", "Keep this search under a name", shown="Ctrl+K")
        keep.clicked.connect(self.ask_keep)
        bar = QHBoxLayout(self)
        bar.setContentsMargins(0, 0, 0, 0)
        bar.addWidget(self.field, 1)
        for one in (ways, kept, keep):
            bar.addWidget(one)

    @property
    def text(self) -> str:
        """What is typed."""
        return self.field.text()

    @property
    def waiting(self) -> bool:
        """Whether something was typed that is not searched for yet."""
        return self._wait.isActive()

    def put(self, text: str) -> None:
        """Write a search into the field; it is not run by that."""
        self.field.setText(text)

    def settle(self) -> None:
        """What is typed is searched for now: do not wait any longer."""
        self._searched = self.text
        self._wait.stop()

    def to_field(self) -> None:
        """Put the caret into the field."""
        self.field.setFocus()
        self.field.selectAll()

    def ask_keep(self) -> None:
        """Ask for a name to keep the search under."""
        self.kept.ask_name(self.text.strip())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """In the field Return searches, Down goes to what was found, Escape empties it."""
        if watched is self.field and isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                if self.waiting or self.text != self._searched:
                    self.wanted.emit()
                self.left.emit()
                return True
            if event.key() == Qt.Key.Key_Down:
                self.left.emit()
                return True
            if event.key() == Qt.Key.Key_Escape and self.text:
                self.chosen.emit("")
                return True
        return super().eventFilter(watched, event)
