"""Pixels for the pages (the `Pictures` of the ports): kept previews first, the file itself when needed."""

from __future__ import annotations

import io
from pathlib import Path

from PIL import Image

from catalog_gui.domain.photo import Photo, Raster
from catalog_gui.domain.problem import PictureRefused
from catalog_gui.photos import pixels
from catalog_gui.photos.in_hand import InHand
from catalog_gui.photos.looks import KeptLooks, key_of
from catalog_gui.photos.previews import Previews

KEPT_EDGES = (160, 320, 640, 1280)
"""Sizes that are kept on disk; other wishes take the next larger one."""


class CachedPictures:
    """Upright pixels with a folder of previews behind it. May be called from several threads."""

    def __init__(self, folder: Path) -> None:
        self._previews = Previews(str(folder))
        self._in_hand = InHand(folder)
        self.looks = KeptLooks(self._previews)
        """How alike pictures look that were shown once."""

    def first_look(self, photo: Photo, edge: int) -> Raster | None:
        """A kept preview of this size, or what the camera embedded; None when there is neither."""
        kept = self._previews.kept(key_of(photo), _kept_edge(edge))
        if kept is not None:
            return self._looked_at(photo, _decoded(kept, photo))
        try:
            with self._in_hand.decoding(key_of(photo), photo.path):
                found = pixels.embedded_preview(photo.path)
        except PictureRefused:
            return None
        return self._looked_at(photo, _raster(found)) if found is not None else None

    def look(self, photo: Photo, edge: int) -> Raster:
        """A sharp picture, kept for the next time. A picture that is gone is shown from what was kept."""
        try:
            jpeg = self._previews.kept(key_of(photo), _kept_edge(edge))
            if jpeg is None:
                with self._in_hand.decoding(key_of(photo), photo.path):
                    jpeg = self._previews.get(photo.path, key_of(photo), _kept_edge(edge))
            return self._looked_at(photo, _decoded(jpeg, photo))
        except PictureRefused:
            for other in sorted(KEPT_EDGES, key=lambda size: abs(size - edge)):
                kept = self._previews.kept(key_of(photo), other)
                if kept is not None:
                    return _decoded(kept, photo)
            raise

    def whole(self, photo: Photo, most_pixels: int = 60_000_000) -> Raster:
        """The picture itself, reduced only when it has more than `most_pixels`."""
        width, height = photo.upright_size
        if width * height > most_pixels:
            edge = int(max(width, height) * (most_pixels / (width * height)) ** 0.5)
            with self._in_hand.decoding(key_of(photo), photo.path):
                return _raster(pixels.thumbnail(photo.path, edge))
        with self._in_hand.decoding(key_of(photo), photo.path):
            return _raster(pixels.upright(photo.path))

    def piece(self, photo: Photo, box: tuple[float, float, float, float], edge: int) -> Raster:
        """The part inside box (left, top, right, bottom), longer side at most `edge`."""
        left, top, right, bottom = box
        whole = (int(left), int(top), max(1, round(right - left)), max(1, round(bottom - top)))
        with self._in_hand.decoding(key_of(photo), photo.path):
            return _raster(pixels.region(photo.path, whole, edge))

    def try_again(self, photo: Photo) -> None:
        """Decode a picture again during whose decoding the program ended."""
        self._in_hand.allow(key_of(photo))

    def _looked_at(self, photo: Photo, raster: Raster) -> Raster:
        self.looks.take(photo, raster)
        return raster


def _kept_edge(edge: int) -> int:
    return next((size for size in KEPT_EDGES if size >= edge), KEPT_EDGES[-1])


def _decoded(jpeg: bytes, photo: Photo) -> Raster:
    with Image.open(io.BytesIO(jpeg)) as picture:
        picture.load()
        rgb = picture.convert("RGB")
    full = photo.upright_size[0] or rgb.width
    return Raster(rgb.width, rgb.height, rgb.tobytes(), rgb.width / full)


def _raster(found: pixels.Pixels) -> Raster:
    data = found.data
    row = found.width * 3
    if found.stride != row:
        data = b"".join(data[y * found.stride : y * found.stride + row] for y in range(found.height))
    scale = found.width / found.full_width if found.full_width else 1.0
    return Raster(found.width, found.height, data, scale)
