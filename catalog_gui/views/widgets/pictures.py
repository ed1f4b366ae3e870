"""Pictures for widgets: whatever is at hand at once, the sharp one as soon as it is decoded."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QImage, QPixmap

from catalog_gui.domain.photo import Photo, Raster
from catalog_gui.jobs.lane import Lane, Reporter, Ticket
from catalog_gui.workflows.ports import Pictures

Box = tuple[float, float, float, float]


def image_of(raster: Raster) -> QImage:
    """A QImage with its own copy of the pixels; may be made in any thread."""
    view = QImage(raster.rgb, raster.width, raster.height, raster.width * 3, QImage.Format.Format_RGB888)
    return view.convertToFormat(QImage.Format.Format_RGB32)


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
        self._lane = Lane("pictures", threads=2, newest_first=True, parent=self)
        self._kept: OrderedDict[tuple[str, int, Box | None], tuple[QPixmap, bool]] = OrderedDict()
        self._asked: dict[tuple[str, int, Box | None], Ticket[QImage]] = {}
        self._bad: dict[str, str] = {}
        self._keep = keep

    @property
    def decoder(self) -> Pictures:
        """What decodes, for work in other threads that needs pixels rather than pixmaps."""
        return self._pictures

    def pixmap(self, photo: Photo, edge: int, box: Box | None = None) -> QPixmap | None:
        """The picture with its longer side near `edge` px (of the piece `box` of it), or None for now."""
        key = (photo.id, edge, box)
        found = self._kept.get(key)
        if found is not None:
            self._kept.move_to_end(key)
            if found[1]:
                return found[0]
        if key not in self._asked and photo.id not in self._bad:
            self._ask(photo, edge, box)
        return found[0] if found is not None else None

    def problem(self, photo_id: str) -> str:
        """Why this picture cannot be shown, or ''."""
        return self._bad.get(photo_id, "")

    def forget(self, photo_id: str) -> None:
        """Look at the file again next time (it moved, or its card came back)."""
        self._bad.pop(photo_id, None)
        for key in [key for key in self._kept if key[0] == photo_id]:
            del self._kept[key]

    def drop_requests(self) -> None:
        """Nobody waits for what is queued any longer (she scrolled on)."""
        for key, ticket in list(self._asked.items()):
            ticket.drop()
            if not ticket.running:
                del self._asked[key]

    def whole(
        self, photo: Photo, then: Callable[[QImage, float], object], failed: Callable[[Exception], object]
    ) -> Ticket[tuple[QImage, float]]:
        """Decode the whole picture: `then(QImage, scale)` or `failed(error)` in the GUI thread."""

        def call(_: Reporter) -> tuple[QImage, float]:
            raster = self._pictures.whole(photo)
            return image_of(raster), raster.scale

        def done(outcome: tuple[QImage, float]) -> None:
            then(*outcome)

        return self._lane.submit(call, done=done, failed=failed)

    def close(self) -> None:
        """End the decoding threads."""
        self._lane.close()

    def _ask(self, photo: Photo, edge: int, box: Box | None) -> None:
        key = (photo.id, edge, box)

        def call(reporter: Reporter) -> QImage:
            if box is None and key not in self._kept:
                first = self._pictures.first_look(photo, edge)
                if first is not None:
                    if max(first.width, first.height) >= edge * 0.9:
                        return image_of(first)
                    reporter.progress(image_of(first))
            reporter.check()
            sharp = self._pictures.piece(photo, box, edge) if box else self._pictures.look(photo, edge)
            return image_of(sharp)

        def arrived(image: object, *, sharp: bool) -> None:
            if isinstance(image, QImage):
                self._kept[key] = (QPixmap.fromImage(image), sharp)
                self._kept.move_to_end(key)
                while len(self._kept) > self._keep:
                    self._kept.popitem(last=False)
                self.ready.emit(photo.id)

        def done(image: QImage) -> None:
            self._asked.pop(key, None)
            arrived(image, sharp=True)

        def failed(error: Exception) -> None:
            self._asked.pop(key, None)
            self._bad[photo.id] = str(error)
            self.refused.emit(photo.id, str(error))

        self._asked[key] = self._lane.submit(
            call, done=done, failed=failed, progress=lambda image: arrived(image, sharp=False)
        )
