"""The demo opens with part of the evening done: applied once, as one step that can be taken back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.domain.evidence import Evidence, standing_from_text
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Determination, Qualifier
from catalog_gui.workflows import sorting
from catalog_gui.workflows.ports import Surroundings, UnitOfWork


def apply_evening(
    work: UnitOfWork, foray_id: str, evening: Mapping[str, Any], surroundings: Surroundings
) -> None:
    """Write down what `evening` says of the foray's photos, which are found by the end of their path."""
    foray = work.forays.get(foray_id)
    if foray is None:
        return
    work.forays.put(
        replace(
            foray,
            title=str(evening.get("title", foray.title)),
            site=str(evening.get("site", "")),
            people=tuple(evening.get("people", ())),
            permission=str(evening.get("permission", "")),
        )
    )
    photos = work.photos.where(foray_id=foray_id)
    aside = _found(photos, evening.get("aside", ()))
    if aside:
        sorting.set_aside(work, [photo.id for photo in aside], surroundings)
    for find in evening.get("finds", ()):
        _find(work, find, work.photos.where(foray_id=foray_id), surroundings)


def _find(
    work: UnitOfWork, find: Mapping[str, Any], photos: Sequence[Photo], surroundings: Surroundings
) -> None:
    mine = _found(photos, find["photos"])
    if not mine:
        return
    group_id = sorting.move_photos(work, [photo.id for photo in mine], "", surroundings)
    made = sorting.accept(work, [group_id], surroundings)
    specimen = work.specimens.get(made[0]) if made else None
    if specimen is None:
        return
    work.specimens.put(replace(specimen, **find.get("fields", {})))
    before = ""
    for name in find.get("names", ()):
        given = Determination(
            surroundings.new_id(),
            specimen.id,
            name["name"],
            taxon=name.get("taxon", ""),
            qualifier=Qualifier(name.get("qualifier", "")),
            determined_by=name.get("by", ""),
            determined_on=surroundings.now().date(),
            basis=name.get("basis", ""),
            entered_at=surroundings.now(),
            replaces=before,
        )
        work.determinations.put(given)
        before = given.id
    work.marks.put(*_marks(find, mine, specimen.id, surroundings))
    work.evidence.put(*_evidence(find, specimen.id, surroundings))
    tasks = work.tasks.where(specimen_id=specimen.id)
    finished = surroundings.now()
    if find.get("names"):
        work.tasks.put(*(replace(task, done_at=finished) for task in tasks if task.kind != "drying"))


def _marks(
    find: Mapping[str, Any], mine: Sequence[Photo], specimen_id: str, surroundings: Surroundings
) -> list[Mark]:
    marks: list[Mark] = []
    for part, path in find.get("crops", {}).items():
        for photo in _found(mine, [path]):
            width, height = photo.upright_size
            corners = ((0.0, 0.0), (float(width), float(height)))
            marks.append(
                Mark(
                    surroundings.new_id(),
                    photo.id,
                    MarkKind.CROP,
                    corners,
                    specimen_id=specimen_id,
                    part=part,
                )
            )
    for drawn in find.get("marks", ()):
        for photo in _found(mine, [drawn["photo"]]):
            width, height = photo.upright_size
            marks.append(
                Mark(
                    surroundings.new_id(),
                    photo.id,
                    MarkKind(drawn["kind"]),
                    tuple((x * width, y * height) for x, y in drawn["points"]),
                    label=drawn.get("label", ""),
                    specimen_id=specimen_id,
                    part=drawn.get("of", ""),
                    feature=drawn.get("feature", ""),
                    state=drawn.get("state", ""),
                    length_mm=drawn.get("length_mm"),
                    length_u_mm=0.5 if drawn.get("length_mm") else None,
                )
            )
    return marks


def _evidence(find: Mapping[str, Any], specimen_id: str, surroundings: Surroundings) -> list[Evidence]:
    rows = []
    for one in find.get("evidence", ()):
        value = one.get("value", "")
        low, _, high = str(value).partition("-")
        rows.append(
            Evidence(
                surroundings.new_id(),
                specimen_id,
                one["feature"],
                standing_from_text(one["standing"]),
                tuple(one.get("states", ())),
                low=float(low) if low else None,
                high=float(high or low) if low else None,
                unit=one.get("unit", ""),
                noted_at=surroundings.now(),
            )
        )
    return rows


def _found(photos: Sequence[Photo], paths: Sequence[str]) -> list[Photo]:
    wanted = [tuple(path.split("/")) for path in paths]
    by_end = {tuple(photo.path.replace("\\", "/").split("/")[-2:]): photo for photo in photos}
    return [by_end[end] for end in wanted if end in by_end]
