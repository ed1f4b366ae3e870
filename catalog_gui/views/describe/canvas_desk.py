"""Opens the canvas on a picture of the specimen, and ties what is drawn there to the feature it was to show."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QStackedLayout, QWidget

from catalog_gui.annotation.marks import MarkKind
from catalog_gui.presenting.describe.state import DescribeState
from catalog_gui.views.bench import Bench
from catalog_gui.views.describe.recording import Recording
from catalog_gui.workflows.ports import UnitOfWork

if TYPE_CHECKING:
    from catalog_gui.views.canvas.view import CanvasView

NOT_POINTING = frozenset({MarkKind.CROP, MarkKind.SCALE, MarkKind.BODY})
"""Marks that show no feature."""


class CanvasDesk(QObject):
    """The canvas is made when it is first wanted: opening the program need not wait for it."""

    closed = Signal()

    def __init__(self, bench: Bench, recording: Recording, pages: QStackedLayout, window: QWidget) -> None:
        super().__init__(window)
        self._bench, self._recording, self._pages = bench, recording, pages
        self._state = DescribeState()
        self._canvas: CanvasView | None = None
        self._feature = ""  # what is to be shown on a picture
        self._made: list[str] = []  # marks drawn since then

    def about(self, state: DescribeState) -> None:
        """The specimen whose pictures are opened."""
        self._state = state

    @property
    def in_front(self) -> bool:
        """Whether the canvas is what is seen of the page."""
        return self._canvas is not None and self._pages.currentWidget() is self._canvas

    def open(self, photo_id: str, part: str) -> None:
        """Open a picture; new marks show `part`."""
        specimen = self._state.specimen
        if specimen is None or not photo_id:
            self._bench.said.emit("There is no picture of this specimen to open.")
            return
        canvas = self._view()
        canvas.open(photo_id, specimen.id, part)
        self._pages.setCurrentWidget(canvas)
        canvas.setFocus()

    def point_at(self, feature_id: str, photo_id: str, part: str) -> None:
        """Open a picture to show a feature on it: the last mark made there is linked to its entry."""
        self._feature, self._made = feature_id, []
        self.open(photo_id, part)

    def _view(self) -> CanvasView:
        if self._canvas is None:
            from catalog_gui.views.canvas.view import CanvasView  # noqa: PLC0415

            canvas = CanvasView(self._bench)
            canvas.closed.connect(self._close)
            canvas.measured.connect(self._recording.measured)
            canvas.marking.put_down.connect(self._on_made)
            self._pages.addWidget(canvas)
            self._canvas = canvas
        return self._canvas

    def _on_made(self, mark_id: str) -> None:
        self._made.append(mark_id)

    def _close(self) -> None:
        feature_id, made = self._feature, tuple(self._made)
        self._feature, self._made = "", []
        if feature_id and made:
            self._link(feature_id, made)
        self.closed.emit()

    def _link(self, feature_id: str, made: tuple[str, ...]) -> None:
        def newest(work: UnitOfWork) -> str:
            there = {mark.id: mark for mark in work.marks.where(id=made)}
            pointing = [one for one in made if one in there and there[one].kind not in NOT_POINTING]
            return pointing[-1] if pointing else ""

        def link(mark_id: str) -> None:
            if mark_id:
                self._recording.link(feature_id, mark_id)

        self._bench.read(newest, link)
