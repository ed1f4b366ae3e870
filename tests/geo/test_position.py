"""Positions refuse what is not on the earth."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest

from catalog_gui.geo.position import CoordinateError, Position


@pytest.mark.parametrize(
    ("latitude", "longitude", "which"),
    [
        (90.0001, 0, "Latitude"),
        (-91, 0, "Latitude"),
        (math.nan, 0, "Latitude"),
        (0, 180.0001, "Longitude"),
        (0, math.inf, "Longitude"),
        (0, math.nan, "Longitude"),
    ],
)
def test_refusals_name_the_culprit(latitude: float, longitude: float, which: str) -> None:
    with pytest.raises(CoordinateError, match=which):
        Position(latitude, longitude)


def test_limits_are_places() -> None:
    assert Position(90, 180).latitude == 90
    assert Position(-90, -180).longitude == -180


def test_null_island() -> None:
    assert Position(0, 0).is_null_island
    assert Position(-0.00005, 0.00005).is_null_island
    assert not Position(0, 11.8).is_null_island
    assert not Position(51.4778, 0).is_null_island


def test_pyproj_waits_until_it_is_needed() -> None:
    """Importing it costs a tenth of a second that the first window must not pay."""
    rooms = [
        "distance",
        "plane",
        "britishgrid",
        "irishgrid",
        "utm",
        "mgrs",
        "typed",
        "notation",
        "generalise",
    ]
    code = "import sys\n" + "".join(f"import catalog_gui.geo.{room}\n" for room in rooms)
    check = code + "sys.exit('pyproj' in sys.modules or 'numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", check], check=False).returncode == 0
