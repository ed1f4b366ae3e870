"""Spore statistics against check-values D1 to D3: published tables, and scipy and numpy as references."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.annotation.measure import Scale, measure
from catalog_gui.annotation.quantity import Quantity
from catalog_gui.annotation.spore_input import pairs_from_lines, read_spores
from catalog_gui.annotation.spores import shape_word, shape_words, spore_statistics, summarise
from catalog_gui.annotation.student import t_quantile
from catalog_gui.domain.problem import BadInput

# D2: Ordynets et al. 2020, Mycological Progress 19:691-703, specimen ARAN_4160.
TYPED = """
L = 17.09 16.97 17.06 15.77 16.78 16.83 16.44 17.13 15.60 16.15 16.00 17.35 16.72 16.07 16.46 17.94 18.43
W = 2.20 2.10 2.10 2.02 2.11 2.16 2.11 2.04 2.13 2.20 1.94 2.04 2.07 2.13 2.17 1.95 2.31
"""
PAIRS = read_spores(TYPED)
# D3.1: SAS procedures guide, UNIVARIATE, example 4.9.
HEIGHTS_TYPED = """
64.1 60.9 64.1 64.7 66.7 65.0 63.7 67.4 64.9 63.7 64.0 67.5 62.8 63.9 65.9 62.3 64.1 60.6 68.6 68.6
63.7 63.0 64.7 68.2 66.7 62.8 64.0 64.1 62.1 62.9 62.7 60.9 61.6 64.6 65.7 66.6 66.7 66.0 68.5 64.4
60.5 63.0 60.0 61.6 64.3 60.2 63.5 64.7 66.0 65.1 63.6 62.0 63.6 65.8 66.0 65.4 63.5 66.3 66.2 67.5
65.8 63.1 65.8 64.4 64.0 64.9 65.7 61.0 64.1 65.5 68.6 66.6 65.7 65.1 70.0
"""
HEIGHTS = [float(value) for value in HEIGHTS_TYPED.split()]


def test_published_statistics() -> None:  # D2.1, D2.2, D2.4, D2.5, D2.10
    found = spore_statistics(PAIRS)
    assert len(PAIRS) == 17
    length, width, q = found.length, found.width, found.q
    shown = (length.lowest, length.p5, length.mean, length.p95, length.highest)
    assert shown == pytest.approx((15.6, 15.736, 16.752352941, 18.038, 18.43), abs=1e-9)
    shown = (width.lowest, width.p5, width.mean, width.p95, width.highest)
    assert shown == pytest.approx((1.94, 1.948, 2.104705882, 2.222, 2.31), abs=1e-9)
    shown = (q.lowest, q.p5, q.mean, q.p95, q.highest)
    assert shown == pytest.approx((7.3239, 7.3375, 7.97149, 8.6439, 9.2000), abs=5e-5)
    assert abs(q.mean - length.mean / width.mean) > 0.01  # 7.95947 is the wrong Q
    assert found.volume == pytest.approx(38.9566, abs=5e-5)


def test_authors_rounded_quotients() -> None:  # D2.3
    q = summarise([float(f"{length / width:.2f}") for length, width in PAIRS])
    assert (q.lowest, q.p5, q.mean, q.p95, q.highest) == pytest.approx(
        (7.32, 7.336, 7.971176471, 8.64, 9.2), abs=1e-9
    )


def test_spread_and_interval() -> None:  # D2.6, D2.7, D2.8, D2.9
    found = spore_statistics(PAIRS)
    assert found.length.sd == pytest.approx(0.744106, abs=1e-6)
    assert found.width.sd == pytest.approx(0.092474, abs=1e-6)
    assert found.q.sd == pytest.approx(0.459573, abs=1e-6)
    assert found.length.standard_error == pytest.approx(0.180472, abs=1e-6)
    assert found.length.interval == pytest.approx((16.36977, 17.13494), abs=1e-5)
    assert found.width.interval == pytest.approx((2.05716, 2.15225), abs=1e-5)
    assert found.q.interval == pytest.approx((7.73520, 8.20778), abs=1e-5)


def test_as_printed() -> None:  # D2, expected text
    assert spore_statistics(PAIRS).text() == (
        "[17/1/1] (15.6–) 15.7–18.0 (–18.4) × 1.9–2.2 (–2.3) µm, L′ = 16.8, W′ = 2.1, "
        "Q = 7.3–8.6 (–9.2), Q′ = 8.0"
    )


def test_other_printed_forms() -> None:  # D1.2, D1.3
    found = spore_statistics(PAIRS, specimens=["a"] * 8 + ["b"] * 9)
    assert "15.7–16.8–18.0" in found.mean_in_the_middle()
    assert "5th percentile, mean, 95th percentile" in found.mean_in_the_middle()
    assert "L = 16.75 µm, W = 2.10 µm" in found.polypore_form()
    assert found.polypore_form().endswith("(n = 17/2)")
    by_hand = [np.mean([a / b for a, b in part]) for part in (PAIRS[:8], PAIRS[8:])]
    assert found.q_by_specimen == pytest.approx(by_hand)


def test_interval_of_a_mean() -> None:  # D3.1, D3.2
    found = summarise(HEIGHTS)
    assert found.n == 75
    assert (found.mean, found.sd) == pytest.approx((64.566667, 2.188998), abs=1e-6)
    assert found.interval == pytest.approx((64.06302, 65.07031), abs=1e-5)
    half = t_quantile(0.975, 194) * 0.02278881 / math.sqrt(195)  # NIST/SEMATECH e-Handbook 1.3.5.2
    assert (9.261460 - half, 9.261460 + half) == pytest.approx((9.258242, 9.264679), abs=2e-6)


@pytest.mark.parametrize(("degrees", "t"), [(16, 2.119905), (19, 2.093024), (20, 2.085963), (29, 2.045230)])
def test_t_of_the_tables(degrees: int, t: float) -> None:  # D2.7, D3.3
    assert t_quantile(0.975, degrees) == pytest.approx(t, abs=1e-6)


@pytest.mark.parametrize("degrees", [1, 2, 3, 5, 10, 16, 30, 100, 1000, 20_000])
@pytest.mark.parametrize("p", [0.5, 0.6, 0.9, 0.95, 0.975, 0.995, 0.9995, 0.025, 0.1])
def test_t_agrees_with_scipy(degrees: int, p: float) -> None:
    assert t_quantile(p, degrees) == pytest.approx(stats.t.ppf(p, degrees), abs=1e-6, rel=1e-9)


@pytest.mark.parametrize(("n", "percent"), [(20, 3.28), (21, 3.19), (30, 2.61), (50, 1.99)])
def test_how_many_spores_are_enough(n: int, percent: float) -> None:  # D3.4
    assert t_quantile(0.975, n - 1) * 7 / math.sqrt(n) == pytest.approx(percent, abs=0.005)


def test_few_and_none() -> None:  # D3.5
    one = spore_statistics([(9.0, 6.0)])
    assert one.length.interval is None
    assert one.length.sd is None
    assert one.text() == "[1/1/1] 9.0 × 6.0 µm, Q = 1.5"
    same = spore_statistics([(9.0, 6.0)] * 5)
    assert same.length.interval == (9.0, 9.0)
    assert same.text() == "[5/1/1] 9.0 × 6.0 µm, L′ = 9.0, W′ = 6.0, Q = 1.5, Q′ = 1.5"
    with pytest.raises(BadInput, match="no spores"):
        spore_statistics([])
    assert "nan" not in (one.text() + same.text()).lower()


@pytest.mark.parametrize("bad", [(0.0, 1.0), (5.0, -1.0), (math.nan, 1.0), (math.inf, 1.0)])
def test_sizes_that_are_none(bad: tuple[float, float]) -> None:
    with pytest.raises(BadInput, match="Spore 2"):
        spore_statistics([(9, 6), bad])


def test_halves_round_as_decimals() -> None:
    """2.25 must not depend on binary luck: 2.675 and 1.005 are below the half in binary."""
    assert summarise([2.25]).range_text() == "2.3"
    assert summarise([2.675]).range_text(2) == "2.68"
    assert summarise([1.0, 1.01]).mean == 1.005
    assert summarise([1.0, 1.01]).range_text(2) == "1.00–1.01"


@pytest.mark.parametrize(
    ("q", "word"),
    [
        (1.0, "globose"),
        (1.05, "globose"),
        (1.0501, "subglobose"),
        (1.15, "subglobose"),
        (1.16, "broadly ellipsoid"),
        (1.30, "broadly ellipsoid"),
        (1.31, "ellipsoid"),
        (1.60, "ellipsoid"),
        (1.61, "oblong"),
        (2.00, "oblong"),
        (2.01, "cylindric"),
        (3.00, "cylindric"),
        (3.01, "rod-shaped"),
        (7.97, "rod-shaped"),
    ],
)
def test_shape_after_bas(q: float, word: str) -> None:  # D1.6
    assert shape_word(q) == word


def test_shape_over_a_range() -> None:
    assert shape_words(1.5, 1.7) == "ellipsoid to oblong"
    assert shape_words(1.5, 1.55) == "ellipsoid"
    with pytest.raises(BadInput):
        shape_word(0.9)


def test_warnings() -> None:  # D1.5
    assert any("few" in w for w in spore_statistics(PAIRS).warnings)
    calm = [(9 + i % 5 * 0.3, 6 + i % 4 * 0.25) for i in range(30)]
    assert spore_statistics(calm).warnings == ()
    mixed = [(9 + (i % 2) * 6, 6 + i % 4 * 0.25) for i in range(30)]
    assert any("length varies" in w for w in spore_statistics(mixed).warnings)
    assert any("spore 2" in w for w in spore_statistics([(9, 6), (5, 6), (9, 6)]).warnings)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("17.1 x 2.2\n16 × 2", ((17.1, 2.2), (16, 2))),
        ("17,1 × 2,2; 16,5 x 2,1", ((17.1, 2.2), (16.5, 2.1))),
        ("17.1, 2.2\n\n16.0,2.0", ((17.1, 2.2), (16.0, 2.0))),
        ("17.1\t2.2", ((17.1, 2.2),)),
        ("9.5 x 6.2 µm\n9 6 um", ((9.5, 6.2), (9, 6))),
        ("L: 9, 10\nW: 5, 6", ((9, 5), (10, 6))),
        ("", ()),
    ],
)
def test_typed_spores(text: str, expected: tuple[tuple[float, float], ...]) -> None:
    assert read_spores(text) == expected


@pytest.mark.parametrize(
    "text", ["17,1", "17", "a x b", "9 x 6 x 5", "L = 9 10\nW = 5", "-9 x 6", "L = 9 b\nW = 5"]
)
def test_typed_nonsense_is_named(text: str) -> None:
    with pytest.raises(BadInput):
        read_spores("\n" + text)


def test_crossed_lines_on_a_micrograph() -> None:
    scale = Scale(Quantity(0.0001, 0.0, "mm/px"))  # 10 px a µm
    lines = [
        Mark("a", "p", MarkKind.LINE, ((0, 0), (100, 0))),
        Mark("b", "p", MarkKind.LINE, ((500, 500), (560, 500)), label="2"),
        Mark("c", "p", MarkKind.LINE, ((50, -30), (50, 30))),
        Mark("d", "p", MarkKind.LINE, ((500, 600), (590, 600)), label="2"),
        Mark("e", "p", MarkKind.LINE, ((900, 900), (950, 900))),
    ]
    found = pairs_from_lines([measure(line, scale) for line in lines])
    assert found.pairs == (pytest.approx((10, 6)), pytest.approx((9, 6)))
    assert found.alone == ("e",)
    with pytest.raises(BadInput):
        pairs_from_lines([measure(lines[0])])


@given(st.lists(st.integers(100, 3000), min_size=2, max_size=60))
def test_agrees_with_numpy_and_scipy(hundredths: list[int]) -> None:
    values = [v / 100 for v in hundredths]
    found = summarise(values)
    low, high = np.percentile(values, [5, 95])  # numpy's default is type 7 (D1.7)
    assert (found.p5, found.p95) == pytest.approx((low, high), rel=1e-12)
    assert found.sd == pytest.approx(np.std(values, ddof=1), abs=1e-9)
    if found.sd:
        expected = stats.t.interval(0.95, len(values) - 1, np.mean(values), stats.sem(values))
        assert found.interval == pytest.approx(expected, rel=1e-8)
