"""Upright pixels: pictures turned as they were held, in sRGB, whole, cut out or small."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import BinaryIO

from PIL import Image, ImageCms
from PIL.JpegImagePlugin import JpegImageFile

from catalog_gui.domain.problem import PictureRefused
from catalog_gui.photos.exif import embedded_jpeg
from catalog_gui.photos.metadata import PictureFacts, look
from catalog_gui.photos.opening import open_picture, readable, refused
from catalog_gui.photos.raw import EmbeddedJpeg, tiff_layout

MAX_DECODED = 120_000_000
"""Pixels decoded at once: 360 MB. JPEGs beyond it are decoded at a half, a quarter or an eighth."""

MAX_COEFFICIENT_BYTES = 640_000_000
"""What the coefficients of a progressive JPEG may take, bytes.

The decoder keeps them all, two bytes each, however small the picture is asked for (ITU T.81, G.1.1; measured:
a file of 567 bytes that claims 30,000 x 30,000 took 5.2 GB).
"""

_THUMBNAIL_QUALITY = 85
_SMALLEST_PREVIEW = 120

_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
"""EXIF orientation to what brings the stored picture upright (EXIF 2.3, 4.6.4 A)."""


@dataclass(frozen=True, slots=True)
class Pixels:
    """RGB, three bytes a pixel, rows of `stride` bytes from the top, as QImage.Format_RGB888 takes them.

    `full_width` and `full_height` are the upright size of the picture (or region) these pixels stand for;
    more than `width` and `height` where it was decoded smaller.
    """

    width: int
    height: int
    stride: int
    data: bytes
    full_width: int
    full_height: int


def thumbnail(path: str, edge: int) -> Pixels:
    """The upright picture within a square of `edge` px; never enlarged. Raises PictureRefused."""
    with _opened(path) as (found, picture):
        return _pixels(_small(picture, found.orientation, edge), *_upright_size(found))


def thumbnail_jpeg(path: str, edge: int) -> bytes:
    """The same as a JPEG without any metadata, fit to be kept. Raises PictureRefused."""
    with _opened(path) as (found, picture):
        small = _small(picture, found.orientation, edge)
        return _as_jpeg(small)


def smaller_jpeg(jpeg: bytes, edge: int) -> bytes:
    """One of our own previews, whole and upright, scaled down further."""
    with Image.open(io.BytesIO(jpeg), formats=["JPEG"]) as picture:
        return _as_jpeg(_small(picture, 1, edge))


def upright(path: str) -> Pixels:
    """The whole picture; beyond `MAX_DECODED` decoded smaller, see `full_width`. Raises PictureRefused."""
    with _opened(path) as (found, picture):
        _shrunk(picture, 1.0)
        turned = _turned(_srgb(_loaded(picture)), found.orientation)
        return _pixels(turned, *_upright_size(found))


def region(path: str, box: tuple[int, int, int, int], max_edge: int) -> Pixels:
    """Left, top, width, height in upright pixels, scaled down to at most `max_edge`. Raises PictureRefused.

    The box is cut to the picture; one that lies outside is refused.
    """
    with _opened(path) as (found, picture):
        full_width, full_height = _upright_size(found)
        left, top = max(0, box[0]), max(0, box[1])
        right, bottom = min(full_width, box[0] + box[2]), min(full_height, box[1] + box[3])
        if right <= left or bottom <= top:
            raise PictureRefused("That part lies outside the picture.", path=path)
        size = right - left, bottom - top
        target = _fitted(size, max_edge)
        scale = target[0] / size[0]
        stored = picture.size
        x, y = _shrunk(picture, scale)
        loaded = _loaded(picture)
        x0, y0, x1, y1 = _stored_box((left, top, right, bottom), found.orientation, stored)
        edges = x0 * x, y0 * y, min(x1 * x, loaded.size[0]), min(y1 * y, loaded.size[1])
        # Cut on whole pixels first, so that colours are changed only where they are needed.
        corner = int(edges[0]), int(edges[1])
        cut = _srgb(_plain(loaded.crop((*corner, _up(edges[2]), _up(edges[3])))))
        stored_target = (target[1], target[0]) if found.orientation >= 5 else target
        if scale < 1 or x < 1:
            part = tuple(edge - corner[at % 2] for at, edge in enumerate(edges))
            cut = cut.resize(
                stored_target, Image.Resampling.LANCZOS, box=(part[0], part[1], part[2], part[3])
            )
        return _pixels(_turned(cut, found.orientation), *size)


def embedded_preview(path: str) -> Pixels | None:
    """The small picture that the camera put into the file, upright, or None. Fast: the first thing to show.

    Cameras letterbox it to their screen's shape; the bars are cut off. Raises PictureRefused.
    """
    with readable(path) as (file, _), _told(path):
        found = look(file, path)
        if found.preview is not None:
            file.seek(0)
            fitting = [
                one for one in tiff_layout(file).previews if max(one.width, one.height) >= _SMALLEST_PREVIEW
            ]
            jpeg = _span(file, (fitting or [found.preview])[0])
        elif found.format == "HEIF":
            with open_picture(file, "HEIF") as picture:
                full = picture.size
                if (
                    picture.draft("RGB", (_SMALLEST_PREVIEW, _SMALLEST_PREVIEW)) is None
                    or picture.size == full
                ):
                    return None
                return _pixels(_srgb(_loaded(picture)), *full)
        elif found.format == "JPEG":
            with open_picture(file, "JPEG") as picture:
                jpeg, written_width = embedded_jpeg(picture.info.get("exif") or b"")
            if written_width not in (0, found.width, found.height):
                return None  # cropped since: editors leave the camera's preview of the whole as it was
        else:
            return None
        if not jpeg:
            return None
        with Image.open(io.BytesIO(jpeg), formats=["JPEG"]) as small:
            cut = _without_bars(_srgb(_loaded(small)), found.width / found.height)
        return _pixels(_turned(cut, found.orientation), *_upright_size(found))


@contextmanager
def _opened(path: str) -> Iterator[tuple[PictureFacts, Image.Image]]:
    """The picture with its header read; for a raw file, the embedded picture that stands for it."""
    with readable(path) as (file, _), _told(path):
        found = look(file, path)
        if found.preview is not None:
            with Image.open(io.BytesIO(_span(file, found.preview)), formats=["JPEG"]) as picture:
                yield found, picture
        else:
            format_ = found.format if found.format in ("JPEG", "PNG", "WebP", "HEIF") else "TIFF"
            with open_picture(file, format_) as picture:
                if format_ == "TIFF":  # Pillow turns these, and only these, while it decodes
                    found = replace(found, width=picture.width, height=picture.height, orientation=1)
                yield found, picture


@contextmanager
def _told(path: str) -> Iterator[None]:
    """Everything that a decoder raises on damaged pixels becomes one sentence about this file."""
    try:
        yield
    except PictureRefused as refusal:
        raise PictureRefused(refusal.reason, path=path) from refusal
    except (MemoryError, Image.DecompressionBombError) as error:
        raise refused(path, error) from error
    except Exception as error:
        if isinstance(error, OSError) and error.errno is not None:
            raise refused(path, error) from error
        raise PictureRefused("The pixels of this picture are damaged or cut off.", path=path) from error


def _span(file: BinaryIO, jpeg: EmbeddedJpeg) -> bytes:
    file.seek(jpeg.offset)
    return file.read(jpeg.length)


def _upright_size(found: PictureFacts) -> tuple[int, int]:
    return (found.height, found.width) if found.orientation >= 5 else (found.width, found.height)


def _fitted(size: tuple[int, int], edge: int) -> tuple[int, int]:
    scale = min(1.0, edge / max(size))
    return max(1, round(size[0] * scale)), max(1, round(size[1] * scale))


def _up(value: float) -> int:
    return int(-(-value // 1))


def _shrunk(picture: Image.Image, scale: float) -> tuple[float, float]:
    """Ask the decoder for no less than `scale` of the picture, and for less where memory demands it.

    The exact factors by which it will come out smaller, across and down. Raises PictureRefused for what
    can only be decoded whole and is too large for that.
    """
    width, height = picture.size
    x = y = 1.0
    divisor = next(one for one in (8, 4, 2, 1) if one * scale <= 1 or one == 1)
    while divisor < 8 and width * height > MAX_DECODED * divisor**2:
        divisor *= 2
    if divisor > 1:
        drafted = picture.draft("RGB", (max(1, width // divisor), max(1, height // divisor)))
        if drafted is not None:
            _, (_, _, across, down) = drafted
            x, y = across / width, down / height
    if picture.size[0] * picture.size[1] > MAX_DECODED:
        millions = round(width * height / 1e6)
        raise PictureRefused(
            f"The picture is too large to be shown ({millions} million pixels); save a smaller one as JPEG."
        )
    return x, y


def _small(picture: Image.Image, orientation: int, edge: int) -> Image.Image:
    """Within `edge`: the JPEG decoder halves while it stays above, the rest is resampled."""
    width, height = picture.size
    target = _fitted(picture.size, edge)
    x, y = _shrunk(picture, target[0] / width)
    loaded = _loaded(picture)
    if loaded.size != target:
        part = (0, 0, min(width * x, loaded.size[0]), min(height * y, loaded.size[1]))
        # What the decoder leaves is less than halved in most cases, where this window is as good as the
        # wider ones for the eye and takes half their time (measured; a fifth of the whole).
        loaded = _plain(loaded).resize(target, Image.Resampling.HAMMING, box=part, reducing_gap=2.0)
        loaded.info = picture.info
    return _turned(_srgb(loaded), orientation)


def _loaded(picture: Image.Image) -> Image.Image:
    """Decode. Raises PictureRefused for a progressive JPEG whose coefficients would fill the memory."""
    if isinstance(picture, JpegImageFile) and picture.info.get("progressive"):
        needed = _coefficient_bytes(picture)
        if needed > MAX_COEFFICIENT_BYTES:
            raise PictureRefused(
                f"This progressive JPEG would take {needed / 1e6:.0f} MB to decode; save it as an ordinary "
                "(baseline) JPEG."
            )
    picture.load()
    return picture


def _coefficient_bytes(picture: JpegImageFile) -> int:
    """Two bytes for each coefficient of each component, in whole blocks of 8 x 8 (ITU T.81, A.1)."""
    scale = int(picture.decoderconfig[0]) if picture.decoderconfig else 1  # drafted: the size says less
    width, height = picture.size[0] * scale, picture.size[1] * scale
    across = max((layer[1] for layer in picture.layer), default=1) or 1
    down = max((layer[2] for layer in picture.layer), default=1) or 1
    blocks = 0
    for _, h, v, _ in picture.layer:
        columns = -(-width * h // (8 * across))
        rows = -(-height * v // (8 * down))
        blocks += columns * rows
    return blocks * 64 * 2


def _plain(picture: Image.Image) -> Image.Image:
    """A mode that resampling can average: no palettes, no single bits, no sixteen bits."""
    if picture.mode in ("P", "1", "PA"):
        return picture.convert("RGBA" if "transparency" in picture.info or picture.mode == "PA" else "RGB")
    if picture.mode.startswith(("I", "F")):
        # Conversion would cut at 255 instead of scaling. Integers here have 16 bits; floats run from 0 to 1.
        scale = 255.0 if picture.mode.startswith("F") else 1 / 256
        return picture.convert("F").point(lambda value: value * scale + 0.0).convert("L")
    return picture


def _srgb(picture: Image.Image) -> Image.Image:
    """Eight-bit RGB in sRGB: wide-gamut phone pictures would look dull and shift a cap's colour otherwise."""
    profile = picture.info.get("icc_profile")
    picture = _plain(picture)
    if picture.mode in ("LA", "La", "PA", "RGBA", "RGBa") or "transparency" in picture.info:
        rgba = picture.convert("RGBA")
        picture = Image.new("RGB", rgba.size, "white")
        picture.paste(rgba, mask=rgba.getchannel("A"))
    if profile and picture.mode in ("RGB", "CMYK", "L"):
        transform = _to_srgb(bytes(profile), picture.mode)
        if transform is not None:
            try:
                return transform(picture)
            except (ImageCms.PyCMSError, ValueError, OSError):
                pass
    return picture if picture.mode == "RGB" else picture.convert("RGB")


@lru_cache(maxsize=16)
def _to_srgb(profile: bytes, mode: str) -> Callable[[Image.Image], Image.Image] | None:
    """The change of colours from an embedded profile; None where it is sRGB already or can't be read."""
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        if mode == "RGB" and "srgb" in ImageCms.getProfileDescription(source).casefold():
            return None
        transform = ImageCms.buildTransform(source, ImageCms.createProfile("sRGB"), mode, "RGB")
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return None
    return transform.apply


def _turned(picture: Image.Image, orientation: int) -> Image.Image:
    turn = _TURNS.get(orientation)
    return picture if turn is None else picture.transpose(turn)


def _stored_box(
    box: tuple[int, int, int, int], orientation: int, stored: tuple[int, int]
) -> tuple[int, int, int, int]:
    """Left, top, right, bottom of upright pixels as they lie in the stored picture (EXIF 2.3, 4.6.4 A)."""
    left, top, right, bottom = box
    width, height = stored
    return {
        2: (width - right, top, width - left, bottom),
        3: (width - right, height - bottom, width - left, height - top),
        4: (left, height - bottom, right, height - top),
        5: (top, left, bottom, right),
        6: (top, height - right, bottom, height - left),
        7: (width - bottom, height - right, width - top, height - left),
        8: (width - bottom, left, width - top, right),
    }.get(orientation, box)


def _without_bars(small: Image.Image, ratio: float) -> Image.Image:
    """Cut to the shape of the picture it stands for, from the middle, where the shapes differ visibly."""
    width, height = small.size
    if ratio > 1.02 * width / height:
        keep = max(1, round(width / ratio))
        top = (height - keep) // 2
        return small.crop((0, top, width, top + keep))
    if ratio < 0.98 * width / height:
        keep = max(1, round(height * ratio))
        left = (width - keep) // 2
        return small.crop((left, 0, left + keep, height))
    return small


def _pixels(picture: Image.Image, full_width: int, full_height: int) -> Pixels:
    width, height = picture.size
    return Pixels(width, height, 3 * width, picture.tobytes(), full_width, full_height)


def _as_jpeg(picture: Image.Image) -> bytes:
    out = io.BytesIO()
    picture.info = {}
    picture.save(out, "JPEG", quality=_THUMBNAIL_QUALITY)
    return out.getvalue()
