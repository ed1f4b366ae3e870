"""Upkeep in sentences: what is missing is found again by content, written down as one step, and taken back."""

from __future__ import annotations

from datetime import timedelta
from hashlib import sha256
from pathlib import Path

import pytest

from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.catalogue.upkeep import CatalogueUpkeep
from catalog_gui.domain.foray import Foray
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import Problem
from tests.catalogue.values import NOON


def quiet(_done: int, _total: int) -> None:
    """Nobody looks at the progress."""


def never() -> bool:
    """Nobody stops it."""
    return False


@pytest.fixture
def card(tmp_path: Path, catalogue: Catalogue) -> Path:
    """Two pictures on a card, known by their content."""
    folder = tmp_path / "card"
    folder.mkdir()
    photos = []
    for name in ("a", "b"):
        content = f"the pixels of {name}".encode() * 50
        (folder / f"{name}.jpg").write_bytes(content)
        photos.append(
            Photo(
                name,
                str(folder / f"{name}.jpg"),
                size_bytes=len(content),
                content_hash=sha256(content).hexdigest(),
                foray_id="f",
            )
        )
    with catalogue.step("Fill") as work:
        work.forays.put(Foray("f", "Walk"))
        work.photos.put(*photos)
    return folder


def test_moved_pictures_are_found_and_the_change_is_told(
    catalogue: Catalogue, card: Path, tmp_path: Path
) -> None:
    upkeep = CatalogueUpkeep(catalogue)
    assert upkeep.check(progress=quiet, cancelled=never)[0].endswith("Everything is as it should be.")
    assert upkeep.find_moved([tmp_path], progress=quiet, cancelled=never).startswith("No picture is missing")
    elsewhere = tmp_path / "disk" / "2025"
    elsewhere.parent.mkdir()
    card.rename(elsewhere)
    words, findings = upkeep.check(progress=quiet, cancelled=never)
    assert words.endswith("2 things are not in order.")
    assert [kind for kind, _ in findings] == ["picture gone", "picture gone"]
    (elsewhere / "b.jpg").unlink()
    words = upkeep.find_moved([tmp_path / "disk"], progress=quiet, cancelled=never)
    assert words == "1 of 2 missing pictures were found again by their content."
    changed = upkeep.take_moved()
    assert changed is not None
    assert changed.ids == {"photos": frozenset({"a"})}
    with catalogue.read() as work:
        assert work.photos.get("a").path == str(elsewhere / "a.jpg")
        assert work.photos.get("b").path == str(card / "b.jpg")
    assert upkeep.check(progress=quiet, cancelled=never)[0].endswith("1 thing is not in order.")
    catalogue.undo()
    with catalogue.read() as work:
        assert work.photos.get("a").path == str(card / "a.jpg")
    assert upkeep.take_moved() is None  # taken once only


def test_a_copy_when_due_and_a_restore_that_says_how_to_open_it(
    catalogue: Catalogue, card: Path, tmp_path: Path
) -> None:
    upkeep = CatalogueUpkeep(catalogue)
    folder = tmp_path / "copies"
    first = upkeep.copy_when_due(folder, now=NOON, days=7)
    assert "the catalogue, 0 papers" in first
    assert upkeep.copy_when_due(folder, now=NOON + timedelta(days=6), days=7) == ""
    assert upkeep.copy_when_due(folder, now=NOON + timedelta(days=8), days=7)
    archive = min(folder.glob("*.zip"))
    target = tmp_path / "restored"
    assert str(target) in upkeep.restore(archive, target, progress=quiet, cancelled=never)
    again = open_catalogue(target, now=lambda: NOON)
    with again.read() as work:
        assert work.photos.count() == 2
    again.close()
    with pytest.raises(Problem):
        upkeep.restore(archive, target, progress=quiet, cancelled=never)
