"""What stands in the preview of records and pictures: what goes, and what a verifier would ask."""

from __future__ import annotations

from collections.abc import Sequence

from catalog_gui.domain.page import A4_MM, LETTER_MM, Block, Paper, PictureBlock, TableBlock, Text, Weight
from catalog_gui.domain.record import Record
from catalog_gui.domain.record_check import Question
from catalog_gui.outputs.specimen_sheet import picture_rows


def records_paper(records: Sequence[Record], asked: Sequence[Question], *, letter: bool) -> Paper:
    """The check before sending, then the records themselves."""
    must = [one for one in asked if one.must]
    rest = [one for one in asked if not one.must]
    count = len(records)
    blocks: list[Block] = [Text(f"{count} record{'' if count == 1 else 's'}, looked over", Weight.TITLE)]
    if must:
        blocks.append(Text("These would come back", Weight.HEADING))
        blocks.append(_questions(must))
    if rest:
        blocks.append(Text("A verifier may ask", Weight.HEADING))
        blocks.append(_questions(rest))
    if not asked:
        blocks.append(Text("Nothing stands out."))
    blocks.append(Text("What is sent", Weight.HEADING))
    rows = tuple(
        (
            record.number,
            _name(record),
            record.event_date or record.verbatim_date or "–",
            _place(record),
            record.recorder or "–",
            (record.present.by if record.present is not None else "") or "–",
        )
        for record in records
    )
    head = ("Number", "Name", "When", "Where", "Recorder", "Determiner")
    blocks.append(TableBlock(head, rows, (0.13, 0.27, 0.17, 0.21, 0.11, 0.11), taxa=(1,)))
    notes = dict.fromkeys(
        sentence for record in records for sentence in (record.generalised, record.withheld) if sentence
    )
    blocks.extend(Text(sentence, Weight.SMALL) for sentence in list(notes)[:6])
    size = LETTER_MM if letter else A4_MM
    return Paper("Records", tuple(blocks), size, "check before sending")


def pictures_paper(pictures: Sequence[PictureBlock | str], words: Sequence[str], *, letter: bool) -> Paper:
    """The pictures that go out, and what goes with them."""
    blocks: list[Block] = [Text("Pictures for others", Weight.TITLE)]
    blocks.extend(Text(sentence) for sentence in words)
    blocks.extend(picture_rows(pictures, 40.0))
    size = LETTER_MM if letter else A4_MM
    return Paper("Pictures for others", tuple(blocks), size, "look at the backgrounds before they go")


def _questions(asked: Sequence[Question]) -> TableBlock:
    rows = tuple((one.number, one.about, one.words) for one in asked)
    return TableBlock(("Number", "About", "Question"), rows, (0.16, 0.14, 0.7), (0,))


def _name(record: Record) -> str:
    now = record.present
    if now is None:
        return "–"
    return f"{now.scientific_name} ({now.qualifier})" if now.qualifier else now.scientific_name


def _place(record: Record) -> str:
    if record.grid_reference:
        return (
            f"{record.grid_reference} ± {record.uncertainty_m} m"
            if record.uncertainty_m
            else record.grid_reference
        )
    if record.latitude:
        return f"{record.latitude}, {record.longitude} ± {record.uncertainty_m} m"
    return "withheld" if record.withheld else "–"
