"""Where the real camera files are, and small pictures made on the spot."""

from __future__ import annotations

import os
from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def pictures_folder() -> Path:
    """The folder of real camera files, which is no part of the repository."""
    beside = Path(__file__).parents[3] / "shared" / "pictures"
    folder = Path(os.environ.get("FORAY_BENCH_PICTURES", beside))
    if not folder.is_dir():
        pytest.skip(f"no real camera files at {folder}; set FORAY_BENCH_PICTURES")
    return folder
