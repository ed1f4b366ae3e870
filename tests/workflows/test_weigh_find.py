"""Striking out evidence never removes a hazard: in the records, through the journal, in whatever is weighed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_gui import assets
from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.specimen import Specimen
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.packs.reader import read_packs
from catalog_gui.workflows.prepared_references import PreparedReferences
from catalog_gui.workflows.publish.gathered import gather, weighed
from catalog_gui.workflows.weigh_find import WeighedFind, struck_words, weigh_find

NOON = datetime(2025, 10, 18, 12, 0, tzinfo=UTC)
SEEN = Standing.SEEN
PREPARE = PreparedReferences()


@pytest.fixture(scope="module")
def reference() -> Reference:
    return read_packs(assets.reference_pack())


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Catalogue]:
    made = open_catalogue(tmp_path / "catalogue", now=lambda: NOON)
    with made.step("Find") as work:
        work.specimens.put(Specimen("f", "2025-001", collected_at=NOON))
    yield made
    made.close()


def row(feature: str, *states: str) -> Evidence:
    return Evidence(feature, "f", feature, SEEN, states)


def judged(records: Catalogue, reference: Reference) -> WeighedFind:
    with records.read() as work:
        return weighed(gather(work, "f"), PREPARE(reference))


def standing(found: WeighedFind) -> set[str]:
    return {hazard.taxon.id for hazard in found.weighing.hazards}


# A chanterelle-like find; the volva speaks for the Amanitas, the rest against them.
AGAINST = [
    row("whole.form", "fold-bearing"),
    row("cap.colour", "orange"),
    row("gills.kind", "folds"),
    row("gills.attachment", "decurrent"),
    row("gills.colour", "orange"),
    row("print.colour", "yellow"),
    row("stem.colour", "orange"),
    row("flesh.colour", "yellow"),
]


def holding(reference: Reference) -> tuple[Evidence, set[str]]:
    """A record that alone holds some dangerous taxa in, and those taxa."""
    for feature, state in (
        ("base.volva", "sac"),
        ("gills.colour", "white"),
        ("cap.surface", "scaly"),
        ("whole.growth", "tuft"),
    ):
        assert reference.vocabulary.state(feature, state) is not None
        extra = row(feature, state)
        rest = [one for one in AGAINST if one.feature != feature]
        with_it = {h.taxon.id for h in weigh_find([*rest, extra], PREPARE(reference)).weighing.hazards}
        without = {h.taxon.id for h in weigh_find(rest, PREPARE(reference)).weighing.hazards}
        if with_it - without:
            return extra, with_it - without
    raise AssertionError("No record of these holds anything in.")


def test_a_record_struck_out_goes_on_holding_what_it_held(records: Catalogue, reference: Reference) -> None:
    extra, held = holding(reference)
    rest = [one for one in AGAINST if one.feature != extra.feature]
    with records.step("Seen") as work:
        work.evidence.put(*rest, extra)
    before = standing(judged(records, reference))
    assert held <= before
    with records.step("Cleared") as work:
        work.evidence.remove(extra.id)
    after = judged(records, reference)
    assert before <= standing(after)
    assert set(after.held) == held
    for struck in after.held.values():
        assert [one.evidence.feature for one in struck] == [extra.feature]
        assert "stands only by a record that was struck out" in struck_words(struck, reference)
    records.undo()  # the clearing is taken back: the record itself holds them again
    assert judged(records, reference).held == {}
    records.undo()  # the entry is taken back: it never was evidence
    assert judged(records, reference).held == {}


def test_a_date_alone_ranks_nothing(reference: Reference) -> None:
    bare = weigh_find([], PREPARE(reference), collected_at=NOON)
    assert len({candidate.score for candidate in bare.weighing.candidates}) == 1
    assert [c.taxon for c in bare.weighing.candidates[:5]] == list(reference.taxa[:5])
    not_looked = Evidence("1", "f", "cap.colour", Standing.NOT_LOOKED_AT)
    assert not weigh_find([not_looked], PREPARE(reference), collected_at=NOON).weighing.scores.total.any()
    assert len(bare.weighing.hazards) == len(reference.dangerous)
    order = [hazard.severity.order for hazard in bare.weighing.hazards]
    assert order == sorted(order)


@settings(max_examples=30, deadline=None)
@given(data=st.data())
def test_no_clearing_or_changing_removes_a_hazard(
    data: st.DataObject, reference: Reference, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Random finds; some records are cleared or changed, one step each, through the journal."""
    features = [f for f in reference.vocabulary.features if f.kind == "states" and f.id != "place.region"]
    chosen = data.draw(st.lists(st.sampled_from(features), min_size=3, max_size=9, unique_by=lambda f: f.id))
    rows = [
        row(f.id, data.draw(st.sampled_from([s.id for s in reference.vocabulary.states_of(f.id)])))
        for f in chosen
        if reference.vocabulary.states_of(f.id)
    ]
    records = open_catalogue(tmp_path_factory.mktemp("c") / "c", now=lambda: NOON)
    with records.step("Find") as work:
        work.specimens.put(Specimen("f", "1"))
        work.evidence.put(*rows)
    before = standing(judged(records, reference))
    for one in data.draw(st.lists(st.sampled_from(rows), min_size=1, unique_by=lambda r: r.id)):
        with records.step("Cleared") as work:
            if data.draw(st.booleans()):
                work.evidence.remove(one.id)
            else:
                work.evidence.put(replace(one, standing=Standing.GONE, states=()))
        after = standing(judged(records, reference))
        assert before <= after
        before = after
    records.close()
