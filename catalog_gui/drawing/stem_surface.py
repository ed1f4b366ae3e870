"""What the skin of a stem looks like: fibres, bands, flakes, nets, dots, tufts."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from catalog_gui.domain.plane import Point
from catalog_gui.drawing import curves as c
from catalog_gui.drawing.ink import Path, Sheet, brightness, darker, lighter


@dataclass(frozen=True, slots=True)
class Shaft:
    """The left half of a stem between two heights: what a pattern is drawn on.

    `width` gives half the width at a height, `half` the usual half width, `area` the path to stay inside.
    """

    sheet: Sheet
    width: Callable[[float], float]
    half: float
    area: Path
    colour: str
    top: float
    low: float
    feature: str = "stem.surface"

    @property
    def dark(self) -> str:
        """The colour of shaded marks."""
        return darker(self.colour, 0.5)

    @property
    def pale(self) -> str:
        """The colour of light marks."""
        return lighter(self.colour, 0.7)

    def place(self, u: float, v: float) -> Point:
        """A point of the outside: u 0 on the axis to 1 at the edge, v 0 low to 1 high."""
        y = self.low + (self.top - self.low) * v
        return -self.width(y) * math.sin(math.pi / 2 * u), y

    def fill(self, paths: list[Path], colour: str, opacity: float = 1.0) -> None:
        """Fill many small paths."""
        self.sheet.fill(c.joined(paths), colour, "stem", self.feature, clip=self.area, opacity=opacity)

    def lines(self, paths: list[Path], colour: str, weight: float, opacity: float) -> None:
        """Draw many lines."""
        self.sheet.strokes(
            paths, colour, "stem", self.feature, weight=weight, clip=self.area, opacity=opacity
        )


def _fibres(shaft: Shaft) -> None:
    lines = []
    for i in range(11):
        u, a, b = (i + 0.4) / 11, 0.12 * (1 + c.wobble(i)), 1 - 0.12 * (1 + c.wobble(i, 4))
        run = [shaft.place(u + 0.02 * math.sin(k + i), a + (b - a) * k / 6) for k in range(7)]
        lines.append(c.line(run))
    shaft.lines(lines, shaft.dark, 0.6, 0.65)


def _grooves(shaft: Shaft) -> None:
    runs = [[shaft.place((i + 0.4) / 7 + 0.02 * math.sin(k + i), k / 6) for k in range(7)] for i in range(7)]
    shaft.lines([c.line(run) for run in runs], shaft.dark, 1.1, 0.65)


def _bands(shaft: Shaft) -> None:
    """Broken zigzags, as on the stem of a death cap."""
    bands: list[Path] = []
    rows = max(5, int((shaft.top - shaft.low) / (0.75 * shaft.half)))
    for i in range(rows):
        v = (i + 0.5) / rows
        steps = ((k, (0.26 / rows) * (1 if k % 2 else -1) + 0.1 / rows * c.wobble(k + i)) for k in range(9))
        run = [shaft.place(k / 8, v + up) for k, up in steps]
        bands.extend(c.line([a, b]) for k, (a, b) in enumerate(pairwise(run)) if (i * 5 + k * 3) % 7)
    shaft.lines(bands, shaft.dark, 1.1, 0.6)


def _belts(shaft: Shaft) -> None:
    runs = [
        [shaft.place(k / 8, 0.12 + 0.17 * i - 0.01 * math.sin(math.pi / 2 * (1 - k / 8))) for k in range(9)]
        for i in range(5)
    ]
    shaft.lines([c.line(run) for run in runs], shaft.dark, 2.2, 0.7)


def _flakes(shaft: Shaft) -> None:
    flakes = []
    for i, (u, v) in enumerate(c.scatter(26, 3)):
        x, y = shaft.place(u, v * 0.9)
        w = 0.17 * shaft.half * (1.2 + 0.5 * c.wobble(i))
        upper = [(x - w, y), (x - 0.3 * w, y + 1.1 * w), (x + w, y + 0.5 * w)]
        flakes.append(c.region(upper, [(x + w, y + 0.5 * w), (x + 0.2 * w, y - 0.4 * w), (x - w, y)]))
    shaft.fill(flakes, lighter(shaft.colour, 0.75))
    shaft.lines(flakes, shaft.dark, 0.55, 0.8)


def _scales(shaft: Shaft) -> None:
    scales = []
    for i, (u, v) in enumerate(c.scatter(34, 3)):
        x, y = shaft.place(u, v * 0.78)
        w = 0.15 * shaft.half * (1.2 + 0.4 * c.wobble(i))
        left, right = (x - w, y + 0.4 * w), (x + w, y + 0.4 * w)
        scales.append(c.region([left, (x, y - 0.3 * w), right], [right, (x, y + 1.5 * w), left]))
    shaft.fill(scales, shaft.dark, 0.8)


def _powder(shaft: Shaft) -> None:
    size = 0.035 * shaft.half
    tone = shaft.pale if brightness(shaft.colour) < 0.8 else darker(shaft.colour, 0.25)
    shaft.fill([c.ellipse(*shaft.place(u, v), size, size) for u, v in c.scatter(120, 2)], tone, 0.8)


def _dots(shaft: Shaft) -> None:
    size = 0.06 * shaft.half
    warm = "#a63a2c" if shaft.sheet.state("whole.form", "bolete") else shaft.dark
    shaft.fill([c.ellipse(*shaft.place(u, v), size, size) for u, v in c.scatter(90, 6)], warm, 0.75)


def _tufts(shaft: Shaft) -> None:
    tufts = []
    for i, (u, v) in enumerate(c.scatter(84, 7)):
        x, y = shaft.place(u, v)
        w = 0.055 * shaft.half * (1.2 + 0.5 * c.wobble(i))
        tip = (x + 0.8 * w, y + 1.2 * w)
        tufts.append(
            c.region(
                [(x - w, y), (x - 0.2 * w, y + 1.6 * w), tip], [tip, (x + 0.5 * w, y - 0.7 * w), (x - w, y)]
            )
        )
    shaft.fill(tufts, "#3a322b", 0.85)


def _pits(shaft: Shaft) -> None:
    h = shaft.half
    pits = [c.ellipse(*shaft.place(u, v), 0.13 * h, 0.18 * h) for u, v in c.scatter(14, 5)]
    shaft.fill(pits, shaft.dark, 0.45)


def _upper_net(shaft: Shaft) -> None:
    draw_net(shaft, shaft.pale if brightness(shaft.colour) < 0.7 else shaft.dark)


def draw_net(shaft: Shaft, colour: str) -> None:
    """A raised net over the upper two thirds."""
    step = 0.62 * shaft.half
    low = shaft.low + 0.35 * (shaft.top - shaft.low)
    rows = max(3, int((shaft.top - low) / step))
    lines = []
    for lean in (True, False):
        for i in range(-4, rows + 5):
            run = []
            for k in range(9):
                u = k / 8
                y = shaft.top - step * i - u * 2.4 * step
                across = math.sin(math.pi / 2 * u) if lean else math.cos(math.pi / 2 * u)
                run.append((-shaft.width(y) * across, y))
            kept = [p for p in run if low <= p[1] <= shaft.top]
            if len(kept) > 1:
                lines.append(c.line(kept))
    shaft.lines(lines, colour, 1.0, 0.9)


_PATTERNS: dict[str, Callable[[Shaft], None]] = {
    "silvery-fibrous": _fibres,
    "grooved": _grooves,
    "zigzag-bands": _bands,
    "belts": _belts,
    "flaky": _flakes,
    "scaly": _scales,
    "powdered": _powder,
    "net": _upper_net,
    "dots": _dots,
    "scabers": _tufts,
    "pitted": _pits,
}


def draw_pattern(shaft: Shaft, state: str) -> None:
    """Draw one surface word; nothing for a word that has no picture."""
    pattern = _PATTERNS.get(state)
    if pattern is not None:
        pattern(shaft)
