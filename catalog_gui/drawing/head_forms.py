"""Heads on a stem: saddles, brains, morels and stinkhorns. Left half from outside, right half cut."""

from __future__ import annotations

import math

from catalog_gui.domain.plane import Point
from catalog_gui.drawing import body, volva
from catalog_gui.drawing import curves as c
from catalog_gui.drawing import stem as stems
from catalog_gui.drawing.ink import Colours, Path, Sheet, darker, lighter, outline_of
from catalog_gui.drawing.looks import Features
from catalog_gui.drawing.shapes import Drawing


def draw(features: Features, colours: Colours, form: str) -> Drawing:
    """A saddle, honeycomb or stinkhorn-like fruit body."""
    sheet = Sheet(1.0, features, colours)
    usual = {"honeycomb": (40.0, 55.0, 20.0), "phalloid": (30.0, 150.0, 26.0)}.get(form, (60.0, 50.0, 18.0))
    seen = sheet.size("cap.width"), sheet.size("stem.length"), sheet.size("stem.width")
    ratios = [value / other for value, other in zip(seen, usual, strict=True) if value is not None]
    factor = sum(ratios) / len(ratios) if ratios else 1.0
    wide, length, thick = (value or other * factor for value, other in zip(seen, usual, strict=True))
    length = min(max(length, 0.15 * wide), 12 * wide)
    thick = min(max(thick, 0.02 * length), 0.85 * wide)
    sheet.unit = (length + 1.3 * wide) / 190
    r = wide / 2
    kind = sheet.state("cap.head-kind") or {"honeycomb": "pits", "phalloid": "slime"}.get(form, "saddle")
    if form == "phalloid":
        kind = "slime"
    stem = stems.build(sheet, length, thick / 2)
    joined = sheet.state("cap.head-joined") or ("top" if kind in {"wrinkled-thimble", "slime"} else "edge")
    top, low, run = _head(kind, joined, r, length)
    inner = (
        low + 0.12 * r
        if joined == "edge"
        else low + (top - low) * {"half": 0.5, "top": 0.86}.get(joined, 0.6)
    )
    if kind == "slime":
        inner = low + 0.5 * (top - low)
    tall = stems.build(sheet, max(inner, length), thick / 2) if inner > length else stem
    stems.draw(sheet, tall, left_top=min(low + 0.1 * r, tall.top), inner_top=min(inner, tall.top))
    if form == "phalloid" or sheet.seen("base.volva"):
        volva.draw_volva(sheet, stem)
    main, _ = body.tones(sheet)
    if not sheet.seen("cap.colour"):
        main = "#f3efe6"
    left = _left(run, thick / 2, joined)
    sheet.fill(left, main, "cap", "cap.colour")
    body.shade(sheet, run, left, main)
    _relief(sheet, kind, run, left, main)
    _cut(sheet, run, main, r, joined, thick / 2, top)
    drawn = sheet.line("cap.head-kind", "cap.shape", "whole.form")
    sheet.stroke(left, outline_of(main), "cap", "cap.head-kind", weight=1.4, line=drawn)
    body.seam(sheet, top, 0)
    return sheet.finish(to_scale=bool(ratios))


def _head(kind: str, joined: str, r: float, length: float) -> tuple[float, float, list[Point]]:
    """Top, lower edge and the right side of the head from top to edge."""
    base = length - {"half": 0.75, "top": 1.1}.get(joined, 0.12) * r
    match kind:
        case "pits":
            shape = [(0, 2.7), (0.36, 2.62), (0.72, 2.1), (0.96, 1.3), (1.0, 0.7), (0.84, 0.18), (0.5, 0.0)]
        case "wrinkled-thimble":
            shape = [(0, 1.75), (0.5, 1.66), (0.82, 1.3), (0.94, 0.7), (1.0, 0.0)]
        case "slime":
            shape = [(0, 2.1), (0.3, 2.06), (0.55, 1.8), (0.78, 1.1), (1.0, 0.15), (0.94, 0.0)]
        case "brain":
            shape = [
                (0, 1.42),
                (0.22, 1.5),
                (0.46, 1.4),
                (0.6, 1.44),
                (0.82, 1.18),
                (0.86, 0.98),
                (1.04, 0.72),
                (0.94, 0.46),
                (0.98, 0.24),
                (0.72, -0.02),
                (0.45, 0.04),
            ]
        case _:  # two or three lobes with the middle drawn down
            shape = [
                (0, 0.78),
                (0.2, 0.86),
                (0.42, 1.18),
                (0.66, 1.42),
                (0.84, 1.3),
                (0.98, 0.82),
                (1.0, 0.3),
                (0.86, -0.12),
                (0.62, -0.2),
                (0.42, 0.06),
            ]
    run = (
        [c.at([(x * r, base + y * r) for x, y in shape], i / 40) for i in range(41)]
        if kind == "none"
        else [(x * r, base + y * r) for x, y in shape]
    )
    smooth = _dense(run)
    return run[0][1], base, smooth


def _dense(run: list[Point]) -> list[Point]:
    """More points along the smooth curve through a few."""
    points = [run[0]]
    for i in range(len(run) - 1):
        p0, p1, p2, p3 = run[max(0, i - 1)], run[i], run[i + 1], run[min(len(run) - 1, i + 2)]
        first = (p1[0] + (p2[0] - p0[0]) / 6, p1[1] + (p2[1] - p0[1]) / 6)
        second = (p2[0] - (p3[0] - p1[0]) / 6, p2[1] - (p3[1] - p1[1]) / 6)
        points += c.bezier(p1, (first, second, p2), steps=5)[1:]
    return points


def _left(run: list[Point], stem_half: float, joined: str) -> Path:
    side = c.mirrored(run)
    x, y = side[-1]
    hem = [(x, y), (x * 0.5, y - 0.06 * abs(x)), (0.0, y - 0.08 * abs(x))]
    del stem_half, joined
    return c.region(side, hem, [hem[-1], (0, run[0][1])])


def _relief(sheet: Sheet, kind: str, run: list[Point], left: Path, main: str) -> None:
    dark, pale = darker(main, 0.6), lighter(main, 0.45)
    wide = max(x for x, _ in run)
    match kind:
        case "pits" | "slime":
            pits = []
            rows = 7
            for row in range(rows):
                for i in range(3):
                    v = 0.07 + 0.86 * (row + 0.5 * (i % 2)) / rows
                    u = (i + 0.35 + 0.2 * c.wobble(row)) / 3
                    x, y = body.place(run, u, min(0.96, v))
                    flat = 0.35 + 0.65 * math.sin(u * math.pi / 2)
                    pits.append(c.blot(x, y, 0.135 * wide * flat, 0.17 * wide, row * 3 + i, 0.18))
            sheet.fill(c.joined(pits), dark, "cap", "cap.head-kind", clip=left, opacity=0.55)
            sheet.strokes(pits, pale, "cap", "cap.head-kind", weight=1.2, clip=left, opacity=0.9)
        case "wrinkled-thimble":
            for i in range(6):
                line = [
                    body.place(run, (i + 0.5) / 6 + 0.06 * c.wobble(i + 2 * k), 0.1 + 0.15 * k)
                    for k in range(7)
                ]
                sheet.stroke(c.line(line), dark, "cap", "cap.head-kind", weight=1.2, clip=left, opacity=0.6)
        case "brain":
            for i in range(8):
                line = []
                for k in range(8):
                    u = min(1.0, max(0.0, (i + 0.5) / 8 + 0.11 * math.sin(2.2 * k + 1.7 * i)))
                    line.append(body.place(run, u, 0.05 + 0.13 * k + 0.03 * c.wobble(k + i)))
                sheet.stroke(c.line(line), dark, "cap", "cap.head-kind", weight=2.2, clip=left, opacity=0.5)
                lit = [(x - 0.025 * wide, y + 0.02 * wide) for x, y in line]
                sheet.stroke(c.line(lit), pale, "cap", "cap.head-kind", weight=1.0, clip=left, opacity=0.6)
        case _:
            for i in range(3):
                line = [body.place(run, 0.35 + 0.22 * i, 0.3 + 0.1 * k) for k in range(6)]
                sheet.stroke(c.line(line), dark, "cap", "cap.head-kind", weight=0.9, clip=left, opacity=0.4)


def _cut(
    sheet: Sheet, run: list[Point], main: str, r: float, joined: str, stem_half: float, top: float
) -> None:
    """The right half: a thin wall around a hollow, fastened to the stem where it was seen to be."""
    wall = 0.1 * r
    inner = c.offset(run, lambda _: wall)
    flesh = sheet.colour("flesh.colour", "#faf7ef")
    walls = [(max(x, 0.0), y) for x, y in inner]
    section = c.region(run, c.back(walls))
    room = [p for p in walls if p[1] <= top - wall]
    # Joined at the edge, one hollow goes through head and stem; otherwise the stem reaches up into the head.
    inside = 0.0 if joined == "edge" else stem_half
    hollow = c.region(
        room,
        [room[-1], (inside, room[-1][1])],
        [(inside, room[-1][1]), (0.98 * inside, top - 0.4 * r)],
        [(0, top - wall)],
    )
    sheet.fill(hollow, darker(flesh, 0.2), "cap", "cap.head-joined")
    sheet.fill(section, flesh, "flesh", "flesh.colour")
    sheet.fill(
        c.region(run, c.back(c.offset(run, lambda _: 0.4 * wall))), main, "cap", "cap.colour", clip=section
    )
    sheet.stroke(section, outline_of(main), "cap", "cap.head-joined", weight=1.1)
    if joined == "half":
        y = run[-1][1] + 0.45 * (top - run[-1][1])
        bridge = c.polygon(
            [(stem_half, y), (stem_half, y - 0.8 * wall), (0.86 * r, y - 0.8 * wall), (0.86 * r, y)]
        )
        sheet.fill(bridge, flesh, "flesh", "cap.head-joined")
        sheet.stroke(bridge, outline_of(main), "flesh", "cap.head-joined", weight=0.8)
    elif joined == "places":
        for share in (0.25, 0.6):
            y = run[-1][1] + share * (top - run[-1][1])
            bridge = c.ellipse((stem_half + 0.8 * r) / 2, y, (0.9 * r - stem_half) / 2, 0.6 * wall)
            sheet.fill(bridge, flesh, "flesh", "cap.head-joined")
            sheet.stroke(bridge, outline_of(main), "flesh", "cap.head-joined", weight=0.8)
