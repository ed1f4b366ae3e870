"""Clubs, corals and cups."""

from __future__ import annotations

import math

from catalog_gui.domain.plane import Point
from catalog_gui.drawing import body
from catalog_gui.drawing import curves as c
from catalog_gui.drawing.ink import Colours, Sheet, darker, lighter, mix, outline_of
from catalog_gui.drawing.looks import Features
from catalog_gui.drawing.shapes import Drawing


def club(features: Features, colours: Colours) -> Drawing:
    """Upright clubs, the tallest one cut on its right side."""
    sheet = Sheet(1.0, features, colours)
    size = sheet.size("stem.length")
    high = size if size is not None else 70.0
    wide = min(max(sheet.size("stem.width") or 0.12 * high, 0.03 * high), 0.6 * high)
    sheet.unit = high / 150
    main, second = body.tones(sheet)
    for x, share in ((-1.9 * wide, 0.62), (2.0 * wide, 0.74)):
        run = c.moved(_club_run(wide * 0.85, high * share), 0, 0)
        path = c.region(c.moved(run, x, 0), c.moved(c.back(c.mirrored(run)), x, 0))
        sheet.fill(path, darker(main, 0.08), "cap", "cap.colour")
        sheet.shade(
            c.region(c.moved(run, x, 0), c.moved([(0.2 * a, b) for a, b in c.back(run)], x, 0)),
            darker(main, 0.5),
            "cap",
            path,
            0.15,
        )
        sheet.stroke(path, outline_of(main), "cap", "whole.form", weight=1.2, line=sheet.line("whole.form"))
    run = _club_run(wide, high)
    left, right = body.half(run), body.right_half(run)
    sheet.fill(left, main, "cap", "cap.colour")
    if second != main:
        for i in range(7):
            y = high * (0.45 - 0.05 * i)
            sheet.shade(c.polygon([(-wide, y), (0, y), (0, -1), (-wide, -1)]), second, "cap", left, 0.13)
    body.shade(sheet, run, left, main)
    sheet.fill(right, sheet.colour("flesh.colour", "#faf7ef"), "flesh", "flesh.colour")
    skin = c.offset(run, lambda _: 0.09 * wide)
    sheet.fill(c.region(run, c.back(skin)), main, "cap", "cap.colour", clip=right)
    body.contour(sheet, run, main)
    body.threads(sheet, 0, 0, 0.5 * wide)
    body.seam(sheet, high, 0)
    return sheet.finish(to_scale=size is not None)


def _club_run(wide: float, high: float) -> list[Point]:
    w = wide / 2
    return c.bezier(
        (0, high),
        ((0.75 * w, high), (1.15 * w, 0.93 * high), (1.1 * w, 0.78 * high)),
        ((1.05 * w, 0.5 * high), (0.62 * w, 0.35 * high), (0.5 * w, 0.12 * high)),
        ((0.48 * w, 0.03 * high), (0.35 * w, 0), (0, 0)),
    )


def coral(features: Features, colours: Colours) -> Drawing:
    """A branched body: tips in the last colour noted, foot in the colour of the stem."""
    sheet = Sheet(1.0, features, colours)
    size = sheet.size("whole.width") or sheet.size("stem.length")
    high = size if size is not None else 90.0
    sheet.unit = high / 160
    main, second = body.tones(sheet)
    foot_tone = sheet.colour("stem.colour", lighter(main, 0.5))
    branches: list[tuple[Point, Point, float, float, int]] = []

    def grow(start: Point, angle: float, long: float, thick: float, depth: int, seed: int) -> None:
        bend = angle + 0.12 * c.wobble(seed, 4)
        end = (start[0] + long * math.cos(bend), start[1] + long * math.sin(bend))
        branches.append((start, end, thick, thick * 0.76, depth))
        if depth == 5:
            return
        split = 0.33 + 0.07 * c.wobble(seed, 2)
        for k, turn in enumerate((-split, split * 0.9)):
            towards = angle + turn + 0.1 * (math.pi / 2 - angle)
            grow(end, towards, long * (0.8 + 0.08 * c.wobble(seed + k)), thick * 0.7, depth + 1, seed * 2 + k)

    for i, lean in enumerate((0.62, 0.3, 0.0, -0.3, -0.62)):
        grow(
            (-0.07 * high * lean, 0.16 * high),
            math.pi / 2 + lean,
            0.2 * high * (1 - 0.1 * abs(lean)),
            0.075 * high,
            1,
            i + 1,
        )
    foot = c.region(
        c.bezier(
            (-0.15 * high, 0.26 * high),
            ((-0.14 * high, 0.1 * high), (-0.1 * high, 0), (0, -0.02 * high)),
            ((0.1 * high, 0), (0.14 * high, 0.1 * high), (0.15 * high, 0.26 * high)),
        ),
        [(0.15 * high, 0.26 * high), (0, 0.3 * high), (-0.15 * high, 0.26 * high)],
    )
    drawn = sheet.line("whole.form")
    sheet.fill(foot, foot_tone, "stem", "stem.colour")
    sheet.stroke(foot, outline_of(foot_tone), "stem", "whole.form", weight=1.2, line=drawn)
    for start, end, first, last, depth in sorted(branches, key=lambda b: b[4]):
        tone = mix(foot_tone, main, min(1.0, 0.35 + 0.2 * depth))
        if depth >= 5 and second != main:
            tone = second
        across = math.atan2(end[1] - start[1], end[0] - start[0]) + math.pi / 2
        dx, dy = math.cos(across), math.sin(across)
        side = [
            (start[0] + dx * first / 2, start[1] + dy * first / 2),
            (end[0] + dx * last / 2, end[1] + dy * last / 2),
        ]
        other = [
            (end[0] - dx * last / 2, end[1] - dy * last / 2),
            (start[0] - dx * first / 2, start[1] - dy * first / 2),
        ]
        tip = ((end[0] + (end[0] - start[0]) * 0.1), (end[1] + (end[1] - start[1]) * 0.1))
        limb = c.region([*side, tip, *other])
        sheet.fill(limb, tone, "cap", "cap.colour")
        sheet.shade(c.polygon([start, end, other[0], other[1]]), darker(tone, 0.5), "cap", limb, 0.16)
        sheet.stroke(c.line(side), outline_of(tone), "cap", "whole.form", weight=0.8, line=drawn)
        sheet.stroke(c.line(other), outline_of(tone), "cap", "whole.form", weight=0.8, line=drawn)
        if depth == 5:
            sheet.stroke(
                c.line([side[1], tip, other[0]]),
                outline_of(tone),
                "cap",
                "whole.form",
                weight=0.8,
                line=drawn,
            )
    body.threads(sheet, 0, 0, 0.1 * high)
    return sheet.finish(to_scale=size is not None)


def cup(features: Features, colours: Colours) -> Drawing:
    """A cup: inside seen over the rim, outside on the left, the wall cut on the right."""
    sheet = Sheet(1.0, features, colours)
    size = sheet.size("whole.width") or sheet.size("cap.width")
    wide = size if size is not None else 60.0
    r = wide / 2
    sheet.unit = wide / 150
    inner, _ = body.tones(sheet)
    outer = sheet.colour("stem.colour", lighter(inner, 0.4) if sheet.seen("cap.colour") else inner)
    stalk = sheet.size("stem.length") or (0.35 * r if sheet.seen("stem.shape") else 0.0)
    stalk = min(stalk, 3 * r)
    top = stalk + 0.95 * r
    tilt = 0.24 * r
    drawn = sheet.line("whole.form")
    run = c.bezier((r, top), ((1.02 * r, top - 0.45 * r), (0.72 * r, stalk + 0.05 * r), (0.22 * r, stalk)))
    floor = stalk + 0.09 * r
    if stalk:
        neck = ((0.15 * r, 0.7 * stalk), (0.15 * r, 0.2 * stalk), (0.24 * r, 0.0))
        run += c.bezier((0.22 * r, stalk), neck)[1:]
    else:
        run += [(0.1 * r, -0.005 * r), (0.0, -0.008 * r)]
    mouth_back = c.arc(0, top, r, tilt, 180, 90)
    front = c.wavy(c.arc(0, top, r, tilt, 270, 180), 0.012 * r, 2)
    bowl = c.region(c.mirrored(run), [(-run[-1][0], run[-1][1]), (0, run[-1][1]), (0, top - tilt)], front)
    sheet.fill(bowl, outer, "stem", "stem.colour")
    for i in range(5):
        rest = 1 - 0.05 * (i + 1)
        edge = c.region(c.mirrored(run), [(-x * rest, y) for x, y in c.back(run)])
        sheet.shade(edge, darker(outer, 0.55), "stem", bowl, 0.09)
    dots = [c.ellipse(-r * u, stalk + (top - stalk) * v, 0.008 * r, 0.008 * r) for u, v in c.scatter(90, 2)]
    sheet.fill(c.joined(dots), darker(outer, 0.5), "stem", "stem.surface", clip=bowl, opacity=0.4)
    mouth = c.region(mouth_back, [(0, top + tilt), (0, top - tilt)], front)
    sheet.fill(mouth, inner, "cap", "cap.colour")
    for i in range(5):
        sheet.shade(
            c.ellipse(0, top - 0.05 * r, r * (0.86 - 0.14 * i), tilt * (0.8 - 0.13 * i)),
            darker(inner, 0.6),
            "cap",
            mouth,
            0.1,
        )
    wall = 0.07 * r if sheet.state("flesh.thickness") != "thick" else 0.09 * r
    cut_in = [(x, max(y, floor)) for x, y in c.offset(run, lambda _: wall) if x > 0.02 * r and y > stalk]
    cut_in.append((0.0, floor))
    back_wall = c.region(
        c.arc(0, top, r, tilt, 90, 0),
        run[:1],
        [(x, y) for x, y in cut_in],
        [(0, floor), (0, top + tilt)],
    )
    sheet.fill(back_wall, mix(inner, darker(inner, 0.5), 0.25), "cap", "cap.colour")
    for i in range(5):
        sheet.shade(
            c.ellipse(0, stalk + 0.4 * r, r * (0.9 - 0.14 * i), 0.55 * r * (1 - 0.15 * i)),
            darker(inner, 0.6),
            "cap",
            back_wall,
            0.09,
        )
    section = c.region(run, [(run[-1][0], run[-1][1]), (0, run[-1][1])], c.back(cut_in))
    flesh = sheet.colour("flesh.colour", "#faf7ef")
    sheet.fill(section, lighter(flesh, 0.3), "flesh", "flesh.colour")
    sheet.stroke(c.line(cut_in), outline_of(inner), "flesh", "flesh.colour", weight=1.0)
    sheet.stroke(c.line(run), outline_of(outer), "stem", "whole.form", weight=1.3, line=drawn)
    sheet.stroke(c.line(c.mirrored(run)), outline_of(outer), "stem", "whole.form", weight=1.3, line=drawn)
    sheet.stroke(
        c.line(c.arc(0, top, r, tilt, 180, 0)), outline_of(inner), "cap", "whole.form", weight=1.1, line=drawn
    )
    sheet.stroke(c.line(front), outline_of(inner), "cap", "whole.form", weight=1.2, line=drawn)
    body.threads(sheet, 0, 0, 0.2 * r)
    body.seam(sheet, top - tilt, 0)
    return sheet.finish(to_scale=size is not None)
