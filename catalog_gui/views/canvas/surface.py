"""The surface of the canvas: marks are drawn on it and moved, by mouse and by keyboard."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QWidget

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.jobs.lane import Lane
from catalog_gui.presenting.canvas.drafting import Draft, inside, straightened
from catalog_gui.presenting.canvas.look import BY_ID, BY_KEY, MOVE
from catalog_gui.presenting.canvas.sketch import bounds_of, handles_of
from catalog_gui.views.canvas.picture_view import NEAR_PX, MarkedPicture

Point = tuple[float, float]

_STEP_PX = 8.0
_FAST = 5.0
_DRAG_PX = 5.0
_ARROWS = {
    Qt.Key.Key_Left: (-1.0, 0.0),
    Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Up: (0.0, -1.0),
    Qt.Key.Key_Down: (0.0, 1.0),
}


class Surface(MarkedPicture):
    """Turns gestures into points; what becomes of them is decided by its owner."""

    drawn = Signal(str, object)  # tool id, points
    moved = Signal(str, object)  # mark id, points
    chosen = Signal(object)  # ids of the chosen marks
    tool_changed = Signal(str)
    words_wanted = Signal(str)  # mark id
    removal_wanted = Signal(object)  # mark ids
    page_wanted = Signal(int)  # -1 or 1: the picture before or after
    letter_pressed = Signal(str)  # a letter that is no tool
    leave_wanted = Signal()

    def __init__(self, lane: Lane, parent: QWidget | None = None) -> None:
        super().__init__(lane, parent)
        self._tool = MOVE
        self._draft: Draft | None = None
        self._cross: Point | None = None
        self._drag: tuple[str, int | None, Point, Mark] | None = None  # mark, point, from where, as it was
        self._pan: QPoint | None = None
        self._pressed: QPointF | None = None
        self._space = False
        self._nudged: Mark | None = None  # as it stood before the arrows
        self.setObjectName("canvas-surface")
        self.setAccessibleName("Picture with its marks")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)

    # --- what is shown -------------------------------------------------------------------------

    def show_picture(self, size: tuple[int, int]) -> None:
        """Another picture of this upright size: nothing drawn, nothing chosen, all of it in view."""
        self._drop_gesture()
        self._choose(())
        self._cross = None
        super().show_picture(size)

    def show_marks(self, marks: Sequence[Mark], captions: Mapping[str, tuple[str, ...]]) -> None:
        """The marks of the picture with the words beside them; what was chosen stays chosen."""
        super().show_marks(marks, captions)
        if self._drag is not None and self._drag[0] not in self._marks:
            self._drag = None
        if self._nudged is not None and self._nudged.id not in self._marks:
            self._nudged = None
        left = tuple(one for one in self._chosen if one in self._marks)
        if left != self._chosen:
            self._choose(left)

    @property
    def selection(self) -> tuple[str, ...]:
        """Ids of the chosen marks, in the order they were chosen."""
        return self._chosen

    @property
    def tool(self) -> str:
        """Id of the tool in hand."""
        return self._tool.id

    @property
    def drafting(self) -> bool:
        """Whether a mark has points but is not done."""
        return self._draft is not None and bool(self._draft.points)

    def draft_mark(self) -> Mark | None:
        """The mark that is being drawn, None for none."""
        return self._draft.preview() if self._draft is not None else None

    def cross_at(self) -> Point | None:
        """Where the cross-hair stands on the picture, None while there is none."""
        return self._cross if self._tool is not MOVE else None

    def take_tool(self, tool_id: str) -> None:
        """Take a tool in hand; a mark begun with another one is given up."""
        self._finish_nudge()
        self._tool = BY_ID[tool_id]
        self._draft = None if self._tool is MOVE else Draft(self._tool)
        self.take_cursor()
        self.tool_changed.emit(tool_id)
        self.viewport().update()

    def choose(self, ids: Sequence[str]) -> None:
        """Choose marks by id; one out of view is brought into it."""
        self._choose(tuple(one for one in ids if one in self._marks))
        if len(self._chosen) != 1:
            return
        left, top, right, bottom = bounds_of(self._marks[self._chosen[0]].points)
        shown = self.mapToScene(self.viewport().rect()).boundingRect()
        box = QRectF(left, top, right - left, bottom - top)
        if not shown.contains(box.center()):
            self.ensureVisible(box, 60, 60)
            self._after_look()

    def _choose(self, ids: tuple[str, ...]) -> None:
        self._finish_nudge()
        self._handle = None
        if ids != self._chosen:
            self._chosen = ids
            self._settle.start()
            self.chosen.emit(ids)
        self.viewport().update()

    # --- mouse ---------------------------------------------------------------------------------

    def _on_picture(self, where: QPointF) -> Point:
        return inside(self.ground().back((where.x(), where.y())), self._size)

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

    def _shifted(self, mark: Mark, dx: float, dy: float) -> Mark:
        """Moved as a whole, but never off the picture."""
        left, top, right, bottom = bounds_of(mark.points)
        if right - left <= self._size[0]:
            dx = min(max(dx, -left), self._size[0] - right)
        if bottom - top <= self._size[1]:
            dy = min(max(dy, -top), self._size[1] - bottom)
        return replace(mark, points=tuple((x + dx, y + dy) for x, y in mark.points))

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

    def take_cursor(self) -> None:
        """The pointer's shape for the tool in hand."""
        self.viewport().setCursor(
            Qt.CursorShape.OpenHandCursor
            if self._space
            else Qt.CursorShape.ArrowCursor
            if self._tool is MOVE
            else Qt.CursorShape.CrossCursor
        )

    # --- gestures ------------------------------------------------------------------------------

    def _finish(self) -> None:
        """What was drawn is a mark now, or nothing when it has too few points."""
        draft = self._draft
        if draft is None:
            return
        points = draft.finished()
        self._draft = Draft(self._tool)
        self.viewport().update()
        if points:
            self.drawn.emit(self._tool.id, points)

    def _drop_gesture(self) -> None:
        self._drag, self._pan, self._pressed, self._nudged = None, None, None, None
        if self._draft is not None:
            self._draft = Draft(self._tool)

    def _finish_nudge(self) -> None:
        """The arrows are let go: what they moved is kept as one step."""
        before, self._nudged = self._nudged, None
        if before is not None:
            now = self._marks.get(before.id)
            if now is not None and now != before:
                self.moved.emit(now.id, now.points)
                self._settle.start()

    # --- keyboard ------------------------------------------------------------------------------

    def event(self, event: QEvent) -> bool:
        """Letters and Escape belong to the tools while the picture has the focus."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            plain = event.modifiers() in (
                Qt.KeyboardModifier.NoModifier,
                Qt.KeyboardModifier.ShiftModifier,
                Qt.KeyboardModifier.KeypadModifier,
            )
            if plain and (event.text().isprintable() or event.key() == Qt.Key.Key_Escape):
                event.accept()
                return True
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            key = event.key()
            if key in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab) and self._walk(
                -1 if key == Qt.Key.Key_Backtab else 1
            ):
                return True
        return super().event(event)

    def _walk(self, step: int) -> bool:
        """Choose the mark after or before; False beyond the last one: then Tab leaves the picture."""
        ids = list(self._marks)
        if not ids or self.drafting:
            return False
        first = 0 if step > 0 else len(ids) - 1
        at = ids.index(self._chosen[0]) + step if len(self._chosen) == 1 else first
        if not 0 <= at < len(ids):
            self._choose(())
            return False
        if self._tool is not MOVE:
            self.take_tool(MOVE.id)
        self.choose((ids[at],))
        return True

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: PLR0912 - one branch a key
        """Every gesture has its keys."""
        key, modifiers = event.key(), event.modifiers()
        shift = bool(modifiers & Qt.KeyboardModifier.ShiftModifier)
        if modifiers & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier) and (
            key not in _ARROWS
        ):
            super().keyPressEvent(event)
            return
        if key in _ARROWS:
            fine = bool(modifiers & Qt.KeyboardModifier.ControlModifier)
            self._arrow(_ARROWS[Qt.Key(key)], fast=shift, fine=fine)
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._return()
        elif key == Qt.Key.Key_F2:
            if len(self._chosen) == 1:
                self.words_wanted.emit(self._chosen[0])
        elif key == Qt.Key.Key_Backspace:
            if self._draft is not None:
                self._draft.take_back()
                self.viewport().update()
        elif key == Qt.Key.Key_Delete:
            if self._chosen:
                self.removal_wanted.emit(self._chosen)
        elif key == Qt.Key.Key_Escape:
            self._escape()
        elif key in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
            self.page_wanted.emit(-1 if key == Qt.Key.Key_PageUp else 1)
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom_to(self.zoom * 1.25, self._zoom_place())
        elif key == Qt.Key.Key_Minus:
            self.zoom_to(self.zoom / 1.25, self._zoom_place())
        elif key == Qt.Key.Key_0:
            self.fit()
        elif key == Qt.Key.Key_1:
            self.zoom_to(1.0 / self.devicePixelRatioF(), self._zoom_place())
        elif key == Qt.Key.Key_Space:
            if not event.isAutoRepeat():
                self._space = True
                self.take_cursor()
        elif event.text().upper() in BY_KEY:
            self.take_tool(BY_KEY[event.text().upper()].id)
        elif event.text().upper() == "N":
            self._next_handle()
        elif event.text().isalpha():
            self.letter_pressed.emit(event.text().upper())
        else:
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """A run of arrows is one step, kept when the key is let go."""
        if event.isAutoRepeat():
            return
        if event.key() == Qt.Key.Key_Space:
            self._space = False
            self.take_cursor()
        elif event.key() in _ARROWS:
            self._finish_nudge()
        else:
            super().keyReleaseEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Nothing that was moved is left unsaved."""
        self._finish_nudge()
        self._space = False
        super().focusOutEvent(event)
        self.viewport().update()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show where the keys go."""
        super().focusInEvent(event)
        self.viewport().update()

    def _zoom_place(self) -> QPointF | None:
        if self._cross is None or self._tool is MOVE:
            return None
        x, y = self.ground().at(self._cross)
        return QPointF(x, y)

    def _arrow(self, way: Point, *, fast: bool, fine: bool) -> None:
        if not self._size[0]:
            return
        step = 1.0 if fine else _STEP_PX / self.zoom * (_FAST if fast else 1.0)
        if self._draft is not None:
            room = self.viewport().rect()
            start = self._cross or self._on_picture(QPointF(room.width() / 2, room.height() / 2))
            self._cross = inside((start[0] + way[0] * step, start[1] + way[1] * step), self._size)
            self._draft.tip = self._cross
            x, y = self._cross
            self.ensureVisible(QRectF(x, y, 1, 1), 40, 40)
            self._after_look()
        elif len(self._chosen) == 1:
            self._nudge(way, 1.0 / self.zoom * (10.0 if fast else 1.0))
        else:
            self._fitted = False
            self._shift(way[0] * (200 if fast else 60), way[1] * (200 if fast else 60))
            self._after_look()

    def _nudge(self, way: Point, step: float) -> None:
        mark = self._marks[self._chosen[0]]
        if self._nudged is None:
            self._nudged = mark
        if self._handle is None:
            self._marks[mark.id] = self._shifted(mark, way[0] * step, way[1] * step)
        else:
            points = list(mark.points)
            x, y = points[self._handle]
            points[self._handle] = inside((x + way[0] * step, y + way[1] * step), self._size)
            self._marks[mark.id] = replace(mark, points=tuple(points))
        self.viewport().update()

    def _next_handle(self) -> None:
        """The next point of the chosen mark takes the arrows; after the last one the whole mark does again."""
        if len(self._chosen) != 1:
            return
        self._finish_nudge()
        count = len(handles_of(self._marks[self._chosen[0]]))
        at = 0 if self._handle is None else self._handle + 1
        self._handle = at if at < count else None
        self.viewport().update()

    def _return(self) -> None:
        if self._draft is None:
            if len(self._chosen) == 1:
                self._finish_nudge()
                self.words_wanted.emit(self._chosen[0])
            return
        if self._cross is None:
            self._arrow((0.0, 0.0), fast=False, fine=False)  # the cross-hair appears in the middle
            return
        if self._draft.add(self._cross):
            self._finish()
        else:
            self.viewport().update()

    def _escape(self) -> None:
        if self._draft is not None and self._draft.points:
            self._finish()
        elif self._chosen:
            self._choose(())
        elif self._tool is not MOVE:
            self.take_tool(MOVE.id)
        else:
            self.leave_wanted.emit()
