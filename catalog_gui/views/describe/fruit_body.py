"""The live drawing beside the plate: the fruit body as far as it is written down."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from catalog_gui.domain.evidence import Evidence
from catalog_gui.drawing.fruit_body import fruit_body
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.views.widgets.drawing_painter import DrawingView


class FruitBodyView(QWidget):
    """Fills in as evidence comes: what is not looked at is dashed, what is not there is left out."""

    part_chosen = Signal(str)

    def __init__(self, reference: Reference, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._reference = reference
        self.setObjectName("live-drawing")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        self.view = DrawingView(self)
        self.view.part_chosen.connect(self.part_chosen)
        column.addWidget(self.view)

    def show_evidence(self, rows: Sequence[Evidence], body: str = "") -> None:
        """Draw what these rows say."""
        self.view.set_drawing(fruit_body(rows, self._reference.vocabulary, fruit_body=body))
