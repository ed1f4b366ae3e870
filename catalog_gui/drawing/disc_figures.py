"""Figures of the underside seen square on, and of folds cut across."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

from catalog_gui.domain.plane import Point
from catalog_gui.drawing import curves as c
from catalog_gui.drawing.ink import Path, Sheet, darker
from catalog_gui.drawing.shapes import Drawing

_TONE = "#f1e2c4"
_LINE = "#5b5044"


def _no_colour(_feature: str, _state: str) -> str:
    return ""


def _polar(radius: float, angle: float) -> Point:
    return radius * math.cos(angle), radius * math.sin(angle)


def _disc(draw: Callable[[Sheet, Path], None]) -> Drawing:
    sheet = Sheet(0.35, {}, _no_colour)
    area = c.ellipse(0, 0, 20, 20)
    sheet.fill(area, _TONE, "gills", "gills.kind")
    for i in range(4):
        sheet.shade(c.ellipse(0, 0, 14 - 2.4 * i, 14 - 2.4 * i), darker(_TONE, 0.6), "gills", area, 0.07)
    draw(sheet, area)
    sheet.stroke(area, _LINE, "cap", "", weight=2.4)
    stem = c.ellipse(0, 0, 3.2, 3.2)
    sheet.fill(stem, "#fbf7ee", "stem", "")
    sheet.stroke(stem, _LINE, "stem", "", weight=1.8)
    return sheet.finish(to_scale=True, bar=False)


def _gills(count: int, weight: float, *, short: bool = True, square: bool = False) -> Drawing:
    def draw(sheet: Sheet, area: Path) -> None:
        lines, ends = [], []
        for i in range(count):
            a = math.tau * i / count
            lines.append(c.line([_polar(3.4, a), _polar(20, a)]))
            if short:
                b = a + math.pi / count
                inner = 11.0 + 3 * c.wobble(i)
                lines.append(c.line([_polar(inner, b), _polar(20, b)]))
                if square:
                    ends.append(c.line([_polar(inner, b - 0.035), _polar(inner, b + 0.035)]))
        sheet.strokes(lines, darker(_TONE, 0.62), "gills", "gills.spacing", weight=weight, clip=area)
        sheet.strokes(ends, "#b3401f", "gills", "gills.short", weight=2.2)

    return _disc(draw)


def _forked(*, veins: bool) -> Drawing:
    def draw(sheet: Sheet, area: Path) -> None:
        lines = []
        count = 22
        for i in range(count):
            a, half = math.tau * i / count, math.pi / count
            if veins:
                lines.append(c.line([_polar(3.4, a), _polar(20, a)]))
                for k in range(3):
                    r = 8 + 4 * k + 1.2 * c.wobble(i + k)
                    lines.append(c.line([_polar(r, a), _polar(r + 0.6, a + 2 * half)]))
            else:
                fork = 9 + 2 * c.wobble(i)
                lines.append(c.line([_polar(3.4, a), _polar(fork, a)]))
                lines += [c.line([_polar(fork, a), _polar(20, a + side * half * 0.55)]) for side in (-1, 1)]
        sheet.strokes(lines, darker(_TONE, 0.62), "gills", "gills.forking", weight=1.4, clip=area)

    return _disc(draw)


def _dots(sheet: Sheet, area: Path) -> None:
    dots = [c.ellipse(*_polar(4 + 16 * math.sqrt(u), math.tau * v), 0.55, 0.55) for u, v in c.scatter(330, 1)]
    sheet.fill(c.joined(dots), darker(_TONE, 0.65), "gills", "gills.kind", clip=area)


def _spines(sheet: Sheet, area: Path) -> None:
    spines = []
    for u, v in c.scatter(170, 2):
        x, y = _polar(4 + 15.5 * math.sqrt(u), math.tau * v)
        spines.append(c.polygon([(x - 0.55, y + 0.5), (x + 0.55, y + 0.5), (x + 0.05 * x, y - 2.2)]))
    sheet.fill(c.joined(spines), "#fbf7ee", "gills", "gills.kind", clip=area)
    sheet.strokes(spines, darker(_TONE, 0.65), "gills", "gills.kind", weight=0.9, clip=area)


def _maze(sheet: Sheet, area: Path) -> None:
    lines = []
    for i in range(30):
        a = math.tau * i / 30
        lines.append(
            c.line(
                [
                    _polar(5 + 2.2 * k + 0.5 * c.wobble(i + k), a + 0.09 * c.wobble(i * 3 + k))
                    for k in range(7)
                ]
            )
        )
    for u, v in c.scatter(60, 3):
        r, a = 6 + 13 * math.sqrt(u), math.tau * v
        lines.append(c.line([_polar(r, a), _polar(r + 0.5, a + 2.6 / r)]))
    sheet.strokes(lines, darker(_TONE, 0.65), "gills", "gills.kind", weight=2.4, clip=area)


def _folds(sheet: Sheet, area: Path) -> None:
    lines = []
    for i in range(18):
        a = math.tau * i / 18
        fork = 10 + 2 * c.wobble(i)
        stem = [_polar(3.4, a), _polar(fork * 0.6, a + 0.04), _polar(fork, a)]
        lines.append(c.line(stem))
        branches = ([_polar(fork, a), _polar(15, a + s * 0.06), _polar(20, a + s * 0.12)] for s in (-1, 1))
        lines.extend(c.line(branch) for branch in branches)
    sheet.strokes(lines, darker(_TONE, 0.45), "gills", "gills.kind", weight=3.4, clip=area)


def _bare(_sheet: Sheet, _area: Path) -> None:
    return


def _cross(*, blunt: bool) -> Drawing:
    """Folds or plates cut across: flesh above, edges below."""
    sheet = Sheet(0.35, {}, _no_colour)
    edge: list[Point] = []
    count = 6 if blunt else 8
    for i in range(count):
        x = -20 + 40 * i / count
        w = 40 / count
        if blunt:
            edge += [(x, 4.0), (x + 0.25 * w, 2.4), (x + 0.5 * w, 0.0), (x + 0.75 * w, 2.4)]
        else:
            edge += [
                (x, 10.0),
                (x + 0.36 * w, 10.0),
                (x + 0.44 * w, 0.6),
                (x + 0.5 * w, 0.0),
                (x + 0.56 * w, 0.6),
                (x + 0.64 * w, 10.0),
            ]
    edge.append((20.0, 4.0 if blunt else 10.0))
    top = 20.0
    section = c.region(edge, [(20, top), (-20, top)]) if blunt else c.polygon([*edge, (20, top), (-20, top)])
    sheet.fill(section, "#fbf7ee", "flesh", "gills.folds-depth")
    sheet.stroke(
        c.line(edge) if blunt else c.line(*[[a, b] for a, b in pairwise(edge)]),
        _LINE,
        "gills",
        "gills.folds-depth",
        weight=2.2,
    )
    sheet.stroke(c.line([(-20, top), (20, top)]), _LINE, "cap", "", weight=2.2)
    return sheet.finish(to_scale=True, bar=False)


FIGURES: dict[str, Callable[[], Drawing]] = {
    "gills-crowded": lambda: _gills(64, 0.8),
    "gills-close": lambda: _gills(36, 1.1),
    "gills-distant": lambda: _gills(14, 1.8),
    "gills-truncate": lambda: _gills(18, 1.4, square=True),
    "gills-forked": lambda: _forked(veins=False),
    "gills-veined": lambda: _forked(veins=True),
    "under-gills": lambda: _gills(30, 1.2),
    "under-pores": lambda: _disc(_dots),
    "under-spines": lambda: _disc(_spines),
    "under-folds": lambda: _disc(_folds),
    "under-smooth": lambda: _disc(_bare),
    "under-maze": lambda: _disc(_maze),
    "folds-blunt": lambda: _cross(blunt=True),
    "folds-thin": lambda: _cross(blunt=False),
}
