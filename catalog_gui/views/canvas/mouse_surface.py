"""Takes the mouse on the canvas: drawing, dragging marks and their points, moving the picture."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QWidget

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.domain.plane import Point
from catalog_gui.jobs.worker_queue import WorkerQueue
from catalog_gui.presenting.canvas.drafting import inside, straightened
from catalog_gui.presenting.canvas.sketch import handles_of
from catalog_gui.views.canvas.in_hand import MarksInHand
from catalog_gui.views.canvas.picture_view import NEAR_PX

_DRAG_PX = 5.0


class MouseSurface(MarksInHand):
    """Turns what the mouse does into points."""

    def __init__(self, queue: WorkerQueue, parent: QWidget | None = None) -> None:
        super().__init__(queue, parent)
        self._drag: tuple[str, int | None, Point, Mark] | None = None  # mark, point, from where, as it was
        self._pan: QPoint | None = None
        self._pressed: QPointF | None = None
        self.setMouseTracking(True)

    def show_marks(self, marks: Sequence[Mark], captions: Mapping[str, tuple[str, ...]]) -> None:
        """As before; a mark that is gone is not dragged any longer."""
        super().show_marks(marks, captions)
        if self._drag is not None and self._drag[0] not in self._marks:
            self._drag = None

    def _drop_gesture(self) -> None:
        self._drag, self._pan, self._pressed = None, None, None
        super()._drop_gesture()

    def _handle_under(self, where: QPointF) -> int | None:
        if len(self._chosen) != 1:
            return None
        ground = self.ground()
        for index, point in enumerate(handles_of(self._marks[self._chosen[0]])):
            if math.dist(ground.at(point), (where.x(), where.y())) <= NEAR_PX:
                return index
        return None

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin to draw, to move or to look elsewhere."""
        self._finish_nudge()
        where = event.position()
        if event.button() == Qt.MouseButton.MiddleButton or (
            event.button() == Qt.MouseButton.LeftButton and self._space
        ):
            self._pan = where.toPoint()
            self.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)
            return
        if event.button() != Qt.MouseButton.LeftButton or not self._size[0]:
            return
        self._cross = None
        self._pressed = where
        if self._draft is not None:
            self._press_draft(where, straight=bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier))
            return
        handle = self._handle_under(where)
        if handle is not None:
            mark = self._marks[self._chosen[0]]
            self._handle = handle
            self._drag = (mark.id, handle, self._on_picture(where), mark)
            return
        found = self.mark_at(where)
        if found and event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            left = tuple(one for one in self._chosen if one != found)
            self._choose(left if found in self._chosen else (*self._chosen, found))
            return
        self._choose((found,) if found else ())
        if found:
            self._drag = (found, None, self._on_picture(where), self._marks[found])
        else:
            self._pan = where.toPoint()

    def _press_draft(self, where: QPointF, *, straight: bool) -> None:
        draft = self._draft
        if draft is None:
            return
        point = self._drawn_point(where, straight=straight)
        if draft.kind is MarkKind.POLYGON and len(draft.points) >= 3:
            first = self.ground().at(draft.points[0])
            if math.dist(first, (where.x(), where.y())) <= NEAR_PX:
                self._finish()
                return
        if draft.add(point):
            self._finish()
        else:
            self.viewport().update()

    def _drawn_point(self, where: QPointF, *, straight: bool) -> Point:
        point = self._on_picture(where)
        if straight and self._draft is not None and self._draft.points:
            point = inside(straightened(self._draft.kind, self._draft.points[-1], point), self._size)
        return point

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Draw on, move on."""
        where = event.position()
        if self._pan is not None:
            step = where.toPoint() - self._pan
            self._pan = where.toPoint()
            self._fitted = False
            self._shift(-step.x(), -step.y())
            self._after_look()
        elif self._drag is not None:
            self._drag_to(self._on_picture(where), where)
        elif self._draft is not None:
            self._cross = None
            straight = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            self._draft.tip = self._drawn_point(where, straight=straight)
            if self._draft.kind is MarkKind.FREE and self._pressed is not None and self._draft.points:
                last = self.ground().at(self._draft.points[-1])
                if math.dist(last, (where.x(), where.y())) >= 3:
                    self._draft.points.append(self._draft.tip)
            self.viewport().update()
        else:
            over = self._handle_under(where) is not None or bool(self.mark_at(where))
            self.viewport().setCursor(
                Qt.CursorShape.PointingHandCursor if over else Qt.CursorShape.ArrowCursor
            )

    def _drag_to(self, point: Point, where: QPointF) -> None:
        if self._drag is None:
            return
        if self._pressed is not None and (where - self._pressed).manhattanLength() < _DRAG_PX:
            return
        self._pressed = None
        mark_id, index, start, before = self._drag
        if index is None:
            self._marks[mark_id] = self._shifted(before, point[0] - start[0], point[1] - start[1])
        else:
            points = list(before.points)
            points[index] = point
            self._marks[mark_id] = replace(before, points=tuple(points))
        self.viewport().update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Done with a drag."""
        where = event.position()
        pressed, self._pressed = self._pressed, None
        if self._pan is not None:
            self._pan = None
            self.take_cursor()
            return
        if self._drag is not None:
            mark_id, _, _, before = self._drag
            self._drag = None
            if self._marks.get(mark_id, before) != before:
                self.moved.emit(mark_id, self._marks[mark_id].points)
                self._settle.start()
            return
        draft = self._draft
        if draft is None or not draft.points or pressed is None:
            return
        far = (where - pressed).manhattanLength() >= _DRAG_PX
        if draft.kind is MarkKind.FREE:
            if len(draft.points) >= 3:
                self._finish()
        elif draft.chain or draft.kind is MarkKind.ANGLE:
            return
        elif far:
            straight = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            if draft.add(self._drawn_point(where, straight=straight)):
                self._finish()
        elif draft.kind in {MarkKind.POINTER, MarkKind.COLOUR}:
            self._finish()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Ends a line of many points; on a mark it asks for words."""
        if self._draft is not None:
            if self._draft.chain and self._draft.kind is not MarkKind.FREE:
                self._finish()
            else:
                self.mousePressEvent(event)
            return
        found = self.mark_at(event.position())
        if found:
            self._drag = None
            self.words_wanted.emit(found)
