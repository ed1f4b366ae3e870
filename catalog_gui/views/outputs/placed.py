"""Labels, slips and packets: words, lines and codes that have a fixed place on the page."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPen, QTextCharFormat, QTextLayout, QTextOption

from catalog_gui.domain.page import Placed, PlacedCode, PlacedLine, PlacedText
from catalog_gui.views import theme
from catalog_gui.views.outputs.lines import POINT, for_paper, printable

_MM = 100.0
LEAST_POINTS = 4.5
_INK = QColor("#000000")


def paint_placed(painter: QPainter, item: Placed) -> None:
    """Paint one item on a painter scaled to hundredths of a millimetre."""
    match item:
        case PlacedText():
            _paint_words(painter, item)
        case PlacedLine():
            style = Qt.PenStyle.DashLine if item.dashed else Qt.PenStyle.SolidLine
            painter.setPen(QPen(QColor("#77756b"), 15, style))
            painter.drawLine(
                QPointF(item.start[0] * _MM, item.start[1] * _MM),
                QPointF(item.end[0] * _MM, item.end[1] * _MM),
            )
        case PlacedCode():
            _paint_code(painter, item)


def _paint_code(painter: QPainter, item: PlacedCode) -> None:
    count = len(item.rows)
    side = item.side * _MM / max(1, count)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
    for y, row in enumerate(item.rows):
        x = 0
        while x < len(row):  # runs of dark modules are one rectangle: no hairline between them
            end = x
            while end < len(row) and row[end] == "1":
                end += 1
            if end > x:
                left, top = item.left * _MM + x * side, item.top * _MM + y * side
                painter.fillRect(QRectF(left, top, (end - x) * side, side), _INK)
            x = max(end, x + 1)


def _paint_words(painter: QPainter, item: PlacedText) -> None:
    lines = item.words.split("\n")
    width, height = item.width * _MM, item.height * _MM
    points = item.points
    layouts, total = _laid(lines, item, points, width)
    while total > height and points > LEAST_POINTS:
        points -= 0.25
        layouts, total = _laid(lines, item, points, width)
    if item.turned:
        painter.translate((item.left + item.width) * _MM, (item.top + item.height) * _MM)
        painter.rotate(180)
    else:
        painter.translate(item.left * _MM, item.top * _MM)
    painter.setPen(_INK)
    y = 0.0
    for layout in layouts:
        for index in range(layout.lineCount()):
            line = layout.lineAt(index)
            if y + line.height() > height + 1 and y > 0:
                # What is left out has to be seen to be left out.
                painter.setFont(layout.font())
                painter.drawText(QPointF(width - 1.2 * line.height(), height), "…")
                return
            line.draw(painter, QPointF(0, y - line.y()))
            y += line.height()


def _laid(lines: list[str], item: PlacedText, points: float, width: float) -> tuple[list[QTextLayout], float]:
    layouts = []
    total = 0.0
    for number, words in enumerate(lines):
        taxon = number == item.taxon_line
        font = QFont(theme.SERIF if taxon else theme.SANS)
        font.setPixelSize(max(1, round(points * POINT)))
        for_paper(font)
        font.setItalic(taxon)
        if number < item.bold_lines:
            font.setWeight(QFont.Weight.DemiBold)
        layout = QTextLayout(printable(words), font)
        option = QTextOption()
        option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
        option.setTextDirection(Qt.LayoutDirection.LayoutDirectionAuto)
        if item.centred:
            option.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        layout.setTextOption(option)
        mark = words.find(": ")
        if 0 < mark < 24 and not taxon and number >= item.bold_lines:
            look = QTextCharFormat()
            bold = QFont(font)
            bold.setWeight(QFont.Weight.DemiBold)
            look.setFont(bold)
            part = QTextLayout.FormatRange()
            part.start, part.length, part.format = 0, mark + 1, look
            layout.setFormats([part])
        layout.beginLayout()
        while True:
            line = layout.createLine()
            if not line.isValid():
                break
            line.setLineWidth(width)
            total += line.height()
        layout.endLayout()
        layouts.append(layout)
    return layouts, total
