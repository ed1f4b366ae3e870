"""How pictures look, in a few hundred bytes: the colours of the whole, of its middle and of the ground.

What a find grows in, and its own colour, stay from picture to picture while light, distance and part
change. So only hue and chroma are counted (CIELAB a* and b*, D65), not lightness; coarse and with soft
borders between the boxes. Brightness, gradients and edges were tried on the demo foray: alone they tell no
better than chance which neighbouring pictures show one find, and beside the colours they add nothing.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from catalog_gui.domain.photo import Photo, Raster
from catalog_gui.photos.previews import Previews

_EDGE = 64  # px to which a preview is reduced; twice as many tell no more
_BOXES = 12  # along a* and along b*
_A, _B = (-60.0, 60.0), (-45.0, 85.0)  # what of a* and b* is told apart; the rest counts with the border
_ZONES = 3
_LEAST_EDGE = 16  # px; less is no picture to judge by
_LEAST_CHROMA = 2.0  # mean C*ab below which a picture is grey: two grey ones are not alike for that
LENGTH = _ZONES * _BOXES * _BOXES
"""Bytes of a look."""

_NO_COLOUR = b"-"  # kept for pictures that have no look, so that they are not looked at again

Vector = NDArray[np.float32]
Plane = NDArray[np.float64]

_LINEAR = np.where(
    np.arange(256) <= 10, np.arange(256) / 255 / 12.92, ((np.arange(256) / 255 + 0.055) / 1.055) ** 2.4
)
_TO_XYZ = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]]
)
_TO_XYZ /= _TO_XYZ.sum(axis=1, keepdims=True)
"""Linear sRGB to XYZ over white (IEC 61966-2-1)."""


def look_of(raster: Raster) -> bytes | None:
    """The look of an upright preview: `LENGTH` bytes; None for what has no colour or is too small."""
    if min(raster.width, raster.height) < _LEAST_EDGE or len(raster.rgb) < raster.width * raster.height * 3:
        return None
    picture = Image.frombytes("RGB", (raster.width, raster.height), raster.rgb)
    scale = min(1.0, _EDGE / max(picture.size))
    size = max(1, round(picture.width * scale)), max(1, round(picture.height * scale))
    small = np.asarray(picture.resize(size, Image.Resampling.BOX))
    a, b = _chroma(small)
    if float(np.hypot(a, b).mean()) < _LEAST_CHROMA:
        return None
    height, width = a.shape
    across = np.abs((np.arange(width) + 0.5) / width - 0.5)[None, :]
    down = ((np.arange(height) + 0.5) / height - 0.5)[:, None]
    middle = np.maximum(across, np.abs(down)) < 0.28
    zones = (np.ones_like(middle), middle, ~middle & (down > 0.0))
    counted = np.concatenate([_counted(a[zone], b[zone]) for zone in zones])
    boxes: NDArray[np.uint8] = np.rint(255.0 * np.sqrt(counted)).astype(np.uint8)
    return bytes(boxes)


def vector_of(look: bytes) -> Vector:
    """A look as unit vector: the product of two is their likeness (Bhattacharyya coefficient, 0 to 1)."""
    vector = np.frombuffer(look, np.uint8).astype(np.float32)
    return np.asarray(vector / (float(np.linalg.norm(vector)) or 1.0), np.float32)


def _chroma(rgb: NDArray[np.uint8]) -> tuple[Plane, Plane]:
    """CIELAB a* and b* of sRGB pixels (CIE 15)."""
    xyz = _LINEAR[rgb] @ _TO_XYZ.T
    f = np.where(xyz > 0.008856, np.cbrt(xyz), 7.787 * xyz + 16 / 116)
    return 500.0 * (f[..., 0] - f[..., 1]), 200.0 * (f[..., 1] - f[..., 2])


def _counted(a: Plane, b: Plane) -> NDArray[np.float64]:
    """Shares of the boxes; every pixel is shared among the four boxes around it."""
    x, y = _along(a, _A), _along(b, _B)
    left, low = x.astype(np.int64), y.astype(np.int64)
    right, high = x - left, y - low
    total = np.zeros(_BOXES * _BOXES)
    for step_x, share_x in ((0, 1.0 - right), (1, right)):
        for step_y, share_y in ((0, 1.0 - high), (1, high)):
            boxes = (left + step_x) * _BOXES + low + step_y
            total += np.bincount(boxes, weights=share_x * share_y, minlength=len(total))
    return total / max(float(total.sum()), 1e-9)


def _along(values: Plane, span: tuple[float, float]) -> NDArray[np.float64]:
    place = (values - span[0]) / (span[1] - span[0]) * (_BOXES - 1)
    return np.clip(place, 0.0, _BOXES - 1 - 1e-6)


class KeptLooks:
    """Looks of pictures that were shown once, kept beside their previews; two of them called give a likeness.

    This is the `Likeness` that the sorting asks for. It never opens a picture: what was not shown yet is
    unknown. May be used from several threads.
    """

    def __init__(self, previews: Previews) -> None:
        self._previews = previews
        self._known: dict[str, Vector | None] = {}
        self._missing: set[str] = set()

    def __call__(self, one: Photo, two: Photo) -> float | None:
        """0 (no colour in common) to 1 (the same colours in the same shares); None where one is unknown."""
        first, second = self._vector(key_of(one)), self._vector(key_of(two))
        if first is None or second is None:
            return None
        return float(np.dot(first, second))

    def knows(self, photo: Photo) -> bool:
        """Whether this picture has been looked at, grey or not."""
        key = key_of(photo)
        self._vector(key)
        return key in self._known

    def take(self, photo: Photo, raster: Raster) -> None:
        """Look at a preview of this picture, once."""
        if self.knows(photo):
            return
        key, look = key_of(photo), look_of(raster)
        self._previews.keep_look(key, look or _NO_COLOUR)
        self._known[key] = vector_of(look) if look is not None else None
        self._missing.discard(key)

    def _vector(self, key: str) -> Vector | None:
        if key not in self._known and key not in self._missing:
            look = self._previews.kept_look(key)
            if look is None or len(look) not in (LENGTH, len(_NO_COLOUR)):
                self._missing.add(key)
            else:
                self._known[key] = vector_of(look) if len(look) == LENGTH else None
        return self._known.get(key)


def key_of(photo: Photo) -> str:
    """By what a picture's previews and look are kept: its quick fingerprint."""
    return photo.quick_key or photo.id
