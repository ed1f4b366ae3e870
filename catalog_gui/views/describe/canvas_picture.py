"""The picture on the canvas: a preview at once, then the whole, with halved copies for every zoom."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, QRectF, QTimer, Signal
from PySide6.QtGui import QColor, QImage, QPainter, QPixmap
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from catalog_gui.domain.photo import Photo, Raster
from catalog_gui.domain.problem import Cancelled
from catalog_gui.jobs.lane import Lane, Reporter, Ticket
from catalog_gui.views import theme
from catalog_gui.views.widgets.pictures import PictureSource

PREVIEW_EDGE = 1280
_STRIP = 48
_SHARPEN_MS = 250
_LARGEST_PIECE = 4096
_SMALLEST_EDGE = 1400
_MOST_SAMPLES = 64  # per side of a colour patch

Pixels = NDArray[np.uint8]


@dataclass(frozen=True, slots=True, eq=False)
class Level:
    """The picture at `scale` pixels a picture pixel. `owner` keeps the memory behind `image` alive."""

    image: QImage
    scale: float
    owner: object = None


def as_array(image: QImage) -> Pixels:
    """The bytes of an image, height x width x bytes a pixel, without copying."""
    deep = image.depth() // 8
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    return rows[:, : image.width() * deep].reshape(image.height(), image.width(), deep)


def halved(image: QImage) -> Level:
    """Half the size, each pixel the mean of four. Runs beside the GUI: numpy lets other threads work meanwhile."""
    source = as_array(image)
    high, wide, deep = source.shape[0] // 2, source.shape[1] // 2, source.shape[2]
    row = (wide * deep + 3) // 4 * 4
    out = np.empty((high, row), np.uint8)
    for top in range(0, high, _STRIP):
        strip = source[2 * top : 2 * min(high, top + _STRIP), : 2 * wide].astype(np.uint16)
        four = strip[0::2, 0::2] + strip[1::2, 0::2] + strip[0::2, 1::2] + strip[1::2, 1::2] + 2
        out[top : top + len(four), : wide * deep] = (four >> 2).astype(np.uint8).reshape(len(four), -1)
    return Level(QImage(out.data, wide, high, row, image.format()), 1.0, out)


def level_of(raster: Raster) -> Level:
    """Decoded pixels as they are: turning 50 million of them into another format would hold up every thread."""
    row = 3 * raster.width
    image = QImage(raster.rgb, raster.width, raster.height, row, QImage.Format.Format_RGB888)
    return Level(image, raster.scale, raster.rgb)


def levels_of(first: Level, reporter: Reporter) -> tuple[Level, ...]:
    """The picture and its halves down to the size of a screen."""
    found = [first]
    while max(found[-1].image.width(), found[-1].image.height()) > _SMALLEST_EDGE:
        reporter.check()
        half = halved(found[-1].image)
        found.append(Level(half.image, first.scale * half.image.width() / first.image.width(), half.owner))
    return tuple(found)


class PictureItem(QGraphicsItem):
    """Draws what is there of the picture, from the copy that fits the zoom. Scene units: upright picture pixels."""

    def __init__(self) -> None:
        super().__init__()
        self._size = (0, 0)
        self._levels: tuple[Level, ...] = ()
        self._preview: QPixmap | None = None
        self._piece: tuple[QRectF, Level] | None = None
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemUsesExtendedStyleOption)

    def begin(self, size: tuple[int, int]) -> None:
        """Another picture, nothing of it there yet."""
        self.prepareGeometryChange()
        self._size = size
        self._levels, self._preview, self._piece = (), None, None
        self.update()

    def set_preview(self, preview: QPixmap) -> None:
        """Show this until the whole picture comes."""
        self._preview = preview
        self.update()

    def set_levels(self, levels: tuple[Level, ...]) -> None:
        """Show the picture itself."""
        self._levels = levels
        self.update()

    def set_piece(self, box: QRectF, level: Level) -> None:
        """Show this part sharper than the whole picture is: for one too large to be decoded whole."""
        self._piece = (box, level)
        self.update()

    @property
    def piece(self) -> tuple[QRectF, Level] | None:
        """The part that is there sharper than the rest."""
        return self._piece

    @property
    def whole(self) -> Level | None:
        """The picture itself, once it is decoded."""
        return self._levels[0] if self._levels else None

    @property
    def anything(self) -> bool:
        """Whether there is something to see."""
        return bool(self._levels) or self._preview is not None

    def boundingRect(self) -> QRectF:
        """The whole upright picture."""
        return QRectF(0, 0, *self._size)

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionGraphicsItem,
        widget: QWidget | None = None,
    ) -> None:
        """Only the exposed part, from the smallest copy that is sharp enough."""
        shown = option.exposedRect.intersected(self.boundingRect())
        if shown.isEmpty():
            return
        zoom = painter.worldTransform().m11() * painter.device().devicePixelRatioF()
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, on=zoom < 6)
        level = next((one for one in reversed(self._levels) if one.scale >= zoom * 0.97), self.whole)
        if level is not None:
            painter.drawImage(shown, level.image, _scaled(shown, level.image.width() / self._size[0]))
            if self._piece is not None and zoom > level.scale:
                box, sharp = self._piece
                part = shown.intersected(box)
                painter.drawImage(part, sharp.image, _scaled(part.translated(-box.topLeft()), sharp.scale))
        elif self._preview is not None:
            factor_x = self._preview.width() / self._size[0]
            factor_y = self._preview.height() / self._size[1]
            part = QRectF(
                shown.x() * factor_x,
                shown.y() * factor_y,
                shown.width() * factor_x,
                shown.height() * factor_y,
            )
            painter.drawPixmap(shown, self._preview, part)
        else:
            painter.fillRect(shown, QColor(theme.tones().sunken))

    def patch(self, box: tuple[float, float, float, float]) -> list[tuple[float, float, float]]:
        """sRGB pixels (0 to 255) inside left, top, right, bottom of the picture; few enough to be quick.

        Empty while the whole picture is not there.
        """
        whole = self.whole
        if whole is None:
            return []
        pixels = as_array(whole.image)
        x0, y0, x1, y1 = (round(edge * whole.scale) for edge in box)
        x0, y0 = max(0, x0), max(0, y0)
        x1, y1 = min(pixels.shape[1], max(x1, x0 + 1)), min(pixels.shape[0], max(y1, y0 + 1))
        if x1 <= x0 or y1 <= y0:
            return []
        step_x, step_y = -(-(x1 - x0) // _MOST_SAMPLES), -(-(y1 - y0) // _MOST_SAMPLES)
        part = pixels[y0:y1:step_y, x0:x1:step_x].reshape(-1, pixels.shape[2])
        order = (0, 1, 2) if whole.image.format() == QImage.Format.Format_RGB888 else (2, 1, 0)
        return [(float(p[order[0]]), float(p[order[1]]), float(p[order[2]])) for p in part]


def _scaled(box: QRectF, by: float) -> QRectF:
    return QRectF(box.x() * by, box.y() * by, box.width() * by, box.height() * by)


class PictureLoader(QObject):
    """Fetches one picture at a time for an item: what is at hand, then the whole, then its halves."""

    came = Signal(bool)  # something new can be seen; True when it is the whole picture
    refused = Signal(str)

    def __init__(self, pictures: PictureSource, item: PictureItem, lane: Lane, parent: QObject) -> None:
        super().__init__(parent)
        self._pictures = pictures
        self._item = item
        self._lane = lane
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

    def open(self, photo: Photo) -> None:
        """Forget the last picture and fetch this one."""
        self.stop()
        self._photo = photo
        self._item.begin(photo.upright_size)
        self._fetch_preview()

        decoder = self._pictures.decoder

        def call(reporter: Reporter) -> tuple[Level, ...]:
            first = level_of(decoder.whole(photo))
            reporter.check()
            reporter.progress(first)
            return levels_of(first, reporter)

        def shown(level: object) -> None:
            if self._photo is photo and isinstance(level, Level):
                self._item.set_levels((level,))
                self.came.emit(True)

        def done(levels: tuple[Level, ...]) -> None:
            if self._photo is photo:
                self._item.set_levels(levels)

        def failed(error: Exception) -> None:
            if self._photo is photo and not isinstance(error, Cancelled):
                self.refused.emit(getattr(error, "reason", str(error)))

        self._ticket = self._lane.submit(call, done=done, failed=failed, progress=shown)

    def stop(self) -> None:
        """Nobody waits for the picture any longer."""
        self._later.stop()
        for ticket in (self._ticket, self._sharper):
            if ticket is not None:
                ticket.drop()
        self._ticket, self._photo = None, None

    def look_at(self, shown: QRectF, zoom: float) -> None:
        """What she looks at now, in picture pixels; a vast picture is decoded again there, once she rests."""
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
        self._sharper = self._lane.submit(
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
