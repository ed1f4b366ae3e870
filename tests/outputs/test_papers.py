"""What stands on the papers: fields, hazards, the caution, the sheets of labels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
import segno

from catalog_gui.domain.caution import CAUTION
from catalog_gui.domain.label_sheet import LABEL_SHEETS
from catalog_gui.domain.page import (
    HazardBlock,
    PageBreak,
    Paper,
    PictureRow,
    PlacedCode,
    PlacedPage,
    PlacedText,
    TableBlock,
    Text,
    Weight,
)
from catalog_gui.domain.privacy import Reader
from catalog_gui.domain.sheet import Precision
from catalog_gui.geo.notation import Notation
from catalog_gui.outputs.labels import code_rows, label_lines
from catalog_gui.outputs.papers import PaperMaker
from catalog_gui.workflows.publish.drill import drill_facts
from catalog_gui.workflows.publish.gathered import Gathered
from catalog_gui.workflows.publish.handout import handout_facts
from catalog_gui.workflows.publish.press import Press
from catalog_gui.workflows.publish.records import record_of
from catalog_gui.workflows.publish.report import report_facts
from catalog_gui.workflows.publish.sheet import sheet_facts

MINE = Reader(Precision.EXACT, names=True, notes=True, site=True, deliberate=True)


def words_of(paper: Paper) -> str:
    parts: list[str] = []
    for block in paper.blocks:
        match block:
            case Text():
                parts.append(block.words)
            case TableBlock():
                parts += [*block.head, *(cell for row in block.rows for cell in row)]
            case HazardBlock():
                parts += [block.severity, block.head, *block.lines]
            case PlacedPage():
                parts += [item.words for item in block.items if isinstance(item, PlacedText)]
            case _:
                pass
    return "\n".join(parts)


def test_papers_that_compare_names_carry_the_caution(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker
) -> None:
    made = (
        makers.specimen_sheet(sheet_facts(found[0], MINE, press)),
        makers.handout(handout_facts(found[:1], (), MINE, press)),
        makers.drill(drill_facts(found, MINE, press)),
        makers.foray_report(report_facts(found, MINE, press, owner=False)),
        makers.foray_report(report_facts(found, MINE, press, owner=True)),
    )
    for paper in made:
        boxes = [b.words for b in paper.blocks if isinstance(b, Text) and b.weight is Weight.CAUTION]
        assert boxes
        assert all(CAUTION in box and "000 (invented)" in box for box in boxes)
        assert "edible" not in words_of(paper).casefold()
        assert "safe to" not in words_of(paper).casefold()


def test_no_number_is_built_in(found: tuple[Gathered, ...], press: Press, makers: PaperMaker) -> None:
    paper = makers.specimen_sheet(sheet_facts(found[0], MINE, replace(press, emergency=())))
    assert "Local number: ____" in words_of(paper)


def test_sheet_says_what_is_open(found: tuple[Gathered, ...], press: Press, makers: PaperMaker) -> None:
    facts = sheet_facts(found[0], MINE, press)
    words = words_of(makers.specimen_sheet(facts))
    assert facts.name == "Amanita cf. phalloides"
    assert "Amanita cf. citrina" in words
    assert "(replaced)" in words
    assert "Amanita phalloides (Death cap)" in words  # it is named so: it can't be excluded
    assert "looked for and not there" in words
    assert "base: no picture" not in words  # that stands in the plate, not in the text
    assert any(
        isinstance(b, HazardBlock) and b.severity == "fatal" for b in makers.specimen_sheet(facts).blocks
    )
    assert any(line.startswith("cap") and "±" in line for line in facts.measurements)


def test_every_hazard_is_named(found: tuple[Gathered, ...], press: Press, makers: PaperMaker) -> None:
    facts = sheet_facts(replace(found[0], evidence=()), MINE, press)
    words = words_of(makers.specimen_sheet(facts))
    assert facts.hazards
    assert all(hazard.name in words for hazard in facts.hazards)


def test_find_without_pictures_says_what_that_costs(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker
) -> None:
    paper = makers.specimen_sheet(sheet_facts(replace(found[0], photos=(), marks=()), MINE, press))
    rows = [b for b in paper.blocks if isinstance(b, PictureRow)]
    assert any("volva" in str(p) for row in rows for p in row.pictures)


def test_forty_pictures_are_accounted_for(found: tuple[Gathered, ...], press: Press) -> None:
    photos = tuple(replace(found[0].photos[0], id=f"q{n}") for n in range(40))
    facts = sheet_facts(replace(found[0], photos=photos, marks=()), MINE, press)
    assert len(facts.further) == press.more_pictures + 1
    assert facts.further[-1] == "31 more pictures are kept with the find"
    every = sheet_facts(replace(found[0], photos=photos, marks=()), MINE, replace(press, more_pictures=100))
    assert len(every.further) == 39


def test_handout_shows_the_worst_lookalikes(found: tuple[Gathered, ...], press: Press) -> None:
    """One find alone: what its name is mistaken for is laid beside it, the worst first."""
    facts = handout_facts(found[:1], (), Reader(), press)
    assert 2 <= len(facts.columns) <= 4
    assert facts.columns[0].number == "2025-001"
    assert "Amanita virosa" in [column.head for column in facts.columns]
    assert facts.missed
    assert any(row.separates for row in facts.rows)
    assert facts.alike
    assert any(hazard.severity == "fatal" for hazard in facts.hazards)


def test_handout_of_taxa_alone(press: Press, makers: PaperMaker) -> None:
    facts = handout_facts((), ("Galerina marginata", "Kuehneromyces mutabilis"), Reader(), press)
    words = words_of(makers.handout(facts))
    assert "◆" in words
    assert "Galerina marginata" in words
    assert facts.where_when == ""


def test_answers_are_on_the_back(found: tuple[Gathered, ...], press: Press, makers: PaperMaker) -> None:
    many = tuple(found[0] for _ in range(9))
    paper = makers.drill(drill_facts(many, Reader(), press))
    sides: list[list[object]] = [[]]
    for block in paper.blocks:
        if isinstance(block, PageBreak):
            sides.append([])
        else:
            sides[-1].append(block)
    assert len(sides) == 6  # three leaves of four, four and one
    for front, back in zip(sides[::2], sides[1::2], strict=True):
        front_words = words_of(Paper("", tuple(front)))  # type: ignore[arg-type]
        assert "Amanita" not in front_words
        assert any(isinstance(b, PictureRow) for b in front)
        assert all(
            not p.caption and not p.overlays
            for b in front
            if isinstance(b, PictureRow)
            for p in b.pictures
            if p != ""
        )  # type: ignore[union-attr]
        assert "Amanita cf. phalloides" in words_of(Paper("", tuple(back)))  # type: ignore[arg-type]


def test_label_has_the_field_list(found: tuple[Gathered, ...], press: Press) -> None:
    """The field list of a voucher label (house notes on trade practice, section 5)."""
    one = replace(found[0], specimen=replace(found[0].specimen, habitat="oak wood", voucher="box 7"))
    record = record_of(one, MINE, press)
    lines = label_lines(record)
    assert lines[0] == "2025-001"
    assert lines[1] == "Amanita cf. phalloides (Vaill. ex Fr.) Link"
    heads = [line.partition(":")[0] for line in lines[2:] if ":" in line]
    for head in (
        "Leg.",
        "Place",
        "Habitat",
        "With",
        "On",
        "Seen fresh",
        "Det.",
        "By",
        "Pictures",
        "Voucher",
        "Permit",
    ):
        assert head in heads
    assert "18 October 2025" in lines[2]
    assert "± 9 m" in lines[3]


def test_papers_write_days_and_lengths_as_she_likes(found: tuple[Gathered, ...], press: Press) -> None:
    hers = replace(press, date_format="dd.MM.yyyy", units="centimetre", notation=Notation.BRITISH)
    facts = sheet_facts(found[0], MINE, hers)
    fields = dict(facts.fields)
    assert fields["Collected"] == "18.10.2025, 12:04"
    assert fields["Country and region"] == "United Kingdom, Thistlemark, Quagshire"
    assert fields["Place"] == "TG514131 ± 9 m"  # six figures: no finer than the fix bears (A1)
    assert [line.words for line in facts.evidence if line.feature == "cap width"] == ["8–9.5 cm"]
    assert all(" cm" in words for words in facts.measurements if "No scale" not in words)
    assert facts.names[0].split(", on ")[0].endswith("19.10.2025")
    lines = label_lines(record_of(found[0], MINE, hers))
    assert "Date: 18.10.2025" in lines[2]
    assert any(line.startswith("Det.: Osric Fennimore, 19.10.2025") for line in lines)
    record = record_of(found[0], MINE, hers)
    assert record.event_date.startswith("2025-10-18")  # records keep to ISO 8601 and millimetres
    assert [(fact.value, fact.unit) for fact in record.facts if fact.what == "cap width"] == [("80-95", "mm")]


def test_confirmed_by_another_person(found: tuple[Gathered, ...], press: Press) -> None:
    first, second = found[0].names
    again = replace(second, id="d9", determined_by="Isolde Bramwell", replaces=second.id)
    one = replace(found[0], names=(first, second, again))
    lines = label_lines(record_of(one, MINE, press))
    assert any(line.startswith("Det.: Osric Fennimore") for line in lines)
    assert any(line.startswith("Conf.: Isolde Bramwell") for line in lines)


@pytest.mark.parametrize("sheet", LABEL_SHEETS, ids=lambda s: s.name)
def test_labels_stand_on_their_sheet(
    sheet: object, found: tuple[Gathered, ...], press: Press, makers: PaperMaker
) -> None:
    record = record_of(found[0], MINE, press)
    total = sheet.places + 3  # type: ignore[attr-defined]
    paper = makers.labels([record] * total, sheet, code=True, skip=2)  # type: ignore[arg-type]
    pages = [block for block in paper.blocks if isinstance(block, PlacedPage)]
    assert len(pages) == 2
    for page in pages:
        for item in page.items:
            if isinstance(item, PlacedText):
                assert item.left >= 0
                assert item.top >= 0
                assert item.left + item.width <= paper.size_mm[0] + 1e-6
                assert item.top + item.height <= paper.size_mm[1] + 1e-6
                assert item.width > 20
    texts = [i for page in pages for i in page.items if isinstance(i, PlacedText) and i.bold_lines]
    assert len(texts) == total
    assert not _overlap([(t.left, t.top, t.width, t.height) for t in texts[: sheet.places - 2]])  # type: ignore[attr-defined]


def _overlap(boxes: Sequence[tuple[float, float, float, float]]) -> bool:
    return any(
        a[0] < b[0] + b[2] and b[0] < a[0] + a[2] and a[1] < b[1] + b[3] and b[1] < a[1] + a[3]
        for n, a in enumerate(boxes)
        for b in boxes[:n]
    )


def test_code_is_the_number() -> None:
    """ISO/IEC 18004: three finder patterns; modules as the library draws them, quiet zone of four."""
    rows = code_rows("2025-014")
    assert len(rows) == len(rows[0]) == 21 + 8
    assert all(set(row) <= {"0", "1"} for row in rows)
    assert rows[0] == "0" * 29
    for y, x in ((4, 4), (4, 18), (18, 4)):
        assert [row[x : x + 7] for row in rows[y : y + 7]] == [
            "1111111", "1000001", "1011101", "1011101", "1011101", "1000001", "1111111",
        ]  # fmt: skip
    assert segno.make_qr("2025-014", error="m").version == 1


def test_numbers_and_packet(found: tuple[Gathered, ...], press: Press, makers: PaperMaker) -> None:
    numbers = tuple(f"2025-{n:03d}" for n in range(1, 31))
    paper = makers.number_slips(numbers, letter=True, code=True)
    assert [n for n in numbers if n in words_of(paper)] == list(numbers)
    packet = makers.folded_packet(record_of(found[0], MINE, press), letter=False, code=True)
    (page,) = (b for b in packet.blocks if isinstance(b, PlacedPage))
    turned = [i for i in page.items if isinstance(i, PlacedText) and i.turned]
    assert turned
    assert all(i.top + i.height <= 297 / 3 for i in turned)  # all on the third that is folded down
    assert all(i.left >= 32.5 and i.left + i.width <= 210 - 32.5 for i in turned)
    assert any(isinstance(i, PlacedCode) for i in page.items)


def test_slips_keep_every_opinion(found: tuple[Gathered, ...], press: Press, makers: PaperMaker) -> None:
    record = record_of(found[0], MINE, press)
    words = words_of(makers.determination_slips([record], letter=False, code=False))
    assert "Amanita cf. citrina" in words
    assert "replaced by a later slip" in words
    assert "Amanita cf. phalloides" in words
    assert "Osric Fennimore" in words


def test_report_counts(found: tuple[Gathered, ...], press: Press, makers: PaperMaker) -> None:
    finds = (*found, replace(found[0], names=()))
    facts = report_facts(finds, Reader(site=True), press, owner=True)
    assert [(line.name, line.finds) for line in facts.lines] == [("Amanita cf. phalloides", 3)]
    assert facts.unnamed == 1
    assert facts.people == ()
    assert facts.plan is not None
    assert [square[2:] for square in facts.plan.squares] == [(10_000.0, "TG51\n4 finds")]
    assert facts.plan.points == ()
    exact = report_facts(finds, MINE, press, owner=False)
    assert exact.plan is not None
    assert len(exact.plan.points) == 4
    paper = makers.foray_report(exact)
    assert "The absence of a hazard here is not a statement" in words_of(paper)
    hidden = report_facts(finds, Reader(Precision.HIDDEN), press, owner=False)
    assert hidden.plan is None
    assert hidden.where == "United Kingdom"  # the country tells no spot
