"""Wrapped words whose beginning is bold, measured once and kept."""

from __future__ import annotations

from collections import OrderedDict

from PySide6.QtCore import QPointF, QRect, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QTextCharFormat, QTextLayout, QTextOption

_KEEP = 1500
_ONE_LINE = 4096


class CellText:
    """Lays out and paints words; the last layouts are kept."""

    def __init__(self) -> None:
        self._kept: OrderedDict[tuple[str, int, int, str], QTextLayout] = OrderedDict()

    def height(self, words: str, bold: int, width: int, font: QFont) -> int:
        """The height in px of the words, wrapped to `width` px; the first `bold` letters are bold."""
        if not words:
            return 0
        return round(self._layout(words, bold, width, font).boundingRect().height())

    def paint(
        self, painter: QPainter, box: QRect, words: str, bold: int, font: QFont, colour: QColor
    ) -> None:
        """Paint the words from the top left of the box."""
        if not words:
            return
        painter.setPen(colour)
        self._layout(words, bold, max(box.width(), 60), font).draw(painter, QPointF(box.topLeft()))

    def paint_line(
        self, painter: QPainter, box: QRect, words: str, bold: int, font: QFont, colour: QColor
    ) -> None:
        """Paint the words in one line, cut with '…' where the box ends."""
        heavy = QFont(font)
        heavy.setWeight(QFont.Weight.DemiBold)
        cut = Qt.TextElideMode.ElideRight
        first = QFontMetrics(heavy).elidedText(words[:bold], cut, box.width())
        left = box.width() - QFontMetrics(heavy).horizontalAdvance(first) - 4
        shown = first
        if first == words[:bold]:
            shown += QFontMetrics(font).elidedText(words[bold:], cut, max(left, 0))
        line = QRect(box.topLeft(), QSize(_ONE_LINE, box.height()))
        self.paint(painter, line, shown, min(bold, len(shown)), font, colour)

    def _layout(self, words: str, bold: int, width: int, font: QFont) -> QTextLayout:
        key = (words, bold, width, font.key())
        found = self._kept.get(key)
        if found is not None:
            self._kept.move_to_end(key)
            return found
        layout = QTextLayout(words, font)
        option = QTextOption(Qt.AlignmentFlag.AlignLeft)
        option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
        layout.setTextOption(option)
        if bold:
            heavy = QTextCharFormat()
            heavy.setFontWeight(QFont.Weight.DemiBold)
            span = QTextLayout.FormatRange()
            span.start, span.length, span.format = 0, bold, heavy
            layout.setFormats([span])
        layout.beginLayout()
        top = 0.0
        while True:
            line = layout.createLine()
            if not line.isValid():
                break
            line.setLineWidth(width)
            line.setPosition(QPointF(0, top))
            top += line.height()
        layout.endLayout()
        self._kept[key] = layout
        while len(self._kept) > _KEEP:
            self._kept.popitem(last=False)
        return layout
