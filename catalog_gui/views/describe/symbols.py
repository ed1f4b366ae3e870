"""Draws small signs: the four standings, each with a shape of its own, and swatches."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen

from catalog_gui.domain.evidence import Standing
from catalog_gui.views import theme


def paint_standing(painter: QPainter, middle: QPointF, standing: Standing, *, radius: float = 6.0) -> None:
    """A filled dot: seen. A crossed ring: not there. A broken ring: gone. A dotted ring: not looked at."""
    t = theme.tones()
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if standing is Standing.SEEN:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(t.ink))
        painter.drawEllipse(middle, radius, radius)
    elif standing is Standing.NOT_THERE:
        painter.setPen(QPen(QColor(t.ink), 2))
        painter.drawEllipse(middle, radius - 1, radius - 1)
        slant = (radius - 1) * 0.72
        painter.drawLine(middle + QPointF(-slant, slant), middle + QPointF(slant, -slant))
    elif standing is Standing.GONE:
        painter.setPen(QPen(QColor(t.rust), 2))
        box = QRectF(middle.x() - radius + 1, middle.y() - radius + 1, 2 * radius - 2, 2 * radius - 2)
        painter.drawArc(box, 100 * 16, 150 * 16)
        painter.drawArc(box, 280 * 16, 150 * 16)
        crack = QPainterPath(middle + QPointF(1.5, -radius))
        for x, y in ((-1.5, -radius * 0.3), (1.5, radius * 0.3), (-1.5, radius)):
            crack.lineTo(middle + QPointF(x, y))
        painter.drawPath(crack)
    else:
        pen = QPen(QColor(t.edge), 1.4, Qt.PenStyle.CustomDashLine, Qt.PenCapStyle.RoundCap)
        pen.setDashPattern([0.1, 2.6])
        painter.setPen(pen)
        painter.drawEllipse(middle, radius - 1, radius - 1)
    painter.restore()


def paint_swatch(painter: QPainter, box: QRectF, colour: str) -> None:
    """A colour of the vocabulary, framed so that white shows on paper."""
    t = theme.tones()
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(t.edge), 1))
    painter.setBrush(QColor(colour))
    painter.drawRoundedRect(box, 2, 2)
    painter.restore()
