"""Paints a plan on paper: squares or points to scale, north up, with a bar in metres."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QPainter, QPen

from catalog_gui.domain.page import PlanBlock
from catalog_gui.presenting.outputs.scale_bar import nice_length_mm
from catalog_gui.views import theme
from catalog_gui.views.outputs.lines import for_paper

_INK = QColor("#15160f")
_LEAST_M = 60.0  # a plan of one point still shows some ground around it


def paint_plan(painter: QPainter, box: QRectF, plan: PlanBlock) -> None:
    """Paint the plan as large as it fits into `box` (hundredths of a millimetre)."""
    edges = [(x, y, x + side, y + side) for x, y, side, _ in plan.squares]
    edges += [(x, y, x, y) for x, y, _ in plan.points]
    if not edges:
        return
    west, south = min(e[0] for e in edges), min(e[1] for e in edges)
    wide = max(_LEAST_M, max(e[2] for e in edges) - west)
    tall = max(_LEAST_M, max(e[3] for e in edges) - south)
    inner = box.adjusted(500, 500, -500, -1100)
    scale = min(inner.width() / wide, inner.height() / tall)
    left = inner.left() + (inner.width() - wide * scale) / 2
    bottom = inner.bottom() - (inner.height() - tall * scale) / 2

    def at(x: float, y: float) -> QPointF:
        return QPointF(left + (x - west) * scale, bottom - (y - south) * scale)

    painter.setPen(QPen(QColor("#8c897d"), 15))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(box)
    font = for_paper(QFont(theme.SANS))
    font.setPixelSize(290)
    painter.setFont(font)
    for x, y, side, words in plan.squares:
        square = QRectF(at(x, y + side), at(x + side, y))
        painter.setPen(QPen(_INK, 25))
        painter.setBrush(QBrush(QColor("#dfe6d8")))
        painter.drawRect(square)
        painter.drawText(square, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, words)
    painter.setBrush(_INK)
    for x, y, words in plan.points:
        spot = at(x, y)
        painter.setPen(QPen(_INK, 20))
        painter.drawEllipse(spot, 70, 70)
        painter.drawText(spot + QPointF(120, 100), words)
    _bar(painter, box, scale)
    _north(painter, box)


def _bar(painter: QPainter, box: QRectF, scale: float) -> None:
    length_m = nice_length_mm(max(1.0, box.width() * 0.3 / scale))
    start = QPointF(box.left() + 500, box.bottom() - 400)
    pen = QPen(_INK, 50)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    painter.setPen(pen)
    painter.drawLine(start, start + QPointF(length_m * scale, 0))
    words = f"{length_m / 1000:g} km" if length_m >= 1000 else f"{length_m:g} m"
    painter.drawText(start + QPointF(0, -100), words)


def _north(painter: QPainter, box: QRectF) -> None:
    tip = QPointF(box.right() - 500, box.bottom() - 950)
    painter.setPen(QPen(_INK, 35))
    painter.drawLine(tip, tip + QPointF(0, 600))
    painter.drawLine(tip, tip + QPointF(-110, 180))
    painter.drawLine(tip, tip + QPointF(110, 180))
    width = QFontMetricsF(painter.font()).horizontalAdvance("N")
    painter.drawText(tip + QPointF(-width / 2, 880), "N")
