"""Places: which fixes are believed, interpolation in time, what a group's place may claim."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from catalog_gui.domain.photo import Fix
from catalog_gui.geo.position import Position
from catalog_gui.grouping import places, propose
from tests.grouping.walks import CAMERA, photo, second_camera, spot, stop_times, track, walk


def test_interpolation_worked_example() -> None:
    """By hand: 100 m east in 100 s, asked 25 s after the start.

    Position 0.25 x 100 = 25 m. Own error sqrt((0.75 x 4)^2 + (0.25 x 8)^2) = sqrt(13); bridge 2 m2/s x
    25 x 75 / 100 s = 37.5 m2; clock doubt 3 s at 1 m/s = 9 m2. Together sqrt(13 + 37.5 + 9) = 7.714 m.
    """
    path = places.Trail(np.array([0.0, 100.0]), np.array([0.0, 100.0]), np.zeros(2), np.array([4.0, 8.0]))
    x, y, error = places.interpolate(path, np.array([25.0]), np.array([3.0]))
    assert x[0] == pytest.approx(25.0)
    assert y[0] == pytest.approx(0.0)
    assert error[0] == pytest.approx((13.0 + 37.5 + 9.0) ** 0.5)


def test_interpolation_is_least_sure_midway_and_never_surer_than_the_fixes_there() -> None:
    path = places.Trail(np.array([0.0, 400.0]), np.array([0.0, 50.0]), np.zeros(2), np.array([5.0, 5.0]))
    error = places.interpolate(path, np.array([0.0, 100.0, 200.0, 300.0, 400.0]), np.zeros(5))[2]
    assert error.argmax() == 2
    assert error[0] == pytest.approx(5.0)
    assert error[4] == pytest.approx(5.0)


def test_no_place_from_a_fix_too_long_ago() -> None:
    path = places.Trail(np.array([0.0]), np.zeros(1), np.zeros(1), np.array([5.0]))
    x, _, error = places.interpolate(path, np.array([-1000.0, -600.0, 600.0, 1000.0]), np.zeros(4))
    assert np.isnan(x[[0, 3]]).all()
    assert (error[1:3] > 30.0).all()


def test_a_camera_without_fixes_gets_its_place_from_the_phone() -> None:
    photos = walk(10) + second_camera(10, 0.0)
    lone = photo("lone", stop_times(10)[4] + 70.0, camera=CAMERA, offset_h=None)
    proposal = propose([*photos, lone], time_zone="Europe/Berlin")
    group = next(g for g in proposal.groups if "lone" in g.photos)
    assert group.place is not None
    if group.photos == ("lone",):
        assert group.place.uncertainty_m > 6.0
        assert "where the party was" in group.place.basis


def test_a_track_gives_places_and_sorts() -> None:
    """A camera alone, with nothing but a track: its finds 40 m apart are told apart and placed."""
    photos = second_camera(8, 0.0)
    seconds, points = [], []
    for k, begin in enumerate(stop_times(8)):
        for s in (-5, 15, 35):
            seconds.append(begin + s)
            points.append((40.0 * k, 0.0))
    proposal = propose(photos, tracks=[track(seconds, points)], time_zone="Europe/Berlin")
    assert len(proposal.groups) == 8
    place = proposal.groups[3].place
    assert place is not None
    assert place.position.longitude == pytest.approx(spot(120.0, 0.0).longitude, abs=5e-5)
    assert place.basis == "from the track"


def test_zero_zero_is_ignored_with_a_reason() -> None:
    photos = walk(3)
    nowhere = photo("zero", 12.0, at=None)

    nowhere = replace(nowhere, fix=Fix(Position(0.0, 0.0)))
    proposal = propose([*photos, nowhere])
    assert [(r.photo, "0, 0" in r.reason) for r in proposal.ignored_fixes] == [("zero", True)]
    assert "zero" in proposal.groups[0].photos


def test_all_fixes_at_zero_zero() -> None:

    photos = [replace(p, fix=Fix(Position(0.0, 0.0))) for p in walk(3)]
    proposal = propose(photos)
    assert len(proposal.ignored_fixes) == len(photos)
    assert all(g.place is None for g in proposal.groups)


def test_a_jump_is_ignored_with_a_reason() -> None:
    photos = walk(4)

    far = replace(photos[7], fix=replace(photos[7].fix, position=spot(1500.0, 900.0)))  # type: ignore[type-var]
    proposal = propose([*photos[:7], far, *photos[8:]])
    assert [r.photo for r in proposal.ignored_fixes] == [photos[7].id]
    assert "jumps" in proposal.ignored_fixes[0].reason
    assert [set(g.photos) for g in proposal.groups] == [
        {p.id for p in photos[k : k + 5]} for k in range(0, 20, 5)
    ]


def test_an_old_fix_is_ignored_with_a_reason() -> None:

    photos = walk(6, satellites=True)
    fix = photos[12].fix
    assert fix is not None
    assert fix.satellite_time is not None
    old = replace(photos[12], fix=replace(fix, satellite_time=fix.satellite_time - timedelta(minutes=40)))
    proposal = propose([*photos[:12], old, *photos[13:]])
    assert [r.photo for r in proposal.ignored_fixes] == [photos[12].id]
    assert "minutes older" in proposal.ignored_fixes[0].reason


def test_many_fixes_of_one_receiver_claim_little_more_than_one() -> None:
    """Errors drift together: a hundred fixes in a minute never get below the shared part of the error."""
    n = 100
    flat = np.zeros(n)
    place = places.combine(flat, flat, np.full(n, 6.0), np.zeros(n, np.int64), (51.0, 10.0))
    assert place is not None
    assert place.uncertainty_m + 0.05 >= 6.0 * 0.7**0.5
    assert place.uncertainty_m < 6.0


def test_receivers_that_disagree_make_the_place_less_sure() -> None:
    error = np.full(2, 5.0)
    near = places.combine(np.array([0.0, 2.0]), np.zeros(2), error, np.array([0, 1]), (51.0, 10.0))
    far = places.combine(np.array([0.0, 60.0]), np.zeros(2), error, np.array([0, 1]), (51.0, 10.0))
    assert near is not None
    assert far is not None
    assert far.uncertainty_m > 20.0 > near.uncertainty_m


def test_a_walk_across_the_date_line_stays_in_one_piece() -> None:

    photos = []
    for k, p in enumerate(walk(6)):
        east = 179.9995 + 0.0002 * (k // 5)
        photos.append(replace(p, fix=replace(p.fix, position=Position(-17.0, (east + 180) % 360 - 180))))  # type: ignore[type-var]
    proposal = propose(photos)
    assert not proposal.ignored_fixes
    assert len(proposal.groups) == 6
    for group in proposal.groups:
        assert group.place is not None
        assert abs(group.place.position.longitude) > 179.0
