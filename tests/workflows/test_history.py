"""Steps of the records and of her own pack stand in one order."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from catalog_gui import assets
from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.ledger import SavedSearch
from catalog_gui.domain.pack_edit import RowEdit
from catalog_gui.packs.own import OwnPackFolder
from catalog_gui.workflows.history import (
    OWN_PACK_CHANGED,
    HistoryMove,
    all_steps,
    newest_of_both,
    redo,
    undo,
)

NOON = datetime(2025, 10, 18, 12, 0, tzinfo=UTC)
HERE = "/forays/catalogue"


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Catalogue]:
    made = open_catalogue(tmp_path / "catalogue", now=lambda: NOON)
    yield made
    made.close()


@pytest.fixture
def pack(tmp_path: Path) -> OwnPackFolder:
    shipped = tmp_path / "shipped"
    shutil.copytree(assets.reference_pack(), shipped)
    return OwnPackFolder(shipped, tmp_path / "mine")


def search(records: Catalogue, name: str) -> None:
    with records.step(name) as work:
        work.searches.put(SavedSearch(name, name, name))


def taxon(records: Catalogue, pack: OwnPackFolder, name: str, place: str = HERE) -> None:
    newest = newest_of_both(records, None, place)[0]
    # the clock of the pack goes wrong on purpose: the order must not hang on it
    pack.change(
        name,
        [RowEdit("taxa", {"taxon": name, "name": f"Testia {name}"})],
        at=NOON - timedelta(days=newest.id if newest else 0),
        place=place,
        after=newest.id if newest else 0,
    )


def walk_back(records: Catalogue, pack: OwnPackFolder) -> str:
    change = undo(records, pack, HERE).change
    return change.label if change else ""


def walk_on(records: Catalogue, pack: OwnPackFolder) -> str:
    change = redo(records, pack, HERE).change
    return change.label if change else ""


def test_a_step_of_the_pack_brings_the_reference_one_of_the_records_does_not(
    records: Catalogue, pack: OwnPackFolder
) -> None:
    search(records, "one")
    taxon(records, pack, "t-one")
    back = undo(records, pack, HERE)
    assert back.reference is not None
    assert back.reference.taxon("t-one") is None
    assert back.change is not None
    assert back.change.ids == OWN_PACK_CHANGED
    assert undo(records, pack, HERE).reference is None
    assert undo(records, pack, HERE) == HistoryMove()
    assert redo(records, pack, HERE).reference is None
    on = redo(records, pack, HERE)
    assert on.reference is not None
    assert on.reference.taxon("t-one") is not None
    assert redo(records, None, HERE) == HistoryMove()


def test_back_and_on_again_through_both(records: Catalogue, pack: OwnPackFolder) -> None:
    order = ["t-first", "one", "two", "t-second", "t-third", "three", "t-last"]
    for name in order:
        if name.startswith("t-"):
            taxon(records, pack, name)
        else:
            search(records, name)
    assert [step.label for step in all_steps(records, pack, HERE, 20)] == order[::-1]
    assert [walk_back(records, pack) for _ in range(8)] == [*order[::-1], ""]
    assert pack.read().packs == ("shipped",)
    assert [walk_on(records, pack) for _ in range(8)] == [*order, ""]
    assert [walk_back(records, pack) for _ in range(3)] == ["t-last", "three", "t-third"]
    assert [step.label for step in all_steps(records, pack, HERE, 20) if step.undone] == [
        "t-last",
        "three",
        "t-third",
    ]
    assert walk_on(records, pack) == "t-third"


def test_steps_made_beside_another_catalogue_are_not_taken_back_here(
    records: Catalogue, pack: OwnPackFolder
) -> None:
    search(records, "one")
    taxon(records, pack, "elsewhere", place="/another/catalogue")
    assert walk_back(records, pack) == "one"
    assert walk_back(records, pack) == ""
    assert pack.read().taxon("elsewhere") is not None
