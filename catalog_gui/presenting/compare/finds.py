"""The user's own pictures of a find, part by part, and earlier finds of a taxon."""

from __future__ import annotations

from collections.abc import Sequence

from catalog_gui.domain.evidence import Evidence
from catalog_gui.domain.feature import Part
from catalog_gui.domain.specimen import Specimen, present_determination
from catalog_gui.lookalikes.reference import Reference, Taxon
from catalog_gui.presenting.compare.state import EARLIER_FINDS, Crop, EarlierFind
from catalog_gui.workflows.plate import panel_pictures
from catalog_gui.workflows.ports import UnitOfWork


def crops_of(
    work: UnitOfWork, specimen: Specimen, evidence: Sequence[Evidence], reference: Reference
) -> dict[Part, Crop]:
    """The user's own picture of each part, as the plate has it; the whole fruit body is the cover."""
    groups = work.groups.where(specimen_id=specimen.id)
    if not groups:
        return {}
    photos = {photo.id: photo for photo in work.photos.where(group_id=tuple(group.id for group in groups))}
    if not photos:
        return {}
    marks = work.marks.where(photo_id=tuple(photos))
    crops = {
        part: Crop(photos[panel.photo_id], panel.box)
        for part, panel in panel_pictures(marks, evidence, photos, reference.vocabulary).items()
    }
    crops.setdefault(Part.WHOLE, Crop(photos.get(specimen.cover_photo) or next(iter(photos.values()))))
    return crops


def earlier_finds(
    work: UnitOfWork, taxa: Sequence[Taxon], but: str, reference: Reference
) -> dict[str, tuple[EarlierFind, ...]]:
    """The user's own earlier finds that go by a shown taxon's name today, the latest first."""
    earlier: dict[str, tuple[EarlierFind, ...]] = {}
    for taxon in taxa:
        finds: list[EarlierFind] = []
        named = dict.fromkeys(one.specimen_id for one in reversed(work.determinations.where(taxon=taxon.id)))
        for key in named:
            if key == but or len(finds) == EARLIER_FINDS:
                continue
            now = present_determination(work.determinations.where(specimen_id=key))
            specimen = work.specimens.get(key)
            if now is None or now.taxon != taxon.id or specimen is None:
                continue
            crops = crops_of(work, specimen, work.evidence.where(specimen_id=key), reference)
            if crops:
                finds.append(EarlierFind(key, specimen.number, crops))
        if finds:
            earlier[taxon.id] = tuple(finds)
    return earlier
