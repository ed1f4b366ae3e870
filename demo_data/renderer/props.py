"""Things beside the fruit bodies: logs, trunks, brackets, eggs, slips, rulers, prints, boots, people, far woodland."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFilter, ImageFont

from demo_data.renderer.bodies import TAU, plain_skin
from demo_data.renderer.noise import F, blurred, cells, cloud, colour, ease, look, mix
from demo_data.renderer.profile import smooth, turned
from demo_data.renderer.solids import Card, Frame, Lathe, Limbs, Look, Place, Spot, standing


def log(
    frame: Frame, radius: float, length: float, seed: int, mossy: float = 0.5, tone: str = "6b5644"
) -> Lathe:
    """A fallen trunk or a stump: bark with furrows, moss on whatever faces up in the world; ends show rings."""
    half = length / 2 - 0.25
    grid = turned(np.array([(0, -half), (radius - 0.25, -half), (radius - 0.25, half), (0, half)]))
    furrow, fine, big = cells(seed, 16), cloud(seed + 1, 1.1), cloud(seed + 2, 1.7)
    bark, dark = colour(tone), colour("3d3228")
    green = [colour("515f28"), colour("838f45")]
    around = np.float32(max(1, round(radius / 4)))
    up = frame.turn.T @ np.array([0, 1, 0], np.float32)
    slow = np.float32(1 if length < 200 else 0.1)  # on a long trunk patches must not be seen to repeat

    def uv(y: F, turn: F) -> tuple[F, F]:
        return turn / TAU * around, y * np.float32(0.014)

    def skin(p: Spot) -> F:
        x, y, z, r, turn = p.x, p.y, p.z, p.r, p.turn
        u, v = uv(y, turn)
        wob = look(big, u * 0.5, v) * np.float32(0.2)
        crack = ease(0.0, 0.35, look(furrow[1], u + wob, v + wob))
        side = ease(0.93, 0.99, r / np.float32(radius))
        face = (x * up[0] + y * up[1] + z * up[2]) / np.maximum(r, 0.1)
        cushion = ease(0.35, 0.8, face + (look(big, u, v * 2 * slow) - 0.5) * 1.4) * np.float32(mossy)
        tuft = look(fine, u * 4, y * np.float32(0.12)) * np.float32(0.35) * cushion
        return (crack * np.float32(0.3) + (look(fine, u * 2, v * 8) - 0.5) * np.float32(0.3)) * side * (
            1 - 0.6 * cushion
        ) + tuft

    def paint(p: Place) -> Look:
        u, v = uv(p.y, p.turn)
        wob = look(big, u * 0.5, v) * np.float32(0.2)
        crack = ease(0.0, 0.4, look(furrow[1], u + wob, v + wob))
        f = look(fine, u * 3, v * 12)
        rgb = mix(dark, bark, crack) * (0.65 + 0.7 * f[:, None])
        lichen = ease(0.63, 0.7, look(big, u * 2 + 0.3, v * 4 * slow))
        rgb = mix(rgb, colour("8f9a80"), lichen * 0.5)
        face = (p.x * up[0] + p.y * up[1] + p.z * up[2]) / np.maximum(p.r, 0.1)
        cushion = ease(0.35, 0.8, face + (look(big, u, v * 2 * slow) - 0.5) * 1.4) * np.float32(mossy)
        g = look(fine, u * 6, p.y * np.float32(0.2))
        rgb = mix(
            rgb, mix(green[0], green[1], ease(0.35, 0.7, g)) * (0.5 + g[:, None]), ease(0.25, 0.5, cushion)
        )
        end = np.flatnonzero((p.r < radius - 0.5) & (np.abs(p.y) > length / 2 - 0.6))
        if end.size:
            ring = np.sin((p.r[end] + look(big, p.x[end] * 0.05, p.z[end] * 0.05) * 2) * 7)
            wood = mix(colour("8a6a44"), colour("b08d5e"), ring * 0.5 + 0.5) * (
                0.6 + 0.6 * look(fine, p.x[end] * 0.1, p.z[end] * 0.1)[:, None]
            )
            moss = ease(0.5, 0.62, look(big, p.x[end] * 0.06, p.z[end] * 0.06)) * np.float32(mossy)
            rgb[end] = mix(wood, green[0], moss)
        open_ = 0.7 + 0.3 * crack
        return Look(rgb.clip(0, 0.95).astype(np.float32), 0.04, 0.0, open_.astype(np.float32))

    return Lathe(frame, grid, paint, skin=skin, pace=0.6, pad=0.3)


def tree(frame: Frame, radius: float, seed: int, tone: str = "6b675a", tall: float = 1000) -> Lathe:
    """A standing trunk with smooth bark: a root flare, streaks, lichen, moss about the foot."""
    outline = [
        (radius * 1.55, -20),
        (radius * 1.3, 0),
        (radius * 1.06, 30),
        (radius, 90),
        (radius * 0.8, tall),
    ]
    grid = turned(np.vstack([[(0, -20)], smooth(outline), [(0, tall)]]), most=700)
    fine, big = cloud(seed, 1.0), cloud(seed + 1, 1.7)
    phase = np.float32(seed * 0.37)

    def skin(p: Spot) -> F:
        slow = look(big, p.turn / TAU + phase, p.y * np.float32(0.0021)) - np.float32(0.5)
        root = np.cos(p.turn * 5 + phase) * ease(45, 0, p.y) * np.float32(radius * 0.12)
        return slow * np.float32(radius * 0.22) + root

    def paint(p: Place) -> Look:
        slow = look(big, p.turn / TAU * 2 + phase, p.y * np.float32(0.0017))
        streak = look(fine, p.turn / TAU * 3, p.y * np.float32(0.0013))
        grain = look(fine, p.turn / TAU * 5, p.y * np.float32(0.011))
        rgb = colour(tone) * (0.55 + 0.5 * slow + 0.5 * (streak - 0.5) + 0.45 * (grain - 0.5))[:, None]
        rgb = mix(
            rgb,
            colour("93a083"),
            ease(0.6, 0.72, look(big, p.turn / TAU, p.y * np.float32(0.006))) * np.float32(0.45),
        )
        foot = ease(70, 5, p.y + (slow - 0.5) * 90 + np.cos(p.turn + phase) * 25)
        rgb = mix(rgb, colour("5d6c2c") * (0.5 + grain[:, None]), foot * np.float32(0.85))
        return Look(rgb.clip(0.004, 0.95).astype(np.float32), 0.03)

    return Lathe(frame, grid, paint, skin=skin, pace=0.7, pad=radius * 0.25)


def bracket(frame: Frame, radius: float, seed: int) -> Lathe:
    """A shelf growing from wood: zoned crust above, pores below; half of it hidden in the trunk."""
    curve = smooth(
        [
            (0, radius * 0.5),
            (radius * 0.45, radius * 0.36),
            (radius * 0.8, radius * 0.17),
            (radius * 0.98, 0.12),
            (radius, -0.25),
            (radius * 0.92, -0.55),
            (radius * 0.6, -0.85),
            (radius * 0.25, -1.4),
            (0, -1.9),
        ]
    )
    grid = turned(curve)
    fine, big = cloud(seed, 1.1), cloud(seed + 1, 1.6)
    pores = cells(seed + 2, 32)[1]
    tones = [colour(v) for v in ("4a3528", "6d3b22", "a85a24", "d9862f", "efe3cb")]

    def skin(p: Spot) -> F:
        x, y, z, r, turn = p.x, p.y, p.z, p.r, p.turn
        ridge = (
            np.sin(r * np.float32(3.1) + look(big, turn / TAU, r * 0.05) * 4)
            * ease(-0.3, 0.3, y)
            * np.float32(0.12)
        )
        under = ease(-0.3, -0.6, y) * ease(0.0, 0.3, look(pores, x * 0.5, z * 0.5)) * np.float32(-0.03)
        return ridge + under + (look(fine, x * 0.08, z * 0.08) - 0.5) * np.float32(0.15)

    def paint(p: Place) -> Look:
        s = p.r / np.float32(radius)
        w = s + (look(big, p.turn / TAU, p.r * 0.05) - 0.5) * np.float32(0.22)
        rgb = mix(tones[0], tones[1], ease(0.3, 0.6, w))
        rgb = mix(rgb, tones[2], ease(0.6, 0.78, w))
        rgb = mix(rgb, tones[3], ease(0.78, 0.88, w))
        rgb = mix(rgb, tones[4], ease(0.9, 0.97, w))
        rgb = (
            rgb
            * (0.8 + 0.4 * look(fine, p.x * 0.1, p.z * 0.1)[:, None])
            * (0.92 + 0.08 * np.sin(p.r * 6.2))[:, None]
        )
        below = ease(-0.15, -0.4, p.y)
        hole = ease(0.05, 0.3, look(pores, p.x * 0.5, p.z * 0.5))
        cream = (
            colour("e9dcbf")
            * (0.92 + 0.16 * look(big, p.x * 0.05, p.z * 0.05)[:, None])
            * (1 - 0.35 * hole[:, None])
        )
        rgb = mix(rgb, cream, below)
        gloss = 0.25 * (1 - below) * ease(0.9, 0.6, s)
        return Look(rgb.clip(0, 0.95).astype(np.float32), gloss.astype(np.float32), 0.05)

    return Lathe(
        frame,
        grid,
        paint,
        skin=skin,
        lobes=((2, 0.08, 0.1, 0.5), (3, 0.05, 0.12, 1.0), (7, 0.02, 0.06, 2.0)),
        pace=0.65,
        pad=0.2,
    )


def egg(frame: Frame, seed: int, cut: bool = False) -> Lathe:
    """The closed egg of an Amanita; cut lengthwise it shows cap, gills and stem in outline, in the xy plane."""
    outer = smooth(
        [(0, 4.3), (0.8, 4.1), (1.5, 3.4), (1.85, 2.3), (1.9, 1.2), (1.55, 0.1), (0.9, -0.5), (0, -0.75)]
    )
    grid = turned(outer)
    cap = turned(
        smooth(
            [
                (0, 3.75),
                (0.7, 3.6),
                (1.25, 3.0),
                (1.5, 2.2),
                (1.45, 1.75),
                (1.25, 1.62),
                (0.95, 1.9),
                (0.8, 2.35),
                (0.0, 2.6),
            ]
        ),
        0.012,
    )
    gill = turned(
        smooth([(0.45, 2.55), (0.8, 2.42), (1.1, 2.0), (1.32, 1.7), (1.15, 1.55), (0.8, 1.75), (0.5, 2.0)]),
        0.012,
    )
    stem = turned(
        smooth([(0, 2.5), (0.42, 2.4), (0.46, 1.6), (0.62, 0.8), (0.9, 0.25), (0.75, -0.25), (0, -0.45)]),
        0.012,
    )
    fine, big = cloud(seed, 1.1), cloud(seed + 1, 1.6)

    def skin(p: Spot) -> F:
        y, r, turn = p.y, p.r, p.turn
        return (look(fine, turn / TAU * 2, y * np.float32(0.09)) - 0.5) * np.float32(0.03) + (
            look(big, turn / TAU, y * 0.08) - 0.5
        ) * np.float32(0.16) * np.minimum(r, 1)

    def paint(p: Place) -> Look:
        m, f = (
            look(big, p.turn / TAU, p.y * np.float32(0.1)),
            look(fine, p.turn / TAU * 3, p.y * np.float32(0.1)),
        )
        rgb = colour("efe8d6") * (0.86 + 0.2 * f + 0.1 * m)[:, None]
        rgb = mix(rgb, colour("5a4430"), ease(0.8, -0.4, p.y + m) * ease(0.42, 0.6, f) * np.float32(0.8))
        k = np.flatnonzero(p.cut)
        if k.size:
            r, y = p.r[k], p.y[k]
            grain = (0.95 + 0.1 * look(fine, r * 0.12, y * 0.12))[:, None]
            face = mix(colour("f0e8d4"), colour("c9bb92"), ease(0.22, 0.34, p.inside[k])) * grain
            dc, dg, ds = cap.at(r, y), gill.at(r, y), stem.at(r, y)
            face = np.where((ds < 0)[:, None], colour("faf6ea") * grain, face)
            face = np.where((dc < 0)[:, None], colour("f7f2e2") * grain, face)
            face = mix(
                face,
                colour("a8a565"),
                ease(0.12, 0.02, np.abs(dc + 0.05)) * (dc < 0.02) * (y > 1.7) * np.float32(0.85),
            )
            plates = 0.84 + 0.1 * np.sin(r * 55)
            face = np.where((dg < 0)[:, None], colour("eadfc6") * plates[:, None], face)
            lines = np.minimum(np.minimum(np.abs(dc), np.abs(ds) + 3 * (dc < 0)), np.abs(dg))
            face = face * (0.86 - 0.6 * ease(0.06, 0.0, lines))[:, None]
            rgb[k] = face
        return Look(rgb.clip(0, 0.95).astype(np.float32), 0.05, 0.25)

    body = Lathe(frame, grid, paint, skin=skin, pace=0.75, pad=0.1)
    if cut:
        body.cut = (1.0, 0.0, 0.0, 0.0)
    return body


def disc(frame: Frame, across: float = 2.5) -> Lathe:
    """A coin-like disc of stated diameter (cm) for scale."""
    r = across / 2
    grid = turned(np.array([(0, 0.17), (r - 0.02, 0.17), (r, 0.15), (r, 0.02), (r - 0.02, 0), (0, 0)]), 0.01)

    def skin(p: Spot) -> F:
        rr, turn = p.r, p.turn
        rim = ease(r - 0.2, r - 0.14, rr) * np.float32(0.018)
        star = ease(0.2, 0.1, np.abs(np.sin(turn * 3)) * rr / r) * (rr < r * 0.62) * np.float32(0.012)
        return rim + star

    def paint(p: Place) -> Look:
        return Look(np.broadcast_to(colour("b08d4a"), (p.x.size, 3)).astype(np.float32) * 0.8, 0.7)

    return Lathe(frame, grid, paint, skin=skin, pace=0.8)


# ---- drawn flat things -----------------------------------------------------------------------------------------------


def _linear(image: Image.Image) -> F:
    v = np.asarray(image.convert("RGB"), np.float32) / 255
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4).astype(np.float32)


def _font(size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    return ImageFont.load_default(size)


_WITH_MICRO = Path(__file__).parents[2] / "resources" / "fonts" / "SourceSansPro-Semibold.ttf"


def _paper(w: int, h: int, tone: tuple[int, int, int], seed: int) -> Image.Image:
    grain = (cloud(seed, 0.9)[:512, :512] - 0.5) * 14
    tile = np.tile(grain, (h // 512 + 1, w // 512 + 1))[:h, :w, None] + np.array(tone, np.float32)
    return Image.fromarray(np.clip(tile, 0, 255).astype(np.uint8))


def slip(frame: Frame, lines: list[str], size: tuple[float, float] = (7.0, 4.4), curl: float = 0.12) -> Card:
    """A numbered paper slip."""
    w, h = int(size[0] * 110), int(size[1] * 110)
    im = _paper(w, h, (244, 240, 226), 301)
    d = ImageDraw.Draw(im)
    d.rectangle((14, 14, w - 15, h - 15), outline=(70, 80, 74), width=4)
    d.text((w / 2, h * 0.42), lines[0], fill=(28, 32, 40), font=_font(int(h * 0.44)), anchor="mm")
    for i, line in enumerate(lines[1:]):
        d.text(
            (w / 2, h * (0.76 + 0.12 * i)), line, fill=(60, 62, 66), font=_font(int(h * 0.115)), anchor="mm"
        )
    return Card(frame, size, _linear(im), 0.03, curl)


def ruler(frame: Frame, length: int = 15) -> Card:
    """A boxwood ruler, millimetres along the near edge, whole centimetres numbered."""
    k = 90
    w, h = int((length + 1) * k), int(2.6 * k)
    im = _paper(w, h, (226, 196, 138), 302)
    d = ImageDraw.Draw(im)
    for mm in range(length * 10 + 1):
        x = k / 2 + mm * k / 10
        tall = 0.62 if mm % 10 == 0 else 0.46 if mm % 5 == 0 else 0.3
        d.line((x, h, x, h - tall * k), fill=(30, 24, 18), width=4 if mm % 10 == 0 else 3)
        if mm % 10 == 0:
            d.text((x, h - 0.95 * k), str(mm // 10), fill=(30, 24, 18), font=_font(44), anchor="mm")
    d.text((w - 60, 42), "cm", fill=(30, 24, 18), font=_font(36), anchor="rm")
    return Card(frame, (length + 1.0, 2.6), _linear(im), 0.16, 0.0, 0.15)


def print_paper(frame: Frame, tone: str, gills: int, radius: float, seed: int, label: str) -> Card:
    """A spore print, half on white and half on black paper."""
    size = (radius * 2 + 3.0, radius * 2 + 3.4)
    k = 80
    w, h = int(size[0] * k), int(size[1] * k)
    im = _paper(w, h, (243, 240, 232), 303)
    d = ImageDraw.Draw(im)
    d.rectangle((w // 2, 0, w, h), fill=(30, 30, 32))
    d.text((24, h - 30), label, fill=(60, 62, 66), font=_font(40), anchor="lb")
    paper = _linear(im)
    y, x = np.mgrid[0:h, 0:w].astype(np.float32)
    u, v = (x - w / 2) / k, (y - h * 0.46) / k
    r, t = np.sqrt(u * u + v * v), np.arctan2(v, u)
    wob = look(cloud(seed, 1.5), (t / TAU).ravel(), (r * 0.05).ravel()).reshape(h, w)
    body = ease(radius * 1.02, radius * 0.93, r + (wob - 0.5) * 0.4) * ease(radius * 0.16, radius * 0.24, r)
    stripe = 0.62 + 0.38 * np.cos(t * gills + (wob - 0.5) * 3) * ease(0.2, 0.5, r / radius)
    stripe = np.where(r > radius * 0.55, stripe * (0.75 + 0.25 * np.cos(t * gills * 2 + 1)), stripe)
    dust = cloud(seed + 1, 0.9)[(y.astype(int) * 2) % 512, (x.astype(int) * 2) % 512]
    amount = np.clip(
        body * (0.55 + 0.45 * stripe) * (0.75 + 0.5 * dust)
        + 0.25 * ease(radius * 1.35, radius, r) * ease(0.55, 0.7, dust),
        0,
        0.97,
    )
    return Card(frame, size, mix(paper, colour(tone), amount[..., None]), 0.03, 0.05)


def sign(frame: Frame, title: str, lines: list[str], size: tuple[float, float] = (58, 34)) -> Card:
    """A painted board."""
    w, h = int(size[0] * 16), int(size[1] * 16)
    im = _paper(w, h, (52, 76, 60), 304)
    d = ImageDraw.Draw(im)
    d.rounded_rectangle((16, 16, w - 17, h - 17), 26, outline=(232, 222, 190), width=7)
    d.text((w / 2, h * 0.27), title, fill=(240, 232, 204), font=_font(int(h * 0.17)), anchor="mm")
    d.line((w * 0.2, h * 0.42, w * 0.8, h * 0.42), fill=(232, 222, 190), width=4)
    for i, line in enumerate(lines):
        d.text(
            (w / 2, h * (0.54 + 0.13 * i)),
            line,
            fill=(232, 222, 190),
            font=_font(int(h * 0.088)),
            anchor="mm",
        )
    return Card(frame, size, _linear(im), 1.4, 0.0, 0.1, side=tuple(colour("6b5138")))


def boots(x: float, z: float, spin: float, tone: str = "4d5a38", seed: int = 5) -> list[Limbs]:
    """A pair of rubber boots seen from whoever stands in them, toes towards -z before the spin."""
    out = []
    for side in (-1, 1):
        frame = standing(x, 0.3, z, spin=spin + side * 9).then((side * 8.5, 0, 0))
        rubber, sole, cloth = colour(tone), colour("2c2a24"), colour("39475c")
        limbs = (
            ((0, 2.4, -11, 4.2), (0, 2.6, 2, 4.4), rubber),
            ((0, 3.2, 2, 4.4), (0, 5, 8, 4.8), rubber),
            ((0, 5, 7, 5.0), (0, 26, 17, 5.9), rubber),
            ((0, 25, 17, 6.2), (0, 27.5, 18, 6.4), sole),
            ((0, 27, 18, 5.6), (0, 62, 40, 7.4), cloth),
            ((0, 0.4, -11.5, 4.5), (0, 0.4, 8, 4.4), sole),
        )
        out.append(Limbs(frame, limbs, 1.6, plain_skin(seed + side, 0.35, 0.03), 0.3, cloud(seed + 3, 1.3)))
    return out


def person(
    frame: Frame, coat: str, hat: str, trousers: str = "4b4a41", crouch: bool = False, seed: int = 9
) -> Limbs:
    """Somebody seen from behind, walking or crouching, with a basket. Height about 170 cm."""
    c, h, t, skin, straw, boot = (colour(v) for v in (coat, hat, trousers, "c99a7c", "a9793f", "3a3128"))
    if crouch:
        limbs = (
            ((-14, 6, 0, 7), (-15, 32, -26, 9), t),
            ((14, 6, 0, 7), (15, 32, -26, 9), t),
            ((-15, 32, -26, 9), (-10, 30, 8, 12), t),
            ((15, 32, -26, 9), (10, 30, 8, 12), t),
            ((0, 36, 8, 17), (0, 70, -8, 19), c),
            ((-20, 72, -8, 7), (-22, 40, -34, 5), c),
            ((20, 72, -8, 7), (16, 34, -38, 5), c),
            ((-22, 40, -34, 4), (-18, 28, -46, 3.4), skin),
            ((0, 90, -14, 5), (0, 101, -17, 9.5), skin),
            ((0, 105, -16, 10.6), (0, 110, -15, 9), h),
            ((-14, 5, 2, 6), (-14, 4, -12, 5), boot),
            ((14, 5, 2, 6), (14, 4, -12, 5), boot),
        )
    else:
        limbs = (
            ((-10, 8, 0, 7), (-9, 48, 4, 8), t),
            ((-9, 48, 4, 8), (-8, 86, 0, 10.5), t),
            ((11, 8, 20, 7), (10, 48, 2, 8), t),
            ((10, 48, 2, 8), (8, 86, 0, 10.5), t),
            ((0, 86, 0, 15), (0, 134, -3, 18), c),
            ((-9, 134, -3, 12), (9, 134, -3, 12), c),
            ((-22, 136, -2, 7.5), (-29, 108, 2, 6), c),
            ((-29, 108, 2, 6), (-27, 86, -6, 5), c),
            ((22, 136, -2, 7.5), (29, 108, 4, 6), c),
            ((29, 108, 4, 6), (31, 84, 4, 5), c),
            ((31, 82, 4, 4), (31, 77, 4, 4), skin),
            ((0, 146, -3, 6), (0, 159, -4, 9.6), skin),
            ((0, 163, -4, 10.8), (0, 170, -4, 8.6), h),
            ((20, 55, 4, 9), (42, 55, 4, 9), straw),
            ((22, 60, 4, 1.2), (32, 77, 4, 1.2), straw),
            ((42, 60, 4, 1.2), (32, 77, 4, 1.2), straw),
            ((-10, 5, 2, 6), (-10, 4, -10, 5), boot),
            ((11, 6, 22, 6), (11, 4, 10, 5), boot),
        )
    return Limbs(frame, limbs, 2.5, plain_skin(seed, 0.6, 0.012), 0.02, cloud(seed + 1, 1.2))


# ---- far woodland ----------------------------------------------------------------------------------------------------


HAZE = (0.105, 0.115, 0.062)  # what ground and wood fade into where they meet


@lru_cache(maxsize=8)
def _panorama(seed: int, warm: float, haze: tuple[float, float, float]) -> F:
    """A full turn of blurred autumn wood, 1024 across, elevation -12..78 degrees downwards in rows."""
    rng = np.random.default_rng(seed)
    h, w = 256, 1024
    up = np.linspace(1, 0, h, dtype=np.float32)[:, None]
    low, mid, high = colour("20261a"), colour("5d6a34"), colour("c9cf9a")
    rgb = mix(mix(low, mid, ease(0.06, 0.4, up)[..., None]), high, ease(0.35, 1.0, up)[..., None]) * np.ones(
        (h, w, 1), np.float32
    )
    patch = cloud(seed, 1.3, 1024, 4)[:256]
    patch2 = cloud(seed + 1, 1.5, 1024, 3)[:256]
    rgb = rgb * (0.35 + 1.3 * patch[..., None])
    autumn = mix(colour("8b8f2e"), colour("c98a2b"), ease(0.35, 0.65, patch2)[..., None])
    rgb = mix(
        rgb,
        autumn * (0.4 + patch[..., None]),
        (ease(0.5, 0.7, patch2) * ease(0.1, 0.35, up) * np.float32(0.55 + warm))[..., None].clip(0, 1),
    )
    x = np.arange(w, dtype=np.float32)
    for _ in range(46):
        at, wide = rng.random() * w, rng.uniform(2, 13)
        lean = rng.normal(0, 8)
        d = np.abs((x[None, :] - at - lean * up + w / 2) % w - w / 2)
        trunk = ease(wide, wide * 0.55, d) * np.float32(rng.uniform(0.5, 0.95)) * ease(1.0, 0.6, up)
        rgb = mix(rgb, colour(["2a231b", "3b3328", "4a4436"][int(rng.integers(3))]), trunk[..., None])
    rows = np.arange(h, dtype=np.float32)[:, None]
    for _ in range(420):
        cx, cy = rng.random() * w, h * (1 - rng.uniform(0.12, 1.0) ** 0.9)
        r = rng.uniform(3, 9)
        dx = np.abs((x[None, :] - cx + w / 2) % w - w / 2)
        k = np.abs(rows[:, 0] - cy) < r + 2
        disc_ = ease(r + 1, r - 1, np.sqrt(dx**2 + (rows[k] - cy) ** 2))
        tone = [colour("e9e6b0"), colour("cfd98a"), colour("f2d58a"), colour("a9bf5e")][int(rng.integers(4))]
        rgb[k] += disc_[..., None] * tone * np.float32(rng.uniform(0.08, 0.45))
    out = np.stack(
        [blurred(np.pad(rgb[..., i], ((128, 128), (0, 0)), mode="edge"), 2.2)[128:-128] for i in range(3)],
        axis=2,
    )
    angle = 78 - 90 * (np.arange(h, dtype=np.float32) + 0.5) / h
    out = mix(np.array(haze, np.float32), out, ease(0.0, 9.0, angle)[:, None, None])
    return np.maximum(out, 0).astype(np.float32)


def far_wood(
    seed: int, warm: float = 0.0, bright: float = 1.0, haze: tuple[float, float, float] = HAZE
) -> Callable[[F, F, F], F]:
    """Background light by direction."""
    image = _panorama(seed, warm, haze)
    h, w = image.shape[:2]

    def light(dx: F, dy: F, dz: F) -> F:
        u = (np.arctan2(dx, -dz) / TAU) % 1.0 * np.float32(w)
        v = (np.float32(78) - np.degrees(np.arcsin(np.clip(dy, -1, 1)))) / np.float32(90) * h
        iu = u.astype(np.int64)
        v = np.clip(v, 0, h - 2)
        iv = v.astype(np.int64)
        tu, tv = (u - iu)[:, None], (v - iv)[:, None]
        a = image[iv, iu % w] * (1 - tu) + image[iv, (iu + 1) % w] * tu
        b = image[iv + 1, iu % w] * (1 - tu) + image[iv + 1, (iu + 1) % w] * tu
        return ((a * (1 - tv) + b * tv) * np.float32(bright)).astype(np.float32)

    return light


# ---- under the microscope --------------------------------------------------------------------------------------------


def micrograph(
    width: int,
    height: int,
    seed: int,
    length: float,
    breadth: float,
    tone: str,
    rough: float,
    label: str,
    ground: str = "dfe3d2",
    amyloid: bool = False,
) -> np.ndarray:
    """8-bit picture of spores (length and breadth in micrometres, with natural spread) and a 10 µm bar."""
    rng = np.random.default_rng(seed)
    scale = width / 118.0  # pixels per micrometre
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    away = (x / width - 0.5) ** 2 + (y / height - 0.5) ** 2
    rgb = colour(ground) * (1.02 - 0.55 * away[..., None])
    haze = cloud(seed, 1.8, 1024)
    rgb = rgb * (
        0.95 + 0.1 * haze[(y * 1023 / height).astype(int), (x * 1023 / width).astype(int)][..., None]
    )
    body = colour(tone)
    speck = cloud(seed + 1, 1.0)
    spots: list[tuple[float, float]] = []
    for _ in range(400):
        cx, cy = rng.uniform(0.04, 0.96) * width, rng.uniform(0.06, 0.94) * height
        if cy > height * 0.84 and not 0.36 < cx / width < 0.72:  # room for the bar and the label
            continue
        if all((cx - a) ** 2 + (cy - b) ** 2 > (length * scale * 0.92) ** 2 for a, b in spots):
            spots.append((cx, cy))
        if len(spots) == 46:
            break
    for cx, cy in spots:
        a, b = length / 2 * rng.normal(1, 0.05) * scale, breadth / 2 * rng.normal(1, 0.05) * scale
        turn = rng.random() * np.pi
        soft = rng.choice([1.0, 1.0, 1.4, 2.2]) * scale * 0.22
        half = int(max(a, b) * 2.1 + 8)
        x0, x1, y0, y1 = (
            max(0, int(cx) - half),
            min(width, int(cx) + half),
            max(0, int(cy) - half),
            min(height, int(cy) + half),
        )
        u = (x[y0:y1, x0:x1] - cx) * np.cos(turn) + (y[y0:y1, x0:x1] - cy) * np.sin(turn)
        v = (y[y0:y1, x0:x1] - cy) * np.cos(turn) - (x[y0:y1, x0:x1] - cx) * np.sin(turn)
        taper = 1 + 0.16 * u / a
        q = np.sqrt((u / a) ** 2 + (v / (b * taper)) ** 2)
        edge = (q - 1) * min(a, b)
        bump = (
            rough
            * (look(speck, (u / scale * 0.035).ravel(), (v / scale * 0.035).ravel()).reshape(u.shape) - 0.5)
            * scale
            * 0.7
        )
        inside = ease(soft, -soft, edge + bump)
        wall = ease(scale * 0.5 + soft, 0, np.abs(edge + bump + scale * 0.25))
        nib = ease(scale * 0.9, scale * 0.4, np.hypot(u + a * 1.07, v - b * 0.12))
        light = 0.82 + 0.38 * ease(b * 0.75, 0, np.hypot(u - a * 0.12, v + b * 0.22))
        tile = rgb[y0:y1, x0:x1]
        fill = (
            body
            * light[..., None]
            * (
                0.9
                + 0.5
                * rough
                * (
                    look(speck, (v / scale * 0.03).ravel(), (u / scale * 0.03).ravel()).reshape(u.shape)[
                        ..., None
                    ]
                    - 0.5
                )
            )
        )
        tile[...] = mix(tile, fill, np.maximum(inside, nib)[..., None] * (0.9 if amyloid or rough else 0.5))
        tile[...] = tile * (1 - (0.72 if rough else 0.55) * wall * (q < 1.25))[..., None]
        halo = ease(scale * 1.6, scale * 0.3, np.abs(edge - scale * 0.9)) * (edge > 0)
        tile[...] = tile * (1 + 0.12 * halo[..., None])
        if not rough:
            drop = ease(b * 0.5, b * 0.36, np.hypot(u + a * 0.1, v))
            tile[...] = (
                tile
                * (1 + 0.22 * drop[..., None])
                * (1 - 0.3 * ease(2.5, 0, np.abs(np.hypot(u + a * 0.1, v) - b * 0.45))[..., None])
            )
    out = np.clip(rgb, 0, 1)
    out = np.where(out <= 0.0031308, out * 12.92, 1.055 * np.maximum(out, 1e-6) ** (1 / 2.4) - 0.055)
    out = out + rng.standard_normal((height, width, 1)) * 0.008
    im = Image.fromarray((np.clip(out, 0, 1) * 255 + 0.5).astype(np.uint8)).filter(
        ImageFilter.GaussianBlur(width / 2200)
    )
    d = ImageDraw.Draw(im)
    x1, yb = width * 0.95, height * 0.94
    d.line((x1 - 10 * scale, yb, x1, yb), fill=(20, 22, 20), width=max(2, width // 260))
    d.text(
        (x1 - 5 * scale, yb - width * 0.008),
        "10 µm",
        fill=(20, 22, 20),
        font=ImageFont.truetype(_WITH_MICRO, max(9, width // 40)),
        anchor="mb",
    )
    d.text(
        (width * 0.03, height * 0.96),
        label,
        fill=(20, 22, 20),
        font=ImageFont.truetype(_WITH_MICRO, max(9, width // 56)),
        anchor="lb",
    )
    return np.asarray(im)
