"""The eight orientations against check-values B3 and against Pillow's own transposition."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageOps

from catalog_gui.annotation import orientation

SHOWN = {  # B3: stored 3 x 2, rows abc / def
    1: "abc/def",
    2: "cba/fed",
    3: "fed/cba",
    4: "def/abc",
    5: "ad/be/cf",
    6: "da/eb/fc",
    7: "fc/eb/da",
    8: "cf/be/ad",
}
REGIONS = {  # B3: stored region 1000, 600, 500, 900 of 4000 x 3000
    1: (1000, 600, 500, 900),
    2: (2500, 600, 500, 900),
    3: (2500, 1500, 500, 900),
    4: (1000, 1500, 500, 900),
    5: (600, 1000, 900, 500),
    6: (1500, 1000, 900, 500),
    7: (1500, 2500, 900, 500),
    8: (600, 2500, 900, 500),
}
orientations = st.integers(1, 8)
sizes = st.tuples(st.integers(1, 60_000), st.integers(1, 60_000))
coordinates = st.floats(-1e5, 1e5)


@pytest.mark.parametrize("value", SHOWN)
def test_pixels_land_where_the_standard_says(value: int) -> None:
    width, height = orientation.upright_size((3, 2), value)
    rows = [["?"] * width for _ in range(height)]
    for y, row in enumerate(("abc", "def")):
        for x, letter in enumerate(row):
            seen_x, seen_y = orientation.pixel_to_upright((x, y), (3, 2), value)
            rows[seen_y][seen_x] = letter
            assert orientation.pixel_to_stored((seen_x, seen_y), (3, 2), value) == (x, y)
    assert "/".join("".join(row) for row in rows) == SHOWN[value]


@pytest.mark.parametrize("value", range(1, 9))
def test_pixels_land_where_pillow_puts_them(value: int) -> None:
    stored = Image.new("L", (5, 3))
    stored.putdata(range(15))
    stored.getexif()[0x0112] = value
    seen = ImageOps.exif_transpose(stored)
    assert seen.size == orientation.upright_size((5, 3), value)
    for y in range(3):
        for x in range(5):
            assert seen.getpixel(orientation.pixel_to_upright((x, y), (5, 3), value)) == y * 5 + x


@pytest.mark.parametrize("value", REGIONS)
def test_regions_turn_with_the_picture(value: int) -> None:
    stored, region = (4000, 3000), (1000.0, 600.0, 500.0, 900.0)
    seen = orientation.region_to_upright(region, stored, value)
    assert seen == REGIONS[value]
    assert orientation.region_to_stored(seen, stored, value) == region


def test_relative_region_of_orientation_6() -> None:  # B3, row 6
    x, y, w, h = orientation.region_to_upright((1000, 600, 500, 900), (4000, 3000), 6)
    assert (x / 3000, y / 4000, w / 3000, h / 4000) == (0.5, 0.25, 0.3, 0.125)


@pytest.mark.parametrize("value", [None, 0, 9, -1, 65535])
def test_nonsense_counts_as_one(value: int | None) -> None:
    assert orientation.to_upright((10.5, 20.25), (400, 300), value) == (10.5, 20.25)
    assert orientation.upright_size((400, 300), value) == (400, 300)


@given(orientations, sizes, coordinates, coordinates)
def test_there_and_back_is_the_identity(value: int, size: tuple[int, int], x: float, y: float) -> None:
    there = orientation.to_upright((x, y), size, value)
    back = orientation.to_stored(there, size, value)
    assert back == pytest.approx((x, y), abs=1e-9)


@given(orientations, sizes, coordinates, coordinates, coordinates, coordinates)
def test_distances_stay(value: int, size: tuple[int, int], x: float, y: float, x2: float, y2: float) -> None:
    first, second = (orientation.to_upright(p, size, value) for p in ((x, y), (x2, y2)))
    before = (x - x2) ** 2 + (y - y2) ** 2
    after = (first[0] - second[0]) ** 2 + (first[1] - second[1]) ** 2
    assert after == pytest.approx(before, rel=1e-6, abs=1e-4)


def test_eight_real_pictures_show_the_same() -> None:
    """B3: landscape_1 to _8 of the exif-samples set look alike once our pixel map is applied."""
    root = Path(os.environ.get("FORAY_BENCH_PICTURES", Path(__file__).parents[3] / "shared" / "pictures"))
    found = {n: next(iter(root.rglob(f"landscape_{n}.jpg")), None) for n in range(1, 9)}
    if any(path is None for path in found.values()):
        pytest.skip(f"the orientation pictures are not in {root}")
    probes = [(x, y) for x in range(20, 600, 45) for y in range(20, 450, 45)]
    seen: dict[int, list[float]] = {}
    for value, path in found.items():
        assert path is not None
        with Image.open(path) as picture:
            grey = picture.convert("L")
            stored = grey.size
            assert orientation.upright_size(stored, value) == (600, 450)
            seen[value] = [
                float(np.asarray(grey)[orientation.pixel_to_stored(p, stored, value)[::-1]]) for p in probes
            ]
    for value in range(2, 9):
        assert _correlation(seen[1], seen[value]) >= 0.9


def _correlation(first: list[float], second: list[float]) -> float:
    a, b = (sum(v) / len(v) for v in (first, second))
    top = sum((x - a) * (y - b) for x, y in zip(first, second, strict=True))
    bottom = sum((x - a) ** 2 for x in first) * sum((y - b) ** 2 for y in second)
    return float(top / bottom**0.5)
