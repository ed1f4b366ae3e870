"""Shows one camera's pictures as ticks along the common time, however many there are."""

from __future__ import annotations

import math
from datetime import UTC, datetime

import numpy as np
from PySide6.QtCore import QEvent, QLineF, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from catalog_gui.domain.foray import Clock
from catalog_gui.presenting.sort.state import LaneFacts
from catalog_gui.presenting.words import clock_time, offset_words
from catalog_gui.views import theme

NO_TICKS = LaneFacts(Clock("", "", "", 0.0, 0.0), np.zeros(0), ())
EDGE_PX = 6
WORDS_PX = 60  # room for a time with its seconds
TICK_STEPS = (1, 2, 5, 10, 30, 60, 120, 300, 600, 1800, 3600, 7200, 21_600, 43_200, 86_400, 604_800)
HINT = (
    "Drag to set this clock, or use the arrow keys: a second, with Shift a minute, with Ctrl an hour; "
    "Return keeps it. Wheel, + and − zoom all lanes, 0 shows everything."
)


class TimeLane(QWidget):
    """One camera's pictures as ticks along the common time; drag it sideways to set the clock."""

    shifted = Signal(float)  # by how many seconds it was moved
    moving = Signal(float, float)  # seconds it would move, and the UTC second that is looked at
    still = Signal()
    photo_chosen = Signal(str)
    zoomed = Signal(float, float)  # factor, and the UTC second that stays; factor 0 shows everything
    panned = Signal(float)  # seconds

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setMinimumSize(160, 22)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(22)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.SizeHorCursor)
        self.setToolTip(HINT)
        self._facts = NO_TICKS
        self._span = (0.0, 1.0)
        self._chosen: float | None = None
        self._press: float | None = None
        self._drag_px = 0.0
        self._nudge = 0.0
        self._lines: list[QLineF] = []
        self._lines_of: tuple[object, ...] = ()
        self._ghost: list[QLineF] = []
        self._ghost_shift = 0.0

    def sizeHint(self) -> QSize:
        """As wide as the row allows."""
        return QSize(400, 22)

    @property
    def chosen(self) -> float | None:
        """The UTC second of the current picture, if it is of this camera."""
        return self._chosen

    @property
    def facts(self) -> LaneFacts:
        """The camera's pictures."""
        return self._facts

    def set_ticks(self, facts: LaneFacts, span: tuple[float, float]) -> None:
        """`span`: the UTC seconds at both ends of the lane."""
        if facts is not self._facts:
            self._drag_px = self._nudge = 0.0
        self._facts, self._span = facts, span
        self.update()

    def choose(self, moment: float | None) -> None:
        """Mark the current picture by its UTC second; None where it is another camera's."""
        if moment != self._chosen:
            self._chosen = moment
            self.update()

    def show_ghost(self, other: TimeLane | None, seconds: float = 0.0) -> None:
        """Draw another lane's ticks over this one, moved by so many seconds; None takes them away."""
        self._ghost = other.lines() if other is not None else []
        self._ghost_shift = seconds / self.seconds_per_px()
        self.update()

    def x_of(self, moment: float) -> float:
        """Where a UTC second stands."""
        return EDGE_PX + (moment - self._span[0]) / self.seconds_per_px()

    def moment_at(self, x: float) -> float:
        """The UTC second under a pixel."""
        return self._span[0] + (x - EDGE_PX) * self.seconds_per_px()

    def seconds_per_px(self) -> float:
        """The scale of the lane."""
        return max(1e-9, self._span[1] - self._span[0]) / max(1, self.width() - 2 * EDGE_PX)

    def lines(self) -> list[QLineF]:
        """One line for every pixel that has a picture: never more than the lane is wide."""
        key = (self._facts, self._span, self.width())
        if key != self._lines_of:
            across = (self._facts.seconds - self._span[0]) / self.seconds_per_px() + EDGE_PX
            across = across[(across > -self.width()) & (across < 2 * self.width())]
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
        shift = self._drag_px + self._nudge / self.seconds_per_px()
        painter.translate(shift, 0)
        moved = shift != 0
        painter.setPen(QPen(QColor(t.moss if self._facts.clock.settled and not moved else t.ochre), 2))
        painter.drawLines(self.lines())
        if self._chosen is not None:
            x = self.x_of(self._chosen)
            painter.setPen(QPen(QColor(t.ink), 3))
            painter.drawLine(QPointF(x, middle - 9), QPointF(x, middle + 9))
        painter.translate(self._ghost_shift - shift, 0)
        if self._ghost:
            painter.setPen(QPen(QColor(t.ochre), 1))
            painter.drawLines(self._ghost)
        painter.translate(-self._ghost_shift, 0)
        if self.hasFocus():
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(QColor(t.moss), 1.4))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 3, 3)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin to drag, or choose the nearest picture."""
        if event.button() == Qt.MouseButton.LeftButton:
            self._press = event.position().x()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """The ticks follow the hand; nothing changes until it lets go."""
        if self._press is not None:
            self._drag_px = event.position().x() - self._press
            self.update()
            if abs(self._drag_px) >= 4:
                self.moving.emit(self._drag_px * self.seconds_per_px(), self.moment_at(event.position().x()))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go: the clock is set by what was moved; a click chooses a picture."""
        if self._press is None:
            return
        moved, self._press, self._drag_px = self._drag_px, None, 0.0
        self.still.emit()
        if abs(moved) >= 4:
            self.shifted.emit(moved * self.seconds_per_px())
        elif len(self._facts.seconds):
            x = event.position().x()
            near = int(np.abs(self._facts.seconds - self.moment_at(x)).argmin())
            if abs(self.x_of(float(self._facts.seconds[near])) - x) < 8:
                self.photo_chosen.emit(self._facts.photos[near])
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows nudge by a second (Shift: a minute, Ctrl: an hour); Return keeps it, Escape drops it."""
        step = 1.0
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            step = 60.0
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            step = 3600.0
        key = event.key()
        if key in (Qt.Key.Key_Right, Qt.Key.Key_Left):
            self._nudge += step if key == Qt.Key.Key_Right else -step
            self._drag_px = 0.0
            self.moving.emit(self._nudge, self._looking_at())
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self._nudge:
            moved, self._nudge = self._nudge, 0.0
            self.still.emit()
            self.shifted.emit(moved)
        elif key == Qt.Key.Key_Escape and (self._nudge or self._press is not None):
            self.let_be()
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoomed.emit(1.5, self._looking_at())
        elif key == Qt.Key.Key_Minus:
            self.zoomed.emit(1 / 1.5, self._looking_at())
        elif key == Qt.Key.Key_0:
            self.zoomed.emit(0.0, 0.0)
        else:
            super().keyPressEvent(event)
            return
        self.setToolTip(f"Moved by {offset_words(self._nudge)}; Return keeps it." if self._nudge else HINT)
        self.update()

    def event(self, event: QEvent) -> bool:
        """While something is nudged, Return and Escape are the lane's own, not the page's."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and self._nudge
            and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Escape)
        ):
            event.accept()
            return True
        return super().event(event)

    def let_be(self) -> None:
        """Forget what was moved and not kept."""
        self._nudge = self._drag_px = 0.0
        self._press = None
        self.still.emit()
        self.update()

    def _looking_at(self) -> float:
        low, high = self._span
        if self._chosen is not None and low <= self._chosen <= high:
            return self._chosen + self._nudge
        inside = self._facts.seconds[(self._facts.seconds >= low) & (self._facts.seconds <= high)]
        return float(inside[len(inside) // 2]) + self._nudge if len(inside) else (low + high) / 2

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """What was nudged and not kept is dropped."""
        if self._nudge:
            self.let_be()
        super().focusOutEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the pointer; sideways moves along the time."""
        turned = event.angleDelta()
        if abs(turned.x()) > abs(turned.y()):
            self.panned.emit(-turned.x() * self.seconds_per_px())
        else:
            self.zoomed.emit(1.0015 ** turned.y(), self.moment_at(event.position().x()))
        event.accept()


class Axis(QWidget):
    """The hours under the lanes."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("clock-axis")
        self.setFixedHeight(17)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._span = (0.0, 1.0)
        self._zone = ""

    def set_span(self, span: tuple[float, float], zone: str) -> None:
        """UTC seconds at both ends; the zone in which times are said."""
        self._span, self._zone = span, zone
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Times at round distances, never closer than their words are wide."""
        t = theme.tones()
        painter = QPainter(self)
        painter.setPen(QColor(t.faded))
        low, high = self._span
        per_px = max(1e-9, high - low) / max(1, self.width() - 2 * EDGE_PX)
        step = next((s for s in TICK_STEPS if s / per_px >= 64), TICK_STEPS[-1])
        moment = math.ceil(low / step) * step
        while moment <= high:
            x = EDGE_PX + (moment - low) / per_px
            local = datetime.fromtimestamp(moment, UTC)
            words = clock_time(local, self._zone, seconds=step < 60)
            if WORDS_PX / 2 <= x <= self.width() - WORDS_PX / 2:
                box = QRectF(x - WORDS_PX / 2, 0, WORDS_PX, self.height())
                painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), words)
            moment += step
