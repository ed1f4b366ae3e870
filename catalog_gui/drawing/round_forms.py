"""Balls, closed eggs and earthstars: left half from outside, right half cut."""

from __future__ import annotations

import math
from functools import partial

from catalog_gui.domain.plane import Point
from catalog_gui.drawing import body
from catalog_gui.drawing import curves as c
from catalog_gui.drawing.ink import Colours, Path, Sheet, darker, lighter, outline_of
from catalog_gui.drawing.looks import Features
from catalog_gui.drawing.shapes import Drawing


def _sheet(features: Features, colours: Colours, usual: float, *names: str) -> tuple[Sheet, float, bool]:
    sheet = Sheet(1.0, features, colours)
    size = next((s for s in (sheet.size(name) for name in names) if s is not None), None)
    wide = size if size is not None else usual
    sheet.unit = wide / 150
    return sheet, wide, size is not None


def _ball_run(sheet: Sheet, r: float) -> list[Point]:
    foot = sheet.state("base.shape", "club", "tapering", "rooting")
    if foot == "club":  # the sterile foot of a puffball
        return c.bezier(
            (0, 2.35 * r),
            ((0.62 * r, 2.35 * r), (1.02 * r, 1.98 * r), (1.0 * r, 1.5 * r)),
            ((0.98 * r, 1.05 * r), (0.5 * r, 0.85 * r), (0.46 * r, 0.5 * r)),
            ((0.44 * r, 0.2 * r), (0.4 * r, 0.0), (0, 0)),
        )
    if foot:
        return c.bezier(
            (0, 1.95 * r),
            ((0.62 * r, 1.95 * r), (1.02 * r, 1.62 * r), (1.0 * r, 1.12 * r)),
            ((0.98 * r, 0.5 * r), (0.42 * r, 0.3 * r), (0.16 * r, 0.02 * r)),
            ((0.1 * r, 0), (0.05 * r, 0), (0, 0)),
        )
    return c.bezier(
        (0, 1.86 * r),
        ((0.56 * r, 1.86 * r), (1.0 * r, 1.5 * r), (1.0 * r, 0.95 * r)),
        ((1.0 * r, 0.42 * r), (0.58 * r, 0.02 * r), (0, 0)),
    )


def _same(depth: float, _way: float) -> float:
    return depth


def _inside(sheet: Sheet, run: list[Point], area: Path, rind: float) -> list[Point]:
    """Rind and filling of the cut half; gives back the inner outline."""
    flesh = sheet.colour("flesh.colour", "#faf7ef")
    state = sheet.state("flesh.inside")
    filling = {
        "uniform-white": "#fbf8f0",
        "dark-marbled": "#3c3138",
        "powder": "#7a6a3c",
        "mushroom-outline": "#fbf8f0",
    }.get(state, flesh)
    sheet.fill(area, "#fbf7ea", "flesh", "flesh.rind")
    inner = c.offset(run, lambda _: rind)
    inner[0], inner[-1] = (0.0, run[0][1] - rind), (0.0, run[-1][1] + rind)
    core = body.right_half(inner)
    sheet.fill(core, filling, "flesh", "flesh.inside")
    top, low = inner[0][1], inner[-1][1]
    wide = max(x for x, _ in inner)
    if state == "dark-marbled":
        veins = []
        for i, (u, v) in enumerate(c.scatter(40, 3)):
            x, y = wide * u, low + (top - low) * v
            veins.append(
                c.line(
                    [
                        (x - 0.09 * wide, y),
                        (x, y + 0.05 * wide * c.wobble(i)),
                        (x + 0.09 * wide, y + 0.03 * wide),
                    ]
                )
            )
        sheet.strokes(veins, "#b7abb0", "flesh", "flesh.inside", weight=0.7, clip=core, opacity=0.75)
    elif state == "powder":
        dots = [
            c.ellipse(wide * u, low + (top - low) * v, 0.012 * wide, 0.012 * wide)
            for u, v in c.scatter(220, 3)
        ]
        sheet.fill(c.joined(dots), darker(filling, 0.4), "flesh", "flesh.inside", clip=core, opacity=0.7)
    elif state == "chambers":
        cells = [
            c.blot(wide * u, low + (top - low) * v, 0.12 * wide, 0.1 * wide, i, 0.3)
            for i, (u, v) in enumerate(c.scatter(34, 5))
        ]
        sheet.strokes(cells, darker(filling, 0.5), "flesh", "flesh.inside", weight=0.9, clip=core)
    for deep in (1.4, 2.0, 2.6):
        sunk = c.back(c.offset(run, partial(_same, rind * deep)))
        sheet.shade(c.region(run, sunk), darker(filling, 0.4), "flesh", core, 0.07)
    sheet.stroke(c.line(inner), outline_of(flesh), "flesh", "flesh.rind", weight=0.8)
    return inner


def _mushroom_inside(sheet: Sheet, inner: list[Point]) -> None:
    """Cap, gills and stem drawn in the section of a button: the sign that tells an egg from a ball."""
    wide, top, low = max(x for x, _ in inner), inner[0][1], inner[-1][1]
    high = top - low
    main = sheet.colour("cap.colour", "#d8d3bd")
    gill, stem = "#f1ead8", "#fbf8f0"
    outer = c.bezier(
        (0, low + 0.94 * high),
        ((0.5 * wide, low + 0.94 * high), (0.82 * wide, low + 0.8 * high), (0.8 * wide, low + 0.55 * high)),
    )
    under = c.bezier(
        (0.8 * wide, low + 0.55 * high),
        ((0.62 * wide, low + 0.66 * high), (0.4 * wide, low + 0.72 * high), (0.27 * wide, low + 0.74 * high)),
    )
    edge = c.bezier(
        (0.8 * wide, low + 0.55 * high),
        ((0.62 * wide, low + 0.52 * high), (0.42 * wide, low + 0.54 * high), (0.3 * wide, low + 0.62 * high)),
    )
    sheet.fill(
        c.region(outer, under, [under[-1], (0, low + 0.74 * high)]), "#fdfbf5", "flesh", "flesh.inside"
    )
    skin = c.region(outer, c.back(c.offset(outer, lambda _: 0.045 * high)))
    sheet.fill(skin, main, "cap", "cap.colour")
    sheet.fill(c.region(under, c.back(edge)), gill, "gills", "flesh.inside")
    lines = [c.line([c.at(under, 0.1 + 0.1 * i), c.at(edge, 0.1 + 0.1 * i)]) for i in range(9)]
    sheet.strokes(lines, darker(gill, 0.4), "gills", "flesh.inside", weight=0.5)
    side = c.bezier(
        (0.24 * wide, low + 0.74 * high),
        ((0.24 * wide, low + 0.5 * high), (0.34 * wide, low + 0.3 * high), (0.4 * wide, low + 0.2 * high)),
        ((0.44 * wide, low + 0.1 * high), (0.3 * wide, low + 0.05 * high), (0, low + 0.05 * high)),
    )
    sheet.fill(c.region(side, [(0, side[-1][1]), (0, low + 0.74 * high)]), stem, "stem", "flesh.inside")
    for path in (outer, under, edge, side):
        sheet.stroke(c.line(path), "#6b5f4d", "flesh", "flesh.inside", weight=0.9)


def ball(features: Features, colours: Colours) -> Drawing:
    """A puffball, earthball or truffle."""
    sheet, wide, sized = _sheet(features, colours, 50.0, "whole.width", "cap.width")
    r = wide / 2
    run = _ball_run(sheet, r)
    main, second = body.tones(sheet)
    left, right = body.half(run), body.right_half(run)
    sheet.fill(left, main, "cap", "cap.colour")
    if second != main:
        for i in range(7):
            low = run[0][1] * (0.5 - 0.06 * i)
            sheet.shade(
                c.polygon([(-2 * r, low), (0, low), (0, -1), (-2 * r, -1)]), second, "cap", left, 0.13
            )
    body.shade(sheet, run, left, main)
    body.texture(sheet, run, left, main)
    rind = {"thick": 0.12, "thin": 0.025}.get(sheet.state("flesh.rind"), 0.06) * r
    inner = _inside(sheet, run, right, rind)
    if sheet.state("flesh.inside", "mushroom-outline"):
        _mushroom_inside(sheet, inner)
    if sheet.state("flesh.inside", "jelly-layer"):
        _jelly(sheet, run, right)
    body.contour(sheet, run, main)
    body.threads(sheet, 0, 0, 0.3 * r)
    body.seam(sheet, run[0][1], run[-1][1])
    return sheet.finish(to_scale=sized)


def _jelly(sheet: Sheet, run: list[Point], right: Path) -> None:
    wide = max(x for x, _ in run)
    outer = c.offset(run, lambda _: 0.05 * wide)
    inner = c.offset(run, lambda _: 0.28 * wide)
    sheet.fill(c.region(outer, c.back(inner)), "#cdbb8d", "flesh", "flesh.inside", clip=right, opacity=0.85)
    sheet.stroke(c.line(inner), "#6b5f4d", "flesh", "flesh.inside", weight=0.9, clip=right)


def egg(features: Features, colours: Colours) -> Drawing:
    """A fruit body still shut in its skin."""
    sheet, wide, sized = _sheet(features, colours, 40.0, "whole.width", "cap.width")
    r = wide / 2
    run = c.bezier(
        (0, 2.5 * r),
        ((0.55 * r, 2.5 * r), (0.98 * r, 1.9 * r), (1.0 * r, 1.15 * r)),
        ((1.02 * r, 0.45 * r), (0.6 * r, 0), (0, 0)),
    )
    veil = sheet.colour("base.volva-colour", sheet.colour("cap.colour", "#f5f0e2"))
    left, right = body.half(run), body.right_half(run)
    sheet.fill(left, veil, "base", "base.volva-colour")
    body.shade(sheet, run, left, veil, "base")
    if sheet.seen("cap.colour") and sheet.seen("base.volva-colour"):
        gap = c.blot(-0.3 * r, 2.25 * r, 0.45 * r, 0.2 * r, 2, 0.2)
        sheet.fill(gap, sheet.colour("cap.colour"), "cap", "cap.colour", clip=left)
        sheet.stroke(gap, outline_of(veil), "base", "base.volva", weight=0.8, clip=left)
    inner = _inside(sheet, run, right, 0.1 * r)
    state = sheet.state("flesh.inside")
    if state == "jelly-layer":
        _jelly(sheet, run, right)
    elif state in {"", "mushroom-outline"} and (state or sheet.seen("whole.egg-stage")):
        _mushroom_inside(sheet, inner)
    body.contour(sheet, run, veil, "base")
    body.threads(sheet, 0, 0, 0.35 * r)
    body.seam(sheet, run[0][1], 0)
    return sheet.finish(to_scale=sized)


def star(features: Features, colours: Colours) -> Drawing:
    """An earthstar: a ball with a mouth on the split, spread outer skin."""
    sheet, wide, sized = _sheet(features, colours, 60.0, "whole.width", "cap.width")
    r = wide / 5.2
    main, second = body.tones(sheet)
    ray_tone = second if second != main else lighter(main, 0.25)
    for i, a in enumerate((-168, -142, -112, -68, -38, -12)):
        angle = math.radians(a)
        tip = (2.6 * r * math.cos(angle), 1.0 * r + 1.35 * r * math.sin(angle))
        base = [
            (0.9 * r * math.cos(angle + s * 0.42), 0.75 * r + 0.5 * r * math.sin(angle + s * 0.42))
            for s in (-1, 1)
        ]
        ray = c.region(
            [base[0], ((base[0][0] + tip[0]) / 2 * 1.12, (base[0][1] + tip[1]) / 2 + 0.1 * r), tip],
            [tip, ((base[1][0] + tip[0]) / 2 * 1.08, (base[1][1] + tip[1]) / 2 - 0.06 * r), base[1]],
        )
        sheet.fill(ray, ray_tone if i % 2 else darker(ray_tone, 0.06), "base", "cap.colour")
        sheet.stroke(
            ray, outline_of(ray_tone), "base", "whole.form", weight=1.1, line=sheet.line("whole.form")
        )
    run = [
        (x, y + 0.5 * r)
        for x, y in c.bezier(
            (0, 2.2 * r),
            ((0.12 * r, 2.05 * r), (0.2 * r, 1.95 * r), (0.35 * r, 1.88 * r)),
            ((0.85 * r, 1.7 * r), (1.0 * r, 1.35 * r), (1.0 * r, 0.95 * r)),
            ((1.0 * r, 0.4 * r), (0.6 * r, 0), (0, 0)),
        )
    ]
    left, right = body.half(run), body.right_half(run)
    sheet.fill(left, main, "cap", "cap.colour")
    body.shade(sheet, run, left, main)
    _inside(sheet, run, right, 0.07 * r)
    body.contour(sheet, run, main)
    body.seam(sheet, run[0][1], run[-1][1])
    return sheet.finish(to_scale=sized)
