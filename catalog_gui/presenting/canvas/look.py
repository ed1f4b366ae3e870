"""Lists what the canvas draws with: tools, their keys, and colours that hold on any ground.

Colours: Okabe & Ito 2008, "Color Universal Design"; reprinted by Wong 2011, Nature Methods 8:441. They stay
apart under the three common kinds of colour blindness; nothing is told by colour alone. Every line has a
black contour and a white one around it, so that on whatever ground one of the two stands out at 4.5 to 1 or
better (the square root of 21, WCAG 2.2 contrast of black and white).
"""

from __future__ import annotations

from dataclasses import dataclass

from catalog_gui.annotation.marks import MarkKind

BLACK = "#000000"
ORANGE = "#e69f00"
SKY_BLUE = "#56b4e9"
GREEN = "#009e73"
YELLOW = "#f0e442"
BLUE = "#0072b2"
VERMILLION = "#d55e00"
PURPLE = "#cc79a7"

CONTOUR = "#000000"
OUTER_CONTOUR = "#ffffff"
NOTE_PAPER = "#fffdf4"
NOTE_INK = "#161611"

LINE_PX = 2.2
"""Width of a mark's line, in pixels of the screen (1/96 inch on paper)."""
NOTE_PX = 13.5
"""Height of label letters, in the same pixels."""

COLOURS: dict[MarkKind, str] = {
    MarkKind.POINTER: ORANGE,
    MarkKind.ELLIPSE: SKY_BLUE,
    MarkKind.POLYGON: SKY_BLUE,
    MarkKind.FREE: SKY_BLUE,
    MarkKind.LINE: YELLOW,
    MarkKind.POLYLINE: YELLOW,
    MarkKind.ANGLE: YELLOW,
    MarkKind.SCALE: GREEN,
    MarkKind.COLOUR: PURPLE,
    MarkKind.CROP: BLUE,
    MarkKind.BODY: VERMILLION,
}


@dataclass(frozen=True, slots=True)
class Tool:
    """One tool. `key` is its letter; `kind` what it draws, None for moving; `how` says what to do."""

    id: str
    key: str
    name: str
    kind: MarkKind | None
    how: str


MOVE = Tool(
    "move",
    "M",
    "Move",
    None,
    "Click a mark to choose it, drag it or its points. Arrows move it, Return words it, Delete removes it.",
)

TOOLS: tuple[Tool, ...] = (
    MOVE,
    Tool(
        "pointer",
        "P",
        "Pointer",
        MarkKind.POINTER,
        "Click what you mean, or drag from it to where the label goes.",
    ),
    Tool(
        "oval",
        "O",
        "Oval",
        MarkKind.ELLIPSE,
        "Drag from corner to corner of the box around it; Shift makes a circle.",
    ),
    Tool(
        "corners",
        "K",
        "Corners",
        MarkKind.POLYGON,
        "Click corner after corner. Click the first one again, or press Escape, to close.",
    ),
    Tool("freehand", "F", "Freehand", MarkKind.FREE, "Hold the button down and draw."),
    Tool("line", "L", "Line", MarkKind.LINE, "Drag from end to end. Shift keeps it straight or aslant."),
    Tool(
        "bent",
        "B",
        "Bent line",
        MarkKind.POLYLINE,
        "Click point after point along it. Double click, or press Escape, to end.",
    ),
    Tool("angle", "A", "Angle", MarkKind.ANGLE, "Click one arm, the corner, the other arm."),
    Tool(
        "scale",
        "S",
        "Scale",
        MarkKind.SCALE,
        "Drag over something of known length: a ruler, a coin, a card. Then say how long it is.",
    ),
    Tool(
        "colour",
        "C",
        "Colour spot",
        MarkKind.COLOUR,
        "Click a spot or drag over an even patch to take its colour.",
    ),
    Tool(
        "card",
        "G",
        "Grey card",
        MarkKind.COLOUR,
        "Drag over the grey card. Colour spots on this picture are then corrected by it.",
    ),
    Tool(
        "cutout",
        "X",
        "Cut-out",
        MarkKind.CROP,
        "Drag over the piece that the plate shall show for this part.",
    ),
    Tool(
        "body",
        "Y",
        "Fruit body",
        MarkKind.BODY,
        "Drag a box around one fruit body and give it a name.",
    ),
)
BY_ID = {tool.id: tool for tool in TOOLS}
BY_KEY = {tool.key: tool for tool in TOOLS}
NAMES: dict[MarkKind, str] = {
    MarkKind.POINTER: "pointer",
    MarkKind.ELLIPSE: "oval",
    MarkKind.POLYGON: "corners",
    MarkKind.FREE: "freehand",
    MarkKind.LINE: "line",
    MarkKind.POLYLINE: "bent line",
    MarkKind.ANGLE: "angle",
    MarkKind.SCALE: "scale",
    MarkKind.COLOUR: "colour spot",
    MarkKind.CROP: "cut-out",
    MarkKind.BODY: "fruit body",
}
TWO_CORNERS = {MarkKind.ELLIPSE, MarkKind.CROP, MarkKind.BODY}
