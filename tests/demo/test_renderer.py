"""The renderer: distances that are distances, pictures that repeat byte for byte."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from demo_data import make
from demo_data.foray import shots
from demo_data.renderer.profile import turned
from demo_data.renderer.solids import rotation, standing


def test_turned_square_gives_the_distance_to_a_cylinder() -> None:
    """Outside, inside and at the rim of a cylinder of radius 1 and height 2, worked by hand."""
    grid = turned(np.array([(0.0, -1.0), (1.0, -1.0), (1.0, 1.0), (0.0, 1.0)]), finest=0.005, most=600)
    r = np.array([1.2, 0.0, 0.5, 1.15], np.float32)
    y = np.array([0.0, 0.0, 0.9, 1.2], np.float32)
    assert grid.at(r, y) == pytest.approx([0.2, -1.0, -0.1, math.hypot(0.15, 0.2)], abs=0.01)


def test_far_away_the_bound_never_overshoots() -> None:
    grid = turned(np.array([(0.0, -1.0), (1.0, -1.0), (1.0, 1.0), (0.0, 1.0)]))
    r, y = (v.ravel().astype(np.float32) for v in np.meshgrid(np.linspace(0, 6, 40), np.linspace(-6, 6, 40)))
    true = np.hypot(np.maximum(r - 1, 0), np.maximum(np.abs(y) - 1, 0))
    outside = true > 0.05
    assert (grid.at(r, y)[outside] <= true[outside] * 1.02 + 0.02).all()


def test_frames_lean_the_way_they_say() -> None:
    assert standing(lean=90, towards=90).turn @ np.array([0, 1, 0], np.float32) == pytest.approx(
        [0, 0, 1], abs=1e-6
    )
    assert rotation((0, 1, 0), 90) @ np.array([0, 0, 1], np.float32) == pytest.approx([1, 0, 0], abs=1e-6)


@pytest.mark.parametrize("view", ["side.p", "micro.S04", "print.S03"])
def test_a_picture_repeats_byte_for_byte(tmp_path: Path, view: str) -> None:
    shot = next(s for s in shots() if s.view == view)
    for name in ("one", "two"):
        make.write(shot, tmp_path / name, 96)
    first, second = ((tmp_path / n / shot.path).read_bytes() for n in ("one", "two"))
    assert first == second
    with Image.open(tmp_path / "one" / shot.path) as im:
        pixels = np.asarray(im.convert("RGB"), float)
    assert pixels.std() > 15
