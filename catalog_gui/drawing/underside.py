"""What carries the spores: gills, pores, spines or folds, seen from below and in section."""

from __future__ import annotations

import math
from itertools import pairwise

from catalog_gui.domain.plane import Point
from catalog_gui.drawing import curves as c
from catalog_gui.drawing.cap import Cap
from catalog_gui.drawing.ink import PAPER, Path, Sheet, darker, lighter, mix, outline_of

GILLS, PORES, SPINES, FOLDS, SMOOTH, MAZE = "gills", "pores", "spines", "folds", "smooth", "maze"
_BY_FORM = {"bolete": PORES, "fold-bearing": FOLDS, "toothed": SPINES}
_DEPTH = {GILLS: 0.25, PORES: 0.27, SPINES: 0.17, FOLDS: 0.08, SMOOTH: 0.02, MAZE: 0.2}
_COUNT = {"crowded": 30, "close": 19, "distant": 9}


def kind(sheet: Sheet) -> str:
    """What there is below: as seen, or as the form implies; gills when nothing is known."""
    seen = sheet.state("gills.kind", GILLS, PORES, SPINES, FOLDS, SMOOTH, MAZE)
    return seen or _BY_FORM.get(sheet.state("whole.form"), GILLS)


def colour(sheet: Sheet) -> str:
    """Colour of the spore-bearing layer."""
    if kind(sheet) in {PORES, MAZE}:
        return sheet.colour("gills.pore-colour", sheet.colour("gills.colour"))
    return sheet.colour("gills.colour", sheet.colour("gills.young-colour"))


def attachment(sheet: Sheet) -> str:
    """How the layer meets the stem; '' when nobody looked."""
    seen = sheet.state("gills.attachment")
    if not seen and kind(sheet) == FOLDS:
        return "decurrent"
    if not seen and kind(sheet) == PORES:
        return "adnexed"
    return seen


def edge_and_face(sheet: Sheet, cap: Cap, stem_half: float) -> tuple[list[Point], list[Point]]:
    """Free edge and attached side of the layer in section, both from the stem outwards."""
    way = attachment(sheet)
    what = kind(sheet)
    r = cap.radius
    depth = _DEPTH[what] * r
    gap = {"free": 0.11, "collar": 0.13, "nearly-free": 0.035, "": 0.06}.get(way, 0.0) * r
    if what == PORES:
        gap *= 0.4
    face = [p for p in cap.under if p[0] >= stem_half + gap] or cap.under[-2:]
    if face[0][0] > stem_half + gap and len(cap.under) > 1:
        face = [_crossing(cap.under, stem_half + gap), *face]
    face[0] = (max(face[0][0], stem_half + gap), face[0][1])

    def fall(w: float) -> float:
        belly = (1 - w**2.4) * (0.84 + 0.3 * math.sin(math.pi * min(1, w * 1.15)))
        near = min(1.0, w / (0.12 if what == PORES else 0.24))
        rise = near * near * (3 - 2 * near)
        match way:
            case "free" | "collar" | "nearly-free":
                belly *= math.sqrt(max(0.0, rise))
            case "adnexed":
                belly *= 0.3 + 0.7 * rise
            case "notched":
                bay = min(1.0, max(0.0, (w - 0.06) / 0.2))
                belly *= (
                    0.62 - 0.3 * min(1, w / 0.06) if w < 0.06 else 0.32 + 0.68 * bay * bay * (3 - 2 * bay)
                )
            case _:
                pass
        return float(depth * belly)

    rail = c.Rail(face)
    dense = [rail.at(i / 40) for i in range(41)]
    edge = [(max(x, stem_half + gap), y) for x, y in c.offset(dense, fall)]
    edge[-1] = face[-1]
    if way in {"decurrent", "toothed"}:
        run = {"decurrent": 0.42, "toothed": 0.12}[way] * r
        start = face[0]
        foot = (stem_half, edge[0][1] - run)
        keep = 9 if way == "decurrent" else 5
        edge = [foot, (stem_half + 0.035 * r, foot[1] + 0.5 * run), *edge[keep:]]
        face = [foot, (stem_half, start[1]), *face]
    return edge, face


def _crossing(run: list[Point], x: float) -> Point:
    for (x0, y0), (x1, y1) in pairwise(run):
        if x0 <= x <= x1 and x1 > x0:
            return x, y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return run[0]


def draw_section(sheet: Sheet, cap: Cap, stem_half: float) -> None:
    """The right half: one gill seen from its face, or tubes, spines, folds cut through."""
    what, tone = kind(sheet), colour(sheet)
    edge, face = edge_and_face(sheet, cap, stem_half)
    layer = c.region(face, c.back(edge))
    drawn = sheet.line("gills.kind", "gills.attachment", "gills.spacing", "gills.colour", "gills.pore-colour")
    if sheet.missing("gills.kind") or what == SMOOTH:
        return
    if what == SPINES:
        _spines_in_section(sheet, edge, face, tone)
        return
    sheet.fill(layer, lighter(tone, 0.12), "gills", "gills.attachment")
    lines = []
    count = {PORES: 34, MAZE: 20, FOLDS: 7}.get(what, 12)
    for i in range(1, count):
        w = i / count
        top, bottom = c.at(face, w), c.at(edge, w)
        if what == GILLS:
            top = (top[0] + (bottom[0] - top[0]) * 0.08, top[1] + (bottom[1] - top[1]) * 0.08)
            share = 0.55 + 0.25 * c.wobble(i)
            bottom = (top[0] + (bottom[0] - top[0]) * share, top[1] + (bottom[1] - top[1]) * share)
        lines.append(c.line([top, bottom]))
    strength = 0.75 if what in {PORES, MAZE} else 0.28
    sheet.strokes(lines, darker(tone, 0.5), "gills", "gills.kind", weight=0.55, clip=layer, opacity=strength)
    if what == GILLS:
        near = [c.at(face, i / 20) for i in range(21)]
        shaded = [
            (x + (a - x) * 0.35, y + (b - y) * 0.35)
            for (x, y), (a, b) in zip(near, [c.at(edge, i / 20) for i in range(21)], strict=True)
        ]
        sheet.shade(c.region(near, c.back(shaded)), darker(tone, 0.5), "gills", layer, 0.16)
        dark_edge = sheet.state("gills.edge", "dark-edged")
        sheet.stroke(
            c.line(edge),
            darker(tone, 0.75 if dark_edge else 0.4),
            "gills",
            "gills.edge",
            weight=2.0 if dark_edge else 1.1,
            line=drawn,
        )
        sheet.stroke(c.line(face), outline_of(tone), "gills", "gills.attachment", weight=0.8, opacity=0.6)
        if attachment(sheet) and attachment(sheet) not in {"free", "collar", "nearly-free"}:
            sheet.stroke(
                c.line([edge[0], face[0]]), outline_of(tone), "gills", "gills.attachment", weight=0.9
            )
    else:
        sheet.stroke(layer, outline_of(tone), "gills", "gills.kind", weight=1.0, line=drawn)
    if sheet.unlooked("gills.attachment") and what == GILLS:
        sheet.ghost(c.line([(stem_half, edge[0][1]), edge[0], face[0]]), "gills", "gills.attachment")
    if attachment(sheet) == "collar":
        x, y = face[0]
        collar = c.region(
            [
                (stem_half, y + 0.01 * cap.radius),
                (x, y),
                (x, y - 0.03 * cap.radius),
                (stem_half, y - 0.02 * cap.radius),
            ]
        )
        sheet.fill(collar, tone, "gills", "gills.attachment")
        sheet.stroke(collar, outline_of(tone), "gills", "gills.attachment", weight=0.8)
    _bruise(sheet, layer, c.at(edge, 0.55), cap.radius)
    _milk(sheet, cap, edge)


def _bruise(sheet: Sheet, layer: Path, where: Point, radius: float) -> None:
    for feature in ("gills.pore-bruise", "gills.bruise"):
        if sheet.seen(feature):
            tone = sheet.colour(feature)
            for size, strength in ((0.15, 0.3), (0.1, 0.45), (0.06, 0.5)):
                blot = c.blot(*where, size * radius, size * radius, 4)
                sheet.shade(blot, tone, "gills", layer, strength, feature)


def _milk(sheet: Sheet, cap: Cap, edge: list[Point]) -> None:
    if not sheet.seen("gills.milk"):
        return
    tone = sheet.colour("gills.milk", "#f6f4ec")
    size = 0.028 * cap.radius
    for way in (0.3, 0.46, 0.62):
        x, y = c.at(edge, way)
        drop = c.region(
            [
                (x, y + 0.6 * size),
                (x + 0.9 * size, y - 1.4 * size),
                (x, y - 2.4 * size),
                (x - 0.9 * size, y - 1.4 * size),
                (x, y + 0.6 * size),
            ]
        )
        sheet.fill(drop, tone, "gills", "gills.milk")
        sheet.stroke(drop, outline_of(tone), "gills", "gills.milk", weight=0.8)


def _spines_in_section(sheet: Sheet, edge: list[Point], face: list[Point], tone: str) -> None:
    spines = []
    count = 26
    for i in range(count):
        w = (i + 0.5) / count * 0.97
        (x, y), tip = c.at(face, w), c.at(edge, w)
        long = math.dist((x, y), tip)
        half = 0.46 * math.dist(face[0], face[-1]) / count
        spines.append(
            c.region(
                [(x - half, y), (x - 0.35 * half, y - 0.7 * long), (x, y - long)],
                [(x, y - long), (x + 0.5 * half, y - 0.6 * long), (x + half, y)],
            )
        )
    sheet.fill(c.joined(spines), tone, "gills", "gills.kind")
    sheet.strokes(spines, outline_of(tone), "gills", "gills.kind", weight=0.7)


def draw_below(sheet: Sheet, cap: Cap, stem_half: float) -> None:
    """The left half: the underside as it is seen from slightly below the rim."""
    if sheet.missing("gills.kind"):
        return
    what, tone = kind(sheet), colour(sheet)
    edge, _ = edge_and_face(sheet, cap, stem_half)
    lowest = min(y for _, y in edge)
    skirt = cap.tilt < 0 or attachment(sheet) == "decurrent" or lowest < cap.rim_level - 0.16 * cap.radius
    rim = c.back(cap.front_rim())
    level, tilt = cap.rim_level, cap.tilt
    if skirt:
        hang = c.back(c.mirrored(edge))
        foot = hang[-1]
        area = c.region(hang, [foot, (0, foot[1] - 0.03 * cap.radius), (0, level + tilt)], c.back(rim))
    else:
        hang = c.arc(0, level, cap.rim, tilt, 180, 270)
        area = c.region(hang, [hang[-1], (0, level + tilt)], c.back(rim))
    sheet.fill(area, tone if tone != PAPER else PAPER, "gills", "gills.colour")
    known = (
        sheet.seen("gills.kind")
        or sheet.seen("gills.spacing")
        or sheet.seen("gills.colour")
        or sheet.seen("gills.pore-colour")
    )
    _shadow(sheet, cap, area, tone, skirt)
    if known or what != GILLS:
        _relief(sheet, cap, area, c.Rail(edge), what, tone, skirt, stem_half)
    drawn = sheet.line("gills.kind", "gills.colour", "gills.spacing", "gills.pore-colour", "gills.attachment")
    sheet.stroke(c.line(hang), outline_of(tone), "gills", "gills.kind", weight=1.1, line=drawn)
    for feature in ("gills.pore-bruise", "gills.bruise"):
        if sheet.seen(feature):
            for size, strength in ((0.12, 0.3), (0.075, 0.45)):
                blot = c.blot(
                    -0.6 * cap.rim, level - 0.1 * tilt, size * cap.radius, size * 0.45 * cap.radius, 7
                )
                sheet.shade(blot, sheet.colour(feature), "gills", area, strength, feature)


def _shadow(sheet: Sheet, cap: Cap, area: Path, tone: str, skirt: bool) -> None:
    level, tilt = cap.rim_level, cap.tilt
    for size, strength in ((0.8, 0.1), (0.62, 0.1), (0.45, 0.1)):
        if skirt:
            run = c.arc(0, level + tilt * (2.2 - 1.4 * size), cap.rim * 1.02, tilt * 0.9, 90, 180)
            top = [(0.0, level + tilt * 1.5), (-cap.rim, level + tilt * 1.5)]
            sheet.shade(c.region(run, c.back(top)), darker(tone, 0.6), "gills", area, strength)
        else:
            path = c.ellipse(0, level, cap.rim * size, tilt * size)
            sheet.shade(path, darker(tone, 0.6), "gills", area, strength)


def _relief(
    sheet: Sheet, cap: Cap, area: Path, edge: c.Rail, what: str, tone: str, skirt: bool, stem_half: float
) -> None:
    """Gill edges, pores, spines or folds on the underside."""
    dark = darker(tone, 0.55)
    if what in {GILLS, FOLDS}:
        count = _COUNT.get(sheet.state("gills.spacing"), 15) if what == GILLS else 9
        weight = {"crowded": 0.5, "close": 0.65, "distant": 1.0}.get(sheet.state("gills.spacing"), 0.65)
        forked = what == FOLDS or bool(sheet.state("gills.forking", "forked", "forked-at-stem"))
        lines = [_gill(cap, edge, turn, 0.0, skirt, stem_half) for turn in _turns(count)]
        short = [_gill(cap, edge, turn, 0.5, skirt, stem_half) for turn in _turns(count, 0.5)]
        sheet.strokes(
            lines,
            dark,
            "gills",
            "gills.spacing",
            weight=weight if what == GILLS else 1.3,
            clip=area,
            opacity=0.85,
        )
        if not sheet.missing("gills.short"):
            sheet.strokes(short, dark, "gills", "gills.short", weight=weight * 0.8, clip=area, opacity=0.6)
        if forked:
            forks = []
            for i, turn in enumerate(_turns(count)):
                run = _run(cap, edge, turn, 0.55 + 0.12 * c.wobble(i), skirt, stem_half)
                other = _run(cap, edge, min(1, turn + 0.55 / count), 0.55, skirt, stem_half)
                forks.append(c.line([run[0], c.at(other, 0.6), other[-1]]))
            sheet.strokes(forks, dark, "gills", "gills.forking", weight=weight, clip=area, opacity=0.8)
        if sheet.state("gills.forking", "cross-veined") or (
            what == FOLDS and not sheet.state("gills.folds-depth", "nearly-smooth")
        ):
            veins = []
            turns = _turns(count)
            for i in range(len(turns) - 1):
                for k in (0.35, 0.6, 0.82):
                    a = c.at(_run(cap, edge, turns[i], 0, skirt, stem_half), k + 0.06 * c.wobble(i))
                    b = c.at(_run(cap, edge, turns[i + 1], 0, skirt, stem_half), k + 0.06 * c.wobble(i, 2))
                    veins.append(c.line([a, b]))
            sheet.strokes(veins, dark, "gills", "gills.forking", weight=0.5, clip=area, opacity=0.6)
    elif what in {PORES, MAZE}:
        _pores(sheet, cap, area, edge, tone, skirt, stem_half, maze=what == MAZE)
    elif what == SPINES:
        _spines(sheet, cap, area, edge, tone, skirt, stem_half)


def _turns(count: int, shift: float = 0.0) -> list[float]:
    return [(i + 0.5 + shift) / count for i in range(count)]


def _run(cap: Cap, edge: c.Rail, turn: float, start: float, skirt: bool, stem_half: float) -> list[Point]:
    """One line from near the stem (way 0) to the rim at a direction: 0 left edge, 1 towards the viewer.

    Seen from below, turns beyond one half of the disc lie nearer the viewer and higher on the sheet.
    """
    if skirt:
        a = turn * math.pi / 2
        points = []
        for i in range(9):
            x, y = edge.at(start + (1 - start) * i / 8)
            lift = cap.tilt * (x / max(cap.rim, 1e-9)) ** 2
            points.append((-x * math.cos(a), y + lift * math.sin(a)))
        return points
    a = math.radians(90 + 180 * turn)
    inner = max(stem_half * 1.02 / cap.rim, 0.05)
    low = inner + (1 - inner) * start
    return [
        (cap.rim * s * math.cos(a), cap.rim_level + cap.tilt * s * math.sin(a))
        for s in (low + (1 - low) * i / 6 for i in range(7))
    ]


def _gill(cap: Cap, edge: c.Rail, turn: float, start: float, skirt: bool, stem_half: float) -> Path:
    return c.line(_run(cap, edge, turn, start, skirt, stem_half))


def _pores(
    sheet: Sheet,
    cap: Cap,
    area: Path,
    edge: c.Rail,
    tone: str,
    skirt: bool,
    stem_half: float,
    *,
    maze: bool,
) -> None:
    dark = darker(tone, 0.6)
    paths: list[Path] = []
    size = 0.013 * cap.radius
    shape = sheet.state("gills.pore-shape")
    for i, (u, v) in enumerate(c.scatter(170 if not maze else 60, 8)):
        run = _run(cap, edge, v, 0.0, skirt, stem_half)
        x, y = c.at(run, 0.06 + 0.9 * u**0.6)
        if maze or shape == "maze":
            paths.append(
                c.line([(x - 3 * size, y), (x - size, y + size), (x + size, y - size), (x + 3 * size, y)])
            )
        elif shape == "angular":
            paths.append(
                c.polygon(
                    [
                        (x + size * math.cos(k + i), y + 0.7 * size * math.sin(k + i))
                        for k in (0.2, 1.5, 2.7, 4.0, 5.2)
                    ]
                )
            )
        else:
            wide = 1.7 if shape == "long" else 1.0
            paths.append(c.ellipse(x, y, size * wide, 0.62 * size))
    if maze or shape == "maze":
        sheet.strokes(paths, dark, "gills", "gills.pore-shape", weight=0.9, clip=area, opacity=0.75)
    else:
        sheet.fill(c.joined(paths), dark, "gills", "gills.pore-shape", clip=area, opacity=0.6)


def _spines(
    sheet: Sheet, cap: Cap, area: Path, edge: c.Rail, tone: str, skirt: bool, stem_half: float
) -> None:
    del area
    spines = []
    size = 0.02 * cap.radius
    long = 0.13 * cap.radius
    found = []
    for u, v in c.scatter(150, 9):
        run = _run(cap, edge, v, 0.0, skirt, stem_half)
        found.append(c.at(run, 0.08 + 0.9 * u**0.6))
    for x, y in sorted(found, key=lambda p: -p[1]):
        if x > -0.5 * size:
            continue
        spines.append(
            c.polygon([(x - size * 0.6, y), (x + size * 0.6, y), (x, y - long * (0.75 + 0.25 * math.sin(x)))])
        )
    for spine in spines:
        sheet.fill(spine, mix(tone, lighter(tone, 0.5), 0.4), "gills", "gills.kind")
    sheet.strokes(spines, outline_of(tone), "gills", "gills.kind", weight=0.45, opacity=0.8)
