"""The rows of the table: which lines to show, in what order, and under which headings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from catalog_gui.domain.evidence import Standing
from catalog_gui.domain.feature import Part
from catalog_gui.presenting.compare.state import Comparison, Line
from catalog_gui.presenting.part_titles import FULL_TITLES

PARTS_THEM, MAY_PART_THEM, READS_ALIKE = "Parts these taxa", "Parts some finds of them", "Reads alike"
"""The headings while what parts the taxa stands first."""
LOOK_AT = "Look at these"
"""The first heading of the teaching view, whose rows are not all such as part the taxa."""


@dataclass(frozen=True, slots=True)
class PartRow:
    """A heading: of a part, or of what parts the taxa where `title` says so.

    `pictures` where there is something to look at.
    """

    part: Part
    pictures: bool
    title: str = ""

    @property
    def words(self) -> str:
        """What stands in the heading."""
        return self.title or FULL_TITLES[self.part]


Row = PartRow | Line


def rows_of(comparison: Comparison, only: str, *, parting_first: bool, drawn: tuple[Part, ...]) -> list[Row]:
    """Choose the rows: `only` is 'all', 'recorded' (what was looked at) or 'separates' (what parts the taxa).

    The features stand part by part. With `parting_first` those that part the shown taxa stand before all
    others, whatever part they belong to.
    """
    lines = [
        line
        for line in comparison.lines
        if only == "all"
        or (only == "recorded" and line.standing is not Standing.NOT_LOOKED_AT)
        or (only == "separates" and line.separates)
    ]
    if parting_first:
        return _parting_first(comparison, lines, drawn)
    rows: list[Row] = []
    for part in Part:
        here = [line for line in lines if line.feature.part is part]
        pictured = _pictured(comparison, part, drawn)
        if not here and not (part is Part.WHOLE and pictured):
            continue
        rows.append(PartRow(part, pictured))
        rows.extend(here)
    return rows


def _parting_first(comparison: Comparison, lines: Sequence[Line], drawn: tuple[Part, ...]) -> list[Row]:
    rows: list[Row] = []
    if _pictured(comparison, Part.WHOLE, drawn):
        rows.append(PartRow(Part.WHOLE, pictures=True))
    parts = list(Part)
    ordered = sorted(lines, key=lambda line: (not line.separates, line.alike, parts.index(line.feature.part)))
    title, first = "", LOOK_AT if comparison.specimen is None else PARTS_THEM
    for line in ordered:
        now = first if line.separates else (READS_ALIKE if line.alike else MAY_PART_THEM)
        if now != title:
            title = now
            rows.append(PartRow(line.feature.part, pictures=False, title=title))
        rows.append(line)
    return rows


def _pictured(comparison: Comparison, part: Part, drawn: tuple[Part, ...]) -> bool:
    return (
        part in comparison.crops
        or (part in drawn and bool(comparison.taxa))
        or any(part in find.crops for finds in comparison.earlier.values() for find in finds)
    )
