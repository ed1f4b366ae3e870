"""The sheet that parts are drawn on: colours, line weights, and how each standing looks."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import replace

from catalog_gui.domain.evidence import Standing
from catalog_gui.domain.plane import Box
from catalog_gui.drawing.looks import NOT_LOOKED_AT, Features, Look
from catalog_gui.drawing.shapes import DASHED, DOTTED, SOLID, Command, Drawing, ScaleBar, Shape, box_around

INK = "#3b3128"
GHOST = "#8b8478"
PAPER = "#f3efe6"
WHITE = "#fdfcf8"

_LEAST_MM, _MOST_MM = 0.01, 100_000.0  # beyond either nothing grows (our estimate)

Colours = Callable[[str, str], str]
Path = tuple[Command, ...]


def _channels(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def mix(first: str, second: str, share: float) -> str:
    """So much of the second colour in the first."""
    pairs = zip(_channels(first), _channels(second), strict=True)
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in pairs)


def darker(colour: str, share: float = 0.25) -> str:
    """The colour with shade in it."""
    return mix(colour, "#2a1f16", share)


def lighter(colour: str, share: float = 0.35) -> str:
    """The colour with light in it."""
    return mix(colour, "#fffdf6", share)


def outline_of(fill: str) -> str:
    """The colour of the line around a fill."""
    return mix(darker(fill, 0.62), INK, 0.45)


def brightness(colour: str) -> float:
    """Rough lightness, 0 to 1."""
    r, g, b = _channels(colour)
    return (0.3 * r + 0.59 * g + 0.11 * b) / 255


class Sheet:
    """Collects shapes. Coordinates go up here and are turned over by `finish`.

    `unit` is the thickness of a fine line, mm; `features` and `colours` are what there is to draw from.
    """

    def __init__(self, unit: float, features: Features, colours: Colours) -> None:
        self.unit = unit
        self.features = features
        self._colours = colours
        self.shapes: list[Shape] = []

    # -- reading features ----------------------------------------------------------------------------------

    def look(self, feature: str) -> Look:
        """How a feature stands; not looked at when nothing is known of it."""
        return self.features.get(feature, NOT_LOOKED_AT)

    def state(self, feature: str, *known: str) -> str:
        """The first seen state that is among `known` (or any, without), else ''."""
        look = self.look(feature)
        if look.standing is not Standing.SEEN:
            return ""
        return next((s for s in look.states if not known or s in known), "")

    def states(self, feature: str) -> tuple[str, ...]:
        """All seen states."""
        look = self.look(feature)
        return look.states if look.standing is Standing.SEEN else ()

    def seen(self, feature: str) -> bool:
        """Whether the feature was seen."""
        return self.look(feature).standing is Standing.SEEN

    def missing(self, feature: str) -> bool:
        """Whether it was looked for and not there."""
        return self.look(feature).standing is Standing.NOT_THERE

    def gone(self, feature: str) -> bool:
        """Whether it was damaged or gone."""
        return self.look(feature).standing is Standing.GONE

    def unlooked(self, feature: str) -> bool:
        """Whether nobody looked."""
        return self.look(feature).standing is Standing.NOT_LOOKED_AT

    def size(self, feature: str) -> float | None:
        """The middle of a seen size (mm), None otherwise or when nothing that grows has such a length."""
        look = self.look(feature)
        value = look.middle if look.standing is Standing.SEEN else None
        return value if value is not None and _LEAST_MM <= value <= _MOST_MM else None

    def palette(self, feature: str) -> list[str]:
        """Colours of the seen states, most weighty first; empty when none was seen."""
        return [c for c in (self._colours(feature, s) for s in self.states(feature)) if c]

    def colour(self, feature: str, otherwise: str = PAPER) -> str:
        """Main colour of a feature."""
        return next(iter(self.palette(feature)), otherwise)

    def line(self, *features: str) -> str:
        """How to draw an outline that depends on these features: solid, dotted if gone, dashed if unknown."""
        if any(self.seen(f) for f in features):
            return SOLID
        if any(self.gone(f) for f in features):
            return DOTTED
        return DASHED

    # -- drawing -------------------------------------------------------------------------------------------

    def fill(
        self, path: Path, colour: str, part: str, feature: str = "", *, clip: Path = (), opacity: float = 1.0
    ) -> None:
        """A fill without a line; nothing for an empty path."""
        if not path:
            return
        self.shapes.append(Shape(path, colour, "", 0.0, SOLID, opacity, part, feature, clip))

    def stroke(
        self,
        path: Path,
        colour: str,
        part: str,
        feature: str = "",
        *,
        weight: float = 1.0,
        line: str = SOLID,
        clip: Path = (),
        opacity: float = 1.0,
    ) -> None:
        """A line; `weight` in units."""
        chosen = colour if line == SOLID else GHOST
        self.shapes.append(Shape(path, "", chosen, weight * self.unit, line, opacity, part, feature, clip))

    def ghost(self, path: Path, part: str, feature: str, *, gone: bool = False, clip: Path = ()) -> None:
        """What nobody looked at (dashed) or what is damaged or gone (dotted)."""
        self.stroke(path, GHOST, part, feature, weight=1.1, line=DOTTED if gone else DASHED, clip=clip)

    def shade(
        self, path: Path, colour: str, part: str, clip: Path, opacity: float = 0.12, feature: str = ""
    ) -> None:
        """A soft layer of colour inside a clip."""
        self.fill(path, colour, part, feature, clip=clip, opacity=opacity)

    def strokes(
        self,
        paths: Iterable[Path],
        colour: str,
        part: str,
        feature: str = "",
        *,
        weight: float = 0.6,
        clip: Path = (),
        opacity: float = 1.0,
    ) -> None:
        """Many fine lines as one shape."""
        commands = tuple(command for path in paths for command in path)
        if commands:
            self.stroke(commands, colour, part, feature, weight=weight, clip=clip, opacity=opacity)

    def shift(self, start: int, across: float, clip: Path) -> None:
        """Move the shapes from number `start` on to the right and bound them anew."""
        for i, shape in enumerate(self.shapes[start:], start):
            moved = _placed(shape.commands, lambda x, y: (x + across, y))
            self.shapes[i] = replace(shape, commands=moved, clip=clip)

    def add(self, drawing: Drawing, *, lean: float, share: float) -> None:
        """Put a finished drawing on the sheet again: smaller, and leaning over from its base (radians)."""
        cos, sin = math.cos(lean) * share, math.sin(lean) * share

        def place(x: float, y: float) -> tuple[float, float]:
            return x * cos - y * sin, -x * sin - y * cos

        self.shapes += [
            replace(s, commands=_placed(s.commands, place), clip=_placed(s.clip, place))
            for s in drawing.shapes
        ]

    def finish(self, *, to_scale: bool, margin: float = 0.04, bar: bool = True, note: str = "") -> Drawing:
        """The drawing, turned over so that y goes down."""
        shapes = tuple(replace(s, commands=_turned(s.commands), clip=_turned(s.clip)) for s in self.shapes)
        left, top, right, bottom = box_around(shapes)
        space = margin * max(right - left, bottom - top)
        box: Box = (left - space, top - space, right + space, bottom + space)
        if not bar:
            return Drawing(shapes, box, self.unit, None, note)
        if not to_scale:
            return Drawing(shapes, box, self.unit, None, note or "No size recorded: not to scale.")
        length = _bar_length((right - left) * 0.42)
        y = bottom + space + 5 * self.unit
        words = f"{length / 10:g} cm" if length >= 10 else f"{length:g} mm"
        start = (left + right) / 2 - length / 2
        return Drawing(
            shapes,
            (box[0], box[1], box[2], y + 7 * self.unit + space),
            self.unit,
            ScaleBar(start, y, length, words),
            note,
        )


def _placed(commands: Path, place: Callable[[float, float], tuple[float, float]]) -> Path:
    """The path with every point moved."""
    moved: list[Command] = []
    for command in commands:
        numbers = [float(n) for n in command[1:]]
        pairs = (place(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=True))
        moved.append((command[0], *(n for pair in pairs for n in pair)))
    return tuple(moved)


def _turned(commands: Path) -> Path:
    """The path upside down. Written out, because a drawing has tens of thousands of numbers."""
    turned: list[Command] = []
    for command in commands:
        match command:
            case (name, x1, y1, x2, y2, x, y):
                turned.append((name, x1, -float(y1), x2, -float(y2), x, -float(y)))
            case (name, x, y):
                turned.append((name, x, -float(y)))
            case _:
                turned.append(command)
    return tuple(turned)


def _bar_length(longest: float) -> float:
    """The longest of 1, 2, 5 times a power of ten that fits."""
    power = 10.0 ** math.floor(math.log10(longest))
    return max((step * power for step in (1, 2, 5) if step * power <= longest), default=power)
