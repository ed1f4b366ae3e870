"""Old spreadsheets: meanings proposed, nothing invented, every line accounted for."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog_gui import assets
from catalog_gui.catalogue.store import Catalogue
from catalog_gui.domain.problem import BadInput, Cancelled
from catalog_gui.domain.record import Table
from catalog_gui.domain.region import Region, region_of
from catalog_gui.domain.specimen import Qualifier, Specimen
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.outputs.spreadsheet import HEAD
from catalog_gui.packs.reader import read_packs
from catalog_gui.workflows.import_table import Column, bring_in, guess_columns, read_date, read_lines
from catalog_gui.workflows.ports import Surroundings
from catalog_gui.workflows.publish.places import radius_m
from catalog_gui.workflows.sorting import next_number


@pytest.fixture(scope="module")
def reference() -> Reference:
    return read_packs(assets.reference_pack())


COLUMNS = (
    Column.NUMBER,
    Column.NAME,
    Column.DATE,
    Column.PLACE,
    Column.UNCERTAINTY,
    Column.COUNT,
    Column.NOTE,
)


def table(*rows: tuple[str, ...]) -> Table:
    return Table("old.csv", tuple(column.value for column in COLUMNS), rows)


@pytest.mark.parametrize(
    ("head", "meaning"),
    [
        ("Grid Ref.", Column.PLACE), ("decimalLatitude", Column.LATITUDE), ("recordedBy", Column.RECORDER),
        ("Leg.", Column.RECORDER), ("Det.", Column.DETERMINER), ("Scientific Name", Column.NAME),
        ("coordinateUncertaintyInMeters", Column.UNCERTAINTY), ("Locality", Column.SITE),
        ("Colour of my hat", Column.LEAVE), ("stateProvince", Column.PROVINCE), ("countryCode", Column.COUNTRY_CODE),
        ("Vice-county", Column.COUNTY), ("Country", Column.COUNTRY),
    ],
)  # fmt: skip
def test_heads_are_understood(head: str, meaning: Column) -> None:
    assert guess_columns((head,)) == (meaning,)


def test_our_own_spreadsheet_is_understood() -> None:
    guesses = dict(zip(HEAD, guess_columns(HEAD), strict=True))
    for name, meaning in (
        ("Number", Column.NUMBER), ("Scientific name", Column.NAME), ("Doubt", Column.QUALIFIER),
        ("Determiner", Column.DETERMINER), ("Recorder", Column.RECORDER), ("Date", Column.DATE),
        ("Grid reference", Column.PLACE), ("Latitude", Column.LATITUDE), ("Longitude", Column.LONGITUDE),
        ("Uncertainty in m", Column.UNCERTAINTY), ("Notes", Column.NOTE), ("Voucher", Column.VOUCHER),
        ("Country", Column.COUNTRY), ("Country code", Column.COUNTRY_CODE),
        ("Province or state", Column.PROVINCE), ("County", Column.COUNTY),
    ):  # fmt: skip
        assert guesses[name] is meaning


def test_each_meaning_once() -> None:
    guesses = guess_columns(("Name", "Species", "Taxon"))
    assert guesses == (Column.NAME, Column.LEAVE, Column.LEAVE)


@pytest.mark.parametrize(
    ("text", "day", "words"),
    [  # check-values C3: parts that are not known stay unknown
        ("2003-10-05", date(2003, 10, 5), ""),
        ("2018-08-29T15:19", date(2018, 8, 29), ""),
        ("5/10/2003", date(2003, 10, 5), ""),
        ("5.10.2003", date(2003, 10, 5), ""),
        ("5 October 2003", date(2003, 10, 5), ""),
        ("5 Oct. 2003", date(2003, 10, 5), ""),
        ("1971", None, "1971"),
        ("1906-06", None, "1906-06"),
        ("autumn 1998", None, "autumn 1998"),
        ("2007-11-13/15", None, "2007-11-13/15"),
        ("2024-02-30", None, "2024-02-30"),
        ("31/11/2003", None, "31/11/2003"),
        ("", None, ""),
    ],
)
def test_dates(text: str, day: date | None, words: str) -> None:
    assert read_date({Column.DATE: text}, day_first=True) == (day, words)


def test_month_first_when_she_says_so() -> None:
    assert read_date({Column.DATE: "3/10/1998"}, day_first=True)[0] == date(1998, 10, 3)
    assert read_date({Column.DATE: "3/10/1998"}, day_first=False)[0] == date(1998, 3, 10)
    parts = {Column.YEAR: "1998", Column.MONTH: "3", Column.DAY: "10"}
    assert read_date(parts, day_first=True)[0] == date(1998, 3, 10)
    assert read_date({Column.YEAR: "1998"}, day_first=True) == (None, "1998")


@given(st.dates(date(1800, 1, 1), date(2100, 1, 1)))
def test_every_day_comes_back(day: date) -> None:
    for text in (day.isoformat(), f"{day.day}/{day.month}/{day.year}", f"{day.day} {day:%B} {day.year}"):
        assert read_date({Column.DATE: text}, day_first=True) == (day, "")


def test_nothing_is_invented(reference: Reference) -> None:
    (find,) = read_lines(
        table(("", "Boletus edulis", "1998", "by the old mill", "", "several", "")), COLUMNS, reference
    )
    assert find.specimen is not None
    assert find.specimen.collected_at is None
    assert find.specimen.place is None
    assert find.specimen.fruit_bodies is None
    assert "Date as written: 1998" in find.specimen.note
    assert "Place as written: by the old mill" in find.specimen.note
    assert "Fruit bodies as written: several" in find.specimen.note
    assert len(find.remarks) == 2


@pytest.mark.parametrize(("code", "kept"), [("gb", "GB"), ("CH", "CH"), ("GBR", ""), ("Wales", ""), ("", "")])
def test_the_region_is_what_the_line_says(code: str, kept: str, reference: Reference) -> None:
    columns = (
        Column.NUMBER,
        Column.COUNTRY,
        Column.COUNTRY_CODE,
        Column.PROVINCE,
        Column.COUNTY,
        Column.PLACE,
    )
    lines = Table(
        "old.csv", tuple(c.value for c in columns), (("1", "", code, "Wales", "Powys", "SO123456"),)
    )
    (find,) = read_lines(lines, columns, reference)
    assert find.specimen is not None
    assert region_of(find.specimen, None) == Region("", kept, "Wales", "Powys")
    assert (f"Country code as written: {code}" in find.specimen.note) is bool(code and not kept)


# check-values A2.11 and C2: SU387148 is a square of 100 m; its centre and 71 m (76 with the datum shift) hold it.
@pytest.mark.parametrize(
    ("place", "stated", "low", "high"),
    [
        ("SU387148", "", 71, 78),
        ("SU387148", "250", 250, 250),
        ("50.931804, -1.449961", "", 30, 30),
        ("50.931804, -1.449961", "12 m", 12, 12),
        ("50.93, -1.45", "", 1300, 1420),
    ],
)
def test_places_with_honest_uncertainty(
    place: str, stated: str, low: int, high: int, reference: Reference
) -> None:
    (find,) = read_lines(
        table(("1", "Boletus edulis", "2003-10-05", place, stated, "3", "")), COLUMNS, reference
    )
    assert find.specimen is not None
    assert find.specimen.place is not None
    assert low <= radius_m(find.specimen.place) <= high
    assert find.specimen.place.position.latitude == pytest.approx(50.9318, abs=0.01)
    assert find.specimen.fruit_bodies == 3
    assert find.specimen.collected_at == datetime(2003, 10, 5, tzinfo=UTC)


def test_names_and_doubt(reference: Reference) -> None:
    lines = read_lines(
        table(
            ("1", "Amanita cf. phalloides", "", "", "", "", ""), ("2", "Nomen ignotum", "", "", "", "", "")
        ),
        COLUMNS,
        reference,
    )
    first, second = (find.name for find in lines)
    assert first is not None
    assert second is not None
    assert (first.name, first.qualifier, first.taxon) == (
        "Amanita phalloides",
        Qualifier.CF,
        "amanita-phalloides",
    )
    assert (second.name, second.taxon) == ("Nomen ignotum", "")


def test_mappings_that_cannot_be(reference: Reference) -> None:
    rows = table(("1", "x", "", "", "", "", ""))
    with pytest.raises(BadInput, match="Two columns"):
        read_lines(rows, (Column.NAME, Column.NAME, *COLUMNS[2:]), reference)
    with pytest.raises(BadInput, match="name"):
        read_lines(rows, (Column.LEAVE, Column.LEAVE, *COLUMNS[2:]), reference)


def test_every_line_is_accounted_for(
    records: Catalogue, reference: Reference, surroundings: Surroundings
) -> None:
    with records.step("Before") as work:
        work.specimens.put(Specimen("old", "7"))
    rows = (
        ("7", "Boletus edulis", "", "", "", "", ""),  # the number is taken
        ("8", "Russula vesca", "2003-10-05", "SU387148", "", "", ""),
        ("8", "Russula vesca", "", "", "", "", ""),  # twice in the file
        ("", "Lactarius turpis", "2004-09-01", "", "", "", ""),
        ("", "Lactarius turpis", "2004-09-01", "", "", "", ""),
        ("", "", "2004-09-01", "", "", "", "only a note"),
    )
    finds = read_lines(table(*rows), COLUMNS, reference)
    with records.step("Bring in") as work:
        outcome = bring_in(work, table(*rows), finds, surroundings, next_number)
    assert [find.line for find in outcome.left_out] == [2, 4, 7]
    assert all(find.problem for find in outcome.left_out)
    with records.read() as work:
        kept = [work.specimens.get(key) for key in outcome.specimens]
        assert [one.number for one in kept if one] == ["8", "2004-001", "2004-002"]
        (foray,) = work.forays.all()
        assert foray.title == "From old.csv"
        assert all(one.foray_id == foray.id and one.private_place for one in kept if one)
        assert work.determinations.count() == 3
    records.undo()
    with records.read() as work:
        assert [one.number for one in work.specimens.all()] == ["7"]
        assert work.forays.count() == 0


def test_stopping_keeps_nothing(records: Catalogue, reference: Reference, surroundings: Surroundings) -> None:
    rows = table(("1", "Boletus edulis", "", "", "", "", ""))
    finds = read_lines(rows, COLUMNS, reference)
    with pytest.raises(Cancelled), records.step("Bring in") as work:
        bring_in(work, rows, finds, surroundings, next_number, cancelled=lambda: True)
    with records.read() as work:
        assert work.specimens.count() == 0
