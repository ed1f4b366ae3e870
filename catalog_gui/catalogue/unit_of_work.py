"""A unit of work: the repositories of all kinds over one transaction."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection

from catalog_gui.annotation.marks import Mark
from catalog_gui.catalogue import journal
from catalog_gui.catalogue.repository import TableRepository, TableSession
from catalog_gui.domain.evidence import Evidence
from catalog_gui.domain.foray import Clock, Foray, Group, Join, SameAs, Track
from catalog_gui.domain.ledger import HandedOn, SavedSearch, TaxonNote
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Determination, Specimen, Task
from catalog_gui.domain.struck_out import StruckOut, still_said

AskStruckOut = Callable[[Connection, str], tuple[StruckOut, ...]]


class TableUnitOfWork:
    """One transaction over the records (the `UnitOfWork` of the ports)."""

    def __init__(self, session: TableSession, struck_out: AskStruckOut | None = None) -> None:
        self._session = session
        self._repositories: dict[str, TableRepository[Any]] = {}
        self._struck_out = struck_out

    def _repository(self, name: str) -> TableRepository[Any]:
        if name not in self._repositories:
            self._repositories[name] = TableRepository(name, self._session)
        return self._repositories[name]

    @property
    def connection(self) -> Connection:
        """For the catalogue's own queries inside the same transaction."""
        return self._session.connection

    def struck_out(self, specimen_ids: Sequence[str]) -> dict[str, tuple[StruckOut, ...]]:
        """Specimen to its records that were withdrawn or changed (`domain/struck_out.py`), oldest first.

        Each once, in the way it was struck out last; what is said again today is not among them. A specimen
        without any is left out.
        """
        if self._struck_out is None:
            return {}
        wanted = tuple(dict.fromkeys(specimen_ids))
        all_of = {key: found for key in wanted if (found := self._struck_out(self.connection, key))}
        today: dict[str, list[Evidence]] = {}
        for row in self.evidence.where(specimen_id=tuple(all_of)) if all_of else ():
            today.setdefault(row.specimen_id, []).append(row)
        return {
            key: left
            for key, found in all_of.items()
            if (left := _last_of_each(one for one in found if not _said(one.evidence, today.get(key, ()))))
        }

    def position(self) -> journal.JournalPosition:
        """Where the records stand; what this step has changed does not count until it is saved."""
        return journal.position(self.connection)

    def changed_since(self, position: object) -> dict[str, frozenset[str]] | None:
        """Name of a kind to the ids that changed since, this step's own included; None: read everything again."""
        if not isinstance(position, journal.JournalPosition):
            return None
        touched = journal.touched_since(self.connection, position)
        if touched is None:
            return None
        for name, rows in self._session.unsaved.items():
            touched.setdefault(name, set()).update(rows)
        return {name: frozenset(ids) for name, ids in touched.items()}

    @property
    def forays(self) -> TableRepository[Foray]:
        """Outings."""
        return self._repository("forays")

    @property
    def photos(self) -> TableRepository[Photo]:
        """Pictures, by path."""
        return self._repository("photos")

    @property
    def clocks(self) -> TableRepository[Clock]:
        """Corrections of cameras."""
        return self._repository("clocks")

    @property
    def groups(self) -> TableRepository[Group]:
        """Photos proposed or held to show one specimen."""
        return self._repository("groups")

    @property
    def joins(self) -> TableRepository[Join]:
        """Boundaries between neighbours."""
        return self._repository("joins")

    @property
    def same_as(self) -> TableRepository[SameAs]:
        """Offers that two groups show one specimen."""
        return self._repository("same_as")

    @property
    def tracks(self) -> TableRepository[Track]:
        """Walks as receivers logged them."""
        return self._repository("tracks")

    @property
    def specimens(self) -> TableRepository[Specimen]:
        """What was collected."""
        return self._repository("specimens")

    @property
    def evidence(self) -> TableRepository[Evidence]:
        """What was seen, and what was not."""
        return self._repository("evidence")

    @property
    def marks(self) -> TableRepository[Mark]:
        """What was drawn on photos."""
        return self._repository("marks")

    @property
    def determinations(self) -> TableRepository[Determination]:
        """Names that people gave."""
        return self._repository("determinations")

    @property
    def tasks(self) -> TableRepository[Task]:
        """What cannot wait."""
        return self._repository("tasks")

    @property
    def handed_on(self) -> TableRepository[HandedOn]:
        """What left the house."""
        return self._repository("handed_on")

    @property
    def searches(self) -> TableRepository[SavedSearch]:
        """Searches the user keeps."""
        return self._repository("searches")

    @property
    def taxon_notes(self) -> TableRepository[TaxonNote]:
        """The user's words on taxa."""
        return self._repository("taxon_notes")


def _said(before: Evidence, today: Iterable[Evidence]) -> bool:
    return any(still_said(before, row) for row in today)


def _last_of_each(found: Iterable[StruckOut]) -> tuple[StruckOut, ...]:
    kept: dict[Evidence, StruckOut] = {}
    for one in found:
        said = replace(one.evidence, id="", note="", noted_at=None, noted_by="", photo_id="", mark_id="")
        kept.pop(said, None)
        kept[said] = one
    return tuple(kept.values())
