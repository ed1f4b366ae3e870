"""The rows that sorting reads are those of the photos' fields, and are packed once."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest

from catalog_gui.domain.photo import Camera, Fix, Photo, WrittenTime
from catalog_gui.geo.position import Position
from catalog_gui.grouping import propose
from catalog_gui.grouping.photo_rows import FIGURES, PhotoRows
from tests.grouping.walks import walk

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


def figures(photo: Photo, rows: PhotoRows | None = None) -> dict[str, float]:
    row = (rows or PhotoRows()).of([photo])[0]
    return dict(zip(FIGURES, row.tolist(), strict=True))


def test_they_are_what_the_fields_say() -> None:
    """The seconds by hand: 56 years with 14 leap days and 276 days more are 20 730 days since 1970."""
    found = figures(FULL)
    assert found.pop("camera") == 0.0
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


def test_equal_cameras_have_one_number_and_others_another() -> None:
    same, other = Camera("Aldermoor", "AM-20", "7"), Camera("Aldermoor", "AM-20", "8")
    photos = [FULL, replace(FULL, id="p2", camera=same), replace(FULL, id="p3", camera=other)]
    assert PhotoRows().of(photos)[:, FIGURES.index("camera")].tolist() == [0.0, 0.0, 1.0]


def test_what_changed_is_packed_again_and_what_went_is_forgotten() -> None:
    rows = PhotoRows()
    rows.of([FULL, replace(FULL, id="p2")])
    assert len(rows) == 2
    assert figures(replace(FULL, counter=1), rows)["counter"] == 1.0
    assert len(rows) == 1
    later = WrittenTime(local=WRITTEN + timedelta(seconds=9))
    assert figures(replace(FULL, written=later), rows)["written"] == figures(FULL)["written"] + 9.0


def test_a_photo_that_only_went_to_another_group_is_not_packed_again(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = PhotoRows()
    before = rows.of([FULL])
    monkeypatch.setattr(
        "catalog_gui.grouping.photo_rows._packed", lambda *_given: pytest.fail("packed again")
    )
    assert np.array_equal(rows.of([replace(FULL, group_id="g", aside="no time", content_hash="x")]), before)


def test_kept_rows_change_no_proposal() -> None:
    photos = walk(20)
    rows = PhotoRows()
    propose(photos[:40], rows=rows)
    moved = [replace(photo, group_id="g") for photo in reversed(photos)]
    kept, plain = propose(moved, rows=rows), propose(photos)
    assert (kept.groups, kept.joins, kept.clocks) == (plain.groups, plain.joins, plain.clocks)


def test_an_id_seen_twice_has_the_row_of_each() -> None:
    twice = [FULL, replace(FULL, counter=1), FULL]
    assert PhotoRows().of(twice)[:, FIGURES.index("counter")].tolist() == [9999.0, 1.0, 9999.0]
