"""References to weigh against: our own pack, and made-up tables."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.packs.reader import read_packs

OURS = Path(__file__).resolve().parents[2] / "resources" / "reference"

Note = Callable[..., Evidence]


@pytest.fixture(scope="session")
def ours() -> Reference:
    """The reference pack that comes with the program."""
    return read_packs(OURS)


@pytest.fixture
def note() -> Note:
    """A short way of writing evidence: note('cap.colour', 'white'), note('ring.kind') for not there."""

    def make(feature: str, *states: str, **more: object) -> Evidence:
        standing = more.pop("standing", Standing.SEEN if states or "low" in more else Standing.NOT_THERE)
        return Evidence(f"e:{feature}", "find", feature, standing, tuple(states), **more)  # type: ignore[arg-type]

    return make
