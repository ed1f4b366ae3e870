"""Leaves in the air and undergrowth: small flat flecks drawn over a picture where nothing stands before them."""

from __future__ import annotations

import numpy as np

from demo_data.renderer.march import Camera
from demo_data.renderer.noise import F, colour


def sprays(seed: int, branches: int = 46, clumps: int = 60) -> F:
    """Flecks (n, 9) for a stand seen from about z = 160 towards -z: x, y, z, length (cm), angle, width share,
    linear colour. Branches frame the sides, bracken stands low between the trunks."""
    rng = np.random.default_rng(seed)
    greens = [colour(c) for c in ("8f9a3c", "a8a840", "c2a23a", "b98a34", "76863a", "c9b454")]
    rust = [colour(c) for c in ("8a5a2c", "a06a30", "7c6a34", "6f7a3a", "96803c")]
    out = []
    for _ in range(branches):
        far = rng.uniform(230, 1300)
        side = rng.choice([-1.0, 1.0])
        start = np.array(
            [side * far * rng.uniform(0.34, 0.62), 150 + far * rng.uniform(0.02, 0.45), 160 - far]
        )
        run = np.array([-side * rng.uniform(30, 110), rng.uniform(-45, 5), rng.uniform(-40, 40)])
        tone = greens[int(rng.integers(len(greens)))]
        for _ in range(int(rng.integers(24, 60))):
            at = start + run * rng.random() + rng.normal(0, (7, 5, 9))
            lit = rng.uniform(0.45, 1.25)
            out.append(
                [*at, rng.uniform(4, 7), rng.normal(0.5, 0.7) * side, rng.uniform(0.35, 0.62), *(tone * lit)]
            )
    for _ in range(clumps):
        far = rng.uniform(330, 1700)
        x = far * rng.uniform(-0.6, 0.6)
        foot = np.array([x, 0.0, 160 - far])
        tone = rust[int(rng.integers(len(rust)))]
        for _ in range(int(rng.integers(5, 10))):  # fronds
            lean, tall = rng.normal(0, 0.7), rng.uniform(26, 62)
            for k in np.linspace(0.25, 1, 14):
                droop = np.array(
                    [np.sin(lean) * tall * k * (0.6 + 0.6 * k), tall * k * (1.15 - 0.45 * k * k), 0]
                )
                for wing in (-1, 1):
                    lit = rng.uniform(0.4, 1.0) * (0.55 + 0.5 * k)
                    shift = np.array([wing * 5.5 * (1.15 - k), -1.5, rng.normal(0, 2)])
                    out.append(
                        [*(foot + droop + shift), 9 * (1.2 - k), wing * 0.35 + lean, 0.3, *(tone * lit)]
                    )
    return np.array(out, np.float32)


def scatter(
    rgb: F, depth: F, camera: Camera, flecks: F, fog: tuple[float, tuple[float, float, float]]
) -> None:
    """Draw the flecks into light and distance, far ones first."""
    h, w = depth.shape
    forward, right, up = camera.axes()
    pixel = 2 * np.tan(np.radians(camera.view) / 2) / max(w, h)
    rel = flecks[:, :3] - np.asarray(camera.eye, np.float32)
    away = rel @ forward
    flecks, rel, away = (a[away > 60] for a in (flecks, rel, away))
    px = w / 2 + (rel @ right) / away / pixel
    py = h / 2 - (rel @ up) / away / pixel
    half = flecks[:, 3] / 2 / away / pixel
    for i in np.argsort(-away):
        a = max(float(half[i]), 0.7)
        reach = int(a) + 2
        x0, x1 = max(0, int(px[i]) - reach), min(w, int(px[i]) + reach + 1)
        y0, y1 = max(0, int(py[i]) - reach), min(h, int(py[i]) + reach + 1)
        if x0 >= x1 or y0 >= y1:
            continue
        y, x = np.mgrid[y0:y1, x0:x1].astype(np.float32)
        c, s = np.cos(flecks[i, 4]), np.sin(flecks[i, 4])
        u, v = (x - px[i]) * c + (y - py[i]) * s, (y - py[i]) * c - (x - px[i]) * s
        wide = max(a * float(flecks[i, 5]), 0.6)
        cover = np.clip(
            (1 - np.sqrt((u / a) ** 2 + (v / (wide * (1.05 - 0.35 * u / a))) ** 2)) * wide + 0.5, 0, 1
        )
        cover *= depth[y0:y1, x0:x1] > away[i]
        veil = 1 - np.exp(-away[i] / fog[0])
        rib = 1 - 0.18 * (np.abs(v) < 0.12 * wide)
        tone = flecks[i, 6:9] * rib[..., None] * (1 - veil) + np.asarray(fog[1], np.float32) * veil
        rgb[y0:y1, x0:x1] += (tone - rgb[y0:y1, x0:x1]) * cover[..., None]
        depth[y0:y1, x0:x1] = np.where(cover > 0.5, away[i], depth[y0:y1, x0:x1])
