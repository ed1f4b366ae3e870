"""The figures that a photo carries along for sorting are those of its fields, whoever made or changed it."""

from __future__ import annotations

import copy
import math
import pickle
import struct
from concurrent.futures import ThreadPoolExecutor
from dataclasses import fields, replace
from datetime import UTC, datetime, timedelta, timezone

import pytest

from catalog_gui.domain.photo import NUMBERS, Camera, Fix, Photo, WrittenTime
from catalog_gui.geo.position import Position

WRITTEN = datetime(2026, 10, 4, 10, 3, 2, 250_000)  # noqa: DTZ001 - camera time has no zone
SEEN = datetime(2026, 10, 4, 8, 3, 1, tzinfo=UTC)
FULL = Photo(
    "p1",
    "/card/AMR_9999.JPG",
    Camera("Aldermoor", "AM-20", "7"),
    WrittenTime("2026:10:04 10:03:02", WRITTEN, timedelta(hours=2)),
    Fix(Position(51.5, -2.5), 6.0, satellite_time=SEEN),
    counter=9999,
)


def figures(photo: Photo) -> dict[str, float]:
    return dict(zip(NUMBERS, struct.unpack(f"{len(NUMBERS)}d", photo.numbers), strict=True))


def test_they_are_what_the_fields_say() -> None:
    """The seconds by hand: 56 years with 14 leap days and 276 days more are 20 730 days since 1970."""
    found = figures(FULL)
    assert (
        found.pop("camera")
        == figures(replace(FULL, id="p2", camera=Camera("Aldermoor", "AM-20", "7")))["camera"]
    )
    assert found == {
        "written": 20_730 * 86_400 + 10 * 3600 + 3 * 60 + 2.25,
        "tag": 7200.0,
        "satellite": 20_730 * 86_400 + 8 * 3600 + 3 * 60 + 1.0,
        "latitude": 51.5,
        "longitude": -2.5,
        "error": 6.0,
        "counter": 9999.0,
    }


def test_nothing_known_is_nan_and_no_counter_is_less_than_none() -> None:
    found = figures(Photo("p", "p.jpg"))
    assert found.pop("counter") == -1.0
    assert found.pop("camera") >= 0.0
    assert all(math.isnan(value) for value in found.values())


@pytest.mark.parametrize("error", [None, 0.0, -3.0])
def test_an_error_of_nothing_is_not_known(error: float | None) -> None:
    assert math.isnan(figures(replace(FULL, fix=Fix(Position(1.0, 2.0), error)))["error"])


def test_zones_that_slipped_in() -> None:
    """Camera time stays as it was written; receiver time is UTC, and told from another zone it is the same moment."""
    zoned = WrittenTime(local=WRITTEN.replace(tzinfo=timezone(timedelta(hours=9))))
    assert figures(replace(FULL, written=zoned))["written"] == figures(FULL)["written"]
    for seen in (SEEN.replace(tzinfo=None), SEEN.astimezone(timezone(timedelta(hours=5)))):
        fix = Fix(Position(51.5, -2.5), satellite_time=seen)
        assert figures(replace(FULL, fix=fix))["satellite"] == figures(FULL)["satellite"]


def test_a_change_changes_them_and_a_copy_does_not() -> None:
    assert figures(replace(FULL, counter=1))["counter"] == 1.0
    for other in (pickle.loads(pickle.dumps(FULL)), copy.copy(FULL), copy.deepcopy(FULL)):  # noqa: S301
        assert other == FULL
        assert other.numbers == FULL.numbers


def test_they_are_no_field_and_nobody_compares_them() -> None:
    assert "numbers" not in {field.name for field in fields(Photo)}
    assert "numbers" not in repr(FULL)


def test_cameras_met_by_several_threads_keep_apart() -> None:
    bodies = [Camera("Maker", f"Model {k % 50}", str(k % 50)) for k in range(2000)]
    with ThreadPoolExecutor(8) as pool:
        found = list(pool.map(lambda body: figures(Photo("p", "p.jpg", body))["camera"], bodies))
    assert len(set(zip(bodies, found, strict=True))) == 50
    assert len(set(found)) == 50
