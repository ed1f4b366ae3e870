"""The order of what a search found, its season and its places, against plain Python over the same values."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest

from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.foray import Foray, Place
from catalog_gui.domain.ledger import FoundOrder
from catalog_gui.domain.specimen import Determination, Specimen
from catalog_gui.geo.position import Position

NAMES = ("Russula nitida", "agaricus moelleri", "Boletus luridus", "")
SITES = ("Tansy Fen", "", "quillmoor Wood", "Aldercote")
START = datetime(2023, 8, 30, 23, 30, tzinfo=UTC)


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Catalogue]:
    """Fifty specimens, every fifth without a date, every third without a place."""
    catalogue = open_catalogue(tmp_path_factory.mktemp("order"), now=lambda: START)
    with catalogue.step("fill") as work:
        work.forays.put(Foray("f", "Walks", time_zone="Europe/London"))
        for n in range(50):
            work.specimens.put(
                Specimen(
                    f"s{n}",
                    f"24-{(n * 17) % 50:03}",
                    "f",
                    None if n % 5 == 0 else START + timedelta(days=11 * n),
                    None if n % 3 == 0 else Place(Position(51 + n / 100, -2 - n / 100), 5.0 + n),
                    site=SITES[n % 4],
                    note="oak" if n % 2 else "beech",
                )
            )
            if NAMES[n * 7 % 4]:
                work.determinations.put(Determination(f"d{n}", f"s{n}", NAMES[n * 7 % 4]))
    yield catalogue
    catalogue.close()


def keys(filled: Catalogue, order: FoundOrder, text: str = "") -> list[tuple[str, str, str, str]]:
    pages = [filled.search(text, limit=20, offset=start, order=order) for start in (0, 20, 40)]
    return [(one.number, one.name, one.site, one.local_date) for page in pages for one in page]


def last_empty(values: list[str], *, backwards: bool) -> list[str]:
    filled = sorted((v for v in values if v), key=str.casefold, reverse=backwards)
    return filled + [""] * (len(values) - len(filled))


@pytest.mark.parametrize(
    ("order", "column", "backwards"),
    [
        (FoundOrder.NUMBER, 0, False),
        (FoundOrder.NUMBER_DOWN, 0, True),
        (FoundOrder.NAME, 1, False),
        (FoundOrder.NAME_DOWN, 1, True),
        (FoundOrder.SITE, 2, False),
        (FoundOrder.SITE_DOWN, 2, True),
        (FoundOrder.OLDEST, 3, False),
        (FoundOrder.NEWEST, 3, True),
    ],
)
def test_every_order_holds_over_all_pages(
    filled: Catalogue, order: FoundOrder, column: int, *, backwards: bool
) -> None:
    found = keys(filled, order)
    assert len({row[0] for row in found}) == 50
    shown = [row[column] for row in found]
    assert [v.casefold() for v in shown] == [v.casefold() for v in last_empty(shown, backwards=backwards)]


def test_an_order_keeps_the_search(filled: Catalogue) -> None:
    wanted = {row[0] for row in keys(filled, FoundOrder.NEWEST, "oak")}
    assert len(wanted) == 25
    assert {row[0] for row in keys(filled, FoundOrder.SITE, "oak")} == wanted


def test_the_day_is_the_day_on_the_spot(filled: Catalogue) -> None:
    # 23:30 UTC on 30 August 2023 is half past midnight of the 31st in British Summer Time; s1 is 11 days later.
    found = {one.specimen_id: one for one in filled.search("")}
    assert found["s1"].local_date == "2023-09-11"
    assert found["s5"].local_date == ""


def test_season_and_places_are_those_of_the_search(filled: Catalogue) -> None:
    found = [one for one in filled.search("oak") if one.local_date]
    months = Counter(one.local_date[:7] for one in found)
    assert {f"{c.year}-{c.month:02}": c.specimens for c in filled.search_season("oak")} == dict(months)
    assert min(c.first for c in filled.search_season("oak")) == min(one.local_date for one in found)
    assert filled.search_season("nothingofthiskind") == ()
    places = {one.specimen_id: one for one in filled.search_places("oak")}
    assert set(places) == {f"s{n}" for n in range(1, 50, 2) if n % 3}
    assert (places["s7"].latitude, places["s7"].longitude) == (51.07, -2.07)
    assert places["s7"].uncertainty_m == 12.0
    assert len(filled.search_places("")) == 33
