"""Round lengths for bars, and numbers that go on."""

from __future__ import annotations

import pytest

from catalog_gui.presenting.outputs.options import numbers_from
from catalog_gui.presenting.outputs.scale_bar import nice_length_mm


@pytest.mark.parametrize(
    ("most", "length"), [(1.0, 1.0), (4.9, 2.0), (5.0, 5.0), (99.0, 50.0), (0.07, 0.05), (1234.0, 1000.0)]
)
def test_round_lengths(most: float, length: float) -> None:
    assert nice_length_mm(most) == pytest.approx(length)


def test_numbers_go_on_and_keep_their_width() -> None:
    assert numbers_from("AB-2025-099", 3) == ("AB-2025-099", "AB-2025-100", "AB-2025-101")
    assert numbers_from("none", 3) == ()
