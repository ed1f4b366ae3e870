"""Papers as data: blocks that flow down pages. What is printed and how it looks is decided elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from catalog_gui.domain.photo import Raster

A4_MM = (210.0, 297.0)
"""ISO 216."""
LETTER_MM = (215.9, 279.4)
"""ANSI/ASME Y14.1 size A."""


class Weight(StrEnum):
    """How loudly a piece of text speaks."""

    TITLE = "title"
    HEADING = "heading"
    PLAIN = "plain"
    SMALL = "small"
    FINE = "fine"  # as small as can still be read
    TAXON = "taxon"  # italics
    CAUTION = "caution"  # boxed, never left out, never split from its page


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph."""

    words: str
    weight: Weight = Weight.PLAIN


@dataclass(frozen=True, slots=True)
class Gap:
    """Air, in mm."""

    mm: float


@dataclass(frozen=True, slots=True)
class TableBlock:
    """Rows of cells; `widths` are shares of the page. `emphasis` and `taxa` are columns set in bold, in italics;

    `taxa_heads` are heads in italics. `strong` are words to set in bold: (row, column, words). `drawings`
    stand before the words of a cell: (row, column, drawing). `halves`: set in two columns of the page, one
    half of the rows beside the other.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    emphasis: tuple[int, ...] = ()
    taxa: tuple[int, ...] = ()
    taxa_heads: tuple[int, ...] = ()
    strong: tuple[tuple[int, int, str], ...] = ()
    drawings: tuple[tuple[int, int, object], ...] = ()
    halves: bool = False


@dataclass(frozen=True, slots=True)
class Overlay:
    """A mark over a picture: a polyline or polygon in fractions of the shown piece, and its label."""

    points: tuple[tuple[float, float], ...]
    closed: bool = False
    ellipse: bool = False
    arrow: bool = False
    label: str = ""


@dataclass(frozen=True, slots=True)
class PictureBlock:
    """One picture of a row: upright pixels, what stands under it, the marks over it.

    `mm_per_width` is the real width of what is shown, where a scale is known: a bar is then drawn.
    """

    raster: Raster
    caption: str = ""
    overlays: tuple[Overlay, ...] = ()
    mm_per_width: float | None = None


@dataclass(frozen=True, slots=True)
class PictureRow:
    """Pictures side by side, all of the height `mm`. A None is an empty panel with its words."""

    pictures: tuple[PictureBlock | str, ...]
    mm: float


@dataclass(frozen=True, slots=True)
class DrawingBlock:
    """A drawing made by the room `drawing`, opaque here, beside its words; `mm` high."""

    drawing: object
    words: str = ""
    mm: float = 60.0


@dataclass(frozen=True, slots=True)
class DrawingRow:
    """Columns side by side: (picture, drawing or None; a name in italics; words below it), `mm` high."""

    columns: tuple[tuple[object, str, str], ...]
    mm: float = 50.0


@dataclass(frozen=True, slots=True)
class PrintedHazard:
    """One line about danger behind its signal word: `head` in bold, then the `words`.

    `severity`: fatal, serious or unpleasant, a code that no reader sees.
    """

    severity: str
    head: str
    words: str


@dataclass(frozen=True, slots=True)
class HazardBlock:
    """Lines about danger in one frame, each behind its signal word; `title` stands above them.

    `points` is the size of the type.
    """

    title: str
    rows: tuple[PrintedHazard, ...]
    points: float = 9.0


@dataclass(frozen=True, slots=True)
class BlankLines:
    """Lines to write on, each behind its label, `mm` apart; labels in one row share its width."""

    rows: tuple[tuple[str, ...], ...]
    mm: float = 8.0


@dataclass(frozen=True, slots=True)
class Beside:
    """Blocks beside blocks, on one page; `share` of the width goes to the left ones."""

    left: tuple[Block, ...]
    right: tuple[Block, ...]
    share: float = 0.5


@dataclass(frozen=True, slots=True)
class PlanBlock:
    """A plan to scale, north up. `squares` are (west, south, side, words) and `points` (east, north, words),

    all in metres from one corner of the plan's own; `mm` high.
    """

    squares: tuple[tuple[float, float, float, str], ...] = ()
    points: tuple[tuple[float, float, str], ...] = ()
    mm: float = 80.0


@dataclass(frozen=True, slots=True)
class PageBreak:
    """What follows begins on a new page."""


@dataclass(frozen=True, slots=True)
class PlacedText:
    """Words in a box on the page, in mm from its upper left corner; too many words are set smaller.

    `points` is the type size to begin with; `bold_lines` first lines are bold; `taxon_line` is the line set
    in italics, -1 for none. `turned` sets it upside down, for what is folded over.
    """

    words: str
    left: float
    top: float
    width: float
    height: float
    points: float = 8.0
    bold_lines: int = 0
    taxon_line: int = -1
    centred: bool = False
    turned: bool = False


@dataclass(frozen=True, slots=True)
class PlacedLine:
    """A line in mm; dashed where one folds."""

    start: tuple[float, float]
    end: tuple[float, float]
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class PlacedCode:
    """A square of dark and light modules (QR): `rows` of '1' and '0', quiet zone included."""

    rows: tuple[str, ...]
    left: float
    top: float
    side: float


Placed = PlacedText | PlacedLine | PlacedCode


@dataclass(frozen=True, slots=True)
class PlacedPage:
    """A page on which everything has its place: labels, slips, a packet to fold."""

    items: tuple[Placed, ...]
    foot: bool = False


Block = (
    Text
    | Beside
    | BlankLines
    | Gap
    | TableBlock
    | PictureRow
    | DrawingBlock
    | DrawingRow
    | HazardBlock
    | PlanBlock
    | PageBreak
    | PlacedPage
)


@dataclass(frozen=True, slots=True)
class Paper:
    """A whole paper. `foot` stands at the foot of each page with the page number.

    `most_sides`: it is set smaller, down to `smallest` of its size, rather than on more; 0 for as many as it takes.
    """

    title: str
    blocks: tuple[Block, ...]
    size_mm: tuple[float, float] = A4_MM
    foot: str = ""
    language: str = "en-GB"
    most_sides: int = 0
    smallest: float = 0.85
