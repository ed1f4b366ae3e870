"""The paper of the plan: everything on it that stays while groups are chosen, painted once for a view.

Its cost is bounded by the size of the paper, not by the number of pictures: fixes are set as pixels,
walks are thinned to what can be told apart, and stones that would cover each other become dots.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QImage, QPainter, QPen, QPixmap, QPolygonF

from catalog_gui.views import theme
from catalog_gui.views.sort.state import PlanFacts, Spots, Stone
from catalog_gui.views.words import metres

ROUND_LENGTHS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000, 50000)
CROWDED_PX = 15.0
MANY = 120
CROWDED_MANY_PX = 32.0
"""Beyond `MANY` stones in sight one in each square of so many px keeps its number."""


@dataclass(frozen=True, slots=True)
class View:
    """Which part of the plane is seen: `scale` in px per m, `middle` in m, `ratio` device px per px."""

    width: int
    height: int
    scale: float
    middle: tuple[float, float]
    ratio: float = 1.0

    def at(self, x: float, y: float) -> QPointF:
        """Where a point of the plane stands on the paper, in px."""
        return QPointF(
            self.width / 2 + (x - self.middle[0]) * self.scale,
            self.height / 2 - 8 - (y - self.middle[1]) * self.scale,
        )

    def all_at(self, spots: Spots) -> Spots:
        """The same for many, n x 2."""
        across = self.width / 2 + (spots[:, 0] - self.middle[0]) * self.scale
        down = self.height / 2 - 8 - (spots[:, 1] - self.middle[1]) * self.scale
        return np.column_stack((across, down))


def paper(view: View, facts: PlanFacts, notes: str, font: QFont) -> QPixmap:
    """Grid, walk, fixes, stones, scale bar and north."""
    t = theme.tones()
    made = QPixmap(max(1, round(view.width * view.ratio)), max(1, round(view.height * view.ratio)))
    made.setDevicePixelRatio(view.ratio)
    made.fill(QColor(t.sheet))
    painter = QPainter(made)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setFont(font)
    whole = QRectF(0, 0, view.width, view.height)
    if facts.stones or len(facts.fixes):
        length = _bar_length(view)
        _paint_grid(painter, view, length)
        _paint_walk(painter, view, facts)
        _paint_fixes(painter, view, facts.fixes)
        _paint_stones(painter, view, facts.stones)
        _paint_furniture(painter, view, length, notes)
    else:
        painter.setPen(QColor(t.faded))
        painter.drawText(
            whole.adjusted(16, 16, -16, -16),
            int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap),
            "No place is known yet. A phone's fixes or a GPX track would give one.",
        )
    painter.setPen(QPen(QColor(t.line), 1))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(whole.adjusted(0.5, 0.5, -0.5, -0.5))
    painter.end()
    return made


def paint_chosen(painter: QPainter, view: View, stone: Stone) -> None:
    """The stone of the chosen group, with its uncertainty, above all others."""
    t = theme.tones()
    _paint_haze(painter, view, stone, QColor(t.moss), 60)
    _paint_stone(painter, view, stone, 11, QPen(QColor(t.ink), 2))


def _paint_grid(painter: QPainter, view: View, length: float) -> None:
    faint = QColor(theme.tones().line)
    faint.setAlpha(130)
    painter.setPen(QPen(faint, 1))
    left = view.middle[0] - view.width / 2 / view.scale
    low = view.middle[1] - view.height / 2 / view.scale
    x = math.floor(left / length) * length
    while (px := view.at(x, 0).x()) < view.width:
        painter.drawLine(QPointF(px, 0), QPointF(px, view.height))
        x += length
    y = math.floor(low / length) * length
    while (py := view.at(0, y).y()) > 0:
        painter.drawLine(QPointF(0, py), QPointF(view.width, py))
        y += length


def _paint_walk(painter: QPainter, view: View, facts: PlanFacts) -> None:
    """The tracks; without any, a dotted line from stone to stone."""
    edge = QColor(theme.tones().edge)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if facts.walks:
        painter.setPen(QPen(edge, 1.4, Qt.PenStyle.DashLine))
        for walk in facts.walks:
            painter.drawPolyline(_thinned(view.all_at(walk)))
    elif len(facts.stones) > 1:
        pen = QPen(edge, 2, Qt.PenStyle.CustomDashLine, Qt.PenCapStyle.RoundCap)
        pen.setDashPattern([0.1, 3.5])
        painter.setPen(pen)
        spots = np.array([(stone.x, stone.y) for stone in facts.stones])
        painter.drawPolyline(_thinned(view.all_at(spots)))


def _thinned(spots: Spots, grain: float = 3.0) -> QPolygonF:
    """Without the points that fall on the grain of the one before."""
    cells = np.floor(spots / grain)
    keep = np.ones(len(spots), dtype=np.bool_)
    keep[1:-1] = (np.diff(cells, axis=0) != 0).any(axis=1)[:-1]
    return QPolygonF([QPointF(x, y) for x, y in spots[keep].tolist()])


def _paint_fixes(painter: QPainter, view: View, fixes: Spots) -> None:
    """Small crosses, set pixel by pixel on a sheet of glass: thousands cost no more than one."""
    if not len(fixes):
        return
    arm = max(2, round(2.5 * view.ratio))
    wide, high = round(view.width * view.ratio), round(view.height * view.ratio)
    spots = np.rint(view.all_at(fixes) * view.ratio).astype(np.int64)
    inside = (spots >= arm).all(axis=1) & (spots[:, 0] < wide - arm) & (spots[:, 1] < high - arm)
    across, down = spots[inside].T
    glass = np.zeros((high, wide), dtype=np.uint32)
    colour = np.uint32(QColor(theme.tones().edge).rgba())
    for step in range(-arm, arm + 1):
        glass[down, across + step] = colour
        glass[down + step, across] = colour
    image = QImage(glass.data, wide, high, wide * 4, QImage.Format.Format_ARGB32_Premultiplied)
    painter.drawImage(QRectF(0, 0, view.width, view.height), image)


def _paint_stones(painter: QPainter, view: View, stones: tuple[Stone, ...]) -> None:
    t = theme.tones()
    numbered, dots = _told_apart(view, stones)
    for stone in numbered:
        _paint_haze(painter, view, stone, QColor(t.edge), 26)
    for accepted, colour in ((False, t.edge), (True, t.moss)):
        painter.setPen(QPen(QColor(colour), 7, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        painter.drawPoints([view.at(stone.x, stone.y) for stone in dots if stone.accepted == accepted])
    for stone in numbered:
        _paint_stone(painter, view, stone, 9, QPen(QColor(t.moss if stone.accepted else t.edge), 1.3))


def _told_apart(view: View, stones: tuple[Stone, ...]) -> tuple[list[Stone], list[Stone]]:
    """Stones in sight that can carry their number, and those that would cover one of them."""
    if not stones:
        return [], []
    spots = view.all_at(np.array([(stone.x, stone.y) for stone in stones]))
    inside = ((spots > -20) & (spots < (view.width + 20, view.height + 20))).all(axis=1)
    seen = np.flatnonzero(inside)
    if len(seen) > MANY:
        cells = np.floor(spots[seen] / CROWDED_MANY_PX).astype(np.int64)
        _, first = np.unique(cells[:, 0] * 100_000 + cells[:, 1], return_index=True)
        chosen = set(seen[first].tolist())
    else:
        chosen = set()
        for index in seen.tolist():
            near = spots[list(chosen)] - spots[index]
            if not len(near) or np.hypot(near[:, 0], near[:, 1]).min() >= CROWDED_PX:
                chosen.add(index)
    numbered = [stones[index] for index in seen.tolist() if index in chosen]
    return numbered, [stones[index] for index in seen.tolist() if index not in chosen]


def _paint_haze(painter: QPainter, view: View, stone: Stone, colour: QColor, strength: int) -> None:
    """How far the place may be off."""
    radius = max(4.0, stone.spread * view.scale)
    haze = QColor(colour)
    haze.setAlpha(strength)
    painter.setPen(QPen(colour if strength > 30 else QColor(theme.tones().line), 1))
    painter.setBrush(haze)
    painter.drawEllipse(view.at(stone.x, stone.y), radius, radius)


def _paint_stone(painter: QPainter, view: View, stone: Stone, size: float, pen: QPen) -> None:
    t = theme.tones()
    spot = view.at(stone.x, stone.y)
    painter.setPen(pen)
    painter.setBrush(QColor(t.moss if stone.accepted else t.sheet))
    painter.drawEllipse(spot, size + (2 if stone.number > 99 else 0), size - 1)
    painter.setPen(QColor(t.moss_text if stone.accepted else t.ink))
    box = QRectF(spot.x() - 14, spot.y() - 10, 28, 19)
    painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), str(stone.number))


def _paint_furniture(painter: QPainter, view: View, length: float, notes: str) -> None:
    t = theme.tones()
    bar = length * view.scale
    left, base = 14.0, view.height - 14.0
    painter.setPen(QPen(QColor(t.ink), 2))
    painter.drawLine(QPointF(left, base), QPointF(left + bar, base))
    painter.drawLine(QPointF(left, base - 4), QPointF(left, base + 4))
    painter.drawLine(QPointF(left + bar, base - 4), QPointF(left + bar, base + 4))
    painter.drawText(QPointF(left + bar + 8, base + 4), metres(length))
    if notes:
        painter.setPen(QColor(t.faded))
        wide = painter.fontMetrics().horizontalAdvance(notes)
        painter.drawText(QPointF(view.width - wide - 12, base + 4), notes)
    painter.setPen(QPen(QColor(t.ink), 1.6))
    top = QPointF(view.width - 22, 14)
    painter.drawLine(top, top + QPointF(0, 24))
    painter.drawLine(top, top + QPointF(-5, 9))
    painter.drawLine(top, top + QPointF(5, 9))
    painter.drawText(QRectF(top.x() - 10, top.y() + 25, 20, 18), int(Qt.AlignmentFlag.AlignCenter), "N")


def _bar_length(view: View) -> float:
    wanted = view.width * 0.22 / view.scale
    return float(max((n for n in ROUND_LENGTHS if n <= wanted), default=ROUND_LENGTHS[0]))
