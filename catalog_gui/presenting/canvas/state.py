"""Holds what the canvas shows, read from the records in one go and kept as values."""

from __future__ import annotations

from dataclasses import dataclass

from catalog_gui.annotation.marks import Mark
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Specimen
from catalog_gui.presenting.describe.state import photos_of
from catalog_gui.workflows.ports import UnitOfWork


@dataclass(frozen=True, slots=True)
class CanvasState:
    """A picture with its marks, and the other pictures of the specimen with theirs."""

    specimen: Specimen | None = None
    photos: tuple[Photo, ...] = ()
    photo: Photo | None = None
    marks: tuple[Mark, ...] = ()  # on the picture shown
    all_marks: tuple[Mark, ...] = ()  # on all pictures of the specimen

    @property
    def number(self) -> int:
        """Which of the pictures is shown, from 1; 0 for none."""
        ids = [photo.id for photo in self.photos]
        return ids.index(self.photo.id) + 1 if self.photo is not None and self.photo.id in ids else 0


def read_canvas(work: UnitOfWork, photo_id: str, specimen_id: str) -> CanvasState:
    """The picture with what belongs to this specimen; marks of nobody in particular belong to everybody."""
    specimen = work.specimens.get(specimen_id) if specimen_id else None
    photo = work.photos.get(photo_id)
    photos = photos_of(work, specimen.id) if specimen is not None else ()
    if photo is not None and photo not in photos:
        photos = (*photos, photo)
    ids = tuple(one.id for one in photos)
    found = work.marks.where(photo_id=ids) if ids else ()
    mine = tuple(mark for mark in found if mark.specimen_id in {"", specimen_id})
    return CanvasState(
        specimen, photos, photo, tuple(mark for mark in mine if mark.photo_id == photo_id), mine
    )
