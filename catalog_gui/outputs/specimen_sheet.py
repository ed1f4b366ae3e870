"""The specimen sheet: one find on paper, with what was not looked at and what is not excluded."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from catalog_gui.domain.caution import CAUTION_TASTING, LAW, NOTHING_LEFT
from catalog_gui.domain.evidence import Standing
from catalog_gui.domain.feature import Part
from catalog_gui.domain.page import (
    A4_MM,
    LETTER_MM,
    Beside,
    Block,
    DrawingBlock,
    Gap,
    HazardBlock,
    Paper,
    PictureBlock,
    PictureRow,
    PrintedHazard,
    TableBlock,
    Text,
    Weight,
)
from catalog_gui.domain.sheet import EvidenceLine, HazardWords, SheetFacts
from catalog_gui.outputs.after_a_meal import caution_box, emergency_blocks

PANELS_IN_A_ROW = 4
PLATE_IN_A_ROW = 2
FIRST_MM = 56.0
PLATE_MM = 36.0
DRAWING_MM = 40.0
FURTHER_IN_A_ROW = 5
FURTHER_MM = 26.0
SEVERITIES = ("fatal", "serious", "unpleasant")


def specimen_sheet(facts: SheetFacts) -> Paper:
    """Lay the facts out as a paper of A4 or Letter size: two pages for a usual find.

    The plate stands large with the drawing and the facts beside it, what is not excluded below in at most
    eight lines. Nothing is left out: long parts run on.
    """
    blocks: list[Block] = [Text(f"Specimen {facts.number}", Weight.TITLE)]
    blocks.append(Text(facts.name or "not named yet", Weight.TAXON))
    blocks.append(_plate(facts))
    blocks.append(caution_box(facts.emergency))
    blocks.append(hazard_block(facts.hazards, "Not excluded by this evidence"))
    if facts.held:
        blocks.append(Text(facts.held, Weight.SMALL))
    blocks.append(Text("Evidence", Weight.HEADING))
    blocks.append(_evidence(facts.evidence))
    if any(line.part == Part.TASTE.value for line in facts.evidence):
        blocks.append(Text(CAUTION_TASTING, Weight.SMALL))
    if facts.not_looked_at:
        blocks.append(Text("Not looked at: " + ", ".join(facts.not_looked_at) + ".", Weight.FINE))
    checks = _titled("What would settle most", facts.next_checks)
    measured = _titled("Measurements", facts.measurements, facts.plane_note)
    names = _titled("Names given", facts.names)
    if checks and (measured or names):
        blocks.append(Beside((*measured, *names), tuple(checks)))
    else:
        blocks += [*measured, *names, *checks]
    blocks.extend(emergency_blocks(facts.emergency))
    if facts.further:
        blocks.append(Text("More pictures", Weight.HEADING))
        blocks.extend(picture_rows(facts.further, FURTHER_MM, FURTHER_IN_A_ROW))
    blocks.append(Gap(2))
    blocks.append(Text(LAW, Weight.SMALL))
    size = LETTER_MM if facts.letter else A4_MM
    return Paper(
        f"Specimen {facts.number}",
        tuple(blocks),
        size,
        f"{facts.number} · printed {facts.printed_on}",
        most_sides=2,
        smallest=0.8,
    )


def _plate(facts: SheetFacts) -> Block:
    """The plate on the left, its first picture large; drawing and facts on the right, and what has no picture."""
    pictures = [_panel(part, panel) for part, panel in facts.panels if isinstance(panel, PictureBlock)]
    missing = [f"{part}: {words}" for part, words in facts.panels if isinstance(words, str)]
    plate: list[Block] = []
    if pictures:
        plate.append(PictureRow((pictures[0],), FIRST_MM))
        plate += picture_rows(pictures[1:], PLATE_MM, PLATE_IN_A_ROW)
    if missing:
        plate.append(Text("; ".join(missing) + ".", Weight.SMALL))
    known: list[Block] = []
    if facts.drawing is not None:
        known.append(
            DrawingBlock(
                facts.drawing,
                "Drawn from what was recorded. Dashed: not looked at. What was looked for and not there is left out.",
                DRAWING_MM,
            )
        )
    rows = tuple((label, value) for label, value in facts.fields if value)
    known.append(TableBlock((), rows, (0.34, 0.66), (0,)))
    if facts.place_note:
        known.append(Text(facts.place_note, Weight.SMALL))
    return Beside(tuple(plate), tuple(known), 0.5)


def _titled(title: str, lines: Sequence[str], note: str = "") -> list[Block]:
    """Lines under a heading, or nothing."""
    if not lines:
        return []
    blocks: list[Block] = [Text(title, Weight.HEADING), *(Text(words) for words in lines)]
    return [*blocks, Text(note, Weight.SMALL)] if note else blocks


def _panel(part: str, panel: PictureBlock) -> PictureBlock:
    return PictureBlock(panel.raster, panel.caption or part, panel.overlays, panel.mm_per_width)


def hazard_block(hazards: Sequence[HazardWords], title: str) -> Block:
    """What is not excluded, a line each behind its signal word; the sentence that this says nothing where all is."""
    if not hazards:
        return Text(NOTHING_LEFT)
    return HazardBlock(title, hazard_rows(hazards))


def hazard_rows(hazards: Sequence[HazardWords]) -> tuple[PrintedHazard, ...]:
    """Each line with what the poison does, when, and who, in sentences."""
    return tuple(_hazard_row(hazard) for hazard in hazards)


def _hazard_row(hazard: HazardWords) -> PrintedHazard:
    told = [words for words in (hazard.why, hazard.onset, hazard.names) if words]
    return PrintedHazard(
        hazard.severity, hazard.name, ". ".join(f"{one[:1].upper()}{one[1:]}" for one in told) + "."
    )


def picture_rows(
    pictures: Sequence[PictureBlock | str], mm: float, in_a_row: int = PANELS_IN_A_ROW
) -> list[Block]:
    """Pictures in rows; the last row is filled up with blanks so that all are of one size."""
    rows: list[Block] = []
    for start in range(0, len(pictures), in_a_row):
        row = tuple(pictures[start : start + in_a_row])
        rows.append(PictureRow((*row, *("",) * (in_a_row - len(row))), mm))
    return rows


def _evidence(lines: tuple[EvidenceLine, ...]) -> Block:
    """What was seen, in two columns of the page: the part and the feature, then what is recorded of it."""
    if not lines:
        return Text("Nothing is recorded yet.")
    rows = []
    for part, members in groupby(lines, key=lambda line: line.part):
        for index, line in enumerate(members):
            words = line.words if line.standing == Standing.SEEN.value else line.standing
            words += f" – {line.note}" if line.note else ""
            rows.append((part if index == 0 else "", line.feature, words))
    return TableBlock((), tuple(rows), (0.16, 0.36, 0.48), (0,), halves=True)
