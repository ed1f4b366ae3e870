"""Colour against check-values G3, all pairs of Sharma, Wu & Dalal 2005, and Qt's own list of names."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtGui import QColor

from catalog_gui.annotation import colour
from catalog_gui.annotation.colour_names import CSS_NAMES, PLAIN_WORDS
from catalog_gui.domain.problem import BadInput

# Sharma, Wu & Dalal 2005, Color Research & Application 30:21-30, table 1: Lab 1, Lab 2, difference.
SHARMA = """
50 2.6772 -79.7751 50 0 -82.7485 2.0425
50 3.1571 -77.2803 50 0 -82.7485 2.8615
50 2.8361 -74.0200 50 0 -82.7485 3.4412
50 -1.3802 -84.2814 50 0 -82.7485 1.0000
50 -1.1848 -84.8006 50 0 -82.7485 1.0000
50 -0.9009 -85.5211 50 0 -82.7485 1.0000
50 0 0 50 -1 2 2.3669
50 -1 2 50 0 0 2.3669
50 2.49 -0.001 50 -2.49 0.0009 7.1792
50 2.49 -0.001 50 -2.49 0.0010 7.1792
50 2.49 -0.001 50 -2.49 0.0011 7.2195
50 2.49 -0.001 50 -2.49 0.0012 7.2195
50 -0.001 2.49 50 0.0009 -2.49 4.8045
50 -0.001 2.49 50 0.0010 -2.49 4.8045
50 -0.001 2.49 50 0.0011 -2.49 4.7461
50 2.5 0 50 0 -2.5 4.3065
50 2.5 0 73 25 -18 27.1492
50 2.5 0 61 -5 29 22.8977
50 2.5 0 56 -27 -3 31.9030
50 2.5 0 58 24 15 19.4535
50 2.5 0 50 3.1736 0.5854 1.0000
50 2.5 0 50 3.2972 0 1.0000
50 2.5 0 50 1.8634 0.5757 1.0000
50 2.5 0 50 3.2592 0.3350 1.0000
60.2574 -34.0099 36.2677 60.4626 -34.1751 39.4387 1.2644
63.0109 -31.0961 -5.8663 62.8187 -29.7946 -4.0864 1.2630
61.2901 3.7196 -5.3901 61.4292 2.2480 -4.9620 1.8731
35.0831 -44.1164 3.7933 35.0232 -40.0716 1.5901 1.8645
22.7233 20.0904 -46.6940 23.0331 14.9730 -42.5619 2.0373
36.4612 47.8580 18.3852 36.2715 50.5065 21.2231 1.4146
90.8027 -2.0831 1.4410 91.1528 -1.6435 0.0447 1.4441
90.9257 -0.5406 -0.9208 88.6381 -0.8985 -0.7239 1.5381
6.7747 -0.2908 -2.4247 5.8714 -0.0985 -2.2286 0.6377
2.0776 0.0795 -1.1350 0.9033 -0.0636 -0.5514 0.9082
"""
ROWS = [tuple(float(v) for v in line.split()) for line in SHARMA.strip().splitlines()]


@pytest.mark.parametrize("row", ROWS, ids=[f"pair-{i}" for i in range(1, 35)])
def test_published_pairs(row: tuple[float, ...]) -> None:  # G3
    first, second = row[:3], row[3:6]
    assert colour.ciede2000(first, second) == pytest.approx(row[6], abs=1e-4)  # type: ignore[arg-type]
    assert colour.ciede2000(second, first) == pytest.approx(row[6], abs=1e-4)  # type: ignore[arg-type]


def test_all_pairs_are_there() -> None:
    assert len(ROWS) == 34


@pytest.mark.parametrize(
    ("rgb", "expected", "tolerance"),
    [
        ((128, 128, 128), (53.585, 0, 0), 0.02),  # G3.1
        ((255, 0, 0), (53.233, 80.111, 67.224), 0.05),  # G3.2
        ((255, 255, 0), (97.138, -21.554, 94.489), 0.05),
        ((0, 0, 255), (32.303, 79.198, -107.850), 0.05),
        ((255, 255, 255), (100, 0, 0), 0.02),  # G3.3
        ((0, 0, 0), (0, 0, 0), 1e-9),
        ((139, 69, 19), (37.467, 26.448, 40.989), 0.05),  # G3.4
    ],
)
def test_lab(rgb: colour.Rgb, expected: colour.Lab, tolerance: float) -> None:
    assert colour.lab(rgb) == pytest.approx(expected, abs=tolerance)


def test_css_names_are_those_of_the_standard() -> None:
    """Qt carries the same W3C list; both spellings of grey are one colour there."""
    known = {name: QColor(name).name() for name in QColor.colorNames() if name != "transparent"}
    assert {name: value for name, value in known.items() if "gray" not in name} == CSS_NAMES


@pytest.mark.parametrize("palette", [CSS_NAMES, PLAIN_WORDS])
def test_every_named_colour_is_nearest_to_itself(palette: dict[str, str]) -> None:
    for value in palette.values():
        name, distance = colour.nearest(colour.lab(colour.from_hex(value)), palette)
        assert distance == pytest.approx(0, abs=1e-9)
        assert palette[name] == value


def test_plain_words_can_be_told_apart() -> None:
    """Two words closer than a just noticeable difference would be one word too many."""
    values = [colour.lab(colour.from_hex(v)) for v in PLAIN_WORDS.values()]
    closest = min(colour.ciede2000(a, b) for i, a in enumerate(values) for b in values[:i])
    assert closest > 2


def test_grey_card_takes_out_a_cast() -> None:
    """A patch of known colour under a warm light comes back when the card saw the same light."""
    true, light = (139.0, 90.0, 43.0), (1.25, 1.0, 0.6)
    card = colour.corrected((118.0,) * 3, (118.0,) * 3)  # 18 % grey is itself

    def under(rgb: colour.Rgb) -> colour.Rgb:
        r, g, b = (colour._encoded(colour._linear(c) * k) for c, k in zip(rgb, light, strict=True))
        return r, g, b

    back = colour.corrected(under(true), under(card))
    assert back == pytest.approx(true, abs=0.01)
    without, with_card = colour.patch_colour(under(true)), colour.patch_colour(under(true), under(card))
    assert colour.NO_CARD in without.warnings
    assert with_card.warnings == ()
    assert colour.ciede2000(without.lab, colour.lab(true)) > 3
    assert colour.ciede2000(with_card.lab, colour.lab(true)) < 0.01


@pytest.mark.parametrize("card", [(5.0, 120.0, 120.0), (255.0, 250.0, 250.0)])
def test_useless_cards_are_refused(card: colour.Rgb) -> None:
    with pytest.raises(BadInput):
        colour.patch_colour((100, 100, 100), card)


def test_warnings_of_the_patch() -> None:
    assert any("burnt out" in w for w in colour.patch_colour((255, 255, 240)).warnings)
    assert any("too dark" in w for w in colour.patch_colour((3, 2, 1)).warnings)
    assert any(
        "brighter than white" in w for w in colour.patch_colour((200, 200, 200), (60, 60, 60)).warnings
    )


def test_plain_word_of_a_patch() -> None:
    found = colour.patch_colour((123, 82, 48))
    assert (found.word, found.hex) == ("brown", "#7b5230")
    assert found.text().startswith("brown (L* ")
    assert colour.patch_colour((250, 250, 244)).word == "white"


def test_mean_is_taken_in_light() -> None:
    assert colour.mean_colour([(0, 0, 0), (255, 255, 255)]) == pytest.approx((187.516,) * 3, abs=0.01)
    with pytest.raises(BadInput):
        colour.mean_colour([])


@pytest.mark.parametrize("text", ["", "#12", "#gggggg", "red"])
def test_hex_that_is_none(text: str) -> None:
    with pytest.raises(BadInput):
        colour.from_hex(text)


channels = st.tuples(*[st.integers(0, 255)] * 3)


@given(channels)
def test_hex_round_trip(rgb: tuple[int, int, int]) -> None:
    assert colour.from_hex(colour.to_hex(rgb)) == rgb


@given(channels, channels)
def test_difference_is_symmetric_and_zero_for_equals(a: colour.Rgb, b: colour.Rgb) -> None:
    first, second = colour.lab(a), colour.lab(b)
    assert colour.ciede2000(first, second) == pytest.approx(colour.ciede2000(second, first), abs=1e-9)
    assert colour.ciede2000(first, first) == 0
