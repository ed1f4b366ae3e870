"""The rhythm of pictures: what chance brings, against trying it out."""

from __future__ import annotations

import numpy as np
import pytest

from catalog_gui.grouping import clock_alignment


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_share_of_each_nearness_is_that_of_moments_tried(seed: int) -> None:
    """Against a hundred thousand moments spread evenly: their nearest picture, looked for one by one."""
    times = np.sort(np.random.default_rng(seed).uniform(0.0, 6000.0, 60))
    moments = np.linspace(
        times[0] - clock_alignment._MARGIN_S, times[-1] + clock_alignment._MARGIN_S, 100_001
    )
    nearest = np.abs(moments[:, None] - times).min(axis=1)
    kinds = np.searchsorted(clock_alignment._NEAR, nearest)
    tried = np.bincount(kinds, minlength=len(clock_alignment._NEAR) + 1) / len(moments)
    assert clock_alignment._by_chance(times) == pytest.approx(tried, abs=2e-4)
    assert clock_alignment._by_chance(times).sum() == pytest.approx(1.0)


def test_laid_over_itself_a_stream_agrees_best_where_it_lies() -> None:
    times = np.cumsum(np.random.default_rng(4).exponential(40.0, 80))
    own = clock_alignment.read_rhythm(times)
    errors = np.arange(-120.0, 121.0, 4.0)
    found = clock_alignment.agreement_at(own, own, errors)
    assert errors[int(np.argmax(found))] == 0.0
