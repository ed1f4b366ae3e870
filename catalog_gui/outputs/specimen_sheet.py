"""The specimen sheet: one find on paper, with what was not looked at and what is not excluded."""

from __future__ import annotations

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
NAMED_IN_FULL = 14
SEVERITIES = ("fatal", "serious", "unpleasant")


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
    blocks.extend(_hazards(facts.hazards))
    blocks.append(_caution(facts.emergency))
    if facts.panels:
        blocks.append(Text("The plate", Weight.HEADING))
        for start in range(0, len(facts.panels), PANELS_IN_A_ROW):
            row = facts.panels[start : start + PANELS_IN_A_ROW]
            blocks.append(PictureRow(tuple(_panel(part, panel) for part, panel in row), PANEL_MM))
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
        blocks.append(
            Text("Scale and object are taken to lie in one plane, square to the camera.", Weight.SMALL)
        )
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
        lines = [
            f"{hazard.name}: {hazard.why}." + (f" Onset {hazard.onset}." if hazard.onset else "")
            for hazard in found[:NAMED_IN_FULL]
        ]
        if len(found) > NAMED_IN_FULL:
            lines.append("Also: " + ", ".join(hazard.name for hazard in found[NAMED_IN_FULL:]) + ".")
        blocks.append(HazardBlock(severity, f"{len(found)} not excluded by this evidence", tuple(lines)))
    return blocks


def _caution(emergency: tuple[str, ...]) -> Text:
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
