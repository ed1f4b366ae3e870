"""The plate: which picture stands for which part. A choice is kept as a crop mark among the other marks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.domain.evidence import Evidence
from catalog_gui.domain.feature import Part, Vocabulary
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.plane import Box
from catalog_gui.domain.problem import BadInput
from catalog_gui.workflows.ports import Surroundings, UnitOfWork

PANELS = (
    Part.CAP,
    Part.GILLS,
    Part.STEM,
    Part.BASE,
    Part.RING,
    Part.FLESH,
    Part.PRINT,
    Part.PLACE,
)
"""The panels of a plate, as the fruit body stands, then the rest."""


@dataclass(frozen=True, slots=True)
class PanelPicture:
    """What a panel shows: the piece `box` (left, top, right, bottom in upright pixels; None: all of it).

    `chosen` is True for the user's own choice, False for a best guess from marks.
    """

    photo_id: str
    box: Box | None
    chosen: bool


def put_on_panel(
    work: UnitOfWork,
    specimen_id: str,
    part: str,
    photo_id: str,
    *,
    surroundings: Surroundings,
    box: Box | None = None,
) -> Mark:
    """Let a picture, or the piece `box` of it, stand for a part in place of an earlier choice."""
    if work.specimens.get(specimen_id) is None:
        raise BadInput("That specimen is not there any longer.")
    if part not in {panel.value for panel in PANELS}:
        raise BadInput(f"The plate has no panel '{part}'.")
    photo = work.photos.get(photo_id)
    if photo is None:
        raise BadInput("That picture is not in the catalogue any longer.")
    width, height = photo.upright_size
    left, top, right, bottom = box or (0.0, 0.0, float(width), float(height))
    if right <= left or bottom <= top:
        raise BadInput("That piece of the picture has no size.")
    _take_off(work, specimen_id, part)
    mark = Mark(
        surroundings.new_id(),
        photo_id,
        MarkKind.CROP,
        ((left, top), (right, bottom)),
        specimen_id=specimen_id,
        part=part,
    )
    work.marks.put(mark)
    return mark


def take_off_panel(work: UnitOfWork, specimen_id: str, part: str) -> None:
    """Empty a panel; the picture itself stays."""
    if not _take_off(work, specimen_id, part):
        raise BadInput("No picture was chosen for this panel.")


def panel_pictures(
    marks: Sequence[Mark], evidence: Sequence[Evidence], photos: Mapping[str, Photo], vocabulary: Vocabulary
) -> dict[Part, PanelPicture]:
    """What each panel shows; parts without a chosen or a marked picture are missing.

    The user's own crop comes first, then the surroundings of a mark on that part, then the picture an entry for
    that part is linked to. `marks` are those on the specimen's photos.
    """
    found: dict[Part, PanelPicture] = {}
    linked = {row.mark_id: row.feature for row in evidence if row.mark_id}
    for panel in PANELS:
        mine = [
            mark for mark in marks if mark.photo_id in photos and _part_of(mark, linked, vocabulary) == panel
        ]
        crops = [mark for mark in mine if mark.kind is MarkKind.CROP and len(mark.points) == 2]
        drawn = [mark for mark in mine if mark.kind not in {MarkKind.CROP, MarkKind.SCALE, MarkKind.BODY}]
        if crops:
            photo = photos[crops[-1].photo_id]
            found[panel] = PanelPicture(photo.id, _inside(_around([crops[-1]]), photo), chosen=True)
        elif drawn:
            photo = photos[drawn[-1].photo_id]
            together = [mark for mark in drawn if mark.photo_id == photo.id]
            found[panel] = PanelPicture(
                photo.id, _inside(_grown(_around(together), photo), photo), chosen=False
            )
        else:
            for row in evidence:
                feature = vocabulary.feature(row.feature)
                if feature is not None and feature.part is panel and row.photo_id in photos:
                    found[panel] = PanelPicture(row.photo_id, None, chosen=False)
                    break
    return found


def marks_of_part(
    marks: Sequence[Mark], evidence: Sequence[Evidence], part: Part, vocabulary: Vocabulary
) -> tuple[Mark, ...]:
    """The drawn marks that show something of a part."""
    linked = {row.mark_id: row.feature for row in evidence if row.mark_id}
    return tuple(
        mark
        for mark in marks
        if mark.kind is not MarkKind.CROP and _part_of(mark, linked, vocabulary) == part
    )


def _part_of(mark: Mark, linked: Mapping[str, str], vocabulary: Vocabulary) -> str:
    feature = vocabulary.feature(mark.feature or linked.get(mark.id, ""))
    return mark.part or (feature.part.value if feature is not None else "")


def _around(marks: Sequence[Mark]) -> Box:
    xs = [x for mark in marks for x, _ in mark.points]
    ys = [y for mark in marks for _, y in mark.points]
    return min(xs), min(ys), max(xs), max(ys)


def _grown(box: Box, photo: Photo) -> Box:
    """With room around it, at least a quarter of the picture: one sees where on the fruit body it is."""
    width, height = photo.upright_size
    left, top, right, bottom = box
    across = max((right - left) * 1.6, width / 4)
    down = max((bottom - top) * 1.6, height / 4)
    middle_x, middle_y = (left + right) / 2, (top + bottom) / 2
    return middle_x - across / 2, middle_y - down / 2, middle_x + across / 2, middle_y + down / 2


def _inside(box: Box, photo: Photo) -> Box | None:
    width, height = photo.upright_size
    if width <= 0 or height <= 0:
        return None
    left, top, right, bottom = box
    cut = (max(0.0, left), max(0.0, top), min(float(width), right), min(float(height), bottom))
    whole = cut[0] <= 0 and cut[1] <= 0 and cut[2] >= width and cut[3] >= height
    return None if whole or cut[2] - cut[0] < 1 or cut[3] - cut[1] < 1 else cut


def _take_off(work: UnitOfWork, specimen_id: str, part: str) -> bool:
    earlier = [
        mark.id for mark in work.marks.where(specimen_id=specimen_id, part=part) if mark.kind is MarkKind.CROP
    ]
    work.marks.remove(*earlier)
    return bool(earlier)
