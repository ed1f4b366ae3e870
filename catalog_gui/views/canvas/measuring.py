"""Hands measures over as evidence: chosen lengths as a range, and spore statistics."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from catalog_gui.annotation.measure import NO_SCALE, Measurement
from catalog_gui.domain.feature import Feature
from catalog_gui.presenting.canvas.measures import feature_measured, lengths_to_note, noted_range
from catalog_gui.views.bench import Bench
from catalog_gui.views.canvas.marking import Marking
from catalog_gui.views.canvas.questions import Questions
from catalog_gui.views.canvas.spores import SporeDialog
from catalog_gui.views.canvas.surface import Surface


class Measuring(QObject):
    """`measured` carries mark id, feature, low, high and unit of what is to become evidence."""

    measured = Signal(str, str, float, float, str)

    def __init__(
        self, bench: Bench, marking: Marking, questions: Questions, surface: Surface, window: QWidget
    ) -> None:
        super().__init__(window)
        self._bench, self._marking, self._questions = bench, marking, questions
        self._surface, self._window = surface, window
        self.spore_dialog: SporeDialog | None = None

    def note(self) -> None:
        """Hand the chosen lengths over as evidence, several of them as a range."""
        lengths = lengths_to_note(self._marking.readings, self._surface.selection)
        if not lengths:
            self._bench.said.emit("Measure something first: take the line (L) and draw from end to end.")
            return
        if any(one.real is None for one in lengths):
            self._bench.said.emit(f"{NO_SCALE} Draw a scale first (S).")
            return
        feature = feature_measured(lengths, self._marking.feature, self._bench.vocabulary)
        if feature is not None:
            self._note(lengths, feature)
        else:
            self._questions.ask_feature(lengths, lambda answer: self._note(lengths, answer))

    def _note(self, lengths: Sequence[Measurement], feature: Feature) -> None:
        found = noted_range(lengths)
        self._marking.tie([one.mark.id for one in lengths], feature)
        self.measured.emit(lengths[-1].mark.id, feature.id, found.low, found.high, found.unit)
        self._bench.said.emit(f"{feature.name}: {found.text}")

    def open_spores(self) -> None:
        """Spore statistics from the lines on this picture, or typed."""
        lines = tuple(self._marking.readings.found.values())
        dialog = self.spore_dialog = SporeDialog(lines, self._window)

        def noted(feature: str, low: float, high: float, unit: str) -> None:
            self.measured.emit("", feature, low, high, unit)
            self._bench.said.emit("Spore sizes noted.")

        def finished(_result: int) -> None:
            self.spore_dialog = None
            dialog.deleteLater()
            self._surface.setFocus()

        dialog.noted.connect(noted)
        dialog.finished.connect(finished)
        dialog.open()
