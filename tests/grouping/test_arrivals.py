"""Arrivals: two people who come to the finds together, and two who do not."""

from __future__ import annotations

import random

import numpy as np
import pytest

from catalog_gui.grouping.arrivals import Arrivals, agreement, agreement_at, arrivals
from catalog_gui.grouping.columns import Floats


def stops(seed: int, many: int = 40) -> list[float]:
    """Moments at which a party comes to a find."""
    rng = random.Random(seed)
    now, found = 1_700_000_000.0, []
    for _ in range(many):
        found.append(now)
        now += 70.0 + rng.expovariate(1 / 110.0)
    return found


def photographer(seed: int, comes: list[float]) -> Floats:
    """Her pictures: a few at each stop, begun some seconds after she has come, and now and then a stop left out."""
    rng = random.Random(seed)
    times: list[float] = []
    for moment in comes:
        if rng.random() < 0.2:
            continue
        now = moment + rng.lognormvariate(2.2, 0.7)
        for _ in range(rng.randint(2, 6)):
            times.append(now)
            now += rng.uniform(3.0, 9.0)
    return np.array(sorted(times))


def company(seed: int) -> tuple[Arrivals, Arrivals]:
    comes = stops(seed)
    return arrivals(photographer(seed + 1, comes)), arrivals(photographer(seed + 2, comes))


def test_the_pictures_after_long_pauses_are_read_as_arrivals() -> None:
    comes = stops(5)
    found = arrivals(photographer(6, comes))
    nearest = np.abs(found.probable[:, None] - np.array(comes)[None, :]).min(axis=1)
    assert 25 <= len(found.probable) <= 40
    assert np.median(nearest) < 20.0
    assert (found.ends >= found.probable).all()


@pytest.mark.parametrize("off", [0.0, -47.0, 301.0])
def test_company_shows_at_the_right_offset_only(off: float) -> None:
    right = 0
    for seed in range(100, 112):
        one, two = company(seed)
        moved = Arrivals(
            one.times - off, one.chance, one.probable - off, one.ends - off, one.first - off, one.last - off
        )
        score = agreement(moved, two, -900.0, 2.0, 901)
        right += abs(-900.0 + 2.0 * int(np.argmax(score)) - off) <= 20.0
    assert right >= 11


def test_people_who_go_their_own_ways_show_no_company() -> None:
    for seed in range(200, 212):
        one = arrivals(photographer(seed, stops(seed)))
        two = arrivals(photographer(seed + 50, stops(seed + 50)))
        assert agreement_at(one, two, np.zeros(1))[0] < 0.0


def test_the_quick_look_and_the_close_one_agree() -> None:
    one, two = company(300)
    shifts = np.arange(-60.0, 61.0, 1.0)
    quick, close = agreement(one, two, -60.0, 1.0, len(shifts)), agreement_at(one, two, shifts)
    assert np.abs(quick - close).max() < 0.1 * (close.max() - close.min())
    assert abs(int(np.argmax(quick)) - int(np.argmax(close))) <= 1


def test_too_few_arrivals_tell_nothing() -> None:
    few = arrivals(np.array([0.0, 4.0, 9.0, 300.0, 305.0]))
    many, _ = company(400)
    assert not agreement(few, many, -10.0, 1.0, 21).any()
    assert not agreement_at(many, few, np.zeros(3)).any()
