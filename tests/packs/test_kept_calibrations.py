"""Calibrations are kept whole, found by their key alone, and made anew when they make no sense."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from catalog_gui.lookalikes.calibration import NOTHING_EXCLUDED, Calibration
from catalog_gui.lookalikes.prepared import arrays_of
from catalog_gui.packs.kept_calibrations import KeptCalibrations
from catalog_gui.workflows.prepared_references import PreparedReferences
from tests.simulated.made_up import SHAPES, made_up

KEY = "0a1b2c"
MADE = Calibration((2.0, 4.5, 9.0), (7.25, 6.5, 4.1))


def test_what_is_kept_is_found_again_and_only_under_its_key(tmp_path: Path) -> None:
    kept = KeptCalibrations(tmp_path / "beside")
    assert kept.find(KEY) is None
    kept.keep(KEY, MADE)
    assert kept.find(KEY) == MADE
    assert kept.find("0a1b2d") is None
    assert [path.name for path in (tmp_path / "beside").iterdir()] == [f"{KEY}.json"]


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{",
        "[" * 100_000,
        '{"key": "0a1b2c"}',
        '{"key": "ffff", "records": [2], "bars": [7]}',
        '{"key": "0a1b2c", "records": [2, 4], "bars": [7]}',
        '{"key": "0a1b2c", "records": [4, 2], "bars": [7, 7]}',
        '{"key": "0a1b2c", "records": [2], "bars": [-1]}',
        '{"key": "0a1b2c", "records": [2], "bars": [NaN]}',
        '{"key": "0a1b2c", "records": [2], "bars": ["x"]}',
        '{"key": "0a1b2c", "records": 2, "bars": 7}',
        '{"key": "0a1b2c", "records": [], "bars": []}',
    ],
)
def test_a_file_that_makes_no_sense_is_not_used(tmp_path: Path, text: str) -> None:
    """A bar that is too low would clear what may kill: whatever is odd is made anew."""
    (tmp_path / f"{KEY}.json").write_text(text, "utf-8")
    assert KeptCalibrations(tmp_path).find(KEY) is None


def test_a_folder_that_cannot_be_written_is_no_trouble(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", "utf-8")
    kept = KeptCalibrations(tmp_path / "file")
    kept.keep(KEY, MADE)
    assert kept.find(KEY) is None


def test_bars_of_nothing_are_not_kept_and_old_ones_go(tmp_path: Path) -> None:
    kept = KeptCalibrations(tmp_path)
    kept.keep(KEY, NOTHING_EXCLUDED)
    assert not list(tmp_path.iterdir())
    for number in range(20):
        kept.keep(f"{number:04x}", MADE)
    assert len(list(tmp_path.iterdir())) <= 8
    assert kept.find(f"{19:04x}") == MADE


def test_a_key_is_no_path(tmp_path: Path) -> None:
    kept = KeptCalibrations(tmp_path / "beside")
    with pytest.raises(ValueError, match="hexadecimal"):
        kept.keep("../out", MADE)


def test_the_second_opening_takes_what_the_first_kept(tmp_path: Path) -> None:
    """The file is changed in between: what is used comes from it, and another table gets its own."""
    reference = made_up(SHAPES[0], 5)
    first = PreparedReferences(KeptCalibrations(tmp_path))(reference)
    key = arrays_of(reference).key
    assert KeptCalibrations(tmp_path).find(key) == first.exclusion.calibration
    said = json.loads((tmp_path / f"{key}.json").read_text("utf-8"))
    said["bars"] = [bar + 1.0 for bar in said["bars"]]
    (tmp_path / f"{key}.json").write_text(json.dumps(said), "utf-8")
    again = PreparedReferences(KeptCalibrations(tmp_path))(reference)
    assert again.exclusion.calibration.bars == tuple(said["bars"])
    other = PreparedReferences(KeptCalibrations(tmp_path))(made_up(SHAPES[0], 6))
    assert other.exclusion.calibration.bars != again.exclusion.calibration.bars
