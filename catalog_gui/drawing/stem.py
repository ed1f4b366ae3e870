"""The stem with its base: outline, surface, inside."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

from catalog_gui.domain.plane import Point
from catalog_gui.drawing import curves as c
from catalog_gui.drawing.ink import Path, Sheet, brightness, darker, lighter, outline_of
from catalog_gui.drawing.stem_surface import Shaft, draw_net, draw_pattern


@dataclass(frozen=True, slots=True)
class Stem:
    """Right half of the outline from top to bottom, y up; the ground is at 0, a root goes below it.

    `half` is half the width at mid height, `top` the height where the stem begins, `split` where the base
    part begins, `bulb` the widest half width below that.
    """

    top: float
    half: float
    side: list[Point]
    split: float
    bulb: float

    def at(self, y: float) -> float:
        """Half width at a height."""
        for (x0, y0), (x1, y1) in pairwise(self.side):
            if y1 <= y <= y0 and y0 > y1:
                return x0 + (x1 - x0) * (y0 - y) / (y0 - y1)
        return self.side[0][0] if y > self.side[0][1] else self.side[-1][0]

    def between(self, high: float, low: float) -> list[Point]:
        """The right side from one height down to another."""
        inner = [p for p in self.side if low < p[1] < high]
        return [(self.at(high), high), *inner, (self.at(low), low)]

    @property
    def bottom(self) -> float:
        """The lowest height of stem or root."""
        return self.side[-1][1]


def _ease(z: float) -> float:
    z = min(1.0, max(0.0, z))
    return z * z * (3 - 2 * z)


def build(sheet: Sheet, top: float, half: float) -> Stem:
    """The outline that stem shape and base shape ask for."""
    shape = sheet.state("stem.shape")
    base = sheet.state("base.shape")
    if (
        sheet.seen("base.rooting")
        and base not in {"rooting", "onion"}
        and sheet.state("base.rooting", "root")
    ):
        base = "rooting"

    def width(t: float) -> float:
        flare = 0.16 * max(0.0, 1 - t / 0.08) ** 2
        match shape:
            case "tapering-up":
                w = 0.74 + 0.52 * t
            case "tapering-down":
                w = 1.24 - 0.48 * t
            case "club":
                w = 0.74 + 0.25 * t + 0.85 * _ease((t - 0.35) / 0.6)
            case "barrel":
                w = 0.72 + 0.62 * math.sin(math.pi * min(1.0, 0.04 + t * 0.86)) ** 1.2
            case _:
                w = 1.0 + 0.03 * math.cos(5 * t)
        return half * (w + flare)

    zone = min(0.32 * top, max(0.14 * top, 4.2 * half))
    steps = [top - (top - zone) * i / 24 for i in range(25)]
    upper = [(width(1 - y / top), y) for y in steps]
    foot = width(1 - zone / top)
    lower, bulb = _base(base, foot, half, zone, top)
    side = [*upper, *lower]
    if base not in {"round-bulb", "edged-bulb", "flattened"}:
        side = _eased(side)
    return Stem(top, half, side, zone, bulb)


def _eased(side: list[Point]) -> list[Point]:
    """The outline without the corner where shaft and base meet."""
    for _ in range(6):
        inner = [
            ((a[0] + 2 * b[0] + d[0]) / 4, b[1]) if b[0] > 0.6 * side[0][0] else b
            for a, b, d in zip(side, side[1:], side[2:], strict=False)
        ]
        side = [side[0], *inner, side[-1]]
    return side


def top_half(sheet: Sheet, half: float) -> float:
    """Half width of the stem just below the cap."""
    shape = sheet.state("stem.shape")
    return half * {"tapering-up": 0.82, "tapering-down": 1.3, "club": 0.82, "barrel": 0.85}.get(shape, 1.08)


def _base(base: str, foot: float, half: float, zone: float, top: float) -> tuple[list[Point], float]:
    """The right side below the zone, and its widest half width."""
    big = max(1.9 * half, 1.25 * foot)
    big = min(big, 0.45 * zone + 0.8 * half) if big > zone else big

    def ball(radius: float, squash: float = 1.0) -> list[Point]:
        high = 2 * radius * squash
        start = min(zone * 0.98, high * 1.12)
        neck = [(foot, start)] if start < zone else []
        points = []
        for i in range(15):
            a = math.radians(62 - 152 * i / 14)
            points.append((radius * math.cos(a), high / 2 + high / 2 * math.sin(a)))
        kept = [p for p in points if p[1] <= start and (p[0] >= foot or p[1] < radius * squash)]
        return [*neck, *kept, (0.0, 0.0)]

    round_end = [
        (foot * math.cos(a), foot * 0.75 * (1 - math.sin(a))) for a in (math.pi / 2 * i / 6 for i in range(7))
    ]
    match base:
        case "swollen":
            bulge = max(1.04, 1.36 * half / foot)
            run = c.bezier(
                (foot, zone),
                ((foot, zone * 0.6), (foot * bulge, zone * 0.5), (foot * bulge, zone * 0.28)),
                ((foot * bulge, zone * 0.06), (foot * 0.8, 0), (0, 0)),
            )
            return run[1:], foot * bulge
        case "club":
            bulge = max(1.1, 1.75 * half / foot)
            run = c.bezier(
                (foot, zone),
                ((foot, zone * 0.7), (foot * bulge, zone * 0.55), (foot * bulge, zone * 0.3)),
                ((foot * bulge, zone * 0.04), (foot * 0.9, 0), (0, 0)),
            )
            return run[1:], foot * bulge
        case "round-bulb":
            return ball(big), big
        case "edged-bulb":
            high = min(1.25 * big, 0.8 * zone)
            run = [
                (foot, high * 1.25),
                (foot * 1.04, high * 1.04),
                (big * 0.92, high),
                (big * 1.08, high * 0.98),
            ]
            bowl = c.bezier((big * 1.08, high * 0.96), ((big * 1.05, high * 0.4), (big * 0.7, 0), (0, 0)))
            return [*run, *bowl], big * 1.08
        case "onion":
            run = c.bezier(
                (foot, zone),
                ((foot, zone * 0.75), (big * 1.08, zone * 0.72), (big * 1.05, zone * 0.42)),
                ((big * 0.98, zone * 0.08), (foot * 0.28, 0.02 * zone), (0, -0.22 * zone)),
            )
            return run[1:], big * 1.05
        case "tapering":
            run = c.bezier(
                (foot, zone),
                ((foot * 0.98, zone * 0.6), (foot * 0.66, zone * 0.3), (foot * 0.5, zone * 0.12)),
                ((foot * 0.42, zone * 0.02), (foot * 0.2, 0), (0, 0)),
            )
            return run[1:], foot
        case "rooting":
            deep = 0.34 * top
            run = c.bezier(
                (foot, zone),
                ((foot * 1.12, zone * 0.6), (foot * 0.9, zone * 0.2), (foot * 0.55, -0.1 * deep)),
                ((foot * 0.3, -0.45 * deep), (foot * 0.2, -0.7 * deep), (0.04 * foot, -deep)),
            )
            return run[1:], foot * 1.05
        case "flattened":
            run = [
                (foot, zone * 0.25),
                (foot * 1.15, foot * 0.5),
                (foot * 2.1, foot * 0.28),
                (foot * 2.2, foot * 0.12),
                (0, 0),
            ]
            return run, foot * 2.2
        case _:
            return [(foot, zone * 0.66), (foot, zone * 0.36 + 0.5 * foot), *round_end], foot


def tone(sheet: Sheet) -> str:
    """Main colour of the stem."""
    return sheet.colour("stem.colour")


def draw(sheet: Sheet, stem: Stem, *, left_top: float, inner_top: float) -> None:
    """Left half from outside up to `left_top`, right half cut up to `inner_top`, the cap's flesh."""
    main = tone(sheet)
    flesh = sheet.colour("flesh.colour", "#faf7ef")
    drawn = sheet.line("stem.shape", "stem.length", "stem.width", "stem.surface", "stem.core", "stem.colour")
    base_known = sheet.seen("base.shape") or sheet.seen("base.volva") or sheet.missing("base.volva")
    low = stem.bottom if base_known else max(stem.split * 0.75, 1.2 * stem.half)
    left_run = c.mirrored(stem.between(left_top, low))
    left = c.region([(0.0, left_top), left_run[0]], left_run, [left_run[-1], (0, low)])
    right_run = stem.between(inner_top, low)
    right = c.region([(0.0, inner_top), right_run[0]], right_run, [right_run[-1], (0, low)])
    sheet.fill(left, main, "stem", "stem.colour")
    sheet.fill(right, flesh, "flesh", "flesh.colour")
    _core(sheet, stem, right, flesh, inner_top, low)
    _tints(sheet, stem, right)
    if sheet.seen("stem.colour"):
        _light(sheet, stem, left, main, left_top, low)
        palette = sheet.palette("stem.colour")
        if len(palette) > 1:
            for i in range(10):
                y = low + (left_top - low) * (0.5 - 0.045 * i)
                sheet.shade(
                    c.polygon([(-9 * stem.bulb, y), (0, y), (0, low - 1), (-9 * stem.bulb, low - 1)]),
                    palette[1],
                    "stem",
                    left,
                    0.12,
                    "stem.colour",
                )
    _surface(sheet, stem, left, main, left_top, low)
    edge = outline_of(main)
    sheet.stroke(c.line(left_run), edge, "stem", "stem.shape", weight=1.4, line=drawn)
    skin = [(x - 0.05 * stem.half, y) for x, y in right_run]
    sheet.fill(c.region(right_run, c.back(skin)), darker(main, 0.12), "stem", "stem.colour", clip=right)
    sheet.stroke(c.line(right_run), edge, "stem", "stem.shape", weight=1.2, line=drawn)
    if not base_known:
        _base_ghost(sheet, stem, low)
    _below(sheet, stem)


def _base_ghost(sheet: Sheet, stem: Stem, low: float) -> None:
    """Nobody dug it out: a dashed end, and the sac that could sit there."""
    w = stem.at(low)
    end = [
        (-w, low),
        (-w * 1.05, low * 0.45),
        (-w * 0.7, low * 0.08),
        (0, 0),
        (w * 0.7, low * 0.08),
        (w * 1.05, low * 0.45),
        (w, low),
    ]
    sheet.ghost(c.line(end), "base", "base.shape", gone=sheet.gone("base.shape"))


def _light(sheet: Sheet, stem: Stem, left: Path, main: str, top: float, low: float) -> None:
    run = stem.between(top, low)
    for share, strength in ((0.72, 0.1), (0.84, 0.12), (0.93, 0.14)):
        strip = c.region([(-x, y) for x, y in run], [(-x * share, y) for x, y in c.back(run)])
        sheet.shade(strip, darker(main, 0.6), "stem", left, strength)
    for a, b in ((0.25, 0.6), (0.34, 0.5)):
        strip = c.region([(-x * b, y) for x, y in run], [(-x * a, y) for x, y in c.back(run)])
        sheet.shade(strip, lighter(main, 0.8), "stem", left, 0.22 if brightness(main) > 0.5 else 0.13)


def _core(sheet: Sheet, stem: Stem, right: Path, flesh: str, top: float, low: float) -> None:
    state = sheet.state("stem.core")
    upper, lower = top - 0.4 * stem.half, max(low, 0.0) + 0.7 * stem.half
    if upper <= lower:
        return
    run = [(0.52 * x, y) for x, y in stem.between(upper, lower)]
    hollow = c.region([(0.0, upper + 0.25 * stem.half), run[0]], run, [run[-1], (0, lower - 0.3 * stem.half)])
    if state == "hollow":
        sheet.fill(hollow, darker(flesh, 0.22), "stem", "stem.core", clip=right)
        sheet.shade(hollow, darker(flesh, 0.5), "stem", right, 0.18)
        sheet.stroke(c.line(run), darker(flesh, 0.5), "stem", "stem.core", weight=0.8, clip=right)
    elif state == "stuffed":
        sheet.fill(hollow, lighter(darker(flesh, 0.12), 0.2), "stem", "stem.core", clip=right)
        fibres = [
            c.line(
                [
                    (0.52 * stem.half * u, upper - (upper - lower) * v),
                    (0.52 * stem.half * u * 0.9, upper - (upper - lower) * v - 0.4 * stem.half),
                ]
            )
            for u, v in c.scatter(40, 2)
        ]
        sheet.strokes(fibres, darker(flesh, 0.4), "stem", "stem.core", weight=0.5, clip=hollow, opacity=0.7)
    elif state == "chambered":
        count = 5
        for i in range(count):
            y = lower + (upper - lower) * (i + 0.5) / count
            hole = c.ellipse(0.02, y, 0.62 * stem.at(y), 0.3 * (upper - lower) / count)
            sheet.fill(hole, darker(flesh, 0.3), "stem", "stem.core", clip=right)


def _tints(sheet: Sheet, stem: Stem, right: Path) -> None:
    """Colour changes on the cut: in the flesh of the stem, and in the lowest centimetre."""
    if sheet.seen("flesh.change"):
        for i in range(6):
            size = (1.0 - 0.14 * i) * stem.half
            blot = c.blot(0.75 * stem.half, stem.top * 0.72, size, 1.6 * size, 3, 0.12)
            sheet.shade(blot, sheet.colour("flesh.change"), "flesh", right, 0.09, "flesh.change")
    if sheet.seen("base.cut-colour"):
        for share, strength in ((1.0, 0.3), (0.75, 0.35), (0.5, 0.4)):
            blot = c.blot(
                0.3 * stem.bulb,
                0.25 * stem.split,
                1.3 * stem.bulb * share,
                0.75 * stem.split * share,
                6,
                0.12,
            )
            sheet.shade(blot, sheet.colour("base.cut-colour"), "base", right, strength, "base.cut-colour")


def _surface(sheet: Sheet, stem: Stem, left: Path, main: str, top: float, low: float) -> None:
    shaft = Shaft(sheet, stem.at, stem.half, left, main, top, max(low, stem.split * 0.5))
    for state in sheet.states("stem.surface")[:2]:
        draw_pattern(shaft, state)
    nets = {"pale-net": lighter(main, 0.8), "dark-net": darker(main, 0.6), "red-net": "#a8322a"}
    for state in sheet.states("stem.net")[:1]:
        draw_net(replace(shaft, feature="stem.net"), nets.get(state, darker(main)))


def _below(sheet: Sheet, stem: Stem) -> None:
    """Threads, cords and buried wood at the base."""
    threads = {
        "white": "#e9e4d6",
        "yellow": "#dcc04a",
        "orange": "#c9792f",
        "pink-lilac": "#c99bb4",
        "olive": "#8b8a4c",
    }
    h = stem.half
    low = stem.bottom
    felt = sheet.state("base.mycelium", *threads)
    if felt:
        lines = []
        for i in range(13):
            a = math.radians(200 + 140 * i / 12)
            x, y = 0.6 * stem.bulb * math.cos(a), 0.4 * h + 0.5 * h * math.sin(a)
            long = h * (0.7 + 0.3 * c.wobble(i))
            lines.append(
                c.line(
                    [
                        (x, y),
                        (
                            x + 0.5 * long * math.cos(a) + 0.1 * h * c.wobble(i, 2),
                            y + 0.5 * long * math.sin(a),
                        ),
                        (x + long * math.cos(a), y + long * math.sin(a)),
                    ]
                )
            )
        sheet.strokes(lines, darker(threads[felt], 0.25), "base", "base.mycelium", weight=1.0)
    if sheet.state("base.mycelium", "black-cords") or sheet.state("base.rooting", "cord"):
        ink = "#2b2521" if sheet.state("base.mycelium", "black-cords") else "#c9bfa8"
        for i in (-1, 0, 1):
            run = [
                (0.2 * i * h, low + 0.1 * h),
                (0.5 * i * h, low - 0.7 * h),
                (1.1 * i * h + 0.2 * h, low - 1.6 * h),
            ]
            sheet.stroke(c.line(run), ink, "base", "base.rooting", weight=1.8)
    if sheet.state("base.rooting", "buried-wood"):
        w = 2.4 * max(h, stem.bulb)
        wood = c.region(
            [(-w, low - 0.2 * h), (0, low + 0.15 * h), (w, low - 0.1 * h)],
            [(w * 0.95, low - 1.1 * h), (0, low - 0.95 * h), (-w * 0.9, low - 1.2 * h)],
        )
        sheet.fill(wood, "#a58a68", "base", "base.rooting")
        sheet.stroke(wood, "#5f4a33", "base", "base.rooting", weight=1.0)
