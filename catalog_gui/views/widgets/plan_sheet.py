"""Shows a sheet of paper laid on the ground: metres, north up, to be moved and zoomed. No map is fetched."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QInputDevice,
    QKeyEvent,
    QMouseEvent,
    QNativeGestureEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from catalog_gui.presenting.spots import Spots
from catalog_gui.presenting.words import metres
from catalog_gui.views import theme

"""Points in m east and north of the middle of the plane, n x 2."""
ROUND_LENGTHS = tuple(figure * 10**power for power in range(7) for figure in (1, 2, 5))
"""Lengths of a scale bar in m, up to 5000 km."""
BELOW = 8
"""px that the middle stands higher than half way, for the scale bar's sake."""


@dataclass(frozen=True, slots=True)
class Frame:
    """Which part of the plane is seen: `scale` in px per m, `middle` in m, `ratio` device px per px."""

    width: int
    height: int
    scale: float
    middle: tuple[float, float]
    ratio: float = 1.0

    def at(self, x: float, y: float) -> QPointF:
        """Where a point of the plane stands on the paper, in px."""
        return QPointF(
            self.width / 2 + (x - self.middle[0]) * self.scale,
            self.height / 2 - BELOW - (y - self.middle[1]) * self.scale,
        )

    def all_at(self, spots: Spots) -> Spots:
        """Where points of the plane stand on the paper, in px, n x 2."""
        across = self.width / 2 + (spots[:, 0] - self.middle[0]) * self.scale
        down = self.height / 2 - BELOW - (spots[:, 1] - self.middle[1]) * self.scale
        return np.column_stack((across, down))

    @property
    def bar_m(self) -> float:
        """The round length that fills about a fifth of the width."""
        wanted = self.width * 0.22 / self.scale
        return float(max((n for n in ROUND_LENGTHS if n <= wanted), default=ROUND_LENGTHS[0]))


def paint_grid(painter: QPainter, frame: Frame) -> None:
    """Faint lines, one length of the scale bar apart."""
    faint = QColor(theme.tones().line)
    faint.setAlpha(130)
    painter.setPen(QPen(faint, 1))
    step, length = frame.bar_m * frame.scale, frame.bar_m
    left = frame.middle[0] - frame.width / 2 / frame.scale
    low = frame.middle[1] - (frame.height / 2 + BELOW) / frame.scale
    across, down = frame.all_at(
        np.array([(math.floor(left / length) * length, math.floor(low / length) * length)])
    )[0]
    while across < frame.width:
        painter.drawLine(QPointF(across, 0), QPointF(across, frame.height))
        across += step
    while down > 0:
        painter.drawLine(QPointF(0, down), QPointF(frame.width, down))
        down -= step


def paint_furniture(painter: QPainter, frame: Frame, notes: str = "") -> None:
    """Scale bar, north, and a note at the foot."""
    t = theme.tones()
    bar = frame.bar_m * frame.scale
    left, base = 14.0, frame.height - 14.0
    painter.setPen(QPen(QColor(t.ink), 2))
    painter.drawLine(QPointF(left, base), QPointF(left + bar, base))
    for end in (left, left + bar):
        painter.drawLine(QPointF(end, base - 4), QPointF(end, base + 4))
    painter.drawText(QPointF(left + bar + 8, base + 4), bar_words(frame.bar_m))
    if notes:
        painter.setPen(QColor(t.faded))
        wide = painter.fontMetrics().horizontalAdvance(notes)
        painter.drawText(QPointF(frame.width - wide - 12, base + 4), notes)
    painter.setPen(QPen(QColor(t.ink), 1.6))
    top = QPointF(frame.width - 22, 14)
    for way in (QPointF(0, 24), QPointF(-5, 9), QPointF(5, 9)):
        painter.drawLine(top, top + way)
    painter.drawText(QRectF(top.x() - 10, top.y() + 25, 20, 18), int(Qt.AlignmentFlag.AlignCenter), "N")


def bar_words(length: float) -> str:
    """The length of a scale bar: whole metres or kilometres."""
    return f"{length / 1000:g} km" if length >= 1000 else metres(length)


class PlanSheet(QWidget):
    """The paper with its view: wheel, drag and keys move it. What lies on it is painted by `paint_on`."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(220, 180)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self._scale = 1.0
        self._middle = (0.0, 0.0)
        self._fitted = True
        self._press: QPoint | None = None
        self._dragging = False

    def sizeHint(self) -> QSize:
        """Square by nature."""
        return QSize(360, 320)

    def spots(self) -> Spots:
        """What a fitted view has to hold."""
        raise NotImplementedError

    def paint_on(self, painter: QPainter, frame: Frame) -> None:
        """Everything between the grid and the scale bar."""
        raise NotImplementedError

    def clicked(self, point: QPointF) -> None:
        """A click without a drag."""
        raise NotImplementedError

    def notes(self) -> str:
        """What stands at the foot."""
        return ""

    @property
    def frame(self) -> Frame:
        """The present view."""
        return Frame(self.width(), self.height(), self._scale, self._middle, self.devicePixelRatioF())

    def fit(self, spots: Spots | None = None) -> None:
        """Show all of these (of everything, without any)."""
        self._fitted = spots is None
        shown = self.spots() if spots is None else spots
        if not len(shown):
            self.update()
            return
        low, high = shown.min(axis=0), shown.max(axis=0)
        wide, tall = np.maximum(40.0, high - low).tolist()
        self._middle = tuple(((low + high) / 2).tolist())
        self._scale = max(1e-5, min((self.width() - 80) / wide, (self.height() - 96) / tall))
        self.update()

    def reveal(self, x: float, y: float) -> None:
        """Move the paper if this point, in m, cannot be seen."""
        spot = self.frame.all_at(np.array([(x, y)]))[0]
        if not self.rect().adjusted(20, 20, -20, -36).contains(QPoint(*np.rint(spot).astype(int).tolist())):
            self._middle, self._fitted = (x, y), False
        self.update()

    def zoom(self, factor: float, about: QPointF) -> None:
        """Zoom about a point of the paper, in px."""
        factor = max(1e-5 / self._scale, min(50.0 / self._scale, factor))
        keep = (1 - 1 / factor) / self._scale
        dx, dy = about.x() - self.width() / 2, self.height() / 2 - BELOW - about.y()
        self._middle = (self._middle[0] + dx * keep, self._middle[1] + dy * keep)
        self._scale *= factor
        self._fitted = False
        self.update()

    def move_by(self, dx: float, dy: float) -> None:
        """Move the paper under the window, in px right and down."""
        self._middle = (self._middle[0] - dx / self._scale, self._middle[1] + dy / self._scale)
        self._fitted = False
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A fitted plan stays fitted."""
        if self._fitted:
            self.fit()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paper, grid, what lies on it, scale bar and north."""
        painter = QPainter(self)
        self.paint_sheet(painter)
        t, focus = theme.tones(), self.hasFocus()
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(QColor(t.moss if focus else t.line), 2 if focus else 1))
        painter.drawRect(QRectF(self.rect()).adjusted(1, 1, -1, -1))

    def paint_sheet(self, painter: QPainter) -> None:
        """All but the border."""
        t, frame = theme.tones(), self.frame
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(t.sheet))
        if len(self.spots()):
            paint_grid(painter, frame)
            self.paint_on(painter, frame)
            paint_furniture(painter, frame, self.notes())
        else:
            painter.setPen(QColor(t.faded))
            painter.drawText(
                self.rect().adjusted(16, 16, -16, -16),
                int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap),
                self.notes(),
            )

    def wheelEvent(self, event: QWheelEvent) -> None:
        """A wheel zooms about the pointer; two fingers on a touchpad move the paper, with Ctrl they zoom."""
        fingers = event.deviceType() == QInputDevice.DeviceType.TouchPad and not event.pixelDelta().isNull()
        if fingers and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.move_by(event.pixelDelta().x(), event.pixelDelta().y())
        else:
            self.zoom(1.0015 ** event.angleDelta().y(), event.position())
        event.accept()

    def event(self, event: QEvent) -> bool:
        """Two fingers that spread zoom in."""
        if (
            isinstance(event, QNativeGestureEvent)
            and event.gestureType() == Qt.NativeGestureType.ZoomNativeGesture
        ):
            self.zoom(max(0.1, 1 + event.value()), event.position())
            return True
        return super().event(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A click, or the beginning of a drag."""
        if event.button() == Qt.MouseButton.LeftButton:
            self._press, self._dragging = event.position().toPoint(), False

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Move the paper."""
        now = event.position().toPoint()
        if self._press is None or (not self._dragging and (now - self._press).manhattanLength() < 6):
            return
        self._dragging = True
        self.move_by(now.x() - self._press.x(), now.y() - self._press.y())
        self._press = now

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click without a drag."""
        if self._press is not None and not self._dragging:
            self.clicked(event.position())
        self._press = None

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """+ and − zoom, 0 fits, arrows move the paper."""
        centre = QPointF(self.width() / 2, self.height() / 2 - BELOW)
        match event.key():
            case Qt.Key.Key_Plus | Qt.Key.Key_Equal:
                self.zoom(1.3, centre)
            case Qt.Key.Key_Minus:
                self.zoom(1 / 1.3, centre)
            case Qt.Key.Key_0:
                self.fit()
            case Qt.Key.Key_Left:
                self.move_by(40, 0)
            case Qt.Key.Key_Right:
                self.move_by(-40, 0)
            case Qt.Key.Key_Up:
                self.move_by(0, 40)
            case Qt.Key.Key_Down:
                self.move_by(0, -40)
            case _:
                super().keyPressEvent(event)
