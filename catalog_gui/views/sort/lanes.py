"""Time lanes: one camera's pictures as ticks along the common time, however many there are."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from catalog_gui.domain.foray import Clock
from catalog_gui.views import theme
from catalog_gui.views.sort.state import LaneFacts
from catalog_gui.views.words import offset_words

NO_TICKS = LaneFacts(Clock("", "", "", 0.0, 0.0), np.zeros(0), ())


class Lane(QWidget):
    """One camera's pictures as ticks along the common time; drag it sideways to set the clock."""

    shifted = Signal(float)  # by how many seconds she moved it
    photo_chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setMinimumSize(160, 22)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(22)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.SizeHorCursor)
        self._facts = NO_TICKS
        self._span = (0.0, 1.0)
        self._chosen: float | None = None
        self._press: float | None = None
        self._drag_px = 0.0
        self._nudge = 0.0
        self._lines: list[QLineF] = []
        self._lines_of: tuple[object, ...] = ()

    def sizeHint(self) -> QSize:
        """As wide as the row allows."""
        return QSize(400, 22)

    def set_ticks(self, facts: LaneFacts, span: tuple[float, float]) -> None:
        """`span`: the UTC seconds at both ends of the lane."""
        self._facts, self._span = facts, span
        self._drag_px = self._nudge = 0.0
        self.update()

    def choose(self, moment: float | None) -> None:
        """Mark the current picture by its UTC second; None where it is another camera's."""
        if moment != self._chosen:
            self._chosen = moment
            self.update()

    def _x(self, moment: float) -> float:
        low, high = self._span
        return 6 + (moment - low) / max(1e-9, high - low) * (self.width() - 12)

    def _seconds_per_px(self) -> float:
        return (self._span[1] - self._span[0]) / max(1, self.width() - 12)

    def _ticks(self) -> list[QLineF]:
        """One line for every pixel that has a picture: never more than the lane is wide."""
        key = (self._facts, self._span, self.width())
        if key != self._lines_of:
            low, high = self._span
            across = (self._facts.seconds - low) / max(1e-9, high - low) * (self.width() - 12) + 6
            across = across[(across > -3) & (across < self.width() + 3)]
            middle = self.height() / 2
            self._lines = [QLineF(x, middle - 6, x, middle + 6) for x in np.unique(np.rint(across)).tolist()]
            self._lines_of = key
        return self._lines

    def paintEvent(self, event: QPaintEvent) -> None:
        """A line with a tick for every picture."""
        t = theme.tones()
        painter = QPainter(self)
        middle = self.height() / 2
        painter.setPen(QPen(QColor(t.line), 1.4))
        painter.drawLine(QPointF(4, middle), QPointF(self.width() - 4, middle))
        shift = self._drag_px + self._nudge / max(1e-9, self._seconds_per_px())
        painter.translate(shift, 0)
        painter.setPen(QPen(QColor(t.moss if self._facts.clock.settled else t.ochre), 2))
        painter.drawLines(self._ticks())
        if self._chosen is not None:
            x = self._x(self._chosen)
            painter.setPen(QPen(QColor(t.ink), 3))
            painter.drawLine(QPointF(x, middle - 9), QPointF(x, middle + 9))
        painter.translate(-shift, 0)
        if self.hasFocus():
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(QColor(t.moss), 1.4))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 3, 3)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin to drag, or choose the nearest picture."""
        self._press = event.position().x()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """The ticks follow the hand; nothing changes until it lets go."""
        if self._press is not None:
            self._drag_px = event.position().x() - self._press
            self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go: the clock is set by what was moved; a click chooses a picture."""
        moved, self._press, self._drag_px = self._drag_px, None, 0.0
        if abs(moved) >= 4:
            self.shifted.emit(moved * self._seconds_per_px())
        elif len(self._facts.seconds):
            x = event.position().x()
            moment = self._span[0] + (x - 6) * self._seconds_per_px()
            near = int(np.abs(self._facts.seconds - moment).argmin())
            if abs(self._x(float(self._facts.seconds[near])) - x) < 8:
                self.photo_chosen.emit(self._facts.photos[near])
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows nudge by a second (Shift: a minute, Ctrl: an hour); Return keeps it, Escape drops it."""
        step = 1.0
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            step = 60.0
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            step = 3600.0
        if event.key() == Qt.Key.Key_Right:
            self._nudge += step
        elif event.key() == Qt.Key.Key_Left:
            self._nudge -= step
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self._nudge:
            moved, self._nudge = self._nudge, 0.0
            self.shifted.emit(moved)
        elif event.key() == Qt.Key.Key_Escape and self._nudge:
            self._nudge = 0.0
        else:
            super().keyPressEvent(event)
            return
        self.setToolTip(f"Moved by {offset_words(self._nudge)}; Return keeps it." if self._nudge else "")
        self.update()
