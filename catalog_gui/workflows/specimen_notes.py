"""What belongs to the specimen as a whole: where it grew, how it came, and what still has to be done."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.region import is_country_code
from catalog_gui.domain.specimen import Specimen, Task
from catalog_gui.workflows.ports import Surroundings, UnitOfWork

TEXT_FIELDS = (
    "collector",
    "site",
    "habitat",
    "substrate",
    "associated_taxa",
    "ages",
    "condition",
    "voucher",
    "permission",
    "note",
    "section",
    "country",
    "country_code",
    "state_province",
    "county",
)
KINDS = (
    "smell",
    "ring",
    "description",
    "print",
    "reaction",
    "drying",
    "microscopy",
    "show",
    "photo",
    "other",
)
READINGS_MIN = (0, 1, 5, 30)
"""When a reagent or a cut is read (common practice with spot tests and cut surfaces; no single source)."""

PRINT_HOURS = 8.0
"""A few hours to overnight (Plischke; Fungimap); 8 h is our default."""

DRYING_HOURS = 24.0
"""'Overnight to a few days by size' (common practice): look after a day."""


def change_specimen(work: UnitOfWork, specimen_id: str, **fields: object) -> Specimen:
    """Change fields of a specimen: any of `TEXT_FIELDS`, `fruit_bodies`, `private_place`, `cover_photo`.

    Raises BadInput for a field that cannot be changed here (the number is for life) or a wrong value.
    """
    specimen = _specimen(work, specimen_id)
    for name, value in fields.items():
        if name in TEXT_FIELDS:
            if not isinstance(value, str):
                raise BadInput(f"'{name}' is text.")
            if name == "country_code" and value and not is_country_code(value):
                raise BadInput(f"'{value}' is no country code: two capital letters, such as GB (ISO 3166-1).")
        elif name == "fruit_bodies":
            if value is not None and (not isinstance(value, int) or isinstance(value, bool) or value < 0):
                raise BadInput("The number of fruit bodies is a whole number from 0 upwards.")
        elif name == "private_place":
            if not isinstance(value, bool):
                raise BadInput("The place is private or not.")
        elif name == "cover_photo":
            if not isinstance(value, str) or (value and work.photos.get(value) is None):
                raise BadInput("That picture is not in the catalogue any longer.")
        else:
            raise BadInput(f"'{name}' of a specimen cannot be changed here.")
    changed = replace(specimen, **fields)  # type: ignore[arg-type]  # checked field by field above
    if changed != specimen:
        work.specimens.put(changed)
    return changed


def add_task(
    work: UnitOfWork,
    specimen_id: str,
    kind: str,
    title: str,
    *,
    surroundings: Surroundings,
    due: datetime | None = None,
    note: str = "",
) -> Task:
    """Write down something to do. Raises BadInput for an unknown kind, an empty title or a naive time."""
    _specimen(work, specimen_id)
    if kind not in KINDS:
        raise BadInput(f"'{kind}' is no kind of task.")
    title = " ".join(title.split())
    if not title:
        raise BadInput("Say what has to be done.")
    _aware(due)
    task = Task(surroundings.new_id(), specimen_id, kind, title, due=due, note=" ".join(note.split()))
    work.tasks.put(task)
    return task


def start_task(work: UnitOfWork, task_id: str, *, surroundings: Surroundings) -> Task:
    """It is under way. Starting a spore print or the drying leaves a task to look at it later."""
    task = _task(work, task_id)
    now = surroundings.now()
    if task.started_at is not None:
        raise BadInput("That has been started already.")
    later = {
        "print": ("Read the spore print by daylight", PRINT_HOURS),
        "drying": ("See whether it is crisp-dry", DRYING_HOURS),
    }.get(task.kind)
    if later is None:
        started = replace(task, started_at=now)
        work.tasks.put(started)
        return started
    title, hours = later
    started = replace(task, started_at=now, done_at=now)
    work.tasks.put(started)
    work.tasks.put(
        Task(
            surroundings.new_id(),
            task.specimen_id,
            task.kind,
            title,
            due=now + timedelta(hours=hours),
            started_at=now,
        )
    )
    return started


def finish_task(work: UnitOfWork, task_id: str, *, surroundings: Surroundings, note: str = "") -> Task:
    """It is done; a note (the paper of a print, the strength of a reagent) may stay with it."""
    task = _task(work, task_id)
    words = " ".join(note.split())
    done = replace(task, done_at=surroundings.now(), note=words or task.note)
    work.tasks.put(done)
    return done


def reopen_task(work: UnitOfWork, task_id: str) -> Task:
    """It is not done after all."""
    task = replace(_task(work, task_id), done_at=None, started_at=None)
    work.tasks.put(task)
    return task


def set_due(work: UnitOfWork, task_id: str, due: datetime | None) -> Task:
    """Move the time until which it has to be done; None for no time. The time must know its zone."""
    _aware(due)
    task = replace(_task(work, task_id), due=due)
    work.tasks.put(task)
    return task


def remove_task(work: UnitOfWork, task_id: str) -> None:
    """Strike a task off the list."""
    work.tasks.remove(_task(work, task_id).id)


def reagent_series(
    work: UnitOfWork, specimen_id: str, what: str, *, surroundings: Surroundings
) -> tuple[Task, ...]:
    """The drop is on (or the cut is made): readings at once and after 1, 5 and 30 minutes."""
    _specimen(work, specimen_id)
    what = " ".join(what.split())
    if not what:
        raise BadInput("Say which reagent on which surface, or which cut.")
    now = surroundings.now()
    made = tuple(
        Task(
            surroundings.new_id(),
            specimen_id,
            "reaction",
            f"{what}: read {'at once' if minutes == 0 else f'after {minutes} min'}",
            due=now + timedelta(minutes=minutes),
            started_at=now,
        )
        for minutes in READINGS_MIN
    )
    work.tasks.put(*made)
    return made


def _specimen(work: UnitOfWork, specimen_id: str) -> Specimen:
    specimen = work.specimens.get(specimen_id)
    if specimen is None:
        raise BadInput("That specimen is not there any longer.")
    return specimen


def _task(work: UnitOfWork, task_id: str) -> Task:
    task = work.tasks.get(task_id)
    if task is None:
        raise BadInput("That task is not there any longer.")
    return task


def _aware(moment: datetime | None) -> None:
    if moment is not None and moment.tzinfo is None:
        raise BadInput("A due time needs its time zone.")
