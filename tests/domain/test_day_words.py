"""Days and lengths as she likes them, on papers and screens."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QDate

from catalog_gui.domain.day_words import USUAL, write_day
from catalog_gui.domain.lengths import shown_size, shown_unit
from catalog_gui.views.preferences import CHOICES
from catalog_gui.views.widgets.dates import BRITISH


@given(
    st.dates(min_value=date(1000, 1, 1)),
    st.sampled_from([*CHOICES["date_format"], "dddd d MMMM yyyy", "ddd, d.M.yy", "d 'of' MMMM yyyy"]),
)
def test_days_are_written_as_qt_writes_them(day: date, pattern: str) -> None:
    """Against Qt's own writing in British English, for every pattern on offer and some more."""
    expected = BRITISH.toString(QDate(day.year, day.month, day.day), pattern)
    ours = write_day(day, pattern)
    # Newer tables of British English say 'Sept'; a three-letter month is asked for with three letters.
    assert ours == (
        expected.replace("Sept ", "Sep ") if "MMM" in pattern and "MMMM" not in pattern else expected
    )


@pytest.mark.parametrize("pattern", ["", "yyyy", "MMMM yyyy", "hello"])
def test_a_pattern_that_hides_the_day_is_not_used(pattern: str) -> None:
    assert write_day(date(2025, 10, 4), pattern) == write_day(date(2025, 10, 4), USUAL) == "4 October 2025"


@pytest.mark.parametrize(
    ("low", "high", "unit", "units", "words"),
    [
        (45, 60, "mm", "centimetre", "4.5–6 cm"),
        (4.5, 6, "cm", "metric", "45–60 mm"),
        (45, 45, "mm", "metric", "45 mm"),
        (0.25, None, "mm", "centimetre", "0.025 cm"),
        (8, 11, "µm", "centimetre", "8–11 µm"),
        (1.38, 1.38, "ratio", "centimetre", "1.38"),
        (None, None, "mm", "metric", ""),
    ],
)
def test_sizes(low: float | None, high: float | None, unit: str, units: str, words: str) -> None:
    assert shown_size(low, high, unit, units) == words


def test_areas_turn_with_lengths() -> None:
    assert shown_unit("mm²", "centimetre") == ("cm²", 0.01)
    assert shown_unit("°", "centimetre") == ("°", 1.0)
