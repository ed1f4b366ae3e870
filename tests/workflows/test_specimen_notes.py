"""Fields and tasks. Hours and readings: house notes on trade practice, sections 3 to 5."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from catalog_gui.catalogue.store import Catalogue
from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.specimen import Specimen, Task
from catalog_gui.workflows import specimen_notes
from catalog_gui.workflows.ports import Surroundings


@pytest.fixture(autouse=True)
def _find(records: Catalogue) -> None:
    with records.step("Find") as work:
        work.specimens.put(Specimen("find", "2025-001", collector="Hedda Moss"))


def tasks(records: Catalogue) -> tuple[Task, ...]:
    with records.read() as work:
        return work.tasks.where(specimen_id="find")


def test_fields_change_together_and_come_back_together(records: Catalogue) -> None:
    with records.step("Fields") as work:
        changed = specimen_notes.change_specimen(
            work, "find", habitat="beech wood", fruit_bodies=3, private_place=False
        )
    assert (changed.habitat, changed.fruit_bodies, changed.private_place) == ("beech wood", 3, False)
    records.undo()
    with records.read() as work:
        assert work.specimens.get("find") == Specimen("find", "2025-001", collector="Hedda Moss")


@pytest.mark.parametrize(
    "fields",
    [
        {"number": "2025-999"},
        {"colour": "white"},
        {"fruit_bodies": -1},
        {"fruit_bodies": True},
        {"habitat": 3},
        {"private_place": "no"},
        {"cover_photo": "gone"},
    ],
)
def test_what_is_for_life_or_wrong_is_refused(records: Catalogue, fields: dict[str, object]) -> None:
    with pytest.raises(BadInput), records.step("Fields") as work:
        specimen_notes.change_specimen(work, "find", **fields)


def test_a_print_is_started_and_read(records: Catalogue, surroundings: Surroundings) -> None:
    with records.step("Task") as work:
        start = specimen_notes.add_task(
            work, "find", "print", "Start a spore print", surroundings=surroundings, due=surroundings.now()
        )
    with records.step("Start") as work:
        specimen_notes.start_task(work, start.id, surroundings=surroundings)
    began, reading = tasks(records)
    assert began.done_at == surroundings.now()
    assert reading.due == surroundings.now() + timedelta(hours=8)
    assert reading.done_at is None
    with records.step("Read") as work:
        specimen_notes.finish_task(work, reading.id, surroundings=surroundings, note="white half")
    assert tasks(records)[1].note == "white half"
    with records.step("Again") as work:
        specimen_notes.reopen_task(work, reading.id)
    assert tasks(records)[1].done_at is None


def test_a_reagent_is_read_at_once_and_after_1_5_and_30_minutes(
    records: Catalogue, surroundings: Surroundings
) -> None:
    with records.step("Drop") as work:
        specimen_notes.reagent_series(work, "find", "KOH on the cap", surroundings=surroundings)
    due = [task.due - surroundings.now() for task in tasks(records) if task.due is not None]
    assert due == [timedelta(minutes=minutes) for minutes in (0, 1, 5, 30)]


def test_due_times_can_be_moved_and_tasks_struck(records: Catalogue, surroundings: Surroundings) -> None:
    with records.step("Task") as work:
        task = specimen_notes.add_task(work, "find", "show", "Show it to Hedda", surroundings=surroundings)
    later = surroundings.now() + timedelta(days=2)
    with records.step("Move") as work:
        assert specimen_notes.set_due(work, task.id, later).due == later
    with pytest.raises(BadInput), records.step("Move") as work:
        specimen_notes.set_due(work, task.id, datetime(2025, 10, 18))  # noqa: DTZ001 - the point of the test
    with records.step("Strike") as work:
        specimen_notes.remove_task(work, task.id)
    assert tasks(records) == ()


def test_unknown_kinds_and_empty_words_are_refused(records: Catalogue, surroundings: Surroundings) -> None:
    for kind, title in (("feast", "Fry it"), ("other", "  ")):
        with pytest.raises(BadInput), records.step("Task") as work:
            specimen_notes.add_task(work, "find", kind, title, surroundings=surroundings)
    with pytest.raises(BadInput), records.step("Drop") as work:
        specimen_notes.reagent_series(work, "find", " ", surroundings=surroundings)
