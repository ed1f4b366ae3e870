"""Burns marks into a copy of the picture, at full resolution and outside the GUI thread."""

from __future__ import annotations

from typing import cast

import numpy as np
from PySide6.QtGui import QImage, QPainter

from catalog_gui.domain.photo import Raster
from catalog_gui.presenting.canvas.arranging import Arranged
from catalog_gui.views.canvas.ink import paint_sketch
from catalog_gui.views.canvas.picture_item import Level, as_array

_STRIP = 256


def burnt(level: Level, laid: Arranged) -> Raster:
    """The picture with its marks. The copying is done in strips, so that other threads are not held up."""
    source = as_array(level.image)[:, :, :3]
    if level.image.format() != QImage.Format.Format_RGB888:
        source = source[:, :, ::-1]
    width, height = laid.size
    out = np.full((height, width, 3), 255, np.uint8)
    for y in range(0, laid.height, _STRIP):
        part = source[y : y + _STRIP]
        out[laid.top + y : laid.top + y + len(part), laid.left : laid.left + laid.width] = part
    image = QImage(out.data, width, height, 3 * width, QImage.Format.Format_RGB888)
    painter = QPainter(image)
    paint_sketch(painter, laid.sketch, laid.unit)
    painter.end()
    # The array itself: copying 150 MB of it into bytes would hold up every thread.
    return Raster(width, height, cast("bytes", out.data.cast("B")), level.scale)


def plain(level: Level) -> Raster:
    """The picture as it is."""
    if isinstance(level.owner, bytes):
        return Raster(level.image.width(), level.image.height(), level.owner, level.scale)
    source = as_array(level.image)[:, :, :3]
    if level.image.format() != QImage.Format.Format_RGB888:
        source = source[:, :, ::-1]
    return Raster(level.image.width(), level.image.height(), source.tobytes(), level.scale)
