"""Packs are read as their README says, and a broken one is refused with file, line and column."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_gui.domain.feature import Fragility, Part
from catalog_gui.domain.problem import PackRefused
from catalog_gui.lookalikes.reference import ABSENT, Frequency, Severity
from catalog_gui.packs.columns import TABLES, CellKind
from catalog_gui.packs.reader import read_packs

OURS = Path(__file__).resolve().parents[2] / "resources" / "reference"

Tables = dict[str, list[list[str]]]
WritePack = Callable[..., Path]


def test_a_whole_pack_becomes_values(small_pack: Tables, write_pack: WritePack) -> None:
    reference = read_packs(write_pack(small_pack))
    alba = reference.taxon("alba")
    assert alba is not None
    assert (alba.name, alba.authority, alba.forms, alba.pack) == (
        "Testia alba",
        "Author",
        ("agaric",),
        "pack",
    )
    feature = reference.vocabulary.feature("ring.kind")
    assert feature is not None
    assert (feature.part, feature.fragility, feature.forms) == (Part.RING, Fragility.GOES, ("agaric",))
    colour = reference.vocabulary.feature("cap.colour")
    assert colour is not None
    assert colour.forms == ()
    assert reference.states_of("fusca", "ring.kind")[0].state == ABSENT
    assert reference.states_of("fusca", "ring.kind")[0].frequency is Frequency.ALWAYS
    assert reference.sizes_of("alba")[0].extreme_high == 120
    assert reference.severity_of("alba") is Severity.FATAL
    assert reference.severity_of("fusca") is None
    assert reference.named("agaricus ALBUS Author") is alba
    assert reference.absent_name("ring.kind") == "no ring seen"
    assert reference.absent_name("cap.colour") == ""
    assert reference.ties.kin == {"ring.kind": "veil"}
    assert reference.confusions_of("alba")[0].separates == ("cap.colour",)


BREAKS = [
    ("taxon_states", 2, "feature", "cap.shape", "no feature 'cap.shape'"),
    ("taxon_states", 2, "state", "blue", "no state 'blue'"),
    ("taxon_states", 2, "state", "absent", "cannot be absent"),
    ("taxon_states", 3, "source", "hearsay", "no source 'hearsay'"),
    ("taxon_states", 3, "taxon", "nigra", "no taxon 'nigra'"),
    ("taxon_states", 4, "frequency", "mostly", "not one of always"),
    ("taxon_states", 4, "frequency", "", "must not be empty"),
    ("taxon_sizes", 2, "low", "fifty", "not a number"),
    ("taxon_sizes", 2, "low", "-5", "not a number"),
    ("taxon_sizes", 2, "high", "20", "down to"),
    ("taxon_sizes", 2, "extreme_low", "60", "above"),
    ("taxon_sizes", 2, "extreme_high", "90", "below"),
    ("taxon_sizes", 2, "feature", "cap.colour", "takes states"),
    ("taxon_sizes", 2, "unit", "cm", "in mm"),
    ("hazards", 2, "severity", "deadly", "not one of fatal"),
    ("hazards", 2, "syndrome", "9Z", "no syndrome '9Z'"),
    ("hazards", 2, "onset_unit", "weeks", "not one of min, h, d"),
    ("hazards", 2, "onset_low", "30", "onset"),
    ("features", 2, "part", "hat", "not one of whole"),
    ("features", 2, "fragility", "9", "not one of 0"),
    ("features", 3, "feature", "cap.colour", "repeats"),
    ("features", 3, "needs", "veil.kind", "no feature 'veil.kind'"),
    ("states", 2, "hex", "white", "not a colour"),
    ("states", 3, "state", "white", "repeats"),
    ("states", 2, "state", "absent", "kept for"),
    ("taxa", 3, "taxon", "alba", "repeats"),
    ("taxa", 3, "taxon", "two words", "not an id"),
    ("confusions", 2, "separates", "cap.colour|cap.nose", "no feature 'cap.nose'"),
    ("confusions", 2, "lookalike", "alba", "its own lookalike"),
    ("synonyms", 2, "taxon", "rubra", "no taxon 'rubra'"),
]


@pytest.mark.parametrize(("table", "line", "column", "cell", "reason"), BREAKS)
def test_a_broken_cell_is_named(
    small_pack: Tables, write_pack: WritePack, table: str, line: int, column: str, cell: str, reason: str
) -> None:
    rows = small_pack[table]
    rows[line - 1][rows[0].index(column)] = cell
    folder = write_pack(small_pack)
    with pytest.raises(PackRefused) as refused:
        read_packs(folder)
    assert reason in refused.value.reason
    assert (refused.value.line, refused.value.column) == (line, column)
    assert str(folder / f"{table}.csv") in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_row_with_a_cell_too_many(small_pack: Tables, write_pack: WritePack) -> None:
    small_pack["taxa"][2].append("one too many")
    with pytest.raises(PackRefused, match=r"line 3.*12 cells"):
        read_packs(write_pack(small_pack))


def test_the_line_is_right_after_a_cell_with_a_line_break(small_pack: Tables, write_pack: WritePack) -> None:
    small_pack["taxa"][1][9] = "a note\nof two lines"
    small_pack["taxa"][2][10] = "hearsay"
    with pytest.raises(PackRefused) as refused:
        read_packs(write_pack(small_pack))
    assert refused.value.line == 4


def test_a_wrong_header(small_pack: Tables, write_pack: WritePack) -> None:
    small_pack["taxa"][0][1] = "title"
    with pytest.raises(PackRefused, match="Column 2 should be 'name' and says 'title'"):
        read_packs(write_pack(small_pack))


def test_a_further_column_is_let_through(small_pack: Tables, write_pack: WritePack) -> None:
    for row in small_pack["taxa"]:
        row.append("red_list" if row[0] == "taxon" else "LC")
    assert len(read_packs(write_pack(small_pack)).taxa) == 2


@pytest.mark.parametrize("table", ["features", "states", "taxa", "taxon_states", "hazards"])
def test_a_missing_table(small_pack: Tables, write_pack: WritePack, table: str) -> None:
    del small_pack[table]
    with pytest.raises(PackRefused, match=rf"{table}\.csv"):
        read_packs(write_pack(small_pack))


def test_a_table_that_nobody_would_read(small_pack: Tables, write_pack: WritePack) -> None:
    """A misspelt hazards.csv must not pass for a pack without hazards."""
    small_pack["hazard"] = small_pack["hazards"]
    with pytest.raises(PackRefused, match=r"hazard\.csv"):
        read_packs(write_pack(small_pack))


def test_not_utf8(small_pack: Tables, write_pack: WritePack) -> None:
    folder = write_pack(small_pack)
    path = folder / "taxa.csv"
    path.write_bytes(path.read_bytes().replace(b"White one", "Weißer".encode("latin-1")))
    with pytest.raises(PackRefused, match="UTF-8") as refused:
        read_packs(folder)
    assert refused.value.line == 2


def test_an_open_quote(small_pack: Tables, write_pack: WritePack) -> None:
    folder = write_pack(small_pack)
    path = folder / "taxon_states.csv"
    path.write_text(path.read_text("utf-8") + 'alba,cap.colour,"white', "utf-8")
    with pytest.raises(PackRefused, match="cannot be split"):
        read_packs(folder)


def test_a_byte_order_mark_and_windows_line_ends_are_read(small_pack: Tables, write_pack: WritePack) -> None:
    folder = write_pack(small_pack)
    for path in folder.iterdir():
        path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    assert len(read_packs(folder).taxa) == 2


def test_no_such_folder(tmp_path: Path) -> None:
    with pytest.raises(PackRefused, match="no such folder"):
        read_packs(tmp_path / "nowhere")


def test_a_second_pack_adds_and_overrides_visibly(small_pack: Tables, write_pack: WritePack) -> None:
    first = write_pack(small_pack, "first")
    mine: Tables = {
        "sources": [small_pack["sources"][0], ["own", "My own notes", "memory", "", "yes"]],
        "taxa": [
            small_pack["taxa"][0],
            [
                "alba",
                "Testia alba",
                "Author",
                "species",
                "Testia",
                "",
                "My white one",
                "agaric",
                "",
                "",
                "own",
            ],
            ["nova", "Testia nova", "Me", "species", "Testia", "", "", "agaric", "", "", "own"],
        ],
        "taxon_states": [
            small_pack["taxon_states"][0],
            ["alba", "cap.colour", "white", "always", "own", ""],
            ["alba", "cap.colour", "brown", "rarely", "own", ""],
            ["nova", "cap.colour", "brown", "usually", "flora", ""],
        ],
    }
    reference = read_packs(first, write_pack(mine, "mine"))
    assert reference.packs == ("first", "mine")
    alba = reference.taxon("alba")
    assert alba is not None
    assert (alba.english, alba.pack) == ("My white one", "mine")
    colours = {
        row.state: (row.frequency.value, row.pack) for row in reference.states_of("alba", "cap.colour")
    }
    assert colours == {"white": ("always", "mine"), "brown": ("rarely", "mine")}
    assert reference.states_of("alba", "ring.kind")[0].pack == "first"
    assert reference.taxon("nova") is not None
    assert {(o.table, o.key, o.earlier, o.later) for o in reference.overrides} == {
        ("taxa", ("alba",), "first", "mine"),
        ("taxon_states", ("alba", "cap.colour", "white"), "first", "mine"),
    }


def test_a_second_pack_never_takes_a_hazard_away(small_pack: Tables, write_pack: WritePack) -> None:
    first = write_pack(small_pack, "first")
    header, row = small_pack["hazards"]
    milder = row.copy()
    milder[header.index("severity")] = "unpleasant"
    reference = read_packs(first, write_pack({"hazards": [header, milder]}, "mine"))
    assert reference.severity_of("alba") is Severity.FATAL
    assert {hazard.pack for hazard in reference.hazards_of("alba")} == {"first", "mine"}


def test_two_sources_may_disagree_but_not_repeat(small_pack: Tables, write_pack: WritePack) -> None:
    small_pack["sources"].append(["other", "Another invented flora", "book", "1950", "no"])
    small_pack["taxon_states"].append(["alba", "cap.colour", "white", "sometimes", "other", ""])
    reference = read_packs(write_pack(small_pack))
    assert len(reference.states_of("alba", "cap.colour")) == 2


def test_our_own_pack_is_sound() -> None:
    reference = read_packs(OURS)
    assert len(reference.taxa) >= 120
    assert len(reference.dangerous) >= 40
    pairs = {frozenset((c.taxon, c.lookalike)) for c in reference.confusions}
    assert len(pairs) >= 60
    for taxon in reference.taxa:
        assert reference.all_states_of(taxon.id), f"{taxon.id} has no states"


@settings(max_examples=20)
@given(data=st.data())
def test_one_spoilt_cell_of_our_own_pack_is_found(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Whatever cell is spoilt with a word that fits nowhere: file, line and column are named."""
    form = data.draw(st.sampled_from([t for t in TABLES if t.name not in {"sources", "states", "taxa"}]))
    column = data.draw(
        st.sampled_from(
            [
                c
                for c in form.columns
                if c.cell not in {CellKind.TEXT, CellKind.LIST, CellKind.KEY, CellKind.NEW_KEY}
            ]
        )
    )
    folder = tmp_path_factory.mktemp("spoilt") / "pack"
    shutil.copytree(OURS, folder)
    path = folder / form.file
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    line = data.draw(st.integers(2, len(rows)))
    rows[line - 1][rows[0].index(column.name)] = "no such thing"
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows(rows)
    with pytest.raises(PackRefused) as refused:
        read_packs(folder)
    assert (refused.value.line, refused.value.column) == (line, column.name)
    assert form.file in str(refused.value)


def test_stages_of_two_packs_stand_beside_each_other(
    small_pack: Tables, write_pack: WritePack, tmp_path: Path
) -> None:
    head = ["syndrome", "stage", "what", "low", "high", "unit", "counts", "may_be_missing", "source", "note"]
    small_pack["stages"] = [head, ["1A", "1", "gut", "6", "24", "h", "first gut trouble", "", "flora", ""]]
    small_pack["syndromes"] = [
        [*small_pack["syndromes"][0], "poison", "organ", "harm", "harm_source"],
        ["1A", "liver damage", "", "flora", "Testtoxin", "liver", "liver failure", "flora"],
    ]
    ours = write_pack(small_pack)
    later = tmp_path / "mine"
    later.mkdir()
    (later / "syndromes.csv").write_text("syndrome,name,what_happens,source\n1A,my words,,flora\n", "utf-8")
    (later / "stages.csv").write_text(
        ",".join(head) + "\n1A,1,gut,10,12,h,first gut trouble,,flora,\n", "utf-8"
    )
    reference = read_packs(ours, later)
    assert [(row.low, row.high) for row in reference.stages_of("1A")] == [(6, 24), (10, 12)]
    syndrome = reference.syndrome("1A")
    assert syndrome is not None
    assert (syndrome.name, syndrome.poison, syndrome.organ) == ("my words", "Testtoxin", "liver")
    assert syndrome.harm == "liver failure"


@pytest.mark.parametrize(
    ("cells", "column", "words"),
    [
        (
            ["1A", "1", "gut", "6", "", "h", "", "", "flora", ""],
            "low",
            "needs a beginning, an end and a unit",
        ),
        (["1A", "1", "gut", "24", "6", "h", "", "", "flora", ""], "low", "later than it ends"),
        (["9Z", "1", "gut", "6", "24", "h", "", "", "flora", ""], "syndrome", "no syndrome '9Z'"),
        (["1A", "0", "gut", "6", "24", "h", "", "", "flora", ""], "stage", "not one of"),
    ],
)
def test_a_stage_that_makes_no_sense_is_refused(
    small_pack: Tables, write_pack: WritePack, cells: list[str], column: str, words: str
) -> None:
    head = ["syndrome", "stage", "what", "low", "high", "unit", "counts", "may_be_missing", "source", "note"]
    small_pack["stages"] = [head, cells]
    with pytest.raises(PackRefused) as refused:
        read_packs(write_pack(small_pack))
    assert words in str(refused.value)
    assert refused.value.column == column
