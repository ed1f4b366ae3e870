"""Plots spore length against width, with lines of equal quotient."""

from __future__ import annotations

import math
from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from catalog_gui.presenting.canvas.axes import nice_step
from catalog_gui.views import theme

_QUOTIENTS = (1.0, 1.3, 1.6, 2.0, 3.0)  # where the shape words change (Bas 1969)


class SporePlot(QWidget):
    """Dots for spores: width to the right, length upwards, both in µm."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._pairs: tuple[tuple[float, float], ...] = ()
        self.setObjectName("spore-plot")
        self.setAccessibleName("Plot of spore length against width")
        self.setMinimumSize(250, 220)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def sizeHint(self) -> QSize:
        """Nearly square."""
        return QSize(320, 290)

    def show_pairs(self, pairs: Sequence[tuple[float, float]]) -> None:
        """Show these (length, width) pairs."""
        self._pairs = tuple(pairs)
        self.setAccessibleDescription(f"{len(self._pairs)} spores")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Axes, quotients, dots."""
        t = theme.tones()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(t.sheet))
        font = painter.font()
        font.setPixelSize(12)
        painter.setFont(font)
        painter.setPen(QColor(t.faded))
        if not self._pairs:
            words = "Each spore becomes a dot here."
            painter.drawText(self.rect(), int(Qt.AlignmentFlag.AlignCenter), words)
            painter.end()
            return
        field = QRectF(self.rect()).adjusted(44, 10, -30, -36)
        lengths, widths = [a for a, _ in self._pairs], [b for _, b in self._pairs]
        x0, x1 = _span(widths)
        y0, y1 = _span(lengths)

        def at(width: float, length: float) -> QPointF:
            return QPointF(
                field.left() + (width - x0) / (x1 - x0) * field.width(),
                field.bottom() - (length - y0) / (y1 - y0) * field.height(),
            )

        self._axes(painter, field, (x0, x1), (y0, y1))
        painter.save()
        for quotient in _QUOTIENTS:
            start = max(x0, y0 / quotient)
            end = min(x1, y1 / quotient)
            if end <= start:
                continue
            painter.setPen(QPen(QColor(t.line), 1.2, Qt.PenStyle.DashLine))
            painter.drawLine(at(start, start * quotient), at(end, end * quotient))
            painter.setPen(QColor(t.faded))
            painter.drawText(at(end, end * quotient) + QPointF(2, -1), f"Q {quotient:g}")
        painter.restore()
        painter.setPen(QPen(QColor(t.sheet), 1))
        painter.setBrush(QColor(t.moss))
        for length, width in self._pairs:
            painter.drawEllipse(at(width, length), 4, 4)
        painter.end()

    def _axes(
        self, painter: QPainter, field: QRectF, across: tuple[float, float], up: tuple[float, float]
    ) -> None:
        t = theme.tones()
        painter.setPen(QPen(QColor(t.edge), 1))
        painter.drawLine(field.bottomLeft(), field.bottomRight())
        painter.drawLine(field.bottomLeft(), field.topLeft())
        painter.setPen(QColor(t.ink))
        for low, high, upright in ((*across, False), (*up, True)):
            step = nice_step(high - low)
            tick = math.ceil(low / step - 1e-9) * step
            while tick <= high + 1e-9:
                share = (tick - low) / (high - low)
                words = f"{tick:.10g}"
                if upright:
                    y = field.bottom() - share * field.height()
                    painter.drawLine(QPointF(field.left() - 4, y), QPointF(field.left(), y))
                    box = QRectF(field.left() - 42, y - 8, 36, 16)
                    painter.drawText(
                        box, int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter), words
                    )
                else:
                    x = field.left() + share * field.width()
                    painter.drawLine(QPointF(x, field.bottom()), QPointF(x, field.bottom() + 4))
                    box = QRectF(x - 20, field.bottom() + 4, 40, 15)
                    painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), words)
                tick += step
        painter.drawText(
            QRectF(field.left(), field.bottom() + 18, field.width(), 16),
            int(Qt.AlignmentFlag.AlignCenter),
            "width, µm",
        )
        painter.save()
        painter.translate(10, field.center().y())
        painter.rotate(-90)
        painter.drawText(QRectF(-60, -9, 120, 16), int(Qt.AlignmentFlag.AlignCenter), "length, µm")
        painter.restore()


def _span(values: Sequence[float]) -> tuple[float, float]:
    """A little more than the values take."""
    low, high = min(values), max(values)
    more = 0.12 * (high - low) or 0.1 * high or 1.0
    return max(0.0, low - more), high + more
