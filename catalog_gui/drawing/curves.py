"""Curves through points. Here y goes up, as one draws; the sheet turns it over at the end."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise

from catalog_gui.domain.plane import Point
from catalog_gui.drawing.shapes import Command

Run = Sequence[Point]
_GOLDEN = 0.6180339887498949
_KAPPA = 0.5522847498  # handle length that makes four cubics a circle to 0.03 %


def bezier(start: Point, *segments: tuple[Point, Point, Point], steps: int = 14) -> list[Point]:
    """Points along cubic segments, each given as two handles and an end."""
    points = [start]
    for first, second, end in segments:
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = points[-1], first, second, end
        for i in range(1, steps + 1):
            t = i / steps
            a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
            points.append((a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3))
    return points


def _smooth(points: Run, closed: bool) -> list[Command]:
    """Cubics through the points (Catmull and Rom), without the first move."""
    last = len(points) - 1
    commands: list[Command] = []
    for i in range(len(points) if closed else last):
        p1, p2 = points[i], points[(i + 1) % len(points)]
        p0 = points[i - 1] if i or closed else p1
        p3 = points[(i + 2) % len(points)] if i + 2 <= last or closed else p2
        commands.append(
            (
                "C",
                p1[0] + (p2[0] - p0[0]) / 6,
                p1[1] + (p2[1] - p0[1]) / 6,
                p2[0] - (p3[0] - p1[0]) / 6,
                p2[1] - (p3[1] - p1[1]) / 6,
                p2[0],
                p2[1],
            )
        )
    return commands


def region(*runs: Run) -> tuple[Command, ...]:
    """A closed path of smooth runs; corners stay where one run ends and the next begins."""
    return (*line(*runs), ("Z",))


def line(*runs: Run) -> tuple[Command, ...]:
    """An open path of smooth runs, joined by straight lines where they do not meet."""
    commands: list[Command] = []
    at: Point | None = None
    for run in runs:
        if at is None:
            commands.append(("M", *run[0]))
        elif math.dist(at, run[0]) > 1e-9:
            commands.append(("L", *run[0]))
        commands += _smooth(run, closed=False) if len(run) > 2 else [("L", *p) for p in run[1:]]
        at = run[-1]
    return tuple(commands)


def loop(points: Run) -> tuple[Command, ...]:
    """A closed smooth path without corners."""
    return (("M", *points[0]), *_smooth(points, closed=True), ("Z",))


def polygon(points: Run) -> tuple[Command, ...]:
    """A closed path of straight lines."""
    return (("M", *points[0]), *(("L", *p) for p in points[1:]), ("Z",))


def ellipse(x: float, y: float, rx: float, ry: float, turn: float = 0.0) -> tuple[Command, ...]:
    """An ellipse around (x, y), turned by `turn` radians, as four cubics."""
    c, s = math.cos(turn), math.sin(turn)
    ax, ay, bx, by = rx * c, rx * s, -ry * s, ry * c
    kx, ky, lx, ly = _KAPPA * ax, _KAPPA * ay, _KAPPA * bx, _KAPPA * by
    return (
        ("M", x + ax, y + ay),
        ("C", x + ax + lx, y + ay + ly, x + bx + kx, y + by + ky, x + bx, y + by),
        ("C", x + bx - kx, y + by - ky, x - ax + lx, y - ay + ly, x - ax, y - ay),
        ("C", x - ax - lx, y - ay - ly, x - bx - kx, y - by - ky, x - bx, y - by),
        ("C", x - bx + kx, y - by + ky, x + ax - lx, y + ay - ly, x + ax, y + ay),
        ("Z",),
    )


def arc(x: float, y: float, rx: float, ry: float, start: float, end: float, steps: int = 18) -> list[Point]:
    """Points on an ellipse from one angle to another, degrees, anticlockwise from the right."""
    angles = (math.radians(start + (end - start) * i / steps) for i in range(steps + 1))
    return [(x + rx * math.cos(a), y + ry * math.sin(a)) for a in angles]


def mirrored(run: Run) -> list[Point]:
    """The run on the other side of the axis."""
    return [(-x, y) for x, y in run]


def moved(run: Run, dx: float, dy: float) -> list[Point]:
    """The run moved."""
    return [(x + dx, y + dy) for x, y in run]


def back(run: Run) -> list[Point]:
    """The run backwards."""
    return list(reversed(run))


def lengths(run: Run) -> list[float]:
    """Way along the run up to each of its points, as a fraction of the whole."""
    total, ways = 0.0, [0.0]
    for a, b in pairwise(run):
        total += math.dist(a, b)
        ways.append(total)
    return [way / total for way in ways] if total else ways


class Rail:
    """A run that is asked for many places along it: its lengths are added up once."""

    __slots__ = ("points", "ways")

    def __init__(self, run: Run) -> None:
        self.points = run
        self.ways = lengths(run)

    def at(self, fraction: float) -> Point:
        """The point at a fraction of the way."""
        i = bisect_left(self.ways, fraction, 1)
        if i >= len(self.points):
            return self.points[-1]
        (x0, y0), (x1, y1) = self.points[i - 1], self.points[i]
        low, high = self.ways[i - 1], self.ways[i]
        t = 0.0 if high == low else max(0.0, (fraction - low) / (high - low))
        return x0 + (x1 - x0) * t, y0 + (y1 - y0) * t


def at(run: Run, fraction: float) -> Point:
    """The point at a fraction of the way along the run."""
    return Rail(run).at(fraction)


def offset(run: Run, by: Callable[[float], float]) -> list[Point]:
    """The run shifted to its right-hand side by a distance that depends on the fraction of the way."""
    shifted = []
    for i, ((x, y), way) in enumerate(zip(run, lengths(run), strict=True)):
        (x0, y0), (x1, y1) = run[max(0, i - 1)], run[min(len(run) - 1, i + 1)]
        length = math.hypot(x1 - x0, y1 - y0) or 1.0
        distance = by(way)
        shifted.append((x + (y1 - y0) / length * distance, y - (x1 - x0) / length * distance))
    return shifted


def wavy(run: Run, height: float, waves: float, phase: float = 0.0) -> list[Point]:
    """The run with waves across it."""
    rail = Rail(run)
    dense = [rail.at(i / 60) for i in range(61)]
    return offset(dense, lambda way: height * math.sin(2 * math.pi * (waves * way + phase)))


def scatter(count: int, seed: int = 0) -> list[Point]:
    """Points spread evenly over the unit square, always the same for the same seed (golden ratio steps)."""
    return [
        ((0.5 + i * 0.7548776662 + seed * 0.37) % 1.0, (0.5 + i * 0.5698402910) % 1.0) for i in range(count)
    ]


def wobble(i: int, seed: int = 0) -> float:
    """A number from -1 to 1 that looks thrown but never changes."""
    return 2 * (((i * 7 + seed * 13 + 3) * _GOLDEN) % 1.0) - 1


def blot(x: float, y: float, rx: float, ry: float, seed: int, rough: float = 0.22) -> tuple[Command, ...]:
    """An irregular rounded patch."""
    return loop(
        [
            (
                x + rx * (1 + rough * wobble(i, seed)) * math.cos(math.tau * i / 9),
                y + ry * (1 + rough * wobble(i + 4, seed)) * math.sin(math.tau * i / 9),
            )
            for i in range(9)
        ]
    )


def joined(paths: Iterable[tuple[Command, ...]]) -> tuple[Command, ...]:
    """Several paths as one."""
    return tuple(command for path in paths for command in path)
