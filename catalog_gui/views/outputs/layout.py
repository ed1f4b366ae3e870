"""Lays a paper out on pages, in hundredths of a millimetre, the same for the screen and for a PDF.

Runs in any thread: it uses fonts, text layouts and images only.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFont,
    QFontMetricsF,
    QPainter,
    QPen,
)

from catalog_gui.domain.page import (
    Block,
    DrawingBlock,
    DrawingRow,
    Gap,
    HazardBlock,
    PageBreak,
    Paper,
    PictureBlock,
    PictureRow,
    PlacedPage,
    PlanBlock,
    TableBlock,
    Text,
    Weight,
)
from catalog_gui.drawing.shapes import Drawing
from catalog_gui.lookalikes.reference import Severity
from catalog_gui.views import theme
from catalog_gui.views.outputs.lines import GREY, INK, Lines, face, for_paper
from catalog_gui.views.outputs.panels import paint_panel, shown_height
from catalog_gui.views.outputs.placed import paint_placed
from catalog_gui.views.outputs.plan import paint_plan
from catalog_gui.views.widgets.drawing_painter import paint_drawing
from catalog_gui.views.widgets.signs import SIGNAL_WORDS, paint_hazard

UNITS_PER_MM = 100.0
MARGIN_MM = 15.0
FOOT_MM = 8.0
RULE = QColor("#8c897d")

Op = Callable[[QPainter], None]

_LOOK: dict[Weight, tuple[str, float, bool, bool]] = {
    Weight.TITLE: (theme.SERIF, 20.0, True, False),
    Weight.HEADING: (theme.SERIF, 13.5, True, False),
    Weight.PLAIN: (theme.SANS, 10.0, False, False),
    Weight.SMALL: (theme.SANS, 8.5, False, False),
    Weight.TAXON: (theme.SERIF, 14.0, False, True),
    Weight.CAUTION: (theme.SANS, 10.0, True, False),
}


@dataclass
class Laid:
    """A paper on its pages: what to paint on each, in hundredths of a millimetre."""

    size_mm: tuple[float, float]
    pages: list[list[Op]] = field(default_factory=list)

    def paint(self, painter: QPainter, number: int) -> None:
        """Paint page `number` (0 first) on a painter scaled to hundredths of a millimetre."""
        painter.save()
        painter.setRenderHints(
            QPainter.RenderHint.Antialiasing
            | QPainter.RenderHint.TextAntialiasing
            | QPainter.RenderHint.SmoothPixmapTransform
        )
        for op in self.pages[number]:
            painter.save()
            op(painter)
            painter.restore()
        painter.restore()


def lay_out(paper: Paper) -> Laid:
    """Every page of a paper. Nothing is left out; what is too long runs on."""
    flow = _Flow(paper)
    for index, block in enumerate(paper.blocks):
        flow.add(block, paper.blocks[index + 1] if index + 1 < len(paper.blocks) else None)
    return flow.finished()


class _Flow:
    def __init__(self, paper: Paper) -> None:
        self._paper = paper
        self._left = MARGIN_MM * UNITS_PER_MM
        self._top = MARGIN_MM * UNITS_PER_MM
        self._width = paper.size_mm[0] * UNITS_PER_MM - 2 * self._left
        self._bottom = (paper.size_mm[1] - MARGIN_MM - FOOT_MM) * UNITS_PER_MM
        self._pages: list[list[Op]] = [[]]
        self._placed: set[int] = set()  # pages of the absolute kind: no foot unless wanted
        self._y = self._top

    # -- where it stands -------------------------------------------------------------------------
    @property
    def _room(self) -> float:
        return self._bottom - self._y

    @property
    def _fresh(self) -> bool:
        return self._y <= self._top + 0.5

    def _new_page(self) -> None:
        self._pages.append([])
        self._y = self._top

    def _put(self, op: Op) -> None:
        self._pages[-1].append(op)

    def _need(self, height: float) -> None:
        if height > self._room and not self._fresh:
            self._new_page()

    # -- blocks ----------------------------------------------------------------------------------
    def add(self, block: Block, following: Block | None) -> None:
        match block:
            case Text(weight=Weight.CAUTION):
                self._caution(block.words)
            case Text():
                self._text(block, following)
            case Gap():
                self._y = min(self._bottom, self._y + block.mm * UNITS_PER_MM) if not self._fresh else self._y
            case TableBlock():
                self._table(block)
            case PictureRow():
                self._pictures(block)
            case DrawingBlock():
                self._drawing(block)
            case DrawingRow():
                self._drawings(block)
            case HazardBlock():
                self._hazard(block)
            case PlanBlock():
                self._plan(block)
            case PageBreak():
                if not self._fresh:
                    self._new_page()
            case PlacedPage():
                self._page(block)

    def finished(self) -> Laid:
        pages = self._pages
        if len(pages) > 1 and not pages[-1]:
            pages = pages[:-1]
        for number, page in enumerate(pages):
            if number not in self._placed:
                page.append(self._foot(number + 1, len(pages)))
        return Laid(self._paper.size_mm, pages)

    def _foot(self, number: int, total: int) -> Op:
        font = face(theme.SANS, 8.0)
        # Plain values only: an op that held on to this object, which holds the ops, would keep every picture
        # of the paper until the next round of the garbage collector.
        left, right = self._left, self._left + self._width
        y = (self._paper.size_mm[1] - MARGIN_MM) * UNITS_PER_MM
        count = f"{number} of {total}"
        metrics = QFontMetricsF(font)
        wide = metrics.horizontalAdvance(count)
        words = metrics.elidedText(self._paper.foot, Qt.TextElideMode.ElideRight, right - left - wide - 400)

        def paint(painter: QPainter) -> None:
            painter.setFont(font)
            _rule(painter, left, right, y - 420)
            painter.setPen(GREY)
            painter.drawText(QPointF(left, y), words)
            painter.drawText(QPointF(right - wide, y), count)

        return paint

    def _text(self, block: Text, following: Block | None) -> None:
        family, points, bold, italic = _LOOK[block.weight]
        heading = block.weight in (Weight.TITLE, Weight.HEADING)
        font = face(family, points, bold=bold, italic=italic)
        lines = Lines(block.words, font, self._width, bold_first=block.weight is Weight.PLAIN)
        if block.weight is Weight.HEADING and not self._fresh:
            self._y += 260
        if heading:  # never the last thing on a page
            self._need(lines.height + _least(following))
        first = 0
        while first < len(lines.tops):
            last = lines.fitting(first, self._room)
            if last == first:
                if self._fresh:
                    last = first + 1
                else:
                    self._new_page()
                    continue
            at, colour = QPointF(self._left, self._y), GREY if block.weight is Weight.SMALL else INK
            self._put(partial(lines.paint, at=at, first=first, last=last, colour=colour))
            self._y += lines.bottoms[last - 1] - lines.tops[first]
            first = last
            if first < len(lines.tops):
                self._new_page()
        self._y += 60 if heading else 90

    def _caution(self, words: str) -> None:
        points, pad = 10.0, 260.0
        full = self._bottom - self._top
        while True:
            font = face(theme.SANS, points, bold=True)
            lines = Lines(words, font, self._width - 2 * pad - 900)
            height = max(lines.height + 2 * pad, 1100.0)
            if height <= full or points < 5.0:
                break
            points -= 0.5
        self._y += 60
        self._need(height)
        box = QRectF(self._left, self._y, self._width, height)

        def paint(painter: QPainter) -> None:
            painter.setPen(QPen(INK, 50))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(box.adjusted(25, 25, -25, -25))
            paint_hazard(painter, QRectF(box.left() + 200, box.top() + 220, 760, 700), INK.name())
            lines.paint(painter, QPointF(box.left() + pad + 900, box.top() + pad))

        self._put(paint)
        self._y += height + 160

    def _hazard(self, block: HazardBlock) -> None:
        severity = Severity(block.severity)
        band, pad = 760.0, 200.0
        font = face(theme.SANS, 9.5)
        parts = [Lines(line, font, self._width - 2 * pad, bold_first=True) for line in block.lines]
        first_height = parts[0].height if parts else 0.0
        self._y += 60
        self._need(band + min(first_height, 3000.0) + 2 * pad)
        head = block.head
        queue = [(part, 0) for part in parts]
        while True:
            start = self._y
            self._put(self._band(severity, head, QRectF(self._left, start, self._width, band)))
            self._y += band + pad * 0.7
            queue = self._hazard_lines(queue, pad)
            self._y += pad * 0.4
            frame = QRectF(self._left, start, self._width, self._y - start)
            self._put(partial(_frame, box=frame))
            if not queue:
                break
            self._new_page()
            head = f"{block.head} (continued)"
        self._y += 140

    def _hazard_lines(self, queue: list[tuple[Lines, int]], pad: float) -> list[tuple[Lines, int]]:
        while queue:
            part, first = queue[0]
            last = part.fitting(first, self._room - pad)
            if last == first:
                return queue
            at = QPointF(self._left + pad, self._y)
            self._put(partial(part.paint, at=at, first=first, last=last))
            self._y += part.bottoms[last - 1] - part.tops[first] + 50
            if last < len(part.tops):
                return [(part, last), *queue[1:]]
            queue = queue[1:]
        return []

    def _band(self, severity: Severity, head: str, box: QRectF) -> Op:
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

    def _pictures(self, row: PictureRow) -> None:
        count = len(row.pictures)
        if count == 0:
            return
        gap = 250.0
        width = (self._width - gap * (count - 1)) / count
        font = face(theme.SANS, 8.5)
        captions = [Lines("" if isinstance(p, str) else p.caption, font, width) for p in row.pictures]
        below = max(caption.height for caption in captions)
        most = min(row.mm * UNITS_PER_MM, self._bottom - self._top - below - 200)
        tall = max(
            (shown_height(width, most, p) for p in row.pictures if not isinstance(p, str)), default=0.0
        )
        tall = max(tall, min(most, 2400.0))
        self._need(tall + below + 150)
        y = self._y
        for place, (picture, caption) in enumerate(zip(row.pictures, captions, strict=True)):
            x = self._left + place * (width + gap)
            box = QRectF(x, y, width, tall)
            if picture == "":
                continue
            if isinstance(picture, str):
                self._put(_empty_panel(box, Lines(picture, font, width - 400)))
            else:
                self._put(partial(paint_panel, box=box, picture=picture))
                at = QPointF(x, y + tall + 80)
                self._put(partial(caption.paint, at=at, colour=GREY))
        self._y += tall + below + 250

    def _drawing(self, block: DrawingBlock) -> None:
        if not isinstance(block.drawing, Drawing):
            return
        drawing = block.drawing
        height = min(block.mm * UNITS_PER_MM, self._bottom - self._top)
        self._need(height)
        width = min(self._width * 0.45, height)
        box = QRectF(self._left, self._y, width, height)
        lines = Lines(block.words, face(theme.SANS, 8.5), self._width - width - 500)
        at = QPointF(self._left + width + 500, self._y + max(0.0, (height - lines.height) / 2))

        self._put(partial(_paint_drawing, drawing=drawing, box=box))
        self._put(partial(lines.paint, at=at, colour=GREY))
        self._y += height + 150

    def _drawings(self, row: DrawingRow) -> None:
        count = max(1, len(row.columns))
        gap = 300.0
        width = (self._width - gap * (count - 1)) / count
        heads = [Lines(head, face(theme.SERIF, 11.0, italic=True), width) for _, head, _ in row.columns]
        belows = [Lines(below, face(theme.SANS, 8.5), width) for _, _, below in row.columns]
        name_height = max((lines.height for lines in heads), default=0.0)
        text = name_height + max((lines.height for lines in belows), default=0.0) + 150
        tall = min(row.mm * UNITS_PER_MM, self._bottom - self._top - text)
        self._need(tall + text)
        for place, (what, _, _) in enumerate(row.columns):
            x = self._left + place * (width + gap)
            box = QRectF(x, self._y, width, tall)
            if isinstance(what, PictureBlock):
                self._put(partial(paint_panel, box=box, picture=what))
            elif isinstance(what, Drawing):
                self._put(partial(_paint_drawing, drawing=what, box=box))
            y = self._y + tall + 100
            self._put(partial(heads[place].paint, at=QPointF(x, y)))
            self._put(partial(belows[place].paint, at=QPointF(x, y + name_height), colour=GREY))
        self._y += tall + text + 150

    def _plan(self, block: PlanBlock) -> None:
        height = min(block.mm * UNITS_PER_MM, self._bottom - self._top)
        self._need(height)
        self._put(partial(paint_plan, box=QRectF(self._left, self._y, self._width, height), plan=block))
        self._y += height + 200

    def _table(self, block: TableBlock) -> None:
        pad_x, pad_y = 110.0, 70.0
        total = sum(block.widths) or 1.0
        widths = [self._width * share / total for share in block.widths]
        lefts = [self._left + sum(widths[:i]) for i in range(len(widths))]
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
            y = self._y
            self._put(partial(_head_row, box=QRectF(self._left, y, self._width, head_height)))
            for left, cell in zip(lefts, head, strict=False):
                at = QPointF(left + pad_x, y + pad_y)
                self._put(partial(cell.paint, at=at))
            self._y += head_height

        rows = [cells(row, head=False) for row in block.rows]
        if not rows:
            return
        first_height = max((c.height for c in rows[0]), default=0.0) + 2 * pad_y
        self._need(head_height + min(first_height, 4000.0))
        put_head()
        for row in rows:
            height = max((c.height for c in row), default=0.0)
            page_room = self._bottom - self._top - head_height - 2 * pad_y
            if height + 2 * pad_y > self._room and not (self._fresh or height > page_room):
                self._new_page()
                put_head()
            self._row(row, lefts, pad_x, pad_y, put_head)
        self._y += 150

    def _row(
        self, row: list[Lines], lefts: list[float], pad_x: float, pad_y: float, put_head: Callable[[], None]
    ) -> None:
        """One row; a row taller than what is left of its page runs on below a repeated head."""
        firsts = [0] * len(row)
        while True:
            room = self._room - 2 * pad_y
            lasts = [cell.fitting(first, room) for cell, first in zip(row, firsts, strict=True)]
            if lasts == firsts and any(f < len(c.tops) for f, c in zip(firsts, row, strict=True)):
                if self._fresh:
                    lasts = [min(len(c.tops), f + 1) for c, f in zip(row, firsts, strict=True)]
                else:
                    self._new_page()
                    put_head()
                    continue
            tall = 0.0
            for left, cell, first, last in zip(lefts, row, firsts, lasts, strict=False):
                if last > first:
                    at = QPointF(left + pad_x, self._y + pad_y)
                    self._put(partial(cell.paint, at=at, first=first, last=last))
                    tall = max(tall, cell.bottoms[last - 1] - cell.tops[first])
            self._y += tall + 2 * pad_y
            right = self._left + self._width
            self._put(partial(_rule, left=self._left, right=right, y=self._y))
            firsts = lasts
            if all(f >= len(c.tops) for f, c in zip(firsts, row, strict=True)):
                return
            self._new_page()
            put_head()

    def _page(self, block: PlacedPage) -> None:
        if not self._fresh or self._pages[-1]:
            self._new_page()
        if not block.foot:
            self._placed.add(len(self._pages) - 1)
        for item in block.items:
            self._put(partial(paint_placed, item=item))
        self._y = self._bottom


def _paint_drawing(painter: QPainter, drawing: Drawing, box: QRectF) -> None:
    # The painter of drawings sizes its words in pixels: it works on a coarser grid.
    painter.translate(box.topLeft())
    painter.scale(20, 20)
    painter.setFont(for_paper(QFont(theme.SANS)))
    paint_drawing(painter, drawing, QRectF(0, 0, box.width() / 20, box.height() / 20), ink=INK, finest=0.6)


def _least(following: Block | None) -> float:
    """How much of what follows has to stand on the same page as its heading."""
    match following:
        case PlanBlock():
            return following.mm * UNITS_PER_MM
        case PictureRow():
            return following.mm * UNITS_PER_MM + 500
        case DrawingBlock():
            return following.mm * UNITS_PER_MM
        case None:
            return 0.0
        case _:
            return 1800.0


def _frame(painter: QPainter, box: QRectF) -> None:
    painter.setPen(QPen(INK, 40))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(box)


def _head_row(painter: QPainter, box: QRectF) -> None:
    painter.fillRect(box, QColor("#e9e7df"))
    _rule(painter, box.left(), box.right(), box.bottom())


def _rule(painter: QPainter, left: float, right: float, y: float) -> None:
    painter.setPen(QPen(RULE, 12))
    painter.drawLine(QPointF(left, y), QPointF(right, y))


def _empty_panel(box: QRectF, lines: Lines) -> Op:
    def paint(painter: QPainter) -> None:
        pen = QPen(RULE, 30, Qt.PenStyle.DashLine)
        painter.setPen(pen)
        painter.setBrush(QBrush(QColor("#f6f5f0")))
        painter.drawRect(box)
        lines.paint(
            painter, QPointF(box.left() + 200, box.top() + max(200.0, (box.height() - lines.height) / 2))
        )

    return paint
