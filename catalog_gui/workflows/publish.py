"""Handing on: gather what a paper may say for its reader, and note down what went out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, tzinfo

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Part
from catalog_gui.domain.ledger import HandedOn
from catalog_gui.domain.page import Overlay, PictureBlock
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import BadInput, Problem
from catalog_gui.domain.sheet import EvidenceLine, HazardWords, Precision, SheetFacts
from catalog_gui.domain.specimen import Determination, Specimen
from catalog_gui.geo.generalise import Grade, generalise
from catalog_gui.lookalikes.reasons import seen_words
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.lookalikes.weighing import NotExcluded, weigh
from catalog_gui.workflows.ports import Pictures, Surroundings, Work

PANEL_PARTS = (Part.CAP, Part.GILLS, Part.STEM, Part.BASE, Part.RING, Part.FLESH, Part.PRINT, Part.PLACE)
MAIN_PARTS = frozenset({Part.CAP, Part.GILLS, Part.STEM, Part.BASE})
MISSING = {
    Part.BASE: "no picture: a volva or bulb cannot be ruled out",
    Part.GILLS: "no picture: colour and attachment cannot be checked",
    Part.CAP: "no picture of the cap",
    Part.STEM: "no picture of the stem",
}
PANEL_EDGE = 900
MOST_CHECKS = 5


@dataclass(frozen=True, slots=True)
class Reader:
    """For whom a paper is: how much place it gives, and whether people's names stand on it."""

    precision: Precision = Precision.TEN_KM
    names: bool = False


@dataclass(frozen=True, slots=True)
class Gathered:
    """What a sheet needs from the records; pictures are decoded afterwards, off the records lane."""

    specimen: Specimen
    names: tuple[Determination, ...]
    evidence: tuple[Evidence, ...]
    photos: tuple[Photo, ...]
    marks: tuple[Mark, ...]
    site: str = ""
    permission: str = ""


def gather(work: Work, specimen_id: str) -> Gathered:
    """Everything recorded about one specimen. Raises BadInput when it is gone."""
    specimen = work.specimens.get(specimen_id)
    if specimen is None:
        raise BadInput("That specimen is not there any longer.")
    groups = work.groups.where(specimen_id=specimen_id)
    photos = {photo.id: photo for photo in work.photos.where(group_id=tuple(group.id for group in groups))}
    ordered = [photos[key] for group in groups for key in group.photos if key in photos]
    marks = work.marks.where(photo_id=tuple(photos)) if photos else ()
    return Gathered(
        specimen,
        work.determinations.where(specimen_id=specimen_id),
        work.evidence.where(specimen_id=specimen_id),
        tuple(ordered),
        marks,
        specimen.site,
        specimen.permission,
    )


def place_words(specimen: Specimen, precision: Precision) -> tuple[str, str]:
    """The place as this reader may know it, and what was held back or coarsened, in words.

    Snapped to a grid, never shifted at random: many papers cannot be averaged into the spot
    (Chapman 2020, Best Practices for Generalizing Sensitive Species Occurrence Data).
    """
    if specimen.place is None:
        return "", ""
    position, uncertainty = specimen.place.position, specimen.place.uncertainty_m
    if precision is Precision.EXACT:
        return (
            f"{position.latitude:.5f}, {position.longitude:.5f} ± {max(1, round(uncertainty))} m (WGS84)",
            "",
        )
    grades = {Precision.ONE_KM: Grade.ONE_KM, Precision.TEN_KM: Grade.TEN_KM, Precision.HIDDEN: Grade.HIDDEN}
    coarse = generalise(position, grades[precision], uncertainty_m=uncertainty)
    note = " ".join(part for part in (coarse.data_generalizations, coarse.information_withheld) if part)
    if coarse.position is None:
        return "", note
    words = coarse.reference or f"{coarse.position.latitude:.2f}, {coarse.position.longitude:.2f}"
    return f"{words} ({precision.value})", note


def sheet_facts(
    found: Gathered,
    reader: Reader,
    reference: Reference,
    pictures: Pictures,
    surroundings: Surroundings,
    *,
    zone: tzinfo | None = None,
    emergency: Sequence[str] = (),
    letter: bool = False,
    drawing: object | None = None,
) -> SheetFacts:
    """Make the facts of a specimen sheet for one reader. Decodes pictures: not for the GUI thread."""
    specimen = found.specimen
    exact = reader.precision is Precision.EXACT
    where, note = place_words(specimen, reader.precision)
    weighing = weigh(
        found.evidence,
        reference,
        determinations=found.names,
        date=specimen.collected_at.date() if specimen.collected_at else None,
    )
    replaced = {one.replaces for one in found.names}
    present = [one for one in found.names if one.id not in replaced]
    looked = [e for e in found.evidence if e.standing is not Standing.NOT_LOOKED_AT]
    fields = [
        ("Collected", _moment(specimen.collected_at, zone)),
        ("Place", where),
        ("Site", specimen.site if exact else ""),
        ("Collector", specimen.collector if reader.names else ""),
        ("Habitat", specimen.habitat),
        ("Substrate", specimen.substrate),
        ("Associated organisms", specimen.associated_taxa),
        ("Fruit bodies", str(specimen.fruit_bodies) if specimen.fruit_bodies else ""),
        ("Ages", specimen.ages),
        ("Condition", specimen.condition),
        ("Voucher", specimen.voucher),
        ("Notes", specimen.note if exact else ""),
    ]
    return SheetFacts(
        number=specimen.number,
        name=present[-1].display_name if present else "",
        names=tuple(_given(one, replaced, names=reader.names) for one in reversed(found.names)),
        fields=tuple(fields),
        panels=_panels(found, pictures),
        evidence=_evidence_lines(looked, reference, note=exact),
        not_looked_at=_not_looked_at(looked, reference),
        measurements=(),
        hazards=_hazard_words(weighing.hazards, reference),
        next_checks=tuple(f"{check.name}: {check.settles}" for check in weighing.next_checks[:MOST_CHECKS]),
        drawing=drawing,
        place_note=note,
        emergency=tuple(emergency),
        printed_on=_moment(surroundings.now(), zone),
        letter=letter,
    )


def handed_on(
    work: Work,
    surroundings: Surroundings,
    *,
    what: str,
    to_whom: str,
    reader: Reader,
    specimens: Sequence[str],
    target: str,
) -> None:
    """Note down what left the house, to whom, with how much place."""
    entry = HandedOn(
        surroundings.new_id(),
        surroundings.now(),
        what,
        to_whom,
        reader.precision.value,
        tuple(specimens),
        target,
    )
    work.handed_on.put(entry)


def _moment(moment: datetime | None, zone: tzinfo | None) -> str:
    if moment is None:
        return ""
    local = moment.astimezone(zone)
    return f"{local.day} {local:%B %Y, %H:%M}"


def _given(one: Determination, replaced: set[str], *, names: bool) -> str:
    words = one.display_name
    if names and one.determined_by:
        words += f", {one.determined_by}"
    if one.determined_on is not None:
        words += f", {one.determined_on.day} {one.determined_on:%B %Y}"
    if one.basis:
        words += f", on {one.basis}"
    return words + (" (replaced)" if one.id in replaced else "")


def _evidence_lines(
    looked: Sequence[Evidence], reference: Reference, *, note: bool
) -> tuple[EvidenceLine, ...]:
    order = {feature.id: place for place, feature in enumerate(reference.vocabulary.features)}
    lines = []
    for one in sorted(looked, key=lambda e: (order.get(e.feature, len(order)), e.fruit_body)):
        feature = reference.vocabulary.feature(one.feature)
        if feature is None:
            continue
        words = (
            seen_words(one, feature, reference).removesuffix(" seen") if one.standing is Standing.SEEN else ""
        )
        if one.fruit_body:
            words = f"{one.fruit_body}: {words}".strip(": ")
        lines.append(
            EvidenceLine(
                feature.part.value, feature.name, one.standing.value, words, one.note if note else ""
            )
        )
    return tuple(lines)


def _not_looked_at(looked: Sequence[Evidence], reference: Reference) -> tuple[str, ...]:
    seen = {one.feature for one in looked}
    form = next((one.states[0] for one in looked if one.feature == "whole.form" and one.states), None)
    return tuple(f.name for f in reference.vocabulary.for_form(form) if f.id not in seen and f.kind != "text")


def _hazard_words(hazards: Sequence[NotExcluded], reference: Reference) -> tuple[HazardWords, ...]:
    words = []
    for hazard in hazards:
        taxon = hazard.taxon
        rows = reference.hazards_of(taxon.id)
        onset = next(
            (
                f"{row.onset_low:g}–{row.onset_high:g} {row.onset_unit}"
                for row in rows
                if row.onset_low is not None and row.onset_high is not None
            ),
            "",
        )
        english = f" ({taxon.english})" if taxon.english else ""
        words.append(
            HazardWords(
                taxon.name + english,
                hazard.severity.value,
                hazard.why_not_excluded,
                onset,
            )
        )
    return tuple(words)


def _panels(found: Gathered, pictures: Pictures) -> tuple[tuple[str, PictureBlock | str], ...]:
    photos = {photo.id: photo for photo in found.photos}
    panels: list[tuple[str, PictureBlock | str]] = []
    for part in PANEL_PARTS:
        chosen = _mark_of(found.marks, part)
        if chosen is None or chosen.photo_id not in photos:
            if part in MAIN_PARTS:
                panels.append((part.value, MISSING[part]))
            continue
        photo = photos[chosen.photo_id]
        try:
            panels.append((part.value, _picture(photo, chosen, found.marks, pictures, part.value)))
        except Problem as problem:
            panels.append((part.value, f"the picture cannot be read: {problem.reason}"))
    if not any(isinstance(panel, PictureBlock) for _, panel in panels):
        cover = photos.get(found.specimen.cover_photo) or (found.photos[0] if found.photos else None)
        if cover is not None:
            try:
                raster = pictures.look(cover, PANEL_EDGE)
                panels.insert(0, ("whole", PictureBlock(raster, "whole fruit body")))
            except Problem as problem:
                panels.insert(0, ("whole", f"the picture cannot be read: {problem.reason}"))
    return tuple(panels)


def _mark_of(marks: Sequence[Mark], part: Part) -> Mark | None:
    of_part = [mark for mark in marks if mark.part == part.value]
    crops = [mark for mark in of_part if mark.kind is MarkKind.CROP]
    found = crops or of_part
    return found[0] if found else None


def _picture(
    photo: Photo, chosen: Mark, marks: Sequence[Mark], pictures: Pictures, caption: str
) -> PictureBlock:
    width, height = photo.upright_size
    if chosen.kind is MarkKind.CROP and len(chosen.points) == 2:
        (x0, y0), (x1, y1) = chosen.points
        box = (
            max(0.0, min(x0, x1)),
            max(0.0, min(y0, y1)),
            min(width, max(x0, x1)),
            min(height, max(y0, y1)),
        )
        raster = pictures.piece(photo, box, PANEL_EDGE)
    else:
        box = (0.0, 0.0, float(width), float(height))
        raster = pictures.look(photo, PANEL_EDGE)
    overlays = []
    wide, tall = max(1e-9, box[2] - box[0]), max(1e-9, box[3] - box[1])
    for mark in marks:
        if mark.photo_id != photo.id or mark.kind in (MarkKind.CROP, MarkKind.BODY, MarkKind.COLOUR):
            continue
        points = tuple(((x - box[0]) / wide, (y - box[1]) / tall) for x, y in mark.points)
        if not all(-0.05 <= x <= 1.05 and -0.05 <= y <= 1.05 for x, y in points):
            continue
        overlays.append(
            Overlay(
                points,
                closed=mark.kind is MarkKind.POLYGON,
                ellipse=mark.kind is MarkKind.ELLIPSE,
                arrow=mark.kind is MarkKind.POINTER,
                label=mark.label,
            )
        )
    return PictureBlock(raster, caption, tuple(overlays), _scale(photo, marks, wide))


def _scale(photo: Photo, marks: Sequence[Mark], wide: float) -> float | None:
    for mark in marks:
        if (
            mark.photo_id == photo.id
            and mark.kind is MarkKind.SCALE
            and mark.length_mm
            and len(mark.points) == 2
        ):
            (x0, y0), (x1, y1) = mark.points
            pixels = math.hypot(x1 - x0, y1 - y0)
            if pixels > 0:
                return mark.length_mm / pixels * wide
    return None


def for_reader(reader: Reader, specimen: Specimen) -> Reader:
    """A specimen whose place she keeps private is never given exactly to others by default."""
    if specimen.private_place and reader.precision is Precision.ONE_KM:
        return replace(reader, precision=Precision.TEN_KM)
    return reader
