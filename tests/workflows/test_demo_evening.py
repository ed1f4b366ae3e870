"""The demo's part of the evening: applied as one step, with real words of the reference, taken back whole."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from catalog_gui import assets
from catalog_gui.catalogue.store import Catalogue
from catalog_gui.domain.foray import NOT_A_SPECIMEN
from catalog_gui.packs.reader import read_packs
from catalog_gui.photos.files import DiskPictures
from catalog_gui.workflows.demo_evening import apply_evening
from catalog_gui.workflows.import_photos import take_in
from catalog_gui.workflows.ports import Surroundings


@pytest.fixture(scope="module")
def evening() -> dict[str, object]:
    return json.loads(assets.demo_evening().read_text(encoding="utf-8"))


def test_every_word_stands_in_the_reference(evening: dict[str, object]) -> None:
    reference = read_packs(assets.reference_pack())
    for find in evening["finds"]:  # type: ignore[attr-defined]
        for one in find["evidence"]:
            feature = reference.vocabulary.feature(one["feature"])
            assert feature is not None, one
            for state in one["states"]:
                assert reference.vocabulary.state(feature.id, state) is not None, one
        for name in find["names"]:
            assert not name.get("taxon") or reference.taxon(name["taxon"]) is not None, name


def test_every_picture_named_is_there(evening: dict[str, object]) -> None:
    folder = assets.demo_foray()
    for find in evening["finds"]:  # type: ignore[attr-defined]
        for path in (*find["photos"], *find["crops"].values(), *(mark["photo"] for mark in find["marks"])):
            assert (folder / path).is_file(), path


def test_it_is_one_step_that_can_be_taken_back(
    records: Catalogue, surroundings: Surroundings, evening: dict[str, object], tmp_path: Path
) -> None:
    report = take_in(records, DiskPictures(), [str(assets.demo_foray())], surroundings)
    with records.read() as work:
        before = (work.groups.all(), work.photos.all(), work.forays.all())
    with records.step("What was done before") as work:
        apply_evening(work, report.foray_id, evening, surroundings)
    with records.read() as work:
        specimens = work.specimens.all()
        assert len(specimens) == len(evening["finds"])  # type: ignore[arg-type]
        for specimen, find in zip(specimens, evening["finds"], strict=True):  # type: ignore[call-overload]
            photos = {key for group in work.groups.where(specimen_id=specimen.id) for key in group.photos}
            assert len(photos) == len(find["photos"])
            assert work.evidence.count(specimen_id=specimen.id) == len(find["evidence"])
        aside = {photo.name for photo in work.photos.all() if photo.aside == NOT_A_SPECIMEN}
        assert aside == {path.split("/")[-1] for path in evening["aside"]}  # type: ignore[attr-defined]
    records.undo()
    with records.read() as work:
        assert (work.groups.all(), work.photos.all(), work.forays.all()) == before
