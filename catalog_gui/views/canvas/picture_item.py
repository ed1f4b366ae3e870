"""Draws the picture on the canvas: a preview at once, then the whole, with halved copies for every zoom."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter, QPixmap
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from catalog_gui.domain.photo import Raster
from catalog_gui.jobs.worker_queue import Reporter
from catalog_gui.views import theme

_STRIP = 48
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
