"""Lengths as people type them, and round steps of an axis."""

from __future__ import annotations

import pytest

from catalog_gui.presenting.canvas.axes import nice_step
from catalog_gui.presenting.canvas.typed import typed_length


@pytest.mark.parametrize(
    ("typed", "length"), [("50", 50), ("3 cm", 30), ("100 µm", 0.1), ("25,75 mm", 25.75)]
)
def test_lengths_are_typed_in_any_unit(typed: str, length: float) -> None:
    assert typed_length(typed) == pytest.approx(length)


@pytest.mark.parametrize(("span", "step"), [(1.0, 0.2), (4.0, 1.0), (0.013, 0.005), (730, 200)])
def test_steps_of_the_axes_are_round(span: float, step: float) -> None:
    assert nice_step(span) == pytest.approx(step)
