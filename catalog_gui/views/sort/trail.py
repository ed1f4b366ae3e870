"""Works on the trail by hand: mouse, keys, touchpad, and pictures dragged from group to group."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPoint, Qt, Signal
from PySide6.QtGui import (
    QContextMenuEvent,
    QDrag,
    QDragEnterEvent,
    QDragLeaveEvent,
    QDragMoveEvent,
    QDropEvent,
    QHelpEvent,
    QInputDevice,
    QKeyEvent,
    QMouseEvent,
    QNativeGestureEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QApplication, QToolTip, QWidget

from catalog_gui.itemmodels.drag import PHOTO_MIME, mime_of, photos_in
from catalog_gui.presenting.sort.questions import question_above
from catalog_gui.views.sort.trail_card import answer_boxes
from catalog_gui.views.sort.trail_sheet import EDGES, TrailSheet
from catalog_gui.views.widgets.pictures import PictureSource


class TrailView(TrailSheet):
    """The trail that can be worked on."""

    opened = Signal(str)  # photo id, by double click
    asked = Signal(str, QPoint)  # what to do: a command key; where a menu should appear
    dropped = Signal(list, str)  # photo ids, group id ('' for a group of their own)
    answered = Signal(str, str, bool)  # 'join' or 'offer', its id, the same specimen or not

    def __init__(self, pictures: PictureSource, parent: QWidget | None = None) -> None:
        super().__init__(pictures, parent)
        self.viewport().setAcceptDrops(True)
        self.setAcceptDrops(True)
        self._press: QPoint | None = None

    def _answer_under(self, position: QPoint) -> tuple[str, str, bool] | None:
        x, y = self._there(position)
        row = self._layout.walk_at(x, y)
        asked = question_above(self._state.rows[row]) if row >= 0 else None
        if asked is None:
            return None
        for box, same in zip(answer_boxes(self._layout.cards[row]), (True, False), strict=True):
            if box.contains(x, y):
                return asked.kind, asked.key, same
        return None

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose; with Shift a run, with Ctrl one more; on a title the whole group; on an answer, give it."""
        position = event.position().toPoint()
        left = event.button() == Qt.MouseButton.LeftButton
        answer = self._answer_under(position) if left else None
        if answer is not None:
            self.answered.emit(*answer)
            return
        photo_id = self.photo_at(position)
        if photo_id:
            plain = event.modifiers() == Qt.KeyboardModifier.NoModifier
            if not (plain and photo_id in self._selected):
                self.choose(
                    photo_id,
                    extend=bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier),
                    add=bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier),
                )
            self._press = position if left else None
            return
        row = self._layout.card_at(*self._there(position))
        if row >= 0:
            self.choose_group(self._state.rows[row].group.id)
            self._press = position if left else None

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click on one of several chosen pictures chooses it alone."""
        if self._press is not None and event.modifiers() == Qt.KeyboardModifier.NoModifier:
            photo_id = self.photo_at(event.position().toPoint())
            if photo_id and len(self._selected) > 1:
                self.choose(photo_id)
        self._press = None

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag what is chosen to another group, or between groups for one of its own."""
        if self._press is None or not self._selected:
            return
        moved = (event.position().toPoint() - self._press).manhattanLength()
        if moved < QApplication.startDragDistance():
            return
        self._press = None
        chosen = self.selected()
        drag = QDrag(self)
        drag.setMimeData(mime_of(chosen))
        photo = self._state.photos.get(chosen[0])
        pixmap = self._pictures.pixmap(photo, EDGES[0]) if photo is not None else None
        if pixmap is not None:
            drag.setPixmap(pixmap.scaled(90, 90, Qt.AspectRatioMode.KeepAspectRatio))
        drag.exec(Qt.DropAction.MoveAction)
        self._show_over(None)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Open the picture large."""
        photo_id = self.photo_at(event.position().toPoint())
        if photo_id:
            self._press = None
            self.opened.emit(photo_id)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """Everything that can be done with what is chosen; by key the menu opens at the current picture."""
        if event.reason() == QContextMenuEvent.Reason.Keyboard:
            at = self.rect_of(self._current).center()
            self.asked.emit("menu", self.viewport().mapToGlobal(at))
            return
        photo_id = self.photo_at(event.pos())
        if photo_id and photo_id not in self._selected:
            self.choose(photo_id)
        self.asked.emit("menu", event.globalPos())

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Scroll, by the px where two fingers do it; with Ctrl the pictures grow and shrink."""
        fingers = event.deviceType() == QInputDevice.DeviceType.TouchPad and not event.pixelDelta().isNull()
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.zoom_by(1.001 ** event.angleDelta().y(), event.position().toPoint())
        elif fingers:
            bar = self.verticalScrollBar()
            bar.setValue(bar.value() - event.pixelDelta().y())
        else:
            super().wheelEvent(event)
            return
        event.accept()

    def viewportEvent(self, event: QEvent) -> bool:
        """Two fingers that spread make the pictures larger; a resting pointer says what is under it."""
        if (
            isinstance(event, QNativeGestureEvent)
            and event.gestureType() == Qt.NativeGestureType.ZoomNativeGesture
        ):
            self.zoom_by(max(0.1, 1 + event.value()), event.position().toPoint())
            return True
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            QToolTip.showText(event.globalPos(), self.words_at(event.pos()), self)
            return True
        return super().viewportEvent(event)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Pictures of ours only; folders go to the window."""
        if event.mimeData().hasFormat(PHOTO_MIME):
            event.acceptProposedAction()
        else:
            event.ignore()

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:
        """Show where they would land."""
        if not event.mimeData().hasFormat(PHOTO_MIME):
            event.ignore()
            return
        position = event.position().toPoint()
        self._show_over(self._landing(position))
        margin = 40
        bar = self.verticalScrollBar()
        if position.y() < margin:
            bar.setValue(bar.value() - 24)
        elif position.y() > self.viewport().height() - margin:
            bar.setValue(bar.value() + 24)
        event.acceptProposedAction()

    def dragLeaveEvent(self, event: QDragLeaveEvent) -> None:
        """They went elsewhere."""
        self._show_over(None)

    def dropEvent(self, event: QDropEvent) -> None:
        """Let go over a group: move there; between groups: a group of their own."""
        if not event.mimeData().hasFormat(PHOTO_MIME):
            event.ignore()
            return
        landing = self._landing(event.position().toPoint())
        self._show_over(None)
        event.acceptProposedAction()
        group_id = self._state.rows[landing[1]].group.id if landing and landing[0] == "card" else ""
        self.dropped.emit(photos_in(event.mimeData()), group_id)

    def _landing(self, position: QPoint) -> tuple[str, int] | None:
        x, y = self._there(position)
        row = self._layout.card_at(x, y)
        if row >= 0:
            return "card", row
        row = self._layout.walk_at(x, y)
        return ("walk", row) if row >= 0 else None

    def _show_over(self, over: tuple[str, int] | None) -> None:
        if over != self._over:
            self._over = over
            self.viewport().update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows walk; the letters are the page's own actions."""
        at = self._state.where.get(self._current)
        if at is None:
            super().keyPressEvent(event)
            return
        rows, key = self._state.rows, event.key()
        target: str | None = None
        if key in (Qt.Key.Key_Right, Qt.Key.Key_Left):
            target = self.neighbour(1 if key == Qt.Key.Key_Right else -1)
        elif key in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            there = self._layout.beneath(*at) if key == Qt.Key.Key_Down else self._layout.above(*at)
            target = rows[there[0]].photos[there[1]].id if there is not None else None
        elif key in (Qt.Key.Key_PageDown, Qt.Key.Key_PageUp):
            step = 1 if key == Qt.Key.Key_PageDown else -1
            target = rows[max(0, min(len(rows) - 1, at[0] + step))].photos[0].id
        elif key == Qt.Key.Key_Home:
            target = self._state.order[0]
        elif key == Qt.Key.Key_End:
            target = self._state.order[-1]
        elif key == Qt.Key.Key_Space:
            self.choose_group(rows[at[0]].group.id)
            return
        elif key == Qt.Key.Key_Escape and (self._lifted or len(self._selected) > 1):
            self._lifted = set()
            self.choose(self._current)
            return
        else:
            super().keyPressEvent(event)
            return
        if target is not None:
            self.choose(target, extend=bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier))
