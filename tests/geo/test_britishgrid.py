"""The British National Grid; ids are rows of the check values, sections A1, A2 and C2.

Source of A1.1 to A1.5: Ordnance Survey, A guide to coordinate systems in Great Britain, v3.6.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Transformer

from catalog_gui.geo.britishgrid import BRITISH_GRID
from catalog_gui.geo.distance import distance_m
from catalog_gui.geo.position import CoordinateError, Position
from catalog_gui.geo.projections import AIRY_CARTESIAN, NATIONAL_GRID, WGS84_TO_OSGB36, pipeline
from catalog_gui.geo.uncertainty import point_radius_spatial_fit


def dms(degrees: int, minutes: int, seconds: float) -> float:
    return degrees + minutes / 60 + seconds / 3600


CAISTER = (dms(1, 43, 4.5177), dms(52, 39, 27.2531))  # longitude, latitude on OSGB36


def test_projection_alone() -> None:
    """A1.1, A1.2."""
    grid = pipeline((NATIONAL_GRID,))
    assert grid.transform(*CAISTER) == pytest.approx((651409.903, 313177.270), abs=0.001)
    longitude, latitude = grid.transform(651409.903, 313177.270, direction="INVERSE")
    assert (longitude, latitude) == pytest.approx(CAISTER, abs=0.0001 / 3600)


def test_cartesian_on_airy() -> None:
    """A1.3."""
    expected = (3874938.850, 116218.624, 5047168.207)
    assert pipeline((AIRY_CARTESIAN,)).transform(*CAISTER, 24.700) == pytest.approx(expected, abs=0.0015)


def test_helmert_shift() -> None:
    """A1.4: position-vector sense."""
    shift = Transformer.from_pipeline(WGS84_TO_OSGB36)
    here = shift.transform(3790644.900, -110149.210, 5111482.970)
    assert here == pytest.approx((3790269.549, -110038.064, 5111050.261), abs=0.001)


def test_full_chain() -> None:
    """A1.5. The row has a height of 299.8 m, we take 0: worth some millimetres."""
    place = Position(dms(53, 36, 43.1653), -dms(1, 39, 51.9920))
    easting, northing = BRITISH_GRID.easting_northing(place)
    assert (easting, northing) == pytest.approx((422297.792, 412878.741), abs=0.01)
    steps = BRITISH_GRID.projection.steps
    osgb = pipeline(steps).transform(place.longitude, place.latitude, 299.800)
    assert osgb == pytest.approx((422297.792, 412878.741, 249.950), abs=0.001)


def test_transverse_mercator_example_of_the_epsg() -> None:
    """A1.6: IOGP Guidance Note 7-2, method 9807, with all digits of F0."""
    assert pipeline((NATIONAL_GRID,)).transform(0.5, 50.5) == pytest.approx(
        (577274.984, 69740.492), abs=0.001
    )
    assert pipeline((NATIONAL_GRID,)).transform(0.5, 50.5) == pytest.approx((577274.99, 69740.50), abs=0.02)


# A1.10 to A1.18: OSTN15's published test points. Latitude, longitude; true; by Helmert; miss in m.
TEST_POINTS = {
    "A1.10": (49.92226393730, -6.29977752014, 91492.146, 11318.804, 91487.425, 11318.404, 4.74),
    "A1.11": (49.96006137820, -5.20304609998, 170370.718, 11572.405, 170366.821, 11571.067, 4.12),
    "A1.12": (50.93127937910, -1.45051433700, 438710.920, 114792.250, 438711.524, 114791.336, 1.09),
    "A1.13": (51.37447025550, 1.44454730409, 639821.835, 169565.858, 639823.545, 169566.732, 1.92),
    "A1.14": (51.42754743020, -2.54407618349, 362269.991, 169978.690, 362269.944, 169978.468, 0.23),
    "A1.15": (52.25529381630, -2.15458614387, 389544.190, 261912.153, 389544.677, 261913.730, 1.65),
    "A1.16": (53.8002151963, -1.66379168242, 422242.186, 433818.701, 422241.871, 433820.410, 1.74),
    "A1.17": (57.4862500072, -4.21926398555, 267056.768, 846176.972, 267056.807, 846175.179, 1.79),
    "A1.18": (60.1330809166, -2.07382822798, 395999.668, 1138728.951, 395998.701, 1138729.676, 1.21),
}


@pytest.mark.parametrize("row", TEST_POINTS)
def test_helmert_at_the_published_test_points(row: str) -> None:
    latitude, longitude, true_e, true_n, helmert_e, helmert_n, miss = TEST_POINTS[row]
    here = BRITISH_GRID.easting_northing(Position(latitude, longitude))
    assert here == pytest.approx((helmert_e, helmert_n), abs=0.001)
    off_m = math.dist(here, (true_e, true_n))
    assert off_m == pytest.approx(miss, abs=0.01)
    assert off_m <= BRITISH_GRID.shift_m


@pytest.mark.parametrize(
    ("latitude", "longitude", "easting", "northing", "reference"),
    [
        (51.4778, -0.0015, 538883.157, 177320.307, "TQ388773"),
        (56.796889, -5.003508, 216677.408, 771285.862, "NN166712"),
        (52.657977, 1.716052, 651409.913, 313177.093, "TG514131"),
        (50.87, -1.57, 430354.366, 107921.100, "SU303079"),
    ],
)
def test_more_helmert_rows(
    latitude: float, longitude: float, easting: float, northing: float, reference: str
) -> None:
    """The rows under A1.18; the reference of Ben Nevis is a published one."""
    place = Position(latitude, longitude)
    assert BRITISH_GRID.easting_northing(place) == pytest.approx((easting, northing), abs=0.001)
    assert BRITISH_GRID.reference(place, 30) == reference


def test_inverse_rows() -> None:
    """The inverse rows under A1.18."""
    for easting, northing, latitude, longitude in (
        (438750, 114850, 50.931804, -1.449961),
        (651500, 313500, 52.660832, 1.717627),
    ):
        place = BRITISH_GRID.position_at(easting, northing)
        assert (place.latitude, place.longitude) == pytest.approx((latitude, longitude), abs=6e-7)


@pytest.mark.parametrize(
    ("easting", "northing", "references"),
    [
        pytest.param(651409.903, 313177.270, "TG51 TG5113 TG514131 TG51401317 TG5140913177", id="A2.1"),
        pytest.param(569154, 237872, "TL63 TL6937 TL691378", id="A2.2"),
        pytest.param(247000.0, 55999.95, "SX45 SX4755 SX470559 SX47005599", id="A2.3"),
        pytest.param(399999.9, 299999.9, "SO99 SO9999 SO999999 SO99999999 SO9999999999", id="A2.4"),
        pytest.param(400000, 300000, "SK00 SK0000 SK000000", id="A2.5"),
        pytest.param(0, 0, "SV00 SV0000", id="A2.6"),
        pytest.param(460000, 1199999, "HU69 HU6099 HU600999 HU60009999", id="A2.7"),
        pytest.param(655999.99, 288999.99, "TM58 TM5588 TM559889 TM55998899 TM5599988999", id="A2.8"),
        pytest.param(530000, 180000, "TQ38 TQ3080 TQ300800", id="A2.9"),
        pytest.param(91492.146, 11318.804, "SV91 SV9111 SV914113 SV91491131", id="A2.10"),
    ],
)
def test_figures_are_cut_off(easting: float, northing: float, references: str) -> None:
    for reference, side_m in zip(references.split(), (10_000, 1_000, 100, 10, 1), strict=False):
        square = BRITISH_GRID.square_on_grid(easting, northing, side_m)
        assert square.reference == reference
        assert square.easting <= easting < square.easting + side_m
        assert square.northing <= northing < square.northing + side_m


def test_no_eight_figures_from_helmert() -> None:
    """A2.10: by Helmert the 10 m square would be the one next door, SV91481131."""
    scilly = Position(49.92226393730, -6.29977752014)
    assert BRITISH_GRID.square_at(scilly, 10).reference == "SV91481131"
    for uncertainty_m in (None, 0.5, 8, 30, 76):
        assert BRITISH_GRID.reference(scilly, uncertainty_m) == "SV914113"
    with pytest.raises(CoordinateError, match="6 figures at most"):
        BRITISH_GRID.reference(scilly, 3, figures=8)
    assert BRITISH_GRID.reference(scilly, 3, figures=4) == "SV9111"
    # A position that came off this grid goes back without the shift's doubt.
    on_the_map = BRITISH_GRID.position_at(91492.146, 11318.804)
    assert BRITISH_GRID.reference(on_the_map, 8, shift_m=0) == "SV91491131"


def test_a_reference_names_a_square() -> None:
    """A2.11, C2.8, C2.9, C2.10."""
    square = BRITISH_GRID.square_of("SU387148")
    assert (square.easting, square.northing, square.side_m) == (438700, 114800, 100)
    assert (square.centre.latitude, square.centre.longitude) == pytest.approx(
        (50.931804, -1.449961), abs=6e-7
    )
    assert square.radius_m == pytest.approx(70.736, abs=0.001)
    assert square.uncertainty_m == 76
    assert square.footprint_wkt == (
        "POLYGON ((-1.450677 50.931358, -1.449254 50.931351, -1.449244 50.932251, "
        "-1.450667 50.932257, -1.450677 50.931358))"
    )
    assert point_radius_spatial_fit(square.side_m / math.sqrt(2), square.side_m) == pytest.approx(math.pi / 2)


def test_ground_may_be_longer_than_the_grid() -> None:
    """C2.10: near 2 degrees west a 10 km square reaches 7073.9 m, more than half its diagonal."""
    square = BRITISH_GRID.square_of("SP00")
    assert square.radius_m == pytest.approx(7073.9, abs=0.5)
    assert square.uncertainty_m >= max(distance_m(square.centre, corner) for corner in square.corners) + 5


@pytest.mark.parametrize(
    ("easting", "northing"),
    [(-1, 5), (5, -1), (700_000, 5), (5, 1_300_000), (math.nan, 5), (5, math.inf)],
)
def test_outside_is_an_error(easting: float, northing: float) -> None:
    """A2.12: no wrapped letter."""
    with pytest.raises(CoordinateError, match="outside"):
        BRITISH_GRID.square_on_grid(easting, northing, 100)
    with pytest.raises(CoordinateError, match="outside"):
        BRITISH_GRID.position_at(easting, northing)


def test_last_squares_of_the_sheet() -> None:
    assert BRITISH_GRID.square_on_grid(699_999, 1_299_999, 100_000).reference == "JM"
    assert BRITISH_GRID.square_on_grid(400_000, 1_200_000, 100_000).reference == "HP"


@pytest.mark.parametrize("place", [Position(47, 11), Position(40.7, -74), Position(90, 0), Position(-52, -1)])
def test_far_away_is_an_error(place: Position) -> None:
    with pytest.raises(CoordinateError, match="outside"):
        BRITISH_GRID.reference(place, 8)
    assert not BRITISH_GRID.covers(place)


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("su 387 148", "SU387148"),
        (" SU387 148 ", "SU387148"),
        ("sU38", "SU38"),
        ("TL69a", "TL69A"),
        ("SU", "SU"),
    ],
)
def test_accepted_spellings(text: str, canonical: str) -> None:
    assert BRITISH_GRID.square_of(text).reference == canonical


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("SU38714", "even number"),
        ("SI387148", "leave out I"),
        ("XX387148", "no square 'XX'"),
        ("SU 38 7148", "unequal"),
        ("SU 3 8 7 1", "unequal"),
        ("SU123456123456", "are the most"),
        ("TL69O", "tetrad"),
        ("SU38.7 14.8", "not a reference"),
        ("", "not a reference"),
        ("387148", "not a reference"),
    ],
)
def test_refused_spellings(text: str, why: str) -> None:
    with pytest.raises(CoordinateError, match=why):
        BRITISH_GRID.square_of(text)


def test_tetrads() -> None:
    """2 km squares lettered from the south-west corner upwards, without O (common practice)."""
    for letter, easting, northing in (("A", 0, 0), ("E", 0, 8000), ("F", 2000, 0), ("N", 4000, 6000)):
        square = BRITISH_GRID.square_of(f"TL69{letter}")
        assert (square.easting, square.northing) == (560_000 + easting, 290_000 + northing)
    assert BRITISH_GRID.square_of("TL69P").northing == 298_000
    assert BRITISH_GRID.square_of("TL69Z").uncertainty_m == 1420  # C2.5 gives 1415, and 5 for the shift


eastings = st.floats(0, 699_999.99)
northings = st.floats(0, 1_299_999.99)
sides = st.sampled_from([1.0, 10.0, 100.0, 1_000.0, 10_000.0, 100_000.0])


@given(eastings, northings, sides)
def test_the_square_holds_the_place(easting: float, northing: float, side_m: float) -> None:
    place = BRITISH_GRID.projection.from_plane(easting, northing)
    if not BRITISH_GRID.covers(place):  # a nanometre over the edge of the sheet
        return
    square = BRITISH_GRID.square_at(place, side_m)
    assert square.easting - 1e-5 <= easting < square.easting + side_m + 1e-5
    assert square.northing - 1e-5 <= northing < square.northing + side_m + 1e-5
    assert distance_m(square.centre, place) <= square.radius_m + 1e-4
    assert BRITISH_GRID.square_of(square.reference) == square


@given(eastings, northings, sides.filter(lambda side_m: side_m >= 100))
def test_what_a_reference_leaves_open_is_honest_for_it(
    easting: float, northing: float, side_m: float
) -> None:
    """A typed reference is shown again as it was typed, neither finer nor coarser."""
    square = BRITISH_GRID.square_on_grid(easting, northing, side_m)
    assert BRITISH_GRID.reference(square.centre, square.uncertainty_m) == square.reference
