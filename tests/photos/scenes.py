"""Small drawn pictures in every format that is taken in."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pillow_heif
from PIL import Image

from tests.photos import exifwriter as ew

pillow_heif.register_heif_opener()


def scene(width: int = 96, height: int = 64, seed: int = 1) -> Image.Image:
    """Smooth colour fields without symmetry, so that no turn or mirroring looks like another."""
    rng = np.random.default_rng(seed)
    coarse = rng.integers(0, 256, (5, 7, 3), dtype=np.uint8)
    return Image.fromarray(coarse).resize((width, height), Image.Resampling.BICUBIC)


def encoded(picture: Image.Image, format_: str, **options: Any) -> bytes:
    out = io.BytesIO()
    picture.save(out, format_, **options)
    return out.getvalue()


def jpeg(width: int = 96, height: int = 64, seed: int = 1) -> bytes:
    return encoded(scene(width, height, seed), "JPEG", quality=92)


def camera_tags(orientation: int = 1) -> dict[str, Any]:
    """What an invented camera writes: its three directories."""
    return {
        "main": {
            0x10F: ew.text("Wrenfield"),
            0x110: ew.text("Wrenfield Hollow 12"),
            0x112: ew.short(orientation),
            0x132: ew.text("2026:10:12 08:00:00"),
        },
        "exif": {
            0x9003: ew.text("2026:10:11 09:08:07"),
            0x9291: ew.text("25"),
            0x9011: ew.text("+02:00"),
            0xA431: ew.text("W0042"),
        },
        "gps": {
            1: ew.text("N"),
            2: ew.rational((51, 1), (30, 1), (0, 1)),
            3: ew.text("W"),
            4: ew.rational((0, 1), (7, 1), (30, 1)),
            7: ew.rational((7, 1), (8, 1), (9, 1)),
            0x1D: ew.text("2026:10:11"),
            0x1F: ew.rational((73, 10)),
        },
    }


def every_format(orientation: int = 1) -> dict[str, bytes]:
    """File name to bytes: each format with the same notes of the same camera."""
    tags = camera_tags(orientation)
    block = ew.block(**tags)
    picture = scene()
    raw = {
        f"{kind.lower()}.{kind.lower()}": ew.raw_file(
            jpeg(), (96, 64), **_made_by(tags, maker), kind=kind, small=jpeg(24, 16)
        )
        for kind, maker in (("DNG", "Wrenfield"), ("NEF", "NIKON"), ("ARW", "SONY"), ("CR2", "Canon"))
    }
    return {
        "jpeg.jpg": ew.into_jpeg(jpeg(), block),
        "jpeg_big_endian.jpg": ew.into_jpeg(jpeg(), ew.block(**tags, endian=">")),
        "png.png": ew.into_png(encoded(picture, "PNG"), block),
        "png_late.png": ew.into_png(encoded(picture, "PNG"), block, late=True),
        "webp.webp": encoded(picture, "WEBP", exif=block, lossless=True),
        "heic.heic": encoded(picture, "HEIF", exif=b"Exif\0\0" + block, quality=95),
        "tiff.tif": _tiff(picture, tags),
        **raw,
    }


def _made_by(tags: dict[str, Any], maker: str) -> dict[str, Any]:
    return {**tags, "main": {**tags["main"], 0x10F: ew.text(maker)}}


def _tiff(picture: Image.Image, tags: dict[str, Any]) -> bytes:
    """An uncompressed RGB TIFF (TIFF 6.0 section 6) with the notes in its own directories."""
    writer = ew.TiffWriter()
    pixels = picture.tobytes()
    fields = {
        **tags["main"],
        0x100: ew.long(picture.width),
        0x101: ew.long(picture.height),
        0x102: ew.short(8, 8, 8),
        0x103: ew.short(1),
        0x106: ew.short(2),
        0x111: ew.long(writer.blob(pixels)),
        0x115: ew.short(3),
        0x116: ew.long(picture.height),
        0x117: ew.long(len(pixels)),
        0x8769: ew.long(writer.directory(tags["exif"])),
        0x8825: ew.long(writer.directory(tags["gps"])),
    }
    return writer.finish(writer.directory(fields))
