"""Where a find lies, by what people wrote; and the order of numbers."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog_gui.domain.foray import Foray
from catalog_gui.domain.number_order import number_key
from catalog_gui.domain.region import Region, region_of
from catalog_gui.domain.specimen import Specimen

HERE = Foray("f", "Walk", country="United Kingdom", country_code="GB", state_province="Wales", county="Powys")


@pytest.mark.parametrize(
    ("own", "region"),
    [
        ({}, ("United Kingdom", "GB", "Wales", "Powys")),
        ({"county": "Ceredigion"}, ("United Kingdom", "GB", "Wales", "Ceredigion")),
        ({"state_province": "England"}, ("United Kingdom", "GB", "England", "")),
        ({"country": "united kingdom"}, ("united kingdom", "GB", "Wales", "Powys")),
        ({"country": "France"}, ("France", "", "", "")),
        ({"country_code": "FR"}, ("", "FR", "", "")),
    ],
)
def test_what_a_find_leaves_empty_is_its_forays_where_they_agree(
    own: dict[str, str], region: tuple[str, ...]
) -> None:
    assert region_of(Specimen("s", "1", **own), HERE) == Region(*region)  # type: ignore[arg-type]


def test_without_a_foray_only_the_finds_own_words_stand() -> None:
    assert region_of(Specimen("s", "1", county="Powys"), None) == Region(county="Powys")


@pytest.mark.parametrize(
    ("region", "words"),
    [
        (Region(), ""),
        (Region("France", "FR", "Jura", "Jura"), "France, Jura"),
        (Region("", "CH", "Ticino"), "CH, Ticino"),
    ],
)
def test_words(region: Region, words: str) -> None:
    assert region.words == words


def test_two_stands_before_ten() -> None:
    numbers = ["25-10", "25-2", "25-002", "9", "K10a", "k9b", "25-1", "100000000000000000000", "25"]
    assert sorted(numbers, key=number_key) == [
        "9", "25", "25-1", "25-002", "25-2", "25-10", "100000000000000000000", "k9b", "K10a"
    ]  # fmt: skip


@given(st.integers(0, 10**12), st.integers(0, 10**12), st.sampled_from(["", "HM-", "2025-"]))
def test_plain_numbers_sort_as_they_count(first: int, second: int, prefix: str) -> None:
    assert (number_key(f"{prefix}{first}") < number_key(f"{prefix}{second}")) == (first < second)
