"""Times, distances and places as the screen says them."""

from __future__ import annotations

from datetime import UTC, datetime

from catalog_gui.domain.foray import Place
from catalog_gui.geo.position import Position
from catalog_gui.presenting.words import clock_time, day, metres, offset_words, place_words, span
from catalog_gui.settings import Preferences


def test_words() -> None:
    assert span(40) == "40 s"
    assert span(130) == "2 min"
    assert span(7500) == "2 h 05 min"
    assert span(None) == "unknown time"
    assert metres(35.4) == "35 m"
    assert metres(1240) == "1.2 km"
    assert offset_words(-3607) == "−1 h 00 min 07 s"
    assert offset_words(4.2) == "+4 s"
    assert offset_words(-3600) == "−1 h"
    assert offset_words(125) == "+2 min 05 s"
    assert offset_words(86400 * 2 + 60) == "+2 d 0 h 01 min"
    assert offset_words(0.3) == "0 s"
    moment = datetime(2025, 10, 18, 9, 7, 16, tzinfo=UTC)
    assert clock_time(moment, "Europe/London") == "10:07"
    assert clock_time(moment, "Etc/GMT-1", seconds=True) == "10:07:16"
    assert day(moment, Preferences(), "Europe/London") == "18 October 2025"
    assert place_words(Place(Position(51.812784, -2.578561), 9.2)) == "51.81278, −2.57856 ± 9 m"
    assert place_words(Place(Position(51.812784, -2.578561), 150)) == "51.8128, −2.5786 ± 150 m"
