"""The plan: where it all happened, to scale in metres, north up. No map is fetched from anywhere."""

from __future__ import annotations

import math

from PySide6.QtCore import QPoint, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFont,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from catalog_gui.geo.plane import LocalPlane
from catalog_gui.geo.position import Position
from catalog_gui.views import theme
from catalog_gui.views.sort.state import SortState
from catalog_gui.views.words import metres

ROUND_LENGTHS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000, 50000)


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
        self.setToolTip("Wheel or + and − to zoom, drag to move, 0 to fit, 0 again for everything.")
        self._stones: list[tuple[str, int, float, float, float, bool]] = []
        self._fixes: list[tuple[float, float, float]] = []
        self._walks: list[list[tuple[float, float]]] = []
        self._chosen = ""
        self._scale = 1.0  # px per m
        self._middle = (0.0, 0.0)
        self._fitted = True
        self._press: QPoint | None = None
        self._dragging = False
        self._without = 0
        self._far = 0
        self._key: object = None

    def sizeHint(self) -> QSize:
        """Square by nature."""
        return QSize(360, 320)

    def set_state(self, state: SortState) -> None:
        """Lay the foray out; the view is fitted anew when it is another foray."""
        positions = [row.group.place.position for row in state.rows if row.group.place is not None]
        fixed = [photo.fix for photo in state.photos.values() if photo.fix is not None and photo.group_id]
        tracked = [
            Position(lat, lon)
            for track in state.tracks
            for lat, lon in zip(track.latitudes[:1], track.longitudes[:1], strict=True)
        ]
        known = positions or [fix.position for fix in fixed] or tracked
        self._stones, self._fixes, self._walks = [], [], []
        self._without = sum(1 for row in state.rows if row.group.place is None)
        if known:
            centre = sorted(known, key=lambda p: p.latitude)[len(known) // 2]
            plane = LocalPlane(centre)
            placed = [
                (number, row) for number, row in enumerate(state.rows, 1) if row.group.place is not None
            ]
            xs, ys = plane.to_plane(
                [row.group.place.position.latitude for _, row in placed if row.group.place],
                [row.group.place.position.longitude for _, row in placed if row.group.place],
            )
            for (number, row), x, y in zip(placed, xs, ys, strict=True):
                place = row.group.place
                spread = place.uncertainty_m if place is not None else 0.0
                self._stones.append((row.group.id, number, x, y, spread, row.specimen is not None))
            fx, fy = plane.to_plane(
                [fix.position.latitude for fix in fixed], [fix.position.longitude for fix in fixed]
            )
            self._fixes = [(x, y, fix.error_m or 0.0) for fix, x, y in zip(fixed, fx, fy, strict=True)]
            for track in state.tracks:
                tx, ty = plane.to_plane(track.latitudes, track.longitudes)
                self._walks.append(list(zip(tx, ty, strict=True)))
        key = state.foray.id if state.foray else None
        if key != self._key or self._fitted:
            self._key = key
            self.fit()
        self.update()

    def choose(self, group_id: str) -> None:
        """Show which group is chosen on the trail."""
        if group_id != self._chosen:
            self._chosen = group_id
            for key, number, x, y, spread, _ in self._stones:
                if key == group_id:
                    self.setAccessibleDescription(f"Group {number}, uncertainty {metres(spread)}.")
                    spot = self._to_screen(x, y)
                    if not self.rect().adjusted(20, 20, -20, -20).contains(spot.toPoint()):
                        self._middle = (x, y)
                        self._fitted = False
            self.update()

    def fit(self, *, everything: bool = False) -> None:
        """Show what belongs together: a bench at home some miles off does not shrink the wood.

        `everything` shows the far ones too.
        """
        points = [(x, y, spread) for _, _, x, y, spread, _ in self._stones] or [
            (x, y, 0.0) for x, y, _ in self._fixes
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
        return QPointF(
            self.width() / 2 + (x - self._middle[0]) * self._scale,
            self.height() / 2 - 8 - (y - self._middle[1]) * self._scale,
        )

    def resizeEvent(self, event: object) -> None:
        """A fitted plan stays fitted."""
        if self._fitted:
            self.fit()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paper with a faint grid, the walk, fixes, stones, scale bar and north."""
        t = theme.tones()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(t.line), 1))
        painter.setBrush(QColor(t.sheet))
        painter.drawRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5))
        if not self._stones and not self._fixes:
            painter.setPen(QColor(t.faded))
            painter.drawText(
                self.rect().adjusted(16, 16, -16, -16),
                int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap),
                "No place is known yet. A phone's fixes or a GPX track would give one.",
            )
            return
        painter.setClipRect(self.rect().adjusted(1, 1, -1, -1))
        length = self._bar_length()
        self._paint_grid(painter, length)
        walk = QPen(QColor(t.edge), 1.4, Qt.PenStyle.DashLine)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for line in self._walks:
            path = QPainterPath()
            for index, (x, y) in enumerate(line):
                spot = self._to_screen(x, y)
                path.lineTo(spot) if index else path.moveTo(spot)
            painter.setPen(walk)
            painter.drawPath(path)
        if not self._walks and len(self._stones) > 1:
            path = QPainterPath(self._to_screen(self._stones[0][2], self._stones[0][3]))
            for stone in self._stones[1:]:
                path.lineTo(self._to_screen(stone[2], stone[3]))
            pen = QPen(QColor(t.edge), 2, Qt.PenStyle.CustomDashLine, Qt.PenCapStyle.RoundCap)
            pen.setDashPattern([0.1, 3.5])
            painter.setPen(pen)
            painter.drawPath(path)
        painter.setPen(QPen(QColor(t.edge), 1))
        for x, y, _ in self._fixes:
            spot = self._to_screen(x, y)
            painter.drawLine(spot + QPointF(-2.5, 0), spot + QPointF(2.5, 0))
            painter.drawLine(spot + QPointF(0, -2.5), spot + QPointF(0, 2.5))
        self._paint_stones(painter)
        self._paint_furniture(painter, length)

    def _paint_grid(self, painter: QPainter, length: float) -> None:
        t = theme.tones()
        faint = QColor(t.line)
        faint.setAlpha(130)
        painter.setPen(QPen(faint, 1))
        left = self._middle[0] - self.width() / 2 / self._scale
        low = self._middle[1] - self.height() / 2 / self._scale
        x = math.floor(left / length) * length
        while (px := self._to_screen(x, 0).x()) < self.width():
            painter.drawLine(QPointF(px, 0), QPointF(px, self.height()))
            x += length
        y = math.floor(low / length) * length
        while (py := self._to_screen(0, y).y()) > 0:
            painter.drawLine(QPointF(0, py), QPointF(self.width(), py))
            y += length

    def _paint_stones(self, painter: QPainter) -> None:
        t = theme.tones()
        ordered = sorted(self._stones, key=lambda stone: stone[0] == self._chosen)
        for key, _, x, y, spread, _ in ordered:
            spot, radius = self._to_screen(x, y), max(4.0, spread * self._scale)
            haze = QColor(t.moss if key == self._chosen else t.edge)
            haze.setAlpha(60 if key == self._chosen else 26)
            painter.setPen(QPen(QColor(t.moss if key == self._chosen else t.line), 1))
            painter.setBrush(haze)
            painter.drawEllipse(spot, radius, radius)
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() - 1)
        painter.setFont(font)
        for key, number, x, y, _, accepted in ordered:
            spot = self._to_screen(x, y)
            chosen = key == self._chosen
            size = 11 if chosen else 9
            painter.setPen(
                QPen(QColor(t.ink if chosen else t.moss if accepted else t.edge), 2 if chosen else 1.3)
            )
            painter.setBrush(QColor(t.moss if accepted else t.sheet))
            painter.drawEllipse(spot, size, size - 1)
            painter.setPen(QColor(t.moss_text if accepted else t.ink))
            painter.drawText(
                QRectF(spot.x() - 12, spot.y() - 10, 24, 19), int(Qt.AlignmentFlag.AlignCenter), str(number)
            )

    def _paint_furniture(self, painter: QPainter, length: float) -> None:
        t = theme.tones()
        painter.setFont(self.font())
        bar = length * self._scale
        left, base = 14.0, self.height() - 14.0
        painter.setPen(QPen(QColor(t.ink), 2))
        painter.drawLine(QPointF(left, base), QPointF(left + bar, base))
        painter.drawLine(QPointF(left, base - 4), QPointF(left, base + 4))
        painter.drawLine(QPointF(left + bar, base - 4), QPointF(left + bar, base + 4))
        painter.drawText(QPointF(left + bar + 8, base + 4), metres(length))
        notes = [f"{self._far} further off: 0 0"] if self._far and self._fitted else []
        notes += [f"{self._without} without a place"] if self._without else []
        if notes:
            words = " · ".join(notes)
            painter.setPen(QColor(t.faded))
            wide = painter.fontMetrics().horizontalAdvance(words)
            painter.drawText(QPointF(self.width() - wide - 12, base + 4), words)
        painter.setPen(QPen(QColor(t.ink), 1.6))
        top = QPointF(self.width() - 22, 14)
        painter.drawLine(top, top + QPointF(0, 24))
        painter.drawLine(top, top + QPointF(-5, 9))
        painter.drawLine(top, top + QPointF(5, 9))
        painter.drawText(QRectF(top.x() - 10, top.y() + 25, 20, 18), int(Qt.AlignmentFlag.AlignCenter), "N")

    def _bar_length(self) -> float:
        wanted = self.width() * 0.22 / self._scale
        return float(max((n for n in ROUND_LENGTHS if n <= wanted), default=ROUND_LENGTHS[0]))

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
        for key, _, x, y, _, _ in self._stones:
            spot = self._to_screen(x, y)
            distance = math.hypot(spot.x() - point.x(), spot.y() - point.y())
            if distance < best_distance:
                best, best_distance = key, distance
        return best

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """+ and − zoom, 0 fits, arrows move the paper, N and P walk the stones."""
        middle = QPointF(self.width() / 2, self.height() / 2 - 8)
        step = 40 / self._scale
        key = event.key()
        if key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self._zoom(1.3, middle)
        elif key == Qt.Key.Key_Minus:
            self._zoom(1 / 1.3, middle)
        elif key == Qt.Key.Key_0:
            self.fit(everything=self._fitted)
        elif key in (Qt.Key.Key_N, Qt.Key.Key_P):
            keys = [stone[0] for stone in self._stones]
            if keys:
                index = keys.index(self._chosen) if self._chosen in keys else -1
                self.group_chosen.emit(keys[(index + (1 if key == Qt.Key.Key_N else -1)) % len(keys)])
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
