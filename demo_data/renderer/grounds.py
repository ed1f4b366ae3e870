"""Grounds as tileable reliefs: leaf litter, moss, short grass, soil; stamped leaf by leaf, and boards for a bench."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from demo_data.renderer.march import FAR
from demo_data.renderer.noise import F, blurred, cells, cloud, colour, ease, look, mix
from demo_data.renderer.solids import Look


@dataclass(frozen=True, slots=True)
class Relief:
    """A tileable patch: side (cm), height (cm), gloss; `face` packs linear colour, the normal's x and z, and how
    open the place is to the sky (n, n, 6), so that one look finds them all."""

    side: float
    height: F
    face: F
    gloss: float = 0.06


def relief(side: float, height: F, paint: F, gloss: float = 0.06, deep: float = 1.0) -> Relief:
    """Normals and cavities worked out from the heights."""
    n = height.shape[0]
    texel = side / n
    gx = (np.roll(height, -1, 1) - np.roll(height, 1, 1)) / (2 * texel)
    gz = (np.roll(height, -1, 0) - np.roll(height, 1, 0)) / (2 * texel)
    k = 1 / np.sqrt(1 + gx * gx + gz * gz)
    hollow = np.zeros_like(height)
    for reach in (0.25, 0.8, 2.2):
        hollow += np.clip((blurred(height, reach / texel) - height) / reach, 0, 2)
    open_ = 1 / (1 + np.float32(2.2 * deep) * hollow)
    face = np.concatenate([paint, np.stack([-gx * k, -gz * k, open_], axis=2)], axis=2).astype(np.float32)
    return Relief(side, height.astype(np.float32), np.ascontiguousarray(face), gloss)


@dataclass(slots=True)
class Land:
    """A relief laid out without end, with dug holes and mounds."""

    patch: Relief
    dents: tuple[tuple[float, float, float, float, float], ...] = ()
    shift: tuple[float, float] = (0.0, 0.0)
    tint: Callable[[F, F], F] | None = None
    top: float = field(init=False)

    def __post_init__(self) -> None:
        self.top = float(self.patch.height.max()) + max([0.0, *[-d for _, _, _, d, _ in self.dents]]) + 0.02

    def _dent(self, x: F, z: F) -> F:
        total = np.zeros_like(x)
        for cx, cz, radius, depth, _ in self.dents:
            q = ((x - np.float32(cx)) ** 2 + (z - np.float32(cz)) ** 2) * np.float32(1 / radius**2)
            total -= np.float32(depth) * np.exp(-q * q)
        return total

    def level(self, x: F, z: F) -> F:
        """Height at points."""
        k = np.float32(1 / self.patch.side)
        h = look(self.patch.height, x * k + np.float32(self.shift[0]), z * k + np.float32(self.shift[1]))
        for cx, cz, radius, _, earth in self.dents:
            if earth:
                q = ((x - np.float32(cx)) ** 2 + (z - np.float32(cz)) ** 2) * np.float32(1 / radius**2)
                soil = soil_relief()
                crumb = look(soil.height, x * np.float32(1 / soil.side), z * np.float32(1 / soil.side))
                w = np.float32(earth) * ease(1.5, 1.0, q)
                h = h * (1 - w) + crumb * w
        return h + self._dent(x, z) if self.dents else h

    def trace(self, o: Sequence[float], dx: F, dy: F, dz: F) -> F:
        """Distance to the relief along rays from one point above it; FAR above the horizon."""
        out = np.full(dx.shape, FAR, np.float32)
        live = np.flatnonzero(dy < -1e-4)
        if not live.size:
            return out
        vx, vy, vz = dx[live], dy[live], dz[live]
        ox, oy, oz = (np.float32(c) for c in o)
        t = np.maximum((np.float32(self.top) - oy) / vy, 0)
        close = t < 700
        out[live[~close]] = np.minimum(t[~close], FAR * 0.99)
        live, t, vx, vy, vz = live[close], t[close], vx[close], vy[close], vz[close]
        before = t.copy()
        for _ in range(70):
            if not live.size:
                break
            gap = oy + t * vy - self.level(ox + t * vx, oz + t * vz)
            hit = gap < np.float32(0.004) + t * np.float32(0.00015)
            if hit.any():
                h = np.flatnonzero(hit)
                a, b = before[h], t[h]
                for _ in range(5):
                    m = 0.5 * (a + b)
                    above = oy + m * vy[h] - self.level(ox + m * vx[h], oz + m * vz[h]) > 0
                    a, b = np.where(above, m, a), np.where(above, b, m)
                out[live[h]] = b
                keep = ~hit
                live, t, before, gap = live[keep], t[keep], before[keep], gap[keep]
                vx, vy, vz = vx[keep], vy[keep], vz[keep]
            before = t
            t = t + np.maximum(gap * np.float32(0.65) + np.float32(0.004), t * np.float32(0.0004))
        out[live] = t
        return out

    def look(self, x: F, z: F) -> tuple[Look, F]:
        """Paint and normals."""
        k = np.float32(1 / self.patch.side)
        u, v = x * k + np.float32(self.shift[0]), z * k + np.float32(self.shift[1])
        face = look(self.patch.face, u, v)
        rgb = face[:, :3]
        nx, nz = face[:, 3], face[:, 4]
        n = np.stack([nx, np.sqrt(np.maximum(1 - nx * nx - nz * nz, 0.01)), nz], axis=1)
        opened = face[:, 5]
        gloss: F | float = self.patch.gloss
        if self.dents:
            soil = soil_relief()
            ks = np.float32(1 / soil.side)
            for cx, cz, radius, depth, earth in self.dents:
                if earth:
                    q = ((x - np.float32(cx)) ** 2 + (z - np.float32(cz)) ** 2) * np.float32(1 / radius**2)
                    crumb = look(soil.face, x * ks, z * ks)
                    share = ease(1.5, 1.0, q) * np.float32(earth)
                    flat = np.stack(
                        [
                            crumb[:, 3],
                            np.sqrt(np.maximum(1 - crumb[:, 3] ** 2 - crumb[:, 4] ** 2, 0.01)),
                            crumb[:, 4],
                        ],
                        axis=1,
                    )
                    n = mix(n, flat, share)
                    rgb = mix(rgb, crumb[:, :3], share)
                    gloss = gloss * (1 - share)
                    opened = opened * (1 - 0.25 * share)
                    opened = opened * (1 - 0.35 * np.exp(-q * 2) * (depth > 0))
            e = np.float32(0.05)
            sx = (self._dent(x + e, z) - self._dent(x - e, z)) / (2 * e)
            sz = (self._dent(x, z + e) - self._dent(x, z - e)) / (2 * e)
            n = n - np.stack([sx, np.zeros_like(sx), sz], axis=1) * n[:, 1:2]
        n = n / np.sqrt((n * n).sum(axis=1, keepdims=True))
        if self.tint is not None:
            rgb = rgb * self.tint(x, z)
        return Look(rgb, gloss, 0.0, opened), n.astype(np.float32)


# ---- leaves ----------------------------------------------------------------------------------------------------------

_LEAVES: dict[str, tuple[float, float, list[str]]] = {
    # length, width (cm), colours
    "beech": (7.0, 4.4, ["8a5a33", "74482a", "9c6c40", "5f3d27", "a87c4e", "7d5535", "6b4a33"]),
    "oak": (8.5, 4.8, ["8c6a3c", "7a5a33", "a37d47", "6d4f2c", "94733f"]),
    "birch": (4.2, 3.2, ["b58f45", "a07c3c", "c2a058", "8f6a35", "a98648"]),
    "hazel": (7.5, 6.2, ["a88a42", "947a3a", "7f6a33", "b59a52"]),
}


def _half_width(kind: str, u: F) -> F:
    if kind == "oak":
        return (
            np.maximum(np.sin(np.pi * np.clip(u, 0, 1) ** 0.75), 0) ** 0.7
            * (0.72 + 0.28 * np.cos(u * 29 - 1.2))
        ).astype(np.float32)
    if kind == "birch":
        return (np.clip(1.9 * u, 0, 1) ** 0.6 * np.clip((1 - u) * 1.35, 0, 1) ** 0.95 * 1.02).astype(
            np.float32
        )
    if kind == "hazel":
        return (np.clip(3 * u, 0, 1) ** 0.5 * np.clip((1 - u) * 2.2, 0, 1) ** 0.6).astype(np.float32)
    return (np.maximum(np.sin(np.pi * np.clip(u, 0, 1) ** 0.9), 0) ** 0.85).astype(np.float32)


def _stamp(
    height: F,
    paint: F,
    side: float,
    kind: str,
    rng: np.random.Generator,
    base: float,
    scale: float,
    dark: float,
) -> None:
    n = height.shape[0]
    length, width, tones = _LEAVES[kind]
    length, width = length * scale, width * scale
    texel = side / n
    half = int(length / texel / 2) + 3
    cx, cy = rng.integers(0, n, 2)
    angle = rng.random() * 2 * np.pi
    yy, xx = np.mgrid[-half : half + 1, -half : half + 1].astype(np.float32) * np.float32(texel)
    c, s = np.float32(np.cos(angle)), np.float32(np.sin(angle))
    u = (xx * c + yy * s) / np.float32(length) + np.float32(0.5)
    v0 = yy * c - xx * s
    bend = np.float32(rng.normal(0, 0.35))
    v = (v0 - bend * (u - 0.5) ** 2 * 2) / np.float32(width / 2)
    w = _half_width(kind, u)
    veins = 9 if kind != "oak" else 6
    side_phase = (u - np.abs(v) * np.float32(0.18)) * veins * 2
    tooth = 1 - (0.05 if kind in ("birch", "hazel") else 0.015) * np.abs(np.sin(side_phase * 6))
    inside = (np.abs(v) < w * tooth) & (u > 0) & (u < 1)
    stalk = (u <= 0.02) & (u > -0.16) & (np.abs(v0) < 0.055)
    inside |= stalk
    if not inside.any():
        return
    curl, cup, roll = rng.normal(0, 0.35), rng.normal(0.05, 0.3), rng.normal(0, 0.3)
    tilt_u, tilt_v = rng.normal(0, 0.22, 2)
    rib = np.exp(-((v * np.float32(width / 2) / 0.07) ** 2))
    vein = np.clip(1 - np.abs(np.sin(side_phase * np.float32(np.pi / 2))) * 5, 0, 1) * (np.abs(v) < w * 0.95)
    z = (
        base
        + curl * (u - 0.5) ** 2 * 2
        + cup * v * v * 0.45
        + roll * (u - 0.5) * v * 0.6
        + tilt_u * (u - 0.5)
        + tilt_v * v * 0.3
        - 0.03 * rib
        - 0.018 * vein
        + 0.035 * np.sin(side_phase * np.float32(np.pi)) * np.clip(np.abs(v), 0, 1) * (kind == "beech")
    )
    tone = colour(tones[int(rng.integers(len(tones)))]) * np.float32(dark * rng.uniform(0.75, 1.2))
    blot = cloud(int(rng.integers(4)) + 900, 1.5)
    bx, by = rng.random(2)
    patch = look(blot, (u * 0.25 + bx).ravel(), (v * 0.12 + by).ravel()).reshape(u.shape)
    rgb = (
        tone
        * (
            1
            + 1.1 * (patch - 0.5)
            - 0.12 * vein
            + 0.28 * rib
            - 0.2 * np.clip(np.abs(v) / (w + 1e-3) - 0.75, 0, 1)
        )[..., None]
    )
    rgb = rgb * (1 - 0.45 * ease(0.62, 0.8, patch)[..., None])
    rows = (np.arange(-half, half + 1) + cy) % n
    cols = (np.arange(-half, half + 1) + cx) % n
    block = np.ix_(rows, cols)
    height[block] = np.where(inside, z, height[block])
    paint[block] = np.where(inside[..., None], np.clip(rgb, 0.004, 0.9), paint[block])


def _twig(
    height: F,
    paint: F,
    side: float,
    rng: np.random.Generator,
    base: float,
    long: float = 9,
    thick: float = 0.22,
) -> None:
    n = height.shape[0]
    texel = side / n
    length, radius = rng.uniform(0.4, 1) * long, rng.uniform(0.4, 1) * thick
    half = int(length / texel / 2) + 3
    cx, cy = rng.integers(0, n, 2)
    a = rng.random() * 2 * np.pi
    yy, xx = np.mgrid[-half : half + 1, -half : half + 1].astype(np.float32) * np.float32(texel)
    u = xx * np.float32(np.cos(a)) + yy * np.float32(np.sin(a))
    v = (
        yy * np.float32(np.cos(a))
        - xx * np.float32(np.sin(a))
        + np.float32(rng.normal(0, 0.3)) * np.sin(u * np.float32(0.5))
    )
    inside = (np.abs(v) < radius) & (np.abs(u) < length / 2)
    z = base + np.sqrt(np.maximum(radius**2 - v * v, 0)) * 1.6
    tone = colour(["5c4a38", "6d5c48", "4a3a2c", "857660"][int(rng.integers(4))])
    grain = look(cloud(905, 1.1), (u * 0.05).ravel(), (v * 0.4).ravel()).reshape(u.shape)
    rgb = tone * (0.6 + 0.8 * grain[..., None])
    block = np.ix_((np.arange(-half, half + 1) + cy) % n, (np.arange(-half, half + 1) + cx) % n)
    over = inside & (z > height[block])
    height[block] = np.where(over, z, height[block])
    paint[block] = np.where(over[..., None], rgb, paint[block])


@lru_cache(maxsize=4)
def litter(
    seed: int, kinds: tuple[str, ...] = ("beech", "beech", "birch"), moss: float = 0.0, size: int = 2048
) -> Relief:
    """Fallen leaves over dark soil, some twigs, optionally moss coming through."""
    rng = np.random.default_rng(seed)
    side = 44.0
    height = (cloud(seed, 1.6, size) - 0.5) * np.float32(0.8) - np.float32(0.9)
    paint = np.broadcast_to(colour("2b2118"), (size, size, 3)).astype(np.float32) * (
        0.5 + cloud(seed + 1, 1.1, size)[..., None]
    )
    order = np.sort(rng.uniform(-0.42, 0.05, 430))
    for i, base in enumerate(order):
        kind = kinds[int(rng.integers(len(kinds)))]
        _stamp(
            height,
            paint,
            side,
            kind,
            rng,
            float(base),
            float(rng.uniform(0.7, 1.1)),
            0.45 + 0.55 * i / len(order),
        )
        if i % 14 == 5:
            _twig(height, paint, side, rng, float(base) + 0.1)
    if moss:
        _moss_over(height, paint, side, seed + 7, moss)
    return relief(side, height, paint, 0.10)


def _moss_over(height: F, paint: F, side: float, seed: int, share: float) -> None:
    """Cushions of moss shoots that rise through whatever lies there; share 1 covers everything."""
    n = height.shape[0]
    rng = np.random.default_rng(seed)
    texel = side / n
    cushion = cloud(seed, 2.0, n, 2)
    swell = ease(0.5 - share * 0.6, 0.62 - share * 0.5, cushion) if share < 1 else np.ones_like(cushion)
    bed = cushion * np.float32(1.6) - np.float32(0.9) + (swell - 1) * 3
    green = [colour(v) for v in ("5a6b2c", "6b7d35", "49592a", "838f48", "566236", "8f9a58")]
    moss_h = bed + (cloud(seed + 3, 1.0, n) - 0.5) * np.float32(0.25) - np.float32(0.25)
    moss_c = np.broadcast_to(colour("2c3a12"), (n, n, 3)).astype(np.float32).copy()
    count = int((side * side) * 11)
    xs, ys = rng.integers(0, n, (2, count))
    sizes = rng.uniform(0.22, 0.5, count)
    for x, y, reach in zip(xs, ys, sizes, strict=True):
        if swell[y, x] < 0.3:
            continue
        half = int(reach / texel) + 1
        yy, xx = np.mgrid[-half : half + 1, -half : half + 1].astype(np.float32) * np.float32(texel / reach)
        r = np.sqrt(xx * xx + yy * yy)
        arms = int(rng.integers(6, 10))
        t = np.arctan2(yy, xx)
        spike = np.cos(t * arms + rng.random() * 6) * 0.5 + 0.5
        shape = np.clip(1 - r / (0.35 + 0.65 * spike * spike), 0, 1)
        z = bed[y, x] + (0.30 * reach / 0.4) * (1 - 0.8 * r) + 0.12 * shape
        tone = green[int(rng.integers(len(green)))] * np.float32(rng.uniform(0.7, 1.15))
        rows, cols = (np.arange(-half, half + 1) + y) % n, (np.arange(-half, half + 1) + x) % n
        block = np.ix_(rows, cols)
        over = (shape > 0.02) & (z > moss_h[block])
        moss_h[block] = np.where(over, z, moss_h[block])
        moss_c[block] = np.where(over[..., None], tone * (0.75 + 0.6 * shape[..., None]), moss_c[block])
    over = moss_h > height
    height[...] = np.where(over, moss_h, height)
    paint[...] = np.where(over[..., None], moss_c, paint)


@lru_cache(maxsize=3)
def moss(seed: int, leaves: int = 14, size: int = 2048) -> Relief:
    """A carpet of moss with a few leaves and needles fallen on it."""
    rng = np.random.default_rng(seed)
    side = 36.0
    height = np.full((size, size), -3, np.float32)
    paint = np.zeros((size, size, 3), np.float32)
    _moss_over(height, paint, side, seed, 1.0)
    for _ in range(leaves):
        kind = ("birch", "beech", "birch", "oak")[int(rng.integers(4))]
        _stamp(
            height, paint, side, kind, rng, float(rng.uniform(0.5, 0.8)), float(rng.uniform(0.6, 0.95)), 1.0
        )
    for _ in range(12):
        _twig(height, paint, side, rng, 0.35, 6, 0.14)
    return relief(side, height, paint, 0.03, 0.8)


@lru_cache(maxsize=2)
def soil_relief(seed: int = 77, size: int = 1024) -> Relief:
    """Crumbly woodland soil."""
    near, _, who = cells(seed, 64, size)
    height = (cloud(seed, 1.4, size) - 0.5) * 1.2 + ease(0.6, 0.1, near) * who * 0.25
    paint = mix(
        colour("2a1d13"), colour("5a4430"), (who * 0.6 + 0.5 * cloud(seed + 1, 1.1, size)).ravel()
    ).reshape(size, size, 3)
    return relief(24.0, height.astype(np.float32), paint, 0.03)


@lru_cache(maxsize=2)
def turf(seed: int, size: int = 2048) -> Relief:
    """Short grass seen close: a mat of lying blades over moss."""
    rng = np.random.default_rng(seed)
    side = 36.0
    height = np.full((size, size), -3, np.float32)
    paint = np.zeros((size, size, 3), np.float32)
    _moss_over(height, paint, side, seed, 1.0)
    texel = side / size
    greens = [colour(v) for v in ("6d7d40", "81904f", "5a6a34", "9fa263", "b5a86f", "737f46")]
    for base in np.sort(rng.uniform(0.0, 0.8, 1500)):
        length, wide = rng.uniform(2, 6), rng.uniform(0.07, 0.17)
        half = int(length / texel / 2) + 3
        cx, cy = rng.integers(0, size, 2)
        a = rng.random() * 2 * np.pi
        yy, xx = np.mgrid[-half : half + 1, -half : half + 1].astype(np.float32) * np.float32(texel)
        u = (xx * np.float32(np.cos(a)) + yy * np.float32(np.sin(a))) / np.float32(length)
        v = (
            yy * np.float32(np.cos(a))
            - xx * np.float32(np.sin(a))
            - np.float32(rng.normal(0, 0.6)) * (u * u * 2)
        )
        inside = (np.abs(v) < wide * (0.55 - u)) & (np.abs(u) < 0.5)
        tone = greens[int(rng.integers(len(greens)))] * np.float32(rng.uniform(0.6, 1.15))
        z = base + 0.25 * u + 0.05 * np.abs(v) / wide
        block = np.ix_((np.arange(-half, half + 1) + cy) % size, (np.arange(-half, half + 1) + cx) % size)
        height[block] = np.where(inside, z, height[block])
        paint[block] = np.where(
            inside[..., None], tone * (0.8 + 0.5 * np.abs(v[..., None]) / wide), paint[block]
        )
    for _ in range(10):
        _stamp(
            height, paint, side, "birch", rng, float(rng.uniform(0.6, 0.9)), float(rng.uniform(0.6, 1)), 1.0
        )
    return relief(side, height, paint, 0.06, 0.8)


@lru_cache(maxsize=3)
def boards(seed: int, tone: str = "7a5a3c", size: int = 2048) -> Relief:
    """A scrubbed wooden bench."""
    side = 60.0
    n = size
    at = (np.arange(n, dtype=np.float32) + 0.5) / n
    u, v = np.meshgrid(at, at)
    plank = np.floor(v * 5)
    warp = look(cloud(seed, 1.8), (u * 0.9).ravel(), (v * 1.0).ravel()).reshape(n, n)
    grain = np.sin((v * 130 + warp * 26 + plank * 7.3) * np.float32(2)) * 0.5 + 0.5
    fine = look(cloud(seed + 1, 1.0), (u * 1.0).ravel(), (v * 12).ravel()).reshape(n, n)
    shade = 0.8 + 0.22 * grain + 0.35 * (fine - 0.5) + 0.12 * np.sin(plank * 12.9)
    seam = np.minimum(v * 5 - plank, plank + 1 - v * 5)
    paint = colour(tone) * shade[..., None] * ease(0.0, 0.012, seam)[..., None].clip(0.15, 1)
    height = (-0.12 * ease(0.02, 0.0, seam) + 0.012 * grain + 0.02 * (fine - 0.5)).astype(np.float32)
    return relief(side, height, paint, 0.12)
