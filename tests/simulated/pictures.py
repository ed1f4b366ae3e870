"""Seeded 12-megapixel camera pictures: detail at every scale, rich metadata, no two files alike."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import numpy as np
from PIL import Image

from tests.photos import exifwriter as ew

WIDTH, HEIGHT, QUALITY = 4000, 3000, 90
_SCENES = 4


def make(folder: Path, count: int, second: Callable[[int], int] = lambda number: number) -> list[str]:
    """`count` JPEGs of about 3 MB. A few scenes are drawn; metadata and a trailer differ in each file.

    `second` gives the moment of a picture, in seconds after nine, from its number.
    """
    folder.mkdir(parents=True, exist_ok=True)
    scenes = [_scene(seed) for seed in range(_SCENES)]
    paths = []
    for number in range(count):
        jpeg, small = scenes[number % _SCENES]
        path = folder / f"IMG_{number:04d}.jpg"
        path.write_bytes(ew.into_jpeg(jpeg, notes(second(number), small)) + b"\0" + number.to_bytes(4, "big"))
        paths.append(str(path))
    return paths


def _scene(seed: int) -> tuple[bytes, bytes]:
    rng = np.random.default_rng(seed)
    light = _cloud(rng, ((220, 60.0), (55, 30.0), (14, 16.0), (4, 9.0), (1, 5.0)))
    bands = [light + 0.3 * _cloud(rng, ((90, 40.0), (7, 12.0))) + tone for tone in (112, 100, 80)]
    picture = Image.fromarray(np.stack(bands, -1).clip(0, 255).astype(np.uint8))
    out, small = io.BytesIO(), io.BytesIO()
    picture.save(out, "JPEG", quality=QUALITY)
    picture.resize((160, 120)).save(small, "JPEG", quality=80)
    return out.getvalue(), small.getvalue()


def _cloud(rng: np.random.Generator, octaves: tuple[tuple[int, float], ...]) -> np.ndarray:
    total = np.zeros((HEIGHT, WIDTH), np.float32)
    for size, strength in octaves:
        coarse = rng.normal(size=(HEIGHT // size + 2, WIDTH // size + 2)).astype(np.float32)
        fine = Image.fromarray(coarse).resize((WIDTH, HEIGHT), Image.Resampling.BICUBIC)
        total += strength * np.asarray(fine)
    return total


def notes(number: int, small: bytes) -> bytes:
    """As much as a phone writes: about sixty tags, a maker's note of 6 kB and a preview."""
    hour, minute, second = 9 + number // 3600, number // 60 % 60, number % 60
    moment = f"2026:10:11 {hour:02d}:{minute:02d}:{second:02d}"
    main = {
        0x10F: ew.text("Wrenfield"),
        0x110: ew.text("Hollow 12"),
        0x112: ew.short(1),
        0x11A: ew.rational((72, 1)),
        0x11B: ew.rational((72, 1)),
        0x128: ew.short(2),
        0x131: ew.text("4.2.1"),
        0x132: ew.text(moment),
        0x13C: ew.text("Hollow"),
        0x213: ew.short(1),
    }
    exif = {
        0x829A: ew.rational((1, 120)),
        0x829D: ew.rational((9, 5)),
        0x8822: ew.short(2),
        0x8827: ew.short(64),
        0x9000: ew.undefined(b"0232"),
        0x9003: ew.text(moment),
        0x9004: ew.text(moment),
        0x9010: ew.text("+02:00"),
        0x9011: ew.text("+02:00"),
        0x9012: ew.text("+02:00"),
        0x9101: ew.undefined(b"\1\2\3\0"),
        0x9201: ew.srational((6907, 1000)),
        0x9202: ew.rational((1696, 1000)),
        0x9203: ew.srational((512, 100)),
        0x9204: ew.srational((0, 1)),
        0x9207: ew.short(5),
        0x9209: ew.short(16),
        0x920A: ew.rational((26, 5)),
        0x9214: ew.short(2000, 1500, 600, 400),
        0x927C: ew.undefined(bytes((7 * k + number) % 256 for k in range(6000))),
        0x9290: ew.text("123"),
        0x9291: ew.text(f"{number % 1000:03d}"),
        0x9292: ew.text("123"),
        0xA000: ew.undefined(b"0100"),
        0xA001: ew.short(1),
        0xA002: ew.long(WIDTH),
        0xA003: ew.long(HEIGHT),
        0xA217: ew.short(2),
        0xA301: ew.undefined(b"\1"),
        0xA402: ew.short(0),
        0xA403: ew.short(0),
        0xA405: ew.short(26),
        0xA406: ew.short(0),
        0xA431: ew.text(f"W{number % 3:05d}"),
        0xA432: ew.rational((26, 5), (26, 5), (9, 5), (9, 5)),
        0xA433: ew.text("Wrenfield"),
        0xA434: ew.text("Hollow 12 back 5.2 mm f/1.8"),
    }
    gps = {
        0x00: ew.byte(2, 3, 0, 0),
        0x01: ew.text("N"),
        0x02: ew.rational((51, 1), (28, 1), (4000 + number, 100)),
        0x03: ew.text("W"),
        0x04: ew.rational((0, 1), (7, 1), (1000 + number, 100)),
        0x05: ew.byte(0),
        0x06: ew.rational((8300, 100)),
        0x07: ew.rational((hour - 2, 1), (minute, 1), (second, 1)),
        0x0C: ew.text("K"),
        0x0D: ew.rational((0, 1)),
        0x10: ew.text("T"),
        0x11: ew.rational((21287, 100)),
        0x1D: ew.text("2026:10:11"),
        0x1F: ew.rational((73, 10)),
    }
    return ew.block(main, exif, gps, preview=small, endian=">")
