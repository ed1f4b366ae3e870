"""Boxes on paper that must be seen: the caution, never split, and hazards with their signal words."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from catalog_gui.domain.page import BlankLines, HazardBlock
from catalog_gui.lookalikes.reference import Severity
from catalog_gui.presenting.signal_words import SIGNAL_WORDS
from catalog_gui.views import theme
from catalog_gui.views.outputs.flow import UNITS_PER_MM, Flow, rule
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
    """Lines about danger, each behind its signal word; the frame is closed and opened again over pages."""
    pad, tag = 130.0, 2750.0
    title = block.title
    width = flow.width - tag - 3 * pad
    font = face(theme.SANS, block.points)
    queue = [
        (Severity(row.severity), Lines(f"{row.head}: {row.words}", font, width, strong=(row.head,)), 0)
        for row in block.rows
    ]
    flow.y += 60
    while queue:
        head = Lines(title, face(theme.SANS, 10.5, bold=True), flow.width - 2 * pad)
        flow.need(head.height + min(_row_height(queue[0][1]), flow.tall / 3) + 2 * pad)
        start = flow.y
        flow.put(partial(head.paint, at=QPointF(flow.left + pad, start + pad * 0.6)))
        flow.y += head.height + pad
        while queue:
            severity, lines, first = queue[0]
            whole = first == 0 and _row_height(lines) <= flow.tall - head.height - 2 * pad
            if whole and _row_height(lines) > flow.room:
                break
            last = lines.fitting(first, flow.room - 130)
            if last == first:
                break
            height = max(lines.bottoms[last - 1] - lines.tops[first] + 130, 660.0)
            box = QRectF(flow.left, flow.y, tag, height)
            flow.put(partial(_tag, severity=severity, box=box))
            at = QPointF(flow.left + tag + pad, flow.y + 80)
            flow.put(partial(lines.paint, at=at, first=first, last=last))
            flow.y += height
            flow.put(partial(rule, left=flow.left, right=flow.left + flow.width, y=flow.y))
            if last < len(lines.tops):
                queue[0] = (severity, lines, last)
                break
            queue.pop(0)
        flow.put(partial(_frame, box=QRectF(flow.left, start, flow.width, flow.y - start)))
        if queue:
            flow.new_page()
            title = f"{block.title} (continued)"
    flow.y += 140


def _row_height(lines: Lines) -> float:
    return max(lines.height + 130, 660.0)


def _tag(painter: QPainter, severity: Severity, box: QRectF) -> None:
    """The signal word and its sign: black and white prints say as much, for the word stands there."""
    ground, words = {
        Severity.FATAL: (theme.LIGHT.danger, theme.LIGHT.danger_text),
        Severity.SERIOUS: (theme.LIGHT.warning, theme.LIGHT.warning_text),
        Severity.UNPLEASANT: (theme.LIGHT.caution, theme.LIGHT.caution_text),
    }[severity]
    painter.fillRect(box, QColor(ground))
    paint_hazard(painter, QRectF(box.left() + 90, box.top() + 90, 500, 470), words)
    painter.setFont(face(theme.SANS, 10.5, bold=True))
    painter.setPen(QColor(words))
    painter.drawText(QPointF(box.left() + 660, box.top() + 460), SIGNAL_WORDS[severity])


def add_blank_lines(flow: Flow, block: BlankLines) -> None:
    """Lines to write on: the label, then a rule to the end of its share of the width."""
    font, gap = face(theme.SANS, 9.0, bold=True), 300.0
    metrics = QFontMetricsF(font)
    for row in block.rows:
        flow.need(block.mm * UNITS_PER_MM)
        flow.y += block.mm * UNITS_PER_MM
        wide = (flow.width - gap * (len(row) - 1)) / max(1, len(row))
        for place, words in enumerate(row):
            left = flow.left + place * (wide + gap)
            begin = left + metrics.horizontalAdvance(words) + 120
            flow.put(partial(_written, words=words, at=QPointF(left, flow.y - 60)))
            flow.put(partial(rule, left=min(begin, left + wide), right=left + wide, y=flow.y))
    flow.y += 150


def _written(painter: QPainter, words: str, at: QPointF) -> None:
    painter.setFont(face(theme.SANS, 9.0, bold=True))
    painter.setPen(INK)
    painter.drawText(at, words)


def _frame(painter: QPainter, box: QRectF) -> None:
    painter.setPen(QPen(INK, 40))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(box)
