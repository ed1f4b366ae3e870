"""What stands on the papers: fields, hazards, the caution, the sheets of labels."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

import pytest
import segno

from catalog_gui.domain.caution import (
    AFTER_A_MEAL,
    CALL_NOW,
    CAUTION,
    CAUTION_TASTING,
    IF_EATEN,
    NO_ENTRY,
    NOTHING_LEFT,
)
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.label_sheet import LABEL_SHEETS
from catalog_gui.domain.page import (
    Beside,
    BlankLines,
    Block,
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
from catalog_gui.domain.sheet import EvidenceLine, Precision
from catalog_gui.domain.specimen import Specimen
from catalog_gui.geo.notation import Notation
from catalog_gui.lookalikes import weigh
from catalog_gui.lookalikes.hazard_groups import hazard_groups
from catalog_gui.lookalikes.interchange import weighing_to_json
from catalog_gui.lookalikes.onset import onset_words, onsets_of
from catalog_gui.lookalikes.reference import Severity
from catalog_gui.outputs.labels import code_rows, label_lines
from catalog_gui.outputs.papers import PaperMaker
from catalog_gui.presenting.compare.hazard_lines import hazard_lines
from catalog_gui.presenting.compare.taxon_words import Dress, taxon_page
from catalog_gui.views.outputs.layout import lay_out
from catalog_gui.workflows.publish.drill import drill_facts
from catalog_gui.workflows.publish.gathered import Gathered, weighed
from catalog_gui.workflows.publish.handout import handout_facts
from catalog_gui.workflows.publish.hazards import groups_of, taxon_line
from catalog_gui.workflows.publish.press import Press
from catalog_gui.workflows.publish.records import record_of
from catalog_gui.workflows.publish.report import report_facts
from catalog_gui.workflows.publish.sheet import sheet_facts
from catalog_gui.workflows.weigh_find import WeighedFind

MINE = Reader(Precision.EXACT, names=True, notes=True, site=True, deliberate=True)


def words_of(paper: Paper) -> str:
    return "\n".join(_words(paper.blocks))


def _words(blocks: Sequence[Block]) -> list[str]:
    parts: list[str] = []
    for block in blocks:
        match block:
            case Text():
                parts.append(block.words)
            case TableBlock():
                parts += [*block.head, *(cell for row in block.rows for cell in row)]
            case HazardBlock():
                parts += [block.title, *(f"{row.head}: {row.words}" for row in block.rows)]
            case BlankLines():
                parts += [words for row in block.rows for words in row]
            case Beside():
                parts += [*_words(block.left), *_words(block.right)]
            case PlacedPage():
                parts += [item.words for item in block.items if isinstance(item, PlacedText)]
            case _:
                pass
    return parts


def every_block(blocks: Sequence[Block]) -> Iterator[Block]:
    for block in blocks:
        if isinstance(block, Beside):
            yield from every_block((*block.left, *block.right))
        else:
            yield block


def codes_in(paper: Paper) -> set[str]:
    """The codes of severity that no reader sees."""
    return set(re.findall(r"\b(?:unpleasant|fatal|serious)\b(?! harm)", words_of(paper).casefold()))


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
        assert not codes_in(paper)
        assert IF_EATEN in words_of(paper) or paper.title.startswith("What is this")
        assert "edible" not in words_of(paper).casefold()
        assert "safe to" not in words_of(paper).casefold()


def test_after_a_meal_the_call_stands_first_with_the_numbers(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker
) -> None:
    """On the handout and on both reports: the landowner is the likeliest to eat what was left behind."""
    for paper in (
        makers.handout(handout_facts(found[:1], (), MINE, press)),
        makers.foray_report(report_facts(found, MINE, press, owner=False)),
        makers.foray_report(report_facts(found, MINE, press, owner=True)),
    ):
        told = words_of(paper).split(f"{IF_EATEN}\n")[1]
        assert told.startswith(f"• {CALL_NOW}\n")
        assert told.index("000 (invented)") < told.index(AFTER_A_MEAL[1])
    owner = words_of(makers.foray_report(report_facts(found, MINE, press, owner=True)))
    assert "Dangerous ones among these names" in owner
    assert "Amanita phalloides: can kill" in owner


def test_the_front_of_a_drill_sheet_carries_the_caution(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker
) -> None:
    blocks = makers.drill(drill_facts(found, MINE, press)).blocks
    front = blocks[: next(place for place, block in enumerate(blocks) if isinstance(block, PageBreak))]
    assert any(isinstance(block, Text) and CAUTION in block.words for block in front)


def test_where_nothing_is_left_the_sheet_says_that_this_says_nothing(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker
) -> None:
    facts = replace(sheet_facts(found[0], MINE, press), hazards=())
    assert NOTHING_LEFT in words_of(makers.specimen_sheet(facts))


def test_a_taste_on_paper_stands_beside_its_caution(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker
) -> None:
    facts = sheet_facts(found[0], MINE, press)
    assert CAUTION_TASTING not in words_of(makers.specimen_sheet(facts))
    tasted = replace(facts, evidence=(EvidenceLine("taste", "taste", "seen", "mild", ""),))
    assert CAUTION_TASTING in words_of(makers.specimen_sheet(tasted))


def test_no_number_is_built_in(found: tuple[Gathered, ...], press: Press, makers: PaperMaker) -> None:
    paper = makers.specimen_sheet(sheet_facts(found[0], MINE, replace(press, emergency=())))
    assert "Local number: ____" in words_of(paper)


def test_sheet_says_what_is_open(found: tuple[Gathered, ...], press: Press, makers: PaperMaker) -> None:
    facts = sheet_facts(found[0], MINE, press)
    words = words_of(makers.specimen_sheet(facts))
    assert facts.name == "Amanita cf. phalloides"
    assert "Amanita cf. citrina" in words
    assert "(replaced)" in words
    assert "Amatoxins, liver" in words
    assert "Amanita phalloides" in words  # it is named so: it can't be excluded
    assert "gut after 4 to 48 h, then a quiet spell; liver after 1 to 3 days" in words.casefold()
    assert "looked for and not there" in words
    blocks = [b for b in makers.specimen_sheet(facts).blocks if isinstance(b, HazardBlock)]
    assert [len(block.rows) <= 8 and block.rows[0].severity == "fatal" for block in blocks] == [True]
    assert any(line.startswith("cap") and "±" in line for line in facts.measurements)


@pytest.mark.parametrize("recorded", [False, True])
def test_every_hazard_is_told_in_at_most_eight_lines(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker, recorded: bool
) -> None:
    find = found[0] if recorded else replace(found[0], evidence=())
    judged = weighed(find, press.prepared)
    groups = groups_of(find, judged, press.reference)
    assert 0 < len(groups) <= 8
    assert sorted(one.taxon.id for group in groups for one in group.members) == sorted(
        one.taxon.id for one in judged.weighing.hazards
    )
    words = words_of(makers.specimen_sheet(sheet_facts(find, MINE, press)))
    assert all(group.title in words and group.names() in words for group in groups)


def test_find_without_pictures_says_what_that_costs(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker
) -> None:
    paper = makers.specimen_sheet(sheet_facts(replace(found[0], photos=(), marks=()), MINE, press))
    assert not [b for b in every_block(paper.blocks) if isinstance(b, PictureRow)]
    assert "base: no picture: a volva or bulb cannot be ruled out" in words_of(paper)


def test_forty_pictures_are_accounted_for(found: tuple[Gathered, ...], press: Press) -> None:
    photos = tuple(replace(found[0].photos[0], id=f"q{n}") for n in range(40))
    facts = sheet_facts(replace(found[0], photos=photos, marks=()), MINE, press)
    assert len(facts.further) == press.more_pictures + 1
    assert facts.further[-1] == "31 more pictures are kept with the find"
    every = sheet_facts(replace(found[0], photos=photos, marks=()), MINE, replace(press, more_pictures=100))
    assert len(every.further) == 39


def test_handout_shows_the_worst_lookalikes(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker
) -> None:
    """One find alone: what its name is mistaken for is laid beside it, the worst first."""
    facts = handout_facts(found[:1], (), Reader(), press)
    (leaf,) = facts.leaves
    assert 2 <= len(leaf.columns) <= 4
    assert leaf.columns[0].number == "2025-001"
    assert "Amanita virosa" in [column.head for column in leaf.columns]
    assert leaf.missed
    assert any(row.separates for row in leaf.rows)
    assert any(hazard.severity == "fatal" for hazard in facts.hazards)
    pairs = press.reference.confusions_of("amanita-phalloides")
    others = {row.lookalike for row in pairs} - {
        taxon.id
        for column in leaf.columns
        if (taxon := press.reference.named(column.head.replace("cf. ", ""))) is not None
    }
    assert facts.beside.startswith(f"{len(others)} more that are mistaken for it are not laid out here")
    assert facts.beside in words_of(makers.handout(facts))


def test_handout_of_taxa_alone(press: Press, makers: PaperMaker) -> None:
    facts = handout_facts((), ("Galerina marginata", "Kuehneromyces mutabilis"), Reader(), press)
    paper = makers.handout(facts)
    assert "Galerina marginata" in words_of(paper)
    assert f"Kuehneromyces mutabilis: {NO_ENTRY}." in words_of(paper)
    assert facts.where_when == ""
    assert any(row.drawings for row in facts.leaves[0].rows)
    (table,) = [b for b in every_block(paper.blocks) if isinstance(b, TableBlock) and b.taxa_heads]
    assert table.strong
    assert all(words in table.rows[row][column] for row, column, words in table.strong)


WHITES = ("Amanita verna", "Amanita virosa", "Amanita strobiliformis")


def unnamed(found: tuple[Gathered, ...], *rows: tuple[str, str]) -> Gathered:
    """A find without a name of which only this was recorded."""
    evidence = tuple(
        Evidence(f"w{n}", "s1", feature, Standing.SEEN, (state,)) for n, (feature, state) in enumerate(rows)
    )
    return replace(found[0], names=(), evidence=evidence, struck_out=())


def test_a_base_that_nobody_looked_at_does_not_teach_that_the_volva_does_not_matter(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker
) -> None:
    """Ring, base, volva and print stand whenever a column can kill; alike is only what is alike in all."""
    white = unnamed(found, ("whole.form", "agaric"), ("cap.colour", "white"), ("gills.colour", "white"))
    facts = handout_facts((white,), WHITES, MINE, press)
    (leaf,) = facts.leaves
    rows = {row.feature: row for row in leaf.rows}
    assert {"volva", "ring", "base shape", "spore print colour"} <= set(rows)
    assert rows["volva"].separates
    assert rows["volva"].cells[0] == "not looked at"
    assert "sac, open bag" in rows["volva"].strong[1]
    assert not {"volva", "ring", "base shape", "spore print colour"} & set(leaf.alike)
    words = words_of(makers.handout(facts))
    assert "does not tell them apart" not in words


def test_what_parts_is_judged_on_the_taxa_alone(found: tuple[Gathered, ...], press: Press) -> None:
    white = unnamed(found, ("cap.colour", "white"))
    with_find = handout_facts((white,), WHITES, MINE, press).leaves[0]
    alone = handout_facts((), WHITES, MINE, press).leaves[0]
    assert [row.feature for row in with_find.rows] == [row.feature for row in alone.rows]
    assert [row.separates for row in with_find.rows] == [row.separates for row in alone.rows]
    assert with_find.alike == alone.alike


def test_everything_that_was_chosen_stands_on_the_handout(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker
) -> None:
    taxa = (*WHITES, "Galerina marginata")
    finds = tuple(replace(one, specimen=replace(one.specimen, number=f"n{n}")) for n, one in enumerate(found))
    facts = handout_facts(finds, taxa, MINE, press)
    heads = [column for leaf in facts.leaves for column in leaf.columns]
    assert {column.number for column in heads if column.number} == {"n0", "n1", "n2"}
    assert set(taxa) <= {column.head for column in heads}
    assert all(len(leaf.columns) <= 4 and leaf.columns[0].number == "n0" for leaf in facts.leaves)
    words = words_of(makers.handout(facts))
    assert all(name in words for name in taxa)
    assert len(facts.open_words) == 3


def test_the_handout_says_how_many_more_are_not_excluded_and_where_they_stand(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker
) -> None:
    white = unnamed(found, ("cap.colour", "white"))
    facts = handout_facts((white,), WHITES, MINE, press)
    left = weighed(white, press.prepared).weighing.hazards
    fatal = sum(hazard.severity is Severity.FATAL for hazard in left)
    (told,) = facts.open_words
    assert f"{len(left)} not excluded, {fatal} can kill: Amanita" in told
    assert told.endswith("All of them stand on its specimen sheet.")
    assert told in words_of(makers.handout(facts))


@pytest.mark.parametrize("letter", [False, True])
def test_sheet_and_handout_are_two_sides_and_no_row_stands_alone(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker, fonts: object, letter: bool
) -> None:
    pressed = replace(press, letter=letter)
    plain = replace(
        found[0],
        specimen=Specimen(
            "s1",
            "2025-001",
            collected_at=found[0].specimen.collected_at,
            habitat="beech wood",
            fruit_bodies=3,
        ),
    )
    features = [f for f in press.reference.vocabulary.features if f.kind == "states"]
    rows = tuple(
        Evidence(f"r{n}", "s1", f.id, Standing.SEEN, (press.reference.vocabulary.states_of(f.id)[0].id,))
        for n, f in enumerate(features[:36])
    )
    plain = replace(plain, evidence=rows[:14], names=())
    for find in (plain, replace(plain, evidence=()), replace(plain, evidence=rows)):
        assert len(lay_out(makers.specimen_sheet(sheet_facts(find, MINE, pressed))).pages) <= 2
        assert len(lay_out(makers.handout(handout_facts((find,), (), MINE, pressed))).pages) <= 2
    facts = handout_facts((), WHITES, MINE, pressed)
    assert len(lay_out(makers.handout(facts)).pages) == 2
    cards = lay_out(makers.drill(drill_facts((*found, found[0]), MINE, pressed)))
    assert len(cards.pages) == 2  # four finds, then the answers


def test_answers_stand_on_pages_of_their_own(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker
) -> None:
    many = tuple(found[0] for _ in range(9))
    paper = makers.drill(drill_facts(many, Reader(), press))
    sides: list[list[Block]] = [[]]
    for block in paper.blocks:
        if isinstance(block, PageBreak):
            sides.append([])
        else:
            sides[-1].append(block)
    assert len(sides) == 4  # three pages of four, four and one, then the answers
    for front in sides[:-1]:
        assert "Amanita" not in "".join(_words(front))
        assert any(isinstance(b, PictureRow) for b in front)
        assert all(
            not p.caption and not p.overlays
            for b in front
            if isinstance(b, PictureRow)
            for p in b.pictures
            if not isinstance(p, str)
        )
    assert "Amanita" in "".join(_words(sides[-1]))


def test_drill_answers_say_what_the_sheet_says_with_numbers_that_add_up(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker
) -> None:
    brown = unnamed(found, ("whole.form", "agaric"), ("print.colour", "rust"), ("ring.kind", "zone"))
    left = weighed(brown, press.prepared).weighing.hazards
    fatal = sum(hazard.severity is Severity.FATAL for hazard in left)
    (card,) = drill_facts((brown,), MINE, press).cards
    assert card.danger.startswith(f"{len(left)} not excluded, {fatal} can kill: ")
    shown, more = card.danger.split(": ", 1)[1].rsplit(" and ", 1)
    assert len(re.split(r", |; ", shown)) + int(more.removesuffix(" more")) == len(left)
    first = press.reference.named(shown.split(",")[0].split(";")[0])
    assert first is not None
    assert press.reference.severity_of(first.id) is Severity.FATAL
    words = words_of(makers.drill(drill_facts((brown,), MINE, press)))
    assert "none of the reference is close" not in words


@pytest.mark.parametrize("owner", [True, False])
def test_reports_tell_of_finds_without_a_name_that_may_be_deadly(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker, owner: bool
) -> None:
    white = unnamed(found, ("cap.colour", "white"))
    white = replace(white, specimen=replace(white.specimen, number="2025-777"))
    facts = report_facts((*found, white), MINE, press, owner=owner)
    assert facts.open_finds[0].number == "2025-777"
    assert facts.open_finds[0].name == ""
    assert "that can kill: Amanita" in facts.open_finds[0].words
    words = words_of(makers.foray_report(facts))
    assert "2025-777\nnot named\n" in words
    assert IF_EATEN in words
    assert CALL_NOW in words


def test_one_onset_for_sheet_handout_drill_report_screen_and_command_line(press: Press) -> None:
    """Every dangerous taxon of the pack, and the same words wherever one is told by name."""
    reference = press.reference
    weighing = weigh((), press.prepared)
    told = {row["taxon"]: row["onset"] for row in weighing_to_json(weighing, reference)["hazards"]}
    lines = hazard_lines(WeighedFind(weighing), reference, ())
    on_screen = {key: line.onset for key, line in lines.items()}
    assert set(told) == set(on_screen) == set(reference.dangerous)
    for key in reference.dangerous:
        taxon, severity = reference.taxon(key), reference.severity_of(key)
        assert taxon is not None
        assert severity is not None
        words = onset_words(reference, key)
        assert told[key] == on_screen[key] == taxon_line(taxon, severity, reference).onset == words, key
        dress = Dress(
            "#000000",
            "#000000",
            "#000000",
            "#000000",
            "serif",
            dict.fromkeys(Severity, ("#ffffff", "#000000")),
        )
        page = html.unescape(re.sub(r"<[^>]+>", "", taxon_page(reference, taxon, dress)))
        for onset in onsets_of(reference, key):
            assert onset.words[1:] in page, key
    groups = hazard_groups(weighing.hazards, reference)
    assert not any(group.other_forms for group in groups)
    for group in groups:
        for part in group.parts:
            assert all(stage.words in group.words() for stage in part.onset.stages)


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
