"""The order of pictures while a clock is moved."""

from __future__ import annotations

import numpy as np

from catalog_gui.domain.foray import Clock
from catalog_gui.presenting.sort.interleaving import interleaved
from catalog_gui.presenting.sort.state import LaneFacts


def test_the_order_if_a_clock_were_moved() -> None:
    """Worked by hand: camera b, moved by 7 s, comes between the pictures of camera a."""
    one = LaneFacts(Clock("a", "", "a", 0, 0), np.array([0.0, 10.0, 21.0]), ("a0", "a1", "a2"))
    two = LaneFacts(Clock("b", "", "b", 0, 0), np.array([0.0, 10.0]), ("b0", "b1"))
    beats = interleaved((one, two), "b", 7.0, 10.0, 4)
    assert [(beat.photo_id, beat.moment, beat.moved) for beat in beats] == [
        ("a0", 0.0, False),
        ("b0", 7.0, True),
        ("a1", 10.0, False),
        ("b1", 17.0, True),
    ]
