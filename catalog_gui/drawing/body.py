"""What forms without a cap share: their colours, and round bodies with light, shade and a cut half."""

from __future__ import annotations

import math

from catalog_gui.domain.plane import Point
from catalog_gui.drawing import curves as c
from catalog_gui.drawing.ink import PAPER, Path, Sheet, brightness, darker, lighter, outline_of


def tones(sheet: Sheet) -> tuple[str, str]:
    """Main and second colour of a body: what was noted of its outside, else of its stem."""
    palette = sheet.palette("cap.colour") or sheet.palette("stem.colour") or [PAPER]
    return palette[0], palette[1] if len(palette) > 1 else palette[0]


def known(sheet: Sheet) -> bool:
    """Whether any colour of the outside was noted."""
    return sheet.seen("cap.colour") or sheet.seen("stem.colour")


def half(run: list[Point]) -> Path:
    """The closed left half of a body whose right side runs from top to bottom on the axis."""
    return c.region(c.mirrored(run), [(0, run[-1][1]), (0, run[0][1])])


def right_half(run: list[Point]) -> Path:
    """The closed right half."""
    return c.region(run, [(0, run[-1][1]), (0, run[0][1])])


def shade(sheet: Sheet, run: list[Point], area: Path, colour: str, part: str = "cap") -> None:
    """Light from the upper left on the left half of a round body."""
    if not known(sheet):
        return
    top, low = run[0][1], run[-1][1]
    wide = max(x for x, _ in run)
    soft = 0.06 if brightness(colour) < 0.75 else 0.1
    for i in range(8):
        size = 0.62 - 0.07 * i
        spot = c.ellipse(-0.36 * wide, low + 0.66 * (top - low), size * wide * 0.8, size * (top - low) * 0.42)
        sheet.shade(spot, lighter(colour, 0.75), part, area, soft)
    for i in range(5):
        rest = 1 - 0.035 * (i + 1)
        edge = c.region(
            c.mirrored(run),
            [(-x * rest, y * rest + (1 - rest) * (0.6 * top + 0.4 * low)) for x, y in c.back(run)],
        )
        sheet.shade(edge, darker(colour, 0.55), part, area, 0.07)


def place(run: list[Point], u: float, v: float) -> Point:
    """A point on the left outside: u 0 at the edge of the view to 1 on the axis, v 0 top to 1 bottom."""
    x, y = c.at(run, v)
    return -x * math.cos(u * math.pi / 2), y


def texture(sheet: Sheet, run: list[Point], area: Path, colour: str) -> None:
    """Surface words on the left half of a round body."""
    wide = max(x for x, _ in run)
    dark = darker(colour, 0.5)
    for state in sheet.states("cap.surface")[:1]:
        if state in {"scaly", "woolly-scaly", "cracked"}:
            paths = []
            for i, (u, v) in enumerate(c.scatter(34, 2)):
                x, y = place(run, u, 0.04 + 0.8 * v)
                s = wide * (0.1 if state == "cracked" else 0.065) * (0.5 + 0.5 * math.sin(u * math.pi / 2))
                paths.append(c.blot(x, y, s, s * 0.85, i, 0.3))
            if state == "cracked":
                sheet.strokes(paths, dark, "cap", "cap.surface", weight=0.8, clip=area, opacity=0.7)
            else:
                sheet.fill(c.joined(paths), dark, "cap", "cap.surface", clip=area, opacity=0.55)
        elif state in {"granular", "felty", "bloom"}:
            dots = []
            for u, v in c.scatter(150, 4):
                x, y = place(run, u, 0.02 + 0.72 * v**1.2)
                s = 0.017 * wide * (1.4 - 0.7 * v)
                dots.append(c.polygon([(x - s, y - 0.6 * s), (x, y + 1.6 * s), (x + s, y - 0.6 * s)]))
            sheet.fill(
                c.joined(dots),
                lighter(colour, 0.8) if brightness(colour) < 0.6 else dark,
                "cap",
                "cap.surface",
                clip=area,
                opacity=0.55,
            )
        elif state in {"wrinkled", "fibrous"}:
            for i in range(6):
                line = [place(run, (i + 0.5) / 6 + 0.05 * c.wobble(i + k), 0.06 + 0.13 * k) for k in range(7)]
                sheet.stroke(c.line(line), dark, "cap", "cap.surface", weight=0.8, clip=area, opacity=0.5)


def contour(sheet: Sheet, run: list[Point], colour: str, part: str = "cap") -> None:
    """The outline on both sides: solid when the form was noted."""
    drawn = sheet.line("whole.form", "whole.width", "stem.length")
    for side in (run, c.mirrored(run)):
        sheet.stroke(c.line(side), outline_of(colour), part, "whole.form", weight=1.4, line=drawn)


def threads(sheet: Sheet, x: float, y: float, size: float) -> None:
    """Felt and cords at the base."""
    if sheet.seen("base.mycelium") or sheet.seen("base.rooting"):
        lines = []
        for i in range(7):
            a = math.radians(225 + 15 * i)
            end = (x + size * math.cos(a), y + size * (0.8 + 0.3 * c.wobble(i)) * math.sin(a))
            lines.append(
                c.line(
                    [
                        (x + 0.3 * size * math.cos(a), y),
                        ((x + end[0]) / 2 + 0.1 * size * c.wobble(i, 2), (y + end[1]) / 2),
                        end,
                    ]
                )
            )
        sheet.strokes(lines, "#a89c84", "base", "base.mycelium", weight=1.0)


def seam(sheet: Sheet, top: float, low: float) -> None:
    """The line where the outside ends and the cut begins."""
    sheet.stroke(c.line([(0, top), (0, low)]), "#3b3128", "whole", "", weight=0.5, opacity=0.35)
