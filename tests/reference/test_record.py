"""The record of what was read: notes taken apart, entered, and built into tables."""

from __future__ import annotations

from pathlib import Path

import pytest

from resources.reading.build import Builder, frequency_of, kept_from_memory
from resources.reading.entry import Record, Vocabulary, citation, mix_ups_of, names_of, poisonings_of
from resources.reading.measure import wilson
from resources.reading.notes import NotesProblem, blocks_of
from resources.reading.record import RECORD, REFERENCE, TABLES, rows_of, write

NOTES = """
# a comment
= https://sheets.example.org/funnel
kind: society-sheet
title: Clitocybe inventa
publisher: Society of Inventors
author: A. Nobody
year: 2001
lang: en
extent: whole
level: species
family: own
taxon: clitocybe-inventa
as: Clitocybe inventa (Nob.) Else
synonyms: Agaricus inventus Nob. | Lepista inventa (Nob.) Other sensu Third
cap.shape: convex, flat~, funnel%, not conical
cap.width: (15) 20-65.5 (80-90) mm
stem.length: -80 mm
micro.spore-length: 6-8 µm n=30
season.month: sep, oct (season)
confused: clitocybe-altera ; separates gills.attachment, print.colour ; does-not-separate cap.colour ; note once
hazard: 2B ; toxin muscarine ; severity deaths (two cases) ; gut 15 min-2 h ; organ heart 1-3 h ; note in children
other: stem.surface ; bands
note: the page is short
"""
NUMBERS = frozenset({"cap.width", "stem.length", "micro.spore-length"})


def test_notes_are_taken_apart() -> None:
    (block,) = blocks_of(NOTES, NUMBERS)
    assert block.address == "https://sheets.example.org/funnel"
    assert [(s.state, s.shows, s.how_often, s.basis) for s in block.states] == [
        ("convex", True, "unsaid", "direct"),
        ("flat", True, "sometimes", "direct"),
        ("funnel", True, "rare", "direct"),
        ("conical", False, "unsaid", "direct"),
        ("sep", True, "unsaid", "season"),
        ("oct", True, "unsaid", "season"),
    ]
    cap, stem, spore = block.sizes
    assert (cap.low, cap.high, cap.extreme_low, cap.extreme_high) == ("20", "65.5", "15", "90")
    assert (stem.low, stem.high) == ("", "80")
    assert (spore.low, spore.high, spore.n) == ("6", "8", "30")


@pytest.mark.parametrize(
    ("line", "said"),
    [("cap.width: broad", "not a range"), ("cap.shape", "is not 'name: value'")],
)
def test_a_line_that_cannot_be_read_is_named(line: str, said: str) -> None:
    with pytest.raises(NotesProblem, match=said):
        list(blocks_of(f"= https://a.example.org\n{line}\n", NUMBERS))


def test_names_mix_ups_and_poisonings() -> None:
    (block,) = blocks_of(NOTES, NUMBERS)
    assert [(n["name"], n["authority"], n["role"], n["sense"]) for n in names_of(block)] == [
        ("Clitocybe inventa", "(Nob.) Else", "accepted", ""),
        ("Agaricus inventus", "Nob.", "synonym", ""),
        ("Lepista inventa", "(Nob.) Other", "synonym", "sensu Third"),
    ]
    (pair,) = mix_ups_of(block)
    assert (pair["lookalike"], pair["separates"]) == ("clitocybe-altera", "gills.attachment|print.colour")
    (poisoning,) = poisonings_of(block)
    assert poisoning["severity"] == "deaths"
    assert poisoning["organ"] == "heart"
    assert (poisoning["organ_low"], poisoning["organ_high"], poisoning["organ_unit"]) == ("1", "3", "h")
    assert "in children" in poisoning["note"]


def test_entering_twice_is_entering_once(tmp_path: Path) -> None:
    vocabulary = Vocabulary.read()
    blocks = list(blocks_of(NOTES, frozenset(vocabulary.numbers)))
    record = Record({}, {name: [] for name in TABLES})
    once = record.enter(blocks, vocabulary, read_on="2026-12-01", checked="")
    first = {name: list(rows) for name, rows in record.tables.items()}
    assert record.enter(blocks, vocabulary, read_on="2026-12-01", checked="") == once
    assert record.tables == first
    record.save(tmp_path)
    assert Record.read(tmp_path).tables["statements"]
    assert len(Record.read(tmp_path).tables["statements"]) == len(first["statements"])


def test_an_unknown_state_enters_nothing() -> None:
    vocabulary = Vocabulary.read()
    blocks = list(blocks_of(NOTES.replace("convex", "square"), frozenset(vocabulary.numbers)))
    record = Record({}, {name: [] for name in TABLES})
    with pytest.raises(NotesProblem, match="no state 'square'"):
        record.enter(blocks, vocabulary, read_on="2026-12-01", checked="")
    assert not record.sources


def test_an_unknown_severity_is_named_and_never_passed_over() -> None:
    vocabulary = Vocabulary.read()
    blocks = list(
        blocks_of(NOTES.replace("severity deaths", "severity deadly"), frozenset(vocabulary.numbers))
    )
    record = Record({}, {name: [] for name in TABLES})
    with pytest.raises(NotesProblem, match="the severity 'deadly' is not one of"):
        record.enter(blocks, vocabulary, read_on="2026-12-01", checked="")


@pytest.mark.parametrize(
    ("marks", "texts", "word"),
    [
        (["unsaid"], 1, "usually"),
        (["unsaid", "usual"], 3, "usually"),
        (["unsaid"], 3, "sometimes"),
        (["sometimes", "sometimes"], 2, "sometimes"),
        (["rare"], 2, "rarely"),
        (["unsaid"], 6, "rarely"),
    ],
)
def test_texts_become_a_word(marks: list[str], texts: int, word: str) -> None:
    assert frequency_of(marks, texts) == word


def test_memory_gives_way_later_for_what_poisons() -> None:
    for texts in range(1, 6):
        harmless = kept_from_memory("usually", texts, poisons=False, wears=False)
        poisonous = kept_from_memory("usually", texts, poisons=True, wears=False)
        order = ["usually", "sometimes", "rarely", ""]
        assert order.index(poisonous) <= order.index(harmless)
    assert kept_from_memory("usually", 9, poisons=True, wears=True) == "usually"
    assert kept_from_memory("usually", 2, poisons=True, wears=False) == "rarely"
    assert kept_from_memory("usually", 2, poisons=False, wears=False) == ""


def test_copied_text_is_one_witness(tmp_path: Path) -> None:
    folder = _pack(tmp_path)
    copy = NOTES.replace("sheets.example.org", "copies.example.org").replace(
        "family: own", "family: https://sheets.example.org/funnel"
    )
    vocabulary, record = Vocabulary.read(folder), Record.read(folder)
    blocks = list(blocks_of(NOTES + copy, frozenset(vocabulary.numbers)))
    record.enter(blocks, vocabulary, read_on="2026-12-01", checked="")
    record.save(folder)
    rows = {(r["feature"], r["state"]): r for r in Builder(folder).states}
    assert rows["cap.shape", "convex"]["texts"] == "1/1"
    assert rows["cap.shape", "convex"]["further"].count("clitocybe-inventa") == 1
    assert rows["cap.shape", "conical"]["frequency"] == "never"
    (size,) = (r for r in Builder(folder).sizes if r["feature"] == "stem.length")
    assert float(size["low"]) < float(size["high"]) == 80
    assert "up to 80" in size["note"]


def _pack(tmp_path: Path) -> Path:
    folder = tmp_path / "reference"
    (folder / "record").mkdir(parents=True)
    for name in ("features.csv", "states.csv"):
        (folder / name).write_bytes((REFERENCE / name).read_bytes())
    columns = ("taxon", "name", "authority", "forms")
    write(
        folder / "record" / "taxa.csv",
        columns,
        [{"taxon": "clitocybe-inventa", "name": "Clitocybe inventa", "forms": "agaric"}],
    )
    return folder


def test_a_source_prints_what_is_known_of_it() -> None:
    assert citation("A. Nobody", "2001", "A title", "A press", "https://a.example.org") == (
        "A. Nobody 2001. A title. A press. https://a.example.org"
    )
    assert citation("", "", "A title", "", "https://a.example.org") == "A title. https://a.example.org"


def test_the_interval_of_a_share() -> None:
    """Against the worked example of Newcombe 1998, Statistics in Medicine 17:857-872 (81 of 263)."""
    low, high = wilson(81, 263)
    assert (round(low, 4), round(high, 4)) == (0.2553, 0.3662)


def test_every_statement_names_a_source_that_is_listed() -> None:
    sources = {row["source"] for row in rows_of(REFERENCE / "sources.csv")}
    for table in TABLES:
        for row in rows_of(RECORD / f"{table}.csv"):
            assert row["source"] in sources, (table, row)


def test_the_tables_are_what_the_record_gives() -> None:
    for name, text in Builder().tables().items():
        assert (REFERENCE / name).read_text(encoding="utf-8") == text, f"{name}: run resources.reading.build"
