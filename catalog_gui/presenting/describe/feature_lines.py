"""Lists the features of a find with what was written for each: by part, or what fades first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from catalog_gui.domain.checklist import FORM, Checklist
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.presenting.describe.words import evidence_words, part_title, swatches
from catalog_gui.presenting.words import clock_time

SOON = timedelta(hours=3)


@dataclass(frozen=True, slots=True)
class FeatureLine:
    """A heading, or a feature with its entry, when it is likely gone, and whether that is past."""

    head: str = ""
    feature: Feature | None = None
    row: Evidence | None = None
    due: datetime | None = None
    late: bool = False
    words: str = ""
    colours: tuple[str, ...] = ()


def _presses(due: datetime | None, now: datetime | None) -> bool:
    """By part, only what is due within a few hours says so: else every other line would."""
    return due is not None and now is not None and due - now < SOON


def feature_lines(
    asked: Checklist,
    rows: Mapping[str, Evidence],
    reference: Reference,
    *,
    hasty: bool,
    now: datetime | None,
) -> list[FeatureLine]:
    """The features of a find under their headings: by part, or (`hasty`) what fades first."""
    lines: list[FeatureLine] = []
    head = ""
    for one in asked.by_haste if hasty else asked.by_part:
        feature = one.feature
        if hasty:
            title = "While it is fresh" if one.due is not None else "What stays"
        elif feature.id == FORM or feature.id in asked.first:
            title = f"First, as it reminds of: {asked.likeness}" if asked.likeness else "First of all"
        else:
            title = part_title(feature.part, dict(rows))
        if title != head:
            lines.append(FeatureLine(head=title))
            head = title
        row = rows.get(feature.id)
        done = row is not None and row.standing is not Standing.NOT_LOOKED_AT
        lines.append(
            FeatureLine(
                "",
                feature,
                row,
                one.due if not done and (hasty or _presses(one.due, now)) else None,
                not done and one.due is not None and now is not None and one.due < now,
                evidence_words(row, reference),
                swatches(row, reference.vocabulary),
            )
        )
    return lines


def spoken(line: FeatureLine, zone: str) -> str:
    """A line as it is read aloud."""
    if line.feature is None:
        return line.head
    standing = line.row.standing if line.row is not None else Standing.NOT_LOOKED_AT
    words = f"{line.feature.name}: {standing.value}"
    if line.words:
        words += f", {line.words}"
    return f"{words}, due {clock_time(line.due, zone)}" if line.due is not None else words
