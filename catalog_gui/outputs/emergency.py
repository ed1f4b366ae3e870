"""The emergency page as a paper: one printed side of A4 or Letter."""

from __future__ import annotations

from catalog_gui.domain.caution import NOTHING_LEFT
from catalog_gui.domain.emergency import EmergencyFacts
from catalog_gui.domain.first_aid import DO, DO_NOT, TO_WRITE, Advice, cited
from catalog_gui.domain.page import (
    A4_MM,
    LETTER_MM,
    Beside,
    BlankLines,
    Block,
    HazardBlock,
    Paper,
    PictureRow,
    TableBlock,
    Text,
    Weight,
)
from catalog_gui.outputs.after_a_meal import caution_box
from catalog_gui.outputs.specimen_sheet import hazard_rows

PICTURE_MM = 27.0
POINTS = 7.5

FOR_THE_HOSPITAL = (
    "How to read this: not what was eaten, but what the records of one find do not exclude. A meal may hold more "
    "than this find; early gut illness never rules out a slower poison. Windows count from the meal, the widest "
    "of several sources."
)


def emergency_page(facts: EmergencyFacts) -> Paper:
    """Whom to call, what to do, lines to write on, what is not excluded, and what was seen: on one side."""
    told = ", ".join(f"{label.lower()} {value}" for label, value in facts.fields)
    blocks: list[Block] = [
        Text(f"If this was eaten: find {facts.number}", Weight.HEADING),
        caution_box(facts.numbers),
        _advice(facts),
        BlankLines(TO_WRITE, 6.0),
    ]
    if facts.hazards:
        title = "For the hospital: not excluded, by syndrome"
        blocks.append(HazardBlock(title, hazard_rows(facts.hazards), POINTS))
    else:
        blocks.append(Text(NOTHING_LEFT))
    blocks.append(Text(FOR_THE_HOSPITAL, Weight.FINE))
    named = f"{facts.named} {told[:1].upper()}{told[1:]}{'.' if told else ''}"
    blocks.append(Text(f"The find: {named.strip()}", Weight.FINE))
    seen = f"Seen: {facts.seen}." if facts.seen else "Seen: nothing is recorded."
    unseen = f" Not looked at: {facts.not_looked_at}." if facts.not_looked_at else ""
    blocks.append(Text(seen + unseen, Weight.FINE))
    blocks.append(Text("What to do, after: " + "; ".join(cited((*DO, *DO_NOT))) + ".", Weight.FINE))
    size = LETTER_MM if facts.letter else A4_MM
    return Paper(
        f"Emergency page {facts.number}",
        tuple(blocks),
        size,
        f"{facts.number} · printed {facts.printed_on}",
        most_sides=1,
        smallest=0.7,
    )


def _advice(facts: EmergencyFacts) -> Block:
    """What to do, what not to do, and the pictures, in three columns."""
    do: list[Block] = [Text("Do", Weight.HEADING), _list(DO)]
    do_not: list[Block] = [Text("Do not", Weight.HEADING), _list(DO_NOT)]
    if not facts.pictures:
        return Beside(tuple(do), (*do_not, Text("There is no picture of this find.", Weight.SMALL)))
    first, *more = facts.pictures
    shown: list[Block] = [PictureRow((first,), PICTURE_MM)]
    if more:
        shown.append(PictureRow((*more, *("",) * (2 - len(more))), PICTURE_MM * 0.6))
    return Beside((Beside(tuple(do), tuple(do_not), 0.55),), tuple(shown), 0.76)


def _list(advice: tuple[Advice, ...]) -> Block:
    return TableBlock((), tuple((one.words,) for one in advice), (1.0,))
