"""What every page is: a widget on the bench that reloads only what a change touched."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QLabel, QPushButton, QWidget

from catalog_gui.domain.ledger import Changed
from catalog_gui.views.bench import Bench

SMALL = "padding: 0px 8px; min-height: 18px;"
"""The measure of a button that stands in a line of text; its colours stay those of the theme."""


class Page(QWidget):
    """A page. `key` is its name in code, `title` the word on its waymark."""

    key = ""
    title = ""
    purpose = ""

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.bench = bench
        self._stale = True
        self.setObjectName(f"page-{self.key}")
        self.setAccessibleName(f"{self.title} page")
        bench.changed.connect(self._on_changed)

    def reload(self, changed: Changed | None) -> None:
        """Show the present state. `changed` says what moved, or None for everything."""
        raise NotImplementedError

    def enter(self) -> None:
        """The page comes to the front: load what went stale meanwhile."""
        if self._stale:
            self._stale = False
            self.reload(None)

    def mark_stale(self) -> None:
        """Something it shows is different now; reload at once if it can be seen."""
        if self.isVisible():
            self.reload(None)
        else:
            self._stale = True

    def _on_changed(self, changed: Changed) -> None:
        if self.isVisible():
            self.reload(changed)
        else:
            self._stale = True


def label(text: str, role: str = "", *, name: str = "", wrap: bool = False) -> QLabel:
    """A label dressed by its role (title, heading, faded, trouble, taxon, caution)."""
    made = QLabel(text)
    if role:
        made.setProperty("role", role)
    if name:
        made.setObjectName(name)
    made.setWordWrap(wrap)
    return made


def button(name: str, words: str, told: str, keys: str = "") -> QPushButton:
    """A button that says what it does when pointed at or read aloud; Return in a dialog does not press it."""
    made = QPushButton(words)
    made.setObjectName(name)
    made.setAccessibleName(told)
    made.setToolTip(f"{told} ({keys})" if keys else told)
    made.setAutoDefault(False)
    if keys:
        made.setShortcut(keys)
    return made


def choice_box(name: str, told: str) -> QComboBox:
    """A short choice that says what it is for when pointed at or read aloud."""
    made = QComboBox()
    made.setObjectName(name)
    made.setAccessibleName(told)
    made.setToolTip(told)
    return made
