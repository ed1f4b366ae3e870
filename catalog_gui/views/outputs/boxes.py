"""Boxes on paper that must be seen: the caution, never split, and hazards with their signal words."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from catalog_gui.domain.page import HazardBlock
from catalog_gui.lookalikes.reference import Severity
from catalog_gui.presenting.signal_words import SIGNAL_WORDS
from catalog_gui.views import theme
from catalog_gui.views.outputs.flow import Flow, Op
from catalog_gui.views.outputs.lines import INK, Lines, face
from catalog_gui.views.widgets.signs import paint_hazard


def add_caution(flow: Flow, words: str) -> None:
    """The caution in a frame with its sign, smaller rather than over two pages."""
    points, pad = 10.0, 260.0
    full = flow.bottom - flow.top
    while True:
        font = face(theme.SANS, points, bold=True)
        lines = Lines(words, font, flow.width - 2 * pad - 900)
        height = max(lines.height + 2 * pad, 1100.0)
        if height <= full or points < 5.0:
            break
        points -= 0.5
    flow.y += 60
    flow.need(height)
    box = QRectF(flow.left, flow.y, flow.width, height)

    def paint(painter: QPainter) -> None:
        painter.setPen(QPen(INK, 50))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(box.adjusted(25, 25, -25, -25))
        paint_hazard(painter, QRectF(box.left() + 200, box.top() + 220, 760, 700), INK.name())
        lines.paint(painter, QPointF(box.left() + pad + 900, box.top() + pad))

    flow.put(paint)
    flow.y += height + 160


def add_hazard(flow: Flow, block: HazardBlock) -> None:
    """The dangerous taxa of one severity; the frame is closed and opened again over pages."""
    severity = Severity(block.severity)
    band, pad = 760.0, 200.0
    font = face(theme.SANS, 9.5)
    parts = [Lines(line, font, flow.width - 2 * pad, bold_first=True) for line in block.lines]
    first_height = parts[0].height if parts else 0.0
    flow.y += 60
    flow.need(band + min(first_height, 3000.0) + 2 * pad)
    head = block.head
    queue = [(part, 0) for part in parts]
    while True:
        start = flow.y
        flow.put(_band(severity, head, QRectF(flow.left, start, flow.width, band)))
        flow.y += band + pad * 0.7
        queue = _hazard_lines(flow, queue, pad)
        flow.y += pad * 0.4
        frame = QRectF(flow.left, start, flow.width, flow.y - start)
        flow.put(partial(_frame, box=frame))
        if not queue:
            break
        flow.new_page()
        head = f"{block.head} (continued)"
    flow.y += 140


def _hazard_lines(flow: Flow, queue: list[tuple[Lines, int]], pad: float) -> list[tuple[Lines, int]]:
    while queue:
        part, first = queue[0]
        last = part.fitting(first, flow.room - pad)
        if last == first:
            return queue
        at = QPointF(flow.left + pad, flow.y)
        flow.put(partial(part.paint, at=at, first=first, last=last))
        flow.y += part.bottoms[last - 1] - part.tops[first] + 50
        if last < len(part.tops):
            return [(part, last), *queue[1:]]
        queue = queue[1:]
    return []


def _band(severity: Severity, head: str, box: QRectF) -> Op:
    """The signal word: black on light with the sign, so that a black and white print says as much."""
    ground, words = {
        Severity.FATAL: (theme.LIGHT.danger, theme.LIGHT.danger_text),
        Severity.SERIOUS: (theme.LIGHT.warning, theme.LIGHT.warning_text),
        Severity.UNPLEASANT: (theme.LIGHT.caution, theme.LIGHT.caution_text),
    }[severity]
    loud, plain = face(theme.SANS, 14.0, bold=True), face(theme.SANS, 10.5, bold=True)
    signal = SIGNAL_WORDS[severity]
    left = QFontMetricsF(loud).horizontalAdvance(signal) + 1150
    head = QFontMetricsF(plain).elidedText(head, Qt.TextElideMode.ElideRight, box.width() - left - 300)

    def paint(painter: QPainter) -> None:
        painter.fillRect(QRectF(box.left(), box.top(), left, box.height()), QColor(ground))
        paint_hazard(painter, QRectF(box.left() + 150, box.top() + 70, 650, 610), words)
        painter.setFont(loud)
        painter.setPen(QColor(words))
        painter.drawText(QPointF(box.left() + 950, box.center().y() + 180), signal)
        painter.setFont(plain)
        painter.setPen(INK)
        painter.drawText(QPointF(box.left() + left + 200, box.center().y() + 135), head)

    return paint


def _frame(painter: QPainter, box: QRectF) -> None:
    painter.setPen(QPen(INK, 40))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(box)
