"""Signs of our own drawing for hazards and verdicts; each always stands beside its word."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPainterPath, QPen, QPixmap

from catalog_gui.lookalikes.reference import Severity
from catalog_gui.presenting.signal_words import SIGNAL_WORDS
from catalog_gui.views import theme


def signal_colours(severity: Severity) -> tuple[str, str]:
    """Ground and text of a signal word."""
    t = theme.tones()
    if severity is Severity.FATAL:
        return t.danger, t.danger_text
    if severity is Severity.SERIOUS:
        return t.warning, t.warning_text
    return t.caution, t.caution_text


def paint_hazard(painter: QPainter, box: QRectF, colour: str) -> None:
    """A triangle with a fallen mushroom in it: ours, in the shape that warns."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    w, h = box.width(), box.height()

    def at(x: float, y: float) -> QPointF:
        return QPointF(box.left() + x * w, box.top() + y * h)

    pen = QPen(QColor(colour), max(1.4, w * 0.075))
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    triangle = QPainterPath(at(0.5, 0.06))
    triangle.lineTo(at(0.96, 0.9))
    triangle.lineTo(at(0.04, 0.9))
    triangle.closeSubpath()
    painter.drawPath(triangle)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(colour))
    cap = QPainterPath(at(0.3, 0.56))
    cap.cubicTo(at(0.32, 0.3), at(0.68, 0.3), at(0.7, 0.56))
    cap.closeSubpath()
    painter.drawPath(cap)
    stem = QPainterPath(at(0.46, 0.56))
    stem.lineTo(at(0.54, 0.56))
    stem.lineTo(at(0.55, 0.74))
    stem.cubicTo(at(0.62, 0.76), at(0.62, 0.83), at(0.5, 0.83))
    stem.cubicTo(at(0.38, 0.83), at(0.38, 0.76), at(0.45, 0.74))
    stem.closeSubpath()
    painter.drawPath(stem)
    painter.restore()


def paint_signal(painter: QPainter, box: QRectF, severity: Severity) -> None:
    """A signal word on its colour, our sign before it, in the painter's font."""
    ground, text = signal_colours(severity)
    painter.save()
    painter.fillRect(box, QColor(ground))
    height = box.height()
    paint_hazard(painter, QRectF(box.left() + 4, box.top() + 1.5, height - 3, height - 3), text)
    painter.setPen(QColor(text))
    painter.drawText(
        box.adjusted(height + 4, 0, 0, 0),
        int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft),
        SIGNAL_WORDS[severity],
    )
    painter.restore()


def verdict_icon(word: str, size: int = 16) -> QIcon:
    """A small sign for a verdict, told apart by its shape alone; an unknown word gets the sign for 'not weighed'.

    Filled disc: agrees. Thick cross: speaks against. One thin stroke: counts little against. Two level bars:
    does not separate. Dashed ring: not looked at. Broken line: damaged or gone. Short low bar: nothing
    written. Hollow square: not weighed.
    """
    return _icon(word, size, theme.tones())


@lru_cache(maxsize=64)
def _icon(word: str, size: int, t: theme.Tones) -> QIcon:
    ratio = 2.0
    pixmap = QPixmap(QSize(size, size) * ratio)
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    middle, r = QPointF(size / 2, size / 2), size * 0.3
    match word:
        case "agrees":
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(t.ink))
            painter.drawEllipse(middle, r, r)
        case "speaks against":
            painter.setPen(QPen(QColor(t.rust), 3.0))
            painter.drawLine(middle + QPointF(-r, -r), middle + QPointF(r, r))
            painter.drawLine(middle + QPointF(-r, r), middle + QPointF(r, -r))
        case "counts little against":
            painter.setPen(QPen(QColor(t.rust), 1.5))
            painter.drawLine(middle + QPointF(-r, r), middle + QPointF(r, -r))
        case "does not separate":
            painter.setPen(QPen(QColor(t.faded), 1.8))
            painter.drawLine(middle + QPointF(-r, -2.5), middle + QPointF(r, -2.5))
            painter.drawLine(middle + QPointF(-r, 2.5), middle + QPointF(r, 2.5))
        case "not looked at":
            painter.setPen(QPen(QColor(t.edge), 1.5, Qt.PenStyle.DashLine))
            painter.drawEllipse(middle, r, r)
        case "damaged or gone":
            painter.setPen(QPen(QColor(t.ochre), 1.6))
            steps = [(-1.2, 0.6), (-0.4, -0.6), (-0.2, 0.1)], [(0.2, -0.1), (0.4, 0.6), (1.2, -0.6)]
            for piece in steps:
                painter.drawPolyline([middle + QPointF(x * r, y * r) for x, y in piece])
        case "nothing written":
            painter.setPen(QPen(QColor(t.edge), 1.5))
            painter.drawLine(middle + QPointF(-r * 0.6, r), middle + QPointF(r * 0.6, r))
        case _:
            painter.setPen(QPen(QColor(t.edge), 1.4))
            painter.drawRect(QRectF(middle.x() - r, middle.y() - r, 2 * r, 2 * r))
    painter.end()
    return QIcon(pixmap)
