"""The specimen sheet: everything about one find for one reader."""

from __future__ import annotations

from collections.abc import Sequence

from catalog_gui.annotation.measure import ONE_PLANE, measure, measures, scale_of
from catalog_gui.domain import vocabulary_roles as roles
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.privacy import Reader, Secrets, scrubbed
from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.sheet import EvidenceLine, Precision, SheetFacts
from catalog_gui.drawing.fruit_body import fruit_body
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.workflows.publish.gathered import Gathered, weighed
from catalog_gui.workflows.publish.hazards import group_lines, groups_of
from catalog_gui.workflows.publish.pictures import further_pictures, plate_panels
from catalog_gui.workflows.publish.places import (
    place_words,
    precision_of,
    region_for,
    region_withheld,
    site_of,
)
from catalog_gui.workflows.publish.press import Press, zone_of
from catalog_gui.workflows.publish.secrets import secrets_of
from catalog_gui.workflows.publish.words import (
    evidence_words,
    measurement_words,
    moment_words,
    naming_words,
)
from catalog_gui.workflows.weigh_find import WeighedFind

MOST_CHECKS = 5
_AS_GIVEN = ("Place", "Country and region")  # already as coarse as the reader may know them


def sheet_facts(found: Gathered, reader: Reader, press: Press) -> SheetFacts:
    """Make the facts of a specimen sheet for one reader. Decodes pictures: not for the GUI thread."""
    specimen, reference = found.specimen, press.reference
    precision = precision_of(found, reader)
    exact = precision is Precision.EXACT
    kept = secrets_of(found, reader, press.person)
    zone = zone_of(found, press)
    where, note = place_words(specimen, precision, press.notation)
    judged = weighed(found, press.prepared)
    weighing = judged.weighing
    replaced = {one.replaces for one in found.names}
    now = found.present_name
    looked = [e for e in found.evidence if e.standing is not Standing.NOT_LOOKED_AT]
    fields = [
        ("Collected", moment_words(specimen.collected_at, zone, press.date_format)),
        ("Country and region", region_for(found, reader).words),
        ("Place", where),
        ("Site", site_of(found) if exact or reader.site else ""),
        ("Collector", specimen.collector if reader.names else ""),
        ("Habitat", specimen.habitat),
        ("Substrate", specimen.substrate),
        ("Associated organisms", specimen.associated_taxa),
        ("Fruit bodies", str(specimen.fruit_bodies) if specimen.fruit_bodies else ""),
        ("Ages", specimen.ages),
        ("Condition", specimen.condition),
        ("Voucher", specimen.voucher),
        ("Notes", specimen.note if reader.notes else ""),
    ]
    panels = plate_panels(found, press.pictures, reference.vocabulary, kept)
    return SheetFacts(
        number=specimen.number,
        name=scrubbed(now.display_name, kept) if now is not None else "",
        names=tuple(
            scrubbed(naming_words(one, replaced, names=reader.names, pattern=press.date_format), kept)
            for one in reversed(found.history)
        ),
        fields=tuple(
            (label, value if label in _AS_GIVEN else scrubbed(value, kept)) for label, value in fields
        ),
        panels=panels,
        evidence=_evidence_lines(looked, press, kept, notes=reader.notes),
        not_looked_at=_not_looked_at(looked, reference),
        measurements=measurement_lines(found, kept, press),
        hazards=group_lines(groups_of(found, judged, reference)),
        held=_held_words(judged),
        next_checks=tuple(f"{check.name}: {check.settles}" for check in weighing.next_checks[:MOST_CHECKS]),
        drawing=fruit_body(looked, reference.vocabulary) if looked else None,
        place_note=" ".join(part for part in (note, region_withheld(found, reader)) if part),
        emergency=press.emergency,
        printed_on=moment_words(press.surroundings.now(), zone, press.date_format),
        letter=press.letter,
        further=further_pictures(found, press.pictures, reference.vocabulary, kept, most=press.more_pictures),
        plane_note=ONE_PLANE,
    )


def _held_words(judged: WeighedFind) -> str:
    """How many stand only because of records that were struck out; '' for none."""
    count = len(judged.held)
    if not count:
        return ""
    stand = "1 of them stands" if count == 1 else f"{count} of them stand"
    return f"{stand} only because of records that were struck out."


def _evidence_lines(
    looked: Sequence[Evidence], press: Press, kept: Secrets, *, notes: bool
) -> tuple[EvidenceLine, ...]:
    reference = press.reference
    order = {feature.id: place for place, feature in enumerate(reference.vocabulary.features)}
    lines = []
    for one in sorted(looked, key=lambda e: (order.get(e.feature, len(order)), e.fruit_body)):
        feature = reference.vocabulary.feature(one.feature)
        if feature is None:
            continue
        words = evidence_words(one, reference, press.units)
        if one.fruit_body:
            words = f"{one.fruit_body}: {words}".strip(": ")
        note = one.note if notes or feature.kind == "text" else ""
        lines.append(
            EvidenceLine(
                feature.part.value,
                feature.name,
                one.standing.value,
                scrubbed(words, kept),
                scrubbed(note, kept),
            )
        )
    return tuple(lines)


def _not_looked_at(looked: Sequence[Evidence], reference: Reference) -> tuple[str, ...]:
    seen = {one.feature for one in looked}
    form = next((one.states[0] for one in looked if one.feature == roles.FORM and one.states), None)
    return tuple(f.name for f in reference.vocabulary.for_form(form) if f.id not in seen and f.kind != "text")


def measurement_lines(found: Gathered, kept: Secrets, press: Press) -> tuple[str, ...]:
    """Every measure drawn on a picture, with its uncertainty, or without a scale in words."""
    lines, reference = [], press.reference
    for photo in found.photos:
        marks = [mark for mark in found.marks if mark.photo_id == photo.id]
        try:
            scale = scale_of(marks)
        except BadInput:
            scale = None
        for mark in marks:
            if not measures(mark.kind):
                continue
            try:
                measured = measure(mark, scale)
            except BadInput:
                continue
            feature = reference.vocabulary.feature(mark.feature) if mark.feature else None
            if feature is None and not mark.label and measured.real is None:
                continue  # an outline that only shows something, on a picture without scale
            what = mark.label or (feature.name if feature is not None else mark.part or measured.what)
            lines.append(scrubbed(f"{what}: {measurement_words(measured, press.units)}", kept))
    return tuple(lines)
