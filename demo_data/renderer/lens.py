"""From light to a picture: focus blur by distance, tone, vignette, sensor noise."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from demo_data.renderer.march import Camera
from demo_data.renderer.noise import F


def _disc(radius: float) -> tuple[list[tuple[int, int, float]], int]:
    k = int(np.ceil(radius))
    taps = []
    for dy in range(-k, k + 1):
        for dx in range(-k, k + 1):
            w = np.clip(radius + 0.5 - np.hypot(dx, dy), 0, 1)
            if w > 0:
                taps.append((dy, dx, float(w)))
    total = sum(w for *_, w in taps)
    return [(dy, dx, w / total) for dy, dx, w in taps], k


def _shrink(a: F, f: int) -> F:
    h, w = a.shape[:2]
    ph, pw = -h % f, -w % f
    a = np.pad(a, ((0, ph), (0, pw), (0, 0)), mode="edge")
    return a.reshape((h + ph) // f, f, (w + pw) // f, f, -1).mean(axis=(1, 3), dtype=np.float32)


def _grow(a: F, f: int, h: int, w: int) -> F:
    if f == 1:
        return a[:h, :w]
    y = np.clip((np.arange(h, dtype=np.float32) + 0.5) / f - 0.5, 0, a.shape[0] - 1)
    x = np.clip((np.arange(w, dtype=np.float32) + 0.5) / f - 0.5, 0, a.shape[1] - 1)
    y0, x0 = np.minimum(y.astype(int), a.shape[0] - 2), np.minimum(x.astype(int), a.shape[1] - 2)
    ty, tx = (y - y0)[:, None, None], (x - x0)[None, :, None]
    rows = a[y0] * (1 - ty) + a[y0 + 1] * ty
    return (rows[:, x0] * (1 - tx) + rows[:, x0 + 1] * tx).astype(np.float32)


def spread(a: F, radius: float) -> F:
    """Blur (h, w, c) by a disc of some pixels, coarsely where the disc is large."""
    f = 1
    while radius / f > 3.4:
        f *= 2
    h, w = a.shape[:2]
    small = _shrink(a, f) if f > 1 else a
    taps, k = _disc(radius / f)
    padded = np.pad(small, ((k, k), (k, k), (0, 0)), mode="edge")
    out = np.zeros_like(small)
    for dy, dx, weight in taps:
        out += padded[k + dy : k + dy + small.shape[0], k + dx : k + dx + small.shape[1]] * np.float32(weight)
    return _grow(out, f, h, w)


def focus(rgb: F, depth: F, camera: Camera) -> F:
    """Shallow focus: layers by circle of confusion, put together from far to near."""
    h, w = depth.shape
    distance = camera.focus or float(np.linalg.norm(np.subtract(camera.target, camera.eye)))
    scale = camera.aperture * max(h, w) / (2 * np.tan(np.radians(camera.view) / 2)) / 2
    near = (
        depth.copy()
    )  # outlines belong to whatever stands in front, or they would glow in the blur behind it
    near[1:] = np.minimum(near[1:], depth[:-1])
    near[:-1] = np.minimum(near[:-1], depth[1:])
    near[:, 1:] = np.minimum(near[:, 1:], depth[:, :-1])
    near[:, :-1] = np.minimum(near[:, :-1], depth[:, 1:])
    depth = near
    blur = np.clip(scale * (1 / distance - 1 / np.maximum(depth, 1.0)), -34 * w / 1600, 34 * w / 1600)
    steps = np.array([0.45, 1.1, 2.2, 4.2, 8, 15, 26]) * (w / 1600) ** 0.5
    light = np.concatenate([np.minimum(rgb, 6), np.ones((h, w, 1), np.float32)], axis=2)
    far_mask = (blur > steps[0])[..., None]
    if far_mask.any():
        base = spread(light * far_mask, 24 * w / 1600 + 3) + 1e-5 * spread(light, 30 * w / 1600 + 3)
        out = base[..., :3] / np.maximum(base[..., 3:], 1e-6)
    else:
        out = rgb.copy()
    edges = [*(-steps[::-1]), *steps]
    bounds = sorted({-1e9, 1e9, *edges}, reverse=True)
    for hi, lo in pairwise(bounds):
        mask = (blur <= hi) & (blur > lo)
        if not mask.any():
            continue
        layer = light * mask[..., None]
        middle = abs(blur[mask].mean())
        if middle > steps[0]:
            layer = spread(layer, middle)
        alpha = np.minimum(layer[..., 3:], 1)
        out = out * (1 - alpha) + layer[..., :3]
    return out


def develop(
    rgb: F,
    seed: int,
    exposure: float = 1.0,
    warmth: float = 0.0,
    grain: float = 0.006,
    vignette: float = 0.22,
    vivid: float = 1.04,
) -> np.ndarray:
    """8-bit sRGB: exposure, gentle shoulder, a little colour, vignette, noise."""
    h, w = rgb.shape[:2]
    y, x = np.mgrid[0:h, 0:w].astype(np.float32)
    away = ((x / w - 0.5) ** 2 + (y / h - 0.5) ** 2) * 2
    lit = rgb * np.float32(exposure) * (1 - np.float32(vignette) * away[..., None] ** 1.3)
    lit = lit * np.array([1 + warmth, 1, 1 - warmth], np.float32)
    grey = lit @ np.array([0.2126, 0.7152, 0.0722], np.float32)
    lit = np.maximum(grey[..., None] + (lit - grey[..., None]) * np.float32(vivid), 0)
    a, b, c, d, e = (np.float32(k) for k in (2.05, 0.12, 1.85, 0.62, 0.10))
    lit = lit * (a * lit + b) / (lit * (c * lit + d) + e)
    lit = np.clip(lit, 0, 1)
    out = np.where(
        lit <= 0.0031308, lit * 12.92, 1.055 * np.maximum(lit, 1e-6) ** np.float32(1 / 2.4) - 0.055
    )
    rng = np.random.default_rng(seed)
    noise = rng.standard_normal((h, w), dtype=np.float32)[..., None] * np.float32(grain)
    noise = noise + rng.standard_normal((h, w, 3), dtype=np.float32) * np.float32(grain * 0.4)
    out = out + noise * (1.3 - out)
    return (np.clip(out, 0, 1) * 255 + 0.5).astype(np.uint8)
