"""Handing on: gather what a paper may say for its reader, and note down what went out."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import tzinfo
from typing import TypeVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from catalog_gui.annotation.marks import Mark
from catalog_gui.annotation.measure import ONE_PLANE, measure, measures, scale_of
from catalog_gui.domain.day_words import USUAL
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.foray import Foray, Group, Place
from catalog_gui.domain.ledger import HandedOn
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.privacy import Reader, Secrets, precision_for, scrubbed, secrets
from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.region import Region, region_of
from catalog_gui.domain.sheet import EvidenceLine, HazardWords, Precision, SheetFacts
from catalog_gui.domain.specimen import Determination, Specimen
from catalog_gui.domain.struck_out import StruckOut
from catalog_gui.drawing.fruit_body import fruit_body
from catalog_gui.geo.generalise import Generalised, Grade, generalise
from catalog_gui.geo.notation import Notation, show_position
from catalog_gui.lookalikes.prepared import Prepare, PreparedReference
from catalog_gui.lookalikes.reasons import marked
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.lookalikes.weighing import NotExcluded
from catalog_gui.workflows.determine import present
from catalog_gui.workflows.ports import Pictures, Surroundings, Work
from catalog_gui.workflows.prepared_references import PreparedReferences
from catalog_gui.workflows.publish_pictures import further_pictures, plate_panels
from catalog_gui.workflows.publish_words import (
    OWN_ON_PAPER,
    evidence_words,
    measurement_words,
    moment_words,
    naming_words,
)
from catalog_gui.workflows.weigh_find import WeighedFind, struck_words, weigh_find

R = TypeVar("R", Group, Determination, Evidence)

SENSITIVE = "sensitive"
"""The word in her note on a taxon that keeps the places of all its finds coarse."""
MOST_CHECKS = 5
_AS_GIVEN = ("Place", "Country and region")  # already as coarse as the reader may know them
_GRADES = {Precision.ONE_KM: Grade.ONE_KM, Precision.TEN_KM: Grade.TEN_KM, Precision.HIDDEN: Grade.HIDDEN}


@dataclass(frozen=True, slots=True)
class Gathered:
    """What a paper needs from the records; pictures are decoded afterwards, off the records lane.

    `private`: she keeps the place private, or calls the taxon sensitive.
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


@dataclass(frozen=True, slots=True)
class Press:
    """What every paper is made with, beside the find: reference, pixels, clock, and her own settings."""

    reference: Reference
    pictures: Pictures
    surroundings: Surroundings
    emergency: tuple[str, ...] = ()
    letter: bool = False
    zone: str = ""
    notation: Notation = Notation.DECIMAL_DEGREES
    person: str = ""
    more_pictures: int = 8
    date_format: str = USUAL
    units: str = "metric"
    prepare: Prepare = field(default_factory=PreparedReferences)

    @property
    def prepared(self) -> PreparedReference:
        """The reference made ready for weighing; not for the GUI thread."""
        return self.prepare(self.reference)


def gather(work: Work, specimen_id: str) -> Gathered:
    """Everything recorded about one specimen. Raises BadInput when it is gone."""
    return gather_many(work, (specimen_id,))[0]


def gather_many(work: Work, specimen_ids: Sequence[str]) -> tuple[Gathered, ...]:
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
    sensitive = {note.taxon for note in work.taxon_notes.all() if SENSITIVE in note.text.casefold()}
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
                specimen.private_place or (now is not None and now.taxon in sensitive),
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


def precision_of(found: Gathered, reader: Reader) -> Precision:
    """How much place of this specimen this reader gets."""
    return precision_for(reader, private=found.private)


def secrets_of(found: Gathered, reader: Reader, person: str = "") -> Secrets:
    """The words that may not stand anywhere on a paper for this reader.

    Paths and serial numbers never; people's names, the site and written places only where she said so.
    """
    specimen, foray = found.specimen, found.foray
    exact = precision_of(found, reader) is Precision.EXACT
    words = [photo.camera.serial for photo in found.photos]
    for photo in found.photos:
        words.extend((photo.path, photo.path.replace("\\", "/").rpartition("/")[0]))
    if not reader.names:
        words += [person, specimen.collector, specimen.permission]
        words += [one.determined_by for one in found.names] + [row.noted_by for row in found.evidence]
        if foray is not None:
            words += [*foray.people, foray.permission]
    if not exact and not reader.site:
        words.append(specimen.site)
        if foray is not None:
            words += [foray.site, *([foray.title] if len(foray.title.split()) > 1 else [])]
    whole, given = region_of(specimen, foray), region_for(found, reader)
    words += {whole.state_province, whole.county} - {given.country, given.state_province, given.county}
    return secrets(words, places=not exact)


def region_for(found: Gathered, reader: Reader) -> Region:
    """The country and its parts as this reader may know them.

    The country always: it tells no spot. The province with any square, the county only where the square is
    no larger than a county can be (1 km), or where the site itself is named; a hidden place has the country
    alone. After Chapman 2020 (Best Practices for Generalizing Sensitive Species Occurrence Data): wider
    fields of a place are given as far as they say no more than the generalised coordinates.
    """
    whole, precision = region_of(found.specimen, found.foray), precision_of(found, reader)
    if reader.site or precision in (Precision.EXACT, Precision.ONE_KM):
        return whole
    if precision is Precision.HIDDEN:
        return replace(whole, state_province="", county="")
    return replace(whole, county="")


def region_withheld(found: Gathered, reader: Reader) -> str:
    """Which parts of the region stay here, as a sentence for informationWithheld; '' if none."""
    whole, given = region_of(found.specimen, found.foray), region_for(found, reader)
    parts = [
        word
        for word, full, told in (
            ("province", whole.state_province, given.state_province),
            ("county", whole.county, given.county),
        )
        if full and not told
    ]
    return f"{' and '.join(parts).capitalize()} withheld." if parts else ""


def site_of(found: Gathered) -> str:
    """The name of the site, its own or its foray's."""
    return found.specimen.site or (found.foray.site if found.foray is not None else "")


TO_95 = 1.63
"""From the radius that holds 68 % to the one that holds 95 %: sqrt(ln 0.05 / ln 0.32), for errors that are
alike and normal in both directions (our arithmetic)."""


def radius_m(place: Place) -> int:
    """A radius in whole metres that holds the place: coordinateUncertaintyInMeters, never 0."""
    return max(1, math.ceil(TO_95 * place.uncertainty_m - 1e-6))


def coarse_place(specimen: Specimen, precision: Precision) -> Generalised | None:
    """The place snapped to its square (always of the grid usual there: one grid for one find); None if exact."""
    if specimen.place is None or precision is Precision.EXACT:
        return None
    return generalise(specimen.place.position, _GRADES[precision], uncertainty_m=specimen.place.uncertainty_m)


def place_words(
    specimen: Specimen, precision: Precision, notation: Notation = Notation.DECIMAL_DEGREES
) -> tuple[str, str]:
    """The place as this reader may know it, and what was held back or coarsened, in words.

    Snapped to a grid, never shifted at random: many papers cannot be averaged into the spot
    (Chapman 2020, Best Practices for Generalizing Sensitive Species Occurrence Data).
    """
    if specimen.place is None:
        return "", ""
    position, uncertainty = specimen.place.position, radius_m(specimen.place)
    coarse = coarse_place(specimen, precision)
    if coarse is None:
        # A national grid has its own datum (OSGB36, Ireland 1965): the reference names it by itself.
        datum = "" if notation in (Notation.BRITISH, Notation.IRISH) else " (WGS 84)"
        return f"{show_position(position, notation, uncertainty)} ± {uncertainty} m{datum}", ""
    note = " ".join(part for part in (coarse.data_generalizations, coarse.information_withheld) if part)
    if coarse.position is None:
        return "", note
    words = coarse.reference or f"{coarse.position.latitude:.2f}, {coarse.position.longitude:.2f}"
    return f"{words} ({precision.value})", note


def zone_of(found: Gathered, press: Press) -> tzinfo | None:
    """The time zone to print times in: the foray's, else the preferred one, else the machine's (None)."""
    for name in (found.foray.time_zone if found.foray else "", press.zone):
        if name:
            try:
                return ZoneInfo(name)
            except (ZoneInfoNotFoundError, ValueError, OSError):
                continue
    return None


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
        hazards=hazard_words(weighing.hazards, reference, judged.held),
        next_checks=tuple(f"{check.name}: {check.settles}" for check in weighing.next_checks[:MOST_CHECKS]),
        drawing=fruit_body(looked, reference.vocabulary) if looked else None,
        place_note=" ".join(part for part in (note, region_withheld(found, reader)) if part),
        emergency=press.emergency,
        printed_on=moment_words(press.surroundings.now(), zone, press.date_format),
        letter=press.letter,
        further=further_pictures(found, press.pictures, reference.vocabulary, kept, most=press.more_pictures),
        plane_note=ONE_PLANE,
    )


def handed_on(
    work: Work,
    surroundings: Surroundings,
    *,
    what: str,
    to_whom: str,
    precision: str,
    specimens: Sequence[str],
    target: str,
) -> None:
    """Note down what left the house, to whom, with how much place."""
    entry = HandedOn(
        surroundings.new_id(), surroundings.now(), what, to_whom, precision, tuple(specimens), target
    )
    work.handed_on.put(entry)


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
    form = next((one.states[0] for one in looked if one.feature == "whole.form" and one.states), None)
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


def hazard_words(
    hazards: Sequence[NotExcluded],
    reference: Reference,
    held: Mapping[str, Sequence[StruckOut]] | None = None,
) -> tuple[HazardWords, ...]:
    """The dangerous taxa that are not excluded, worst and closest first, as papers print them.

    `held` says which of them stand only because of records that were struck out.
    """
    words = []
    for hazard in hazards:
        taxon = hazard.taxon
        english = f" ({taxon.english})" if taxon.english else ""
        mine = marked(reference, taxon.pack, OWN_ON_PAPER)
        gone = struck_words((held or {}).get(taxon.id, ()), reference)
        words.append(
            HazardWords(
                taxon.name + english + mine,
                hazard.severity.value,
                f"{gone}; {hazard.why_not_excluded}" if gone else hazard.why_not_excluded,
                onset_words(reference, taxon.id),
                hazard.close,
            )
        )
    return tuple(words)


def onset_words(reference: Reference, taxon: str) -> str:
    """When symptoms begin, as the reference prints it; '' where it says nothing."""
    for row in reference.hazards_of(taxon):
        if row.onset_low is not None and row.onset_high is not None:
            return f"{row.onset_low:g}–{row.onset_high:g} {row.onset_unit}"
    return ""
