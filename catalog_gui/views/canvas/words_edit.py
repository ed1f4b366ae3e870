"""Asks for the words of a mark, beside the mark itself."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPoint, QStringListModel, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QCompleter, QLineEdit, QWidget

from catalog_gui.presenting.canvas.links import WordChoice


class WordsEdit(QLineEdit):
    """Type a label, or a few letters of a state or feature. Return keeps it, Escape leaves it as it was."""

    worded = Signal(str, str, object, object)  # mark id, label, feature id or None, state id or None
    ended = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._room = parent
        self._mark_id = ""
        self._choices: dict[str, WordChoice] = {}
        self._model = QStringListModel(self)
        completer = self._completer = QCompleter(self._model, self)
        completer.setFilterMode(Qt.MatchFlag.MatchContains)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        completer.setMaxVisibleItems(9)
        self.setCompleter(completer)
        completer.activated.connect(self._take)
        self.setObjectName("canvas-words")
        self.setAccessibleName("Words for this mark")
        self.setPlaceholderText("label, or a state such as 'free'")
        self.setToolTip("Return keeps the words, Escape leaves them as they were")
        self.setFixedWidth(250)
        self.returnPressed.connect(self._accept)
        self.hide()

    def ask(self, mark_id: str, words: str, choices: tuple[WordChoice, ...], at: QPoint) -> None:
        """Show the line near `at` (in the parent's pixels), inside the parent."""
        self._mark_id = mark_id
        self._choices = {choice.words: choice for choice in reversed(choices)}
        self._model.setStringList([choice.words for choice in choices])
        self.setText(words)
        self.selectAll()
        room = self._room.size()
        height = self.sizeHint().height()
        x = min(max(4, at.x()), max(4, room.width() - self.width() - 4))
        y = min(max(4, at.y()), max(4, room.height() - height - 4))
        self.move(x, y)
        self.show()
        self.raise_()
        self.setFocus()

    @property
    def mark_id(self) -> str:
        """The mark that is worded now, '' for none."""
        return self._mark_id

    def _take(self, words: str) -> None:
        """An offer that was clicked needs no Return."""
        if self._mark_id:
            self.setText(words)
            self._accept()

    def _accept(self) -> None:
        mark_id, text = self._mark_id, self.text().strip()
        choice = self._choices.get(text)
        self._close()
        if mark_id and choice is not None:
            self.worded.emit(mark_id, "", choice.feature, choice.state)
        elif mark_id:
            self.worded.emit(mark_id, text, None, None)

    def _close(self) -> None:
        self._mark_id = ""
        if self.isVisible():
            self.hide()
            self.ended.emit()

    def event(self, event: QEvent) -> bool:
        """Escape belongs to the line while it is open."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_Escape
        ):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape closes the list of offers, and then leaves the words as they were."""
        popup = self._completer.popup()
        offering = popup is not None and popup.isVisible()
        if event.key() == Qt.Key.Key_Escape and not offering:
            self._close()
            return
        super().keyPressEvent(event)
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            event.accept()  # or it would set a point on the picture as well

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Clicking elsewhere keeps what was typed."""
        super().focusOutEvent(event)
        if event.reason() not in (
            Qt.FocusReason.PopupFocusReason,
            Qt.FocusReason.ActiveWindowFocusReason,
        ):
            self._accept()
