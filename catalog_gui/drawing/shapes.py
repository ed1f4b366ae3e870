"""Vector shapes of a drawing: what a painter, a page or a file needs to know, and nothing else."""

from __future__ import annotations

from dataclasses import dataclass

from catalog_gui.domain.plane import Box, Point

# ('M', x, y) move, ('L', x, y) line, ('C', x1, y1, x2, y2, x, y) cubic, ('Z',) close
Command = tuple[str | float, ...]

SOLID = "solid"
DASHED = "dashed"
DOTTED = "dotted"


@dataclass(frozen=True, slots=True)
class Shape:
    """One path. Lengths in millimetres of the fruit body, x right, y down.

    `fill` and `stroke` are '#rrggbb' or '' for none; `line` is solid, dashed (not looked at) or dotted
    (damaged or gone); `part` and `feature` say what it shows; `clip` is a path that bounds it.
    """

    commands: tuple[Command, ...]
    fill: str = ""
    stroke: str = ""
    width: float = 0.0
    line: str = SOLID
    opacity: float = 1.0
    part: str = ""
    feature: str = ""
    clip: tuple[Command, ...] = ()


@dataclass(frozen=True, slots=True)
class ScaleBar:
    """A bar of `length_mm` from (x, y) to the right, with its text."""

    x: float
    y: float
    length_mm: float
    text: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """Shapes in painting order with the box around them, bar included.

    `bar` is None when no size was recorded; `note` then says that the drawing is not to scale. `unit` is the
    thickness of a fine line in millimetres of the fruit body: what text and bars are sized by.
    """

    shapes: tuple[Shape, ...]
    box: Box
    unit: float
    bar: ScaleBar | None = None
    note: str = ""

    @property
    def width(self) -> float:
        """Width of the box, mm."""
        return self.box[2] - self.box[0]

    @property
    def height(self) -> float:
        """Height of the box, mm."""
        return self.box[3] - self.box[1]


def points_of(commands: tuple[Command, ...]) -> list[Point]:
    """All points of a path, those that steer its curves included: the path lies within their hull."""
    found: list[Point] = []
    for command in commands:
        numbers = [float(n) for n in command[1:]]
        found.extend(zip(numbers[::2], numbers[1::2], strict=True))
    return found


def _extent(commands: tuple[Command, ...]) -> Box | None:
    """The box around the points of one path, None for an empty one."""
    xs: list[float] = []
    ys: list[float] = []
    for command in commands:
        xs += command[1::2]  # type: ignore[arg-type]
        ys += command[2::2]  # type: ignore[arg-type]
    return (min(xs), min(ys), max(xs), max(ys)) if xs else None


def box_around(shapes: tuple[Shape, ...]) -> Box:
    """The box around shapes; a clipped shape counts with what its own box and its clip's have in common."""
    clips = {shape.clip: _extent(shape.clip) for shape in shapes}
    left = top = float("inf")
    right = bottom = float("-inf")
    for shape in shapes:
        own, clip = _extent(shape.commands), clips[shape.clip]
        if own is None:
            continue
        x0, y0, x1, y1 = own
        if clip is not None:
            x0, y0, x1, y1 = max(x0, clip[0]), max(y0, clip[1]), min(x1, clip[2]), min(y1, clip[3])
        left, top = min(left, x0), min(top, y0)
        right, bottom = max(right, x1), max(bottom, y1)
    return (left, top, right, bottom) if left < right else (0.0, 0.0, 1.0, 1.0)
