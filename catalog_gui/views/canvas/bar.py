"""Shows the bar over the picture: back, which picture, zoom, hand over."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QMenu, QPushButton, QSizePolicy, QWidget

from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label


class CanvasBar(QWidget):
    """Buttons that say what they do and which key does it too."""

    back = Signal()
    page_wanted = Signal(int)
    zoom_wanted = Signal(float)  # times the present zoom
    fit_wanted = Signal()
    full_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("canvas-bar")
        self.name = label("", "heading", name="canvas-name")
        self.name.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.zoomed = label("", "faded", name="canvas-zoom")
        self.hand_over = button(
            "canvas-hand-over",
            "Hand over",
            "Hand marks over or bring them in",
            tip="Picture with marks, annotations, sidecar; and back in (J)",
        )
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(5)
        row.addWidget(self._button("back", "‹ Plate", "Back to the plate (Escape)", self.back.emit))
        row.addWidget(self.name, 1)
        for step, name, words, tip in (
            (-1, "previous", "Previous", "Previous picture (Page up)"),
            (1, "next", "Next", "Next picture (Page down)"),
        ):
            row.addWidget(self._button(name, words, tip, partial(self.page_wanted.emit, step)))
        row.addSpacing(10)
        row.addWidget(self.zoomed)
        for name, words, tip, call in (
            ("smaller", "−", "Smaller (−)", lambda: self.zoom_wanted.emit(0.8)),
            ("larger", "+", "Larger (+)", lambda: self.zoom_wanted.emit(1.25)),
            ("fit", "All", "All of the picture (0)", self.fit_wanted.emit),
            ("full", "1:1", "Each pixel of the picture on one of the screen (1)", self.full_wanted.emit),
        ):
            row.addWidget(self._button(name, words, tip, call))
        row.addSpacing(10)
        row.addWidget(self.hand_over)

    def set_menu(self, menu: QMenu) -> None:
        """What can be handed over."""
        self.hand_over.setMenu(menu)

    def show_name(self, words: str) -> None:
        """Which picture this is."""
        self.name.setText(words)
        self.name.setToolTip(words)

    def _button(self, name: str, words: str, tip: str, call: Callable[[], object]) -> QPushButton:
        made = QPushButton(words)
        made.setObjectName(f"canvas-{name}")
        made.setAccessibleName(tip.split(" (", maxsplit=1)[0])
        made.setToolTip(tip)
        made.clicked.connect(lambda _=False: call())
        return made
