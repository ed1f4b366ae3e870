"""Keeps what is in hand on the canvas: the tool, the mark being drawn, what is chosen and what the arrows move."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtWidgets import QWidget

from catalog_gui.annotation.marks import Mark
from catalog_gui.domain.plane import Point
from catalog_gui.jobs.worker_queue import WorkerQueue
from catalog_gui.presenting.canvas.drafting import MarkDraft, inside
from catalog_gui.presenting.canvas.look import BY_ID, MOVE
from catalog_gui.presenting.canvas.sketch import bounds_of, handles_of
from catalog_gui.views.canvas.picture_view import MarkedPicture


class MarksInHand(MarkedPicture):
    """Knows what a gesture works on, however it is made. What becomes of a gesture is decided by the owner."""

    drawn = Signal(str, object)  # tool id, points
    moved = Signal(str, object)  # mark id, points
    chosen = Signal(object)  # ids of the chosen marks
    tool_changed = Signal(str)
    words_wanted = Signal(str)  # mark id

    def __init__(self, queue: WorkerQueue, parent: QWidget | None = None) -> None:
        super().__init__(queue, parent)
        self._tool = MOVE
        self._draft: MarkDraft | None = None
        self._cross: Point | None = None
        self._space = False  # the space bar is held: the picture is moved
        self._nudged: Mark | None = None  # as it stood before the arrows

    def show_picture(self, size: tuple[int, int]) -> None:
        """Another picture of this upright size: nothing drawn, nothing chosen, all of it in view."""
        self._drop_gesture()
        self._choose(())
        self._cross = None
        super().show_picture(size)

    def show_marks(self, marks: Sequence[Mark], captions: Mapping[str, tuple[str, ...]]) -> None:
        """The marks of the picture with the words beside them; what was chosen stays chosen."""
        super().show_marks(marks, captions)
        if self._nudged is not None and self._nudged.id not in self._marks:
            self._nudged = None
        left = tuple(one for one in self._chosen if one in self._marks)
        if left != self._chosen:
            self._choose(left)

    # --- tool and draft ------------------------------------------------------------------------

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
        self._draft = None if self._tool is MOVE else MarkDraft(self._tool)
        self.take_cursor()
        self.tool_changed.emit(tool_id)
        self.viewport().update()

    def take_cursor(self) -> None:
        """The pointer's shape for the tool in hand."""
        self.viewport().setCursor(
            Qt.CursorShape.OpenHandCursor
            if self._space
            else Qt.CursorShape.ArrowCursor
            if self._tool is MOVE
            else Qt.CursorShape.CrossCursor
        )

    def _finish(self) -> None:
        """What was drawn is a mark now, or nothing when it has too few points."""
        draft = self._draft
        if draft is None:
            return
        points = draft.finished()
        self._draft = MarkDraft(self._tool)
        self.viewport().update()
        if points:
            self.drawn.emit(self._tool.id, points)

    def _drop_gesture(self) -> None:
        self._nudged = None
        if self._draft is not None:
            self._draft = MarkDraft(self._tool)

    def _on_picture(self, where: QPointF) -> Point:
        return inside(self.ground().back((where.x(), where.y())), self._size)

    # --- what is chosen ------------------------------------------------------------------------

    @property
    def selection(self) -> tuple[str, ...]:
        """Ids of the chosen marks, in the order they were chosen."""
        return self._chosen

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

    def _shifted(self, mark: Mark, dx: float, dy: float) -> Mark:
        """Moved as a whole, but never off the picture."""
        left, top, right, bottom = bounds_of(mark.points)
        if right - left <= self._size[0]:
            dx = min(max(dx, -left), self._size[0] - right)
        if bottom - top <= self._size[1]:
            dy = min(max(dy, -top), self._size[1] - bottom)
        return replace(mark, points=tuple((x + dx, y + dy) for x, y in mark.points))

    # --- what the arrows move ------------------------------------------------------------------

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

    def _finish_nudge(self) -> None:
        """The arrows are let go: what they moved is kept as one step."""
        before, self._nudged = self._nudged, None
        if before is not None:
            now = self._marks.get(before.id)
            if now is not None and now != before:
                self.moved.emit(now.id, now.points)
                self._settle.start()

    def _next_handle(self) -> None:
        """The next point of the chosen mark takes the arrows; after the last one the whole mark does again."""
        if len(self._chosen) != 1:
            return
        self._finish_nudge()
        count = len(handles_of(self._marks[self._chosen[0]]))
        at = 0 if self._handle is None else self._handle + 1
        self._handle = at if at < count else None
        self.viewport().update()
