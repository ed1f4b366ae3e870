"""Fills pages from the top, in hundredths of a millimetre."""

from __future__ import annotations

from collections.abc import Callable
from copy import copy

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from catalog_gui.domain.page import Paper
from catalog_gui.views import theme
from catalog_gui.views.outputs.lines import GREY, face

UNITS_PER_MM = 100.0
MARGIN_MM = 15.0
FOOT_MM = 8.0
_ENDLESS = 1e7
RULE = QColor("#8c897d")

Op = Callable[[QPainter], None]
"""Paints one thing at its place on its page."""


class Flow:
    """The pages of one paper while it is laid out. `y` is where the next thing begins."""

    def __init__(self, paper: Paper) -> None:
        self.left = MARGIN_MM * UNITS_PER_MM
        self.top = MARGIN_MM * UNITS_PER_MM
        self.width = paper.size_mm[0] * UNITS_PER_MM - 2 * self.left
        self.bottom = (paper.size_mm[1] - MARGIN_MM - FOOT_MM) * UNITS_PER_MM
        self.pages: list[list[Op]] = [[]]
        self.placed: set[int] = set()  # pages of the absolute kind: no foot unless wanted
        self.y = self.top

    def column(self, left: float, width: float) -> Flow:
        """A flow of its own from here down, as long as it likes: for blocks that stand beside others."""
        column = copy(self)
        column.left, column.width = left, width
        column.top, column.bottom = self.y, self.y + _ENDLESS
        column.pages, column.placed = [[]], set()
        return column

    @property
    def room(self) -> float:
        """What is left of the page."""
        return self.bottom - self.y

    @property
    def fresh(self) -> bool:
        """Whether nothing stands on the page yet."""
        return self.y <= self.top + 0.5

    @property
    def tall(self) -> float:
        """How much a whole page holds."""
        return self.bottom - self.top

    def new_page(self) -> None:
        """Go on at the top of another page."""
        self.pages.append([])
        self.y = self.top

    def put(self, op: Op) -> None:
        """Paint this on the present page."""
        self.pages[-1].append(op)

    def need(self, height: float) -> None:
        """Go on to another page unless so much fits on this one, or nothing stands on it."""
        if height > self.room and not self.fresh:
            self.new_page()

    def skip(self, height: float) -> None:
        """Leave white, but not at the top of a page."""
        if not self.fresh:
            self.y = min(self.bottom, self.y + height)


def foot(flow: Flow, words: str, number: int, total: int) -> Op:
    """The last line of a page: what it belongs to, and its number."""
    font = face(theme.SANS, 8.0)
    # Plain values only: an op that held on to the flow, which holds the ops, would keep every picture
    # of the paper until the next round of the garbage collector.
    left, right = flow.left, flow.left + flow.width
    y = flow.bottom + FOOT_MM * UNITS_PER_MM
    count = f"{number} of {total}"
    metrics = QFontMetricsF(font)
    wide = metrics.horizontalAdvance(count)
    words = metrics.elidedText(words, Qt.TextElideMode.ElideRight, right - left - wide - 400)

    def paint(painter: QPainter) -> None:
        painter.setFont(font)
        rule(painter, left, right, y - 420)
        painter.setPen(GREY)
        painter.drawText(QPointF(left, y), words)
        painter.drawText(QPointF(right - wide, y), count)

    return paint


def rule(painter: QPainter, left: float, right: float, y: float) -> None:
    """A thin line across."""
    painter.setPen(QPen(RULE, 12))
    painter.drawLine(QPointF(left, y), QPointF(right, y))
