"""Clocks: offsets found from satellites and from the rhythm of the pictures; doubt where they cannot tell."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from catalog_gui.domain.photo import Camera, Photo, WrittenTime
from catalog_gui.grouping import Proposal, propose
from catalog_gui.grouping.clocks import zone_offset
from catalog_gui.grouping.proposed import ProposedClock
from tests.grouping.walks import CAMERA, PHONE, photo, second_camera, walk


def clock(proposal: Proposal, camera: Camera) -> ProposedClock:
    return next(c for c in proposal.clocks if c.camera_key == camera.key)


@pytest.mark.parametrize(
    "error_s",
    [0.0, 41.0, -95.0, 3600.0, 3633.0, -3570.0, -7200.0 + 20, 5 * 3600.0, 86400.0 + 12, -86400.0 + 3600],
)
def test_a_camera_in_company_is_set_to_the_second(error_s: float) -> None:
    proposal = propose(walk(40) + second_camera(40, error_s))
    found = clock(proposal, CAMERA)
    assert found.settled
    assert found.offset_s == pytest.approx(-7200.0 - error_s, abs=5.0)
    assert found.spread_s < 15.0
    assert "rhythm" in found.basis


def test_a_reset_year_is_found_from_the_rhythm() -> None:
    camera = [
        replace(p, written=replace(p.written, local=p.written.local - timedelta(days=8997, seconds=1234)))
        for p in second_camera(40, 0.0)
        if p.written.local is not None
    ]
    found = clock(propose(walk(40) + camera), CAMERA)
    assert found.settled
    assert found.offset_s == pytest.approx(-7200.0 + 8997 * 86400 + 1234, abs=5.0)


def test_satellite_time_settles_a_phone() -> None:
    proposal = propose(walk(6, satellites=True))
    found = clock(proposal, PHONE)
    assert found.settled
    assert found.offset_s == pytest.approx(-7200.0, abs=1.0)
    assert "satellite" in found.basis


def test_old_fixes_do_not_drag_the_clock() -> None:
    photos = walk(8, satellites=True)
    stale = [
        replace(
            p, fix=replace(p.fix, satellite_time=p.fix.satellite_time - timedelta(seconds=20 + 7 * (k % 5)))
        )
        if k % 3 == 0 and p.fix and p.fix.satellite_time
        else p
        for k, p in enumerate(photos)
    ]
    assert clock(propose(stale), PHONE).offset_s == pytest.approx(-7200.0, abs=1.5)


def test_few_pictures_are_not_shifted_but_asked_about() -> None:
    photos = [*walk(20), photo("c1", 700.0 + 3600, camera=CAMERA, offset_h=None)]
    proposal = propose(photos)
    found = clock(proposal, CAMERA)
    assert not found.settled
    assert found.offset_s == pytest.approx(-7200.0)
    question = next(q for q in proposal.questions if q.camera_key == CAMERA.key)
    assert "Pair one picture" in question.text
    assert question.pair is not None
    assert question.pair[0] == "c1"


def test_one_camera_without_zone_stands_as_written() -> None:
    photos = [replace(p, fix=None, written=replace(p.written, offset=None)) for p in walk(4)]
    found = clock(propose(photos), PHONE)
    assert found.offset_s == 0.0
    assert "zone is not known" in found.basis
    assert found.spread_s > 3600


def test_the_time_zone_of_the_place_is_used() -> None:
    photos = [replace(p, fix=None, written=replace(p.written, offset=None)) for p in walk(4)]
    assert clock(propose(photos, time_zone="Europe/Berlin"), PHONE).offset_s == -7200.0
    assert clock(propose(photos, time_zone="America/New_York"), PHONE).offset_s == 4 * 3600.0
    assert clock(propose(photos, time_zone="Nowhere/At_All"), PHONE).offset_s == 0.0


@pytest.mark.parametrize(
    ("zone", "night"),
    [
        ("Europe/Berlin", datetime(2024, 3, 31)),  # noqa: DTZ001 - local nights
        ("Europe/Berlin", datetime(2024, 10, 27)),  # noqa: DTZ001
        ("Europe/London", datetime(2024, 3, 31)),  # noqa: DTZ001
        ("Europe/London", datetime(2024, 10, 27)),  # noqa: DTZ001
        ("America/St_Johns", datetime(2024, 11, 3)),  # noqa: DTZ001 - three and a half hours
        ("Australia/Lord_Howe", datetime(2024, 4, 7)),  # noqa: DTZ001 - half an hour of summer time
    ],
)
def test_zone_offsets_agree_with_the_tz_database_around_both_nights(zone: str, night: datetime) -> None:
    """Against Python's zoneinfo reading of the tz database, hour by hour, gaps and doubled hours included."""
    for hour in range(-6, 12):
        local = night + timedelta(hours=hour, minutes=30)
        offset = local.replace(tzinfo=ZoneInfo(zone), fold=0).utcoffset()
        assert offset is not None
        assert zone_offset(zone, local.replace(tzinfo=UTC).timestamp()) == -offset.total_seconds()


def test_zone_offset_of_an_unknown_zone() -> None:
    assert zone_offset("Not/AZone", 0.0) is None
    assert zone_offset("../etc/passwd", 0.0) is None


def test_a_phone_through_the_autumn_night_stays_in_order() -> None:
    """02:55 summer time is followed, ten minutes later, by 02:05 winter time: the tags say which is which."""
    night = datetime(2024, 10, 27, 0, 55, tzinfo=UTC)
    photos = []
    for k in range(6):
        true = night + timedelta(minutes=10 * (k // 3), seconds=8 * (k % 3))
        local = true.astimezone(ZoneInfo("Europe/Berlin"))
        written = WrittenTime(local=local.replace(tzinfo=None, fold=0), offset=local.utcoffset())
        photos.append(Photo(f"n{k}", f"n{k}.jpg", PHONE, written))
    groups = propose(photos).groups
    assert [g.photos for g in groups] == [("n0", "n1", "n2"), ("n3", "n4", "n5")]
    assert groups[1].start == night + timedelta(minutes=10)


def test_drift_over_a_day_stays_within_the_spread() -> None:
    camera = [
        replace(p, written=replace(p.written, local=p.written.local + timedelta(seconds=3.0 * k / 160)))
        for k, p in enumerate(second_camera(40, 90.0))
        if p.written.local is not None
    ]
    found = clock(propose(walk(40) + camera), CAMERA)
    assert abs(found.offset_s - (-7200.0 - 91.5)) < max(3.0, 2.5 * found.spread_s)


def test_the_party_outvotes_a_reference_that_is_an_hour_off() -> None:
    """No zone tags, no satellites; the camera with most pictures is an hour fast, three others agree."""
    zone = "Europe/Berlin"
    wrong = [replace(p, fix=None, written=replace(p.written, offset=None)) for p in walk(40)]
    wrong = [
        replace(p, written=replace(p.written, local=(p.written.local or START) + timedelta(hours=1)))
        for p in wrong
    ]
    right = []
    for n in range(3):
        body = Camera("Oakley Dell", f"Lumen {n}", f"20{n}")
        right += [replace(p, id=f"{n}{p.id}") for p in second_camera(40, 7.0 * n, camera=body)]
    proposal = propose(wrong + right, time_zone=zone)
    assert clock(proposal, PHONE).offset_s == pytest.approx(-7200.0 - 3600.0, abs=15.0)


START = datetime(2024, 9, 21, 10)  # noqa: DTZ001 - camera time
