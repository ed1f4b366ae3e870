"""What Hand on says before something goes out: nothing is given away in words either."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from catalog_gui.domain.ledger import HandedOn
from catalog_gui.domain.privacy import Audience, Reader
from catalog_gui.domain.sheet import Precision
from catalog_gui.domain.specimen import Specimen
from catalog_gui.presenting.outputs import words
from catalog_gui.presenting.outputs.old_table import brought_in_words, outcome_words
from catalog_gui.presenting.outputs.state import FindLine
from catalog_gui.settings import Preferences
from catalog_gui.workflows.import_table import OldFind, TableImport
from catalog_gui.workflows.publish.order import Kind, Order

OPEN = FindLine("a", "2025-001", "Russula emetica", private=False)
PRIVATE = FindLine("b", "2025-002", "", private=True)
BOTH = (OPEN, PRIVATE)


def order(kind: Kind, *ids: str, **reader: object) -> Order:
    return Order(kind, ids, reader=replace(Reader(Precision.ONE_KM), **reader))  # type: ignore[arg-type]


def test_a_private_find_is_coarser_than_what_was_chosen() -> None:
    both = order(Kind.SHEET, "a", "b")
    assert words.precision_words(both, BOTH) == f"{Precision.ONE_KM.value}, {Precision.TEN_KM.value}"
    assert "Private finds go out as 10 km squares." in words.before_words(both, BOTH)
    assert "Private" not in words.before_words(order(Kind.SHEET, "a"), BOTH)


def test_a_find_nobody_listed_counts_as_private() -> None:
    assert words.precision_words(order(Kind.SHEET, "gone"), BOTH) == Precision.TEN_KM.value


def test_papers_without_a_place_say_that_it_is_hidden() -> None:
    pictures = order(Kind.DRILL, "a", "b", precision=Precision.EXACT, deliberate=True)
    assert words.precision_words(pictures, BOTH) == Precision.HIDDEN.value


def test_the_exact_place_waits_for_a_yes() -> None:
    waiting = order(Kind.SHEET, "a", precision=Precision.EXACT)
    assert "The exact place waits for your yes." in words.before_words(waiting, BOTH)
    said = order(Kind.SHEET, "a", precision=Precision.EXACT, deliberate=True)
    assert "waits" not in words.before_words(said, BOTH)
    assert words.exact_words(1, Audience.SCHEME).startswith("The exact place of 1 find goes to ")
    assert words.exact_words(2, Audience.SCHEME).startswith("The exact place of 2 finds go to ")


def test_what_is_left_out_is_named() -> None:
    told = words.before_words(order(Kind.SHEET, "a", names=False, notes=False, site=True), BOTH)
    assert "Left out: people's names, your notes." in told
    everything = order(Kind.SHEET, "a", names=True, notes=True, site=True)
    assert "Left out" not in words.before_words(everything, BOTH)


@pytest.mark.parametrize(
    ("audience", "given"),
    [
        (Audience.MYSELF, (True, True, True)),
        (Audience.SCHEME, (True, False, False)),
        (Audience.LANDOWNER, (False, False, True)),
        (Audience.PUBLIC, (False, False, False)),
        (Audience.COURSE, (False, False, False)),
    ],
)
def test_what_usually_stands_on_it(audience: Audience, given: tuple[bool, bool, bool]) -> None:
    usual = words.usual_reader(audience, Precision.TEN_KM)
    assert (usual.names, usual.notes, usual.site) == given
    assert not usual.deliberate


def test_names_of_files_give_nothing_away() -> None:
    assert words.file_name(order(Kind.SHEET, "a"), BOTH, ".csv").endswith("2025-001.pdf")
    two = words.file_name(order(Kind.TABLE, "a", "b"), BOTH, ".csv")
    assert two.endswith("2-finds.csv")
    assert "russula" not in two
    assert words.file_name(order(Kind.PICTURES, "a"), BOTH, ".csv").endswith("2025-001")


def test_the_chosen_kind_of_spreadsheet_stands_first() -> None:
    assert words.file_filter(Kind.TABLE, ".csv").startswith("CSV")
    assert words.file_filter(Kind.TABLE, ".xlsx").startswith("Workbook")


def test_lines_of_the_list_and_of_the_log() -> None:
    assert words.find_words(OPEN) == "2025-001   Russula emetica"
    assert words.find_words(PRIVATE) == "2025-002 *  not named yet"
    assert words.foray_words("", (OPEN,)) == "No foray yet"
    assert words.foray_words("Ash Wood", BOTH) == "Ash Wood   * place kept private"
    at = datetime(2025, 10, 18, 9, 7, tzinfo=UTC)
    entry = HandedOn("h", at, "Specimen sheet", "a scheme", "10 km square", ("a", "b"))
    preferences = Preferences(time_zone="Europe/London")
    assert words.log_words(entry, preferences) == (
        "18 October 2025, 10:07 – Specimen sheet, 2 finds\nfor a scheme, 10 km square"
    )
    assert words.saved_words(Kind.TABLE, "x.csv", 1) == "Saved: x.csv, 1 record."


def test_an_old_spreadsheet_names_its_first_bad_line() -> None:
    good = OldFind(2, Specimen("", "1"), remarks=("'soon' is no date.",))
    bad = [OldFind(3, problem="There is no number."), OldFind(7, problem="There is no number.")]
    assert outcome_words((good, *bad)).split("\n") == [
        "1 of 3 lines can come in.",
        "Line 3: There is no number. And 1 more.",
        "1 with a remark, such as line 2: 'soon' is no date.",
    ]
    assert brought_in_words(TableImport(("s",), tuple(bad)), "old.csv") == (
        "1 find brought in from old.csv; 2 left out, such as line 3: There is no number."
    )
