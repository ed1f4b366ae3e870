"""Fruit bodies in the field's own words (cap, hymenium, stem, ring, volva), turned into solids.

All lengths in cm. A body stands in a Frame whose origin is where the stem leaves the ground.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from demo_data.renderer.noise import F, cells, cloud, colour, ease, look, mix
from demo_data.renderer.profile import smooth, turned
from demo_data.renderer.solids import Frame, Gills, Lathe, Look, Place, Skin, Spot, rotation

TAU = np.float32(2 * np.pi)


@dataclass(frozen=True, slots=True)
class Warts:
    """Veil patches or scales on a cap: patches across one period of 4 cm, height, share kept, colour."""

    across: int = 6
    height: float = 0.12
    kept: float = 1.0
    colour: str = "f1ead8"
    size: float = 0.42
    flat: bool = False
    clear_centre: float = 0.0


@dataclass(frozen=True, slots=True)
class Cap:
    """Cap: radius, height, angle of the margin (70 spread, 90 hemispherical, 110 incurved), flesh at centre and
    rim, umbo and dip at the centre, colours from centre to margin, surface."""

    radius: float = 4.0
    height: float = 2.4
    angle: float = 80
    flesh: float = 0.9
    rim: float = 0.07
    umbo: float = 0.0
    dip: float = 0.0
    tilt: float = 4
    towards: float = 40
    lobes: tuple[tuple[int, float, float, float], ...] = (
        (2, 0.02, 0.02, 0.4),
        (3, 0.015, 0.04, 2.0),
        (5, 0.01, 0.03, 4.0),
    )
    centre: str = "f4f0e4"
    margin: str = "faf7ee"
    outer: str | None = None
    outer_from: float = 0.7
    fibrils: float = 0.10
    mottle: float = 0.12
    zones: float = 0.0
    striate: float = 0.0
    gloss: float = 0.08
    glow: float = 0.25
    warts: Warts | None = None
    pits: float = 0.0
    crumbs: str | None = None
    flesh_colour: str = "f6f2e6"
    skin_line: str | None = None
    bites: tuple[tuple[float, float, float, float], ...] = ()
    veil_rags: str | None = None


@dataclass(frozen=True, slots=True)
class Hymenium:
    """Underside: gills, pores or none; how many, how deep, how attached (free, adnate, notched, decurrent)."""

    kind: str = "gills"
    count: int = 90
    depth: float = 0.7
    attached: str = "free"
    thick: float = 0.03
    tiers: tuple[float, ...] = (0.45, 0.7)
    colour: str = "f7f3e8"
    edge: str | None = None
    wander: float = 0.02
    pore: float = 0.09
    bruise: str | None = None


@dataclass(frozen=True, slots=True)
class Stem:
    """Stem: (height, radius) from base to top, colours from base to top, surface words."""

    outline: tuple[tuple[float, float], ...] = ((-1.2, 0.9), (0, 0.85), (3, 0.6), (8, 0.5))
    base: str = "efe9da"
    top: str = "f7f3ea"
    surface: tuple[str, ...] = ("fibrils",)
    surface_below: float = 99.0
    surface_colour: str = "8a5a2c"
    bend: tuple[float, float] = (0.4, 0.2)
    hollow: float = 0.0
    soil: float = 0.4
    flesh_colour: str = "f5f1e6"
    glow: float = 0.15
    gloss: float = 0.04
    dark_base: str | None = None
    dark_below: float = 2.0


@dataclass(frozen=True, slots=True)
class Ring:
    """Ring on the stem: height, reach, how far it hangs; torn away over a part of the turn (degrees)."""

    height: float = 6.5
    reach: float = 0.9
    hang: float = 1.3
    colour: str = "f5f1e4"
    torn: float = 0.0
    rising: bool = False
    thick: float = 0.05


@dataclass(frozen=True, slots=True)
class Volva:
    """Volva: a membranous sac round the bulb, its rim free."""

    radius: float = 1.5
    bottom: float = -2.6
    rim: float = 0.9
    ragged: float = 0.5
    colour: str = "efe9d8"


@dataclass(frozen=True, slots=True)
class Body:
    """One fruit body; seed varies its noise."""

    cap: Cap = field(default_factory=Cap)
    hymenium: Hymenium = field(default_factory=Hymenium)
    stem: Stem = field(default_factory=Stem)
    ring: Ring | None = None
    volva: Volva | None = None
    seed: int = 1
    vase: tuple[tuple[float, float], ...] | None = None

    def sized(self, factor: float, seed: int | None = None) -> Body:
        """A smaller or larger one of the same build."""
        c, s = self.cap, self.stem
        h = replace(
            self.hymenium, depth=self.hymenium.depth * factor, thick=self.hymenium.thick * max(factor, 0.7)
        )
        cap = replace(
            c,
            radius=c.radius * factor,
            height=c.height * factor,
            flesh=c.flesh * factor,
            umbo=c.umbo * factor,
            dip=c.dip * factor,
            bites=tuple(tuple(v * factor for v in b) for b in c.bites),
        )  # type: ignore[misc]
        stem = replace(
            s,
            outline=tuple((y * factor, r * factor) for y, r in s.outline),
            surface_below=s.surface_below * factor,
            bend=(s.bend[0] * factor, s.bend[1] * factor),
            dark_below=s.dark_below * factor,
            hollow=s.hollow * factor,
        )
        ring = self.ring and replace(
            self.ring,
            height=self.ring.height * factor,
            reach=self.ring.reach * factor,
            hang=self.ring.hang * factor,
        )
        volva = self.volva and replace(
            self.volva,
            radius=self.volva.radius * factor,
            bottom=self.volva.bottom * factor,
            rim=self.volva.rim * factor,
            ragged=self.volva.ragged * factor,
        )
        vase = self.vase and tuple((r * factor, y * factor) for r, y in self.vase)
        return replace(
            self,
            cap=cap,
            hymenium=h,
            stem=stem,
            ring=ring,
            volva=volva,
            vase=vase,
            seed=self.seed if seed is None else seed,
        )


def _cap_curves(c: Cap, h: Hymenium, stem_radius: float) -> tuple[NDArray[np.float64], ...]:
    """Top, flesh underside and hymenium edge as (n, 2) curves from the axis to the margin; y = 0 at the stem top."""
    n = 60
    s = np.linspace(0, 1, n)
    phi = np.radians(c.angle) * s
    widest = np.sin(min(np.radians(c.angle), np.pi / 2))
    r = c.radius * np.sin(phi) / widest
    y = c.height * (np.cos(phi) - np.cos(phi[-1])) / (1 - np.cos(phi[-1]))
    normal = np.stack([np.sin(phi) / c.radius * widest, np.cos(phi) / c.height], axis=1)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    y = y + c.umbo * np.exp(-((s / 0.16) ** 2)) - c.dip * np.exp(-((s / 0.42) ** 2))
    top = np.stack([r, y], axis=1)
    thick = c.flesh * (1 - s**1.3) + c.rim
    flesh = top - normal * thick[:, None]
    flesh[:, 0] = np.maximum(flesh[:, 0], 0)
    start = stem_radius * {"free": 1.35, "notched": 1.0}.get(h.attached, 0.7)
    free = np.clip((flesh[:, 0] - start) / max(c.radius * 0.2, 0.2), 0, 1)
    shape = np.sin(np.clip((1 - s) / 0.5, 0, 1) * np.pi / 2) ** 0.8
    if h.attached == "free":
        shape = shape * np.sqrt(np.clip(free * 1.4, 0, 1))
    elif h.attached == "notched":
        shape = shape * (0.25 + 0.75 * np.sqrt(np.clip(free, 0, 1)))
    elif h.attached == "decurrent":
        shape = shape * (1 + 0.9 * (1 - free) ** 2)
    edge = flesh - normal * (h.depth * shape)[:, None]
    edge[:, 0] = np.maximum(edge[:, 0], 0)
    # the stem top stands where the hymenium (or flesh) meets the axis
    lift = flesh[:, 1][flesh[:, 0] <= max(stem_radius, flesh[0, 0])].min()
    for curve in (top, flesh, edge):
        curve[:, 1] -= lift
    return top, flesh, edge


def _unrolled(x: F, y: F, z: F, r: F, summit: np.float32) -> tuple[F, F]:
    """Flat coordinates of a point on a cap, its way from the summit kept."""
    k = np.sqrt(1 + ((summit - y) / np.maximum(r, np.float32(0.02))) ** 2)
    return x * k, z * k


def _wart_map(w: Warts, seed: int) -> tuple[F, F]:
    near, edge, who = cells(seed, w.across * 2)
    if w.flat:
        mask = ease(0.02, 0.16, edge) * (who < w.kept)
    else:
        mask = ease(w.size, w.size * 0.45, near * (0.75 + 0.6 * who)) * (who < w.kept)
    return mask.astype(np.float32), who


def cap_solid(body: Body, frame: Frame, stem_radius: float) -> Lathe:
    """The cap of a body, its frame at the top of the stem."""
    c, h, seed = body.cap, body.hymenium, body.seed
    top, flesh, edge = _cap_curves(c, h, stem_radius)
    shell = turned(np.vstack([top, flesh[::-1]]))
    under = None
    if h.kind in ("gills", "pores") and h.depth > 0:
        start = stem_radius * (1.1 if h.attached == "free" else 0.6)
        keep = (flesh[:, 0] >= start) | (np.arange(len(flesh)) > len(flesh) * 0.6)
        lifted = flesh.copy()
        lifted[:, 1] += 0.04
        under = turned(np.vstack([lifted[keep], edge[keep][::-1]]))
    gills = None
    if h.kind == "gills":
        gills = Gills(
            h.count, h.thick, tuple(t * c.radius for t in h.tiers), h.wander, cloud(seed + 5, 1.5, 256, 2)
        )
    mask = _wart_map(c.warts, seed + 3) if c.warts else None
    mottle, fine = cloud(seed + 1, 1.5), cloud(seed + 2, 1.05)
    pores = cells(seed + 7, 32, 512)[1]
    tone = [
        colour(v)
        for v in (c.centre, c.margin, c.outer or c.margin, c.flesh_colour, h.colour, h.edge or h.colour)
    ]
    skin_line = colour(c.skin_line or c.margin)
    radius = np.float32(c.radius)
    summit = np.float32(top[0, 1])
    middle_r, middle_y = top[:30, 0].astype(np.float32), ((top + flesh)[:30, 1] / 2).astype(np.float32)

    def skin(p: Spot) -> F:
        x, y, z, r, turn = p.x, p.y, p.z, p.r, p.turn
        out = (look(fine, x * 0.11, z * 0.11) - np.float32(0.5)) * np.float32(0.02 + 0.08 * c.pits)
        if c.fibrils:
            out = out + (
                look(fine, turn * np.float32(3 / 6.2832), r * np.float32(0.02)) - np.float32(0.5)
            ) * np.float32(0.05 * c.fibrils) * np.minimum(r, 1)
        if c.pits:
            out = out + (look(mottle, x * 0.09, z * 0.09) - np.float32(0.5)) * np.float32(0.35 * c.pits)
        if c.striate:
            out = out + np.cos(turn * np.float32(h.count * 0.5)) * np.float32(0.03 * c.striate) * ease(
                0.6, 0.95, r / radius
            )
        if mask is not None and c.warts is not None:
            wx, wz = _unrolled(x, y, z, r, summit)
            bump = look(mask[0], wx * np.float32(0.125), wz * np.float32(0.125))
            if c.warts.clear_centre:
                bump = bump * ease(c.warts.clear_centre - 0.1, c.warts.clear_centre + 0.1, r / radius)
            out = out + bump * np.float32(c.warts.height)
        return out

    def under_skin(p: Spot) -> F:
        x, z = p.x, p.z
        k = np.float32(1 / (32 * h.pore))
        return ease(0.0, 0.28, look(pores, x * k, z * k)) * np.float32(-0.07) + np.float32(0.02)

    def paint(p: Place) -> Look:
        s = np.clip(p.r / radius, 0, 1.1)
        ax, az = _unrolled(p.x, p.y, p.z, p.r, summit)
        m = look(mottle, ax * np.float32(0.055), az * np.float32(0.055))
        f = look(fine, p.turn * np.float32(5 / 6.2832), p.r * np.float32(0.04))
        where = np.clip(s + (m - 0.5) * np.float32(0.5), 0, 1)
        rgb = mix(tone[0], tone[1], ease(0.1, 0.85, where))
        if c.outer:
            rgb = mix(
                rgb, tone[2], ease(c.outer_from - 0.11, c.outer_from + 0.11, s + (m - 0.5) * np.float32(0.25))
            )
        if c.zones:
            band = np.sin((p.r + (m - 0.5) * np.float32(0.8)) * np.float32(8.0))
            rgb = rgb * (1 + np.float32(c.zones) * band[:, None])
        rgb = rgb * (
            1 + np.float32(c.mottle) * 2 * (m - 0.5)[:, None] + np.float32(c.fibrils) * 2 * (f - 0.5)[:, None]
        )
        glow = np.full(p.r.shape, c.glow, np.float32)
        opened = np.ones(p.r.shape, np.float32)
        gloss = np.full(p.r.shape, c.gloss, np.float32)
        if mask is not None and c.warts is not None:
            w = look(mask[0], ax * np.float32(0.125), az * np.float32(0.125))
            if c.warts.clear_centre:
                w = w * ease(c.warts.clear_centre - 0.1, c.warts.clear_centre + 0.1, s)
            rgb = mix(rgb, colour(c.warts.colour) * (0.85 + 0.3 * f[:, None]), np.clip(w * 1.3, 0, 1))
            gloss = gloss * (1 - w)
        if c.crumbs:
            bit = ease(0.66, 0.72, look(fine, ax * np.float32(0.16) + np.float32(0.3), az * np.float32(0.16)))
            rgb = mix(rgb, colour(c.crumbs), bit * np.float32(0.7))
        if c.veil_rags:
            rag = ease(0.9, 0.97, s) * ease(
                0.45, 0.6, look(fine, p.turn * np.float32(2 / 6.2832), s * np.float32(0.01))
            )
            rgb = mix(rgb, colour(c.veil_rags), rag)
        bare = np.flatnonzero(~p.under & (p.r < middle_r[-1]) & (p.y < np.interp(p.r, middle_r, middle_y)))
        rgb[bare] = tone[3] * np.float32(0.9)
        gloss[bare] = 0
        if under is not None and gills is not None:  # the bottom of the slots between the plates
            slot = np.flatnonzero(~p.under & (under.at(p.r, p.y) < -0.012))
            rgb[slot] = tone[4] * np.float32(0.85)
            opened[slot] = 0.16
            gloss[slot] = 0
        low = np.flatnonzero(p.under)
        if low.size:
            under_rgb = np.broadcast_to(tone[4], (low.size, 3)) * (0.92 + 0.16 * m[low, None])
            if h.kind == "gills":
                rim = edge_height(p.r[low])
                deep = np.clip((p.y[low] - rim) / np.float32(max(h.depth, 0.05)), 0, 1)
                opened[low] = 1 - np.float32(0.84) * deep ** np.float32(0.85)
                if h.edge:
                    under_rgb = mix(under_rgb, tone[5], ease(0.12, 0.03, deep))
            elif h.kind == "pores":
                k = np.float32(1 / (32 * h.pore))
                hole = ease(0.06, 0.3, look(pores, p.x[low] * k, p.z[low] * k))
                opened[low] = 1 - 0.75 * hole
                under_rgb = under_rgb * (1 - 0.45 * hole[:, None])
                if h.bruise:
                    hurt = ease(
                        0.62,
                        0.7,
                        look(
                            mottle, p.x[low] * np.float32(0.07) + np.float32(0.4), p.z[low] * np.float32(0.07)
                        ),
                    )
                    under_rgb = mix(under_rgb, colour(h.bruise), hurt * 0.8)
            rgb[low] = under_rgb
            glow[low] = max(c.glow, 0.2)
            gloss[low] = 0
        inner = np.flatnonzero(p.cut | p.torn)
        if inner.size:
            grain = look(fine, p.x[inner] * np.float32(0.15), p.y[inner] * np.float32(0.15))
            face = np.broadcast_to(tone[3], (inner.size, 3)) * (0.74 + 0.12 * grain[:, None])
            face = mix(face, skin_line, ease(0.09, 0.03, p.inside[inner]) * ~p.under[inner] * np.float32(0.8))
            bite = p.torn[inner] & ~p.cut[inner]
            face = np.where(bite[:, None], face * (0.78 + 0.3 * m[inner, None]), face)
            gill_face = p.under[inner]
            tubes = 0.92 + 0.12 * np.cos(p.r[inner] * 60) if h.kind == "pores" else 0.95 + 0.06 * grain
            face = np.where(gill_face[:, None], tone[4] * 0.9 * tubes[:, None], face)
            rgb[inner] = face
            opened[inner] = 1
            gloss[inner] = 0.02
        return Look(np.clip(rgb, 0, 0.97).astype(np.float32), gloss, glow, opened)

    order = np.argsort(edge[:, 0])
    edge_r, edge_y = edge[order, 0].astype(np.float32), edge[order, 1].astype(np.float32)

    def edge_height(r: F) -> F:
        return np.interp(r, edge_r, edge_y).astype(np.float32)

    return Lathe(
        frame,
        shell,
        paint,
        under=under,
        gills=gills,
        under_skin=under_skin if h.kind == "pores" else None,
        skin=skin,
        lobes=c.lobes,
        bites=c.bites,
        pace=0.62 if gills else 0.75,
        pad=0.05 + (c.warts.height if c.warts else 0),
    )


def stem_solid(body: Body, frame: Frame) -> Lathe:
    """The stem of a body."""
    s, seed = body.stem, body.seed
    curve = smooth([(r, y) for y, r in s.outline])
    low, high = s.outline[0][0], s.outline[-1][0]
    foot = smooth(
        [
            (0, low - s.outline[0][1] * 0.55),
            (s.outline[0][1] * 0.7, low - s.outline[0][1] * 0.32),
            tuple(curve[0]),
        ]
    )
    grid = turned(np.vstack([foot[:-1], curve, [(0, high + 0.1)]]))
    fine, mottle = cloud(seed + 11, 1.05), cloud(seed + 12, 1.5)
    near, edge, who = cells(seed + 13, 16)
    base, top, extra = colour(s.base), colour(s.top), colour(s.surface_colour)
    soil = colour("3a2a1c")

    def scale_map(r: F, y: F, turn: F) -> F:
        around = np.float32(1 if "coarse" in s.surface else 2)
        u, v = (
            turn / TAU * around + look(mottle, turn / TAU, y * np.float32(0.1)) * np.float32(0.1),
            y * np.float32(0.11 * around),
        )
        out = np.zeros_like(r)
        if "scales" in s.surface:
            out = ease(0.62, 0.35, look(near, u, v * np.float32(1.3))) * ease(
                0.2, 0.6, look(who, u, v * np.float32(1.3)) + 0.35
            )
        if "net" in s.surface:
            out = np.maximum(out, ease(0.16, 0.04, look(edge, u, v * np.float32(0.55))))
        if "bands" in s.surface:
            wave = np.sin(
                y * np.float32(7)
                + (look(mottle, turn / TAU * 2, y * np.float32(0.15)) - 0.5) * np.float32(16)
            )
            out = np.maximum(out, ease(0.0, 0.6, wave))
        if "shaggy" in s.surface:
            out = np.maximum(out, ease(0.5, 0.75, look(fine, u * 2, v * np.float32(0.7))))
        return out * ease(s.surface_below + 0.2, s.surface_below - 0.2, y)

    def skin(p: Spot) -> F:
        y, r, turn = p.y, p.r, p.turn
        out = (look(fine, turn / TAU * 2, y * np.float32(0.03)) - np.float32(0.5)) * np.float32(0.05)
        out = out + (look(mottle, turn / TAU, y * np.float32(0.08)) - np.float32(0.5)) * np.float32(
            0.16
        ) * np.minimum(r, 1)
        rough = {"scales": 0.07, "net": 0.05, "bands": 0.03, "shaggy": 0.06}
        lift = max([rough.get(word, 0.0) for word in s.surface] or [0.0])
        if lift:
            out = out + scale_map(r, y, turn) * np.float32(lift)
        return out

    def paint(p: Place) -> Look:
        t = np.clip((p.y - low) / np.float32(high - low), 0, 1)
        f = look(fine, p.turn / TAU * 3, p.y * np.float32(0.05))
        m = look(mottle, p.turn / TAU, p.y * np.float32(0.09))
        rgb = mix(base, top, ease(0.1, 0.85, t + (m - 0.5) * np.float32(0.4)))
        rgb = rgb * (1 + np.float32(0.22) * (f - 0.5) + np.float32(0.16) * (m - 0.5))[:, None]
        if s.dark_base:
            rgb = mix(
                rgb, colour(s.dark_base), ease(s.dark_below, s.dark_below * 0.15, p.y + (m - 0.5) * 2) * 0.92
            )
        if any(w in s.surface for w in ("scales", "net", "bands", "shaggy")):
            rgb = mix(rgb, extra, scale_map(p.r, p.y, p.turn) * np.float32(0.85))
        if "silky" in s.surface:
            silk = ease(0.52, 0.66, f) * ease(s.surface_below + 0.2, s.surface_below - 0.2, p.y)
            rgb = mix(rgb, extra, silk * np.float32(0.75))
        if s.soil:
            dirt = ease(0.4, -0.9, p.y + (m - 0.5) * 3) * ease(
                0.40, 0.62, look(fine, p.turn / TAU * 2, p.y * np.float32(0.12))
            )
            rgb = mix(rgb, soil, dirt * np.float32(s.soil))
        cut = np.flatnonzero(p.cut)
        if cut.size:
            face = np.broadcast_to(colour(s.flesh_colour), (cut.size, 3)) * (0.68 + 0.16 * f[cut, None])
            face = mix(face, base, ease(0.08, 0.03, p.inside[cut]) * np.float32(0.6))
            if s.hollow:
                core = ease(s.hollow + 0.05, s.hollow - 0.05, p.r[cut] + (m[cut] - 0.5) * np.float32(0.3))
                face = face * (1 - 0.45 * core[:, None])
            rgb[cut] = face
        return Look(np.clip(rgb, 0, 0.97).astype(np.float32), s.gloss, s.glow)

    return Lathe(frame, grid, paint, skin=skin, bend=(*s.bend, high), pace=0.75, pad=0.1)


def ring_solid(ring: Ring, stem: Stem, frame: Frame, seed: int) -> Lathe:
    """A hanging (or rising) membranous ring."""
    high = stem.outline[-1][0]
    at = np.interp(ring.height, [y for y, _ in stem.outline], [r for _, r in stem.outline])
    sign = 1 if ring.rising else -1
    outer = smooth(
        [
            (at - 0.06, ring.height),
            (at + ring.reach * 0.45, ring.height + sign * ring.hang * 0.25),
            (at + ring.reach, ring.height + sign * ring.hang),
        ]
    )
    inner = outer[::-1] + np.array([-ring.thick * 0.6, sign * ring.thick])
    grid = turned(np.vstack([outer, inner]), finest=0.012)
    tone = colour(ring.colour)
    fine = cloud(seed + 21, 1.1)
    waves = ((5, 0.07, 0.05, 0.3 * seed), (9, 0.05, 0.04, 1.0), (17, 0.035, 0.03, 2.0))

    def paint(p: Place) -> Look:
        f = look(fine, p.turn / TAU * 4, p.y * np.float32(0.05))
        return Look((tone * (0.86 + 0.28 * f[:, None])).clip(0, 0.97).astype(np.float32), 0.02, 0.35)

    bites: tuple[tuple[float, float, float, float], ...] = ()
    if ring.torn:
        a = np.radians(ring.torn)
        reach = float(at + ring.reach)
        bites = (
            (
                reach * float(np.cos(a)),
                ring.height + sign * ring.hang * 0.7,
                reach * float(np.sin(a)),
                reach * 0.95,
            ),
        )
    return Lathe(frame, grid, paint, bend=(*stem.bend, high), lobes=waves, bites=bites, pace=0.6, pad=0.1)


def volva_solid(v: Volva, frame: Frame, seed: int) -> Lathe:
    """A sac with a free ragged rim."""
    outer = smooth(
        [
            (0, v.bottom),
            (v.radius * 0.7, v.bottom + 0.15 * v.radius),
            (v.radius, v.bottom + 0.8 * v.radius),
            (v.radius * 0.93, (v.bottom + v.rim) / 2),
            (v.radius * 1.08, v.rim),
        ]
    )
    inner = outer[::-1].copy()
    inner[:, 0] = np.maximum(inner[:, 0] - 0.11, 0)
    inner[:, 1] += np.linspace(0, 0.1, len(inner))
    grid = turned(np.vstack([outer, inner]), finest=0.015)
    tone, fine, mottle = colour(v.colour), cloud(seed + 31, 1.1), cloud(seed + 32, 1.5)
    waves = ((2, 0.05, v.ragged * 0.55, 0.4), (3, 0.06, v.ragged * 0.6, 1.9), (7, 0.03, v.ragged * 0.22, 0.2))

    def skin(p: Spot) -> F:
        y, turn = p.y, p.turn
        return (look(fine, turn / TAU * 2, y * np.float32(0.12)) - np.float32(0.5)) * np.float32(0.12)

    def paint(p: Place) -> Look:
        f = look(fine, p.turn / TAU * 2, p.y * np.float32(0.1))
        m = look(mottle, p.turn / TAU, p.y * np.float32(0.1))
        rgb = tone * (0.84 + 0.3 * f[:, None])
        rgb = mix(rgb, colour("5b4632"), ease(0.55, 0.72, m) * ease(v.rim, v.bottom, p.y) * np.float32(0.75))
        if p.cut.any():
            rgb[p.cut] = tone * 0.98
        return Look(rgb.clip(0, 0.97).astype(np.float32), 0.02, 0.2)

    return Lathe(frame, grid, paint, skin=skin, lobes=waves, pace=0.6, pad=0.12)


def solids(body: Body, frame: Frame, cut: float | None = None, parts: str = "csrv") -> list[Lathe]:
    """All solids of a body standing in a frame; cut (degrees) takes away the half facing that way.

    parts: which of cap, stem, ring, volva to make.
    """
    out: list[Lathe] = []
    if body.vase is not None:
        out.append(vase_solid(body, frame))
    else:
        s = body.stem
        high, width = s.outline[-1]
        c = body.cap
        r = np.radians(c.towards)
        lean = rotation((float(np.sin(r)), 0, float(-np.cos(r))), c.tilt)
        head = frame.then((s.bend[0], high - 0.05, s.bend[1]), lean)
        if "c" in parts:
            out.append(cap_solid(body, head, width))
        if "s" in parts:
            out.append(stem_solid(body, frame))
        if body.ring and "r" in parts:
            out.append(ring_solid(body.ring, s, frame, body.seed))
        if body.volva and "v" in parts:
            out.append(volva_solid(body.volva, frame, body.seed))
    if cut is not None:
        a = np.radians(cut)
        normal = frame.turn @ np.array([np.cos(a), 0, np.sin(a)], np.float32)
        for solid in out:
            n = solid.frame.turn.T @ normal
            solid.cut = (
                float(n[0]),
                float(n[1]),
                float(n[2]),
                float(normal @ (frame.origin - solid.frame.origin)),
            )
    return out


def vase_solid(body: Body, frame: Frame) -> Lathe:
    """Cap and stem in one sweep (funnel shapes). `vase` runs (r, y) from the centre of the top over the margin and
    down the underside to the base; the underside bears folds or decurrent gills."""
    if body.vase is None:
        raise ValueError("this body has a cap and a stem of its own")
    c, h, s, seed = body.cap, body.hymenium, body.stem, body.seed
    curve = smooth([*body.vase])
    widest = int(np.argmax(curve[:, 0]))
    top, under_curve = curve[: widest + 1], curve[widest:]
    grid = turned(np.vstack([curve, [(0, curve[-1, 1] - 0.1)]]))
    radius = np.float32(curve[:, 0].max())
    fine, mottle = cloud(seed + 1, 1.05), cloud(seed + 2, 1.5)
    tone = [colour(v) for v in (c.centre, c.margin, h.colour, s.base, c.flesh_colour)]
    top_r, top_y = top[:, 0].astype(np.float32), top[:, 1].astype(np.float32)
    low_order = np.argsort(under_curve[:, 1])
    u_y, u_r = under_curve[low_order, 1].astype(np.float32), under_curve[low_order, 0].astype(np.float32)
    end_y = np.float32(s.surface_below)
    count = np.float32(h.count)
    under = None
    gills = None
    if h.kind == "gills":
        keep = under_curve[:, 1] > end_y
        line = under_curve[keep]
        step = np.gradient(line, axis=0)
        out = np.stack([-step[:, 1], step[:, 0]], axis=1)
        out /= np.linalg.norm(out, axis=1, keepdims=True) + 1e-9
        out *= -np.sign((out * np.array([-1, 1])).sum())
        k = np.linspace(0, 1, len(line))
        edge = (
            line
            + np.abs(out) * np.array([1, -1]) * (h.depth * np.sin(np.pi * np.clip(k, 0.0, 1)) ** 0.6)[:, None]
        )
        edge[:, 0] = np.minimum(edge[:, 0], radius)
        under = turned(np.vstack([line - np.abs(out) * np.array([1, -1]) * 0.04, edge[::-1]]))
        gills = Gills(
            h.count,
            h.thick,
            tuple(t * float(radius) for t in h.tiers),
            h.wander,
            cloud(seed + 5, 1.5, 256, 2),
        )

    def ridges(r: F, y: F, turn: F) -> F:
        """Blunt folds: few at the stem, forking towards the margin, joined by low cross veins."""
        wander = (look(mottle, turn / TAU * 2, y * np.float32(0.16)) - np.float32(0.5)) * np.float32(1.3)
        phase = turn * count + wander * 2
        fork = ease(0.22, 0.5, r / radius)
        fork2 = ease(0.55, 0.8, r / radius)
        a = np.cos(phase)
        b = np.cos(2 * phase + 1.1 * np.sin(turn * 3))
        c3 = np.cos(4 * phase + 2.0)
        wave = a * (1 - fork) + b * fork * (1 - fork2) + c3 * fork2 * fork
        vein = ease(0.6, 0.7, look(fine, turn / TAU * 4, y * np.float32(0.2)))
        return np.maximum(np.clip(wave, -0.25, 1), vein * np.float32(0.25) * ease(0.85, 0.6, r / radius))

    def is_under(r: F, y: F) -> F:
        return y < np.interp(r, top_r, top_y).astype(np.float32) - np.float32(0.07)

    def skin(p: Spot) -> F:
        x, y, z, r, turn = p.x, p.y, p.z, p.r, p.turn
        out = (look(fine, x * 0.1, z * 0.1) - np.float32(0.5)) * np.float32(0.04)
        out = out + (look(mottle, turn / TAU, y * np.float32(0.06)) - np.float32(0.5)) * np.float32(
            0.15
        ) * np.minimum(r, 1)
        if h.kind == "folds":
            where = is_under(r, y) * ease(
                end_y - 0.5, end_y + 1.0, y + (look(mottle, turn / TAU * 2, turn * 0) - 0.5) * 1.5
            )
            out = out + ridges(r, y, turn) * np.float32(h.depth) * where * ease(1.02, 0.9, r / radius)
        return out

    def paint(p: Place) -> Look:
        m = look(mottle, p.x * np.float32(0.07), p.z * np.float32(0.07) + p.y * np.float32(0.05))
        f = look(fine, p.turn / TAU * 5, p.r * np.float32(0.06) + p.y * np.float32(0.03))
        rgb = mix(tone[0], tone[1], ease(0.15, 0.9, p.r / radius + (m - 0.5) * np.float32(0.5)))
        rgb = (
            rgb * (1 + np.float32(c.mottle) * 2 * (m - 0.5) + np.float32(c.fibrils) * 2 * (f - 0.5))[:, None]
        )
        opened = np.ones(p.r.shape, np.float32)
        below = is_under(p.r, p.y) | p.under
        low = np.flatnonzero(below)
        if low.size:
            t = ease(end_y - 1.2, end_y + 0.8, p.y[low])
            u = mix(tone[3], tone[2], t) * (0.88 + 0.24 * m[low, None])
            if h.kind == "folds":
                ridge = ridges(p.r[low], p.y[low], p.turn[low])
                opened[low] = 1 - 0.42 * t * ease(0.5, -0.25, ridge)
            elif gills is not None:
                deep = np.clip(
                    1 - (p.r[low] - np.interp(p.y[low], u_y, u_r)) / np.float32(max(h.depth, 0.05)), 0, 1
                )
                opened[low] = 1 - np.float32(0.75) * deep * p.under[low]
            dirt = ease(0.5, -0.6, p.y[low] + (m[low] - 0.5) * 2) * np.float32(s.soil)
            u = mix(u, colour("4a3826"), dirt * ease(0.4, 0.6, f[low]))
            rgb[low] = u
        cut = np.flatnonzero(p.cut)
        if cut.size:
            rgb[cut] = mix(
                np.broadcast_to(tone[4], (cut.size, 3)), tone[1], ease(0.14, 0.03, p.inside[cut]) * 0.8
            )
            if s.hollow:
                rgb[cut] *= (
                    1
                    - 0.4
                    * ease(s.hollow, s.hollow * 0.7, p.r[cut])[:, None]
                    * (p.y[cut] < end_y + 1)[:, None]
                )
            opened[cut] = 1
        return Look(np.clip(rgb, 0, 0.97).astype(np.float32), c.gloss, c.glow, opened)

    high = float(curve[:, 1].max())
    return Lathe(
        frame,
        grid,
        paint,
        under=under,
        gills=gills,
        skin=skin,
        lobes=c.lobes,
        bend=(*s.bend, high),
        bites=c.bites,
        pace=0.6,
        pad=0.1 + (h.depth if h.kind == "folds" else 0),
    )


def plain_skin(seed: int, rough: float, scale: float = 0.1) -> Skin:
    """Fractal roughness for wood, stone and crumbs."""
    field_ = cloud(seed, 1.4)

    def skin(p: Spot) -> F:
        x, y, z = p.x, p.y, p.z
        a = look(
            field_,
            x * np.float32(scale) + z * np.float32(0.03),
            y * np.float32(scale) + z * np.float32(scale),
        )
        return (a - np.float32(0.5)) * np.float32(rough)

    return skin
