"""What is recorded about a find, read for a paper; and the find weighed as Compare weighs it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from catalog_gui.annotation.marks import Mark
from catalog_gui.domain.evidence import Evidence
from catalog_gui.domain.foray import Foray, Group
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.specimen import Determination, Specimen
from catalog_gui.domain.struck_out import StruckOut
from catalog_gui.lookalikes.prepared import PreparedReference
from catalog_gui.workflows.determine import present
from catalog_gui.workflows.ports import UnitOfWork
from catalog_gui.workflows.weigh_find import WeighedFind, weigh_find

R = TypeVar("R", Group, Determination, Evidence)


@dataclass(frozen=True, slots=True)
class Gathered:
    """What a paper needs from the records; pictures are decoded afterwards, off the records queue.

    `private`: the user keeps the place of this find private, or those of its taxon.
    """

    specimen: Specimen
    names: tuple[Determination, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    photos: tuple[Photo, ...] = ()
    marks: tuple[Mark, ...] = ()
    foray: Foray | None = None
    private: bool = True
    struck_out: tuple[StruckOut, ...] = ()

    @property
    def present_name(self) -> Determination | None:
        """The name it bears now."""
        return present(self.names)

    @property
    def history(self) -> tuple[Determination, ...]:
        """Every name given, in the order of entry, the one it bears now last."""
        now = self.present_name
        return tuple(sorted(self.names, key=lambda one: now is not None and one.id == now.id))


def gather(work: UnitOfWork, specimen_id: str) -> Gathered:
    """Everything recorded about one specimen. Raises BadInput when it is gone."""
    return gather_many(work, (specimen_id,))[0]


def gather_many(work: UnitOfWork, specimen_ids: Sequence[str]) -> tuple[Gathered, ...]:
    """`gather` for many, in the order given, with as many questions to the records as for one."""
    wanted = tuple(specimen_ids)
    specimens = {specimen.id: specimen for specimen in work.specimens.where(id=wanted)}
    if any(key not in specimens for key in wanted):
        raise BadInput("A specimen is not there any longer.")
    groups = _by_specimen(work.groups.where(specimen_id=wanted))
    names = _by_specimen(work.determinations.where(specimen_id=wanted))
    evidence = _by_specimen(work.evidence.where(specimen_id=wanted))
    of_groups = tuple(group.id for members in groups.values() for group in members)
    photos = {photo.id: photo for photo in work.photos.where(group_id=of_groups)} if of_groups else {}
    marks: dict[str, list[Mark]] = {}
    for mark in work.marks.where(photo_id=tuple(photos)) if photos else ():
        marks.setdefault(mark.photo_id, []).append(mark)
    forays = {foray.id: foray for foray in work.forays.all()}
    struck_out = work.struck_out(wanted)
    private = {note.taxon for note in work.taxon_notes.where(private_places=True)}
    found = []
    for key in wanted:
        specimen, given = specimens[key], tuple(names.get(key, ()))
        now = present(given)
        ordered = [photos[p] for group in groups.get(key, ()) for p in group.photos if p in photos]
        found.append(
            Gathered(
                specimen,
                given,
                tuple(evidence.get(key, ())),
                tuple(ordered),
                tuple(mark for photo in ordered for mark in marks.get(photo.id, ())),
                forays.get(specimen.foray_id),
                specimen.private_place or (now is not None and now.taxon in private),
                tuple(struck_out.get(key, ())),
            )
        )
    return tuple(found)


def weighed(found: Gathered, prepared: PreparedReference) -> WeighedFind:
    """The find weighed as Compare weighs it: what was struck out goes on speaking for the dangerous."""
    return weigh_find(
        found.evidence,
        prepared,
        determinations=found.names,
        collected_at=found.specimen.collected_at,
        struck_out=found.struck_out,
    )


def _by_specimen(rows: Iterable[R]) -> dict[str, list[R]]:
    kept: dict[str, list[R]] = {}
    for row in rows:
        kept.setdefault(row.specimen_id, []).append(row)
    return kept
