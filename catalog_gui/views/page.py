"""Defines what every page is: a widget on the bench that reloads only what a change touched."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from catalog_gui.domain.ledger import Changed
from catalog_gui.views.bench import Bench


class Page(QWidget):
    """A page. `key` is its name in code, `title` the word on its waymark.

    `own_caution`: it shows the caution itself; below all others the window shows it.
    """

    key = ""
    title = ""
    purpose = ""
    own_caution = False

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
