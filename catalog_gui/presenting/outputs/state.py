"""Reads what the Hand on page shows of the records: forays, finds to choose from, and what went out before."""

from __future__ import annotations

from dataclasses import dataclass

from catalog_gui.domain.ledger import HandedOn
from catalog_gui.domain.number_order import number_key
from catalog_gui.workflows.determine import current_names
from catalog_gui.workflows.ports import UnitOfWork
from catalog_gui.workflows.sorting import next_number

LOG_LINES = 100


@dataclass(frozen=True, slots=True)
class FindLine:
    """One line of the list of finds."""

    id: str
    number: str
    name: str
    private: bool


@dataclass(frozen=True, slots=True)
class HandOnState:
    """Everything the page lists. `foray_id` is the foray the finds belong to."""

    foray_id: str = ""
    foray: str = ""
    finds: tuple[FindLine, ...] = ()
    log: tuple[HandedOn, ...] = ()
    next_number: str = ""


def read_state(work: UnitOfWork, foray_id: str, specimen_id: str, prefix: str, year: int) -> HandOnState:
    """Read the finds of the foray (of the current specimen's where none is chosen), and the log, newest first."""
    specimen = work.specimens.get(specimen_id) if specimen_id else None
    if specimen is not None and specimen.foray_id:
        foray_id = specimen.foray_id
    if not foray_id:
        forays = work.forays.all()
        foray_id = forays[-1].id if forays else ""
    specimens = work.specimens.where(foray_id=foray_id) if foray_id else work.specimens.all()
    specimens = tuple(sorted(specimens, key=lambda one: number_key(one.number)))
    names = current_names(work, tuple(one.id for one in specimens))
    finds = tuple(FindLine(one.id, one.number, names.get(one.id, ""), one.private_place) for one in specimens)
    foray = work.forays.get(foray_id) if foray_id else None
    log = sorted(work.handed_on.all(), key=lambda entry: entry.at, reverse=True)[:LOG_LINES]
    title = foray.title if foray is not None else ""
    return HandOnState(foray_id, title, finds, tuple(log), next_number(work, prefix, year))
