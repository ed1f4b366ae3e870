"""Irish Grid, ITM, UTM and MGRS; ids are rows of the check values, section A3."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog_gui.geo import mgrs
from catalog_gui.geo.distance import distance_m
from catalog_gui.geo.gridsquare import Grid
from catalog_gui.geo.irishgrid import IRISH_GRID, from_itm, to_itm
from catalog_gui.geo.position import CoordinateError, Position
from catalog_gui.geo.projections import IRISH_GRID as IRISH_GRID_STEP
from catalog_gui.geo.projections import pipeline
from catalog_gui.geo.usualgrid import grid_for, usual_grid
from catalog_gui.geo.utm import UtmPoint, from_utm, to_utm

sides = st.sampled_from([1.0, 10.0, 100.0, 1_000.0, 10_000.0, 100_000.0])


def test_irish_grid_on_its_own_datum() -> None:
    """A3.1, A3.5."""
    grid = pipeline((IRISH_GRID_STEP,))
    assert grid.transform(-8, 53.5) == pytest.approx((200_000, 250_000), abs=0.001)
    assert grid.transform(-6.26, 53.35) == pytest.approx((315855.479, 234718.930), abs=0.001)


def test_itm() -> None:
    """A3.2, A3.6."""
    assert to_itm(Position(53.5, -8)) == pytest.approx((600_000, 750_000), abs=0.001)
    assert to_itm(Position(53.35, -6.26)) == pytest.approx((715845.936, 734720.331), abs=0.001)
    back = from_itm(715845.936, 734720.331)
    assert (back.latitude, back.longitude) == pytest.approx((53.35, -6.26), abs=1e-8)
    for easting, northing in ((399_999, 750_000), (600_000, 1_000_000), (float("nan"), 750_000)):
        with pytest.raises(CoordinateError, match="outside"):
            from_itm(easting, northing)
    with pytest.raises(CoordinateError, match="outside"):
        to_itm(Position(48, 11))


def test_dublin_spire() -> None:
    """A3.3, A3.4: O 15904 34671 is the published reference."""
    square = IRISH_GRID.square_on_grid(315904, 234671, 1)
    assert square.reference == "O1590434671"
    assert IRISH_GRID.square_on_grid(315904, 234671, 100).reference == "O159346"
    place = from_itm(715830, 734697)
    assert (place.latitude, place.longitude) == pytest.approx((53.349794, -6.260248), abs=6e-7)
    assert IRISH_GRID.easting_northing(place) == pytest.approx((315904.06, 234670.77), abs=0.01)
    assert IRISH_GRID.reference(place, 30) == "O159346"
    assert IRISH_GRID.reference(place, 5) == "O15903467"
    assert IRISH_GRID.square_of("o 159 346").uncertainty_m == 72  # 70.71 and 1 m for the shift


def test_irish_refusals() -> None:
    for text, why in (("I159346", "leave out I"), ("O15934", "even"), ("OO159346", "no square")):
        with pytest.raises(CoordinateError, match=why):
            IRISH_GRID.square_of(text)
    with pytest.raises(CoordinateError, match="outside"):
        IRISH_GRID.reference(Position(52, 1), 30)


@given(st.floats(0, 499_999), st.floats(0, 499_999), sides)
def test_irish_squares_hold_their_places(easting: float, northing: float, side_m: float) -> None:
    place = IRISH_GRID.projection.from_plane(easting, northing)
    if not IRISH_GRID.covers(place):
        return
    square = IRISH_GRID.square_at(place, side_m)
    assert distance_m(square.centre, place) <= square.radius_m + 1e-4
    assert IRISH_GRID.square_of(square.reference) == square
    if side_m >= 10:
        assert IRISH_GRID.reference(square.centre, square.uncertainty_m) == square.reference


def test_truncation_in_the_standard() -> None:
    """A3.7: FGDC-STD-011-2001, section 5."""
    point = UtmPoint(18, "S", 323483.168, 4306479.498)
    for reference in ("18SUJ2348306479", "18SUJ23480647", "18SUJ234064", "18SUJ2306", "18SUJ20"):
        side_m = 100_000 / 10 ** ((len(reference) - 5) // 2)
        assert mgrs.square_on_grid(point, side_m).reference == reference
        assert mgrs.square_of(reference).reference == reference


UTM_ROWS = [
    pytest.param(48.85822, 2.2945, 31, "U", 448251.816, 5411934.901, "31UDQ4825111934", id="A3.8"),
    pytest.param(-33.857, 151.215, 56, "H", 334873.199, 6252266.092, "56HLH3487352266", id="A3.9"),
    pytest.param(60.0, 5.5, 32, "V", 304838.827, 6656575.860, "32VLM0483856575", id="A3.10"),
    pytest.param(50.87, -1.57, 30, "U", 600620.550, 5636342.681, "30UXB0062036342", id="A3.14a"),
    pytest.param(53.35, -6.26, 29, "U", 682372.013, 5914706.015, "29UPV8237214706", id="A3.14b"),
]


@pytest.mark.parametrize(
    ("latitude", "longitude", "zone", "band", "easting", "northing", "reference"), UTM_ROWS
)
def test_utm(
    latitude: float, longitude: float, zone: int, band: str, easting: float, northing: float, reference: str
) -> None:
    place = Position(latitude, longitude)
    point = to_utm(place)
    assert (point.zone, point.band) == (zone, band)
    assert (point.easting, point.northing) == pytest.approx((easting, northing), abs=0.01)
    assert mgrs.square_at(place, 1).reference == reference
    assert distance_m(from_utm(zone, band, easting, northing), place) < 0.01


@pytest.mark.parametrize(
    ("latitude", "longitude", "reference"),
    [
        pytest.param(60.0, 3.0, "32VJM6564066593", id="A3.11 inside Norway's exception"),
        pytest.param(59.9999, 2.9999, "31VDG9999451400", id="A3.11 outside"),
        pytest.param(78, 15, "33XWG0000058369", id="A3.12a"),
        pytest.param(72, 8.9, "31XGV0320298893", id="A3.12b"),
        pytest.param(72, 9.0, "33XTV9336399233", id="A3.12c"),
        pytest.param(0, 0, "31NAA6602100000", id="A3.13a"),
        pytest.param(-0.0001, -0.0001, "30MZE3396799988", id="A3.13b"),
        pytest.param(21.3067, -157.8583, "04QFJ1841756520", id="A3.15"),
    ],
)
def test_mgrs_exceptions_and_edges(latitude: float, longitude: float, reference: str) -> None:
    assert mgrs.square_at(Position(latitude, longitude), 1).reference == reference
    square = mgrs.square_of(reference)
    assert square.reference == reference
    assert distance_m(square.centre, Position(latitude, longitude)) < 0.8


def test_mgrs_at_honest_precision() -> None:
    """A3.14: 100 m for a receiver that told no accuracy."""
    assert mgrs.reference(Position(50.87, -1.57), None) == "30UXB006363"
    assert mgrs.reference(Position(50.87, -1.57), 5) == "30UXB00623634"
    with pytest.raises(CoordinateError, match="at most"):
        mgrs.reference(Position(50.87, -1.57), 5, figures=10)


def test_mgrs_spellings() -> None:
    """A3.15: a zone of one digit is accepted."""
    assert mgrs.square_of("4qfj 18417 56520").reference == "04QFJ1841756520"
    for text, why in (
        ("61UXB006363", "no UTM zone 61"),
        ("30IXB006363", "no UTM band"),
        ("32XMG0000", "Svalbard"),
        ("31UZZ0000", "no square 'ZZ'"),
        ("31UAA1212", "does not lie in zone"),
        ("31UDQ482", "even"),
        ("hello", "not an MGRS reference"),
    ):
        with pytest.raises(CoordinateError, match=why):
            mgrs.square_of(text)


def test_utm_refusals() -> None:
    """Band letters N and S are taken as bands, and when that fails the sentence says how to mean halves."""
    with pytest.raises(CoordinateError, match="'31 north'"):
        from_utm(31, "N", 448251, 5411934)
    with pytest.raises(CoordinateError, match="'56 south'"):
        from_utm(56, "S", 334873, 6252266)
    for easting, northing in ((99_999, 1), (900_000, 1), (500_000, -1), (500_000, 10_000_001)):
        with pytest.raises(CoordinateError, match="out of range"):
            from_utm(31, "N", easting, northing)
    for latitude in (84.01, -80.01, 90):
        with pytest.raises(CoordinateError, match="UTM ends"):
            to_utm(Position(latitude, 0))


def test_a_hair_off_the_equator() -> None:
    for latitude in (-1e-14, 0.0, 1e-14):
        assert mgrs.square_at(Position(latitude, 0), 1).reference == "31NAA6602100000"
    assert to_utm(Position(-1e-6, 0)).band == "M"


def test_date_line_and_srs() -> None:
    assert to_utm(Position(10, 180)).zone == to_utm(Position(10, -180)).zone == 1
    assert to_utm(Position(10, 179.9999)).zone == 60
    assert to_utm(Position(50.87, -1.57)).srs == "EPSG:32630"
    assert to_utm(Position(-33.857, 151.215)).srs == "EPSG:32756"
    assert str(to_utm(Position(48.85822, 2.2945))) == "31U 448251 5411934"


@given(st.floats(-80, 84), st.floats(-180, 180), sides)
def test_mgrs_squares_hold_their_places(latitude: float, longitude: float, side_m: float) -> None:
    place = Position(latitude, longitude)
    square = mgrs.square_at(place, side_m)
    assert distance_m(square.centre, place) <= square.radius_m * (1 + 1e-3) + 1e-4
    again = mgrs.square_of(square.reference)
    assert (again.easting, again.northing) == (square.easting, square.northing)
    assert distance_m(again.centre, square.centre) < 1e-3
    assert mgrs.square_at(place, side_m).reference == again.reference


@given(st.floats(-80, 84), st.floats(-180, 180))
def test_utm_there_and_back(latitude: float, longitude: float) -> None:
    point = to_utm(Position(latitude, longitude))
    back = from_utm(point.zone, point.band, point.easting, point.northing)
    assert distance_m(back, Position(latitude, longitude)) < 1e-5


@pytest.mark.parametrize(
    ("latitude", "longitude", "grid"),
    [
        (53.35, -6.26, Grid.IRISH),  # Dublin
        (54.6, -5.9, Grid.IRISH),  # Belfast
        (55.38, -7.37, Grid.IRISH),  # Malin Head
        (51.88, -5.31, Grid.BRITISH),  # St David's
        (55.29, -5.79, Grid.BRITISH),  # Mull of Kintyre
        (54.15, -4.6, Grid.BRITISH),  # Isle of Man
        (49.92, -6.3, Grid.BRITISH),  # Scilly
        (60.8, -0.85, Grid.BRITISH),  # Unst
        (51.13, 1.35, Grid.BRITISH),  # Dover
        (50.95, 1.86, Grid.MGRS),  # Calais
        (49.45, -2.55, Grid.MGRS),  # Guernsey
        (47.3, 11.4, Grid.MGRS),  # Innsbruck
    ],
)
def test_usual_grid(latitude: float, longitude: float, grid: Grid) -> None:
    """Places from memory, to two decimals."""
    assert usual_grid(Position(latitude, longitude)) is grid
    assert grid_for(Position(latitude, longitude), Grid.BRITISH) is grid
    assert grid_for(Position(latitude, longitude), Grid.MGRS) is Grid.MGRS
