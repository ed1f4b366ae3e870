"""Things that rays can hit: lathe-turned bodies with gills, skins, bites and cuts; cards; rounded limbs.

Lengths are centimetres, y is up. A solid has its own frame; distances are asked in that frame.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from demo_data.renderer.noise import F, look
from demo_data.renderer.profile import Grid


@dataclass(slots=True)
class Place:
    """Points on a surface in the solid's frame, with what a painter wants to know about them."""

    x: F
    y: F
    z: F
    r: F
    turn: F
    under: F
    cut: F
    torn: F
    inside: F


@dataclass(slots=True)
class Spot:
    """Points near a surface in the solid's frame: coordinates, distance from the axis, turn about it."""

    x: F
    y: F
    z: F
    r: F
    turn: F


@dataclass(slots=True)
class Look:
    """How points on a surface look: albedo (n, 3), gloss, glow (light passing through), openness to the sky."""

    albedo: F
    gloss: F | float = 0.0
    glow: F | float = 0.0
    open: F | float = 1.0


@dataclass(frozen=True, slots=True)
class Frame:
    """A place and a turn: world = origin + turn @ local."""

    origin: F
    turn: F

    def then(self, shift: tuple[float, float, float], turn: F | None = None) -> Frame:
        """The frame reached by a shift and a turn given in this frame."""
        origin = self.origin + self.turn @ np.asarray(shift, np.float32)
        return Frame(
            origin.astype(np.float32), self.turn if turn is None else (self.turn @ turn).astype(np.float32)
        )


def rotation(axis: tuple[float, float, float], degrees: float) -> F:
    """Right-handed rotation about an axis."""
    a = np.asarray(axis, float)
    a = a / np.linalg.norm(a)
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    k = np.array([[0, -a[2], a[1]], [a[2], 0, -a[0]], [-a[1], a[0], 0]])
    return (np.eye(3) * c + s * k + (1 - c) * np.outer(a, a)).astype(np.float32)


def standing(
    x: float = 0, y: float = 0, z: float = 0, lean: float = 0, towards: float = 0, spin: float = 0
) -> Frame:
    """A frame at a place, leaning by some degrees towards a compass direction in the xz plane, spun about itself."""
    r = np.radians(towards)
    tilt = rotation((float(np.sin(r)), 0, float(-np.cos(r))), lean) if lean else np.eye(3, dtype=np.float32)
    return Frame(np.array([x, y, z], np.float32), (tilt @ rotation((0, 1, 0), spin)).astype(np.float32))


class Solid(Protocol):
    """What the marcher asks of a solid."""

    frame: Frame
    low: F
    high: F
    pace: float

    def distance(self, x: F, y: F, z: F) -> F: ...

    def shade(self, x: F, y: F, z: F) -> F: ...

    def look(self, x: F, y: F, z: F) -> Look: ...


@dataclass(frozen=True, slots=True)
class Gills:
    """Plates hanging in the under region: how many full ones, how thick (cm), tiers of shorter ones by the
    radius at which they begin, and how much they wander and fork."""

    count: int
    thick: float = 0.035
    tiers: tuple[float, ...] = ()
    wander: float = 0.0
    wander_map: F | None = None


Skin = Callable[[Spot], F]
Painter = Callable[[Place], Look]


@dataclass(slots=True)
class Lathe:
    """An outline turned about the y axis, bent, lobed, displaced, bitten and cut."""

    frame: Frame
    grid: Grid
    paint: Painter
    under: Grid | None = None
    gills: Gills | None = None
    under_skin: Skin | None = None
    skin: Skin | None = None
    bend: tuple[float, float, float] = (0, 0, 1)
    lobes: tuple[tuple[int, float, float, float], ...] = ()
    bites: tuple[tuple[float, float, float, float], ...] = ()
    cut: tuple[float, float, float, float] | None = None
    pace: float = 0.9
    pad: float = 0.0
    low: F = field(init=False)
    high: F = field(init=False)

    def __post_init__(self) -> None:
        grids = [self.grid, *([self.under] if self.under else [])]
        spread = 1 + sum(abs(a) for _, a, _, _ in self.lobes)
        reach = (max(g.reach for g in grids) - 0.2) * spread + self.pad
        rise = sum(abs(b) for _, _, b, _ in self.lobes) + self.pad
        bx, bz, h = self.bend
        top = max(g.high_y for g in grids) - 0.2 + rise
        k = (top / h) ** 2
        self.low = np.array(
            [min(0, bx * k) - reach, min(g.low_y for g in grids) + 0.2 - rise, min(0, bz * k) - reach],
            np.float32,
        )
        self.high = np.array([max(0, bx * k) + reach, top, max(0, bz * k) + reach], np.float32)

    def _unwarped(self, x: F, y: F, z: F) -> tuple[F, F, F, F, F | None]:
        bx, bz, h = self.bend
        if bx or bz:
            k = (np.maximum(y, 0) * np.float32(1 / h)) ** 2
            x = x - np.float32(bx) * k
            z = z - np.float32(bz) * k
        r = np.sqrt(x * x + z * z)
        if not self.lobes:
            return x, y, z, r, None
        turn = np.arctan2(z, x)
        swell = np.zeros_like(r)
        rise = np.zeros_like(r)
        part = np.minimum(r * np.float32(1 / (self.grid.reach - 0.25)), 1.2)
        for k, out, up, phase in self.lobes:
            wave = np.cos(np.float32(k) * turn + np.float32(phase))
            swell += np.float32(out) * wave
            rise += np.float32(up) * wave
        part = part * part
        return x, y - rise * part, z, r / (1 + swell * part), turn

    @staticmethod
    def _plates(g: Gills, x: F, z: F, r: F) -> F:
        turn = np.arctan2(z, x)
        if g.wander:
            warp = look(g.wander_map, turn * np.float32(1 / (2 * np.pi)), r * np.float32(0.12)) - np.float32(
                0.5
            )
            turn = turn + warp * np.float32(g.wander)
        sector = turn * np.float32(g.count / (2 * np.pi))
        width = r * np.float32(2 * np.pi / g.count)
        best = None
        places = [(0.0, 0.0)]
        for i, begin in enumerate(g.tiers):
            n = 2**i
            places += [((2 * j + 1) / (2 * n), begin) for j in range(n)]
        for shift, begin in places:
            s = sector - np.float32(shift)
            off = np.abs(s - np.round(s)) * width - np.float32(g.thick)
            if begin:
                which = np.round(s) % np.float32(g.count)
                uneven = np.sin(which * np.float32(12.9) + np.float32(7 * shift)) * np.float32(0.12) + 1
                off = np.maximum(off, np.float32(begin) * uneven - r)
            best = off if best is None else np.minimum(best, off)
        return best

    def _parts(self, x: F, y: F, z: F) -> tuple[F, F | None, F, F, F, F, F | None]:
        x, y, z, r, turn = self._unwarped(x, y, z)
        d = self.grid.at(r, y)
        below = None
        if self.under is not None:
            below = self.under.at(r, y)
            if self.gills is not None:
                near = np.flatnonzero(below < 0.3)
                if near.size:
                    plate = self._plates(self.gills, x[near], z[near], r[near])
                    below[near] = np.maximum(below[near], plate)
            elif self.under_skin is not None:
                near = np.flatnonzero(np.abs(below) < 0.4)
                if near.size:
                    t = np.arctan2(z[near], x[near])
                    below[near] -= self.under_skin(Spot(x[near], y[near], z[near], r[near], t))
        if self.skin is not None:
            near = np.flatnonzero(np.abs(d) < 0.45)
            if near.size:
                t = np.arctan2(z[near], x[near])
                d[near] -= self.skin(Spot(x[near], y[near], z[near], r[near], t))
        return d, below, x, y, z, r, turn

    def _cut_off(self, x: F, y: F, z: F) -> F:
        a, b, c, e = self.cut
        return np.float32(a) * x + np.float32(b) * y + np.float32(c) * z - np.float32(e)

    def _bite(self, x: F, y: F, z: F) -> F:
        hole = np.full_like(x, 9)
        for bx, by, bz, br in self.bites:
            u, v, w = x - np.float32(bx), y - np.float32(by), z - np.float32(bz)
            reach = np.float32(br) * (1 + 0.14 * np.sin(9 * u + 5 * w) * np.sin(7 * w - 4 * v + 1))
            hole = np.minimum(hole, np.sqrt(u * u + v * v + w * w) - reach)
        return hole

    def distance(self, x: F, y: F, z: F) -> F:
        """Signed distance (a bound) at points of the solid's own frame."""
        d, below, *_ = self._parts(x, y, z)
        if below is not None:
            d = np.minimum(d, below)
        if self.bites:
            d = np.maximum(d, -self._bite(x, y, z))
        if self.cut is not None:
            d = np.maximum(d, self._cut_off(x, y, z))
        return d

    def shade(self, x: F, y: F, z: F) -> F:
        """A cheaper distance for shadows: no gills, no skin."""
        _, hy, _, r, _ = self._unwarped(x, y, z)
        d = self.grid.at(r, hy)
        if self.bites:
            d = np.maximum(d, -self._bite(x, y, z))
        if self.cut is not None:
            d = np.maximum(d, self._cut_off(x, y, z))
        return d

    def look(self, x: F, y: F, z: F) -> Look:
        """Paint for points on the surface."""
        d, below, ux, uy, uz, r, turn = self._parts(x, y, z)
        no = np.zeros(x.shape, bool)
        both = d if below is None else np.minimum(d, below)
        under = no if below is None else below < d
        cut = no
        if self.cut is not None:
            cut = (self._cut_off(x, y, z) > -0.012) & (both < -0.004)
            if self.under is not None:
                under = np.where(cut, self.under.at(r, uy) < d, under)
        torn = (both < -0.02) & ~cut if self.bites else no
        turn = np.arctan2(uz, ux) if turn is None else turn
        return self.paint(Place(ux, uy, uz, r, turn, under, cut, torn, -both))


@dataclass(slots=True)
class Card:
    """A thin flat thing lying in its frame's xz plane (a slip, a ruler, a sign) with a picture on top.

    picture is (rows, columns, 3) linear light; rows run along z from far to near.
    """

    frame: Frame
    size: tuple[float, float]
    picture: F
    thick: float = 0.06
    curl: float = 0.0
    gloss: float = 0.05
    pace: float = 0.8
    side: tuple[float, float, float] = (0.6, 0.58, 0.5)
    low: F = field(init=False)
    high: F = field(init=False)

    def __post_init__(self) -> None:
        w, h = self.size
        lift = abs(self.curl)
        self.low = np.array([-w / 2 - 0.05, -self.thick - 0.05, -h / 2 - 0.05], np.float32)
        self.high = np.array([w / 2 + 0.05, self.thick + lift + 0.05, h / 2 + 0.05], np.float32)

    def distance(self, x: F, y: F, z: F) -> F:
        """Signed distance to the (slightly curled) plate."""
        w, h = self.size
        if self.curl:
            y = y - np.float32(self.curl) * (x * np.float32(2 / w)) ** 2
        ax = np.abs(x) - np.float32(w / 2 - 0.02)
        az = np.abs(z) - np.float32(h / 2 - 0.02)
        ay = np.abs(y) - np.float32(max(self.thick - 0.02, 0.005))
        out = np.sqrt(np.maximum(ax, 0) ** 2 + np.maximum(ay, 0) ** 2 + np.maximum(az, 0) ** 2)
        return out + np.minimum(np.maximum(ax, np.maximum(ay, az)), 0) - np.float32(0.02)

    def shade(self, x: F, y: F, z: F) -> F:
        """The same distance, for shadows."""
        return self.distance(x, y, z)

    def look(self, x: F, y: F, z: F) -> Look:
        """The picture on the upper face, plain sides and back."""
        w, h = self.size
        rows, columns = self.picture.shape[:2]
        fx = np.clip((x / np.float32(w) + 0.5) * columns - 0.5, 0, columns - 1.001)
        fz = np.clip((z / np.float32(h) + 0.5) * rows - 0.5, 0, rows - 1.001)
        ix, iz = fx.astype(np.int64), fz.astype(np.int64)
        tx, tz = (fx - ix)[:, None].astype(np.float32), (fz - iz)[:, None].astype(np.float32)
        flat = self.picture.reshape(-1, 3)
        k = iz * columns + ix
        right = np.minimum(ix + 1, columns - 1) - ix
        down = (np.minimum(iz + 1, rows - 1) - iz) * columns
        top = flat[k] * (1 - tx) + flat[k + right] * tx
        low = flat[k + down] * (1 - tx) + flat[k + down + right] * tx
        albedo = top * (1 - tz) + low * tz
        lift = np.float32(self.curl) * (x * np.float32(2 / w)) ** 2 if self.curl else 0
        face = (y - lift) > self.thick - 0.03
        return Look(
            np.where(face[:, None], albedo, np.asarray(self.side, np.float32)).astype(np.float32), self.gloss
        )


@dataclass(slots=True)
class Limbs:
    """Rounded limbs blended together: tapered capsules ((x, y, z, radius), (x, y, z, radius), paint name)."""

    frame: Frame
    limbs: tuple[tuple[tuple[float, float, float, float], tuple[float, float, float, float], F], ...]
    blend: float = 0.3
    skin: Skin | None = None
    gloss: float = 0.05
    cloth: F | None = None
    pace: float = 0.8
    low: F = field(init=False)
    high: F = field(init=False)

    def __post_init__(self) -> None:
        ends = np.array([e for a, b, _ in self.limbs for e in (a, b)])
        self.low = (ends[:, :3] - ends[:, 3:]).min(axis=0).astype(np.float32) - 0.2
        self.high = (ends[:, :3] + ends[:, 3:]).max(axis=0).astype(np.float32) + 0.2

    def _each(self, x: F, y: F, z: F) -> list[F]:
        out = []
        for (ax, ay, az, ar), (bx, by, bz, br), _ in self.limbs:
            ex, ey, ez = bx - ax, by - ay, bz - az
            length = max(ex * ex + ey * ey + ez * ez, 1e-6)
            t = ((x - np.float32(ax)) * ex + (y - np.float32(ay)) * ey + (z - np.float32(az)) * ez) / length
            t = np.clip(t, 0, 1).astype(np.float32)
            u, v, w = x - ax - t * ex, y - ay - t * ey, z - az - t * ez
            out.append((np.sqrt(u * u + v * v + w * w) - (ar + (br - ar) * t)).astype(np.float32))
        return out

    def distance(self, x: F, y: F, z: F) -> F:
        """Smoothly blended distance."""
        total = None
        for d in self._each(x, y, z):
            if total is None:
                total = d
            else:
                h = np.clip(0.5 + 0.5 * (d - total) / self.blend, 0, 1)
                total = (d * (1 - h) + total * h - self.blend * h * (1 - h)).astype(np.float32)
        if self.skin is not None:
            total = total - self.skin(Spot(x, y, z, np.sqrt(x * x + z * z), np.arctan2(z, x)))
        return total

    def shade(self, x: F, y: F, z: F) -> F:
        """The same distance, for shadows."""
        return self.distance(x, y, z)

    def look(self, x: F, y: F, z: F) -> Look:
        """The paint of the nearest limb, with some cloth grain."""
        near = np.argmin(np.stack(self._each(x, y, z)), axis=0)
        paint = np.stack([p for *_, p in self.limbs]).astype(np.float32)[near]
        if self.cloth is not None:
            grain = look(self.cloth, x * np.float32(0.06) + z * np.float32(0.03), y * np.float32(0.06))
            paint = paint * (0.84 + 0.32 * grain[:, None])
        return Look(paint.astype(np.float32), self.gloss)
