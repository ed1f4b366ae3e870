"""Figures of what the microscope shows: spores, cystidia, cap skin, the threads in a gill."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial

from catalog_gui.domain.plane import Point
from catalog_gui.drawing import curves as c
from catalog_gui.drawing.ink import Path, Sheet, darker
from catalog_gui.drawing.shapes import Drawing

_TONE = "#ead9b6"
_LINE = "#5b4a36"


def _no_colour(_feature: str, _state: str) -> str:
    return ""


def _sheet() -> Sheet:
    return Sheet(0.4, {}, _no_colour)


def _done(sheet: Sheet) -> Drawing:
    return sheet.finish(to_scale=True, bar=False)


def _egg(long: float, wide: float, *, tip: float = 0.0, bend: float = 0.0) -> list[Point]:
    """A spore lying on its side, peg (apiculus) lower left; `tip` narrows the far end, `bend` curves it."""
    points = []
    for i in range(36):
        a = math.tau * i / 36
        x, y = math.cos(a), math.sin(a)
        narrow = 1 - tip * max(0.0, x) ** 1.5 - 0.12 * tip * max(0.0, -x)
        points.append((long / 2 * x, wide / 2 * y * narrow - bend * (1 - x * x) + bend / 2))
    return points


def _spore(
    body: list[Point], *, warts: str = "", pore: bool = False, peg: bool = True, plage: bool = False
) -> Drawing:
    sheet = _sheet()
    area = c.loop(body)
    left = min(body, key=lambda p: p[0])
    if peg:
        horn = c.loop(
            [
                (left[0] + 1.2, left[1] + 0.9),
                (left[0] - 0.9, left[1] - 0.2),
                (left[0] - 0.5, left[1] - 1.2),
                (left[0] + 1.4, left[1] - 1.0),
            ]
        )
        sheet.fill(horn, _TONE, "micro", "micro.spore-shape")
        sheet.stroke(horn, _LINE, "micro", "micro.spore-shape", weight=1.4)
    _ornament(sheet, body, warts)
    sheet.fill(area, _TONE, "micro", "micro.spore-shape")
    inner = c.loop([(x * 0.9, y * 0.88) for x, y in body])
    sheet.stroke(inner, darker(_TONE, 0.35), "micro", "micro.spore-shape", weight=0.9)
    drop = c.ellipse(-0.05 * (body[0][0] - left[0]), 0.2, 2.0, 1.8)
    sheet.fill(drop, "#fbf4e2", "micro", "micro.oil-drops", clip=area)
    sheet.stroke(drop, darker(_TONE, 0.35), "micro", "micro.oil-drops", weight=0.8, clip=area)
    _relief(sheet, area, warts)
    if plage:
        bare = c.ellipse(left[0] + 3.2, left[1] - 1.2, 2.4, 1.7, 0.5)
        sheet.fill(bare, "#f8eed6", "micro", "micro.ornament", clip=area)
        sheet.stroke(bare, _LINE, "micro", "micro.ornament", weight=0.9, clip=area)
    if pore:
        x = max(p[0] for p in body)
        sheet.fill(
            c.polygon([(x - 1.1, -1.1), (x + 0.6, -1.3), (x + 0.6, 1.3), (x - 1.1, 1.1)]),
            "#fffdf8",
            "micro",
            "micro.germ-pore",
        )
        sheet.stroke(c.line([(x - 0.8, -1.2), (x - 0.8, 1.2)]), _LINE, "micro", "micro.germ-pore", weight=1.4)
    sheet.stroke(area, _LINE, "micro", "micro.spore-shape", weight=2.0)
    return _done(sheet)


def _ornament(sheet: Sheet, body: list[Point], warts: str) -> None:
    """What stands out from the contour."""
    if warts not in {"warty", "rough", "net", "ribbed"}:
        return
    size = {"warty": 0.75, "rough": 0.35, "net": 0.7, "ribbed": 0.6}[warts]
    bumps = [
        c.ellipse(x * 1.03, y * 1.03, size, size)
        for i, (x, y) in enumerate(body)
        if i % (2 if size > 0.5 else 1) == 0
    ]
    sheet.fill(c.joined(bumps), _LINE, "micro", "micro.ornament")


def _relief(sheet: Sheet, area: Path, warts: str) -> None:
    """The same seen from above."""
    lines: list[Path] = []
    dots: list[Path] = []
    for i, (u, v) in enumerate(c.scatter(46, 4)):
        x, y = 14 * (u - 0.5), 10 * (v - 0.5)
        if warts in {"warty", "plage"}:
            dots.append(c.ellipse(x, y, 0.5, 0.5))
        elif warts == "rough":
            dots.append(c.ellipse(x, y, 0.22, 0.22))
        elif warts == "net" and i < 30:
            lines.append(
                c.polygon([(x + 1.6 * math.cos(k), y + 1.6 * math.sin(k)) for k in (0.2, 1.3, 2.5, 3.6, 4.9)])
            )
    if warts == "ribbed":
        lines = [c.line([(-10, 1.7 * k), (0, 1.7 * k + 0.7), (10, 1.7 * k)]) for k in range(-4, 5)]
    sheet.fill(c.joined(dots), _LINE, "micro", "micro.ornament", clip=area, opacity=0.75)
    sheet.strokes(lines, _LINE, "micro", "micro.ornament", weight=1.0, clip=area, opacity=0.75)


def _cornered(corners: int, rough: float) -> list[Point]:
    points = []
    for i in range(corners):
        a = math.tau * i / corners + 0.3
        r = 1 + rough * c.wobble(i, 2)
        points.append((7.5 * r * math.cos(a), 6 * r * math.sin(a)))
    return points


def _angular() -> Drawing:
    sheet = _sheet()
    corners = _cornered(6, 0.12)
    area = c.polygon(corners)
    sheet.fill(area, _TONE, "micro", "micro.spore-shape")
    sheet.stroke(area, _LINE, "micro", "micro.spore-shape", weight=2.0)
    centre = (0.6, 0.4)
    sheet.strokes(
        [c.line([p, centre]) for p in corners[::2]],
        darker(_TONE, 0.4),
        "micro",
        "micro.spore-shape",
        weight=1.0,
    )
    return _done(sheet)


def _nodular() -> list[Point]:
    return [
        (x * (1 + 0.13 * math.sin(7 * i * math.tau / 36)), y * (1 + 0.13 * math.sin(7 * i * math.tau / 36)))
        for i, (x, y) in enumerate(_egg(14, 11))
    ]


def _cell(kind: str) -> Drawing:
    """A cystidium among basidia."""
    sheet = _sheet()
    shapes: dict[str, list[Point]] = {
        "edge": [(-2, 0), (-2.4, 8), (-1.6, 14), (0, 16), (1.6, 14), (2.4, 8), (2, 0)],
        "face": [(-1.6, 0), (-2.6, 8), (-2.2, 15), (0, 20), (2.2, 15), (2.6, 8), (1.6, 0)],
        "flask": [
            (-1.8, 0),
            (-3.6, 6),
            (-2.4, 11),
            (-0.9, 15),
            (-0.8, 19),
            (0, 20),
            (0.8, 19),
            (0.9, 15),
            (2.4, 11),
            (3.6, 6),
            (1.8, 0),
        ],
        "crystal": [
            (-1.6, 0),
            (-3.2, 7),
            (-2.6, 13),
            (-1.2, 18),
            (0, 19),
            (1.2, 18),
            (2.6, 13),
            (3.2, 7),
            (1.6, 0),
        ],
        "yellow": [
            (-1.8, 0),
            (-3.2, 8),
            (-2.8, 14),
            (-1, 17),
            (0, 19.5),
            (1, 17),
            (2.8, 14),
            (3.2, 8),
            (1.8, 0),
        ],
    }
    for i in (-2, -1, 1, 2):
        x = 4.6 * i
        cell = c.region(
            [
                (x - 1.5, 0),
                (x - 1.9, 6),
                (x - 1.6, 9.5),
                (x, 10.4),
                (x + 1.6, 9.5),
                (x + 1.9, 6),
                (x + 1.5, 0),
            ]
        )
        sheet.fill(cell, "#f6edd8", "micro", "micro.cystidia")
        sheet.stroke(cell, _LINE, "micro", "micro.cystidia", weight=1.1)
        sheet.strokes(
            [c.line([(x + k, 10.2), (x + 1.3 * k, 11.8)]) for k in (-0.9, -0.3, 0.3, 0.9)],
            _LINE,
            "micro",
            "micro.cystidia",
            weight=0.9,
        )
    body = shapes[kind]
    area = c.region(body)
    sheet.fill(area, "#e9cf6a" if kind == "yellow" else _TONE, "micro", "micro.cystidia")
    if kind == "yellow":
        sheet.fill(c.blot(0, 9, 1.8, 4.5, 3, 0.2), "#c79a2e", "micro", "micro.cystidia", clip=area)
    if kind == "crystal":
        crystals = [
            c.polygon([(x, 18.5), (x + 0.9, 20.6), (x + 1.3, 18.2), (x + 0.6, 17.6)])
            for x in (-1.8, -0.6, 0.6)
        ]
        sheet.fill(c.joined(crystals), "#ffffff", "micro", "micro.cystidia")
        sheet.strokes(crystals, _LINE, "micro", "micro.cystidia", weight=1.0)
    sheet.stroke(area, _LINE, "micro", "micro.cystidia", weight=2.0)
    sheet.stroke(c.line([(-12, 0), (12, 0)]), _LINE, "micro", "micro.cystidia", weight=1.2)
    return _done(sheet)


def _hypha(sheet: Sheet, run: list[Point], wide: float, feature: str) -> None:
    """A thread with cross-walls."""
    upper, lower = c.offset(run, lambda _: -wide / 2), c.offset(run, lambda _: wide / 2)
    body = c.region(upper, c.back(lower))
    sheet.fill(body, _TONE, "micro", feature)
    sheet.stroke(body, _LINE, "micro", feature, weight=1.2)
    for way in (0.36, 0.7):
        sheet.stroke(c.line([c.at(upper, way), c.at(lower, way)]), _LINE, "micro", feature, weight=1.1)


def _skin(kind: str) -> Drawing:
    sheet = _sheet()
    feature = "micro.cuticle"
    for i in range(5):
        y = 1.6 + 2.1 * i
        run = [(-14 + 28 * k / 8, y + 0.5 * c.wobble(i + k)) for k in range(9)]
        if kind in {"cutis", "jelly"} or i < 2:
            _hypha(sheet, run, 1.7, feature)
    if kind == "jelly":
        slime = c.polygon([(-14, 10.5), (14, 10.5), (14, 18), (-14, 18)])
        sheet.fill(slime, "#dfe5df", "micro", feature, opacity=0.75)
        for i in range(4):
            _hypha(
                sheet,
                [(-12 + 7 * i, 10.5), (-11 + 7 * i + c.wobble(i), 13.5), (-10 + 7 * i, 17)],
                0.8,
                feature,
            )
    elif kind in {"cells", "upright", "mixed"}:
        for i in range(8):
            x = -12.2 + 3.5 * i
            round_cell = kind == "cells" or (kind == "mixed" and i % 2 == 0)
            y = 8.4
            path = (
                c.ellipse(x, y + 1.4, 1.9, 2.8 if kind == "cells" else 2.2)
                if round_cell
                else c.region(
                    [
                        (x - 0.8, 4.6),
                        (x - 1.2, 9),
                        (x - 0.9, 14),
                        (x, 16),
                        (x + 0.9, 14),
                        (x + 1.2, 9),
                        (x + 0.8, 4.6),
                    ]
                )
            )
            sheet.fill(path, _TONE, "micro", feature)
            sheet.stroke(path, _LINE, "micro", feature, weight=1.4)
    return _done(sheet)


def _trama(kind: str) -> Drawing:
    """Threads in a gill cut across: middle line up, edges of the gill left and right."""
    sheet = _sheet()
    feature = "micro.trama"
    for i in range(9):
        match kind:
            case "parallel":
                x = -6 + 1.5 * i
                _hypha(sheet, [(x, 0), (x + 0.2 * c.wobble(i), 10), (x, 20)], 1.1, feature)
            case "interwoven":
                a, b = (-7, 7) if i % 2 else (7, -7)
                _hypha(
                    sheet,
                    [
                        (a, 2.2 * i),
                        (0.4 * c.wobble(i, 3) * 7, 2.2 * i + 2 * c.wobble(i)),
                        (b, 2.2 * i + 4 * c.wobble(i, 2)),
                    ],
                    1.1,
                    feature,
                )
            case "bilateral" | "inverse":
                up = 1 if kind == "bilateral" else -1
                low = 1.5 + 2.1 * i
                for side in (-1, 1):
                    _hypha(
                        sheet,
                        [(side * 0.6, low), (side * 3.4, low - up * 1.2), (side * 7, low - up * 4.2)],
                        0.95,
                        feature,
                    )
            case _:
                for side in (-2, -1, 0, 1, 2):
                    cx, cy = 3.1 * side + 1.5 * (i % 2), 2.5 * i
                    cell = c.ellipse(cx, cy, 1.45, 1.35)
                    sheet.fill(cell, _TONE, "micro", feature)
                    sheet.stroke(cell, _LINE, "micro", feature, weight=1.2)
    if kind in {"bilateral", "inverse"}:
        _hypha(sheet, [(0, -1), (0.1, 10), (0, 21)], 1.1, feature)
    for rim in (-8.6, 8.6):
        sheet.stroke(c.line([(rim, -2), (rim, 22)]), _LINE, "micro", feature, weight=2.4)
    return _done(sheet)


FIGURES: dict[str, Callable[[], Drawing]] = {
    "spore-round": lambda: _spore(_egg(12, 12)),
    "spore-nearly-round": lambda: _spore(_egg(13, 11.6)),
    "spore-broad": lambda: _spore(_egg(14, 11)),
    "spore-oval": lambda: _spore(_egg(15, 10)),
    "spore-long": lambda: _spore(_egg(19, 6.5)),
    "spore-almond": lambda: _spore(_egg(16, 9.5, tip=0.55)),
    "spore-bean": lambda: _spore(_egg(16, 8, bend=1.6)),
    "spore-spindle": lambda: _spore(_egg(22, 7, tip=0.6)),
    "spore-angular": _angular,
    "spore-nodular": lambda: _spore(_nodular(), peg=False),
    "spore-smooth": lambda: _spore(_egg(15, 10)),
    "spore-rough": lambda: _spore(_egg(15, 10), warts="rough"),
    "spore-warty": lambda: _spore(_egg(13, 11.6), warts="warty"),
    "spore-net": lambda: _spore(_egg(13, 12), warts="net"),
    "spore-ribbed": lambda: _spore(_egg(16, 9), warts="ribbed"),
    "spore-plage": lambda: _spore(_egg(16, 9.5, tip=0.4), warts="plage", plage=True),
    "spore-pore": lambda: _spore(_egg(17, 9.5), pore=True),
    "spore-spurred": lambda: _spore([(x, y - (1.6 if x < -6 else 0.0)) for x, y in _egg(17, 8, tip=0.35)]),
    **{f"cyst-{kind}": partial(_cell, kind) for kind in ("edge", "face", "flask", "crystal", "yellow")},
    **{f"skin-{kind}": partial(_skin, kind) for kind in ("cutis", "cells", "upright", "mixed", "jelly")},
    **{
        f"trama-{kind}": partial(_trama, kind)
        for kind in ("parallel", "interwoven", "bilateral", "inverse", "round")
    },
}
