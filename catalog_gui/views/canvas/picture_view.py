"""Shows the picture with its marks as one looks at it: zoom, pan, labels that find their places."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from PySide6.QtCore import QEvent, QPointF, QRect, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import (
    QColor,
    QInputDevice,
    QNativeGestureEvent,
    QPainter,
    QResizeEvent,
    QTransform,
    QWheelEvent,
)
from PySide6.QtWidgets import QFrame, QGraphicsScene, QGraphicsView, QWidget

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.domain.plane import Point
from catalog_gui.jobs.worker_queue import WorkerQueue
from catalog_gui.presenting.canvas.sketch import (
    MOST_LABELS,
    Ground,
    Sketch,
    bounds_of,
    distance_to,
    labels_for,
    offsets,
    outline,
    sketch,
    strokes_as_boxes,
    target_of,
)
from catalog_gui.views import theme
from catalog_gui.views.canvas.ink import paint_cross, paint_sketch, text_sizes
from catalog_gui.views.canvas.picture_item import PictureItem

NEAR_PX = 9.0
_SETTLE_MS = 90
_MOST_ZOOM = 40.0


class MarkedPicture(QGraphicsView):
    """Shows a picture and its marks; gestures belong to the surface built on it."""

    looked = Signal()  # zoom or place changed

    def __init__(self, queue: WorkerQueue, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._queue = queue
        self.picture = PictureItem()
        scene = QGraphicsScene(self)
        scene.addItem(self.picture)
        self.setScene(scene)
        self._size = (0, 0)
        self._marks: dict[str, Mark] = {}
        self._captions: Mapping[str, tuple[str, ...]] = {}
        self._chosen: tuple[str, ...] = ()
        self._handle: int | None = None
        self.draft_words: Callable[[Mark], tuple[str, ...]] = lambda _mark: ()
        self._hidden = False
        self._fitted = True
        self._sizes = text_sizes(1.0)
        self._places: dict[str, Point] = {}
        self._asked = 0
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(_SETTLE_MS)
        self._settle.timeout.connect(self._place_labels)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setViewportUpdateMode(QGraphicsView.ViewportUpdateMode.FullViewportUpdate)
        self.setTransformationAnchor(QGraphicsView.ViewportAnchor.NoAnchor)
        self.setResizeAnchor(QGraphicsView.ViewportAnchor.AnchorViewCenter)
        self.setAlignment(Qt.AlignmentFlag.AlignCenter)

    # --- what is shown -------------------------------------------------------------------------

    def show_picture(self, size: tuple[int, int]) -> None:
        """Another picture of this upright size: nothing drawn, all of it in view."""
        self._size = size
        wide, high = size
        self.setSceneRect(-wide, -high, 3.0 * wide, 3.0 * high)
        self._marks, self._captions, self._places = {}, {}, {}
        self.fit()

    def show_marks(self, marks: Sequence[Mark], captions: Mapping[str, tuple[str, ...]]) -> None:
        """The marks of the picture with the words beside them."""
        self._marks = {mark.id: mark for mark in marks}
        self._captions = captions
        self._places = {key: place for key, place in self._places.items() if key in self._marks}
        self._settle.start()
        self.viewport().update()

    def marks(self) -> tuple[Mark, ...]:
        """The marks as they stand on the surface."""
        return tuple(self._marks.values())

    def places(self) -> Mapping[str, Point]:
        """Where the labels stand: offsets of their top left corners from their targets."""
        return dict(self._places)

    def ground(self) -> Ground:
        """How the picture lies in the window now."""
        at = self.viewportTransform()
        return Ground(at.m11(), at.dx(), at.dy())

    def sketch_now(self) -> Sketch:
        """What is drawn over the picture now."""
        return sketch(
            [] if self._hidden else list(self._marks.values()),
            self._captions,
            self.ground(),
            places=self._places,
            text_size=self._sizes,
            chosen=() if self._hidden else self._chosen,
            handle_at=self._handle,
        )

    @property
    def settled(self) -> bool:
        """Whether every label stands where it will stay."""
        return not self._settle.isActive() and self._asked == 0

    @property
    def hidden(self) -> bool:
        """Whether the marks are put away."""
        return self._hidden

    def set_hidden(self, hidden: bool) -> None:
        """Look at the bare picture."""
        self._hidden = hidden
        self.viewport().update()

    def mark_at(self, where: QPointF) -> str:
        """The mark whose label or line is under a place of the window, '' for none."""
        at = (where.x(), where.y())
        for note in reversed(self.sketch_now().notes):
            if note.box[0] <= at[0] <= note.box[2] and note.box[1] <= at[1] <= note.box[3]:
                return note.mark_id
        ground = self.ground()
        near = [(distance_to(mark, ground, at), mark.id) for mark in reversed(self._marks.values())]
        near = [one for one in near if one[0] <= NEAR_PX]
        return min(near)[1] if near else ""

    def draft_mark(self) -> Mark | None:
        """The mark that is being drawn, None for none."""
        return None

    def cross_at(self) -> Point | None:
        """Where the cross-hair stands on the picture, None while there is none."""
        return None

    # --- zoom and pan --------------------------------------------------------------------------

    @property
    def zoom(self) -> float:
        """Screen pixels a picture pixel."""
        return self.transform().m11()

    def fit(self) -> None:
        """All of the picture in view."""
        wide, high = self._size
        if not (wide and high):
            return
        room = self.viewport().size()
        factor = min(max(room.width() - 16, 50) / wide, max(room.height() - 16, 50) / high)
        self.setTransform(QTransform.fromScale(factor, factor))
        self.centerOn(wide / 2, high / 2)
        self._fitted = True
        self._after_look()

    def zoom_to(self, factor: float, at: QPointF | None = None) -> None:
        """Zoom so that the place `at` of the window (its middle) stays where it is."""
        if not self._size[0]:
            return
        room = self.viewport().size()
        least = min(room.width() / self._size[0], room.height() / self._size[1]) / 3
        factor = min(max(factor, least), _MOST_ZOOM)
        where = at or QPointF(room.width() / 2, room.height() / 2)
        fixed = self.ground().back((where.x(), where.y()))
        self.setTransform(QTransform.fromScale(factor, factor))
        now = self.ground().at(fixed)
        self._shift(now[0] - where.x(), now[1] - where.y())
        self._fitted = False
        self._after_look()

    def _shift(self, dx: float, dy: float) -> None:
        for bar, by in ((self.horizontalScrollBar(), dx), (self.verticalScrollBar(), dy)):
            bar.setValue(bar.value() + round(by))

    def _after_look(self) -> None:
        self._settle.start()
        self.looked.emit()
        self.viewport().update()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """A wheel zooms where the mouse is; two fingers on a touchpad move the picture, with Ctrl they zoom."""
        fine = event.pixelDelta()
        touch = event.pointingDevice().type() == QInputDevice.DeviceType.TouchPad
        if touch and not fine.isNull() and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self._shift(-fine.x(), -fine.y())
            self._after_look()
        else:
            steps = (event.angleDelta().y() or event.angleDelta().x()) / 120
            self.zoom_to(self.zoom * 1.25**steps, event.position())
        event.accept()

    def viewportEvent(self, event: QEvent) -> bool:
        """Pinching on a touchpad zooms."""
        if isinstance(event, QNativeGestureEvent) and (
            event.gestureType() == Qt.NativeGestureType.ZoomNativeGesture
        ):
            self.zoom_to(self.zoom * (1 + event.value()), event.position())
            return True
        return super().viewportEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A picture that filled the window goes on filling it."""
        super().resizeEvent(event)
        if self._fitted:
            self.fit()
        else:
            self._after_look()

    # --- labels --------------------------------------------------------------------------------

    def _place_labels(self) -> None:
        """Ask for good places beside the GUI; a newer question makes older answers worthless."""
        ground = self.ground()
        room = self.viewport().rect()
        view = (4.0, 4.0, room.width() - 4.0, room.height() - 4.0)
        seen = [mark for mark in self._marks.values() if self._labelled(mark, ground, view)]
        seen.sort(key=lambda mark: mark.id not in self._chosen)
        seen = seen[:MOST_LABELS]
        labels = labels_for(seen, self._captions, ground, self._sizes)
        avoid = strokes_as_boxes(list(self._marks.values()), ground)
        if not labels:
            self._places = {}
            self._asked = 0
            self.viewport().update()
            return
        self._asked += 1
        number = self._asked

        def done(found: dict[str, Point]) -> None:
            if number == self._asked:
                self._asked = 0
                self._places = found
                self.viewport().update()

        def failed(_error: Exception) -> None:
            if number == self._asked:
                self._asked = 0

        self._queue.submit(lambda _: offsets(labels, view, avoid), done=done, failed=failed)

    def _labelled(self, mark: Mark, ground: Ground, view: tuple[float, float, float, float]) -> bool:
        x0, y0, x1, y1 = target_of(mark, ground)
        if x1 < view[0] or x0 > view[2] or y1 < view[1] or y0 > view[3]:
            return False
        if mark.id in self._chosen or mark.kind not in {MarkKind.LINE, MarkKind.POLYLINE}:
            return True
        box = bounds_of(outline(mark, ground)[0])
        return math.hypot(box[2] - box[0], box[3] - box[1]) > 30  # shorter ones only show it when nearer

    # --- painting ------------------------------------------------------------------------------

    def drawBackground(self, painter: QPainter, rect: QRectF | QRect) -> None:
        """The bench around the picture."""
        painter.fillRect(rect, QColor(theme.tones().ground))

    def drawForeground(self, painter: QPainter, rect: QRectF | QRect) -> None:
        """Marks in window pixels, so that lines and letters keep their size at any zoom."""
        painter.save()
        painter.resetTransform()
        paint_sketch(painter, self.sketch_now())
        preview = self.draft_mark()
        if preview is not None:
            words = self.draft_words(preview)
            paint_sketch(
                painter,
                sketch(
                    [preview],
                    {"": words},
                    self.ground(),
                    places={"": (7.0, 9.0)},
                    text_size=self._sizes,
                    chosen=("",),
                ),
            )
        cross = self.cross_at()
        if cross is not None:
            paint_cross(painter, self.ground().at(cross), QRectF(self.viewport().rect()))
        if self.hasFocus():
            painter.setPen(QColor(theme.tones().moss))
            painter.drawRect(self.viewport().rect().adjusted(0, 0, -1, -1))
        painter.restore()
