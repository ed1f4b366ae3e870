"""Evidence in the four standings: one row for each feature and fruit body, nothing guessed, all undoable."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog_gui import assets
from catalog_gui.catalogue.store import Catalogue
from catalog_gui.domain.entry_line import Entry
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Part
from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.specimen import Specimen
from catalog_gui.packs.reader import read_packs
from catalog_gui.workflows import record_evidence
from catalog_gui.workflows.ports import Surroundings

REFERENCE = read_packs(assets.reference_pack())
SEEN, NOT_THERE, GONE, NOT_LOOKED_AT = Standing


@pytest.fixture
def find(records: Catalogue) -> str:
    with records.step("Find") as work:
        work.specimens.put(Specimen("find", "2025-001"))
    return "find"


def write(
    records: Catalogue, surroundings: Surroundings, feature: str, standing: Standing = SEEN, **rest: object
) -> Evidence | None:
    with records.step("Note") as work:
        return record_evidence.record(
            work,
            "find",
            feature,
            standing,
            reference=REFERENCE,
            surroundings=surroundings,
            **rest,  # type: ignore[arg-type]
        )


def rows(records: Catalogue) -> dict[tuple[str, str], Evidence]:
    with records.read() as work:
        return {(row.feature, row.fruit_body): row for row in work.evidence.where(specimen_id="find")}


def test_time_and_writer_are_noted_by_themselves(
    records: Catalogue, surroundings: Surroundings, find: str
) -> None:
    row = write(records, surroundings, "gills.attachment", states=("free",), by="Wilma Thorn")
    assert row is not None
    assert row.noted_at == surroundings.now()
    assert row.noted_by == "Wilma Thorn"
    assert rows(records)["gills.attachment", ""] == row


def test_one_row_for_each_feature_and_fruit_body(
    records: Catalogue, surroundings: Surroundings, find: str
) -> None:
    write(records, surroundings, "cap.colour", states=("white",))
    write(records, surroundings, "cap.colour", states=("cream",))
    write(records, surroundings, "cap.colour", states=("green",), fruit_body="B")
    found = rows(records)
    assert found["cap.colour", ""].states == ("cream",)
    assert found["cap.colour", "B"].states == ("green",)
    assert len(found) == 2


def test_states_can_join_those_that_are_there(
    records: Catalogue, surroundings: Surroundings, find: str
) -> None:
    write(records, surroundings, "cap.colour", states=("white",), note="silky")
    write(records, surroundings, "cap.colour", states=("cream", "white"), add=True)
    row = rows(records)["cap.colour", ""]
    assert row.states == ("white", "cream")
    assert row.note == "silky"


def test_not_looked_at_is_the_lack_of_an_entry(
    records: Catalogue, surroundings: Surroundings, find: str
) -> None:
    write(records, surroundings, "ring.kind", NOT_THERE)
    assert rows(records)["ring.kind", ""].standing is NOT_THERE
    write(records, surroundings, "ring.kind", NOT_LOOKED_AT)
    assert rows(records) == {}
    write(records, surroundings, "ring.kind", NOT_LOOKED_AT, note="ask Hedda")
    assert rows(records)["ring.kind", ""].standing is NOT_LOOKED_AT


def test_sizes_are_kept_in_the_unit_of_the_feature(
    records: Catalogue, surroundings: Surroundings, find: str
) -> None:
    row = write(records, surroundings, "cap.width", low=6, high=4.5, unit="cm")
    assert row is not None
    assert (row.low, row.high, row.unit) == (45, 60, "mm")
    single = write(records, surroundings, "micro.spore-length", low=8.5, unit="µm")
    assert single is not None
    assert (single.low, single.high) == (8.5, 8.5)


@pytest.mark.parametrize(
    ("feature", "standing", "rest"),
    [
        ("cap.mood", SEEN, {"states": ("white",)}),
        ("cap.colour", SEEN, {"states": ("invisible",)}),
        ("cap.colour", SEEN, {"states": ("absent",)}),
        ("cap.colour", SEEN, {}),
        ("cap.colour", NOT_THERE, {}),  # a cap always has some colour
        ("cap.colour", GONE, {"states": ("white",)}),
        ("ring.kind", NOT_THERE, {"states": ("hanging",)}),
        ("ring.kind", NOT_LOOKED_AT, {"states": ("hanging",)}),
        ("cap.width", GONE, {"low": 4.0}),
        ("cap.width", SEEN, {"low": -1.0}),
        ("cap.width", SEEN, {"low": float("nan")}),
        ("cap.width", SEEN, {"low": 3.0, "unit": "ratio"}),
        ("cap.shape", SEEN, {"low": 3.0}),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_changes(
    records: Catalogue,
    surroundings: Surroundings,
    find: str,
    feature: str,
    standing: Standing,
    rest: dict[str, object],
) -> None:
    with pytest.raises(BadInput):
        write(records, surroundings, feature, standing, **rest)
    assert rows(records) == {}


def test_an_unknown_specimen_is_refused(records: Catalogue, surroundings: Surroundings) -> None:
    with pytest.raises(BadInput):
        write(records, surroundings, "cap.colour", states=("white",))


def test_a_taste_needs_the_name_of_who_tasted(
    records: Catalogue, surroundings: Surroundings, find: str
) -> None:
    with pytest.raises(BadInput, match="trained person"):
        write(records, surroundings, "taste.kind", states=("mild",))
    row = write(records, surroundings, "taste.kind", states=("mild",), by="Dr Ambrose Fell")
    assert row is not None
    assert row.noted_by == "Dr Ambrose Fell"


def test_a_chip_switches_a_state_on_and_off(
    records: Catalogue, surroundings: Surroundings, find: str
) -> None:
    def switch(state: str, *, on: bool) -> None:
        with records.step("Note") as work:
            record_evidence.set_state(
                work,
                "find",
                "cap.colour",
                state,
                on=on,
                reference=REFERENCE,
                surroundings=surroundings,
                by="Wilma Thorn",
            )

    switch("white", on=True)
    switch("cream", on=True)
    assert rows(records)["cap.colour", ""].states == ("white", "cream")
    switch("white", on=False)
    assert rows(records)["cap.colour", ""].states == ("cream",)
    switch("cream", on=False)
    assert rows(records) == {}


def test_a_note_or_doubt_leaves_what_was_seen(
    records: Catalogue, surroundings: Surroundings, find: str
) -> None:
    write(records, surroundings, "base.volva", states=("sac",))
    with records.step("Doubt") as work:
        record_evidence.annotate_entry(
            work,
            "find",
            "base.volva",
            reference=REFERENCE,
            surroundings=surroundings,
            note=" torn  on one side ",
            sure=False,
        )
    row = rows(records)["base.volva", ""]
    assert (row.states, row.note, row.sure) == (("sac",), "torn on one side", False)
    with pytest.raises(BadInput), records.step("Nothing") as work:
        record_evidence.annotate_entry(
            work, "find", "ring.kind", reference=REFERENCE, surroundings=surroundings, sure=False
        )


def test_free_text_is_what_was_seen(records: Catalogue, surroundings: Surroundings, find: str) -> None:
    def say(note: str) -> None:
        with records.step("Words") as work:
            record_evidence.annotate_entry(
                work, "find", "whole.remarks", reference=REFERENCE, surroundings=surroundings, note=note
            )

    say("beside the old gate")
    row = rows(records)["whole.remarks", ""]
    assert (row.standing, row.note) == (SEEN, "beside the old gate")
    say("")
    assert rows(records) == {}
    with pytest.raises(BadInput), records.step("Words") as work:
        record_evidence.annotate_entry(
            work, "find", "cap.mood", reference=REFERENCE, surroundings=surroundings, note="merry"
        )


def test_one_line_with_several_entries_is_all_or_nothing(
    records: Catalogue, surroundings: Surroundings, find: str
) -> None:
    entries = (Entry("stem.length", SEEN, low=80, high=90, unit="mm"), Entry("stem.width", SEEN))
    with pytest.raises(BadInput), records.step("Note") as work:
        record_evidence.record_entries(work, "find", entries, reference=REFERENCE, surroundings=surroundings)
    assert rows(records) == {}


def test_an_entry_can_be_taken_back_and_done_again(
    records: Catalogue, surroundings: Surroundings, find: str
) -> None:
    write(records, surroundings, "ring.kind", states=("hanging",))
    before = rows(records)
    write(records, surroundings, "ring.kind", GONE)
    records.undo()
    assert rows(records) == before
    records.redo()
    assert rows(records)["ring.kind", ""].standing is GONE


KINDS = st.sampled_from([f.id for f in REFERENCE.vocabulary.features if f.part is not Part.TASTE])


@given(feature=KINDS, standing=st.sampled_from(list(Standing)), pick=st.integers(0, 30), doubt=st.booleans())
def test_whatever_is_accepted_obeys_the_rules_of_the_house(
    tmp_path_factory: pytest.TempPathFactory, feature: str, standing: Standing, pick: int, doubt: bool
) -> None:
    """Every accepted row stands for what its standing says; everything else raises BadInput only."""
    work = _Shelf()
    states = REFERENCE.vocabulary.states_of(feature)
    chosen = (states[pick % len(states)].id,) if states and pick % 3 else ()
    try:
        row = record_evidence.record(
            work,  # type: ignore[arg-type]
            "find",
            feature,
            standing,
            reference=REFERENCE,
            surroundings=Surroundings(lambda: None, lambda: "id"),  # type: ignore[arg-type,return-value]
            states=chosen,
            sure=not doubt,
        )
    except BadInput:
        return
    if row is None:
        assert standing is NOT_LOOKED_AT
        return
    assert bool(row.states) == (row.standing is SEEN)
    if row.standing is NOT_THERE:
        assert REFERENCE.absent_name(feature)


class _Shelf:
    """Just enough of a Work: one specimen, no evidence yet."""

    def __init__(self) -> None:
        self.specimens = self.evidence = self

    def get(self, key: str) -> object:
        return key

    def where(self, **_: object) -> tuple[()]:
        return ()

    def put(self, *_: object) -> None:
        return None
