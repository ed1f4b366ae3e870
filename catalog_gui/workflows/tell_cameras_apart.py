"""Two cameras of one model told apart by what their makers' own notes say, after the first proposal.

Many cameras write no body serial number where EXIF has a place for it, but one in the maker's note. Reading
that takes ten times as long as a first look, so it is done once the pictures stand on the trail, and only
where it can tell something.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from catalog_gui.domain.photo import Camera, Photo
from catalog_gui.domain.problem import Problem
from catalog_gui.workflows.ports import PictureFiles, Records, Surroundings
from catalog_gui.workflows.regroup import propose_again
from catalog_gui.workflows.weigh_looks import is_untouched

LABEL = "Tell two cameras of one model apart"
SAMPLE = 24
"""Pictures of one camera, spread evenly, that are asked first: of two cameras both will be among them."""


def tell_cameras_apart(
    records: Records,
    files: PictureFiles,
    foray_id: str,
    since: object,
    surroundings: Surroundings,
    *,
    cancelled: Callable[[], bool],
) -> bool:
    """Give pictures the serial number inside their camera where one model is two; whether anything changed.

    `since` is where the records stood when the pictures had been taken in. Nothing moves once somebody has
    begun to sort. Where all notes name one camera, nothing is written: it is known by its model as before.
    """
    with records.read() as work:
        photos = work.photos.where(foray_id=foray_id)
    serials = _serials(files, photos, cancelled)
    if not serials or cancelled():
        return False
    with records.read() as work:
        if not is_untouched(work, since):
            return False
    with records.step(LABEL) as work:
        now = work.photos.where(id=tuple(serials))
        work.photos.put(*(replace(p, camera=replace(p.camera, serial=serials[p.id])) for p in now))
        propose_again(work, foray_id, surroundings)
    return True


def _serials(
    files: PictureFiles, photos: Sequence[Photo], cancelled: Callable[[], bool]
) -> Mapping[str, str]:
    """Photo id to serial number, of cameras that share a name."""
    nameless: dict[Camera, list[Photo]] = defaultdict(list)
    known: dict[Camera, set[str]] = defaultdict(set)
    for photo in photos:
        model = Camera(photo.camera.make, photo.camera.model)
        if not model.model:
            continue
        if photo.camera.serial:
            known[model].add(photo.camera.serial)
        else:
            nameless[model].append(photo)
    told: dict[str, str] = {}
    for model, mine in nameless.items():
        step = max(1, len(mine) // SAMPLE)
        sample = _read(files, mine[::step], cancelled)
        if len({*sample.values(), *known[model]}) > 1:
            told |= sample | _read(files, [photo for photo in mine if photo.id not in sample], cancelled)
    return told


def _read(files: PictureFiles, photos: Sequence[Photo], cancelled: Callable[[], bool]) -> dict[str, str]:
    found: dict[str, str] = {}
    for photo in photos:
        if cancelled():
            break
        try:
            serial = files.makers_notes(photo.path).serial
        except Problem:
            continue  # it is said where the picture is shown
        if serial:
            found[photo.id] = serial
    return found
