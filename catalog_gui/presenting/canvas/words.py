"""Says what stands beside marks and in the side column of the canvas: labels, figures, sentences."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.annotation.measure import (
    NO_SCALE,
    Bounds,
    Measurement,
    Scale,
    measure,
    measures,
    ratio,
    scale_of,
)
from catalog_gui.annotation.quantity import Quantity
from catalog_gui.domain.feature import Vocabulary
from catalog_gui.domain.lengths import shown_size
from catalog_gui.domain.problem import BadInput
from catalog_gui.presenting.canvas.look import NAMES

FIGURES = {MarkKind.LINE, MarkKind.POLYLINE, MarkKind.ANGLE}
"""Marks that exist to be measured: their figure stands beside them on the picture."""


@dataclass(frozen=True, slots=True)
class Readings:
    """What the marks of one picture measure. `trouble` says why the scale cannot be used, else ''.

    `units` is the preference for lengths: figures are shown in it.
    """

    scale: Scale | None
    found: dict[str, Measurement]
    first_line: str = ""  # id of the line that the others are compared with while there is no scale
    trouble: str = ""
    units: str = ""

    def said(self, found: Measurement) -> str:
        """A measurement as printed; in pixels while there is no scale."""
        return (found.real.shown_in(self.units) if found.real is not None else found.pixels).text()

    def length(self, millimetres: float) -> str:
        """A length that is known, such as that of a scale: '50 mm' or '5 cm'."""
        return shown_size(millimetres, None, "mm", self.units)

    def figure(self, mark_id: str) -> str:
        """The figure of one mark as printed; a ratio while there is no scale; '' where there is neither."""
        mine = self.found.get(mark_id)
        if mine is None:
            return ""
        if mine.real is not None:
            return self.said(mine)
        reference = self.found.get(self.first_line)
        if reference is None or mine.what != "length" or mark_id == self.first_line:
            return ""
        return ratio(mine, reference).text()


def read_marks(marks: Sequence[Mark], units: str = "") -> Readings:
    """Scale and measurements of one picture; a broken mark measures nothing and stops nobody."""
    trouble, scale = "", None
    try:
        scale = scale_of(marks)
    except BadInput as problem:
        trouble = problem.reason
    found: dict[str, Measurement] = {}
    for mark in marks:
        if measures(mark.kind):
            try:
                found[mark.id] = measure(mark, scale)
            except BadInput:
                continue
    lines = [m.mark.id for m in found.values() if m.what == "length" and m.mark.kind is not MarkKind.FREE]
    return Readings(scale, found, lines[0] if lines and scale is None else "", trouble, units)


def title_of(mark: Mark, vocabulary: Vocabulary) -> str:
    """The words of a mark: its label, else the state or feature it shows, else ''."""
    if mark.label:
        return mark.label
    feature = vocabulary.feature(mark.feature) if mark.feature else None
    if feature is None:
        return ""
    state = vocabulary.state(mark.feature, mark.state) if mark.state else None
    return state.name if state is not None else feature.name


def caption_of(mark: Mark, readings: Readings, vocabulary: Vocabulary) -> tuple[str, ...]:
    """The lines of the label on the picture; none for a mark without words or figure."""
    title = title_of(mark, vocabulary)
    if mark.kind is MarkKind.SCALE and mark.length_mm is not None:
        figure = readings.length(mark.length_mm)
        return (f"{title}, {figure}",) if title and figure not in title else (title or f"scale {figure}",)
    if mark.kind is MarkKind.CROP:
        return (f"cut-out: {mark.part}" if mark.part else title or "cut-out",)
    if mark.kind not in FIGURES:
        return (title,) if title else ()
    figure = readings.figure(mark.id)
    if readings.scale is None and mark.kind is not MarkKind.ANGLE:
        title = title or ("line 1" if mark.id == readings.first_line else "")
        figure = f"{figure} × line 1" if figure else ""
    return tuple(line for line in (title, figure) if line)


def row_words(mark: Mark, readings: Readings, vocabulary: Vocabulary) -> str:
    """One mark in the list beside the picture."""
    title = title_of(mark, vocabulary)
    if mark.kind is MarkKind.SCALE and mark.length_mm is not None:
        title = f"{title} {readings.length(mark.length_mm)}".strip()
    if mark.kind is MarkKind.CROP:
        title = mark.part
    words = f"{NAMES[mark.kind]}: {title}" if title else NAMES[mark.kind]
    figure = readings.figure(mark.id)
    if readings.scale is None and figure and mark.kind is not MarkKind.ANGLE:
        figure = f"{figure} × line 1"
    return f"{words}   {figure}" if figure else words


def scale_sentences(readings: Readings, tilt_deg: float) -> tuple[str, ...]:
    """What is known of the scale, and how far tilt may falsify what it measures."""
    if readings.trouble:
        return (readings.trouble,)
    if readings.scale is None:
        return (NO_SCALE,)
    per_mm = readings.scale.mm_per_px
    told = Quantity(1 / per_mm.value, per_mm.u / per_mm.value**2, "px per mm").text()
    sentences = [f"Scale: {told}."]
    if readings.scale.doubt:
        sentences.append(readings.scale.doubt)
    sentences.append(Bounds(tilt_deg=tilt_deg).text())
    return tuple(sentences)


_TILT = re.compile(r"tilt up to (\d+(?:\.\d+)?)°")


def tilt_of(marks: Iterable[Mark]) -> float:
    """The bound of the tilt in degrees as the scales of a picture state it, 0 where none does."""
    notes = (mark.note for mark in marks if mark.kind is MarkKind.SCALE)
    return max((float(found[1]) for note in notes if (found := _TILT.search(note))), default=0.0)


def with_tilt(note: str, degrees: float) -> str:
    """The note of a scale with this bound in it; other words in it stay."""
    rest = " ".join(_TILT.sub("", note).split())
    return f"{rest} tilt up to {degrees:g}°".strip() if degrees else rest


def ratios(readings: Readings, chosen: Iterable[str]) -> tuple[str, ...]:
    """Every chosen measure against the first chosen one: 'length 1 to 2: 1.52 ± 0.02'."""
    picked = [readings.found[one] for one in chosen if one in readings.found]
    told = []
    for number, other in enumerate(picked[1:], 2):
        if other.what == picked[0].what and other.what != "angle":
            told.append(f"{other.what.capitalize()} 1 : {number} = {ratio(picked[0], other).text()}")
    return tuple(told)
