"""Takes the keyboard on the canvas: whatever the mouse can do, the keys can."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QWidget

from catalog_gui.domain.plane import Point
from catalog_gui.jobs.worker_queue import WorkerQueue
from catalog_gui.presenting.canvas.drafting import inside
from catalog_gui.presenting.canvas.look import BY_KEY, MOVE
from catalog_gui.views.canvas.mouse_surface import MouseSurface

_STEP_PX = 8.0
_FAST = 5.0
_ARROWS = {
    Qt.Key.Key_Left: (-1.0, 0.0),
    Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Up: (0.0, -1.0),
    Qt.Key.Key_Down: (0.0, 1.0),
}


class Surface(MouseSurface):
    """Turns gestures of mouse and keyboard into points; what becomes of them is decided by its owner."""

    removal_wanted = Signal(object)  # mark ids
    page_wanted = Signal(int)  # -1 or 1: the picture before or after
    letter_pressed = Signal(str)  # a letter that is no tool
    leave_wanted = Signal()

    def __init__(self, queue: WorkerQueue, parent: QWidget | None = None) -> None:
        super().__init__(queue, parent)
        self.setObjectName("canvas-surface")
        self.setAccessibleName("Picture with its marks")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

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
