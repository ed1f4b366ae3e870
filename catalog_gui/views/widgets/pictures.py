"""Gives pictures to widgets: whatever is at hand at once, the sharp one as soon as it is decoded."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Container
from dataclasses import dataclass

from PySide6.QtCore import QObject, QPoint, QRect, QSize, Qt, Signal
from PySide6.QtGui import QImage, QPixmap

from catalog_gui.domain.photo import Photo, Raster
from catalog_gui.domain.plane import Box
from catalog_gui.domain.problem import Cancelled
from catalog_gui.jobs.worker_queue import Reporter, Ticket, WorkerQueue
from catalog_gui.presenting.failure import failure_words
from catalog_gui.workflows.ports import Pictures

Fit = tuple[int, int]


def image_of(raster: Raster) -> QImage:
    """A QImage with its own copy of the pixels; may be made in any thread."""
    view = QImage(raster.rgb, raster.width, raster.height, raster.width * 3, QImage.Format.Format_RGB888)
    return view.convertToFormat(QImage.Format.Format_RGB32)


def fitted_image(raster: Raster, fit: Fit | None) -> QImage:
    """The raster as an image, scaled to lie within `fit` (px) where that is given; in the worker's thread."""
    image = image_of(raster)
    if fit is None:
        return image
    return image.scaled(
        QSize(*fit), Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation
    )


@dataclass(frozen=True, slots=True)
class _Wish:
    """What a widget asked for."""

    photo_id: str
    edge: int
    box: Box | None
    fit: Fit | None


class PictureSource(QObject):
    """Decodes off the GUI thread, newest request first, and keeps the last ones it made.

    `pixmap` returns what it has (maybe coarse, maybe None) and asks for better; `ready(photo_id)` follows
    when better has come. `refused(photo_id, reason)` follows when a picture cannot be shown.
    """

    ready = Signal(str)
    refused = Signal(str, str)

    def __init__(self, pictures: Pictures, *, keep: int = 600, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pictures = pictures
        self._queue = WorkerQueue("pictures", threads=2, newest_first=True, parent=self)
        self._kept: OrderedDict[_Wish, tuple[QPixmap, bool]] = OrderedDict()
        self._any_size: dict[tuple[str, Box | None], _Wish] = {}
        self._asked: dict[_Wish, Ticket[QImage]] = {}
        self._bad: dict[str, str] = {}
        self._keep = keep

    @property
    def decoder(self) -> Pictures:
        """What decodes, for work in other threads that needs pixels rather than pixmaps."""
        return self._pictures

    def pixmap(
        self, photo: Photo, edge: int, box: Box | None = None, *, fit: Fit | None = None
    ) -> QPixmap | None:
        """The picture with its longer side near `edge` px (of the piece `box` of it), or None for now.

        With `fit` (width, height in px) it comes scaled to lie within that, so that painting it costs
        nothing; until it does, another size of it may be returned.
        """
        wish = _Wish(photo.id, edge, box, fit)
        found = self._kept.get(wish)
        if found is not None:
            self._kept.move_to_end(wish)
            if found[1]:
                return found[0]
        if wish not in self._asked and photo.id not in self._bad:
            self._ask(photo, wish)
        if found is None and fit is not None:
            found = self._kept.get(self._any_size.get((photo.id, box), wish))
        return found[0] if found is not None else None

    def problem(self, photo_id: str) -> str:
        """Why this picture cannot be shown, or ''."""
        return self._bad.get(photo_id, "")

    def forget(self, photo_id: str) -> None:
        """Look at the file again next time (it moved, or its card came back)."""
        self._bad.pop(photo_id, None)
        for wish in [wish for wish in self._kept if wish.photo_id == photo_id]:
            self._drop(wish)

    def drop_requests(self, photo_ids: Container[str]) -> None:
        """Forget requests that nobody waits for any longer; what is being decoded still comes."""
        for wish, ticket in list(self._asked.items()):
            if wish.photo_id in photo_ids and ticket.withdraw():
                del self._asked[wish]

    def whole(
        self, photo: Photo, then: Callable[[QImage, float], object], failed: Callable[[Exception], object]
    ) -> Ticket[tuple[QImage, float]]:
        """Decode the whole picture: `then(QImage, scale)` or `failed(error)` in the GUI thread."""

        def call(_: Reporter) -> tuple[QImage, float]:
            raster = self._pictures.whole(photo)
            return image_of(raster), raster.scale

        def done(outcome: tuple[QImage, float]) -> None:
            then(*outcome)

        return self._queue.submit(call, done=done, failed=failed)

    def close(self) -> None:
        """End the decoding threads."""
        self._queue.close()

    def _ask(self, photo: Photo, wish: _Wish) -> None:
        edge, box, fit = wish.edge, wish.box, wish.fit
        nothing_yet = (photo.id, box) not in self._any_size

        def call(reporter: Reporter) -> QImage:
            if box is None and nothing_yet:
                first = self._pictures.first_look(photo, edge)
                if first is not None:
                    if max(first.width, first.height) >= edge * 0.9:
                        return fitted_image(first, fit)
                    reporter.progress(fitted_image(first, fit))
            reporter.check()
            sharp = self._pictures.piece(photo, box, edge) if box else self._pictures.look(photo, edge)
            return fitted_image(sharp, fit)

        def arrived(image: object, *, sharp: bool) -> None:
            if isinstance(image, QImage):
                self._kept[wish] = (QPixmap.fromImage(image), sharp)
                self._kept.move_to_end(wish)
                self._any_size[photo.id, box] = wish
                while len(self._kept) > self._keep:
                    self._drop(next(iter(self._kept)))
                self.ready.emit(photo.id)

        def done(image: QImage) -> None:
            self._asked.pop(wish, None)
            arrived(image, sharp=True)

        def failed(error: Exception) -> None:
            self._asked.pop(wish, None)
            if not isinstance(error, Cancelled):
                self._bad[photo.id] = failure_words(error)
                self.refused.emit(photo.id, failure_words(error))

        self._asked[wish] = self._queue.submit(
            call, done=done, failed=failed, progress=lambda image: arrived(image, sharp=False)
        )

    def _drop(self, wish: _Wish) -> None:
        del self._kept[wish]
        if self._any_size.get((wish.photo_id, wish.box)) == wish:
            del self._any_size[wish.photo_id, wish.box]


def fitted(pixmap: QPixmap, box: QRect) -> QRect:
    """The largest box inside `box` with the picture's own proportions, on whole px."""
    size = pixmap.size().scaled(box.size(), Qt.AspectRatioMode.KeepAspectRatio)
    left = box.left() + (box.width() - size.width()) // 2
    top = box.top() + (box.height() - size.height()) // 2
    return QRect(QPoint(left, top), size)
