"""A catalogue in an empty folder, with a clock that ticks a minute a step."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from catalog_gui.catalogue.store import Catalogue, open_catalogue
from tests.catalogue.values import NOON


@pytest.fixture
def ticking() -> Callable[[], datetime]:
    """Each call a minute later."""
    at = NOON

    def now() -> datetime:
        nonlocal at
        at += timedelta(minutes=1)
        return at

    return now


@pytest.fixture
def catalogue(tmp_path: Path, ticking: Callable[[], datetime]) -> Iterator[Catalogue]:
    """A new catalogue; closed afterwards."""
    opened = open_catalogue(tmp_path / "finds", now=ticking)
    yield opened
    opened.close()
