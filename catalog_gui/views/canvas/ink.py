"""Paints a sketch of marks on any device, from any thread."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen

from catalog_gui.drawing.shapes import DASHED, DOTTED, Shape
from catalog_gui.presenting.canvas.look import CONTOUR, NOTE_INK, NOTE_PAPER, NOTE_PX, OUTER_CONTOUR
from catalog_gui.presenting.canvas.sketch import Note, Sketch, TextSize
from catalog_gui.views import theme
from catalog_gui.views.widgets.drawing_painter import path_of

_PAD_X, _PAD_Y = 6.0, 3.0


def note_font(unit: float, *, strong: bool = True) -> QFont:
    """The letters of labels; `unit` is a screen pixel on the device."""
    font = QFont(theme.SANS)
    font.setPixelSize(max(1, round(NOTE_PX * unit)))
    font.setWeight(QFont.Weight.DemiBold if strong else QFont.Weight.Normal)
    return font


def text_sizes(unit: float) -> TextSize:
    """Measures labels for a device: width and height with the paper around the words."""
    metrics = QFontMetricsF(note_font(unit))

    def size(lines: tuple[str, ...]) -> tuple[float, float]:
        wide = max(metrics.horizontalAdvance(line) for line in lines)
        return wide + 2 * _PAD_X * unit, len(lines) * metrics.height() + 2 * _PAD_Y * unit

    return size


def paint_sketch(painter: QPainter, found: Sketch, unit: float = 1.0) -> None:
    """Contours first, then colours, then notes, so that crossing marks stay readable."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    paths = [(path_of(shape.commands), shape) for shape in found.strokes]
    solids = [(path_of(shape.commands), shape) for shape in found.solids]
    for extra, colour in ((3.6, OUTER_CONTOUR), (2.0, CONTOUR)):
        for path, shape in paths:
            painter.strokePath(path, _pen(colour, shape.width + extra * unit))
        for path, _ in solids:
            painter.strokePath(path, _pen(colour, extra * unit))
    for path, shape in paths:
        painter.strokePath(path, _line_pen(shape))
    for path, shape in solids:
        painter.fillPath(path, QColor(shape.fill))
    for note in found.notes:
        _paint_note(painter, note, unit)
    for index, (x, y) in enumerate(found.handles):
        _paint_handle(painter, QPointF(x, y), unit, active=index == found.handle_at)
    painter.restore()


def paint_cross(painter: QPainter, at: tuple[float, float], box: QRectF) -> None:
    """The cross-hair that the arrow keys move."""
    x, y = at
    path = QPainterPath()
    for start, end in (
        (QPointF(box.left(), y), QPointF(x - 7, y)),
        (QPointF(x + 7, y), QPointF(box.right(), y)),
        (QPointF(x, box.top()), QPointF(x, y - 7)),
        (QPointF(x, y + 7), QPointF(x, box.bottom())),
    ):
        path.moveTo(start)
        path.lineTo(end)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
    painter.strokePath(path, _pen(CONTOUR, 3))
    painter.strokePath(path, _pen(OUTER_CONTOUR, 1))
    painter.restore()


def _pen(colour: str, width: float) -> QPen:
    pen = QPen(QBrush(QColor(colour)), width)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    return pen


def _line_pen(shape: Shape) -> QPen:
    pen = _pen(shape.stroke, shape.width)
    if shape.line == DASHED:
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        pen.setDashPattern([5, 3])
    elif shape.line == DOTTED:
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        pen.setDashPattern([3, 2])
    return pen


def _paint_note(painter: QPainter, note: Note, unit: float) -> None:
    box = QRectF(QPointF(note.box[0], note.box[1]), QPointF(note.box[2], note.box[3]))
    path = QPainterPath()
    path.addRoundedRect(box, 3 * unit, 3 * unit)
    painter.strokePath(path, _pen(CONTOUR, (5.2 if note.chosen else 3.4) * unit))
    painter.strokePath(path, _pen(note.colour, (3.6 if note.chosen else 1.8) * unit))
    painter.fillPath(path, QColor(NOTE_PAPER))
    painter.setPen(QColor(NOTE_INK))
    high = (box.height() - 2 * _PAD_Y * unit) / len(note.lines)
    for row, words in enumerate(note.lines):
        painter.setFont(note_font(unit, strong=row == 0))
        line = QRectF(box.left(), box.top() + _PAD_Y * unit + row * high, box.width(), high)
        painter.drawText(line, int(Qt.AlignmentFlag.AlignCenter), words)


def _paint_handle(painter: QPainter, at: QPointF, unit: float, *, active: bool) -> None:
    half = (6.0 if active else 4.5) * unit
    box = QRectF(at.x() - half, at.y() - half, 2 * half, 2 * half)
    painter.setPen(_pen(CONTOUR, 1.6 * unit))
    painter.setBrush(QColor(OUTER_CONTOUR if not active else "#f0e442"))
    painter.drawRect(box)
