"""The shipped reference, read once for all models."""

from __future__ import annotations

import pytest

from catalog_gui import assets
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.packs.reader import read_packs


@pytest.fixture(scope="session")
def reference() -> Reference:
    return read_packs(assets.reference_pack())
