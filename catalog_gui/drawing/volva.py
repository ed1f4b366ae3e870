"""What is left of the outer veil around the base: sac, sheath, rim, warts, flakes."""

from __future__ import annotations

import math

from catalog_gui.domain.plane import Point
from catalog_gui.drawing import curves as c
from catalog_gui.drawing.ink import Sheet, darker, lighter, outline_of
from catalog_gui.drawing.stem import Stem

_VEIL = "#f6f2e6"


def draw_volva(sheet: Sheet, stem: Stem) -> None:
    """Sac, sheath, rim or warts at the base; a dashed sac when nobody looked."""
    if sheet.missing("base.volva"):
        return
    w = stem.bulb
    if sheet.unlooked("base.volva") or sheet.gone("base.volva"):
        high = min(0.3 * stem.top, 3.2 * w)
        run = c.bezier((0, -0.12 * w), ((-1.5 * w, -0.12 * w), (-1.8 * w, 0.4 * high), (-1.6 * w, high)))
        gone = sheet.gone("base.volva")
        sheet.ghost(c.line(run), "base", "base.volva", gone=gone)
        sheet.ghost(c.line(c.mirrored(run)), "base", "base.volva", gone=gone)
        return
    for state in sheet.states("base.volva")[:2]:
        _volva(sheet, stem, state, w)


def _volva(sheet: Sheet, stem: Stem, state: str, w: float) -> None:
    tone = sheet.colour("base.volva-colour", _VEIL)
    edge = outline_of(tone)
    match state:
        case "sac":
            _sac(sheet, tone, edge, w, min(0.36 * stem.top, 4.2 * w), 1.62, 0.2)
        case "short-sac":
            _sac(sheet, tone, edge, w, min(0.2 * stem.top, 2.3 * w), 1.36, 0.3)
        case "sheath":
            _sheath(sheet, stem, tone, edge, w)
        case "rim":
            _gutter(sheet, stem, tone, edge, w)
        case "rings-of-warts":
            _warts(sheet, stem, tone, edge, w)
        case "powder":
            _bits(sheet, stem, tone, edge, w, 0.05, 46)
        case _:
            _bits(sheet, stem, tone, edge, w, 0.13, 13)


def _sheath(sheet: Sheet, stem: Stem, tone: str, edge: str, w: float) -> None:
    """A close sock with a rolled rim."""
    high = min(0.2 * stem.top, 2.4 * w)
    run = [(-max(x * 1.1, x + 0.08 * w), z) for x, z in stem.between(high, max(0.0, stem.bottom))]
    sock = c.region([(0.0, high - 0.12 * w), run[0]], run, [run[-1], (0, min(0.0, stem.bottom) - 0.05 * w)])
    sheet.fill(sock, tone, "base", "base.volva")
    sheet.shade(c.region(run, [(x * 0.8, z) for x, z in c.back(run)]), darker(tone, 0.5), "base", sock, 0.18)
    sheet.stroke(c.line(run), edge, "base", "base.volva", weight=1.2)
    roll = c.region(
        [(run[0][0] - 0.1 * w, high - 0.06 * w), (-0.55 * w, high - 0.1 * w), (0, high - 0.2 * w)],
        [
            (0, high - 0.42 * w),
            (-0.6 * w, high - 0.34 * w),
            (run[0][0] - 0.1 * w, high - 0.25 * w),
            (run[0][0] - 0.17 * w, high - 0.15 * w),
            (run[0][0] - 0.1 * w, high - 0.06 * w),
        ],
    )
    sheet.fill(roll, lighter(tone, 0.25), "base", "base.volva")
    sheet.stroke(roll, edge, "base", "base.volva", weight=1.0)
    right = c.mirrored(run)
    sheet.stroke(c.line(right), edge, "base", "base.volva", weight=1.8)
    x, y = right[0]
    sheet.fill(c.ellipse(x + 0.06 * w, y - 0.1 * w, 0.12 * w, 0.15 * w), tone, "base", "base.volva")
    sheet.stroke(
        c.ellipse(x + 0.06 * w, y - 0.1 * w, 0.12 * w, 0.15 * w),
        edge,
        "base",
        "base.volva",
        weight=1.0,
    )


def _gutter(sheet: Sheet, stem: Stem, tone: str, edge: str, w: float) -> None:
    """A rim around the top of the bulb."""
    y = min(1.3 * w, 0.75 * stem.split)
    lip = c.region(
        [(-1.14 * w, y), (-0.6 * w, y - 0.13 * w), (0, y - 0.2 * w)],
        [
            (0, y - 0.42 * w),
            (-0.62 * w, y - 0.36 * w),
            (-1.12 * w, y - 0.22 * w),
            (-1.2 * w, y - 0.1 * w),
            (-1.14 * w, y),
        ],
    )
    sheet.fill(lip, tone, "base", "base.volva")
    sheet.stroke(lip, edge, "base", "base.volva", weight=1.1)
    x = stem.at(y - 0.1 * w)
    cut = c.region(
        [
            (x, y - 0.1 * w),
            (1.1 * w, y + 0.1 * w),
            (1.2 * w, y),
            (1.08 * w, y - 0.3 * w),
            (x, y - 0.1 * w),
        ]
    )
    sheet.fill(cut, tone, "base", "base.volva")
    sheet.stroke(cut, edge, "base", "base.volva", weight=1.0)


def _warts(sheet: Sheet, stem: Stem, tone: str, edge: str, w: float) -> None:
    """Rows of warts around the top of the bulb."""
    warts = []
    for row in range(4):
        y = max(stem.split * 0.62, 1.1 * w) - 0.36 * w * row + 0.15 * w
        x0 = stem.at(max(y, stem.bottom))
        for i in range(6):
            a = math.pi / 2 * (i + 0.5 * (row % 2)) / 5.5
            x, z = -x0 * math.cos(a), y - 0.15 * w * math.sin(a)
            s = 0.13 * w * (0.6 + 0.5 * math.sin(a))
            warts.append(c.region([(x - s, z), (x, z + 1.1 * s), (x + s, z), (x, z - 0.5 * s), (x - s, z)]))
        warts.append(
            c.region([(x0 - 0.03 * w, y + 0.13 * w), (x0 + 0.17 * w, y), (x0 - 0.03 * w, y - 0.13 * w)])
        )
    sheet.fill(c.joined(warts), tone, "base", "base.volva")
    sheet.strokes(warts, edge, "base", "base.volva", weight=0.8)


def _bits(sheet: Sheet, stem: Stem, tone: str, edge: str, w: float, size: float, count: int) -> None:
    """Loose flakes or powder on the base."""
    bits = []
    for i, (u, v) in enumerate(c.scatter(count, 4)):
        y = 0.1 * w + 1.7 * w * v
        x = -stem.at(y) * (1.08 if i % 4 == 0 else math.sin(math.pi / 2 * u))
        s = size * w * (1.1 + 0.4 * c.wobble(i))
        bits.append(c.blot(x, y, s, s * 0.8, i, 0.35))
    sheet.fill(c.joined(bits), tone, "base", "base.volva")
    sheet.strokes(bits, edge, "base", "base.volva", weight=0.6)


def _sac(sheet: Sheet, tone: str, edge: str, w: float, high: float, wide: float, torn: float) -> None:
    """A free bag around the base: lobed and opaque on the left, a thin wall on the right."""
    wall = c.bezier(
        (0, -0.22 * w),
        ((-1.15 * wide * w, -0.24 * w), (-1.2 * wide * w, 0.42 * high), (-0.98 * wide * w, high)),
    )
    x0 = wall[-1][0]
    lobes: list[Point] = [
        wall[-1],
        (x0 * 0.84, high * (1 - 0.25 * torn)),
        (x0 * 0.64, high * (1 - 1.1 * torn)),
        (x0 * 0.44, high * (1 - 0.8 * torn)),
        (x0 * 0.3, high * (1 - 0.12 * torn)),
        (x0 * 0.14, high * (1 - 0.35 * torn)),
        (0.0, high * (1 - 1.2 * torn)),
    ]
    bag = c.region(wall, lobes, [lobes[-1], wall[0]])
    sheet.fill(bag, tone, "base", "base.volva")
    for share, strength in ((0.86, 0.1), (0.93, 0.12)):
        strip = c.region(wall, [(x * share, y) for x, y in c.back(wall)])
        sheet.shade(strip, darker(tone, 0.5), "base", bag, strength)
    folds = [
        c.line(
            [
                (x0 * s, high * (0.62 + 0.1 * c.wobble(i))),
                (x0 * s * 1.04, high * 0.4),
                (x0 * s * 0.9, high * 0.16),
            ]
        )
        for i, s in enumerate((0.25, 0.5, 0.74))
    ]
    sheet.strokes(folds, darker(tone, 0.4), "base", "base.volva", weight=0.7, clip=bag, opacity=0.6)
    sheet.stroke(c.line(wall, lobes), edge, "base", "base.volva", weight=1.3)
    outer = c.mirrored(wall)
    inner = c.offset(outer, lambda way: -0.12 * w * (1.25 - 0.7 * way))
    cut = c.region(outer, c.back(inner))
    sheet.fill(cut, lighter(tone, 0.25), "base", "base.volva")
    sheet.stroke(cut, edge, "base", "base.volva", weight=1.1)
