"""The rows of the table, part by part: which lines to show and in what order."""

from __future__ import annotations

from dataclasses import dataclass

from catalog_gui.domain.evidence import Standing
from catalog_gui.domain.feature import Part
from catalog_gui.presenting.compare.state import Comparison, Line


@dataclass(frozen=True, slots=True)
class PartRow:
    """The heading of a part; `pictures` where there is something to look at."""

    part: Part
    pictures: bool


Row = PartRow | Line


def rows_of(comparison: Comparison, only: str, *, parting_first: bool, drawn: tuple[Part, ...]) -> list[Row]:
    """The rows to show: `only` is 'all', 'recorded' (what she looked at) or 'separates' (what parts the taxa).

    With `parting_first` the features that part the shown taxa stand first within each part.
    """
    lines = [
        line
        for line in comparison.lines
        if only == "all"
        or (only == "recorded" and line.standing is not Standing.NOT_LOOKED_AT)
        or (only == "separates" and line.separates)
    ]
    rows: list[Row] = []
    for part in Part:
        here = [line for line in lines if line.feature.part is part]
        pictured = (
            part in comparison.crops
            or (part in drawn and bool(comparison.taxa))
            or any(part in find.crops for finds in comparison.earlier.values() for find in finds)
        )
        if not here and not (part is Part.WHOLE and pictured):
            continue
        if parting_first:
            here.sort(key=lambda line: (not line.separates, line.alike))
        rows.append(PartRow(part, pictured))
        rows.extend(here)
    return rows
