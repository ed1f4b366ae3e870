"""The pictures of a find for papers and copies: pieces, marks over them, the scale."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.annotation.measure import scale_of
from catalog_gui.domain.feature import Part, Vocabulary
from catalog_gui.domain.page import Overlay, PictureBlock
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.plane import Box
from catalog_gui.domain.privacy import Secrets, scrubbed
from catalog_gui.domain.problem import BadInput, Problem
from catalog_gui.workflows.plate import PANELS, PanelPicture, panel_pictures
from catalog_gui.workflows.ports import Pictures
from catalog_gui.workflows.publish.gathered import Gathered

PANEL_EDGE = 600
"""In px: 300 to the inch and more on a panel of 42 to 48 mm."""
MISSING = {
    Part.CAP: "no picture of the cap",
    Part.GILLS: "no picture: colour and attachment cannot be checked",
    Part.STEM: "no picture of the stem",
    Part.BASE: "no picture: a volva or bulb cannot be ruled out",
}
_NOT_DRAWN = (MarkKind.CROP, MarkKind.BODY, MarkKind.COLOUR, MarkKind.SCALE)


def plate_panels(
    found: Gathered, pictures: Pictures, vocabulary: Vocabulary, kept: Secrets, *, edge: int = PANEL_EDGE
) -> tuple[tuple[str, PictureBlock | str], ...]:
    """The panels of the plate with their pictures; a main part without one says what its absence costs."""
    photos = {photo.id: photo for photo in found.photos}
    chosen = panel_pictures(found.marks, found.evidence, photos, vocabulary)
    panels: list[tuple[str, PictureBlock | str]] = []
    for part in PANELS:
        picture = chosen.get(part)
        if picture is None:
            if part in MISSING:
                panels.append((part.value, MISSING[part]))
            continue
        panels.append((part.value, part_picture(found, picture, part.value, photos, pictures, kept, edge)))
    if not chosen:
        cover = photos.get(found.specimen.cover_photo) or (found.photos[0] if found.photos else None)
        if cover is not None:
            whole = PanelPicture(cover.id, None, chosen=False)
            panels.insert(
                0, ("whole", part_picture(found, whole, "whole fruit body", photos, pictures, kept, edge))
            )
    return tuple(panels)


def part_picture(
    found: Gathered,
    chosen: PanelPicture,
    caption: str,
    photos: Mapping[str, Photo],
    pictures: Pictures,
    kept: Secrets,
    edge: int = PANEL_EDGE,
) -> PictureBlock | str:
    """One picture with its marks; words where the file cannot be read."""
    photo = photos[chosen.photo_id]
    try:
        return marked_picture(photo, chosen.box, found.marks, pictures, caption, kept, edge)
    except Problem as problem:
        return f"the picture cannot be read: {scrubbed(problem.reason, kept)}"


def further_pictures(
    found: Gathered, pictures: Pictures, vocabulary: Vocabulary, kept: Secrets, *, most: int
) -> tuple[PictureBlock | str, ...]:
    """The pictures that no panel shows, `most` at most; the last one says how many more there are."""
    photos = {photo.id: photo for photo in found.photos}
    chosen = panel_pictures(found.marks, found.evidence, photos, vocabulary)
    shown = {one.photo_id for one in chosen.values()}
    if not chosen and found.photos:
        shown = {found.specimen.cover_photo if found.specimen.cover_photo in photos else found.photos[0].id}
    rest = [photo for photo in found.photos if photo.id not in shown]
    blocks: list[PictureBlock | str] = []
    for photo in rest[:most]:
        whole = PanelPicture(photo.id, None, chosen=False)
        blocks.append(part_picture(found, whole, "", photos, pictures, kept))
    if len(rest) > most:
        blocks.append(f"{len(rest) - most} more pictures are kept with the find")
    return tuple(blocks)


def marked_picture(
    photo: Photo,
    piece: Box | None,
    marks: Sequence[Mark],
    pictures: Pictures,
    caption: str,
    kept: Secrets,
    edge: int,
) -> PictureBlock:
    """A piece of a picture (None: all of it) with the marks that lie in it. Raises Problem when unreadable."""
    width, height = photo.upright_size
    box = piece or (0.0, 0.0, float(width), float(height))
    raster = pictures.piece(photo, box, edge) if piece is not None else pictures.look(photo, edge)
    of_photo = [mark for mark in marks if mark.photo_id == photo.id]
    return PictureBlock(
        raster, caption, overlays_of(of_photo, box, kept), real_width_mm(of_photo, box[2] - box[0])
    )


def overlays_of(marks: Sequence[Mark], box: Box, kept: Secrets) -> tuple[Overlay, ...]:
    """Marks in fractions of the piece `box`; those that lie wholly outside are left out."""
    wide, tall = max(1e-9, box[2] - box[0]), max(1e-9, box[3] - box[1])
    overlays = []
    for mark in marks:
        if mark.kind in _NOT_DRAWN:
            continue
        points = tuple(((x - box[0]) / wide, (y - box[1]) / tall) for x, y in mark.points)
        shown = points[-1:] if mark.kind is MarkKind.POINTER else points
        if not any(0.0 <= x <= 1.0 and 0.0 <= y <= 1.0 for x, y in shown):
            continue
        overlays.append(
            Overlay(
                points,
                closed=mark.kind is MarkKind.POLYGON,
                ellipse=mark.kind is MarkKind.ELLIPSE,
                arrow=mark.kind is MarkKind.POINTER,
                label=scrubbed(mark.label, kept),
            )
        )
    return tuple(overlays)


def real_width_mm(marks: Sequence[Mark], wide_px: float) -> float | None:
    """How many millimetres the piece is wide, where the picture has a scale."""
    try:
        scale = scale_of(marks)
    except BadInput:
        return None
    return scale.mm_per_px.value * wide_px if scale is not None and wide_px > 0 else None
