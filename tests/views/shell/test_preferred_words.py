"""Days, places and sizes as she prefers them."""

from __future__ import annotations

import pytest

from catalog_gui.domain.foray import Place
from catalog_gui.geo.position import Position
from catalog_gui.presenting.words import place_words, size_words, written_day
from catalog_gui.settings import Preferences, ScreenGrid, Units
from catalog_gui.views.preferences import CHOICES


@pytest.mark.parametrize(
    ("low", "high", "unit", "units", "words"),
    [
        (65.0, 88.0, "mm", "metric", "65–88 mm"),
        (65.0, 88.0, "mm", "centimetre", "6.5–8.8 cm"),
        (6.5, 6.5, "cm", "metric", "65 mm"),
        (None, 12.0, "mm", "centimetre", "1.2 cm"),
        (8.6, 10.2, "µm", "centimetre", "8.6–10.2 µm"),  # spores stay in micrometres
        (3.0, 5.0, "", "metric", "3–5"),
        (None, None, "mm", "metric", ""),
    ],
)
def test_sizes(low: float | None, high: float | None, unit: str, units: str, words: str) -> None:
    assert size_words(low, high, unit, Preferences(units=Units(units))) == words


def test_places_in_every_grid_she_can_choose() -> None:
    # The worked example of the Ordnance Survey's guide to coordinate systems,
    # TG 51409 13177; its WGS 84 position is written from memory.
    place = Place(Position(52.6579786, 1.7160517), 4.0)
    written = {grid: place_words(place, Preferences(grid=ScreenGrid(grid))) for grid in CHOICES["grid"]}
    assert written["latitude and longitude"] == place_words(place) == "52.65798, 1.71605 ± 4 m"
    assert written["British"].replace(" ", "").startswith("TG514131")
    assert written["Irish"] == written["British"]  # the usual grid of the place
    assert written["UTM"].startswith("31U")
    assert written["MGRS"].startswith("31U")
    assert all(words.endswith(" ± 4 m") for words in written.values())
    assert place_words(None, Preferences(grid=ScreenGrid("British"))) == "no place"


def test_days() -> None:
    assert written_day("2025-10-04", Preferences(date_format="d MMM yyyy")) == "4 Oct 2025"
    assert written_day("", Preferences()) == "no date"
    assert set(CHOICES["date_format"].values()) >= {"4 October 2025", "2025-10-04"}
