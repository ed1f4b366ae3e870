"""Lays marks and their labels out over a copy of a picture, with the margins that labels need."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.presenting.canvas.sketch import (
    Ground,
    Sketch,
    TextSize,
    labels_for,
    offsets,
    sketch,
    strokes_as_boxes,
)

Captions = Mapping[str, tuple[str, ...]]


AS_ON_SCREEN = 900
"""Lines and letters are as large, against the picture, as on a screen where its longer side takes so many pixels:
printed across a page (180 mm) the letters are 7.6 points high."""


@dataclass(frozen=True, slots=True)
class Arranged:
    """Marks laid out over a picture of `width` x `height` pixels, with the margins that labels needed."""

    sketch: Sketch
    unit: float
    width: int
    height: int
    left: int = 0
    top: int = 0
    right: int = 0
    bottom: int = 0

    @property
    def size(self) -> tuple[int, int]:
        """With the margins."""
        return self.left + self.width + self.right, self.top + self.height + self.bottom


def carried(marks: Sequence[Mark]) -> list[Mark]:
    """The marks that belong on a copy; cut-outs are about the plate."""
    return [mark for mark in marks if mark.kind is not MarkKind.CROP]


def arranged(
    width: int,
    height: int,
    scale: float,
    marks: Sequence[Mark],
    captions: Captions,
    text_sizes: Callable[[float], TextSize],
) -> Arranged:
    """Lay out every mark with its label. `scale` is pixels of the copy a picture pixel.

    `text_sizes(unit)` measures words on a surface where a screen pixel is `unit` pixels large.

    The copy grows a white margin where a label found no room on the picture.
    """
    unit = max(1.0, max(width, height) / AS_ON_SCREEN)
    ground = Ground(scale, unit=unit)
    sizes = text_sizes(unit)
    shown = carried(marks)
    labels = labels_for(shown, captions, ground, sizes)
    pad = 4.0 * unit
    places = offsets(labels, (pad, pad, width - pad, height - pad), strokes_as_boxes(shown, ground), unit)
    found = sketch(shown, captions, ground, places=places, text_size=sizes)
    boxes = [note.box for note in found.notes]
    left = _over(-min((box[0] for box in boxes), default=0.0) + pad, pad)
    top = _over(-min((box[1] for box in boxes), default=0.0) + pad, pad)
    right = _over(max((box[2] for box in boxes), default=0.0) - width + pad, pad)
    bottom = _over(max((box[3] for box in boxes), default=0.0) - height + pad, pad)
    if left or top:
        moved = replace(ground, dx=float(left), dy=float(top))
        found = sketch(shown, captions, moved, places=places, text_size=sizes)
    return Arranged(found, unit, width, height, left, top, right, bottom)


def _over(by: float, pad: float) -> int:
    return round(by) if by > pad else 0
