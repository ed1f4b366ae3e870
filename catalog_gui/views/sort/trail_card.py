"""Paints one group of the trail: its walk, its title, its stone on the path, and what is asked about it."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPainterPath, QPen

from catalog_gui.presenting.sort.questions import question_above
from catalog_gui.presenting.sort.state import TrailRow
from catalog_gui.presenting.sort.words import title_words, walk_words
from catalog_gui.views import theme
from catalog_gui.views.sort.trail_layout import GUTTER, Card, Layout

CHIPS = (86, 64)
"""Widths of the two answers beside a question, px."""


def answer_boxes(card: Card) -> tuple[QRect, QRect]:
    """Where 'same' and 'apart' can be pressed."""
    walk = card.walk
    wide, narrow = CHIPS
    apart = QRect(walk.right() - 2 - narrow, walk.top() + 2, narrow, walk.height() - 3)
    return QRect(apart.left() - 5 - wide, apart.top(), wide, apart.height()), apart


def paint_card(
    painter: QPainter, card: Card, row: TrailRow, number: int, zone: str, *, current: bool, ignored: int = 0
) -> None:
    """The sheet with its title; `ignored` is how many written positions were not believed."""
    t = theme.tones()
    painter.setPen(QPen(QColor(t.moss if current else t.line), 1.5 if current else 1))
    painter.setBrush(QColor(t.sheet))
    painter.drawRoundedRect(QRectF(card.box), 5, 5)
    title = QFont(theme.SERIF)
    title.setPointSizeF(11.5)
    title.setBold(True)
    plain = painter.font()
    words = row.specimen.number if row.specimen is not None else f"Group {number}"
    x, base, right = card.left, card.head + 19, card.left + card.width
    painter.setFont(title)
    painter.setPen(QColor(t.bark))
    painter.drawText(x, base, words)
    x += QFontMetrics(title).horizontalAdvance(words) + 10
    if row.name:
        italic = QFont(theme.SERIF)
        italic.setPointSizeF(11)
        italic.setItalic(True)
        metrics = QFontMetrics(italic)
        name = metrics.elidedText(row.name, Qt.TextElideMode.ElideRight, max(60, (right - x) * 2 // 3))
        painter.setFont(italic)
        painter.setPen(QColor(t.ink))
        painter.drawText(x, base, name)
        x += metrics.horizontalAdvance(name) + 10
    painter.setFont(plain)
    painter.setPen(QColor(t.faded))
    rest = painter.fontMetrics().elidedText(
        title_words(row, zone, ignored), Qt.TextElideMode.ElideRight, right - x
    )
    painter.drawText(x, base, rest)


def paint_walk(painter: QPainter, card: Card, row: TrailRow, *, first: bool) -> None:
    """Minutes and metres from the group before, and the question about this boundary with its answers."""
    t = theme.tones()
    walk = card.walk
    metrics = painter.fontMetrics()
    left = walk.left()
    if not first:
        words = walk_words(row)
        painter.setPen(QColor(t.faded))
        _text(painter, walk, words)
        left += metrics.horizontalAdvance(words) + 16
    asked = question_above(row)
    if asked is None:
        if row.join is not None and row.join.settled is False and not first:
            painter.setPen(QColor(t.faded))
            room = QRect(left, walk.top(), walk.right() - left, walk.height())
            _text(
                painter,
                room,
                metrics.elidedText("Set apart by you", Qt.TextElideMode.ElideRight, room.width()),
            )
        return
    question_mark(painter, QPointF(left + 8, walk.center().y() + 0.5))
    left += 22
    same, apart = answer_boxes(card)
    room = QRect(left, walk.top(), same.left() - 8 - left, walk.height())
    text = f"{asked.question} {asked.reason}".strip()
    painter.setPen(QColor(t.ochre))
    _text(painter, room, metrics.elidedText(text, Qt.TextElideMode.ElideRight, room.width()))
    for box, word, key in ((same, "Together", "T"), (apart, "Apart", "A")):
        painter.setPen(QPen(QColor(t.edge), 1))
        painter.setBrush(QColor(t.sheet))
        painter.drawRoundedRect(QRectF(box).adjusted(0.5, 0.5, -0.5, -0.5), 3, 3)
        painter.setPen(QColor(t.ink))
        painter.drawText(
            box.adjusted(8, 0, 0, 0), int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), word
        )
        painter.setPen(QColor(t.faded))
        painter.drawText(
            box.adjusted(0, 0, -7, 0), int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight), key
        )


def paint_path(painter: QPainter, layout: Layout, index: int, row: TrailRow) -> None:
    """The trodden path to the next stone: down the margin, or across to the card beside."""
    t = theme.tones()
    card = layout.cards[index]
    x, y = card.left - GUTTER / 2 - 3, card.head + 13.0
    pen = QPen(QColor(t.edge), 2.4, Qt.PenStyle.CustomDashLine, Qt.PenCapStyle.RoundCap)
    pen.setDashPattern([0.1, 3.0])
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    first, last = layout.lines[card.line]
    if index == first and last < len(layout.cards):
        following = layout.cards[last]
        end = following.head + 13.0
        sway = 6 if card.line % 2 else -6
        path = QPainterPath(QPointF(x, y))
        path.cubicTo(x + sway, y + (end - y) / 3, x - sway, end - (end - y) / 3, x, end)
        painter.drawPath(path)
    stone = QRectF(x - 13, y - 11.5, 26, 23)
    painter.setPen(QPen(QColor(t.bark if row.specimen else t.edge), 1.6))
    painter.setBrush(QColor(t.bark if row.specimen else t.sheet))
    painter.drawEllipse(stone)
    painter.setPen(QColor(t.sheet if row.specimen else t.ink))
    painter.drawText(stone, int(Qt.AlignmentFlag.AlignCenter), str(index + 1))


def question_mark(painter: QPainter, middle: QPointF) -> None:
    """A quiet round mark: here the program is not sure."""
    t = theme.tones()
    painter.setBrush(QColor(t.ochre))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.drawEllipse(middle, 8.5, 8.5)
    plain = painter.font()
    font = QFont(plain)
    font.setBold(True)
    painter.setFont(font)
    painter.setPen(QColor(t.sheet))
    painter.drawText(QRectF(middle.x() - 8, middle.y() - 9, 16, 17), int(Qt.AlignmentFlag.AlignCenter), "?")
    painter.setFont(plain)


def _text(painter: QPainter, box: QRect, words: str) -> None:
    painter.drawText(box, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), words)
