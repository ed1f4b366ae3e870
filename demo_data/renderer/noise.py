"""Tileable textures in [0, 1] and how to look them up. Everything is seeded; nothing depends on the clock."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

F = NDArray[np.float32]


@lru_cache(maxsize=64)
def cloud(seed: int, beta: float = 1.6, size: int = 512, lowest: int = 1) -> F:
    """Tileable fractal noise: white noise filtered to amplitude 1/f**beta, spread over [0, 1]."""
    rng = np.random.default_rng(seed)
    fy = np.fft.fftfreq(size)[:, None] * size
    fx = np.fft.rfftfreq(size)[None, :] * size
    f = np.hypot(fx, fy)
    amplitude = np.where(f >= lowest, np.maximum(f, 1) ** -beta, 0.0)
    white = np.fft.rfft2(rng.standard_normal((size, size)))
    field = np.fft.irfft2(white * amplitude, s=(size, size))
    field = (field - field.mean()) / field.std()
    return np.clip(0.5 + field * 0.22, 0, 1).astype(np.float32)


@lru_cache(maxsize=64)
def cells(seed: int, across: int, size: int = 512, jitter: float = 0.85) -> tuple[F, F, F]:
    """Tileable cell pattern: distance to the nearest point, to the cell's edge (both in cell widths), and a
    random number in [0, 1] for each cell."""
    rng = np.random.default_rng(seed)
    px = (np.arange(across)[None, :] + 0.5 + (rng.random((across, across)) - 0.5) * jitter).astype(np.float32)
    py = (np.arange(across)[:, None] + 0.5 + (rng.random((across, across)) - 0.5) * jitter).astype(np.float32)
    tag = rng.random((across, across)).astype(np.float32)
    at = (np.arange(size, dtype=np.float32) + 0.5) / size * across
    x, y = np.meshgrid(at, at)
    ix, iy = x.astype(int), y.astype(int)
    first = np.full((size, size), 9, np.float32)
    second = first.copy()
    who = np.zeros((size, size), np.float32)
    for dy in (-1, 0, 1):
        for dx in (-1, 0, 1):
            jx, jy = ix + dx, iy + dy
            wx, wy = jx % across, jy % across
            d = np.hypot(px[wy, wx] + (jx - wx) - x, py[wy, wx] + (jy - wy) - y)
            nearer = d < first
            second = np.where(nearer, first, np.minimum(second, d))
            who = np.where(nearer, tag[wy, wx], who)
            first = np.where(nearer, d, first)
    return first, second - first, who


def look(texture: F, u: F, v: F) -> F:
    """Texture at (u, v) in periods, wrapped, bilinear; (n, n) or (n, n, channels), n a power of two."""
    n = texture.shape[0]
    x = u * np.float32(n)
    y = v * np.float32(n)
    fx = np.floor(x)
    fy = np.floor(y)
    tx = x - fx
    ty = y - fy
    x0 = fx.astype(np.int64) & (n - 1)
    y0 = (fy.astype(np.int64) & (n - 1)) * n
    x1 = (x0 + 1) & (n - 1)
    y1 = (y0 + n) & (n * n - 1)
    flat = texture.reshape(n * n, -1) if texture.ndim == 3 else texture.reshape(-1)
    if texture.ndim == 3:
        tx, ty = tx[:, None], ty[:, None]
    a = flat.take(y0 + x0, axis=0)
    c = flat.take(y1 + x0, axis=0)
    top = a + (flat.take(y0 + x1, axis=0) - a) * tx
    low = c + (flat.take(y1 + x1, axis=0) - c) * tx
    return top + (low - top) * ty


def blurred(field: F, sigma: float) -> F:
    """Gaussian blur of a tileable field; sigma in texels."""
    n, m = field.shape
    fy = np.fft.fftfreq(n).astype(np.float32)[:, None]
    fx = np.fft.rfftfreq(m).astype(np.float32)[None, :]
    kernel = np.exp(-2 * np.pi**2 * sigma**2 * (fx**2 + fy**2)).astype(np.float32)
    return np.fft.irfft2(np.fft.rfft2(field) * kernel, s=(n, m)).astype(np.float32)


def ease(low: float, high: float, x: F) -> F:
    """Smooth step from 0 at low to 1 at high (low may exceed high)."""
    t = np.clip((x - np.float32(low)) / np.float32(high - low), 0, 1)
    return t * t * (3 - 2 * t)


def mix(a: F, b: F, t: F | float) -> F:
    """Blend colours (…, 3) or scalars; a one-dimensional t is spread over the channels."""
    if (
        isinstance(t, np.ndarray)
        and t.ndim == 1
        and (np.ndim(a) == 2 or np.ndim(b) == 2 or np.shape(a) == (3,))
    ):
        t = t[:, None]
    return (a + (b - a) * t).astype(np.float32)


def colour(code: str) -> F:
    """Linear light of an sRGB colour written as six hexadecimal digits."""
    value = np.array([int(code[i : i + 2], 16) for i in (0, 2, 4)]) / 255
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4).astype(np.float32)
