"""Shows the plate: panels as the fruit body stands, the drawing beside them, the pictures beneath."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QGridLayout, QVBoxLayout, QWidget

from catalog_gui.domain.checklist import Checklist
from catalog_gui.domain.feature import Part
from catalog_gui.domain.plate_words import LabelWeight
from catalog_gui.presenting.describe.plate import STANDING_PARTS, panel_contents, panel_tabs
from catalog_gui.presenting.describe.state import DescribeState
from catalog_gui.views.bench import Bench
from catalog_gui.views.describe.fruit_body import FruitBodyView
from catalog_gui.views.describe.panel import Panel
from catalog_gui.views.describe.strip import PictureStrip
from catalog_gui.workflows.plate import PANELS


class PlateView(QWidget):
    """Shows what can be seen of the specimen, part by part."""

    opened = Signal(str, str)  # photo id, part
    assigned = Signal(str, str)  # part, photo id
    emptied = Signal(str)  # part
    asked = Signal(str)  # part

    def __init__(
        self,
        bench: Bench,
        weights: Mapping[str, LabelWeight],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("plate")
        self.setAccessibleName("Plate of the specimen")
        pictures, reference = bench.pictures, bench.reference
        self._reference = reference
        self._weights = weights
        self.panels: dict[Part, Panel] = {}
        self.drawing = FruitBodyView(bench, self)
        self.strip = PictureStrip(pictures, self)
        for part in PANELS:
            panel = Panel(part, pictures, reference, self, small=part not in STANDING_PARTS)
            panel.opened.connect(self._open)
            panel.dropped.connect(self.assigned)
            panel.emptied.connect(self.emptied)
            panel.asked.connect(self.asked)
            self.panels[part] = panel
        self.drawing.part_chosen.connect(self.asked)
        self.strip.opened.connect(lambda photo_id: self.opened.emit(photo_id, ""))
        self.strip.assigned.connect(self.assigned)
        self._lay_out()

    def _lay_out(self) -> None:
        """Four lines: a part of the standing fruit body, the drawing along all of them, a further part."""
        sheet = QFrame()
        sheet.setProperty("role", "sheet")
        within = QVBoxLayout(sheet)
        within.setContentsMargins(2, 2, 2, 2)
        within.addWidget(self.drawing)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(5)
        others = [part for part in PANELS if part not in STANDING_PARTS]
        for line, (part, other) in enumerate(zip(STANDING_PARTS, others, strict=True)):
            grid.addWidget(self.panels[part], line, 0)
            grid.addWidget(self.panels[other], line, 2)
            grid.setRowStretch(line, 1)
        grid.addWidget(sheet, 0, 1, len(STANDING_PARTS), 1)
        grid.addWidget(self.strip, len(STANDING_PARTS), 0, 1, 3)
        grid.setColumnStretch(0, 10)
        grid.setColumnStretch(1, 5)
        grid.setColumnStretch(2, 5)

    def set_state(self, state: DescribeState, asked: Checklist, fruit_body: str = "") -> None:
        """Show a specimen."""
        contents, shown = panel_contents(state, asked, fruit_body, self._reference, self._weights)
        for part, panel in self.panels.items():
            panel.set_content(contents[part])
        self.strip.set_photos(
            state.photos, panel_tabs({part: one.photo_id for part, one in shown.items() if one.chosen})
        )
        rows = tuple({**state.of_body(""), **state.of_body(fruit_body)}.values())
        self.drawing.show_evidence(rows, fruit_body)

    def _open(self, photo_id: str, part: str) -> None:
        """An empty panel opens the picture that is chosen in the strip."""
        self.opened.emit(photo_id or self.strip.current, part)
