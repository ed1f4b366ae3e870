"""Asks what a drawn mark means: its words, its length, its part, what it measures, where its copy goes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TypeVar

from PySide6.QtCore import QObject, QPoint
from PySide6.QtWidgets import QMenu, QWidget

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.annotation.measure import Measurement
from catalog_gui.domain.feature import Feature
from catalog_gui.domain.photo import Photo
from catalog_gui.presenting.canvas.links import PARTS, number_features, word_choices
from catalog_gui.presenting.canvas.sketch import target_of
from catalog_gui.presenting.canvas.words import title_of
from catalog_gui.views.bench import Bench
from catalog_gui.views.canvas.marking import Marking
from catalog_gui.views.canvas.scale import ScaleDialog
from catalog_gui.views.canvas.surface import Surface
from catalog_gui.views.canvas.words_edit import WordsEdit

T = TypeVar("T")


class Questions(QObject):
    """Opens beside the mark and hands the answer on; the keyboard then goes back to the picture."""

    def __init__(self, bench: Bench, marking: Marking, surface: Surface, window: QWidget) -> None:
        super().__init__(window)
        self._bench, self._marking, self._surface, self._window = bench, marking, surface, window
        self._last_length = ""
        self.words = WordsEdit(surface)
        self.words.worded.connect(marking.word)
        self.words.ended.connect(surface.setFocus)
        self.scale_dialog: ScaleDialog | None = None

    def ask_drawn(self, tool_id: str, points: tuple[tuple[float, float], ...]) -> None:
        """Keep what was drawn, once what has to be known about it has been asked."""
        mark = self._marking.new(tool_id, points)
        if mark is None:
            return
        if mark.kind is MarkKind.SCALE:
            self.ask_length(mark)
            return
        if mark.kind is MarkKind.CROP and not mark.part:
            self.ask_part(mark)
            return
        self._marking.put(mark)
        if mark.kind in {
            MarkKind.POINTER,
            MarkKind.BODY,
            MarkKind.ELLIPSE,
            MarkKind.POLYGON,
            MarkKind.FREE,
        }:
            self.ask_words(mark.id)

    def ask_words(self, mark_id: str) -> None:
        """Open the line in which a mark is worded; a scale is asked for its length instead."""
        mark = self._marking.marks.get(mark_id)
        if mark is None:
            return
        if mark.kind is MarkKind.SCALE:
            self.ask_length(mark)
            return
        vocabulary = self._bench.vocabulary
        choices = word_choices(vocabulary, mark.part or self._marking.part, mark.feature)
        self.words.ask(mark_id, title_of(mark, vocabulary), choices, self._beside(mark))

    def ask_length(self, mark: Mark) -> None:
        """How long a scale is."""
        last = self._last_length if mark.length_mm is None else f"{mark.length_mm:g} mm"
        dialog = self.scale_dialog = ScaleDialog(self._window, last=last)

        def accepted() -> None:
            self._last_length = dialog.length.text()
            self._marking.put_scale(mark, *dialog.result_scale())

        def finished(_result: int) -> None:
            self.scale_dialog = None
            dialog.deleteLater()
            self._surface.setFocus()

        dialog.accepted.connect(accepted)
        dialog.finished.connect(finished)
        dialog.open()

    def ask_part(self, mark: Mark) -> None:
        """For which panel of the plate a cut-out is meant."""
        menu = self._menu("canvas-cutout-menu", PARTS[1:], lambda part: self._marking.put_part(mark, part))
        menu.popup(self._surface.mapToGlobal(self._beside(mark)))

    def ask_feature(self, lengths: Sequence[Measurement], then: Callable[[Feature], object]) -> None:
        """What was measured, when no mark says so: the features of the part first."""
        part = next((one.mark.part for one in lengths if one.mark.part), "") or self._marking.part
        features = [(one, one.name) for one in number_features(self._bench.vocabulary, part, "mm")]
        menu = self._menu("canvas-feature-menu", features, then)
        menu.setActiveAction(menu.actions()[0])
        menu.popup(self._surface.mapToGlobal(self._beside(lengths[-1].mark)))

    def ask_picture(self, photos: Iterable[Photo], then: Callable[[Photo], object], at: QWidget) -> None:
        """To which picture marks are copied."""
        menu = self._menu("canvas-copy-menu", [(one, one.name) for one in photos], then)
        menu.setActiveAction(menu.actions()[0])
        menu.popup(at.mapToGlobal(QPoint(0, 0)))

    def _menu(self, name: str, lines: Iterable[tuple[T, str]], then: Callable[[T], object]) -> QMenu:
        menu = QMenu(self._window)
        menu.setObjectName(name)
        for value, words in lines:
            menu.addAction(words).triggered.connect(lambda _=False, value=value: then(value))
        menu.aboutToHide.connect(self._surface.setFocus)
        return menu

    def _beside(self, mark: Mark) -> QPoint:
        box = target_of(mark, self._surface.ground())
        return QPoint(round(box[2]) + 8, round(box[1]) - 12)
