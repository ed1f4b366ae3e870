"""A real walk of nine pictures (check values A5.20, B2.3, B2.4): doubt about the day is said, order is kept.

The values are those printed in the check values, not read from files here.
"""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta

from catalog_gui.domain.photo import Camera, Fix, Photo, WrittenTime
from catalog_gui.geo.position import Position
from catalog_gui.grouping import propose

ROWS = [
    ("DSCN0010", 43.4674483, 11.8851267, "16:28:39", "14:27:07.24"),
    ("DSCN0012", 43.4671567, 11.8853950, "16:29:49", "14:28:17.24"),
    ("DSCN0021", 43.4670817, 11.8845383, "16:38:20", "14:36:47.23"),
    ("DSCN0025", 43.4683650, 11.8816350, "16:43:21", "14:41:49.03"),
    ("DSCN0027", 43.4684417, 11.8815150, "16:44:01", "14:42:29.03"),
    ("DSCN0029", 43.4682433, 11.8801717, "16:46:53", "14:45:20.91"),
    ("DSCN0038", 43.4672550, 11.8792133, "16:52:15", "14:50:40.90"),
    ("DSCN0040", 43.4660117, 11.8791117, "16:55:37", "14:54:00.19"),
    ("DSCN0042", 43.4644550, 11.8814783, "17:00:07", "14:57:41.37"),
]
CAMERA = Camera("NIKON", "COOLPIX P6000")


def nine() -> list[Photo]:
    photos = []
    for name, latitude, longitude, camera, satellite in ROWS:
        local = datetime.strptime(f"2008-10-22 {camera}", "%Y-%m-%d %H:%M:%S")  # noqa: DTZ007 - no zone written
        receiver = datetime.strptime(f"2008-10-23 {satellite}", "%Y-%m-%d %H:%M:%S.%f").replace(tzinfo=UTC)
        fix = Fix(Position(latitude, longitude), satellite_time=receiver)
        photos.append(
            Photo(name, f"{name}.jpg", CAMERA, WrittenTime(local=local), fix, counter=int(name[4:]))
        )
    return photos


def test_a_day_between_camera_and_satellites_is_doubted_not_shifted() -> None:
    """B2.3: the difference is -21:58:28, outside the UTC offsets in use."""
    proposal = propose(nine())
    clock = proposal.clocks[0]
    assert not clock.settled
    assert clock.spread_s >= 86_400
    assert "day" in clock.basis
    assert any("day" in q.text for q in proposal.questions)
    start = proposal.groups[0].start
    assert start is not None
    assert start.date() == datetime(2008, 10, 22, tzinfo=UTC).date()


def test_the_age_of_a_fix_does_not_move_a_picture() -> None:
    """B2.4: the last fix is a minute old; by camera time that picture was made 270 s after the one before."""
    times = propose(nine()).times
    assert times["DSCN0042"] - times["DSCN0040"] == timedelta(seconds=270)


def test_neighbours_by_the_minute_and_the_metre() -> None:
    """A5.20: 40 s and 13 m between 25 and 27; 511 s, 70 m and more between most others."""
    groups = [set(g.photos) for g in propose(nine()).groups]
    together = next(g for g in groups if "DSCN0025" in g)
    assert "DSCN0021" not in together
    assert "DSCN0042" not in next(g for g in groups if "DSCN0040" in g)
    joins = {(j.before, j.after): j.probability for j in propose(nine()).joins}
    assert joins["DSCN0025", "DSCN0027"] > 5 * joins["DSCN0012", "DSCN0021"]


def test_file_order_does_not_matter() -> None:
    mixed = nine()
    random.Random(3).shuffle(mixed)
    assert propose(mixed).groups == propose(nine()).groups
