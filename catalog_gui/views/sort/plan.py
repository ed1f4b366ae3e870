"""The plan: where it all happened, to scale in metres, north up. No map is fetched from anywhere."""

from __future__ import annotations

import math

from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPixmap,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from catalog_gui.views import theme
from catalog_gui.views.sort.plan_paper import View, paint_chosen, paper
from catalog_gui.views.sort.state import PlanFacts, SortState, Stone
from catalog_gui.views.words import metres

HINT = (
    "Wheel or + and − to zoom, drag to move, 0 to fit, 0 again for everything, "
    "full stop and comma from stone to stone."
)


class PlanView(QWidget):
    """Groups as numbered stones with their uncertainty, written fixes as small crosses, the walk as a line."""

    group_chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("plan")
        self.setAccessibleName("Plan of the foray, north up")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(220, 180)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setToolTip(HINT)
        self._facts = PlanFacts()
        self._stone_of: dict[str, Stone] = {}
        self._chosen = ""
        self._scale = 1.0  # px per m
        self._middle = (0.0, 0.0)
        self._fitted = True
        self._press: QPoint | None = None
        self._dragging = False
        self._far = 0
        self._foray = ""
        self._paper: QPixmap | None = None
        self._paper_of: tuple[object, ...] = ()

    def sizeHint(self) -> QSize:
        """Square by nature."""
        return QSize(360, 320)

    def set_state(self, state: SortState) -> None:
        """Lay the foray out; the view is fitted anew when it is another foray."""
        self._facts = state.plan
        self._stone_of = {stone.group_id: stone for stone in state.plan.stones}
        foray = state.foray.id if state.foray else ""
        if foray != self._foray or self._fitted:
            self._foray = foray
            self.fit()
        self.update()

    def choose(self, group_id: str) -> None:
        """Show which group is chosen on the trail."""
        if group_id == self._chosen:
            return
        self._chosen = group_id
        stone = self._stone_of.get(group_id)
        if stone is not None:
            self.setAccessibleDescription(f"Group {stone.number}, uncertainty {metres(stone.spread)}.")
            spot = self._to_screen(stone.x, stone.y)
            if not self.rect().adjusted(20, 20, -20, -20).contains(spot.toPoint()):
                self._middle = (stone.x, stone.y)
                self._fitted = False
        self.update()

    @property
    def chosen(self) -> str:
        """The group that stands out."""
        return self._chosen

    def spot_of(self, group_id: str) -> QPoint | None:
        """Where a group stands on the screen, if it has a place."""
        stone = self._stone_of.get(group_id)
        return self._to_screen(stone.x, stone.y).toPoint() if stone is not None else None

    def fit(self, *, everything: bool = False) -> None:
        """Show what belongs together: a bench at home some miles off does not shrink the wood.

        `everything` shows the far ones too.
        """
        points = [(stone.x, stone.y, stone.spread) for stone in self._facts.stones] or [
            (x, y, 0.0) for x, y in self._facts.fixes.tolist()
        ]
        self._fitted = not everything
        near = _together(points)
        self._far = len(points) - len(near)
        if not everything:
            points = near
        if not points:
            return
        left = min(x - s for x, _, s in points)
        right = max(x + s for x, _, s in points)
        low = min(y - s for _, y, s in points)
        high = max(y + s for _, y, s in points)
        wide, tall = max(30.0, right - left), max(30.0, high - low)
        self._middle = ((left + right) / 2, (low + high) / 2)
        self._scale = min((self.width() - 60) / wide, (self.height() - 84) / tall)
        self._scale = max(self._scale, 1e-4)
        self.update()

    def _to_screen(self, x: float, y: float) -> QPointF:
        return self._seen().at(x, y)

    def resizeEvent(self, event: object) -> None:
        """A fitted plan stays fitted."""
        if self._fitted:
            self.fit()

    def _seen(self) -> View:
        return View(self.width(), self.height(), self._scale, self._middle, self.devicePixelRatioF())

    def paintEvent(self, event: QPaintEvent) -> None:
        """The paper, painted once for a view, and on it the chosen stone."""
        t = theme.tones()
        view = self._seen()
        notes = [f"{self._far} further off: 0 0"] if self._far and self._fitted else []
        notes += [f"{self._facts.without} without a place"] if self._facts.without else []
        wanted = (view, t, self._facts, tuple(notes))
        if self._paper is None or self._paper_of != wanted:
            self._paper = paper(view, self._facts, " · ".join(notes), self.font())
            self._paper_of = wanted
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.drawPixmap(0, 0, self._paper)
        stone = self._stone_of.get(self._chosen)
        if stone is not None:
            painter.setClipRect(self.rect().adjusted(1, 1, -1, -1))
            paint_chosen(painter, view, stone)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(t.moss), 2))
            painter.drawRect(QRectF(self.rect()).adjusted(1, 1, -1, -1))

    def event(self, event: QEvent) -> bool:
        """A stone under the pointer says which group it is."""
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            stone = self._stone_of.get(self._nearest(QPointF(event.pos())))
            words = HINT if stone is None else f"Group {stone.number} ± {metres(stone.spread)}"
            QToolTip.showText(event.globalPos(), words, self)
            return True
        return super().event(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the pointer."""
        self._zoom(1.0015 ** event.angleDelta().y(), event.position())
        event.accept()

    def _zoom(self, factor: float, about: QPointF) -> None:
        factor = max(1e-4 / self._scale, min(50.0 / self._scale, factor))
        dx = (about.x() - self.width() / 2) / self._scale
        dy = -(about.y() - self.height() / 2 + 8) / self._scale
        keep = 1 - 1 / factor
        self._middle = (self._middle[0] + dx * keep, self._middle[1] + dy * keep)
        self._scale *= factor
        self._fitted = False
        self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose a stone, or begin to move the paper."""
        self._press = event.position().toPoint()
        self._dragging = False

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Move the paper."""
        if self._press is None:
            return
        now = event.position().toPoint()
        if not self._dragging and (now - self._press).manhattanLength() < 6:
            return
        self._dragging = True
        moved = now - self._press
        self._press = now
        self._middle = (
            self._middle[0] - moved.x() / self._scale,
            self._middle[1] + moved.y() / self._scale,
        )
        self._fitted = False
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click without a drag chooses the nearest stone."""
        if not self._dragging:
            near = self._nearest(event.position())
            if near:
                self.group_chosen.emit(near)
        self._press = None

    def _nearest(self, point: QPointF) -> str:
        best, best_distance = "", 16.0
        for stone in self._facts.stones:
            spot = self._to_screen(stone.x, stone.y)
            distance = math.hypot(spot.x() - point.x(), spot.y() - point.y())
            if distance < best_distance:
                best, best_distance = stone.group_id, distance
        return best

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """+ and − zoom, 0 fits, arrows move the paper, full stop and comma walk the stones."""
        middle = QPointF(self.width() / 2, self.height() / 2 - 8)
        step = 40 / self._scale
        key = event.key()
        if key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self._zoom(1.3, middle)
        elif key == Qt.Key.Key_Minus:
            self._zoom(1 / 1.3, middle)
        elif key == Qt.Key.Key_0:
            self.fit(everything=self._fitted)
        elif key in (Qt.Key.Key_Period, Qt.Key.Key_Comma):
            keys = list(self._stone_of)
            if keys:
                index = keys.index(self._chosen) if self._chosen in keys else -1
                self.group_chosen.emit(keys[(index + (1 if key == Qt.Key.Key_Period else -1)) % len(keys)])
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down):
            dx = {Qt.Key.Key_Left: -step, Qt.Key.Key_Right: step}.get(Qt.Key(key), 0.0)
            dy = {Qt.Key.Key_Up: step, Qt.Key.Key_Down: -step}.get(Qt.Key(key), 0.0)
            self._middle = (self._middle[0] + dx, self._middle[1] + dy)
            self._fitted = False
            self.update()
        else:
            super().keyPressEvent(event)


def _together(points: list[tuple[float, float, float]]) -> list[tuple[float, float, float]]:
    """The points of the walk: those within six times the median distance from the middle, at least 300 m."""
    if len(points) < 3:
        return points
    x0 = sorted(x for x, _, _ in points)[len(points) // 2]
    y0 = sorted(y for _, y, _ in points)[len(points) // 2]
    away = [math.hypot(x - x0, y - y0) for x, y, _ in points]
    reach = max(300.0, 6 * sorted(away)[len(away) // 2])
    return [point for point, distance in zip(points, away, strict=True) if distance <= reach]
