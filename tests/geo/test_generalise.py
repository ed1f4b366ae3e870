"""Places made coarse on purpose; ids are rows of the check values, section C2."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog_gui.geo import mgrs
from catalog_gui.geo.britishgrid import BRITISH_GRID
from catalog_gui.geo.distance import destination, distance_m
from catalog_gui.geo.generalise import Generalised, Grade, generalise
from catalog_gui.geo.gridsquare import Grid
from catalog_gui.geo.position import Position
from catalog_gui.geo.uncertainty import coordinate_precision_m, rounded_up_m
from catalog_gui.geo.utm import zone_of

CAISTER = Position(52.657977, 1.716052)
anywhere = st.builds(Position, st.floats(-90, 90), st.floats(-180, 180))
britain = st.builds(Position, st.floats(50.8, 58.0), st.floats(-4.5, 0.5))
coarse = st.sampled_from([grade for grade in Grade if grade is not Grade.HIDDEN])


def known(place: Generalised) -> tuple[Position, int]:
    assert place.position is not None
    assert place.uncertainty_m is not None
    return place.position, place.uncertainty_m


def test_degrees() -> None:
    """C2.14. The row's radii are those at the place itself; ours is the largest within the cell, so
    that it does not tell the latitude, and may be 1 m more."""
    assert rounded_up_m(coordinate_precision_m(CAISTER.latitude, 0.1)) == 13024
    assert rounded_up_m(coordinate_precision_m(CAISTER.latitude, 0.01)) == 1303
    tenth = generalise(CAISTER, Grade.TENTH_DEGREE)
    assert tenth.position == Position(52.7, 1.7)
    assert tenth.uncertainty_m == pytest.approx(13024, abs=1)
    assert tenth.precision_deg == 0.1
    assert "0.1 degree" in tenth.data_generalizations
    hundredth = generalise(CAISTER, Grade.HUNDREDTH_DEGREE)
    assert hundredth.position == Position(52.66, 1.72)
    assert hundredth.uncertainty_m == 1303


def test_ten_kilometre_square() -> None:
    """C2.15."""
    place = generalise(CAISTER, Grade.TEN_KM, grid=Grid.BRITISH)
    position, uncertainty_m = known(place)
    assert (position.latitude, position.longitude) == pytest.approx((52.672654, 1.770422), abs=6e-7)
    assert BRITISH_GRID.easting_northing(position) == pytest.approx((655_000, 315_000), abs=1e-5)
    assert uncertainty_m == 7072
    assert place.reference == "TG51"
    assert place.spatial_fit == pytest.approx(math.pi / 2, abs=0.001)
    assert place.footprint_wkt is not None
    assert place.footprint_wkt.startswith("POLYGON ((1.69")
    assert "10 km square TG51 of the British National Grid" in place.data_generalizations
    assert "withheld" in place.information_withheld


def test_hidden_says_nothing_of_the_place() -> None:
    place = generalise(CAISTER, Grade.HIDDEN, uncertainty_m=8)
    assert place == generalise(Position(-33.857, 151.215), Grade.HIDDEN)
    assert (place.position, place.uncertainty_m, place.reference, place.footprint_wkt) == (None,) * 4
    assert "withheld" in place.information_withheld


def test_grid_of_the_country() -> None:
    assert generalise(Position(53.35, -6.26), Grade.ONE_KM, grid=Grid.BRITISH).reference == "O1534"
    assert generalise(Position(47.3, 11.4), Grade.ONE_KM, grid=Grid.BRITISH).reference == "32TPT8141"
    assert (
        generalise(CAISTER, Grade.ONE_KM, grid=Grid.MGRS).reference == mgrs.square_at(CAISTER, 1000).reference
    )
    pole = generalise(Position(88.123, 12), Grade.ONE_KM)
    assert (pole.position, pole.reference) == (Position(88.12, 12), None)


@given(anywhere, coarse, st.sampled_from(list(Grid)), st.floats(0, 20_000), st.floats(0, 360))
def test_the_circle_holds_the_true_place(
    place: Position, grade: Grade, grid: Grid, uncertainty_m: float, bearing: float
) -> None:
    """Wherever within its own uncertainty the true place is."""
    position, radius_m = known(generalise(place, grade, grid=grid, uncertainty_m=uncertainty_m))
    truth, _ = destination(place, bearing, uncertainty_m)
    assert distance_m(position, truth) <= radius_m * (1 + 2e-3) + 1e-3


@given(
    britain, st.sampled_from([Grade.ONE_KM, Grade.TEN_KM]), st.floats(0.001, 0.999), st.floats(0.001, 0.999)
)
def test_everything_depends_on_the_square_alone(
    place: Position, grade: Grade, right: float, up: float
) -> None:
    """Two finds in one square go out alike to the last digit, however often: nothing to average."""
    side_m = 1_000 if grade is Grade.ONE_KM else 10_000
    square = BRITISH_GRID.square_at(place, side_m)
    neighbour = BRITISH_GRID.position_at(square.easting + right * side_m, square.northing + up * side_m)
    assert generalise(place, grade) == generalise(neighbour, grade) == generalise(place, grade)


@given(
    st.integers(-899, 899),
    st.integers(-1799, 1799),
    st.floats(-0.0499, 0.0499),
    st.floats(-0.0499, 0.0499),
)
def test_degrees_depend_on_the_cell_alone(lat: int, lon: int, up: float, right: float) -> None:
    """The radius too: at the place's own latitude it would tell that to about a kilometre."""
    middle, place = Position(lat / 10, lon / 10), Position(lat / 10 + up, lon / 10 + right)
    assert generalise(place, Grade.TENTH_DEGREE) == generalise(middle, Grade.TENTH_DEGREE)


@given(britain)
def test_grades_nest(place: Position) -> None:
    """The 10 km square of the 1 km square is the 10 km square: handing out both tells no more."""
    position, _ = known(generalise(place, Grade.ONE_KM))
    assert generalise(position, Grade.TEN_KM) == generalise(place, Grade.TEN_KM)
    assert generalise(position, Grade.ONE_KM) == generalise(place, Grade.ONE_KM)


def test_a_vague_place_gets_no_square() -> None:
    """A place known to 2 km may lie outside the 1 km square of its middle."""
    vague = generalise(CAISTER, Grade.ONE_KM, uncertainty_m=2_000)
    assert (vague.reference, vague.footprint_wkt, vague.spatial_fit) == (None, None, None)
    assert vague.uncertainty_m == pytest.approx(2_708, abs=1)
    assert "TG" not in vague.data_generalizations
    assert generalise(CAISTER, Grade.ONE_KM, uncertainty_m=30).uncertainty_m == pytest.approx(738, abs=1)


def test_no_slivers_at_the_edge_of_a_zone() -> None:
    """A square cut off by the edge of its zone would tell the place better than its name says."""
    slivers = 0
    for step in range(400):
        place = Position(40 + step * 0.01, 11.99999)
        sent = generalise(place, Grade.ONE_KM, grid=Grid.MGRS)
        position, uncertainty_m = known(sent)
        slivers += uncertainty_m > 1_000
        if uncertainty_m < 1_000:
            assert zone_of(position) == zone_of(place)
    assert slivers > 50


def test_band_letter_is_that_of_the_square() -> None:
    """Just north and just south of 48 degrees, where the letter changes, in one square."""
    south, north = Position(47.9999, 11.0), Position(48.0001, 11.0)
    assert generalise(south, Grade.TEN_KM) == generalise(north, Grade.TEN_KM)
