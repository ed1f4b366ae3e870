"""Lays a paper out on pages, in hundredths of a millimetre, the same for the screen and for a PDF.

Runs in any thread: it uses fonts, text layouts and images only.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import partial

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QPainter,
    QPen,
)

from catalog_gui.domain.page import (
    Beside,
    BlankLines,
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
from catalog_gui.views import theme
from catalog_gui.views.outputs.boxes import add_blank_lines, add_caution, add_hazard
from catalog_gui.views.outputs.flow import RULE, UNITS_PER_MM, Flow, Op, foot
from catalog_gui.views.outputs.lines import GREY, INK, Lines, face
from catalog_gui.views.outputs.panels import paint_panel, paint_small_drawing, shown_height
from catalog_gui.views.outputs.placed import paint_placed
from catalog_gui.views.outputs.plan import paint_plan
from catalog_gui.views.outputs.tables import add_table

_LOOK: dict[Weight, tuple[str, float, bool, bool]] = {
    Weight.TITLE: (theme.SERIF, 20.0, True, False),
    Weight.HEADING: (theme.SERIF, 13.5, True, False),
    Weight.PLAIN: (theme.SANS, 10.0, False, False),
    Weight.SMALL: (theme.SANS, 8.5, False, False),
    Weight.FINE: (theme.SANS, 7.5, False, False),
    Weight.TAXON: (theme.SERIF, 14.0, False, True),
    Weight.CAUTION: (theme.SANS, 10.0, True, False),
}


_STEP = 0.04
"""By how much a paper that must not take more sides is set smaller at a time."""


@dataclass
class Laid:
    """A paper on its pages: what to paint on each, in hundredths of a millimetre, `shrink` times too large."""

    size_mm: tuple[float, float]
    pages: list[list[Op]] = field(default_factory=list)
    shrink: float = 1.0

    def paint(self, painter: QPainter, number: int) -> None:
        """Paint page `number` (0 first) on a painter scaled to hundredths of a millimetre."""
        painter.save()
        painter.scale(1 / self.shrink, 1 / self.shrink)
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
    """Every page of a paper. Nothing is left out; what is too long runs on, or is set smaller where sides are few."""
    whole = _laid(paper, 1.0)
    if not paper.most_sides or len(whole.pages) <= paper.most_sides:
        return whole
    shrink = 1.0 + _STEP
    while shrink * paper.smallest <= 1.0:
        laid = _laid(paper, shrink)
        if len(laid.pages) <= paper.most_sides:
            return laid
        shrink += _STEP
    return whole


def _laid(paper: Paper, shrink: float) -> Laid:
    """The pages, laid out on a sheet so many times as large and painted so many times smaller."""
    wide, tall = paper.size_mm
    flow = Flow(replace(paper, size_mm=(wide * shrink, tall * shrink)))
    _Layout(flow).add_all(paper.blocks)
    pages = flow.pages
    if len(pages) > 1 and not pages[-1]:
        pages = pages[:-1]
    for number, page in enumerate(pages):
        if number not in flow.placed:
            page.append(foot(flow, paper.foot, number + 1, len(pages)))
    return Laid(paper.size_mm, pages, shrink)


class _Layout:
    def __init__(self, flow: Flow) -> None:
        self._flow = flow

    def add_all(self, blocks: Sequence[Block]) -> None:
        for index, block in enumerate(blocks):
            self.add(block, blocks[index + 1] if index + 1 < len(blocks) else None)

    def add(self, block: Block, following: Block | None) -> None:
        match block:
            case Text(weight=Weight.CAUTION):
                add_caution(self._flow, block.words)
            case Text():
                self._text(block, following)
            case Gap():
                self._flow.skip(block.mm * UNITS_PER_MM)
            case TableBlock():
                add_table(self._flow, block)
            case PictureRow():
                self._pictures(block)
            case DrawingBlock():
                self._drawing(block)
            case DrawingRow():
                self._drawings(block)
            case HazardBlock():
                add_hazard(self._flow, block)
            case BlankLines():
                add_blank_lines(self._flow, block)
            case Beside():
                self._beside(block)
            case PlanBlock():
                self._plan(block)
            case PageBreak():
                if not self._flow.fresh:
                    self._flow.new_page()
            case PlacedPage():
                self._page(block)

    def _text(self, block: Text, following: Block | None) -> None:
        family, points, bold, italic = _LOOK[block.weight]
        heading = block.weight in (Weight.TITLE, Weight.HEADING)
        font = face(family, points, bold=bold, italic=italic)
        bold_first = block.weight in (Weight.PLAIN, Weight.FINE)
        lines = Lines(block.words, font, self._flow.width, bold_first=bold_first)
        if block.weight is Weight.HEADING and not self._flow.fresh:
            self._flow.y += 260
        if heading:  # never the last thing on a page
            self._flow.need(lines.height + _least(following))
        first = 0
        while first < len(lines.tops):
            last = lines.fitting(first, self._flow.room)
            if last == first:
                if self._flow.fresh:
                    last = first + 1
                else:
                    self._flow.new_page()
                    continue
            at = QPointF(self._flow.left, self._flow.y)
            colour = GREY if block.weight in (Weight.SMALL, Weight.FINE) else INK
            self._flow.put(partial(lines.paint, at=at, first=first, last=last, colour=colour))
            self._flow.y += lines.bottoms[last - 1] - lines.tops[first]
            first = last
            if first < len(lines.tops):
                self._flow.new_page()
        self._flow.y += 60 if heading else 50 if block.weight is Weight.FINE else 90

    def _beside(self, block: Beside) -> None:
        """Two columns on one page; below each other where they are too tall for any page."""
        flow, gap = self._flow, 500.0
        if not block.left or not block.right:
            self.add_all(block.left or block.right)
            return
        wide = (flow.width - gap) * block.share
        sides = (
            (block.left, flow.left, wide),
            (block.right, flow.left + wide + gap, flow.width - wide - gap),
        )
        tall = 0.0
        for blocks, left, width in sides:
            dry = flow.column(left, width)
            _Layout(dry).add_all(blocks)
            tall = max(tall, dry.y - dry.top)
        if tall > flow.tall:
            self.add_all((*block.left, *block.right))
            return
        flow.need(tall)
        for blocks, left, width in sides:
            column = flow.column(left, width)
            _Layout(column).add_all(blocks)
            flow.pages[-1].extend(column.pages[-1])
        flow.y += tall

    def _pictures(self, row: PictureRow) -> None:
        count = len(row.pictures)
        if count == 0:
            return
        gap = 250.0
        width = (self._flow.width - gap * (count - 1)) / count
        font = face(theme.SANS, 8.5)
        captions = [Lines("" if isinstance(p, str) else p.caption, font, width) for p in row.pictures]
        below = max(caption.height for caption in captions)
        most = min(row.mm * UNITS_PER_MM, self._flow.tall - below - 200)
        tall = max(
            (shown_height(width, most, p) for p in row.pictures if not isinstance(p, str)), default=0.0
        )
        tall = max(tall, min(most, 2400.0))
        self._flow.need(tall + below + 150)
        y = self._flow.y
        for place, (picture, caption) in enumerate(zip(row.pictures, captions, strict=True)):
            x = self._flow.left + place * (width + gap)
            box = QRectF(x, y, width, tall)
            if picture == "":
                continue
            if isinstance(picture, str):
                self._flow.put(_empty_panel(box, Lines(picture, font, width - 400)))
            else:
                self._flow.put(partial(paint_panel, box=box, picture=picture))
                at = QPointF(x, y + tall + 80)
                self._flow.put(partial(caption.paint, at=at, colour=GREY))
        self._flow.y += tall + below + 250

    def _drawing(self, block: DrawingBlock) -> None:
        if not isinstance(block.drawing, Drawing):
            return
        drawing = block.drawing
        height = min(block.mm * UNITS_PER_MM, self._flow.tall)
        self._flow.need(height)
        width = min(self._flow.width * 0.45, height)
        box = QRectF(self._flow.left, self._flow.y, width, height)
        lines = Lines(block.words, face(theme.SANS, 8.5), self._flow.width - width - 500)
        at = QPointF(self._flow.left + width + 500, self._flow.y + max(0.0, (height - lines.height) / 2))

        self._flow.put(partial(paint_small_drawing, drawing=drawing, box=box))
        self._flow.put(partial(lines.paint, at=at, colour=GREY))
        self._flow.y += height + 150

    def _drawings(self, row: DrawingRow) -> None:
        count = max(1, len(row.columns))
        gap = 300.0
        width = (self._flow.width - gap * (count - 1)) / count
        heads = [Lines(head, face(theme.SERIF, 11.0, italic=True), width) for _, head, _ in row.columns]
        belows = [Lines(below, face(theme.SANS, 8.5), width) for _, _, below in row.columns]
        name_height = max((lines.height for lines in heads), default=0.0)
        text = name_height + max((lines.height for lines in belows), default=0.0) + 150
        tall = min(row.mm * UNITS_PER_MM, self._flow.tall - text)
        self._flow.need(tall + text)
        for place, (what, _, _) in enumerate(row.columns):
            x = self._flow.left + place * (width + gap)
            box = QRectF(x, self._flow.y, width, tall)
            if isinstance(what, PictureBlock):
                self._flow.put(partial(paint_panel, box=box, picture=what))
            elif isinstance(what, Drawing):
                self._flow.put(partial(paint_small_drawing, drawing=what, box=box))
            y = self._flow.y + tall + 100
            self._flow.put(partial(heads[place].paint, at=QPointF(x, y)))
            self._flow.put(partial(belows[place].paint, at=QPointF(x, y + name_height), colour=GREY))
        self._flow.y += tall + text + 150

    def _plan(self, block: PlanBlock) -> None:
        height = min(block.mm * UNITS_PER_MM, self._flow.tall)
        self._flow.need(height)
        self._flow.put(
            partial(
                paint_plan, box=QRectF(self._flow.left, self._flow.y, self._flow.width, height), plan=block
            )
        )
        self._flow.y += height + 200

    def _page(self, block: PlacedPage) -> None:
        if not self._flow.fresh or self._flow.pages[-1]:
            self._flow.new_page()
        if not block.foot:
            self._flow.placed.add(len(self._flow.pages) - 1)
        for item in block.items:
            self._flow.put(partial(paint_placed, item=item))
        self._flow.y = self._flow.bottom


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
