"""Works out what each panel of the plate shows, or why it is empty."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from catalog_gui.annotation.marks import Mark
from catalog_gui.domain.checklist import FORM, Checklist
from catalog_gui.domain.evidence import Evidence
from catalog_gui.domain.feature import Part
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.plane import Box
from catalog_gui.domain.plate_words import LabelWeight, missing_words
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.presenting.describe.state import DescribeState
from catalog_gui.presenting.describe.words import part_title
from catalog_gui.presenting.part_titles import TITLES
from catalog_gui.workflows.plate import PANELS, PanelPicture, marks_of_part, panel_pictures


@dataclass(frozen=True, slots=True)
class PanelContent:
    """What a panel shows. `missing` stands in its place while there is no picture."""

    title: str
    photo: Photo | None = None
    box: Box | None = None
    chosen: bool = False
    marks: tuple[Mark, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    missing: str = ""


def panel_tabs(parts: dict[Part, str]) -> dict[str, str]:
    """Photo id to 'Cap, Base' from part to photo id."""
    tabs: dict[str, list[str]] = {}
    for part, photo_id in parts.items():
        tabs.setdefault(photo_id, []).append(TITLES[part] if part is not Part.PLACE else "Place")
    return {photo_id: ", ".join(names) for photo_id, names in tabs.items()}


STANDING_PARTS = (Part.CAP, Part.GILLS, Part.STEM, Part.BASE)


def panel_contents(
    state: DescribeState,
    asked: Checklist,
    fruit_body: str,
    reference: Reference,
    weights: Mapping[str, LabelWeight],
) -> tuple[dict[Part, PanelContent], dict[Part, PanelPicture]]:
    """What each panel shows of a specimen, and the picture that stands on it, where there is one."""
    vocabulary = reference.vocabulary
    evidence = {**state.of_body(""), **state.of_body(fruit_body)}
    rows = tuple(evidence.values())
    photos = {photo.id: photo for photo in state.photos}
    shown = panel_pictures(state.marks, rows, photos, vocabulary)
    usual = {feature.id for feature in vocabulary.for_form("agaric")}
    allowed = asked.allowed if FORM in evidence else asked.allowed & usual
    contents = {}
    for part in PANELS:
        mine = [evidence[feature.id] for feature in vocabulary.of_part(part) if feature.id in evidence]
        picture = shown.get(part)
        marks = marks_of_part(state.marks, rows, part, vocabulary)
        contents[part] = PanelContent(
            part_title(part, evidence) if part is not Part.PLACE else "Place",
            photos[picture.photo_id] if picture is not None else None,
            picture.box if picture is not None else None,
            picture.chosen if picture is not None else False,
            tuple(mark for mark in marks if picture is not None and mark.photo_id == picture.photo_id),
            tuple(mine),
            missing_words(
                part,
                vocabulary,
                absent_names=reference.ties.absent_names or {},
                weights=weights,
                allowed=allowed,
                recorded=[row.feature for row in mine],
            ),
        )
    return contents, shown
