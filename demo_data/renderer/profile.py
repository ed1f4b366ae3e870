"""Outlines turned on a lathe: an exact signed distance to a closed outline in (r, y), kept on a grid."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from demo_data.renderer.noise import F


@dataclass(frozen=True, slots=True)
class Grid:
    """Signed distances (cm, negative inside) of an outline; rows run over y, columns over r."""

    values: F
    spacing: float
    low_y: float
    reach: float
    high_y: float

    def at(self, r: F, y: F) -> F:
        """Distance at radius r and height y; outside the grid a safe lower bound."""
        rows, columns = self.values.shape
        scale = np.float32(1 / self.spacing)
        gx = r * scale
        gy = (y - np.float32(self.low_y)) * scale
        cx = np.minimum(gx, np.float32(columns - 1.001))
        cy = np.minimum(np.maximum(gy, np.float32(0)), np.float32(rows - 1.001))
        ix = cx.astype(np.int64)
        iy = cy.astype(np.int64)
        tx = cx - ix.astype(np.float32)
        ty = cy - iy.astype(np.float32)
        k = iy * columns + ix
        flat = self.values.reshape(-1)
        a = flat.take(k)
        c = flat.take(k + columns)
        top = a + (flat.take(k + 1) - a) * tx
        low = c + (flat.take(k + columns + 1) - c) * tx
        ox, oy = gx - cx, gy - cy
        away = np.sqrt(ox * ox + oy * oy) * np.float32(self.spacing)
        return top + (low - top) * ty + away * np.float32(0.75)


def smooth(points: list[tuple[float, float]], steps: int = 8) -> NDArray[np.float64]:
    """Catmull-Rom curve through the points (open)."""
    p = np.array([points[0], *points, points[-1]], float)
    t = np.linspace(0, 1, steps, endpoint=False)[:, None]
    out = []
    for a, b, c, d in zip(p, p[1:], p[2:], p[3:], strict=False):
        out.append(
            0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3)
        )
    return np.vstack([*out, p[-1:]])


def turned(outline: NDArray[np.float64], finest: float = 0.02, margin: float = 0.25, most: int = 260) -> Grid:
    """Grid of a closed outline (n, 2) of (r, y), r >= 0; edges lying on the axis are no surface."""
    outline = np.asarray(outline, float)
    reach = outline[:, 0].max() + margin
    low, high = outline[:, 1].min() - margin, outline[:, 1].max() + margin
    spacing = max(finest, max(reach, high - low) / most)
    r = np.arange(0, reach + spacing, spacing)
    y = np.arange(low, high + spacing, spacing)
    gr, gy = np.meshgrid(r, y)
    best = np.full(gr.shape, 1e9)
    inside = np.zeros(gr.shape, bool)
    for (r0, y0), (r1, y1) in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        er, ey = r1 - r0, y1 - y0
        if abs(y1 - y0) > 1e-12:
            crosses = (gy >= min(y0, y1)) & (gy < max(y0, y1))
            inside ^= crosses & (gr < r0 + (gy - y0) / ey * er)
        length = er * er + ey * ey
        if length < 1e-14 or (r0 < 1e-6 and r1 < 1e-6):
            continue
        t = np.clip(((gr - r0) * er + (gy - y0) * ey) / length, 0, 1)
        best = np.minimum(best, (gr - r0 - t * er) ** 2 + (gy - y0 - t * ey) ** 2)
    signed = np.sqrt(best) * np.where(inside, -1, 1)
    return Grid(signed.astype(np.float32), float(spacing), float(y[0]), float(r[-1]), float(y[-1]))
