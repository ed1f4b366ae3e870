"""Paints the paper of the plan: what stays while groups are chosen, painted once for a frame.

Its cost is bounded by the size of the paper, not by the number of pictures: fixes are set as pixels,
walks are thinned to what can be told apart, and stones that would cover each other become dots.
"""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPen, QPolygonF

from catalog_gui.presenting.sort.state import PlanFacts, PlanStone
from catalog_gui.presenting.spots import Spots
from catalog_gui.views import theme
from catalog_gui.views.widgets.plan_sheet import Frame

CROWDED_PX = 15.0
MANY = 120
CROWDED_MANY_PX = 32.0
"""Beyond `MANY` stones in sight one in each square of so many px keeps its number."""


def paint_foray(painter: QPainter, frame: Frame, facts: PlanFacts) -> None:
    """Walk, fixes and stones."""
    _paint_walk(painter, frame, facts)
    _paint_fixes(painter, frame, facts.fixes)
    _paint_stones(painter, frame, facts.stones)


def paint_chosen(painter: QPainter, frame: Frame, stone: PlanStone) -> None:
    """The stone of the chosen group, with its uncertainty, above all others."""
    t = theme.tones()
    _paint_haze(painter, frame, stone, QColor(t.moss), 60)
    _paint_stone(painter, frame, stone, 11, QPen(QColor(t.ink), 2))


def _paint_walk(painter: QPainter, frame: Frame, facts: PlanFacts) -> None:
    """The tracks; without any, a dotted line from stone to stone."""
    edge = QColor(theme.tones().edge)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if facts.walks:
        painter.setPen(QPen(edge, 1.4, Qt.PenStyle.DashLine))
        for walk in facts.walks:
            painter.drawPolyline(_thinned(frame.all_at(walk)))
    elif len(facts.stones) > 1:
        pen = QPen(edge, 2, Qt.PenStyle.CustomDashLine, Qt.PenCapStyle.RoundCap)
        pen.setDashPattern([0.1, 3.5])
        painter.setPen(pen)
        spots = np.array([(stone.x, stone.y) for stone in facts.stones])
        painter.drawPolyline(_thinned(frame.all_at(spots)))


def _thinned(spots: Spots, grain: float = 3.0) -> QPolygonF:
    """Without the points that fall on the grain of the one before."""
    cells = np.floor(spots / grain)
    keep = np.ones(len(spots), dtype=np.bool_)
    keep[1:-1] = (np.diff(cells, axis=0) != 0).any(axis=1)[:-1]
    return QPolygonF([QPointF(x, y) for x, y in spots[keep].tolist()])


def _paint_fixes(painter: QPainter, frame: Frame, fixes: Spots) -> None:
    """Small crosses, set pixel by pixel on a sheet of glass: thousands cost no more than one."""
    if not len(fixes):
        return
    arm = max(2, round(2.5 * frame.ratio))
    wide, high = round(frame.width * frame.ratio), round(frame.height * frame.ratio)
    spots = np.rint(frame.all_at(fixes) * frame.ratio).astype(np.int64)
    inside = (spots >= arm).all(axis=1) & (spots[:, 0] < wide - arm) & (spots[:, 1] < high - arm)
    across, down = spots[inside].T
    glass = np.zeros((high, wide), dtype=np.uint32)
    colour = np.uint32(QColor(theme.tones().edge).rgba())
    for step in range(-arm, arm + 1):
        glass[down, across + step] = colour
        glass[down + step, across] = colour
    image = QImage(glass.data, wide, high, wide * 4, QImage.Format.Format_ARGB32_Premultiplied)
    painter.drawImage(QRectF(0, 0, frame.width, frame.height), image)


def _paint_stones(painter: QPainter, frame: Frame, stones: tuple[PlanStone, ...]) -> None:
    t = theme.tones()
    numbered, dots = _told_apart(frame, stones)
    for stone in numbered:
        _paint_haze(painter, frame, stone, QColor(t.edge), 26)
    for accepted, colour in ((False, t.edge), (True, t.bark)):
        painter.setPen(QPen(QColor(colour), 7, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        painter.drawPoints([frame.at(stone.x, stone.y) for stone in dots if stone.accepted == accepted])
    for stone in numbered:
        _paint_stone(painter, frame, stone, 9, QPen(QColor(t.bark if stone.accepted else t.edge), 1.3))


def _told_apart(frame: Frame, stones: tuple[PlanStone, ...]) -> tuple[list[PlanStone], list[PlanStone]]:
    """Stones in sight that can carry their number, and those that would cover one of them."""
    if not stones:
        return [], []
    spots = frame.all_at(np.array([(stone.x, stone.y) for stone in stones]))
    inside = ((spots > -20) & (spots < (frame.width + 20, frame.height + 20))).all(axis=1)
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


def _paint_haze(painter: QPainter, frame: Frame, stone: PlanStone, colour: QColor, strength: int) -> None:
    """How far the place may be off."""
    radius = max(4.0, stone.spread * frame.scale)
    haze = QColor(colour)
    haze.setAlpha(strength)
    painter.setPen(QPen(colour if strength > 30 else QColor(theme.tones().line), 1))
    painter.setBrush(haze)
    painter.drawEllipse(frame.at(stone.x, stone.y), radius, radius)


def _paint_stone(painter: QPainter, frame: Frame, stone: PlanStone, size: float, pen: QPen) -> None:
    t = theme.tones()
    spot = frame.at(stone.x, stone.y)
    painter.setPen(pen)
    painter.setBrush(QColor(t.bark if stone.accepted else t.sheet))
    painter.drawEllipse(spot, size + (2 if stone.number > 99 else 0), size - 1)
    painter.setPen(QColor(t.sheet if stone.accepted else t.ink))
    box = QRectF(spot.x() - 14, spot.y() - 10, 28, 19)
    painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), str(stone.number))
