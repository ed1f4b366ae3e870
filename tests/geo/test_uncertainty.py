"""What coordinates leave open; ids are rows of the check values, section C2."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog_gui.geo.distance import distance_m
from catalog_gui.geo.gridsquare import honest_figures, side_of
from catalog_gui.geo.position import CoordinateError, Position
from catalog_gui.geo.uncertainty import (
    GPS_UNRECORDED_BEFORE_MAY_2000_M,
    GPS_UNRECORDED_M,
    combined_m,
    coordinate_precision_m,
    half_diagonal_m,
    metres_per_degree,
    point_radius_spatial_fit,
    rounded_up_m,
)


def test_never_zero_and_never_nonsense() -> None:
    """C2.1: 0 is not a valid coordinateUncertaintyInMeters."""
    assert rounded_up_m(0) == 1
    for bad in (-1.0, math.nan, math.inf):
        with pytest.raises(CoordinateError):
            rounded_up_m(bad)


def test_receiver_without_a_noted_accuracy() -> None:
    """C2.2."""
    assert (GPS_UNRECORDED_M, GPS_UNRECORDED_BEFORE_MAY_2000_M) == (30, 100)


@pytest.mark.parametrize(
    ("side_m", "radius_m", "rounded"),
    [
        (1, 0.7071, 1),
        (10, 7.0711, 8),
        (100, 70.7107, 71),
        (1_000, 707.1068, 708),
        (2_000, 1414.2136, 1415),
        (10_000, 7071.068, 7072),
        (100_000, 70710.678, 70711),
    ],
)
def test_half_diagonal_rounded_up(side_m: float, radius_m: float, rounded: int) -> None:
    """C2.3, C2.4, C2.5."""
    assert half_diagonal_m(side_m) == pytest.approx(radius_m, abs=1e-3)
    assert rounded_up_m(half_diagonal_m(side_m)) == rounded


def test_corner_as_the_point_doubles_the_radius() -> None:
    """C2.6."""
    assert rounded_up_m(2 * half_diagonal_m(100)) == 142
    assert rounded_up_m(2 * half_diagonal_m(1000)) == 1415


def test_spatial_fit() -> None:
    """C2.7: pi/2 for the smallest circle, 0 for a smaller one, nothing in between."""
    assert point_radius_spatial_fit(half_diagonal_m(100), 100) == pytest.approx(1.5708, abs=1e-4)
    assert point_radius_spatial_fit(70, 100) == 0
    assert point_radius_spatial_fit(100, 100) == pytest.approx(math.pi)


@pytest.mark.parametrize(
    ("precision_deg", "metres"),
    [
        (0.1, (15691, 14697, 12461, 11211)),
        (0.01, (1570, 1470, 1246, 1121)),
        (0.001, (157, 147, 125, 112)),
        (0.0001, (16, 15, 13, 12)),
        (0.00001, (2, 2, 2, 2)),
        (1 / 60, (2615, 2450, 2077, 1869)),
        (1 / 3600, (44, 41, 35, 32)),
        (0.1 / 60, (262, 245, 208, 187)),
    ],
)
def test_table_of_coordinate_precision(precision_deg: float, metres: tuple[int, ...]) -> None:
    """C2.11, Georeferencing Best Practices; a few printed cells are rounded to nearest: 1 m."""
    for latitude, printed in zip((0, 30, 60, 85), metres, strict=True):
        assert abs(rounded_up_m(coordinate_precision_m(latitude, precision_deg)) - printed) <= 1


def test_worked_example_of_coordinate_precision() -> None:
    """C2.12, and C2.13's result (its printed parts are wrong)."""
    north_m, east_m = metres_per_degree(10.27)
    assert north_m * 0.01 == pytest.approx(1106.096, abs=1e-3)
    assert east_m * 0.01 == pytest.approx(1095.476, abs=1e-3)
    assert coordinate_precision_m(10.27, 0.01) == pytest.approx(1556.765, abs=1e-3)
    assert coordinate_precision_m(10, 0.5) == pytest.approx(77_870, abs=10)


@given(st.floats(-89, 89))
def test_metres_per_degree_against_the_geodesic(latitude: float) -> None:
    north_m, east_m = metres_per_degree(latitude)
    step = 0.0005
    south, north = Position(latitude - step, 20), Position(latitude + step, 20)
    assert distance_m(south, north) / (2 * step) == pytest.approx(north_m, rel=1e-6)
    assert distance_m(Position(latitude, 20), Position(latitude, 20 + step)) / step == pytest.approx(
        east_m, rel=1e-6
    )


def test_unknown_datum() -> None:
    """C2.16."""
    assert combined_m(30, datum_recorded=False) == 5389
    assert combined_m(30, 7.0711) == 38


@pytest.mark.parametrize(
    ("uncertainty_m", "shift_m", "figures"),
    [
        (1, 0, 10),
        (8, 0, 8),
        (9, 0, 6),
        (71, 0, 6),
        (72, 0, 4),
        (708, 0, 4),
        (7072, 0, 2),
        (70711, 0, 0),
        (None, 0, 6),
        (0, 0, 6),
        (1, 5, 6),  # A2.10: no 8 or 10 figures by way of Helmert
        (76, 5, 6),
        (77, 5, 4),
        (1, 1, 8),
    ],
)
def test_honest_figures(uncertainty_m: float | None, shift_m: float, figures: int) -> None:
    """A reference claims half its diagonal (C2.3); it must not claim more than is known."""
    assert honest_figures(uncertainty_m, shift_m) == figures


def test_too_vague_for_a_grid() -> None:
    with pytest.raises(CoordinateError, match="too vague"):
        honest_figures(80_000)


@pytest.mark.parametrize("figures", [1, 3, 12, -2])
def test_there_are_only_six_precisions(figures: int) -> None:
    with pytest.raises(CoordinateError):
        side_of(figures)
