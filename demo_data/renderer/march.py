"""Sphere tracing of a scene, tile by tile: sky light from seven directions, one soft key light, occlusion."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from demo_data.renderer.noise import F
from demo_data.renderer.solids import Look, Solid

TILE = 128
FAR = 4000.0


@dataclass(frozen=True, slots=True)
class Camera:
    """Eye and target in cm; field of view in degrees across the longer side; lens for the focus blur."""

    eye: tuple[float, float, float]
    target: tuple[float, float, float]
    view: float = 36.0
    aperture: float = 0.35
    focus: float | None = None
    roll: float = 0.0

    def axes(self) -> tuple[F, F, F]:
        """Forward, right and up."""
        forward = np.subtract(self.target, self.eye)
        forward = forward / np.linalg.norm(forward)
        right = np.cross(forward, (0, 1, 0) if abs(forward[1]) < 0.999 else (0, 0, -1))
        right = right / np.linalg.norm(right)
        up = np.cross(right, forward)
        c, s = np.cos(np.radians(self.roll)), np.sin(np.radians(self.roll))
        right, up = c * right + s * up, c * up - s * right
        return forward.astype(np.float32), right.astype(np.float32), up.astype(np.float32)


@dataclass(frozen=True, slots=True)
class Light:
    """Sky overhead, warm key light from a direction, light thrown back by the ground."""

    key: tuple[float, float, float] = (-0.55, 0.75, 0.35)
    key_colour: tuple[float, float, float] = (1.25, 1.12, 0.92)
    sky: tuple[float, float, float] = (0.80, 0.88, 0.95)
    bounce: tuple[float, float, float] = (0.30, 0.24, 0.17)
    softness: float = 5.0


class Ground(Protocol):
    """What the marcher asks of the ground."""

    def trace(self, o: Sequence[float], dx: F, dy: F, dz: F) -> F: ...

    def look(self, x: F, z: F) -> tuple[Look, F]: ...


@dataclass(slots=True)
class Scene:
    """Solids standing on a ground under a light, before a far background."""

    solids: list[Solid]
    ground: Ground | None = None
    light: Light = field(default_factory=Light)
    background: Callable[[F, F, F], F] | None = None
    fog: tuple[float, tuple[float, float, float]] | None = None
    flecks: F | None = None


def _box(s: Solid, ox: F, oy: F, oz: F, dx: F, dy: F, dz: F, pad: float = 0.0) -> tuple[F, F]:
    near = np.full(dx.shape, 0, np.float32)
    far = np.full(dx.shape, FAR, np.float32)
    for o, d, lo, hi in (
        (ox, dx, s.low[0], s.high[0]),
        (oy, dy, s.low[1], s.high[1]),
        (oz, dz, s.low[2], s.high[2]),
    ):
        inv = 1 / np.where(np.abs(d) < 1e-7, np.float32(1e-7), d)
        a = (lo - np.float32(pad) - o) * inv
        b = (hi + np.float32(pad) - o) * inv
        near = np.maximum(near, np.minimum(a, b))
        far = np.minimum(far, np.maximum(a, b))
    return near, far


def _into(s: Solid, x: F, y: F, z: F, shift: bool) -> tuple[F, F, F]:
    if shift:
        x, y, z = x - s.frame.origin[0], y - s.frame.origin[1], z - s.frame.origin[2]
    m = s.frame.turn
    return (
        m[0, 0] * x + m[1, 0] * y + m[2, 0] * z,
        m[0, 1] * x + m[1, 1] * y + m[2, 1] * z,
        m[0, 2] * x + m[1, 2] * y + m[2, 2] * z,
    )


def strike(s: Solid, eye: F, dx: F, dy: F, dz: F, limit: F, pixel: float) -> F:
    """Distance along each ray to the solid, or FAR; pixel is the size of a pixel at distance 1."""
    out = np.full(dx.shape, FAR, np.float32)
    o = s.frame.turn.T @ (eye - s.frame.origin)
    lx, ly, lz = _into(s, dx, dy, dz, False)
    near, far = _box(s, o[0], o[1], o[2], lx, ly, lz)
    live = np.flatnonzero((near < far) & (near < limit))
    if not live.size:
        return out
    t = near[live] + np.float32(1e-3)
    end = np.minimum(far, limit)[live]
    lx, ly, lz = lx[live], ly[live], lz[live]
    for step in range(110):
        d = s.distance(o[0] + t * lx, o[1] + t * ly, o[2] + t * lz)
        hit = d < np.maximum(np.float32(0.35 * pixel) * t, np.float32(0.0015))
        if step > 70:
            hit |= d < np.float32(0.02)
        out[live[hit]] = t[hit]
        t = t + np.maximum(d * np.float32(s.pace), np.float32(0.002))
        keep = ~hit & (t < end)
        if not keep.any():
            break
        if keep.mean() < 0.85 or step % 8 == 7:
            live, t, end, lx, ly, lz = live[keep], t[keep], end[keep], lx[keep], ly[keep], lz[keep]
        else:
            t = np.where(keep, t, np.float32(FAR))
            if (~keep).any():
                live, t, end, lx, ly, lz = live[keep], t[keep], end[keep], lx[keep], ly[keep], lz[keep]
    return out


def visibility(
    solids: list[Solid], x: F, y: F, z: F, ways: F, sharp: float, steps: int, reach: float = 22.0
) -> F:
    """Soft visibility (0..1), shape (ways, points), from points along directions (ways, 3) past the solids;
    sharp is 1/tan of the cone's half angle."""
    count, n = len(ways), x.size
    seen = np.ones(count * n, np.float32)
    pad = min(1.2, 2.0 / sharp)
    for s in solids:
        px, py, pz = _into(s, x, y, z, True)
        spare = np.float32(0.6 * reach)
        close = np.flatnonzero(
            (px > s.low[0] - spare)
            & (px < s.high[0] + spare)
            & (py > s.low[1] - spare)
            & (py < s.high[1] + spare)
            & (pz > s.low[2] - spare)
            & (pz < s.high[2] + spare)
        )
        if not close.size:
            continue
        px, py, pz = (np.tile(c[close], count) for c in (px, py, pz))
        w = np.repeat(ways @ s.frame.turn, close.size, axis=0)
        near, far = _box(s, px, py, pz, w[:, 0], w[:, 1], w[:, 2], pad=pad)
        which = (np.arange(count)[:, None] * n + close).ravel()
        there = np.flatnonzero((near < np.minimum(far, reach)) & (seen[which] > 0.02))
        if not there.size:
            continue
        live, px, py, pz, w, near, far = (
            which[there],
            px[there],
            py[there],
            pz[there],
            w[there],
            near[there],
            far[there],
        )
        wx, wy, wz = w[:, 0], w[:, 1], w[:, 2]
        t = np.maximum(near, np.float32(0.06))
        end = np.minimum(far, np.float32(reach))
        best = seen[live]
        for step in range(steps):
            d = s.shade(px + t * wx, py + t * wy, pz + t * wz)
            best = np.minimum(best, 0.5 + np.float32(0.5 * sharp) * d / t)
            t = t + np.minimum(np.maximum(d, np.float32(0.04) + np.float32(0.06) * t), np.float32(2.5))
            if step % 3 == 2:
                keep = (t < end) & (best > 0.02)
                seen[live[~keep]] = np.maximum(best[~keep], 0)
                if not keep.any():
                    break
                if keep.mean() < 0.8:
                    live, t, end, best = live[keep], t[keep], end[keep], best[keep]
                    px, py, pz, wx, wy, wz = px[keep], py[keep], pz[keep], wx[keep], wy[keep], wz[keep]
        else:
            seen[live] = np.maximum(best, 0)
    seen = seen.reshape(count, n)
    return seen * seen * (3 - 2 * seen)


_SKY = [(0.0, 1.0, 0.0)] + [
    (float(0.78 * np.cos(a)), 0.62, float(0.78 * np.sin(a))) for a in np.arange(6) * np.pi / 3 + 0.35
]
_WAYS = np.array(_SKY, np.float32)


def _normals(s: Solid, x: F, y: F, z: F, h: F) -> tuple[F, F, F]:
    nx = np.zeros_like(x)
    ny = np.zeros_like(x)
    nz = np.zeros_like(x)
    for a, b, c in ((1, -1, -1), (-1, -1, 1), (-1, 1, -1), (1, 1, 1)):
        d = s.distance(x + a * h, y + b * h, z + c * h)
        nx += a * d
        ny += b * d
        nz += c * d
    n = np.sqrt(nx * nx + ny * ny + nz * nz) + np.float32(1e-9)
    nx, ny, nz = nx / n, ny / n, nz / n
    m = s.frame.turn
    return (
        m[0, 0] * nx + m[0, 1] * ny + m[0, 2] * nz,
        m[1, 0] * nx + m[1, 1] * ny + m[1, 2] * nz,
        m[2, 0] * nx + m[2, 1] * ny + m[2, 2] * nz,
    )


def _seen(scene: Scene, x: F, y: F, z: F) -> F:
    """How much of the seven patches of sky, and (last row) of the key light, points see: (8, n)."""
    key = np.asarray(scene.light.key, np.float32)
    key = key / np.linalg.norm(key)
    sky = visibility(scene.solids, x, y, z, _WAYS, 1.6, 9)
    sun = visibility(scene.solids, x, y, z, key[None, :], scene.light.softness, 15)
    return np.concatenate([sky, sun])


def _seen_on_grid(scene: Scene, x: F, y: F, z: F, hit: F, who: F, depth: F, shape: tuple[int, int]) -> F:
    """The same for a tile of neighbouring pixels: worked out for every other pixel in both directions, between
    them taken over where the neighbours lie on the same thing at much the same distance."""
    rows, columns = shape
    n = rows * columns
    place = np.full(n, -1)
    place[hit] = np.arange(hit.size)
    gy, gx = np.divmod(np.arange(n), columns)
    lead = (gy & 1 == 0) & (gx & 1 == 0) & (place >= 0)
    out = np.zeros((8, n), np.float32)
    k = np.flatnonzero(lead)
    some = place[k]
    out[:, k] = _seen(scene, x[some], y[some], z[some])
    rest = np.flatnonzero(~lead & (place >= 0))
    total = np.zeros((8, rest.size), np.float32)
    weight = np.zeros(rest.size, np.float32)
    ry, rx = gy[rest], gx[rest]
    for dy in (0, 1):
        for dx in (0, 1):
            cy, cx = (ry & ~1) + 2 * dy * (ry & 1), (rx & ~1) + 2 * dx * (rx & 1)
            ok = (cy < rows) & (cx < columns)
            c = np.where(ok, cy * columns + cx, 0)
            ok &= lead[c] & (who[c] == who[rest]) & (np.abs(depth[c] - depth[rest]) < 0.01 * depth[rest])
            total += out[:, c] * ok
            weight += ok
    out[:, rest] = total / np.maximum(weight, 1)
    alone = rest[weight == 0]
    if alone.size:
        some = place[alone]
        out[:, alone] = _seen(scene, x[some], y[some], z[some])
    return out[:, hit]


def _lit(scene: Scene, n: tuple[F, F, F], v: tuple[F, F, F], look: Look, vis: F) -> F:
    nx, ny, nz = n
    light = scene.light
    total = np.zeros_like(nx)
    weight = np.zeros_like(nx)
    for i, way in enumerate(_SKY):
        facing = np.maximum(nx * way[0] + ny * way[1] + nz * way[2] + np.float32(0.25), 0) * (
            1.5 if i == 0 else 0.8
        )
        total += facing * vis[i]
        weight += facing
    seen = vis[:-1].mean(axis=0)
    sun = vis[-1]
    ambient = total / np.float32(1.5 * 1.25 + 6 * 0.8 * 0.87)
    occl = np.asarray(look.open, np.float32) * (total / np.maximum(weight, 1e-4))
    key = np.asarray(light.key, np.float32)
    key = key / np.linalg.norm(key)
    glow = np.asarray(look.glow, np.float32)
    facing = nx * key[0] + ny * key[1] + nz * key[2]
    wrap = 0.15 + 0.6 * glow
    direct = np.maximum(facing + wrap, 0) / (1 + wrap) * (sun + (1 - sun) * 0.35 * glow)
    albedo = look.albedo
    # light that bounces between neighbouring surfaces of the same colour: dark corners of pale things stay pale
    reach = np.clip(np.asarray(look.open, np.float32) * (0.15 + 0.85 * np.minimum(occl, 1)), 0.02, 1)[:, None]
    inter = 1 / (1 - np.minimum(albedo, 0.92) * (1 - reach) * 0.75)
    below = (0.5 - 0.5 * ny) * (0.35 + 0.65 * seen) + 0.12
    up = np.asarray(look.open, np.float32)
    light_in = (
        (ambient * up)[:, None] * np.asarray(light.sky, np.float32)
        + (below * (0.3 + 0.7 * up))[:, None] * np.asarray(light.bounce, np.float32)
    ) * inter + (direct * np.minimum(1, 0.25 + 0.75 * up))[:, None] * np.asarray(light.key_colour, np.float32)
    rgb = albedo * light_in
    gloss = np.asarray(look.gloss, np.float32)
    if np.any(gloss > 0):
        hx, hy, hz = key[0] - v[0], key[1] - v[1], key[2] - v[2]
        hn = np.sqrt(hx * hx + hy * hy + hz * hz)
        shine = np.maximum((nx * hx + ny * hy + nz * hz) / hn, 0)
        grazing = (1 - np.abs(nx * v[0] + ny * v[1] + nz * v[2])) ** 5
        spot = shine**40 * sun * 0.9 + shine**220 * sun * 2.0
        rgb = rgb + (gloss * (spot + (0.04 + grazing) * ambient * 0.6))[:, None] * np.float32(0.8)
    return rgb.astype(np.float32)


def shoot(
    scene: Scene, camera: Camera, dx: F, dy: F, dz: F, pixel: float, shape: tuple[int, int] | None = None
) -> tuple[F, F, F]:
    """Light (n, 3), distance along the view axis (n,) and which solid (n,) for unit rays from the camera; shape is
    that of the tile where the rays are those of a whole tile."""
    eye = np.asarray(camera.eye, np.float32)
    forward = camera.axes()[0]
    depth = np.full(dx.shape, FAR, np.float32)
    who = np.full(dx.shape, -2, np.int32)
    if scene.ground is not None:
        depth = scene.ground.trace(camera.eye, dx, dy, dz)
        who[depth < FAR] = -1
    for i, s in enumerate(scene.solids):
        t = strike(s, eye, dx, dy, dz, depth, pixel)
        nearer = t < depth
        depth = np.where(nearer, t, depth)
        who[nearer] = i
    rgb = np.zeros((dx.size, 3), np.float32)
    if scene.background is not None:
        sky = np.flatnonzero(who == -2)
        if sky.size:
            rgb[sky] = scene.background(dx[sky], dy[sky], dz[sky])
    hit = np.flatnonzero(who > -2)
    if hit.size:
        t = depth[hit]
        v = (dx[hit], dy[hit], dz[hit])
        x, y, z = eye[0] + t * v[0], eye[1] + t * v[1], eye[2] + t * v[2]
        n = np.zeros((3, hit.size), np.float32)
        albedo = np.zeros((hit.size, 3), np.float32)
        gloss, glow, open_ = (np.zeros(hit.size, np.float32) for _ in range(3))
        for i in np.unique(who[hit]):
            k = np.flatnonzero(who[hit] == i)
            if i == -1:
                look, normal = scene.ground.look(x[k], z[k])
                n[:, k] = normal.T
            else:
                s = scene.solids[i]
                lx, ly, lz = _into(s, x[k], y[k], z[k], True)
                n[:, k] = _normals(
                    s, lx, ly, lz, np.maximum(np.float32(0.5 * pixel) * t[k], np.float32(0.004))
                )
                look = s.look(lx, ly, lz)
            albedo[k], gloss[k], glow[k], open_[k] = look.albedo, look.gloss, look.glow, look.open
        ax, ay, az = x + n[0] * np.float32(0.03), y + n[1] * np.float32(0.03), z + n[2] * np.float32(0.03)
        vis = (
            _seen(scene, ax, ay, az)
            if shape is None
            else _seen_on_grid(scene, ax, ay, az, hit, who, depth, shape)
        )
        rgb[hit] = _lit(scene, (n[0], n[1], n[2]), v, Look(albedo, gloss, glow, open_), vis)
    if scene.fog is not None:
        reach, tint = scene.fog
        f = (1 - np.exp(-depth / np.float32(reach)))[:, None] * (who != -2)[:, None]
        rgb = rgb * (1 - f) + np.asarray(tint, np.float32) * f
    axial = depth * (dx * forward[0] + dy * forward[1] + dz * forward[2])
    return rgb, axial, who


def _rays(camera: Camera, px: F, py: F, width: int, height: int) -> tuple[F, F, F, float]:
    forward, right, up = camera.axes()
    pixel = 2 * np.tan(np.radians(camera.view) / 2) / max(width, height)
    u = (px - np.float32(width / 2)) * np.float32(pixel)
    v = (np.float32(height / 2) - py) * np.float32(pixel)
    n = 1 / np.sqrt(1 + u * u + v * v)
    d = [(forward[i] + u * right[i] + v * up[i]) * n for i in range(3)]
    return d[0], d[1], d[2], float(pixel)


def photograph(scene: Scene, camera: Camera, width: int, height: int, finer: int = 2) -> tuple[F, F]:
    """Linear light (height, width, 3) and axial distance (height, width); edges get `finer` further rays."""
    rgb = np.zeros((height, width, 3), np.float32)
    depth = np.zeros((height, width), np.float32)
    who = np.zeros((height, width), np.int32)
    for y0 in range(0, height, TILE):
        for x0 in range(0, width, TILE):
            y1, x1 = min(y0 + TILE, height), min(x0 + TILE, width)
            gx, gy = np.meshgrid(np.arange(x0, x1, dtype=np.float32), np.arange(y0, y1, dtype=np.float32))
            dx, dy, dz, pixel = _rays(camera, gx.ravel() + 0.5, gy.ravel() + 0.5, width, height)
            c, d, w = shoot(scene, camera, dx, dy, dz, pixel, (y1 - y0, x1 - x0))
            rgb[y0:y1, x0:x1] = c.reshape(y1 - y0, x1 - x0, 3)
            depth[y0:y1, x0:x1] = d.reshape(y1 - y0, x1 - x0)
            who[y0:y1, x0:x1] = w.reshape(y1 - y0, x1 - x0)
    if finer:
        tone = np.sqrt(np.maximum(rgb, 0)).mean(axis=2)
        rough = np.zeros((height, width), bool)
        for axis in (0, 1):
            solid = np.minimum(who[1:], who[:-1]) if axis == 0 else np.minimum(who[:, 1:], who[:, :-1])
            step = ((np.abs(np.diff(tone, axis=axis)) > 0.10) & (solid >= 0)) | (np.diff(who, axis=axis) != 0)
            pads = [(0, 0), (0, 0)]
            pads[axis] = (1, 0)
            rough |= np.pad(step, pads)
            pads[axis] = (0, 1)
            rough |= np.pad(step, pads)
        ys, xs = np.nonzero(rough)
        spots = [(0.16, 0.36), (0.84, 0.64), (0.64, 0.16), (0.36, 0.84)][:finer]
        for at in range(0, ys.size, 12000):
            y, x = ys[at : at + 12000], xs[at : at + 12000]
            total = rgb[y, x].copy()
            for sx, sy in spots:
                dx, dy, dz, pixel = _rays(
                    camera,
                    x.astype(np.float32) + np.float32(sx),
                    y.astype(np.float32) + np.float32(sy),
                    width,
                    height,
                )
                total += np.minimum(shoot(scene, camera, dx, dy, dz, pixel)[0], 2.5)
            rgb[y, x] = total / (len(spots) + 1)
    return rgb, depth
