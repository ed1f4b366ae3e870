"""The specimen sheet: one find on paper, with what was not looked at and what is not excluded."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from catalog_gui.domain.caution import CAUTION, CAUTION_NO_BANNER, LAW
from catalog_gui.domain.page import (
    A4_MM,
    LETTER_MM,
    Block,
    DrawingBlock,
    Gap,
    HazardBlock,
    Paper,
    PictureBlock,
    PictureRow,
    TableBlock,
    Text,
    Weight,
)
from catalog_gui.domain.sheet import EvidenceLine, HazardWords, SheetFacts

PANELS_IN_A_ROW = 4
PANEL_MM = 42.0
NAMED_IN_FULL = {"fatal": 8, "serious": 4, "unpleasant": 2}
SEVERITIES = tuple(NAMED_IN_FULL)


def specimen_sheet(facts: SheetFacts) -> Paper:
    """Lay the facts out as a paper of A4 or Letter size. Nothing of them is left out: long parts run on."""
    blocks: list[Block] = [Text(f"Specimen {facts.number}", Weight.TITLE)]
    blocks.append(Text(facts.name or "not named yet", Weight.TAXON))
    blocks.append(
        TableBlock((), tuple((label, value) for label, value in facts.fields if value), (0.24, 0.76), (0,))
    )
    if facts.place_note:
        blocks.append(Text(facts.place_note, Weight.SMALL))
    blocks.append(Gap(2))
    blocks.append(caution_box(facts.emergency))
    blocks.extend(_hazards(facts.hazards))
    if facts.panels:
        blocks.append(Text("The plate", Weight.HEADING))
        blocks.extend(picture_rows([_panel(part, panel) for part, panel in facts.panels], PANEL_MM))
    if facts.further:
        blocks.append(Text("More pictures", Weight.HEADING))
        blocks.extend(picture_rows(facts.further, PANEL_MM * 0.8))
    if facts.drawing is not None:
        blocks.append(
            DrawingBlock(
                facts.drawing,
                "Drawn from what was recorded. Dashed: not looked at. What was looked for and not there is left out.",
            )
        )
    blocks.append(Text("Evidence", Weight.HEADING))
    blocks.append(_evidence(facts.evidence))
    if facts.not_looked_at:
        blocks.append(Text("Not looked at: " + ", ".join(facts.not_looked_at) + ".", Weight.SMALL))
    if facts.measurements:
        blocks.append(Text("Measurements", Weight.HEADING))
        blocks.extend(Text(words) for words in facts.measurements)
        if facts.plane_note:
            blocks.append(Text(facts.plane_note, Weight.SMALL))
    if facts.next_checks:
        blocks.append(Text("What would settle most", Weight.HEADING))
        blocks.extend(Text(words) for words in facts.next_checks)
    if facts.names:
        blocks.append(Text("Names given", Weight.HEADING))
        blocks.extend(Text(words) for words in facts.names)
    blocks.append(Gap(2))
    blocks.append(Text(LAW, Weight.SMALL))
    size = LETTER_MM if facts.letter else A4_MM
    return Paper(
        f"Specimen {facts.number}", tuple(blocks), size, f"{facts.number} · printed {facts.printed_on}"
    )


def _panel(part: str, panel: PictureBlock | str) -> PictureBlock | str:
    if isinstance(panel, str):
        return f"{part}: {panel}"
    return PictureBlock(panel.raster, panel.caption or part, panel.overlays, panel.mm_per_width)


def _hazards(hazards: tuple[HazardWords, ...]) -> list[Block]:
    if not hazards:
        return [Text(f"No dangerous taxon of the reference is left open. {CAUTION_NO_BANNER}")]
    blocks: list[Block] = []
    for severity in SEVERITIES:
        found = [hazard for hazard in hazards if hazard.severity == severity]
        if not found:
            continue
        full = ([hazard for hazard in found if hazard.close] or found)[: NAMED_IN_FULL[severity]]
        lines = [
            f"{hazard.name}: {hazard.why.rstrip('.')}." + (f" Onset {hazard.onset}." if hazard.onset else "")
            for hazard in full
        ]
        rest = [hazard.name for hazard in found if hazard not in full]
        if rest:
            lines.append("Not excluded either: " + ", ".join(rest) + ".")
        blocks.append(HazardBlock(severity, f"{len(found)} not excluded by this evidence", tuple(lines)))
    return blocks


def picture_rows(pictures: Sequence[PictureBlock | str], mm: float) -> list[Block]:
    """Pictures in rows of four; the last row is filled up with blanks so that all are of one size."""
    rows: list[Block] = []
    for start in range(0, len(pictures), PANELS_IN_A_ROW):
        row = tuple(pictures[start : start + PANELS_IN_A_ROW])
        rows.append(PictureRow((*row, *("",) * (PANELS_IN_A_ROW - len(row))), mm))
    return rows


def caution_box(emergency: tuple[str, ...]) -> Text:
    """The caution with the numbers she typed, or a line to write one on."""
    numbers = "   ".join(emergency) if emergency else "Local number: ______________________"
    return Text(f"{CAUTION}\n{numbers}", Weight.CAUTION)


def _evidence(lines: tuple[EvidenceLine, ...]) -> Block:
    if not lines:
        return Text("Nothing is recorded yet.")
    rows: list[tuple[str, ...]] = []
    for part, members in groupby(lines, key=lambda line: line.part):
        for index, line in enumerate(members):
            words = line.words + (f" – {line.note}" if line.note else "")
            rows.append((part if index == 0 else "", line.feature, line.standing, words))
    return TableBlock(("Part", "Feature", "Standing", "What"), tuple(rows), (0.16, 0.26, 0.2, 0.38), (0,))
