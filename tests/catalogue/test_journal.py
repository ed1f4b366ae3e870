"""Undo and redo: exact, lasting, and without trampling what the background filled in."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.catalogue.sqlite_errors import NotSaved
from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.foray import Foray, Group
from catalog_gui.domain.ledger import Changed
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Specimen
from tests.catalogue.values import KINDS, NOON, dump, links, values


@st.composite
def edit(draw: st.DrawFn) -> tuple[str, str, Any]:
    """One edit: a shelf, put or remove, and the value or id. Few ids, so that edits meet."""
    name = draw(st.sampled_from(["forays", "photos", "specimens", "tasks", "tracks"]))
    key = draw(st.sampled_from(["1", "2", "3"]))
    if draw(st.integers(0, 3)) == 0:
        return name, "remove", key
    return name, "put", draw(values(KINDS[name], id=key, **links(name)))


edits = st.lists(edit(), min_size=1, max_size=6)


def _do(
    catalogue: Catalogue, label: str, changes: list[tuple[str, str, Any]], *, undoable: bool = True
) -> None:
    with catalogue.step(label, undoable=undoable) as work:
        for name, verb, what in changes:
            getattr(getattr(work, name), verb)(what)


def _all(move: Callable[[], Changed | None]) -> int:
    count = 0
    while move() is not None:
        count += 1
    return count


@settings(max_examples=20, deadline=None)
@given(steps=st.lists(edits, max_size=6))
def test_undo_all_gives_the_first_state_and_redo_all_the_last(steps: list[Any]) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        catalogue = open_catalogue(folder, now=lambda: NOON)
        _do(catalogue, "begin", [("forays", "put", Foray("1", "before"))], undoable=False)
        states = [dump(folder)]
        for number, changes in enumerate(steps):
            _do(catalogue, f"step {number}", changes)
            if catalogue.last_change is not None and catalogue.last_change.ids:
                states.append(dump(folder))
        catalogue.close()
        catalogue = open_catalogue(folder, now=lambda: NOON)  # a restart in between
        for state in reversed(states[:-1]):
            assert catalogue.undo() is not None
            assert dump(folder) == state
        assert catalogue.undo() is None
        for state in states[1:]:
            assert catalogue.redo() is not None
            assert dump(folder) == state
        assert catalogue.redo() is None
        catalogue.close()


@settings(max_examples=20, deadline=None)
@given(steps=st.lists(st.tuples(edits, st.booleans()), max_size=8))
def test_with_background_steps_between_undo_all_then_redo_all_changes_nothing(steps: list[Any]) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        catalogue = open_catalogue(folder, now=lambda: NOON)
        for number, (changes, undoable) in enumerate(steps):
            _do(catalogue, f"step {number}", changes, undoable=undoable)
        last = dump(folder)
        taken_back = _all(catalogue.undo)
        assert _all(catalogue.redo) == taken_back
        assert dump(folder) == last
        catalogue.close()


def test_undo_leaves_what_the_background_filled_in(catalogue: Catalogue) -> None:
    with catalogue.step("Take in pictures") as work:
        work.photos.put(Photo("p", "/a.jpg"))
    with catalogue.step("Lift out") as work:
        photo = work.photos.get("p")
        assert photo is not None
        work.photos.put(replace(photo, aside="not a specimen"))
    with catalogue.step("Content hashes", undoable=False) as work:
        photo = work.photos.get("p")
        assert photo is not None
        work.photos.put(replace(photo, content_hash="ab" * 32))
    assert [step.label for step in catalogue.steps()] == ["Lift out", "Take in pictures"]

    change = catalogue.undo()
    assert change == Changed("Lift out", {"photos": frozenset({"p"})})
    with catalogue.read() as work:
        assert work.photos.get("p") == Photo("p", "/a.jpg", content_hash="ab" * 32)
    catalogue.undo()  # the import itself
    with catalogue.read() as work:
        assert work.photos.all() == ()
    catalogue.redo()
    with catalogue.read() as work:  # the hash need not be computed again
        assert work.photos.get("p") == Photo("p", "/a.jpg", content_hash="ab" * 32)


def test_undo_does_not_overwrite_a_row_that_came_back_by_itself(catalogue: Catalogue) -> None:
    with catalogue.step("log", undoable=False) as work:
        work.forays.put(Foray("f", "first"))
    with catalogue.step("remove") as work:
        work.forays.remove("f")
    with catalogue.step("log", undoable=False) as work:
        work.forays.put(Foray("f", "again"))
    before = dump(catalogue.folder)
    assert catalogue.undo() == Changed("remove", {})
    assert dump(catalogue.folder) == before
    assert catalogue.redo() == Changed("remove", {})
    assert dump(catalogue.folder) == before


def test_a_background_step_keeps_redo_and_a_new_step_ends_it(catalogue: Catalogue) -> None:
    for title in ("one", "two"):
        with catalogue.step(title) as work:
            work.forays.put(Foray("f", title))
    catalogue.undo()
    with catalogue.step("log", undoable=False) as work:
        work.forays.put(Foray("g", "other"))
    assert [(step.label, step.undone) for step in catalogue.steps()] == [("two", True), ("one", False)]
    with catalogue.step("three") as work:
        work.forays.put(Foray("f", "three"))
    assert catalogue.redo() is None
    assert [step.label for step in catalogue.steps()] == ["three", "one"]
    assert [step.label for step in catalogue.steps(limit=1)] == ["three"]


def test_undo_lasts_over_a_restart(tmp_path: Path, ticking: Callable[[], datetime]) -> None:
    first = open_catalogue(tmp_path, now=ticking)
    with first.step("one") as work:
        work.forays.put(Foray("f", "one"))
    with first.step("two") as work:
        work.forays.put(Foray("f", "two"))
    first.undo()
    first.close()
    second = open_catalogue(tmp_path, now=ticking)
    assert [(step.label, step.undone) for step in second.steps()] == [("two", True), ("one", False)]
    assert second.redo() == Changed("two", {"forays": frozenset({"f"})})
    with second.read() as work:
        assert work.forays.get("f") == Foray("f", "two")
    second.close()


def test_a_failing_step_leaves_no_trace(catalogue: Catalogue) -> None:
    before = dump(catalogue.folder)

    def half_a_step() -> None:
        with catalogue.step("half") as work:
            work.forays.put(Foray("f", "half"))
            _ = 1 / 0

    with pytest.raises(ZeroDivisionError):
        half_a_step()
    assert dump(catalogue.folder) == before
    assert catalogue.steps() == ()
    assert catalogue.last_change is None


def test_a_step_that_changes_nothing_is_no_step(catalogue: Catalogue) -> None:
    with catalogue.step("one") as work:
        work.forays.put(Foray("f", "one"))
    with catalogue.step("same again") as work:
        work.forays.put(Foray("f", "one"))
    with catalogue.step("there and back") as work:
        work.forays.put(Foray("g", "two"))
        work.forays.remove("g")
    assert [step.label for step in catalogue.steps()] == ["one"]
    assert catalogue.last_change == Changed("there and back", {})


def test_links_may_be_written_in_any_order_but_must_hold_in_the_end(catalogue: Catalogue) -> None:
    with catalogue.step("accept") as work:
        work.photos.put(Photo("p", "/a.jpg", foray_id="f", group_id="g"))
        work.groups.put(Group("g", "f", ("p",), specimen_id="s"))
        work.evidence.put(Evidence("e", "s", "ring.kind", Standing.GONE))
        work.specimens.put(Specimen("s", "1", foray_id="f", cover_photo="p"))
        work.forays.put(Foray("f", "x"))

    def remove() -> None:
        with catalogue.step("Remove specimen") as work:
            work.groups.put(Group("g", "f", ("p",)))
            work.specimens.remove("s")

    with pytest.raises(NotSaved, match="A piece of evidence would point at a specimen that is not") as caught:
        remove()
    assert "'Remove specimen' was not saved" in caught.value.reason
    with catalogue.read() as work:
        assert work.specimens.count() == 1
    with catalogue.step("after it") as work:  # the catalogue is not stuck
        work.forays.put(Foray("f", "y"))


def test_loose_links_are_cleared_with_their_target_and_come_back_with_it(catalogue: Catalogue) -> None:
    with catalogue.step("describe") as work:
        work.specimens.put(Specimen("s", "1", cover_photo="p"))
        work.photos.put(Photo("p", "/a.jpg"))
        work.marks.put(Mark("m", "p", MarkKind.POINTER, ((1.0, 2.0), (3.0, 4.0)), specimen_id="s"))
        work.evidence.put(Evidence("e", "s", "ring.kind", Standing.SEEN, ("a",), photo_id="p", mark_id="m"))
    before = dump(catalogue.folder)
    with catalogue.step("rub out") as work:
        work.marks.remove("m")
        kept = work.evidence.get("e")
        assert kept is not None
        assert (kept.mark_id, kept.photo_id) == ("", "p")
    assert catalogue.last_change == Changed(
        "rub out", {"marks": frozenset({"m"}), "evidence": frozenset({"e"})}
    )
    catalogue.undo()
    assert dump(catalogue.folder) == before


def test_the_order_of_first_insertion_survives_remove_and_undo(catalogue: Catalogue) -> None:
    with catalogue.step("three") as work:
        for key in "cab":
            work.forays.put(Foray(key, key))
    with catalogue.step("out and in") as work:
        work.forays.remove("c")
        work.forays.put(Foray("c", "again"))
    with catalogue.read() as work:
        assert [foray.id for foray in work.forays.all()] == ["c", "a", "b"]
    with catalogue.step("out") as work:
        work.forays.remove("c", "nobody")
    with catalogue.step("log", undoable=False) as work:
        work.forays.put(Foray("d", "d"))
    catalogue.undo()
    with catalogue.read() as work:
        assert [foray.id for foray in work.forays.all()] == ["c", "a", "b", "d"]


def test_shelves_end_with_their_block_and_reading_does_not_write(catalogue: Catalogue) -> None:
    with catalogue.read() as reading:
        with pytest.raises(RuntimeError, match="open a step"):
            reading.forays.put(Foray("f", "x"))
        with pytest.raises(RuntimeError, match="cannot begin"), catalogue.step("inside"):
            pass
    with pytest.raises(RuntimeError, match="has ended"):
        reading.forays.all()
    with catalogue.step("outer") as work:
        work.forays.put(Foray("f", "x"))
        with catalogue.read() as inner:
            assert inner.forays.get("f") == Foray("f", "x")
    with catalogue.read() as work:
        assert work.forays.count() == 1
