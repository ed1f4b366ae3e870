"""Lays tables out on paper: rows stay whole where they can, heads come again on every page, no lone last row."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QFont, QPainter

from catalog_gui.domain.page import TableBlock
from catalog_gui.drawing.shapes import Drawing
from catalog_gui.views import theme
from catalog_gui.views.outputs.flow import Flow, rule
from catalog_gui.views.outputs.lines import Lines, face
from catalog_gui.views.outputs.panels import paint_small_drawing

PAD_X, PAD_Y = 110.0, 70.0
GUTTER = 500.0
DRAWN = 1300.0
"""The side of a drawing in a cell, in hundredths of a millimetre."""


@dataclass(frozen=True)
class _Cell:
    """Words broken into lines, and a drawing before them."""

    lines: Lines
    drawing: Drawing | None = None

    @property
    def indent(self) -> float:
        return DRAWN + 120.0 if self.drawing is not None else 0.0

    @property
    def height(self) -> float:
        return max(self.lines.height, DRAWN if self.drawing is not None else 0.0)


@dataclass(frozen=True)
class _Setting:
    """How wide the columns of a table stand, and in which faces."""

    block: TableBlock
    width: float

    @property
    def widths(self) -> list[float]:
        total = sum(self.block.widths) or 1.0
        return [self.width * share / total for share in self.block.widths]

    def lefts(self, left: float) -> list[float]:
        widths = self.widths
        return [left + sum(widths[:i]) for i in range(len(widths))]

    def head(self) -> list[_Cell]:
        return self._cells(self.block.head, None) if self.block.head else []

    def rows(self) -> list[list[_Cell]]:
        return [self._cells(row, place) for place, row in enumerate(self.block.rows)]

    def cell(self, words: str, column: int) -> _Cell:
        """Words in the face and width of a column."""
        return _Cell(Lines(words, self._font(column, head=False), self.widths[column] - 2 * PAD_X))

    def _cells(self, row: Sequence[str], place: int | None) -> list[_Cell]:
        strong: dict[int, list[str]] = {}
        drawings: dict[int, Drawing] = {}
        if place is not None:
            for at, column, words in self.block.strong:
                if at == place:
                    strong.setdefault(column, []).append(words)
            drawings = {
                column: drawn
                for at, column, drawn in self.block.drawings
                if at == place and isinstance(drawn, Drawing)
            }
        cells = []
        for column, (words, wide) in enumerate(zip(row, self.widths, strict=False)):
            drawing = drawings.get(column)
            room = wide - 2 * PAD_X - (DRAWN + 120.0 if drawing is not None else 0.0)
            font = self._font(column, head=place is None)
            cells.append(_Cell(Lines(words, font, max(room, 300.0), strong=strong.get(column, ())), drawing))
        return cells

    def _font(self, column: int, *, head: bool) -> QFont:
        if head:
            if column in self.block.taxa_heads:
                return face(theme.SERIF, 9.5, bold=True, italic=True)
            return face(theme.SANS, 9.0, bold=True)
        if column in self.block.taxa:
            return face(theme.SERIF, 9.5, italic=True)
        return face(theme.SANS, 9.5, bold=column in self.block.emphasis)


def add_table(flow: Flow, block: TableBlock) -> None:
    """Lay a table out; nothing of it is left out."""
    if not block.rows:
        return
    if block.halves and _add_halves(flow, block):
        return
    setting = _Setting(block, flow.width)
    lefts = setting.lefts(flow.left)
    head = setting.head()
    head_height = _tall(head) if head else 0.0

    def put_head() -> None:
        if not head:
            return
        y = flow.y
        flow.put(partial(_head_row, box=QRectF(flow.left, y, flow.width, head_height)))
        for left, cell in zip(lefts, head, strict=False):
            flow.put(partial(cell.lines.paint, at=QPointF(left + PAD_X, y + PAD_Y)))
        flow.y += head_height

    rows = setting.rows()
    heights = [_tall(row) for row in rows]
    page_room = flow.bottom - flow.top - head_height
    first = heights[0] + (heights[1] if len(rows) == 2 else 0.0)
    flow.need(head_height + min(first, 4000.0))
    put_head()
    for place, row in enumerate(rows):
        wanted = heights[place]
        if place == len(rows) - 2 and wanted + heights[-1] <= page_room:
            wanted += heights[-1]  # the last row never stands alone on a page
        if wanted > flow.room and not (flow.fresh or heights[place] > page_room):
            flow.new_page()
            put_head()
        _row(flow, row, lefts, put_head)
    flow.y += 150


def _add_halves(flow: Flow, block: TableBlock) -> bool:
    """One half of the rows beside the other, page by page; False where a row is too tall for that."""
    setting = _Setting(replace(block, head=()), (flow.width - GUTTER) / 2)
    rows = setting.rows()
    heights = [_tall(row) for row in rows]
    if max(heights) > flow.tall / 2:
        return False
    start = 0
    flow.need(min(sum(heights) / 2 + max(heights), 3000.0))
    while start < len(rows):
        left_end = _half(heights, start, flow.room)
        right_end = _fitting(heights, left_end, flow.room)
        top = flow.y
        bottoms = []
        for column, (begin, end) in enumerate(((start, left_end), (left_end, right_end))):
            flow.y = top
            left = flow.left + column * (setting.width + GUTTER)
            for place in range(begin, end):
                row = rows[place]
                if place == begin and not block.rows[place][0]:
                    row = [_named_again(setting, block, place), *row[1:]]
                _whole_row(flow, row, setting.lefts(left), left + setting.width)
            bottoms.append(flow.y)
        flow.y = max(bottoms)
        start = right_end
        if start < len(rows):
            flow.new_page()
    flow.y += 150
    return True


def _named_again(setting: _Setting, block: TableBlock, place: int) -> _Cell:
    """The word that heads the rows above, said again where a column begins in the middle of them."""
    words = next((row[0] for row in reversed(block.rows[:place]) if row[0]), "")
    return setting.cell(words, 0)


def _half(heights: Sequence[float], start: int, room: float) -> int:
    """Where the left column ends: half of what is left, or as much as fits."""
    total, so_far = sum(heights[start:]), 0.0
    for place in range(start, len(heights)):
        if so_far + heights[place] > room and place > start:
            return place
        so_far += heights[place]
        if so_far >= total / 2:
            return place + 1
    return len(heights)


def _fitting(heights: Sequence[float], start: int, room: float) -> int:
    so_far = 0.0
    for place in range(start, len(heights)):
        so_far += heights[place]
        if so_far > room and place > start:
            return place
    return len(heights)


def _tall(row: Sequence[_Cell]) -> float:
    return max((cell.height for cell in row), default=0.0) + 2 * PAD_Y


def _whole_row(flow: Flow, row: Sequence[_Cell], lefts: Sequence[float], right: float) -> None:
    """One row that is not broken, with its rule."""
    for left, cell in zip(lefts, row, strict=False):
        _drawn(flow, cell, left)
        at = QPointF(left + PAD_X + cell.indent, flow.y + PAD_Y)
        flow.put(partial(cell.lines.paint, at=at))
    flow.y += _tall(row)
    flow.put(partial(rule, left=lefts[0], right=right, y=flow.y))


def _drawn(flow: Flow, cell: _Cell, left: float) -> None:
    if cell.drawing is not None:
        box = QRectF(left + PAD_X, flow.y + PAD_Y, DRAWN, DRAWN)
        flow.put(partial(paint_small_drawing, drawing=cell.drawing, box=box))


def _row(flow: Flow, row: list[_Cell], lefts: list[float], put_head: Callable[[], None]) -> None:
    """One row; a row taller than what is left of its page runs on below a repeated head."""
    if _tall(row) <= flow.room:
        _whole_row(flow, row, lefts, flow.left + flow.width)
        return
    firsts = [0] * len(row)
    for left, cell in zip(lefts, row, strict=False):
        _drawn(flow, cell, left)
    while True:
        room = flow.room - 2 * PAD_Y
        lasts = [cell.lines.fitting(first, room) for cell, first in zip(row, firsts, strict=True)]
        if lasts == firsts and any(f < len(c.lines.tops) for f, c in zip(firsts, row, strict=True)):
            if flow.fresh:
                lasts = [min(len(c.lines.tops), f + 1) for c, f in zip(row, firsts, strict=True)]
            else:
                flow.new_page()
                put_head()
                continue
        tall = 0.0
        for left, cell, first, last in zip(lefts, row, firsts, lasts, strict=False):
            if last > first:
                at = QPointF(left + PAD_X + cell.indent, flow.y + PAD_Y)
                flow.put(partial(cell.lines.paint, at=at, first=first, last=last))
                tall = max(tall, cell.lines.bottoms[last - 1] - cell.lines.tops[first])
        flow.y += tall + 2 * PAD_Y
        right = flow.left + flow.width
        flow.put(partial(rule, left=flow.left, right=right, y=flow.y))
        firsts = lasts
        if all(f >= len(c.lines.tops) for f, c in zip(firsts, row, strict=True)):
            return
        flow.new_page()
        put_head()


def _head_row(painter: QPainter, box: QRectF) -> None:
    painter.fillRect(box, QColor("#e9e7df"))
    rule(painter, box.left(), box.right(), box.bottom())
