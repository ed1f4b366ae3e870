"""Lays out the trail: cards in reading order, short ones side by side. Plain numbers only."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRect

GUTTER = 40  # left of a card, where the trail itself is drawn
WALK = 28  # above a card: the walk that led to it, and what is doubtful
HEAD = 30
GAP = 7
FOOT = 10
MARGIN = 8


@dataclass(frozen=True, slots=True)
class Card:
    """One group: `top` of its walk line, `head` of its title, `cells_top` of its pictures."""

    left: int
    width: int
    top: int
    head: int
    cells_top: int
    columns: int
    bottom: int
    line: int

    @property
    def box(self) -> QRect:
        """The card itself, without the walk above it."""
        return QRect(self.left - 8, self.head - 2, self.width + 12, self.bottom - self.head - 4)

    @property
    def walk(self) -> QRect:
        """The line above the card."""
        return QRect(self.left, self.top, self.width, WALK - 4)


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """All cards, and the lines they stand on: (first card, last card + 1) with the top of each."""

    cards: tuple[Card, ...]
    counts: tuple[int, ...]
    lines: tuple[tuple[int, int], ...]
    tops: tuple[int, ...]
    height: int
    edge: int
    cell_height: int

    def cell(self, row: int, column: int) -> QRect:
        """The place of a picture."""
        card = self.cards[row]
        line, across = divmod(column, card.columns)
        return QRect(
            card.left + across * (self.edge + GAP),
            card.cells_top + line * (self.cell_height + GAP),
            self.edge,
            self.cell_height,
        )

    def seen(self, top: int, bottom: int) -> range:
        """The cards of the lines between two heights."""
        if not self.lines:
            return range(0)
        first = max(0, bisect_right(self.tops, top) - 1)
        last = max(0, bisect_right(self.tops, bottom) - 1)
        return range(self.lines[first][0], self.lines[last][1])

    def card_at(self, x: int, y: int) -> int:
        """The card under a point, or -1 (the walk above a card is none)."""
        for row in self.seen(y, y):
            if self.cards[row].box.contains(x, y):
                return row
        return -1

    def walk_at(self, x: int, y: int) -> int:
        """The card whose walk line is under a point, or -1."""
        for row in self.seen(y, y):
            if self.cards[row].walk.contains(x, y):
                return row
        return -1

    def picture_at(self, x: int, y: int) -> tuple[int, int] | None:
        """Card and column of the picture under a point."""
        row = self.card_at(x, y)
        if row < 0:
            return None
        card = self.cards[row]
        line = (y - card.cells_top) // (self.cell_height + GAP)
        across = (x - card.left) // (self.edge + GAP)
        column = line * card.columns + across
        if 0 <= across < card.columns and line >= 0 and column < self.counts[row]:
            return (row, column) if self.cell(row, column).contains(x, y) else None
        return None

    def beneath(self, row: int, column: int) -> tuple[int, int] | None:
        """The picture below one: on its own card, or the nearest on the next line."""
        card = self.cards[row]
        if column + card.columns < self.counts[row]:
            return row, column + card.columns
        if column // card.columns < (self.counts[row] - 1) // card.columns:
            return row, self.counts[row] - 1
        if card.line + 1 >= len(self.lines):
            return None
        return self._nearest(card.line + 1, self.cell(row, column).center().x(), last=False)

    def above(self, row: int, column: int) -> tuple[int, int] | None:
        """The picture above one."""
        card = self.cards[row]
        if column >= card.columns:
            return row, column - card.columns
        if card.line == 0:
            return None
        return self._nearest(card.line - 1, self.cell(row, column).center().x(), last=True)

    def _nearest(self, line: int, x: int, *, last: bool) -> tuple[int, int]:
        first, end = self.lines[line]
        row = min(
            range(first, end),
            key=lambda r: max(self.cards[r].left - x, x - self.cards[r].left - self.cards[r].width, 0),
        )
        card, count = self.cards[row], self.counts[row]
        start = (count - 1) // card.columns * card.columns if last else 0
        across = max(0, min(card.columns - 1, (x - card.left) // (self.edge + GAP)))
        return row, min(start + across, count - 1)


def lay_out(counts: Sequence[int], width: int, edge: int) -> Layout:
    """Cards for groups of so many pictures, in a width of so many px, the pictures `edge` px wide.

    The width is cut into as many columns as leave room for a title and a few pictures; a card takes as
    many columns as its pictures need, and goes to the next line where it does not fit beside the last.
    """
    width = max(220, width)
    cell_height = round(edge * 0.78)  # most pictures lie on their side: a square would be a quarter air
    least = GUTTER + (3 if edge <= 150 else 2) * (edge + GAP) + 4
    columns = max(1, width // max(400, least))
    column_width = (width - MARGIN) // columns
    cards: list[Card] = []
    lines: list[tuple[int, int]] = []
    tops: list[int] = []
    y, at = 4, 0
    bottom = y
    for row, count in enumerate(counts):
        needed = GUTTER + count * (edge + GAP) + MARGIN
        spans = min(columns, max(1, -(-needed // column_width)))
        if row == 0 or at + spans > columns:
            if row:
                y = bottom
            lines.append((row, row + 1))
            tops.append(y)
            at, bottom = 0, y
        left = at * column_width + GUTTER
        inner = spans * column_width - GUTTER - MARGIN
        across = max(1, (inner + GAP) // (edge + GAP))
        cells_top = y + WALK + HEAD
        down = -(-count // across)
        ends = cells_top + down * (cell_height + GAP) + FOOT
        cards.append(Card(left, inner, y, y + WALK, cells_top, across, ends, len(lines) - 1))
        lines[-1] = (lines[-1][0], row + 1)
        bottom = max(bottom, ends)
        at += spans
    return Layout(tuple(cards), tuple(counts), tuple(lines), tuple(tops), bottom + 10, edge, cell_height)
