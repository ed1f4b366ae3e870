"""Draws the fruit body beside the plate, as far as it is written down."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from catalog_gui.domain.evidence import Evidence
from catalog_gui.drawing.fruit_body import fruit_body
from catalog_gui.views.bench import Bench
from catalog_gui.views.widgets.drawing_painter import DrawingView


class FruitBodyView(QWidget):
    """Fills in as evidence comes: what is not looked at is dashed, what is not there is left out.

    A drawing takes some ten milliseconds to make, so it is made off the GUI thread.
    """

    part_chosen = Signal(str)

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self._shown: tuple[tuple[Evidence, ...], str] | None = None
        self.setObjectName("live-drawing")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        self.view = DrawingView(self)
        self.view.part_chosen.connect(self.part_chosen)
        column.addWidget(self.view)

    def show_evidence(self, rows: tuple[Evidence, ...], body: str = "") -> None:
        """Draw what these rows say; nothing is done when they say what is drawn already."""
        if self._shown == (rows, body):
            return
        self._shown = (rows, body)
        vocabulary = self._bench.vocabulary
        self._bench.read(lambda _: fruit_body(rows, vocabulary, fruit_body=body), self.view.set_drawing)
