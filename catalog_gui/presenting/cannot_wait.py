"""Says what is lost if it is not done soon."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from catalog_gui.domain.number_order import number_key
from catalog_gui.domain.specimen import Specimen, Task
from catalog_gui.presenting.words import clock_time, counted, day
from catalog_gui.settings import Preferences
from catalog_gui.workflows.ports import UnitOfWork


@dataclass(frozen=True, slots=True)
class Waiting:
    """An open task with its specimen and the time zone of the foray it was found on ('': the machine's)."""

    task: Task
    specimen: Specimen
    zone: str = ""


def most_pressing(tasks: Iterable[Waiting], now: datetime) -> list[Waiting]:
    """The tasks in the order of their due times; at the same time in that of the specimens' numbers."""
    return sorted(tasks, key=lambda one: (one.task.due or now, number_key(one.specimen.number)))


def due_time(one: Waiting, now: datetime, preferences: Preferences) -> str:
    """The due time in the foray's zone, with its day in the preferred form when that is not today."""
    due = one.task.due
    if due is None:
        return "no time set"
    time, on = clock_time(due, one.zone), day(due, preferences, one.zone)
    return time if on == day(now, preferences, one.zone) else f"{on}, {time}"


def waiting_words(pressing: Sequence[Waiting], now: datetime, preferences: Preferences) -> str:
    """One line about what cannot wait, the most pressing first; '' for nothing."""
    if not pressing:
        return ""
    overdue = sum(1 for one in pressing if one.task.overdue(now))
    words = f"{counted(len(pressing), 'thing')} cannot wait"
    if overdue:
        words += f", {overdue} overdue"
    first = pressing[0]
    title = first.task.title[:1].lower() + first.task.title[1:]
    return f"{words}. First: {title}, {first.specimen.number}, by {due_time(first, now, preferences)}."


def task_words(one: Waiting, now: datetime, preferences: Preferences) -> str:
    """One line of the list of what cannot wait."""
    late = " – overdue" if one.task.overdue(now) else ""
    return f"{one.specimen.number}   {one.task.title}   {due_time(one, now, preferences)}{late}"


def read_waiting(work: UnitOfWork) -> tuple[Waiting, ...]:
    """Read every open task that has a due time."""
    tasks = [task for task in work.tasks.where(done_at=None) if task.due is not None]
    found = work.specimens.where(id=tuple({task.specimen_id for task in tasks}))
    specimens = {specimen.id: specimen for specimen in found}
    forays = work.forays.where(id=tuple({one.foray_id for one in specimens.values() if one.foray_id}))
    zones = {one.id: one.time_zone for one in forays}
    return tuple(
        Waiting(task, one, zones.get(one.foray_id, ""))
        for task in tasks
        if (one := specimens.get(task.specimen_id)) is not None
    )
