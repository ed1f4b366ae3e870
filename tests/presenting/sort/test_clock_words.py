"""Corrections of clocks as people type them, and the faces of clocks in pictures."""

from __future__ import annotations

from datetime import time

import pytest

from catalog_gui.domain.problem import BadInput
from catalog_gui.presenting.sort.clock_words import offset_plain, read_clock_face, read_correction


def test_faces_of_clocks() -> None:
    assert read_clock_face("14:07:31") == (time(14, 7, 31), True)
    assert read_clock_face(" 9.05 ") == (time(9, 5), False)
    with pytest.raises(BadInput):
        read_clock_face("25:00")


@pytest.mark.parametrize(
    ("typed", "seconds"),
    [
        ("+1:00:07", 3607),
        ("-0:02", -120),
        ("−38 s", -38),
        ("90", 90),
        ("1.5 min", 90),
        ("-2h", -7200),
        ("1 d", 86400),
    ],
)
def test_corrections_are_read(typed: str, seconds: float) -> None:
    assert read_correction(typed) == seconds


@pytest.mark.parametrize("typed", ["", "soon", "1:99", "1:00:60", "--3", "1:2:3:4", "5 weeks"])
def test_other_words_are_refused_with_an_example(typed: str) -> None:
    with pytest.raises(BadInput, match=r"\+1:00:07"):
        read_correction(typed)


@pytest.mark.parametrize("seconds", [0, 59, 3607, -3600, 86399, 200000])
def test_the_field_reads_what_it_shows(seconds: int) -> None:
    assert read_correction(offset_plain(seconds)) == seconds
