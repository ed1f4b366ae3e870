"""Preferences that cannot be read are kept aside and said; nothing of the file is lost."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from catalog_gui import settings
from catalog_gui.settings import PlacePrecision, Preferences, Theme


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "preferences.json"


def kept(path: Path) -> list[Path]:
    return sorted(path.parent.glob("preferences-unread-*.json"))


def test_no_file_is_no_trouble(path: Path) -> None:
    assert settings.load(path) == (Preferences(), "")
    assert not path.exists()


@pytest.mark.parametrize("text", ["", "{", "[1]", "\x00", '{"theme": "dark"'])
def test_a_torn_file_is_kept_aside_and_said(text: str, path: Path) -> None:
    path.write_text(text, encoding="utf-8")
    preferences, trouble = settings.load(path)
    assert preferences == Preferences()
    (aside,) = kept(path)
    assert aside.read_text(encoding="utf-8") == text
    assert trouble.startswith("The preferences could not be read")
    assert str(aside) in trouble
    assert settings.load(path) == (Preferences(), "")  # said once


def test_bytes_that_are_no_text_are_kept_as_they_are(path: Path) -> None:
    path.write_bytes(b"\xff\xfe{}")
    settings.load(path)
    assert kept(path)[0].read_bytes() == b"\xff\xfe{}"


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("theme", "pink", "none of system, light, dark"),
        ("theme", 5, "none of system, light, dark"),
        ("paper", None, "none of A4, Letter"),
        ("copies_every_days", True, "no whole number"),
        ("copies_every_days", -1, "no whole number"),
        ("private_places", "yes", "neither true nor false"),
        ("person", 7, "no text"),
        ("place_precision", "a village", "none of exact, 1 km, 10 km, hidden"),
    ],
)
def test_a_value_that_is_none_is_named_and_the_rest_stays(
    name: str, value: object, words: str, path: Path
) -> None:
    content = {"country": "Wales", name: value}
    path.write_text(json.dumps(content), encoding="utf-8")
    preferences, trouble = settings.load(path)
    assert preferences == Preferences(country="Wales")
    assert f"'{name}'" in trouble
    assert words in trouble
    assert json.loads(kept(path)[0].read_text(encoding="utf-8")) == content
    assert settings.load(path) == (preferences, "")


def test_two_torn_files_do_not_meet(path: Path) -> None:
    for text in ("{1", "{2"):
        path.write_text(text, encoding="utf-8")
        settings.load(path)
    assert [one.read_text(encoding="utf-8") for one in kept(path)] == ["{1", "{2"]


def test_keys_of_a_later_version_stay(path: Path) -> None:
    later = {"theme": "dark", "colours": {"moss": [1, 2]}, "person": "Wilma Thorn"}
    path.write_text(json.dumps(later), encoding="utf-8")
    preferences, trouble = settings.load(path)
    assert trouble == ""
    assert preferences.theme is Theme.DARK
    settings.save(preferences, path)
    assert json.loads(path.read_text(encoding="utf-8"))["colours"] == {"moss": [1, 2]}


def test_what_is_kept_is_read_again(path: Path) -> None:
    wanted = Preferences(theme=Theme.LIGHT, place_precision=PlacePrecision.HIDDEN, copies_every_days=0)
    settings.save(wanted, path)
    assert settings.load(path) == (wanted, "")
    assert settings.load(path)[0].place_precision is PlacePrecision.HIDDEN
