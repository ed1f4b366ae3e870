"""Shows where it all happened, to scale in metres, north up. No map is fetched from anywhere."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt, Signal
from PySide6.QtGui import QHelpEvent, QKeyEvent, QPainter, QPixmap
from PySide6.QtWidgets import QToolTip, QWidget

from catalog_gui.presenting.sort.state import PlanFacts, PlanStone, SortState
from catalog_gui.presenting.sort.walk import of_the_walk
from catalog_gui.presenting.spots import Spots
from catalog_gui.presenting.words import metres
from catalog_gui.views import theme
from catalog_gui.views.sort.plan_paper import paint_chosen, paint_foray
from catalog_gui.views.widgets.plan_sheet import Frame, PlanSheet

HINT = (
    "Wheel or + and − to zoom, drag to move, 0 to fit, 0 again for everything, "
    "full stop and comma from stone to stone."
)
NOTHING = "No place is known yet. A phone's fixes or a GPX track would give one."


class PlanView(PlanSheet):
    """Groups as numbered stones with their uncertainty, written fixes as small crosses, the walk as a line."""

    group_chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("plan", parent)
        self.setAccessibleName("Plan of the foray, north up")
        self.setToolTip(HINT)
        self._facts = PlanFacts()
        self._stone_of: dict[str, PlanStone] = {}
        self._chosen = ""
        self._everything = False
        self._near = self._all = np.zeros((0, 2))
        self._far = 0
        self._foray = ""
        self._paper: QPixmap | None = None
        self._paper_of: tuple[object, ...] = ()

    def set_state(self, state: SortState) -> None:
        """Lay the foray out; the view is fitted anew when it is another foray."""
        foray = state.foray.id if state.foray else ""
        other, self._foray = foray != self._foray, foray
        if state.plan is not self._facts:
            self._facts = state.plan
            self._stone_of = {stone.group_id: stone for stone in state.plan.stones}
            self._measure()
        if other or self._fitted:
            self._everything = self._everything and not other
            self.fit()
        self.update()

    def _measure(self) -> None:
        stones = self._facts.stones
        middles = np.array([(stone.x, stone.y) for stone in stones]) if stones else self._facts.fixes
        spread = np.array([(stone.spread, stone.spread) for stone in stones]) if stones else 0.0 * middles
        near = of_the_walk(middles)
        self._far = int(len(near) - near.sum())
        self._all = np.concatenate((middles - spread, middles + spread))
        self._near = np.concatenate(((middles - spread)[near], (middles + spread)[near]))

    def spots(self) -> Spots:
        """What belongs together: a bench at home some miles off does not shrink the wood."""
        return self._all if self._everything else self._near

    def notes(self) -> str:
        """What cannot be seen here."""
        if not len(self._all):
            return NOTHING
        far = [f"{self._far} further off (0 shows them)"] if self._far and self._fitted else []
        without = [f"{self._facts.without} without a place"] if self._facts.without else []
        return " · ".join(([] if self._everything else far) + without)

    def choose(self, group_id: str) -> None:
        """Show which group is chosen on the trail."""
        if group_id == self._chosen:
            return
        self._chosen = group_id
        stone = self._stone_of.get(group_id)
        if stone is not None:
            self.setAccessibleDescription(f"Group {stone.number}, uncertainty {metres(stone.spread)}.")
            self.reveal(stone.x, stone.y)
        self.update()

    @property
    def chosen(self) -> str:
        """The group that stands out."""
        return self._chosen

    def spot_of(self, group_id: str) -> QPoint | None:
        """Where a group stands on the screen, if it has a place."""
        stone = self._stone_of.get(group_id)
        return self.frame.at(stone.x, stone.y).toPoint() if stone is not None else None

    def paint_sheet(self, painter: QPainter) -> None:
        """The paper, painted once for a view, and on it the chosen stone."""
        frame = self.frame
        wanted = (frame, theme.tones(), self._facts, self.notes(), self.font())
        if self._paper is None or self._paper_of != wanted:
            self._paper = QPixmap(self.size() * frame.ratio)
            self._paper.setDevicePixelRatio(frame.ratio)
            fresh = QPainter(self._paper)
            fresh.setFont(self.font())
            super().paint_sheet(fresh)
            fresh.end()
            self._paper_of = wanted
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.drawPixmap(0, 0, self._paper)
        stone = self._stone_of.get(self._chosen)
        if stone is not None:
            paint_chosen(painter, frame, stone)

    def paint_on(self, painter: QPainter, frame: Frame) -> None:
        """Walk, fixes and stones."""
        paint_foray(painter, frame, self._facts)

    def event(self, event: QEvent) -> bool:
        """A stone under the pointer says which group it is."""
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            stone = self._stone_of.get(self._nearest(QPointF(event.pos())))
            words = HINT if stone is None else f"Group {stone.number} ± {metres(stone.spread)}"
            QToolTip.showText(event.globalPos(), words, self)
            return True
        return super().event(event)

    def clicked(self, point: QPointF) -> None:
        """Choose the nearest stone."""
        near = self._nearest(point)
        if near:
            self.group_chosen.emit(near)

    def _nearest(self, point: QPointF) -> str:
        stones = self._facts.stones
        if not stones:
            return ""
        spots = self.frame.all_at(np.array([(stone.x, stone.y) for stone in stones]))
        away = np.hypot(spots[:, 0] - point.x(), spots[:, 1] - point.y())
        best = int(away.argmin())
        return stones[best].group_id if away[best] < 16.0 else ""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """0 fits the walk, again everything; full stop and comma go from stone to stone; the rest moves the paper."""
        match event.key():
            case Qt.Key.Key_0:
                self._everything = self._fitted and not self._everything and self._far > 0
                self.fit()
            case Qt.Key.Key_Period | Qt.Key.Key_Comma if self._stone_of:
                keys = list(self._stone_of)
                index = keys.index(self._chosen) if self._chosen in keys else -1
                step = 1 if event.key() == Qt.Key.Key_Period else -1
                self.group_chosen.emit(keys[(index + step) % len(keys)])
            case _:
                super().keyPressEvent(event)
