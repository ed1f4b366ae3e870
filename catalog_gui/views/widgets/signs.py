"""Signs of our own drawing for hazards and verdicts; each always stands beside its word."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPainterPath, QPen, QPixmap

from catalog_gui.lookalikes.reference import Severity
from catalog_gui.views import theme

SIGNAL_WORDS = {Severity.FATAL: "DANGER", Severity.SERIOUS: "WARNING", Severity.UNPLEASANT: "CAUTION"}
"""Signal words after ISO 3864-2: danger for what kills, warning for what may, caution for the rest."""


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


def verdict_icon(word: str, size: int = 16) -> QIcon:
    """A small sign for a verdict: filled dot agrees, cross against, hollow cross little, dashes not looked at."""
    ratio = 2.0
    pixmap = QPixmap(QSize(size, size) * ratio)
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    t = theme.tones()
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    middle, r = QPointF(size / 2, size / 2), size * 0.3
    if word == "agrees":
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(t.moss))
        painter.drawEllipse(middle, r, r)
    elif word in ("speaks against", "counts little against"):
        strong = word == "speaks against"
        painter.setPen(QPen(QColor(t.rust), 3.0 if strong else 1.3))
        painter.drawLine(middle + QPointF(-r, -r), middle + QPointF(r, r))
        painter.drawLine(middle + QPointF(-r, r), middle + QPointF(r, -r))
    elif word == "does not separate":
        painter.setPen(QPen(QColor(t.faded), 1.6))
        painter.drawLine(middle + QPointF(-r, -2.5), middle + QPointF(r, -2.5))
        painter.drawLine(middle + QPointF(-r, 2.5), middle + QPointF(r, 2.5))
    else:
        painter.setPen(QPen(QColor(t.edge), 1.4, Qt.PenStyle.DashLine))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(middle, r, r)
    painter.end()
    return QIcon(pixmap)
