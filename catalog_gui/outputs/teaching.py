"""Papers for a course: the lookalike handout and the drill sheet. Both stay readable in black and white."""

from __future__ import annotations

from itertools import groupby

from catalog_gui.domain.caution import CAUTION_NO_BANNER, LAW
from catalog_gui.domain.handout import DrillFacts, HandoutColumn, HandoutFacts
from catalog_gui.domain.page import (
    A4_MM,
    LETTER_MM,
    Block,
    DrawingRow,
    Gap,
    HazardBlock,
    PageBreak,
    Paper,
    PictureRow,
    TableBlock,
    Text,
    Weight,
)
from catalog_gui.domain.sheet import HazardWords
from catalog_gui.outputs.specimen_sheet import SEVERITIES, caution_box

CARDS_A_PAGE = 4

AFTER_A_MEAL = (
    "Keep what is left: the meal, peelings, vomit, and whole fruit bodies with their base, in paper, cool, labelled.",
    (
        "Be ready to say: who ate, when, how much, how it was prepared, the first symptom and when it began, "
        "alcohol and medicines, meals on the days before."
    ),
    "Everybody who ate is looked at, also those who feel well. Feeling better after a first bout is not recovery.",
    "Early sickness does not rule out the dangerous kinds: a mixed meal can hide a second, slower poison.",
)
"""What a poison service asks for (from published syndrome guidance and emergency-department reports)."""

FALSE_RULES = (
    ("A cap that peels is harmless.", "The death cap's skin peels off."),
    ("Slugs and animals know.", "Slugs eat death caps and thrive."),
    ("Cooking, drying or freezing destroys the poison.", "The deadliest toxins stand heat and drying."),
    ("A bad smell or taste gives warning.", "Survivors call death caps mild."),
    ("Silver or garlic darkens.", "That is sulphur chemistry and says nothing of toxins."),
    ("No ring means no danger.", "Rings fall off; webcaps and fibrecaps have none to lose."),
)
"""Popular beliefs and why they fail: Wennig et al. 2020 (heat), the rest from society and public-health pages."""


def handout(facts: HandoutFacts) -> Paper:
    """Two to four taxa or finds by part, hazards first."""
    blocks: list[Block] = [Text(facts.title, Weight.TITLE)]
    if facts.where_when:
        blocks.append(Text(facts.where_when, Weight.SMALL))
    blocks.append(caution_box(facts.emergency))
    blocks.extend(hazard_blocks(facts.hazards))
    blocks.append(_faces(facts.columns))
    blocks.append(Text("Easiest to miss", Weight.HEADING))
    blocks.append(Text(facts.missed))
    blocks.append(Text("Part by part", Weight.HEADING))
    blocks.append(Text("◆ tells them apart, if it was there to be seen.", Weight.SMALL))
    rows: list[tuple[str, ...]] = []
    for part, members in groupby(facts.rows, key=lambda row: row.part):
        for index, row in enumerate(members):
            sign = "◆ " if row.separates else ""
            rows.append((part if index == 0 else "", f"{sign}{row.feature}", *row.cells))
    count = max(1, len(facts.columns))
    widths = (0.1, 0.2, *(0.7 / count for _ in range(count)))
    blocks.append(
        TableBlock(("Part", "Feature", *(c.head for c in facts.columns)), tuple(rows), widths, (0,))
    )
    if facts.alike:
        blocks.append(Text("What does not tell them apart", Weight.HEADING))
        blocks.append(Text(", ".join(facts.alike) + "."))
    if facts.misleads:
        blocks.append(Text("What misleads", Weight.HEADING))
        blocks.extend(Text(words) for words in facts.misleads)
    blocks.extend(emergency_blocks())
    blocks.append(Text("False rules", Weight.HEADING))
    blocks.append(TableBlock(("They say", "But"), FALSE_RULES, (0.45, 0.55)))
    blocks.append(Text("My own notes", Weight.HEADING))
    blocks.append(TableBlock((), ((" ",),) * 5, (1.0,)))
    blocks.append(Text("A handout is not an identification. " + LAW, Weight.SMALL))
    if facts.sources:
        blocks.append(Text("Sources: " + "; ".join(facts.sources) + ".", Weight.SMALL))
    size = LETTER_MM if facts.letter else A4_MM
    return Paper(facts.title, tuple(blocks), size, f"printed {facts.printed_on}")


def _faces(columns: tuple[HandoutColumn, ...]) -> Block:
    """The heads of the columns: her own picture, or the drawing of what the taxon usually shows."""
    return DrawingRow(
        tuple((column.picture or column.drawing, column.head, column.below) for column in columns), 48.0
    )


def hazard_blocks(hazards: tuple[HazardWords, ...]) -> list[Block]:
    """Hazards under their signal words, the worst first; without any, the sentence that this says nothing."""
    blocks: list[Block] = []
    for severity in SEVERITIES:
        lines = tuple(
            f"{h.name}: {h.why.rstrip('.')}." + (f" Onset {h.onset}." if h.onset else "")
            for h in hazards
            if h.severity == severity
        )
        if lines:
            blocks.append(HazardBlock(severity, "named here, or not excluded", lines))
    return blocks or [Text(CAUTION_NO_BANNER, Weight.SMALL)]


def emergency_blocks() -> list[Block]:
    """What to do and to keep after a suspected poisoning; the numbers stand in the caution box."""
    return [Text("If somebody has eaten", Weight.HEADING), *(Text("• " + words) for words in AFTER_A_MEAL)]


def drill(facts: DrillFacts) -> Paper:
    """Pictures in front, answers on the back: print on both sides."""
    blocks: list[Block] = []
    for start in range(0, len(facts.cards), CARDS_A_PAGE):
        page = facts.cards[start : start + CARDS_A_PAGE]
        if start:
            blocks.append(PageBreak())
        blocks.append(Text(facts.title, Weight.TITLE))
        for offset, card in enumerate(page):
            blocks.append(Text(f"Find {start + offset + 1}", Weight.HEADING))
            filled = (*card.pictures, *("",) * (4 - len(card.pictures)))
            blocks.append(PictureRow(filled, 33.0))
            blocks.append(Text("Name: …………………………………………   Must be looked at: …………………………………………", Weight.SMALL))
        blocks.append(PageBreak())
        blocks.append(Text("Answers", Weight.TITLE))
        rows = tuple(
            (
                f"{start + offset + 1}",
                f"{card.answer}\n({card.number})",
                card.look_at or "–",
                card.danger or "none of the reference is close; that says nothing about the find",
            )
            for offset, card in enumerate(page)
        )
        head = ("Find", "Named", "To look at next", "Dangerous and not excluded")
        blocks.append(TableBlock(head, rows, (0.08, 0.28, 0.3, 0.34), (1,)))
        blocks.append(Gap(4))
        blocks.append(caution_box(facts.emergency))
    size = LETTER_MM if facts.letter else A4_MM
    return Paper(facts.title, tuple(blocks), size, f"drill sheet · printed {facts.printed_on}")
