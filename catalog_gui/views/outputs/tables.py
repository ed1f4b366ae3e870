"""Tables on paper: rows that stay whole where they can, heads that come again on every page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QFont, QPainter

from catalog_gui.domain.page import TableBlock
from catalog_gui.views import theme
from catalog_gui.views.outputs.flow import Flow, rule
from catalog_gui.views.outputs.lines import Lines, face


def add_table(flow: Flow, block: TableBlock) -> None:
    """Lay a table out; nothing of it is left out."""
    pad_x, pad_y = 110.0, 70.0
    total = sum(block.widths) or 1.0
    widths = [flow.width * share / total for share in block.widths]
    lefts = [flow.left + sum(widths[:i]) for i in range(len(widths))]
    head_font, plain = face(theme.SANS, 9.0, bold=True), face(theme.SANS, 9.5)
    bold, italic = face(theme.SANS, 9.5, bold=True), face(theme.SERIF, 9.5, italic=True)
    italic_head = face(theme.SERIF, 9.5, bold=True, italic=True)

    def font_of(column: int, *, head: bool) -> QFont:
        if head:
            return italic_head if column in block.taxa_heads else head_font
        if column in block.taxa:
            return italic
        return bold if column in block.emphasis else plain

    def cells(row: Sequence[str], *, head: bool) -> list[Lines]:
        return [
            Lines(
                words,
                font_of(column, head=head),
                widths[column] - 2 * pad_x,
            )
            for column, words in enumerate(row[: len(widths)])
        ]

    head = cells(block.head, head=True) if block.head else []
    head_height = max((c.height for c in head), default=0.0) + (2 * pad_y if head else 0.0)

    def put_head() -> None:
        if not head:
            return
        y = flow.y
        flow.put(partial(_head_row, box=QRectF(flow.left, y, flow.width, head_height)))
        for left, cell in zip(lefts, head, strict=False):
            at = QPointF(left + pad_x, y + pad_y)
            flow.put(partial(cell.paint, at=at))
        flow.y += head_height

    rows = [cells(row, head=False) for row in block.rows]
    if not rows:
        return
    first_height = max((c.height for c in rows[0]), default=0.0) + 2 * pad_y
    flow.need(head_height + min(first_height, 4000.0))
    put_head()
    for row in rows:
        height = max((c.height for c in row), default=0.0)
        page_room = flow.bottom - flow.top - head_height - 2 * pad_y
        if height + 2 * pad_y > flow.room and not (flow.fresh or height > page_room):
            flow.new_page()
            put_head()
        _row(flow, row, lefts, pad_x, pad_y, put_head)
    flow.y += 150


def _row(
    flow: Flow, row: list[Lines], lefts: list[float], pad_x: float, pad_y: float, put_head: Callable[[], None]
) -> None:
    """One row; a row taller than what is left of its page runs on below a repeated head."""
    firsts = [0] * len(row)
    while True:
        room = flow.room - 2 * pad_y
        lasts = [cell.fitting(first, room) for cell, first in zip(row, firsts, strict=True)]
        if lasts == firsts and any(f < len(c.tops) for f, c in zip(firsts, row, strict=True)):
            if flow.fresh:
                lasts = [min(len(c.tops), f + 1) for c, f in zip(row, firsts, strict=True)]
            else:
                flow.new_page()
                put_head()
                continue
        tall = 0.0
        for left, cell, first, last in zip(lefts, row, firsts, lasts, strict=False):
            if last > first:
                at = QPointF(left + pad_x, flow.y + pad_y)
                flow.put(partial(cell.paint, at=at, first=first, last=last))
                tall = max(tall, cell.bottoms[last - 1] - cell.tops[first])
        flow.y += tall + 2 * pad_y
        right = flow.left + flow.width
        flow.put(partial(rule, left=flow.left, right=right, y=flow.y))
        firsts = lasts
        if all(f >= len(c.tops) for f, c in zip(firsts, row, strict=True)):
            return
        flow.new_page()
        put_head()


def _head_row(painter: QPainter, box: QRectF) -> None:
    painter.fillRect(box, QColor("#e9e7df"))
    rule(painter, box.left(), box.right(), box.bottom())
