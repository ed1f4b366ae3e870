"""Typed sizes and units (SI prefixes: mm, cm, m, µm)."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog_gui.domain.figures_typed import Span, in_unit, read_size, size_words
from catalog_gui.domain.problem import BadInput


@pytest.mark.parametrize(
    ("text", "words", "spans"),
    [
        ("45-60 mm", "", (Span(45, 60, "mm"),)),
        ("4.5–6 cm", "", (Span(4.5, 6, "cm"),)),
        ("cap 60-45", "cap", (Span(45, 60),)),
        ("8–10 × 6 µm", "", (Span(8, 10, "µm"), Span(6, 6, "µm"))),
        ("spores 8 to 10 um x 6", "spores", (Span(8, 10, "µm"), Span(6, 6, "µm"))),
        ("4,5 cm", "", (Span(4.5, 4.5, "cm"),)),
    ],
)
def test_read(text: str, words: str, spans: tuple[Span, ...]) -> None:
    assert read_size(text) == (words, spans)


@pytest.mark.parametrize("text", ["", "cap", "cap 4 to the edge", "4 5", "4-5-6", "x 4 y"])
def test_what_is_no_size(text: str) -> None:
    assert read_size(text) is None


def test_units() -> None:
    assert in_unit(4.5, "cm", "mm") == 45
    assert in_unit(0.5, "m", "mm") == 500
    assert in_unit(8, "µm", "µm") == 8
    assert in_unit(0.008, "mm", "µm") == 8
    assert in_unit(3, "", "ratio") == 3
    with pytest.raises(BadInput):
        in_unit(3, "mm", "ratio")
    with pytest.raises(BadInput):
        in_unit(math.inf, "mm", "mm")


def test_words() -> None:
    assert size_words(45, 60, "mm") == "45–60 mm"
    assert size_words(8, 8, "µm") == "8 µm"
    assert size_words(1.4, 1.6, "ratio") == "1.4–1.6"
    assert size_words(None, None, "mm") == ""


@given(st.integers(0, 9999), st.integers(0, 9999), st.sampled_from(["mm", "cm", "µm"]))
def test_what_is_said_can_be_typed_again(low: int, high: int, unit: str) -> None:
    low, high = min(low, high), max(low, high)
    assert read_size(size_words(low, high, unit)) == ("", (Span(low, high, unit),))
