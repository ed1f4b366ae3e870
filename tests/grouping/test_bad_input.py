"""Cards as they come: no time, wrong years, one time for all, swapped places, odd tracks, shared names."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from catalog_gui.domain.photo import Camera, Fix, Photo, WrittenTime
from catalog_gui.geo.position import Position
from catalog_gui.grouping import propose
from tests.grouping.walks import CAMERA, PHONE, START, photo, second_camera, stop_times, track, walk

NOW = datetime(2024, 9, 22, tzinfo=UTC)


def test_no_pictures() -> None:
    proposal = propose([])
    assert (proposal.groups, proposal.joins, proposal.clocks, proposal.left_out) == ((), (), (), ())
    assert (proposal.revisits, proposal.questions, proposal.ignored_fixes, dict(proposal.times)) == (
        (),
        (),
        (),
        {},
    )
    assert proposal.doubtful == ()


def test_one_picture() -> None:
    proposal = propose(walk(1)[:1])
    assert len(proposal.groups) == 1
    assert proposal.joins == ()
    assert proposal.revisits == ()


def test_two_pictures() -> None:
    assert len(propose(walk(1)[:2]).joins) == 1


def test_no_time_at_all() -> None:
    photos = [replace(p, written=WrittenTime(problem="the tag is blank")) for p in walk(2)]
    proposal = propose(photos)
    assert proposal.groups == ()
    assert proposal.joins == ()
    assert [r.photo for r in proposal.left_out] == [p.id for p in photos]
    assert all("blank" in r.reason for r in proposal.left_out)
    assert all(p not in proposal.times for p in (photo.id for photo in photos))


def test_some_without_time_beside_others() -> None:
    photos = walk(3)
    lost = Photo("lost", "lost.jpg", CAMERA)
    proposal = propose([*photos, lost])
    assert [r.photo for r in proposal.left_out] == ["lost"]
    assert len(proposal.groups) == 3


def test_satellite_time_serves_where_no_time_was_written() -> None:
    photos = [replace(p, written=WrittenTime()) for p in walk(3, satellites=True)]
    proposal = propose(photos)
    assert proposal.left_out == ()
    assert proposal.groups[0].start == START
    assert len(proposal.groups) == 3


@pytest.mark.parametrize("year", [1970, 1980, 2000, 2031])
def test_wrong_years_are_kept_and_asked_about(year: int) -> None:
    photos = [
        replace(
            p, written=replace(p.written, local=p.written.local.replace(year=year), offset=None), fix=None
        )
        for p in walk(4)
        if p.written.local
    ]
    proposal = propose(photos, now=NOW)
    assert len(proposal.groups) == 4
    assert proposal.left_out == ()
    if year in (1970, 1980, 2031):
        assert not proposal.clocks[0].settled
        assert str(year) in proposal.questions[0].text


@pytest.mark.parametrize("year", [1970, 1980, 2000, 2031])
def test_a_camera_in_a_wrong_year_beside_a_phone_loses_nothing(year: int) -> None:
    camera = [
        replace(p, written=replace(p.written, local=p.written.local.replace(year=year)))
        for p in second_camera(30, 77.0)
        if p.written.local
    ]
    proposal = propose(walk(30) + camera, now=NOW)
    assert proposal.left_out == ()
    found = next(c for c in proposal.clocks if c.camera_key == CAMERA.key)
    assert found.settled
    assert len(proposal.groups) == 30


def test_the_first_and_last_years_a_date_can_have() -> None:
    photos = [
        Photo("old", "old.jpg", PHONE, WrittenTime(local=datetime(1, 1, 1))),  # noqa: DTZ001
        Photo("new", "new.jpg", PHONE, WrittenTime(local=datetime(9999, 12, 31, 23, 59, 59))),  # noqa: DTZ001
        *walk(1),
    ]
    proposal = propose(photos, time_zone="Europe/Berlin", now=NOW)
    assert len(proposal.groups) == 3


def test_identical_times_for_a_whole_card() -> None:
    same = walk(1)[0].written
    photos = [Photo(f"s{k}", f"s{k}.jpg", CAMERA, same) for k in range(30)]
    proposal = propose([*walk(3), *photos])
    assert {r.photo for r in proposal.left_out} == {p.id for p in photos}
    assert all("same time" in r.reason for r in proposal.left_out)
    assert len(proposal.groups) == 3


def test_a_short_burst_in_one_second_is_no_lost_card() -> None:
    same = walk(1)[0].written
    proposal = propose([Photo(f"s{k}", f"s{k}.jpg", CAMERA, same) for k in range(6)])
    assert len(proposal.groups) == 1
    assert proposal.left_out == ()


def test_swapped_latitude_and_longitude() -> None:
    photos = walk(4)
    where = photos[6].fix
    assert where is not None
    wrong = replace(photos[6], fix=Fix(Position(where.position.longitude, where.position.latitude)))
    proposal = propose([*photos[:6], wrong, *photos[7:]])
    assert [r.photo for r in proposal.ignored_fixes] == [wrong.id]
    assert "swapped" in proposal.ignored_fixes[0].reason
    assert len(proposal.groups) == 4


def test_a_track_in_another_time_zone_is_recognised_by_the_fixes() -> None:
    photos = walk(12)
    times = [t + s for t in stop_times(12) for s in (0, 30)]
    points = [(40.0 * k, 0.0) for k in range(12) for _ in range(2)]
    proposal = propose(photos, tracks=[track(times, points, shift_h=2.0)])
    assert any("2 h ahead of UTC" in q.text for q in proposal.questions)
    assert len(proposal.groups) == 12


def test_a_track_with_holes_gives_no_place_inside_a_hole() -> None:
    photos = second_camera(8, 0.0)
    begin = stop_times(8)
    seconds = [begin[0], begin[0] + 30, begin[7], begin[7] + 30]
    proposal = propose(
        photos, tracks=[track(seconds, [(0, 0), (0, 0), (280, 0), (280, 0)])], time_zone="Europe/Berlin"
    )
    first, middle = proposal.groups[0].place, proposal.groups[4].place
    assert first is not None
    assert middle is None or middle.uncertainty_m > 3 * first.uncertainty_m


def test_a_track_of_another_day_and_an_empty_track() -> None:
    other = track([90_000.0, 90_060.0, 90_120.0], [(0, 0), (50, 0), (90, 0)])
    empty = replace(other, name="empty", times=(), latitudes=(), longitudes=())
    proposal = propose(walk(3), tracks=[other, empty])
    assert len(proposal.groups) == 3
    assert any("covers none" in q.text for q in proposal.questions)


def test_two_cameras_of_one_model_without_serial_are_told_apart_by_number() -> None:
    """One key, two clocks 300 s apart, numbering 100 and 5000: said, and each gets its own clock."""
    twin = Camera("Oakley Dell", "Lumen 1")
    one = [replace(p, camera=twin, counter=100 + k) for k, p in enumerate(second_camera(30, 0.0))]
    two = [
        replace(p, id=f"d{p.id[1:]}", camera=twin, counter=5000 + k)
        for k, p in enumerate(second_camera(30, 300.0))
    ]
    proposal = propose(walk(30) + one + two)
    assert any("share the name" in q.text for q in proposal.questions)
    offsets = sorted(c.offset_s for c in proposal.clocks if c.camera_key.startswith(twin.key))
    assert offsets == pytest.approx([-7500.0, -7200.0], abs=12.0)


def test_one_camera_alone_is_not_taken_for_two() -> None:
    photos = [replace(p, camera=Camera("Oakley Dell", "Lumen 1"), counter=k) for k, p in enumerate(walk(20))]
    assert len(propose(photos).clocks) == 1


def test_a_counter_that_rolls_over_keeps_its_order() -> None:
    """Pictures of one second stand in the order 9998, 9999, 1, 2."""
    plain = Camera("Oakley Dell", "Lumen 1")
    local = datetime(2024, 9, 21, 10)  # noqa: DTZ001
    numbers = [2, 9998, 1, 9999]
    photos = [Photo(f"n{n}", f"n{n}.jpg", plain, WrittenTime(local=local), counter=n) for n in numbers]
    more = [
        Photo(f"n{n}", f"n{n}.jpg", plain, WrittenTime(local=local + timedelta(seconds=s)), counter=n)
        for n, s in ((9990, -300), (9991, -290), (9, 200), (10, 208), (11, 214), (12, 220))
    ]
    proposal = propose(photos + more)
    burst = next(g for g in proposal.groups if "n1" in g.photos)
    assert burst.photos == ("n9998", "n9999", "n1", "n2")
    assert len(proposal.clocks) == 1


def test_times_that_carry_a_zone_by_mistake_are_read_as_camera_time() -> None:
    photos = [
        replace(p, written=replace(p.written, local=p.written.local.replace(tzinfo=UTC)))
        for p in walk(3)
        if p.written.local
    ]
    assert [g.photos for g in propose(photos).groups] == [g.photos for g in propose(walk(3)).groups]


def test_a_picture_given_twice_counts_once() -> None:
    photos = walk(2)
    proposal = propose([*photos, photos[0]])
    assert sum(len(g.photos) for g in proposal.groups) == len(photos)


def test_pictures_days_apart() -> None:
    photos = walk(3) + [
        photo(f"l{k}", 86400.0 * 300 * k + 9, camera=CAMERA, offset_h=None) for k in range(1, 5)
    ]
    proposal = propose(photos)
    assert sum(len(g.photos) for g in proposal.groups) == len(photos)


def test_pictures_of_one_instant_are_judged_alike_in_any_order() -> None:
    photos = [photo(f"p{n}", 0.0, at=(400.0, 0.0) if n == 0 else (0.0, 0.0)) for n in range(4)]
    photos += [photo(f"q{n}", 60.0 + n, at=(0.0, 0.0)) for n in range(4)]
    one, other = propose(photos), propose(photos[::-1])
    assert [r.photo for r in one.ignored_fixes] == ["p0"]
    assert sorted(one.ignored_fixes, key=str) == sorted(other.ignored_fixes, key=str)
    assert [j.probability for j in one.joins] == [j.probability for j in other.joins]
