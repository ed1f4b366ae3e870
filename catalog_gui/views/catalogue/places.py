"""Shows what a search found on the ground: single finds as spots, crowds as one disc with their number."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QHelpEvent, QKeyEvent, QMouseEvent, QPainter, QPen
from PySide6.QtWidgets import QToolTip, QWidget

from catalog_gui.presenting.catalogue.places import PlacesFound
from catalog_gui.presenting.catalogue.words import place_tip
from catalog_gui.presenting.spots import Spots
from catalog_gui.views import theme
from catalog_gui.views.widgets.plan_sheet import Frame, PlanSheet

CROWD_PX = 36.0
"""Finds in one square of so many px are one disc."""
NAMED_UP_TO = 40
"""So few discs in sight have their numbers written beside them."""
HINT = (
    "Wheel or + and − to zoom, drag or arrows to move, 0 for everything, N and P from find to find, "
    "Return to describe. A click on a crowd goes nearer."
)


@dataclass(frozen=True, slots=True)
class _Disc:
    """Finds that stand too close to be told apart here: rows, and where in px."""

    rows: tuple[int, ...]
    x: float
    y: float

    @property
    def radius(self) -> float:
        return 6.0 if len(self.rows) == 1 else min(17.0, 9.0 + 3.2 * float(np.log10(len(self.rows))))


class FoundPlan(PlanSheet):
    """The plan of a search. `chosen` and `opened` carry the specimen."""

    chosen = Signal(str)
    opened = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("found-plan", parent)
        self.setAccessibleName("Plan of what was found, north up")
        self.setToolTip(HINT)
        self._found = PlacesFound()
        self._chosen = -1
        self._discs: tuple[_Disc, ...] = ()
        self._discs_of: tuple[object, ...] = ()

    def set_found(self, found: PlacesFound, *, refit: bool) -> None:
        """Lay these out; `refit` shows them all (another search), else the view stays."""
        key = self.chosen_id
        self._found = found
        self._chosen = next((n for n, one in enumerate(found.places) if one.specimen_id == key), -1)
        self._discs_of = ()
        if refit or self._fitted:
            self.fit()
        self.update()

    @property
    def found(self) -> PlacesFound:
        """What is laid out."""
        return self._found

    @property
    def chosen_id(self) -> str:
        """The specimen that is chosen here, or ''."""
        return self._found.places[self._chosen].specimen_id if self._chosen >= 0 else ""

    def choose(self, specimen_id: str) -> None:
        """Show which specimen is chosen elsewhere."""
        if specimen_id != self.chosen_id:
            rows = [n for n, one in enumerate(self._found.places) if one.specimen_id == specimen_id]
            self._take(rows[0] if rows else -1)

    def _take(self, row: int) -> None:
        self._chosen = row
        if row >= 0:
            self.setAccessibleDescription(self._words(row))
            self.reveal(*self._found.spots[row].tolist())
        self.update()

    def _words(self, row: int) -> str:
        one = self._found.places[row]
        return place_tip(one.number, one.name, one.uncertainty_m)

    def spots(self) -> Spots:
        """All finds."""
        return self._found.spots

    def notes(self) -> str:
        """How many cannot be shown."""
        count = self._found.without
        if not len(self._found.spots):
            return "None of what was found has a place." if count else "Nothing was found."
        return f"{count} without a place" if count else ""

    def discs(self) -> tuple[_Disc, ...]:
        """What is in sight, crowds together."""
        frame = self.frame
        if self._discs_of != (frame, id(self._found)):
            self._discs_of = (frame, id(self._found))
            self._discs = self._crowded(frame)
        return self._discs

    def _crowded(self, frame: Frame) -> tuple[_Disc, ...]:
        spots = frame.all_at(self._found.spots)
        inside = ((spots > -20) & (spots < (frame.width + 20, frame.height + 20))).all(axis=1)
        seen = np.flatnonzero(inside)
        if not len(seen):
            return ()
        # Squares stand still on the ground while the paper moves, so that crowds do not flicker.
        ground = self._found.spots[seen] * frame.scale
        cells = np.floor(ground / CROWD_PX).astype(np.int64)
        _, crowd = np.unique(cells, axis=0, return_inverse=True)
        crowd = crowd.reshape(-1)
        order = np.argsort(crowd, kind="stable")
        starts = np.flatnonzero(np.diff(crowd[order], prepend=-1))
        counts = np.diff(np.append(starts, len(order)))
        middles = np.add.reduceat(spots[seen][order], starts, axis=0) / counts[:, None]
        rows = np.split(seen[order], starts[1:])
        return tuple(
            _Disc(tuple(members.tolist()), float(x), float(y))
            for members, (x, y) in zip(rows, middles, strict=True)
        )

    def paint_on(self, painter: QPainter, frame: Frame) -> None:
        """Uncertainty, discs, numbers, and the chosen find above all."""
        t = theme.tones()
        discs = self.discs()
        haze = QColor(t.moss)
        haze.setAlpha(34)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(haze)
        for disc in discs if len(discs) <= 4 * NAMED_UP_TO else ():
            radius = float(self._found.spread[disc.rows[0]]) * frame.scale
            if len(disc.rows) == 1 and radius > disc.radius:
                painter.drawEllipse(QPointF(disc.x, disc.y), radius, radius)
        for disc in discs:
            self._paint_disc(painter, disc)
        if len(discs) <= NAMED_UP_TO:
            self._paint_numbers(painter, discs)
        if self._chosen >= 0:
            x, y = frame.all_at(self._found.spots[self._chosen : self._chosen + 1])[0]
            radius = max(9.0, float(self._found.spread[self._chosen]) * frame.scale)
            painter.setBrush(haze)
            painter.setPen(QPen(QColor(t.ink), 2))
            painter.drawEllipse(QPointF(x, y), radius, radius)
            painter.setBrush(QColor(t.ochre))
            painter.drawEllipse(QPointF(x, y), 5, 5)

    def _paint_numbers(self, painter: QPainter, discs: tuple[_Disc, ...]) -> None:
        """Numbers beside single finds, where they cover nothing; the chosen one's first."""
        painter.setPen(QColor(theme.tones().ink))
        taken = [QRectF(d.x - d.radius, d.y - d.radius, 2 * d.radius, 2 * d.radius) for d in discs]
        singles = [disc for disc in discs if len(disc.rows) == 1]
        for disc in sorted(singles, key=lambda one: one.rows[0] != self._chosen):
            number = self._found.places[disc.rows[0]].number
            wide = painter.fontMetrics().horizontalAdvance(number)
            for left in (disc.x + 10, disc.x - 10 - wide):
                box = QRectF(left, disc.y - 9, wide, 18)
                if not any(box.intersects(other) for other in taken):
                    painter.drawText(box, int(Qt.AlignmentFlag.AlignVCenter), number)
                    taken.append(box)
                    break

    def _paint_disc(self, painter: QPainter, disc: _Disc) -> None:
        t = theme.tones()
        spot = QPointF(disc.x, disc.y)
        painter.setPen(QPen(QColor(t.sheet), 1.2))
        painter.setBrush(QColor(t.moss))
        painter.drawEllipse(spot, disc.radius, disc.radius)
        if len(disc.rows) > 1:
            painter.setPen(QColor(t.moss_text))
            box = QRectF(disc.x - 24, disc.y - 10, 48, 19)
            painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), str(len(disc.rows)))

    def _at(self, point: QPointF) -> _Disc | None:
        def away(disc: _Disc) -> float:
            return float(np.hypot(disc.x - point.x(), disc.y - point.y()))

        near = min(self.discs(), key=away, default=None)
        return near if near is not None and away(near) < near.radius + 8 else None

    def clicked(self, point: QPointF) -> None:
        """Choose a find; go nearer to a crowd; walk through finds that stand on one spot."""
        self.setFocus()
        disc = self._at(point)
        if disc is None:
            return
        members = self._found.spots[list(disc.rows)]
        if len(disc.rows) > 1 and np.ptp(members, axis=0).max() * 50.0 > 2 * CROWD_PX:
            self.fit(members)
            return
        at = disc.rows.index(self._chosen) + 1 if self._chosen in disc.rows else 0
        self._pick(disc.rows[at % len(disc.rows)])

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Describe the find under the pointer."""
        disc = self._at(event.position())
        if disc is not None and len(disc.rows) == 1:
            self.opened.emit(self._found.places[disc.rows[0]].specimen_id)

    def _pick(self, row: int) -> None:
        self._take(row)
        self.chosen.emit(self.chosen_id)

    def event(self, event: QEvent) -> bool:
        """What lies under the pointer."""
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            disc = self._at(QPointF(event.pos()))
            words = HINT
            if disc is not None:
                few = "\n".join(self._words(row) for row in disc.rows[:8])
                words = few + (f"\nand {len(disc.rows) - 8} more" if len(disc.rows) > 8 else "")
            QToolTip.showText(event.globalPos(), words, self)
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """N and P walk the finds, Return describes the chosen one; the rest moves the paper."""
        count = len(self._found.places)
        if event.key() in (Qt.Key.Key_N, Qt.Key.Key_P) and count:
            self._pick((self._chosen + (1 if event.key() == Qt.Key.Key_N else -1)) % count)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self._chosen >= 0:
            self.opened.emit(self.chosen_id)
        else:
            super().keyPressEvent(event)
