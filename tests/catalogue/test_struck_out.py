"""What was struck out is found in the journal: removed and changed records, never what was taken back."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.specimen import Specimen
from catalog_gui.domain.struck_out import says_something, still_said

NOON = datetime(2025, 10, 18, 12, 0, tzinfo=UTC)
SEEN, NOT_THERE = Standing.SEEN, Standing.NOT_THERE
WHITE = Evidence("w", "f", "cap.colour", SEEN, ("white",))
WIDE = Evidence("n", "f", "cap.width", SEEN, (), 40, 60, "mm")


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Catalogue]:
    minutes = iter(range(10_000))
    made = open_catalogue(tmp_path / "catalogue", now=lambda: NOON + timedelta(minutes=next(minutes)))
    with made.step("Finds") as work:
        work.specimens.put(Specimen("f", "2025-001"), Specimen("g", "2025-002"))
    yield made
    made.close()


def put(records: Catalogue, *rows: Evidence, label: str = "Put") -> None:
    with records.step(label) as work:
        work.evidence.put(*rows)


def away(records: Catalogue, *keys: str) -> None:
    with records.step("Cleared") as work:
        work.evidence.remove(*keys)


def struck(records: Catalogue, specimen: str = "f") -> list[Evidence]:
    with records.read() as work:
        return [one.evidence for one in work.struck_out([specimen]).get(specimen, ())]


def test_what_was_cleared_is_struck_out_with_the_step_that_did_it(records: Catalogue) -> None:
    put(records, WHITE)
    assert struck(records) == []
    away(records, "w")
    with records.read() as work:
        one = work.struck_out(["f"])["f"][0]
    assert one.evidence == WHITE
    assert one.label == "Cleared"
    assert one.at > NOON
    assert struck(records, "g") == []


def test_what_was_taken_back_never_was_evidence(records: Catalogue) -> None:
    put(records, WHITE)
    records.undo()
    assert struck(records) == []
    put(records, WIDE)  # ends the branch of what was taken back
    assert struck(records) == []


def test_taking_back_the_clearing_brings_the_record_back(records: Catalogue) -> None:
    put(records, WHITE)
    away(records, "w")
    assert struck(records) == [WHITE]
    records.undo()
    assert struck(records) == []
    records.redo()
    assert struck(records) == [WHITE]
    records.undo()
    records.undo()
    assert struck(records) == []


def test_a_branch_that_ended_between_two_readings_is_forgotten(records: Catalogue) -> None:
    put(records, WHITE)
    away(records, "w")
    assert struck(records) == [WHITE]
    records.undo()
    put(records, WIDE)
    assert struck(records) == []


def test_a_changed_record_is_struck_out_a_widened_one_is_not(records: Catalogue) -> None:
    put(records, WHITE, WIDE)
    put(records, replace(WHITE, states=("white", "cream")), replace(WIDE, low=30, high=70))
    assert struck(records) == []
    put(records, replace(WHITE, states=("white", "cream"), note="in the wood", noted_by="M"))
    assert struck(records) == []
    put(records, replace(WHITE, states=("brown",)), replace(WIDE, low=50, high=70))
    assert {(e.feature, e.states, e.low) for e in struck(records)} == {
        ("cap.colour", ("white", "cream"), None),
        ("cap.width", (), 30),
    }


def test_a_doubt_laid_on_a_record_strikes_out_what_was_sure(records: Catalogue) -> None:
    put(records, WHITE)
    put(records, replace(WHITE, sure=False))
    assert struck(records) == [WHITE]
    put(records, replace(WHITE, sure=True))
    assert struck(records) == []  # said again today


def test_a_doubted_record_and_one_that_says_nothing_leave_no_trace(records: Catalogue) -> None:
    put(records, replace(WHITE, sure=False), Evidence("x", "f", "ring.kind", Standing.GONE))
    away(records, "w", "x")
    assert struck(records) == []


def test_a_record_moved_to_another_find_is_struck_out_of_the_first(records: Catalogue) -> None:
    put(records, WHITE)
    put(records, replace(WHITE, specimen_id="g"))
    assert struck(records) == [WHITE]
    assert struck(records, "g") == []


def test_it_survives_a_restart_and_is_seen_by_another_connection(records: Catalogue, tmp_path: Path) -> None:
    put(records, WHITE)
    assert struck(records) == []
    other = records.another()
    away(other, "w")
    assert struck(records) == struck(other) == [WHITE]
    other.close()
    records.close()
    again = open_catalogue(tmp_path / "catalogue", now=lambda: NOON)
    assert struck(again) == [WHITE]
    again.close()


STEPS = st.lists(
    st.tuples(
        st.sampled_from(["put", "away", "undo", "redo"]),
        st.sampled_from(["a", "b"]),
        st.sampled_from([("white",), ("brown",), ("white", "brown")]),
        st.booleans(),
    ),
    max_size=14,
)


@settings(max_examples=25, deadline=None)
@given(steps=STEPS, asked=st.sets(st.integers(0, 13)))
def test_reading_on_and_reading_anew_agree_with_a_plain_list(
    steps: list[tuple[str, str, tuple[str, ...], bool]],
    asked: set[int],
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """Against a list of states kept beside: every record that once stood in it and is said no more."""
    records = open_catalogue(tmp_path_factory.mktemp("c") / "c", now=lambda: NOON)
    with records.step("Find", undoable=False) as work:
        work.specimens.put(Specimen("f", "1"))
    line: list[dict[str, Evidence]] = [{}]  # the state after every step that stands
    undone: list[dict[str, Evidence]] = []
    for place, (what, key, states, sure) in enumerate(steps):
        now = dict(line[-1])
        if what == "put":
            now[key] = Evidence(key, "f", f"cap.{key}", SEEN, states, sure=sure)
        elif what == "away":
            now.pop(key, None)
        if what in {"put", "away"}:
            if now != line[-1]:
                line.append(now)
                undone.clear()
            if what == "put":
                put(records, now[key])
            else:
                away(records, key)
        elif what == "undo" and len(line) > 1:
            undone.append(line.pop())
            records.undo()
        elif what == "redo" and undone:
            line.append(undone.pop())
            records.redo()
        if place in asked:
            struck(records)
    lost = {
        old
        for before, after in itertools.pairwise(line)
        for key, old in before.items()
        if says_something(old) and (key not in after or not still_said(old, after[key]))
    }
    expected = {old for old in lost if not any(still_said(old, now) for now in line[-1].values())}
    assert set(struck(records)) == expected
    anew = records.another()
    assert struck(anew) == struck(records)
    anew.close()
    records.close()
