"""Papers for a course: the lookalike handout and the drill sheet. Both stay readable in black and white."""

from __future__ import annotations

from catalog_gui.domain.caution import CAUTION_NO_BANNER, LAW, NO_ENTRY, NOTHING_LEFT
from catalog_gui.domain.handout import DrillFacts, HandoutColumn, HandoutFacts, HandoutLeaf
from catalog_gui.domain.page import (
    A4_MM,
    LETTER_MM,
    Beside,
    BlankLines,
    Block,
    DrawingRow,
    Gap,
    PageBreak,
    Paper,
    PictureRow,
    TableBlock,
    Text,
    Weight,
)
from catalog_gui.outputs.after_a_meal import caution_box, emergency_blocks
from catalog_gui.outputs.specimen_sheet import hazard_block

CARDS_A_PAGE = 4
DRILL_MM = 28.0

HOW_TO_PRINT = "Print on one side; the answers are the last pages, not the backs of the pictures."

FALSE_RULES = (
    ("Wrong: a cap that peels is harmless.", "The death cap's skin peels off."),
    ("Wrong: slugs and animals know.", "Slugs eat death caps and thrive."),
    (
        "Wrong: cooking, drying or freezing destroys the poison.",
        "The deadliest toxins stand heat and drying.",
    ),
    ("Wrong: a bad smell or taste gives warning.", "Neither smell nor taste warns."),
    ("Wrong: silver or garlic darkens.", "That is sulphur chemistry and says nothing of toxins."),
    ("Wrong: no ring means no danger.", "Rings fall off; webcaps and fibrecaps have none to lose."),
)
"""Popular beliefs and why they fail: Wennig et al. 2020 (heat), the rest from society and public-health pages."""


def handout(facts: HandoutFacts) -> Paper:
    """Everything that was chosen, a leaf of two sides for four columns at most; hazards first."""
    blocks: list[Block] = []
    for number, leaf in enumerate(facts.leaves, 1):
        if number > 1:
            blocks.append(PageBreak())
        count = f" ({number} of {len(facts.leaves)})" if len(facts.leaves) > 1 else ""
        blocks.append(Text(f"{facts.title}{count}", Weight.TITLE))
        if facts.where_when:
            blocks.append(Text(facts.where_when, Weight.SMALL))
        blocks.append(_faces(leaf.columns))
        if number == 1:
            blocks.append(caution_box(facts.emergency))
            blocks.extend(_dangers(facts))
        blocks.extend(_side_by_side(leaf))
    if facts.misleads:
        blocks.append(Text("What misleads", Weight.HEADING))
        blocks.extend(Text(words) for words in facts.misleads)
    blocks.append(Beside(tuple(emergency_blocks(facts.emergency)), tuple(_false_rules()), 0.48))
    blocks.append(Text("A handout is not an identification. " + LAW, Weight.SMALL))
    if facts.sources:
        blocks.append(Text("Sources: " + "; ".join(facts.sources) + ".", Weight.FINE))
    size = LETTER_MM if facts.letter else A4_MM
    foot = f"print on both sides · printed {facts.printed_on}"
    return Paper(facts.title, tuple(blocks), size, foot, most_sides=2 * len(facts.leaves))


def _dangers(facts: HandoutFacts) -> list[Block]:
    """The hazards of the names laid out, then what else the finds leave open and what found no room."""
    blocks: list[Block] = []
    if facts.hazards:
        blocks.append(hazard_block(facts.hazards, "Among the names laid out"))
    else:
        blocks.append(Text(CAUTION_NO_BANNER, Weight.SMALL))
    if facts.no_entry:
        blocks.append(Text(f"{', '.join(facts.no_entry)}: {NO_ENTRY}."))
    blocks.extend(Text(words) for words in facts.open_words)
    if facts.beside:
        blocks.append(Text(facts.beside))
    return blocks


def _side_by_side(leaf: HandoutLeaf) -> list[Block]:
    """What is easiest to miss, then the rows that part, with what parts in bold and drawn."""
    rows: list[tuple[str, ...]] = []
    strong: list[tuple[int, int, str]] = []
    drawings: list[tuple[int, int, object]] = []
    for row in leaf.rows:
        place = len(rows)
        rows.append((row.feature, *row.cells))
        strong += [(place, c, words) for c, some in enumerate(row.strong, 1) for words in some]
        drawings += [(place, c, drawn) for c, drawn in enumerate(row.drawings, 1) if drawn is not None]
    count = max(1, len(leaf.columns))
    widths = (0.16, *(0.84 / count for _ in range(count)))
    heads = ("", *(column.head for column in leaf.columns))
    blocks: list[Block] = [
        Text("Easiest to miss", Weight.HEADING),
        Text(leaf.missed),
        Text("What tells them apart", Weight.HEADING),
        Text(
            "Bold: what another column does not show. It tells only if it was there to be seen.", Weight.SMALL
        ),
        TableBlock(
            heads,
            tuple(rows),
            widths,
            (0,),
            taxa_heads=tuple(range(1, count + 1)),
            strong=tuple(strong),
            drawings=tuple(drawings),
        ),
    ]
    if leaf.further:
        blocks.append(Text(f"These part them too: {', '.join(leaf.further)}.", Weight.SMALL))
    if leaf.alike:
        blocks.append(Text(f"Alike in all of them: {', '.join(leaf.alike)}.", Weight.SMALL))
    return blocks


def _faces(columns: tuple[HandoutColumn, ...]) -> Block:
    """The heads of the columns: the find's own picture, or the drawing of what the taxon usually shows."""
    return DrawingRow(
        tuple((column.picture or column.drawing, column.head, column.below) for column in columns), 46.0
    )


def _false_rules() -> list[Block]:
    """Popular beliefs, each called wrong."""
    return [
        Text("False rules", Weight.HEADING),
        TableBlock(("What people say", "Why it is wrong"), FALSE_RULES, (0.5, 0.5)),
    ]


def drill(facts: DrillFacts) -> Paper:
    """Pictures without names on the pages, the answers on pages of their own at the end."""
    blocks: list[Block] = []
    for start in range(0, len(facts.cards), CARDS_A_PAGE):
        page = facts.cards[start : start + CARDS_A_PAGE]
        if start:
            blocks.append(PageBreak())
        blocks.append(Text(facts.title, Weight.TITLE))
        blocks.append(Text(HOW_TO_PRINT, Weight.SMALL))
        for offset, card in enumerate(page):
            blocks.append(Text(f"Find {start + offset + 1}", Weight.HEADING))
            filled = (*card.pictures, *("",) * (4 - len(card.pictures)))
            blocks.append(PictureRow(filled, DRILL_MM))
            blocks.append(BlankLines((("Name", "Must be looked at"),), 7.0))
        blocks.append(caution_box(facts.emergency))
    blocks.append(PageBreak())
    blocks.append(Text("Answers", Weight.TITLE))
    blocks.append(Text(f"For whoever leads. {HOW_TO_PRINT}", Weight.SMALL))
    rows = tuple(
        (f"{number}", f"{card.answer}\n({card.number})", card.look_at or "–", card.danger or NOTHING_LEFT)
        for number, card in enumerate(facts.cards, 1)
    )
    head = ("Find", "Named", "To look at next", "Dangerous and not excluded")
    blocks.append(TableBlock(head, rows, (0.08, 0.22, 0.25, 0.45), (1,)))
    blocks.append(Gap(4))
    blocks.append(caution_box(facts.emergency))
    size = LETTER_MM if facts.letter else A4_MM
    sides = -(-len(facts.cards) // CARDS_A_PAGE) + 1
    foot = f"drill sheet · printed {facts.printed_on}"
    return Paper(facts.title, tuple(blocks), size, foot, most_sides=sides)
