"""The local sheet of metres against PROJ's azimuthal equidistant projection."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Transformer

from catalog_gui.geo.distance import bearing_deg, distance_m
from catalog_gui.geo.plane import LocalPlane
from catalog_gui.geo.position import Position

centres = st.builds(
    Position,
    st.one_of(st.floats(-90, 90), st.sampled_from([90.0, -90.0, 89.9999, 0.0])),
    st.one_of(st.floats(-180, 180), st.sampled_from([180.0, -180.0, 179.99999])),
)
offsets = st.floats(-10_000, 10_000, allow_subnormal=False)


@given(centres, offsets, offsets)
def test_agrees_with_proj(centre: Position, x: float, y: float) -> None:
    reference = Transformer.from_pipeline(
        f"+proj=aeqd +ellps=WGS84 +lat_0={centre.latitude!r} +lon_0={centre.longitude!r}"
    )
    longitude, latitude = reference.transform(x, y, direction="INVERSE")
    place = LocalPlane(centre).position(x, y)
    # PROJ takes anything within 1e-10 radians, 0.6 mm, for the centre itself.
    assert distance_m(place, Position(latitude, math.remainder(longitude, 360))) < 1e-3
    assert LocalPlane(centre).xy(place) == pytest.approx((x, y), abs=1e-6)


@given(centres, st.floats(-1.5e7, 1.5e7), st.floats(-100_000, 100_000))
def test_there_and_back_however_far(centre: Position, x: float, y: float) -> None:
    plane = LocalPlane(centre)
    latitudes, longitudes = plane.from_plane([x], [y])
    xs, ys = plane.to_plane(latitudes, longitudes)
    assert math.dist((xs[0], ys[0]), (x, y)) < 1e-5 + 1e-9 * abs(x)


def test_distance_and_bearing_over_the_date_line() -> None:
    centre, place = Position(-17.0, 179.999), Position(-17.001, -179.999)
    x, y = LocalPlane(centre).xy(place)
    assert math.hypot(x, y) == pytest.approx(distance_m(centre, place), abs=1e-4)
    assert math.degrees(math.atan2(x, y)) % 360 == pytest.approx(bearing_deg(centre, place), abs=1e-5)


def test_a_wild_fix_stays_far_away() -> None:
    plane = LocalPlane(Position(52, -1))
    for wild in (Position(0, 0), Position(-52, 179), Position(-52, -181 + 360), Position(-33, 151)):
        assert math.hypot(*plane.xy(wild)) == pytest.approx(distance_m(plane.centre, wild), rel=0.06)


def test_centre_and_antipode() -> None:
    plane = LocalPlane(Position(0, 0))
    assert plane.xy(Position(0, 0)) == (0.0, 0.0)
    assert math.hypot(*plane.xy(Position(0, 180))) > 19_000_000
    assert plane.position(0, 0) == Position(0, 0)


def test_distances_between_two_others() -> None:
    """Away from the centre too, within a few centimetres over a foray's ground."""
    plane = LocalPlane(Position(60, 10))
    one, two = Position(60.05, 10.05), Position(59.96, 9.93)
    assert math.dist(plane.xy(one), plane.xy(two)) == pytest.approx(distance_m(one, two), abs=0.03)
