"""What every test may rely on: no screen needed, no preferences touched, real pictures where they are."""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from hypothesis import HealthCheck, settings

from catalog_gui.platform_check import what_is_missing

settings.register_profile(
    "bench",
    deadline=None,  # a busy machine must not fail a property
    suppress_health_check=[HealthCheck.too_slow],
    print_blob=True,
)
settings.load_profile("bench")

REAL_PICTURES = Path(
    os.environ.get("FORAY_BENCH_PICTURES", Path(__file__).resolve().parents[2] / "shared" / "pictures")
)


def pytest_configure(config: pytest.Config) -> None:
    """Say what to install instead of letting Qt abort."""
    missing = what_is_missing()
    if missing:
        pytest.exit(missing, returncode=2)


@pytest.fixture(autouse=True)
def _own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Preferences and data of the person who runs the tests are left alone."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home" / name.lower()))


@pytest.fixture(autouse=True)
def _search_garbage_in_the_gui_thread(request: pytest.FixtureRequest) -> Iterator[None]:
    """As the program does: a search that begins in a worker may destroy a dropped widget there."""
    if not {"qtbot", "qapp"} & set(request.fixturenames):
        yield
        return
    gc.disable()
    yield
    gc.collect()
    gc.enable()


@pytest.fixture
def real_pictures() -> Path:
    """The folder of real camera files beside the clone; skips with a message where it is absent."""
    if not REAL_PICTURES.is_dir():
        pytest.skip(f"no real camera files at {REAL_PICTURES}; set FORAY_BENCH_PICTURES to a folder of them")
    return REAL_PICTURES
