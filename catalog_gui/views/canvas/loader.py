"""Fetches the picture of the canvas: what is at hand, then the whole, then its halves."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QObject, QRectF, QTimer, Signal

from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import Cancelled, PictureSuspected
from catalog_gui.jobs.worker_queue import Reporter, Ticket, WorkerQueue
from catalog_gui.presenting.failure import failure_reason
from catalog_gui.views.canvas.picture_item import Level, PictureItem, level_of, levels_of
from catalog_gui.views.widgets.pictures import PictureSource

PREVIEW_EDGE = 1280


_SHARPEN_MS = 250


_LARGEST_PIECE = 4096


class PictureLoader(QObject):
    """Fetches one picture at a time for an item: what is at hand, then the whole, then its halves."""

    came = Signal(bool)  # something new can be seen; True when it is the whole picture
    refused = Signal(str)
    suspected = Signal(Photo)  # it is decoded only after the user asked for it

    def __init__(
        self, pictures: PictureSource, item: PictureItem, queue: WorkerQueue, parent: QObject
    ) -> None:
        super().__init__(parent)
        self._pictures = pictures
        self._item = item
        self._queue = queue
        self._photo: Photo | None = None
        self._ticket: Ticket[tuple[Level, ...]] | None = None
        self._sharper: Ticket[Level] | None = None
        self._look: tuple[QRectF, float] = (QRectF(), 0.0)
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(_SHARPEN_MS)
        self._later.timeout.connect(self._sharpen)
        pictures.ready.connect(self._on_ready)
        pictures.refused.connect(self._on_refused)

    def open(self, photo: Photo, *, again: bool = False) -> None:
        """Forget the last picture and fetch this one; `again` even if the program ended over it before."""
        self.stop()
        self._photo = photo
        self._item.begin(photo.upright_size)
        self._fetch_preview()

        decoder = self._pictures.decoder

        def call(reporter: Reporter) -> tuple[Level, ...]:
            if again:
                decoder.try_again(photo)
            first = level_of(decoder.whole(photo))
            reporter.check()
            reporter.progress(first)
            return levels_of(first, reporter)

        def shown(level: object) -> None:
            if again:
                self._pictures.forget(photo.id)
            if self._photo is photo and isinstance(level, Level):
                self._item.set_levels((level,))
                self.came.emit(True)

        def done(levels: tuple[Level, ...]) -> None:
            if self._photo is photo:
                self._item.set_levels(levels)

        def failed(error: Exception) -> None:
            if self._photo is photo and not isinstance(error, Cancelled):
                self.refused.emit(failure_reason(error))
                if isinstance(error, PictureSuspected):
                    self.suspected.emit(photo)

        self._ticket = self._queue.submit(call, done=done, failed=failed, progress=shown)

    def stop(self) -> None:
        """Nobody waits for the picture any longer."""
        self._later.stop()
        for ticket in (self._ticket, self._sharper):
            if ticket is not None:
                ticket.drop()
        self._ticket, self._photo = None, None

    def look_at(self, shown: QRectF, zoom: float) -> None:
        """Note what is looked at now, in picture pixels; a vast picture is decoded again there, once that rests."""
        self._look = (shown, zoom)
        self._later.start()

    def _sharpen(self) -> None:
        photo, whole, (shown, zoom) = self._photo, self._item.whole, self._look
        wanted = min(zoom, 1.0)
        if photo is None or whole is None or whole.scale > 0.97 or wanted < whole.scale * 1.1:
            return
        seen = shown.intersected(self._item.boundingRect())
        there = self._item.piece
        if seen.isEmpty() or (there and there[0].contains(seen) and there[1].scale > wanted * 0.9):
            return
        more = 0.15 * max(seen.width(), seen.height())
        box = seen.adjusted(-more, -more, more, more).intersected(self._item.boundingRect())
        box = QRectF(box.toAlignedRect())
        edge = min(_LARGEST_PIECE, round(max(box.width(), box.height()) * wanted))
        corners = (box.left(), box.top(), box.right(), box.bottom())
        decoder = self._pictures.decoder

        def done(level: Level) -> None:
            if self._photo is photo:
                self._item.set_piece(box, replace(level, scale=level.image.width() / box.width()))

        if self._sharper is not None:
            self._sharper.drop()
        self._sharper = self._queue.submit(
            lambda _: level_of(decoder.piece(photo, corners, edge)), done=done, failed=lambda _: None
        )

    def _fetch_preview(self) -> None:
        if self._photo is None or self._item.whole is not None:
            return
        preview = self._pictures.pixmap(self._photo, PREVIEW_EDGE)
        if preview is not None and not preview.isNull():
            self._item.set_preview(preview)
            self.came.emit(False)

    def _on_ready(self, photo_id: str) -> None:
        if self._photo is not None and self._photo.id == photo_id:
            self._fetch_preview()

    def _on_refused(self, photo_id: str, reason: str) -> None:
        if self._photo is not None and self._photo.id == photo_id:
            self.refused.emit(reason)
