"""The foray report as a paper, for the landowner or for the group."""

from __future__ import annotations

from catalog_gui.domain.caution import CAUTION_NO_BANNER, LAW, NO_ENTRY, NO_ENTRY_MEANS
from catalog_gui.domain.handout import OpenFind, ReportFacts
from catalog_gui.domain.page import A4_MM, LETTER_MM, Block, Paper, TableBlock, Text, Weight
from catalog_gui.outputs.after_a_meal import caution_box, emergency_blocks
from catalog_gui.outputs.specimen_sheet import picture_rows

PICTURE_MM = 38.0

THANKS = (
    "Thank you for letting us look. A list like this is what we can give back: it says what lives on your land "
    "and may help you to look after it. Please tell us if anything in it should not be passed on."
)
MEANING = (
    "The names are opinions of the day: some will be changed when spores have been looked at. 'cf.' means "
    "that it looks like the species named but is not certain, 'aff.' that it is near it, 'sp.' that only the "
    "genus is known. What is not on the list was not found on that day; that does not mean that it is not there."
)


HAZARD_COLUMN = f"'Hazard' names documented poisonings. {NO_ENTRY_MEANS} {CAUTION_NO_BANNER}"


OPEN_MEANS = (
    "What was written down of these finds does not exclude the taxa named, whatever name was given. "
    "A find that is not in this list is not cleared by that."
)


def foray_report(facts: ReportFacts) -> Paper:
    """A species list with coarse or fine places, pictures, thanks and a plan."""
    blocks: list[Block] = [Text(facts.title, Weight.TITLE)]
    if facts.where:
        blocks.append(Text(facts.where))
    finds = sum(line.finds for line in facts.lines) + facts.unnamed
    names = len(facts.lines)
    summary = f"{finds} find{'' if finds == 1 else 's'}, {names} name{'' if names == 1 else 's'}"
    summary += f"; {facts.unnamed} not named yet." if facts.unnamed else "."
    blocks.append(Text(summary))
    if facts.owner:
        blocks.append(Text(THANKS))
    if facts.people:
        blocks.append(Text("Present: " + ", ".join(facts.people) + "."))
    blocks.append(caution_box(facts.emergency))
    blocks.extend(emergency_blocks(facts.emergency))
    blocks.append(Text("What was found", Weight.HEADING))
    if facts.lines:
        rows = tuple(
            (
                line.name,
                line.english,
                f"{line.finds}",
                line.numbers,
                line.where,
                line.meaning or NO_ENTRY,
            )
            for line in facts.lines
        )
        head = ("Name", "English", "Finds", "Numbers", "Place", "Hazard")
        blocks.append(TableBlock(head, rows, (0.23, 0.17, 0.08, 0.15, 0.22, 0.15), taxa=(0,)))
        blocks.append(Text(HAZARD_COLUMN, Weight.SMALL))
    if facts.place_note:
        blocks.append(Text(facts.place_note, Weight.SMALL))
    blocks.extend(_open_finds(facts.open_finds))
    blocks.append(Text("What the names mean", Weight.HEADING))
    blocks.append(Text(MEANING))
    if facts.plan is not None:
        blocks.append(Text("Plan", Weight.HEADING))
        blocks.append(facts.plan)
    if facts.pictures:
        blocks.append(Text("Pictures of the day", Weight.HEADING))
        blocks.extend(picture_rows(facts.pictures, PICTURE_MM))
    if facts.dangerous:
        blocks.append(Text("Dangerous ones among these names", Weight.HEADING))
        blocks.extend(Text(words) for words in facts.dangerous)
        blocks.append(Text("Of the others nothing is said.", Weight.SMALL))
    blocks.append(Text(LAW, Weight.SMALL))
    size = LETTER_MM if facts.letter else A4_MM
    return Paper(facts.title, tuple(blocks), size, f"printed {facts.printed_on}")


def _open_finds(finds: tuple[OpenFind, ...]) -> list[Block]:
    """The finds of which something that can kill is not excluded, those without a name first."""
    if not finds:
        return []
    rows = tuple((find.number, find.name or "not named", find.words) for find in finds)
    return [
        Text("Not excluded, and can kill", Weight.HEADING),
        Text(OPEN_MEANS, Weight.SMALL),
        TableBlock(("Number", "Name", "Not excluded"), rows, (0.15, 0.25, 0.6), (0,), taxa=(1,)),
    ]
