"""Distances and bearings against published geodesics; ids are rows of the check values, section A5."""

from __future__ import annotations

import math
import os
from pathlib import Path

import pytest
from geographiclib.geodesic import Geodesic as Reference
from hypothesis import given
from hypothesis import strategies as st

from catalog_gui.geo.distance import bearing_deg, destination, distance_m, geodesic, haversine_m
from catalog_gui.geo.position import Position

positions = st.builds(
    Position,
    st.floats(-90, 90, allow_nan=False),
    st.floats(-180, 180, allow_nan=False),
)


def dms(degrees: int, minutes: int, seconds: float) -> float:
    return degrees + minutes / 60 + seconds / 3600


FLINDERS_PEAK = Position(-dms(37, 57, 3.72030), dms(144, 25, 29.52440))
BUNINYONG = Position(-dms(37, 39, 10.15610), dms(143, 55, 35.38390))


def test_flinders_peak_to_buninyong() -> None:
    """A5.1: ICSM, GDA technical manual."""
    line = geodesic(FLINDERS_PEAK, BUNINYONG)
    assert line.distance_m == pytest.approx(54_972.271, abs=0.001)
    assert line.bearing == pytest.approx(dms(306, 52, 5.37), abs=0.01 / 3600)
    assert line.back_bearing == pytest.approx(dms(127, 10, 25.07), abs=0.01 / 3600)


def test_haversine_on_the_same_line() -> None:
    """A5.2: the mean sphere is 0.085 % short here."""
    ends = (FLINDERS_PEAK.latitude, FLINDERS_PEAK.longitude, BUNINYONG.latitude, BUNINYONG.longitude)
    assert haversine_m(*ends) == pytest.approx(54_925.508, abs=0.01)


def test_direct_problem() -> None:
    """A5.3: Karney 2013, J. Geodesy 87:43-55, table 2."""
    end, arrival = destination(Position(40, 0), 30, 10_000_000)
    assert end.latitude == pytest.approx(41.79331020506, abs=1e-10)
    assert end.longitude == pytest.approx(137.84490004377, abs=1e-10)
    assert arrival == pytest.approx(149.09016931807, abs=1e-10)


def test_nearly_antipodal() -> None:
    """A5.4: Karney 2013, table 4; the second azimuth there is the one of arrival."""
    line = geodesic(Position(-30, 0), Position(29.9, 179.8))
    assert line.distance_m == pytest.approx(19_989_832.8276, abs=0.001)
    assert line.bearing == pytest.approx(161.8905247363, abs=1e-9)
    assert line.back_bearing == pytest.approx(18.0907372457 + 180, abs=1e-9)


def test_where_vincenty_does_not_converge() -> None:
    """A5.5."""
    assert distance_m(Position(0, 0), Position(0.5, 179.5)) == pytest.approx(19_936_288.579, abs=0.001)
    hard = Reference.WGS84.Inverse(0, 0, 0.5, 179.7)["s12"]
    assert distance_m(Position(0, 0), Position(0.5, 179.7)) == pytest.approx(hard, abs=0.001)


def test_new_york_to_paris() -> None:
    """A5.6: GeographicLib manual."""
    line = geodesic(Position(40.6, -73.8), Position(dms(49, 1, 0), dms(2, 33, 0)))
    assert line.distance_m == pytest.approx(5_853_226.256, abs=0.001)
    assert line.bearing == pytest.approx(53.470, abs=0.001)


def test_first_line_of_the_geodesic_test_set() -> None:
    """A5.7: GeodTest, Karney 2010."""
    end = Position(-48.164270779097768864, 5.762344694676510456)
    assert distance_m(Position(36.530042355041, 0), end) == pytest.approx(9_398_502.043, abs=0.001)


def test_date_line() -> None:
    """A5.8: 22 m, not the way round the world."""
    west, east = Position(0, 179.9999), Position(0, -179.9999)
    assert distance_m(west, east) == pytest.approx(22.264, abs=0.001)
    assert haversine_m(0, 179.9999, 0, -179.9999) == pytest.approx(22.24, abs=0.01)
    assert bearing_deg(west, east) == pytest.approx(90, abs=1e-6)


def test_small_steps() -> None:
    """A5.9, A5.10."""
    here = Position(52, 0)
    assert distance_m(here, Position(52.00001, 0)) == pytest.approx(1.1127, abs=1e-4)
    assert distance_m(here, Position(52, 0.00001)) == pytest.approx(0.6868, abs=1e-4)
    for latitude, metres in ((0, 111.319), (52, 68.678), (60, 55.800)):
        assert distance_m(Position(latitude, 0), Position(latitude, 0.001)) == pytest.approx(
            metres, abs=0.001
        )


@given(positions)
def test_identical_points_have_no_distance_and_no_bearing(place: Position) -> None:
    """A5.11."""
    assert distance_m(place, place) == 0.0
    assert bearing_deg(place, place) is None
    assert haversine_m(place.latitude, place.longitude, place.latitude, place.longitude) == 0.0


@given(positions, positions)
def test_agrees_with_geographiclib(start: Position, end: Position) -> None:
    """A5 as a whole against Karney's own package."""
    reference = Reference.WGS84.Inverse(start.latitude, start.longitude, end.latitude, end.longitude)
    line = geodesic(start, end)
    assert line.distance_m == pytest.approx(reference["s12"], abs=1e-6)
    if 0.001 < line.distance_m < 19_000_000 and max(abs(start.latitude), abs(end.latitude)) < 89.99:
        assert line.bearing is not None
        assert abs(math.remainder(line.bearing - reference["azi1"], 360)) < 1e-3
    around = haversine_m(start.latitude, start.longitude, end.latitude, end.longitude)
    assert around == pytest.approx(reference["s12"], rel=0.006, abs=1e-6)


# A5.20: nine frames of one walk. Latitude, longitude; metres and bearing from the previous one;
# metres from the first.
WALK = (
    (43.4674483, 11.8851267, None, None, 0.0),
    (43.4671567, 11.8853950, 39.007, 146.17, 39.007),
    (43.4670817, 11.8845383, 69.821, 263.15, 62.658),
    (43.4683650, 11.8816350, 274.817, 301.25, 300.338),
    (43.4684417, 11.8815150, 12.917, 311.26, 312.397),
    (43.4682433, 11.8801717, 110.912, 258.54, 410.570),
    (43.4672550, 11.8792133, 134.428, 215.23, 478.990),
    (43.4660117, 11.8791117, 138.381, 183.41, 512.244),
    (43.4644550, 11.8814783, 258.051, 132.08, 444.703),
)


def test_walk_of_nine_photographs() -> None:
    """A5.20. The table prints seven decimals of a degree: 1 cm at worst."""
    places = [Position(latitude, longitude) for latitude, longitude, *_ in WALK]
    for place, before, (_, _, step, bearing, straight) in zip(places[1:], places, WALK[1:], strict=False):
        assert distance_m(before, place) == pytest.approx(step, abs=0.02)
        assert bearing_deg(before, place) == pytest.approx(bearing, abs=0.05)
        assert distance_m(places[0], place) == pytest.approx(straight, abs=0.02)


def test_walk_from_the_files_themselves() -> None:
    """A5.20 to the millimetre, with the fractions of a second that the cameras wrote."""
    import exifread

    root = os.environ.get("FORAY_BENCH_PICTURES")
    folder = (Path(root) if root else Path(__file__).parents[3] / "shared" / "pictures") / "gps"
    if not folder.is_dir():
        pytest.skip(f"no camera files at {folder}")
    places = []
    for path in sorted(folder.glob("DSCN00*.jpg")):
        with path.open("rb") as file:
            tags = exifread.process_file(file, details=False)
        degrees = [
            sum(float(value) / 60**place for place, value in enumerate(tags[f"GPS GPS{axis}"].values))
            for axis in ("Latitude", "Longitude")
        ]
        places.append(Position(*degrees))
    assert len(places) == len(WALK)
    for place, before, (_, _, step, bearing, straight) in zip(places[1:], places, WALK[1:], strict=False):
        assert distance_m(before, place) == pytest.approx(step, abs=0.001)
        assert bearing_deg(before, place) == pytest.approx(bearing, abs=0.01)
        assert distance_m(places[0], place) == pytest.approx(straight, abs=0.001)
