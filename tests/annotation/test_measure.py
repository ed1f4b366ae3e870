"""Measuring against check-values E1 to E3, a Monte Carlo reference and the rules of the GUM."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog_gui.annotation import measure as m
from catalog_gui.annotation import orientation
from catalog_gui.annotation.known_scales import KNOWN_SCALES, known_scale
from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.annotation.quantity import Quantity, decimal_text, places_for, product
from catalog_gui.domain.problem import BadInput


def mark(kind: MarkKind, *points: tuple[float, float], photo: str = "p", **more: object) -> Mark:
    return Mark("m", photo, kind, points, **more)  # type: ignore[arg-type]


def test_length_from_a_coin() -> None:  # E2.1, E2.2, E2.4
    known, seen, across = Quantity(25.75, 0.03), Quantity(1236, 1.5), Quantity(412, 1.0)
    length = product(((known, 1), (seen, 1), (across, -1)), "mm")
    assert length.value == pytest.approx(77.25, rel=1e-12)
    assert length.relative == pytest.approx(0.00295320, abs=1e-8)
    assert length.u == pytest.approx(0.228134, abs=1e-6)
    assert length.text() == "(77.25 ± 0.46) mm"
    assert known.relative == pytest.approx(0.00116505, abs=1e-8)
    assert seen.relative == pytest.approx(0.00121359, abs=1e-8)
    assert across.relative == pytest.approx(0.00242718, abs=1e-8)


def test_length_agrees_with_monte_carlo() -> None:  # E2.3, after JCGM 101
    draw = np.random.default_rng(20240917)
    n = 400_000
    sample = draw.normal(25.75, 0.03, n) * draw.normal(1236, 1.5, n) / draw.normal(412, 1.0, n)
    length = product(((Quantity(25.75, 0.03), 1), (Quantity(1236, 1.5), 1), (Quantity(412, 1), -1)), "mm")
    assert length.u == pytest.approx(sample.std(), abs=0.002)
    low, high = np.quantile(sample, [0.025, 0.975])
    assert (low, high) == pytest.approx((76.80, 77.70), abs=0.01)


def test_two_clicked_ends() -> None:  # E2.5
    assert m.path_length([(0, 0), (300, 400)], 0.7).u == pytest.approx(0.990, abs=5e-4)


def test_whole_way_from_marks() -> None:
    scale = m.scale_from_mark(
        mark(MarkKind.SCALE, (100, 100), (512, 100), length_mm=25.75, length_u_mm=0.03), 1 / math.sqrt(2)
    )
    assert scale.mm_per_px.value == pytest.approx(1 / 16, rel=1e-12)  # E3.6: 16.000 px/mm
    cap = m.measure(mark(MarkKind.LINE, (0, 50), (1236, 50)), scale, 1.5 / math.sqrt(2))
    assert cap.text() == "(77.25 ± 0.46) mm"


@pytest.mark.parametrize(
    ("value", "u", "expected"),
    [
        (10.05762, 0.0135, "(10.058 ± 0.027)"),  # GUM 7.2.6 (E2.6): 10.057 62 with 0.027
        (100.0, 14.025, "(100 ± 28)"),  # 28.05 -> 28
        (12345.0, 210.0, "(12350 ± 420)"),
        (5.0, 0.0498, "(5.00 ± 0.10)"),  # 0.0996 rounds up to a new digit
        (5.0, 0.498, "(5.0 ± 1.0)"),
        (2.25, 0.5, "(2.3 ± 1.0)"),
        (7.0, 0.0, "7"),
        (-0.004, 0.5, "(0.0 ± 1.0)"),
    ],
)
def test_printing(value: float, u: float, expected: str) -> None:
    assert Quantity(value, u).text() == expected


def test_halves_do_not_depend_on_binary() -> None:
    halves = [decimal_text(v, 1) for v in (2.25, 2.35, 0.05, 1.25, 9.95)]
    assert halves == ["2.3", "2.4", "0.1", "1.3", "10.0"]
    assert places_for(28.05) == 0


@pytest.mark.parametrize(
    "bad",
    [
        mark(MarkKind.SCALE, (5, 5), (5, 5), length_mm=10),
        mark(MarkKind.SCALE, (5, 5), (50, 5), length_mm=0),
    ],
)
def test_a_scale_of_nothing_is_refused(bad: Mark) -> None:  # E2.7
    with pytest.raises(BadInput):
        m.scale_from_mark(bad)
    with pytest.raises(BadInput):
        m.measure(mark(MarkKind.LINE, (5, 5), (5, 5)))
    with pytest.raises(BadInput):
        product(((Quantity(1, 0.1), 1), (Quantity(0, 0.1), -1)), "mm")


@pytest.mark.parametrize(
    "bad",
    [
        mark(MarkKind.SCALE, (0, 0), (1, 1)),
        mark(MarkKind.SCALE, (0, 0), (1, 1), length_mm=math.nan),
        mark(MarkKind.SCALE, (0, 0), length_mm=10),
        mark(MarkKind.LINE, (0, 0), (1, 1), length_mm=10),
    ],
)
def test_broken_scales_are_refused(bad: Mark) -> None:
    with pytest.raises(BadInput):
        m.scale_from_mark(bad)


@pytest.mark.parametrize(
    "bad",
    [
        mark(MarkKind.POLYGON, (0, 0), (1, 1), (2, 2)),
        mark(MarkKind.POLYGON, (0, 0), (1, 1)),
        mark(MarkKind.ELLIPSE, (0, 0), (5, 0)),
        mark(MarkKind.ANGLE, (0, 0), (0, 0), (1, 1)),
        mark(MarkKind.POINTER, (0, 0), (4, 4)),
        mark(MarkKind.LINE, (0, 0), (math.inf, 4)),
    ],
)
def test_marks_without_size_are_refused(bad: Mark) -> None:
    with pytest.raises(BadInput):
        m.measure(bad)


SHAPES = {
    MarkKind.LINE: ((3.0, 4.0), (503.0, 304.0)),
    MarkKind.POLYLINE: ((0.0, 0.0), (200.0, 30.0), (300.0, 200.0), (280.0, 420.0)),
    MarkKind.POLYGON: ((10.0, 10.0), (400.0, 40.0), (380.0, 300.0), (120.0, 360.0)),
    MarkKind.ELLIPSE: ((10.0, 20.0), (310.0, 220.0)),
    MarkKind.ANGLE: ((200.0, 0.0), (0.0, 0.0), (90.0, 160.0)),
}


@pytest.mark.parametrize("kind", SHAPES)
def test_click_uncertainty_agrees_with_monte_carlo(kind: MarkKind) -> None:
    """JCGM 101: shake every clicked coordinate and look at the spread of the result."""
    points = np.array(SHAPES[kind])
    draw = np.random.default_rng(7)
    shaken = [
        m.measure(mark(kind, *map(tuple, points + draw.normal(0, 0.7, points.shape)))).pixels.value
        for _ in range(4000)
    ]
    stated = m.measure(mark(kind, *SHAPES[kind]), click_u_px=0.7).pixels
    assert stated.u == pytest.approx(float(np.std(shaken)), rel=0.06)
    assert stated.value == pytest.approx(float(np.mean(shaken)), abs=0.2 * stated.u + 0.02)


def test_known_areas_and_angles() -> None:
    assert m.polygon_area([(0, 0), (3, 0), (3, 4)]).value == 6
    assert m.ellipse_area([(0, 0), (20, 10)]).value == pytest.approx(math.pi * 50)
    assert m.angle([(1, 0), (0, 0), (0, 1)]).value == pytest.approx(90)
    assert m.angle([(1, 0), (0, 0), (-1, 1e-9)]).value == pytest.approx(180)


def test_area_takes_the_scale_twice() -> None:
    scale = m.Scale(Quantity(0.1, 0.001, "mm/px"))
    area = m.measure(mark(MarkKind.POLYGON, (0, 0), (100, 0), (100, 100), (0, 100)), scale, 0.0)
    assert area.real is not None
    assert (area.real.value, area.real.u) == pytest.approx((100, 2.0))
    assert area.real.unit == "mm²"


def test_without_scale_only_ratios() -> None:
    cap, stem = (m.measure(mark(MarkKind.LINE, (0, 0), (x, 0))) for x in (800, 1200))
    assert cap.real is None
    assert cap.text() == m.NO_SCALE
    shown = m.ratio(cap, stem)
    assert shown.value == pytest.approx(2 / 3)
    assert shown.relative == pytest.approx(math.hypot(0.98995 / 800, 0.98995 / 1200), rel=1e-4)
    elsewhere = m.measure(mark(MarkKind.LINE, (0, 0), (10, 0), photo="q"))
    with pytest.raises(BadInput):
        m.ratio(cap, elsewhere)
    with pytest.raises(BadInput):
        m.ratio(cap, m.measure(mark(MarkKind.ELLIPSE, (0, 0), (4, 4))))


def test_scale_cancels_on_one_picture_but_not_between_two() -> None:
    scale = m.Scale(Quantity(0.1, 0.01, "mm/px"))
    a, b = (m.measure(mark(MarkKind.LINE, (0, 0), (x, 0)), scale) for x in (800, 1200))
    c = m.measure(mark(MarkKind.LINE, (0, 0), (1200, 0), photo="q"), scale)
    assert m.ratio(a, b).relative < 0.01
    assert m.ratio(a, c).relative > 0.1


def test_several_fruit_bodies_give_a_range() -> None:
    scale = m.Scale(Quantity(0.1, 0.0005, "mm/px"))
    sizes = [m.measure(mark(MarkKind.LINE, (0, 0), (x, 0)), scale) for x in (340, 612, 455)]
    found = m.range_over(sizes)
    assert (found.n, found.low, found.high) == (3, pytest.approx(34), pytest.approx(61.2))
    assert found.text() == "34.0–61.2 mm (n = 3)"
    with pytest.raises(BadInput):
        m.range_over([m.measure(mark(MarkKind.LINE, (0, 0), (9, 0)))])
    with pytest.raises(BadInput):
        m.range_over([])


def test_scales_that_disagree_say_so() -> None:
    def bar(x: float) -> Mark:
        return mark(MarkKind.SCALE, (0, 0), (x, 0), length_mm=10)

    assert m.scale_of([mark(MarkKind.LINE, (0, 0), (1, 1))]) is None
    good = m.scale_of([bar(1000), bar(1001)])
    assert good is not None
    assert not good.doubt
    bad = m.scale_of([bar(1000), bar(1100)])
    assert bad is not None
    assert "9.5 %" in bad.doubt or "9.6 %" in bad.doubt
    assert bad.mm_per_px.relative > 0.04


@pytest.mark.parametrize(
    ("tilt", "percent"),
    [
        (5, -0.38),
        (10, -1.52),
        (15, -3.41),
        (20, -6.03),
        (25, -9.37),
        (30, -13.40),
        (45, -29.29),
        (60, -50.00),
    ],
)
def test_tilt(tilt: float, percent: float) -> None:  # E3.1
    assert 100 * (m.tilt_factor(tilt) - 1) == pytest.approx(percent, abs=0.005)


def test_tilt_of_a_coin_and_direction() -> None:  # E3.2, E3.3
    assert m.tilt_from_circle(412, 400) == pytest.approx(13.862, abs=0.0005)
    expected = {0: 0.939693, 30: 0.955127, 45: 0.970315, 60: 0.985269, 90: 1.0}
    for direction, factor in expected.items():
        assert m.tilt_factor(20, direction) == pytest.approx(factor, abs=1e-6)
    with pytest.raises(BadInput):
        m.tilt_from_circle(400, 0)


def test_depth() -> None:  # E3.4
    assert 100 * (m.depth_factor(400, 20) - 1) == pytest.approx(5.263, abs=5e-4)
    assert 100 * (m.depth_factor(400, -20) - 1) == pytest.approx(-4.762, abs=5e-4)
    assert 100 * (m.depth_factor(300, 10) - 1) == pytest.approx(3.448, abs=5e-4)
    with pytest.raises(BadInput):
        m.depth_factor(300, 300)


def test_bounds_are_said_in_words() -> None:  # E3.5
    text = m.Bounds(tilt_deg=15, distance_mm=400, depth_mm=20).text()
    assert "one plane" in text
    assert "3.4 % short" in text
    assert "5.3 % long" in text
    assert "4.8 % short" in text
    assert m.Bounds().text() == m.ONE_PLANE


def test_seven_sided_coins() -> None:  # E1.1, E1.4
    assert known_scale("gbp-020-circle").length_mm == pytest.approx(21.950, abs=0.001)
    assert known_scale("gbp-050-circle").length_mm == pytest.approx(28.002, abs=0.001)
    assert 60 * known_scale("gbp-050-circle").length_mm / known_scale("gbp-050").length_mm == pytest.approx(
        61.54, abs=0.01
    )


def test_coin_traps() -> None:  # E1
    assert known_scale("eur-050").length_mm > known_scale("eur-100").length_mm
    assert known_scale("eur-010").length_mm < known_scale("eur-005").length_mm
    assert known_scale("gbp-001").length_mm == 20.3
    card = known_scale("card-long").length_mm, known_scale("card-short").length_mm
    assert card == (85.60, 53.98)  # ISO/IEC 7810 ID-1
    assert len({s.id for s in KNOWN_SCALES}) == len(KNOWN_SCALES)
    with pytest.raises(BadInput):
        known_scale("button")


far = st.floats(0, 9000)


@given(st.integers(1, 8), far, far, far, far)
def test_a_turned_picture_measures_the_same(o: int, x: float, y: float, x2: float, y2: float) -> None:  # E3.6
    if math.hypot(x - x2, y - y2) < 1:
        return
    stored = (12_000, 9_000)
    turned = [orientation.to_upright(p, stored, o) for p in ((x, y), (x2, y2))]
    assert m.path_length(turned).value == pytest.approx(m.path_length([(x, y), (x2, y2)]).value, rel=1e-9)
