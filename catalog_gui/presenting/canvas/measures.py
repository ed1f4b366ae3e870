"""Decides which measures are handed over as evidence, for which feature, and as which figures."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.annotation.measure import Measurement, measure, range_over
from catalog_gui.annotation.quantity import places_for
from catalog_gui.domain.feature import Feature, Vocabulary
from catalog_gui.domain.problem import BadInput
from catalog_gui.presenting.canvas.look import NAMES
from catalog_gui.presenting.canvas.words import Readings, ratios, title_of

LENGTH_UNITS = frozenset({"mm", "cm", "µm"})


@dataclass(frozen=True, slots=True)
class Noted:
    """A measured range as it is kept, and as it is said."""

    low: float
    high: float
    unit: str
    text: str


def lengths_to_note(readings: Readings, chosen: Collection[str]) -> list[Measurement]:
    """The lengths among the chosen marks; where none is chosen, the last one measured."""
    lengths = [
        found
        for found in readings.found.values()
        if found.what == "length" and found.mark.kind is not MarkKind.FREE
    ]
    return [one for one in lengths if one.mark.id in chosen] or lengths[-1:]


def feature_measured(
    lengths: Iterable[Measurement], feature_id: str, vocabulary: Vocabulary
) -> Feature | None:
    """The feature that lengths belong to: what a mark is tied to, else `feature_id`; None where no length fits."""
    tied = next((one.mark.feature for one in lengths if one.mark.feature), "") or feature_id
    feature = vocabulary.feature(tied) if tied else None
    fits = feature is not None and feature.kind == "number" and feature.unit in LENGTH_UNITS
    return feature if fits else None


def noted_range(lengths: Sequence[Measurement]) -> Noted:
    """The range over some lengths, rounded to what their uncertainty (k = 2) leaves sure."""
    found = range_over(list(lengths))
    places = places_for(2 * found.u, 1) if found.u > 0 else 2
    return Noted(round(found.low, places), round(found.high, places), found.unit, found.text())


def figures_of(
    marks: Mapping[str, Mark], readings: Readings, chosen: Sequence[str], vocabulary: Vocabulary
) -> list[str]:
    """A line for each chosen mark that measures something; one mark alone is also said in pixels."""
    told = []
    for mark_id in chosen:
        mark, found = marks.get(mark_id), readings.found.get(mark_id)
        if mark is not None and found is not None and (found.real is not None or len(chosen) == 1):
            told.append(f"{title_of(mark, vocabulary) or NAMES[mark.kind]}: {readings.said(found)}")
    if len(chosen) > 1:
        told.extend(ratios(readings, chosen))
    return told


def draft_words(mark: Mark, readings: Readings) -> tuple[str, ...]:
    """The figure beside a line while it is drawn; none beside what is no line."""
    if mark.kind not in {MarkKind.LINE, MarkKind.POLYLINE, MarkKind.ANGLE}:
        return ()
    try:
        return (readings.said(measure(mark, readings.scale)),)
    except BadInput:
        return ()
