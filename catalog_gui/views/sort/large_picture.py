"""Shows one picture of the trail, large, with its written and concluded time and what the maker's notes add."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QDialog, QVBoxLayout, QWidget
from shiboken6 import isValid

from catalog_gui.domain.makers_notes import MakersNotes
from catalog_gui.domain.photo import Photo
from catalog_gui.presenting.sort.state import SortState
from catalog_gui.presenting.words import clock_time
from catalog_gui.views.sort.clock_dialog import PictureView
from catalog_gui.views.widgets.labels import label
from catalog_gui.views.widgets.pictures import PictureSource

_JOINED = "   ·   "
ReadNotes = Callable[[Photo, Callable[[MakersNotes], None]], None]
"""Reads the maker's notes of a picture off the GUI thread and hands them over."""


class LargePicture(QDialog):
    """A picture in a window of its own; the arrow keys go along the trail, Escape closes it."""

    def __init__(
        self, photo: Photo, state: SortState, pictures: PictureSource, read_notes: ReadNotes, parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.setObjectName("large-picture")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._state = state
        self._read_notes = read_notes
        self._photo = photo
        self._view = PictureView(pictures, self)
        self._view.setObjectName("large-picture-view")
        self._words = label("", "faded", name="large-picture-words")
        column = QVBoxLayout(self)
        column.addWidget(self._view, 1)
        column.addWidget(self._words)
        window = parent.window()
        self.resize(min(1200, window.width() - 40), min(900, window.height() - 40))
        self._show(photo)

    def _show(self, photo: Photo) -> None:
        self._photo = photo
        self.setWindowTitle(photo.name)
        self._view.show_photo(photo)
        written = f"{photo.written.local:%d.%m.%Y %H:%M:%S}" if photo.written.local else "no time"
        words = [photo.name, photo.camera.label, f"written {written}"]
        moment = self._state.times.get(photo.id)
        if moment is not None:
            zone = self._state.foray.time_zone if self._state.foray else ""
            words.append(f"taken to be {clock_time(moment, zone, seconds=True)}")
        words += [words_ for words_ in (photo.aside, photo.fix_problem) if words_]
        self._words.setText(_JOINED.join(words))

        def add(notes: MakersNotes) -> None:
            if isValid(self) and self._photo is photo and notes.words:
                self._words.setText(_JOINED.join((*words, *notes.words)))

        self._read_notes(photo, add)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Left and right go along the trail."""
        by = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()), 0)
        at = self._state.index_of(self._photo.id)
        if by and at >= 0 and 0 <= at + by < len(self._state.order):
            self._show(self._state.photos[self._state.order[at + by]])
            return
        super().keyPressEvent(event)
