"""Paints a drawing on any device, and shows one in a widget."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFont,
    QFontMetricsF,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QPixmap,
    QTransform,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from catalog_gui.domain.plane import Box
from catalog_gui.drawing.shapes import DASHED, DOTTED, Command, Drawing, Shape

_PAPER_INK = QColor("#3b3128")
_PAPER = QColor("#efe9dc")


def path_of(commands: tuple[Command, ...]) -> QPainterPath:
    """A painter's path from drawing commands."""
    path = QPainterPath()
    for command in commands:
        numbers = [float(n) for n in command[1:]]
        match command[0]:
            case "M":
                path.moveTo(*numbers)
            case "L":
                path.lineTo(*numbers)
            case "C":
                path.cubicTo(*numbers)
            case _:
                path.closeSubpath()
    return path


def fitted(box: Box, target: QRectF) -> QTransform:
    """The transform that shows a box as large as possible in the middle of a rectangle."""
    width, height = max(box[2] - box[0], 1e-9), max(box[3] - box[1], 1e-9)
    scale = min(target.width() / width, target.height() / height)
    transform = QTransform()
    transform.translate(target.center().x(), target.center().y())
    transform.scale(scale, scale)
    transform.translate(-(box[0] + box[2]) / 2, -(box[1] + box[3]) / 2)
    return transform


def _pen(shape: Shape, scale: float, finest: float) -> QPen:
    width = max(shape.width, finest / scale)
    pen = QPen(QBrush(QColor(shape.stroke)), width)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    if shape.line == DASHED:
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        pen.setDashPattern([4.5, 3.5])
    elif shape.line == DOTTED:
        pen.setDashPattern([0.1, 2.6])
    return pen


def paint_drawing(
    painter: QPainter,
    drawing: Drawing,
    target: QRectF,
    *,
    ink: QColor | None = None,
    words: bool = True,
    finest: float = 0.55,
) -> None:
    """Paint a drawing as large as it fits into `target` (device units).

    `ink` colours bar and note (dark by default, give a light one on a dark page); `words` False leaves both
    out; `finest` is the thinnest line in device units.
    """
    tint = ink if ink is not None else _PAPER_INK
    size = min(max(min(target.width(), target.height()) / 22, 7.0), 15.0)
    if words:
        target = target.adjusted(0, 0, 0, -1.6 * size)
    transform = fitted(drawing.box, target)
    scale = transform.m11()
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setTransform(transform, combine=True)
    left, top, right, bottom = drawing.box
    painter.setClipRect(QRectF(left, top, right - left, bottom - top), Qt.ClipOperation.IntersectClip)
    for shape in drawing.shapes:
        path = path_of(shape.commands)
        painter.save()
        if shape.clip:
            painter.setClipPath(path_of(shape.clip), Qt.ClipOperation.IntersectClip)
        painter.setOpacity(shape.opacity)
        if shape.fill:
            painter.fillPath(path, QColor(shape.fill))
        if shape.stroke:
            painter.strokePath(path, _pen(shape, scale, finest))
        painter.restore()
    painter.restore()
    if words:
        _paint_words(painter, drawing, target, transform, tint, size)


def _paint_words(
    painter: QPainter, drawing: Drawing, target: QRectF, transform: QTransform, tint: QColor, size: float
) -> None:
    font = QFont(painter.font())
    font.setPixelSize(max(1, round(size)))
    painter.save()
    painter.setFont(font)
    painter.setPen(tint)
    text = drawing.note
    y = target.bottom() + 1.2 * size
    if drawing.bar is not None:
        text = drawing.bar.text
        start = transform.map(QPointF(drawing.bar.x, drawing.bar.y))
        end = transform.map(QPointF(drawing.bar.x + drawing.bar.length_mm, drawing.bar.y))
        pen = QPen(tint, max(1.0, size / 9))
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        painter.setPen(pen)
        painter.drawLine(start, end)
        tick = size / 3
        for at in (start, end):
            painter.drawLine(QPointF(at.x(), at.y() - tick), QPointF(at.x(), at.y() + tick))
        y = start.y() + 1.35 * size
        centre = (start.x() + end.x()) / 2
    else:
        centre = target.center().x()
    if text:
        width = QFontMetricsF(font).horizontalAdvance(text)
        painter.drawText(QPointF(centre - width / 2, y), text)
    painter.restore()


class DrawingView(QWidget):
    """Shows one drawing; tells which part is under the mouse and which was clicked."""

    part_pointed = Signal(str)
    part_chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None, *, name: str = "Drawing of the fruit body") -> None:
        super().__init__(parent)
        self._drawing: Drawing | None = None
        self._pointed = ""
        # Painting takes longer than a frame; hovering or scrolling must not repeat it.
        self._kept: tuple[tuple[Drawing, int, int, float, int], QPixmap] | None = None
        self.setObjectName("drawingView")
        self.setAccessibleName(name)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(120, 140)

    def sizeHint(self) -> QSize:
        """A portrait rectangle."""
        return QSize(260, 340)

    def drawing(self) -> Drawing | None:
        """What is shown."""
        return self._drawing

    def set_drawing(self, drawing: Drawing | None) -> None:
        """Show another drawing, or nothing."""
        self._drawing = drawing
        self.setAccessibleDescription(drawing.note if drawing is not None else "")
        self.update()

    def part_at(self, where: QPointF) -> str:
        """The part drawn at a place of the widget, '' for none."""
        if self._drawing is None:
            return ""
        area = QRectF(self.rect()).adjusted(6, 6, -6, -6)
        size = min(max(min(area.width(), area.height()) / 22, 7.0), 15.0)
        inverse, possible = fitted(self._drawing.box, area.adjusted(0, 0, 0, -1.6 * size)).inverted()
        if not possible:
            return ""
        point = inverse.map(where)
        for shape in reversed(self._drawing.shapes):
            if shape.fill and shape.part and path_of(shape.commands).contains(point):
                if shape.clip and not path_of(shape.clip).contains(point):
                    continue
                return shape.part
        return ""

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the drawing in the palette's text colour."""
        if self._drawing is None:
            return
        ratio = self.devicePixelRatioF()
        ink = self.palette().windowText().color()
        wanted = (self._drawing, self.width(), self.height(), ratio, ink.rgb())
        if self._kept is None or self._kept[0][0] is not wanted[0] or self._kept[0][1:] != wanted[1:]:
            picture = QPixmap(round(self.width() * ratio), round(self.height() * ratio))
            picture.setDevicePixelRatio(ratio)
            picture.fill(Qt.GlobalColor.transparent)
            inner = QPainter(picture)
            inner.setFont(self.font())
            if ink.lightness() > 127:  # dark theme: outlines are made for paper, so lay paper under them
                inner.setRenderHint(QPainter.RenderHint.Antialiasing)
                inner.setPen(Qt.PenStyle.NoPen)
                inner.setBrush(_PAPER)
                inner.drawRoundedRect(QRectF(self.rect()), 5, 5)
                ink = _PAPER_INK
            paint_drawing(inner, self._drawing, QRectF(self.rect()).adjusted(6, 6, -6, -6), ink=ink)
            inner.end()
            self._kept = (wanted, picture)
        painter = QPainter(self)
        painter.drawPixmap(0, 0, self._kept[1])
        painter.end()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Say which part the mouse points at."""
        part = self.part_at(event.position())
        if part != self._pointed:
            self._pointed = part
            self.setToolTip(part)
            self.part_pointed.emit(part)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Say which part was clicked."""
        part = self.part_at(event.position())
        if part:
            self.part_chosen.emit(part)
