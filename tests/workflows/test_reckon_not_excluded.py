"""The worst taxon not excluded is kept with the version of the records that it was reckoned from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from catalog_gui import assets
from catalog_gui.app import _lexicon
from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.ledger import Found, Reckoned
from catalog_gui.domain.specimen import Determination, Specimen
from catalog_gui.lookalikes.reference import Reference, Severity
from catalog_gui.packs.reader import read_packs
from catalog_gui.workflows.prepared_references import PreparedReferences
from catalog_gui.workflows.reckon_not_excluded import basis_of, reckon_not_excluded
from catalog_gui.workflows.weigh_find import weigh_find

NOON = datetime(2025, 10, 18, 12, 0, tzinfo=UTC)
SEEN = Standing.SEEN
PREPARE = PreparedReferences()
WHITE = (("whole.form", "agaric"), ("gills.colour", "white"), ("cap.colour", "white"))


@pytest.fixture(scope="module")
def reference() -> Reference:
    return read_packs(assets.reference_pack())


@pytest.fixture
def records(tmp_path: Path, reference: Reference) -> Iterator[Catalogue]:
    made = open_catalogue(tmp_path / "catalogue", now=lambda: NOON, lexicon=_lexicon(reference))
    with made.step("Finds") as work:
        for number in range(1, 4):
            work.specimens.put(Specimen(f"s{number}", f"25-00{number}", collected_at=NOON))
        work.evidence.put(*(Evidence(f"e{n}", "s1", f, SEEN, (s,)) for n, (f, s) in enumerate(WHITE)))
        work.determinations.put(Determination("d2", "s2", "Amanita virosa", "amanita-virosa"))
    yield made
    made.close()


def listed(records: Catalogue, text: str = "") -> dict[str, Found]:
    return {found.specimen_id: found for found in records.search(text)}


def reckon(records: Catalogue, reference: Reference) -> int:
    return reckon_not_excluded(records, reference, PREPARE)


def test_every_specimen_is_weighed_unnamed_ones_too(records: Catalogue, reference: Reference) -> None:
    assert {found.worst for found in listed(records).values()} == {None}
    assert reckon(records, reference) == 3
    for key, found in listed(records).items():
        with records.read() as work:
            judged = weigh_find(
                work.evidence.where(specimen_id=key),
                PREPARE(reference),
                determinations=work.determinations.where(specimen_id=key),
                collected_at=NOON,
            )
        hazards = judged.weighing.hazards
        worst = found.worst
        assert worst is not None
        assert worst.dangerous == len(hazards)
        assert worst.deadly == sum(hazard.severity is Severity.FATAL for hazard in hazards)
        assert worst.severity == min(hazards, key=lambda hazard: hazard.severity.order).severity.value
        assert worst.name in {hazard.taxon.name for hazard in hazards}
    assert reckon(records, reference) == 0  # nothing is weighed twice


def test_change_undo_and_redo_make_it_out_of_date(records: Catalogue, reference: Reference) -> None:
    reckon(records, reference)
    with records.step("Recorded") as work:
        work.evidence.put(Evidence("new", "s3", "gills.kind", SEEN, ("pores",)))
    assert listed(records)["s3"].worst is None
    assert listed(records)["s1"].worst is not None
    assert reckon(records, reference) == 1
    records.undo()
    assert listed(records)["s3"].worst is None
    assert reckon(records, reference) == 1
    records.redo()
    assert listed(records)["s3"].worst is None
    with records.step("Named") as work:
        work.determinations.put(Determination("d3", "s3", "Boletus edulis", "boletus-edulis"))
    assert reckon(records, reference) == 1
    assert listed(records)["s3"].worst is not None


def test_answer_that_comes_late_never_stands_for_newer_records(
    records: Catalogue, reference: Reference
) -> None:
    basis = basis_of(reference)
    (asked,) = (one for one in records.not_excluded_asked(basis, 10) if one.specimen_id == "s1")
    with records.step("Meanwhile") as work:
        work.evidence.put(Evidence("late", "s1", "base.volva", SEEN, ("sac",)))
    records.keep_not_excluded(basis, [Reckoned("s1", asked.version, "unpleasant", "amanita-fulva", 0, 1)])
    assert listed(records)["s1"].worst is None
    assert "s1" in {one.specimen_id for one in records.not_excluded_asked(basis, 10)}


def test_another_reference_is_reckoned_anew(records: Catalogue, reference: Reference) -> None:
    reckon(records, reference)
    other = replace(reference, hazards=tuple(h for h in reference.hazards if h.taxon != "amanita-verna"))
    assert basis_of(other) != basis_of(reference)
    assert reckon(records, other) == 3


def test_what_is_gone_is_not_kept(records: Catalogue, reference: Reference) -> None:
    reckon(records, reference)
    with records.step("Gone") as work:
        work.specimens.remove("s3")
    records.keep_not_excluded(basis_of(reference), [Reckoned("s3", 1, "fatal", "amanita-virosa", 1, 1)])
    with records.read() as work:
        rows = work.connection.exec_driver_sql("SELECT specimen_id FROM not_excluded").scalars().all()
    assert sorted(rows) == ["s1", "s2"]


def test_it_is_no_step(records: Catalogue, reference: Reference) -> None:
    before = records.steps()
    reckon(records, reference)
    assert records.steps() == before


def test_search_word_leaves_nothing_out_that_is_not_weighed(records: Catalogue, reference: Reference) -> None:
    assert set(listed(records, "not-excluded: danger")) == {"s1", "s2", "s3"}
    basis = basis_of(reference)
    records.keep_not_excluded(
        basis,
        [
            Reckoned("s1", 1, "fatal", "amanita-phalloides", 2, 9),
            Reckoned("s2", 1, "unpleasant", "amanita-fulva", 0, 1),
        ],
    )
    assert set(listed(records, "not-excluded: danger")) == {"s1", "s3"}
    assert set(listed(records, "not-excluded: caution")) == {"s2", "s3"}
    assert set(listed(records, "not-excluded: warning")) == {"s3"}
    assert set(listed(records, "not-excluded: death cap")) == {"s1", "s3"}
    assert set(listed(records, "not-excluded: death cap, undetermined")) == {"s1", "s3"}
    assert set(listed(records, "not-excluded:")) == {"s1", "s2", "s3"}
    assert not records.search_notes("not-excluded: danger")
    assert "is not danger, warning" in records.search_notes("not-excluded: grue")[0]
    records.keep_not_excluded(basis, [Reckoned("s3", 1)])
    assert set(listed(records, "not-excluded: none")) == {"s3"}
    assert listed(records)["s3"].worst is not None
