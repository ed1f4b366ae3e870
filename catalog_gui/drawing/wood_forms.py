"""What grows out sideways or lies flat: brackets, fans with gills, crusts, jellies."""

from __future__ import annotations

import math

from catalog_gui.domain.plane import Point
from catalog_gui.drawing import body, underside
from catalog_gui.drawing import curves as c
from catalog_gui.drawing.ink import Colours, Path, Sheet, darker, lighter, outline_of
from catalog_gui.drawing.looks import Features
from catalog_gui.drawing.shapes import Drawing

_BARK = "#8d7a63"


def _wood(sheet: Sheet, left: float, right: float, top: float, low: float) -> None:
    """A piece of trunk behind the fruit body: straight sides, broken ends."""
    wide = right - left
    ends = [
        c.wavy([(left, top), (right, top)], 0.02 * wide, 2.5),
        c.wavy([(right, low), (left, low)], 0.02 * wide, 1.5, 0.3),
    ]
    bark = c.region(ends[0], ends[1])
    sheet.fill(bark, _BARK, "place", "place.substrate", opacity=0.42)
    for i in range(5):
        for side, sign in ((left, 1), (right, -1)):
            strip = c.polygon(
                [
                    (side, top * 1.2),
                    (side + sign * wide * (0.03 + 0.045 * i), top * 1.2),
                    (side + sign * wide * (0.03 + 0.045 * i), low * 1.2),
                    (side, low * 1.2),
                ]
            )
            sheet.shade(strip, darker(_BARK, 0.5), "place", bark, 0.07)
    lines = []
    for i in range(34):
        x = left + wide * ((i + 0.5) / 34 + 0.008 * c.wobble(i))
        long = (0.08 + 0.16 * abs(c.wobble(i))) * (top - low)
        y = low + (top - low) * (0.5 + 0.5 * c.wobble(i, 3)) * 0.85
        lines.append(c.line([(x, y), (x + 0.012 * wide * c.wobble(i), y + long / 2), (x, y + long)]))
    sheet.strokes(lines, darker(_BARK, 0.55), "place", "place.substrate", weight=0.9, clip=bark, opacity=0.5)


def fan(features: Features, colours: Colours, form: str) -> Drawing:
    """A shelf seen from the front and a little from below, a wedge cut out on the right."""
    sheet = Sheet(1.0, features, colours)
    size = sheet.size("whole.width") or sheet.size("cap.width")
    wide = size if size is not None else 110.0
    r = wide / 2
    sheet.unit = wide / 170
    main, second = body.tones(sheet)
    what = underside.kind(sheet) if form != "bracket" or sheet.seen("gills.kind") else underside.PORES
    tone = sheet.colour("gills.pore-colour", sheet.colour("gills.colour", "#efe6d0"))
    flesh = sheet.colour("flesh.colour", "#faf7ef")
    _wood(sheet, -0.66 * r, 0.66 * r, 0.85 * r, -0.85 * r)
    top = c.arc(0, 0, r, 0.4 * r, 180, 0, 40)
    rim = c.wavy(c.arc(0, 0, r, 0.24 * r, 0, -180, 40), 0.012 * r, 3)
    below = c.arc(0, -0.04 * r, 0.93 * r, 0.4 * r, 0, -180, 40)
    foot = c.region([(-r, 0), *c.back(below)[1:-1], (r, 0)], rim)
    sheet.fill(foot, tone, "gills", "gills.pore-colour")
    _under(sheet, foot, r, what, tone)
    sheet.stroke(
        c.line([(-r, 0), *c.back(below)[1:-1], (r, 0)]),
        outline_of(tone),
        "gills",
        "gills.kind",
        weight=1.1,
        line=sheet.line("gills.kind", "gills.pore-colour", "gills.colour"),
    )
    shelf = c.region(top, rim)
    sheet.fill(shelf, main, "cap", "cap.colour")
    if body.known(sheet):
        for i in range(7):
            grow = 1 - 0.06 * i
            ring = c.region(
                c.arc(0, 0.05 * r, r * grow, 0.38 * r * grow, 180, 0),
                c.arc(0, 0.05 * r, r * grow, 0.24 * r * grow, 0, -180),
            )
            sheet.shade(
                ring,
                darker(main, 0.35) if second == main else second if i < 0 else darker(main, 0.3),
                "cap",
                shelf,
                0.06,
            )
        for i in range(5):
            edge = c.region(
                rim, c.back([(x * (0.96 - 0.04 * i), y * (0.9 - 0.25 * i) + 0.03 * r * i) for x, y in rim])
            )
            sheet.shade(edge, second if second != main else lighter(main, 0.6), "cap", shelf, 0.22)
    if sheet.state("cap.zones", "zoned"):
        for i in range(5):
            grow = 0.9 - 0.16 * i
            zone = c.arc(0, 0.2 * r * (1 - grow), r * grow, (0.24 + 0.1 * (1 - grow)) * r * grow, 8, -188, 30)
            sheet.stroke(
                c.line(zone), darker(main, 0.6), "cap", "cap.zones", weight=3.2, clip=shelf, opacity=0.3
            )
    if sheet.states("cap.surface"):
        strokes = []
        for u, v in c.scatter(90, 2):
            a = math.radians(-180 * v)
            share = 0.25 + 0.7 * u
            at = (r * share * math.cos(a), 0.1 * r * (1 - u) + 0.24 * r * share * math.sin(a))
            strokes.append(c.line([at, (at[0] * 1.02, at[1] - 0.025 * r)]))
        sheet.strokes(strokes, darker(main, 0.5), "cap", "cap.surface", weight=0.6, clip=shelf, opacity=0.45)
    sheet.stroke(
        shelf, outline_of(main), "cap", "whole.form", weight=1.4, line=sheet.line("whole.form", "cap.shape")
    )
    _wedge(sheet, r, flesh, tone, what, main)
    return sheet.finish(to_scale=size is not None)


def _under(sheet: Sheet, area: Path, r: float, what: str, tone: str) -> None:
    dark = darker(tone, 0.55)
    if what in {underside.PORES, underside.MAZE}:
        dots = []
        for u, v in c.scatter(260, 3):
            a = math.radians(-180 * v)
            dots.append(
                c.ellipse(
                    (0.2 + 0.8 * u**0.6) * r * math.cos(a),
                    (0.2 + 0.8 * u**0.6) * 0.42 * r * math.sin(a),
                    0.009 * r,
                    0.006 * r,
                )
            )
        sheet.fill(c.joined(dots), dark, "gills", "gills.pore-shape", clip=area, opacity=0.65)
    elif what in {underside.GILLS, underside.FOLDS}:
        count = {"crowded": 60, "close": 40, "distant": 20}.get(sheet.state("gills.spacing"), 36)
        lines = []
        for i in range(count):
            a = math.radians(-180 * (i + 0.5) / count)
            lines.append(
                c.line([(0.1 * r * math.cos(a), 0.1 * r), (r * math.cos(a), 0.44 * r * math.sin(a))])
            )
        sheet.strokes(lines, dark, "gills", "gills.spacing", weight=0.7, clip=area, opacity=0.8)
    elif what == underside.SPINES:
        spines = []
        for u, v in c.scatter(120, 3):
            a = math.radians(-180 * v)
            x, y = (0.3 + 0.68 * u) * r * math.cos(a), (0.3 + 0.6 * u) * 0.4 * r * math.sin(a)
            spines.append(c.polygon([(x - 0.012 * r, y), (x + 0.012 * r, y), (x, y - 0.09 * r)]))
        sheet.strokes(spines, dark, "gills", "gills.kind", weight=0.6)
    for i in range(4):
        sheet.shade(
            c.ellipse(0, 0.02 * r, (0.9 - 0.15 * i) * r, (0.3 - 0.05 * i) * r), dark, "gills", area, 0.09
        )


def _wedge(sheet: Sheet, r: float, flesh: str, tone: str, what: str, main: str) -> None:
    """A slice taken out at the right: flesh above, tubes or gills below."""
    x0, x1 = 0.5 * r, 0.86 * r
    front = (x0, -0.2 * r * math.sqrt(1 - 0.25))
    back_top, back_low = (x1, 0.2 * r), (x1, 0.0)
    low_front = (x0, front[1] - 0.15 * r)
    cut = c.polygon([front, back_top, (x1, -0.16 * r), low_front])
    sheet.fill(cut, flesh, "flesh", "flesh.colour")
    tubes = c.polygon([(x0, front[1] - 0.03 * r), back_low, (x1, -0.16 * r), low_front])
    if what != underside.SMOOTH:
        sheet.fill(tubes, lighter(tone, 0.1), "gills", "gills.kind")
        lines = []
        for i in range(1, 15):
            s = i / 15
            lines.append(
                c.line(
                    [
                        (x0 + (x1 - x0) * s, front[1] - 0.03 * r + (back_low[1] - front[1] + 0.03 * r) * s),
                        (x0 + (x1 - x0) * s, low_front[1] + (-0.16 * r - low_front[1]) * s),
                    ]
                )
            )
        sheet.strokes(lines, darker(tone, 0.5), "gills", "gills.kind", weight=0.6, clip=tubes, opacity=0.8)
    if sheet.seen("flesh.change"):
        sheet.shade(
            c.blot(0.7 * r, 0.08 * r, 0.14 * r, 0.09 * r, 3),
            sheet.colour("flesh.change"),
            "flesh",
            cut,
            0.5,
            "flesh.change",
        )
    sheet.stroke(cut, outline_of(main), "flesh", "flesh.colour", weight=1.1)


def crust(features: Features, colours: Colours) -> Drawing:
    """A flat skin on a piece of wood."""
    sheet = Sheet(1.0, features, colours)
    size = sheet.size("whole.width")
    wide = size if size is not None else 90.0
    sheet.unit = wide / 150
    main, second = body.tones(sheet)
    _wood(sheet, -0.75 * wide, 0.75 * wide, 0.42 * wide, -0.42 * wide)
    patch = c.blot(0, 0, 0.48 * wide, 0.3 * wide, 5, 0.16)
    sheet.fill(patch, main, "cap", "cap.colour")
    for i in range(5):
        sheet.shade(
            c.blot(-0.02 * wide, 0.01 * wide, (0.42 - 0.06 * i) * wide, (0.25 - 0.04 * i) * wide, 5, 0.16),
            second if second != main else darker(main, 0.3),
            "cap",
            patch,
            0.12,
        )
    dots = [
        c.ellipse(0.46 * wide * (2 * u - 1), 0.28 * wide * (2 * v - 1), 0.006 * wide, 0.006 * wide)
        for u, v in c.scatter(140, 1)
    ]
    sheet.fill(c.joined(dots), darker(main, 0.5), "gills", "gills.kind", clip=patch, opacity=0.5)
    sheet.stroke(patch, outline_of(main), "cap", "whole.form", weight=1.3, line=sheet.line("whole.form"))
    return sheet.finish(to_scale=size is not None)


def jelly(features: Features, colours: Colours) -> Drawing:
    """Gelatinous lobes crowded on wood."""
    sheet = Sheet(1.0, features, colours)
    size = sheet.size("whole.width")
    wide = size if size is not None else 40.0
    sheet.unit = wide / 150
    main, _ = body.tones(sheet)
    _wood(sheet, -0.75 * wide, 0.75 * wide, 0.05 * wide, -0.3 * wide)
    lobes: list[tuple[float, float, float, float]] = [
        (-0.3, 0.1, 0.2, 0.2),
        (0.28, 0.1, 0.22, 0.2),
        (-0.08, 0.22, 0.24, 0.24),
        (0.14, 0.18, 0.2, 0.22),
        (-0.2, 0.0, 0.2, 0.15),
        (0.18, -0.02, 0.2, 0.14),
        (0.0, 0.03, 0.22, 0.16),
    ]
    for i, (x, y, rx, ry) in enumerate(lobes):
        lobe = c.blot(x * wide, y * wide, rx * wide, ry * wide, i, 0.14)
        sheet.fill(lobe, main, "cap", "cap.colour", opacity=0.92)
        sheet.shade(
            c.ellipse((x - 0.3 * rx) * wide, (y + 0.35 * ry) * wide, 0.4 * rx * wide, 0.3 * ry * wide),
            "#ffffff",
            "cap",
            lobe,
            0.35,
        )
        fold: list[Point] = [
            ((x - 0.6 * rx) * wide, (y - 0.3 * ry) * wide),
            (x * wide, (y - 0.55 * ry) * wide),
            ((x + 0.6 * rx) * wide, (y - 0.2 * ry) * wide),
        ]
        sheet.stroke(
            c.line(fold), darker(main, 0.45), "cap", "whole.form", weight=0.8, clip=lobe, opacity=0.6
        )
        sheet.stroke(lobe, outline_of(main), "cap", "whole.form", weight=1.1, line=sheet.line("whole.form"))
    return sheet.finish(to_scale=size is not None)
