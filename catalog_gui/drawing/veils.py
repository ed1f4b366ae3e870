"""What the inner veil leaves behind: ring and cobweb."""

from __future__ import annotations

import math

from catalog_gui.drawing import curves as c
from catalog_gui.drawing.cap import Cap
from catalog_gui.drawing.ink import Sheet, darker, lighter, outline_of
from catalog_gui.drawing.stem import Stem

_VEIL = "#f6f2e6"


def ring_height(sheet: Sheet, stem: Stem, ceiling: float) -> float:
    """Where the ring sits on the stem; `ceiling` is the lowest edge of the gills."""
    share = {"top": 0.82, "middle": 0.56, "low": 0.34}.get(sheet.state("ring.position"), 0.76)
    return min(share * stem.top, ceiling - 0.35 * stem.half)


def draw_ring(sheet: Sheet, stem: Stem, ceiling: float, radius: float) -> None:
    """The ring, or its ghost when nobody looked, or dots where it has gone."""
    y = ring_height(sheet, stem, ceiling)
    w = stem.at(y)
    if sheet.gone("ring.kind") or sheet.unlooked("ring.kind"):
        s = min(max(w, 0.13 * radius), 0.2 * radius)
        run = [(-w, y), (-w - 0.45 * s, y - 0.75 * s), (-w - 0.7 * s, y - 1.25 * s)]
        low = [run[-1], (-0.55 * (w + 0.7 * s), y - 1.5 * s), (0, y - 1.6 * s)]
        sheet.ghost(c.line(run, low), "ring", "ring.kind", gone=sheet.gone("ring.kind"))
        sheet.ghost(c.line(c.mirrored(run)), "ring", "ring.kind", gone=sheet.gone("ring.kind"))
        return
    for state in sheet.states("ring.kind")[:1]:
        _ring(sheet, stem, state, y, max(w, 0.13 * radius))


def _ring(sheet: Sheet, stem: Stem, state: str, y: float, w: float) -> None:
    tone = sheet.colour("ring.colour", _VEIL)
    edge = outline_of(tone)
    match state:
        case "zone":
            for i in range(7):
                z = y - 0.1 * w * i
                run = [
                    (-stem.at(z) * math.cos(a), z - 0.12 * w * math.sin(a)) for a in (0, 0.4, 0.8, 1.2, 1.57)
                ]
                sheet.stroke(c.line(run), darker(tone, 0.45), "ring", "ring.kind", weight=0.8, opacity=0.75)
            sheet.stroke(
                c.line([(w, y), (w * 1.06, y - 0.3 * w), (w, y - 0.6 * w)]),
                darker(tone, 0.45),
                "ring",
                "ring.kind",
                weight=1.4,
            )
        case "narrow":
            _skirt(sheet, stem, tone, edge, y, w, out=1.28, drop=0.35, waves=3)
        case "flaring":
            _flare(sheet, tone, edge, y, w)
        case "sheath":
            low = max(stem.split * 0.8, 0.2 * stem.top)
            run = [(-x * (1 + 0.12 * (z - low) / (y - low)), z) for x, z in stem.between(y, low)]
            boot = c.region([(0.0, y - 0.1 * w), run[0]], run, [run[-1], (0, low - 0.12 * w)])
            sheet.fill(boot, tone, "ring", "ring.kind")
            for share in (0.2, 0.36):
                strip = c.region(run, [(x * (1 - share), z) for x, z in c.back(run)])
                sheet.shade(strip, darker(tone, 0.5), "ring", boot, 0.13)
            marks = []
            for i in range(9):
                z = low + (y - low) * (i + 0.5) / 9
                x = -stem.at(z) * (0.3 + 0.55 * abs(c.wobble(i)))
                marks.append(c.line([(x - 0.2 * w, z - 0.05 * w), (x, z), (x + 0.25 * w, z - 0.06 * w)]))
            sheet.strokes(marks, darker(tone, 0.4), "ring", "ring.kind", weight=0.8, clip=boot, opacity=0.8)
            sheet.stroke(boot, edge, "ring", "ring.kind", weight=1.1)
            right = c.mirrored(run)
            sheet.stroke(c.line(right), edge, "ring", "ring.kind", weight=2.0)
            _flare(sheet, tone, edge, y, w)
        case "double":
            _skirt(sheet, stem, darker(tone, 0.1), edge, y - 0.42 * w, w, out=1.5, drop=0.5, waves=7)
            _skirt(sheet, stem, tone, edge, y, w, out=1.85, drop=0.75, waves=3)
        case "woolly":
            _skirt(sheet, stem, tone, edge, y, w, out=1.7, drop=0.7, waves=9, thick=0.34)
        case _:
            _skirt(sheet, stem, tone, edge, y, w, out=1.75, drop=1.5, waves=4)


def _skirt(
    sheet: Sheet,
    stem: Stem,
    tone: str,
    edge: str,
    y: float,
    w: float,
    *,
    out: float,
    drop: float,
    waves: float,
    thick: float = 0.1,
) -> None:
    """A skirt hanging from height y: outside on the left, its cut edge on the right; `w` scales it."""
    side = c.bezier(
        (-stem.at(y), y),
        ((-w * 1.25, y - 0.02 * w), (-w * out * 0.95, y - 0.45 * drop * w), (-w * out, y - drop * w)),
    )
    hem = c.arc(0, y - drop * w, w * out, 0.32 * w, 180, 270)
    hem = c.wavy(hem, 0.07 * w, waves / 2)
    hem = [side[-1], *hem[1:]]
    top = c.arc(0, y, stem.at(y), 0.2 * w, 270, 180)
    face = c.region(side, hem, [hem[-1], top[0]], top)
    sheet.fill(face, tone, "ring", "ring.kind")
    for share in (0.78, 0.9):
        strip = c.region(side, [(x * share, z) for x, z in c.back(side)])
        sheet.shade(strip, darker(tone, 0.5), "ring", face, 0.14)
    under = c.region(hem, [(x * 0.98, z + 0.22 * drop * w) for x, z in c.back(hem)])
    sheet.shade(under, darker(tone, 0.5), "ring", face, 0.1)
    if sheet.state("ring.upper-face", "lined") or (drop > 1 and not sheet.state("ring.upper-face", "smooth")):
        lines = []
        for i in range(9):
            a = math.radians(188 + 78 * i / 8)
            lines.append(
                c.line(
                    [
                        (w * math.cos(a), y + 0.2 * w * math.sin(a) - 0.1 * w),
                        (w * out * 0.96 * math.cos(a), y - 0.9 * drop * w + 0.3 * w * math.sin(a)),
                    ]
                )
            )
        lined = bool(sheet.state("ring.upper-face", "lined"))
        sheet.strokes(
            lines,
            darker(tone, 0.45),
            "ring",
            "ring.upper-face",
            weight=0.7,
            clip=face,
            opacity=0.8 if lined else 0.3,
        )
    sheet.stroke(c.line(side, hem), edge, "ring", "ring.kind", weight=1.2)
    sheet.stroke(c.line(top), edge, "ring", "ring.kind", weight=0.6, opacity=0.6)
    cut = c.mirrored(side)
    inner = c.offset(cut, lambda way: thick * w * (0.6 + 0.6 * way))
    wing = c.region(cut, c.back(inner))
    sheet.fill(wing, lighter(tone, 0.3), "ring", "ring.kind")
    sheet.stroke(wing, edge, "ring", "ring.kind", weight=1.0)


def _flare(sheet: Sheet, tone: str, edge: str, y: float, w: float) -> None:
    """A ring that stands off upwards like a collar; `w` scales it."""
    side = c.bezier(
        (-w * 1.04, y - 0.25 * w),
        ((-w * 1.3, y - 0.1 * w), (-w * 1.6, y + 0.2 * w), (-w * 1.75, y + 0.6 * w)),
    )
    brim = c.arc(0, y + 0.6 * w, 1.75 * w, 0.3 * w, 180, 270)
    brim = [side[-1], *c.wavy(brim, 0.04 * w, 2)[1:]]
    face = c.region(
        side, brim, [brim[-1], (0, y - 0.45 * w)], c.arc(0, y - 0.25 * w, 1.04 * w, 0.2 * w, 270, 180)
    )
    sheet.fill(face, tone, "ring", "ring.kind")
    for share in (0.8, 0.9):
        strip = c.region(side, [(x * share, z) for x, z in c.back(side)])
        sheet.shade(strip, darker(tone, 0.5), "ring", face, 0.14)
    sheet.stroke(c.line(side, brim), edge, "ring", "ring.kind", weight=1.2)
    cut = c.mirrored(side)
    wing = c.region(cut, c.back(c.offset(cut, lambda way: -0.12 * w * (1.2 - way))))
    sheet.fill(wing, lighter(tone, 0.3), "ring", "ring.kind")
    sheet.stroke(wing, edge, "ring", "ring.kind", weight=1.0)


def draw_cortina(sheet: Sheet, cap: Cap, stem: Stem) -> None:
    """Cobweb threads between edge and stem, or the line of fibres they leave."""
    for state in sheet.states("ring.cortina"):
        if state == "threads":
            lines = []
            for side in (-1, 1):
                for i in range(5):
                    a = (side * cap.rim * (0.985 - 0.05 * i), cap.rim_level - 0.006 * i * cap.radius)
                    y = cap.rim_level - cap.radius * (0.16 + 0.09 * i)
                    b = (side * stem.at(y), y)
                    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2 - 0.05 * cap.radius)
                    lines.append(c.line([a, middle, b]))
            sheet.strokes(lines, "#8d8168", "ring", "ring.cortina", weight=0.45, opacity=0.8)
        elif state == "fibre-zone":
            tone = darker(sheet.colour("print.colour", "#9a5a26"), 0.1)
            y = 0.72 * stem.top
            lines = []
            for i in range(14):
                z = y - 0.07 * stem.half * i
                x = stem.at(z)
                lines.append(
                    c.line(
                        [
                            (-x, z),
                            (-x * 0.5, z - 0.16 * stem.half - 0.05 * stem.half * c.wobble(i)),
                            (-0.02, z - 0.2 * stem.half),
                        ]
                    )
                )
            sheet.strokes(lines, tone, "ring", "ring.cortina", weight=0.8, opacity=0.7)
