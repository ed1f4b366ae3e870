"""From a find to a record for one reader: names without their doubt, places as coarse as they may be."""

from __future__ import annotations

import math
import re
import uuid
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, time
from statistics import median
from typing import Any

from catalog_gui.annotation.measure import measure, measures, scale_of
from catalog_gui.domain import vocabulary_roles as roles
from catalog_gui.domain.day_words import write_day
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Part
from catalog_gui.domain.privacy import Reader, Secrets, scrubbed
from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.record import Fact, NameGiven, Record
from catalog_gui.domain.sheet import Precision
from catalog_gui.domain.specimen import Determination, Qualifier
from catalog_gui.geo.britishgrid import BRITISH_GRID
from catalog_gui.geo.gridsquare import Grid
from catalog_gui.geo.irishgrid import IRISH_GRID
from catalog_gui.geo.notation import Notation, write_position
from catalog_gui.geo.position import CoordinateError
from catalog_gui.geo.usualgrid import usual_grid
from catalog_gui.lookalikes.reasons import seen_words
from catalog_gui.lookalikes.reference import RANKS, Reference
from catalog_gui.workflows.plate import PANELS, panel_pictures
from catalog_gui.workflows.publish.gathered import Gathered
from catalog_gui.workflows.publish.places import (
    coarse_place,
    place_words,
    precision_of,
    radius_m,
    region_for,
    region_withheld,
    site_of,
)
from catalog_gui.workflows.publish.press import Press, zone_of
from catalog_gui.workflows.publish.secrets import secrets_of
from catalog_gui.workflows.publish.words import evidence_words, local_day

_GRIDS = {Grid.BRITISH: (Notation.BRITISH, "EPSG:27700"), Grid.IRISH: (Notation.IRISH, "EPSG:29903")}
_LOST = (Part.SMELL, Part.REACTION)
_LOST_FEATURES = (
    roles.MILK,
    roles.MILK_CHANGE,
    roles.FLESH_CHANGE,
    roles.CAP_COLOUR,
    roles.TASTE,
    roles.GILLS_BRUISE,
)


def record_of(found: Gathered, reader: Reader, press: Press, *, facts: bool = True) -> Record:
    """The find as this reader may know it; without `facts` what was seen part by part is left out."""
    specimen, reference = found.specimen, press.reference
    precision = precision_of(found, reader)
    exact = precision is Precision.EXACT
    kept = secrets_of(found, reader, press.person)
    zone, region = zone_of(found, press), region_for(found, reader)
    now = found.present_name
    taxon = reference.taxon(now.taxon) if now is not None and now.taxon else None
    replaced = {one.replaces for one in found.names}
    looked = [row for row in found.evidence if row.standing is not Standing.NOT_LOOKED_AT]
    local = specimen.collected_at.astimezone(zone) if specimen.collected_at else None
    chosen = panel_pictures(
        found.marks, found.evidence, {p.id: p for p in found.photos}, reference.vocabulary
    )

    def clean(text: str) -> str:
        return scrubbed(text, kept)

    record = Record(
        id=specimen.id,
        occurrence_id=occurrence_id(specimen.id),
        number=specimen.number,
        name=clean(now.display_name) if now is not None else "",
        english=taxon.english if taxon is not None else "",
        taxon=taxon.id if taxon is not None else "",
        names=tuple(
            replace(
                name_given(one, reference, one.id in replaced, kept, names=reader.names),
                on_words=write_day(one.determined_on, press.date_format) if one.determined_on else "",
            )
            for one in found.history
        ),
        recorder=specimen.collector if reader.names else "",
        event_date=_event_date(local, exact=exact),
        on=local.date() if local is not None else None,
        on_words=local_day(specimen.collected_at, zone, press.date_format),
        place_words=place_words(specimen, precision, press.notation)[0],
        site=site_of(found) if exact or reader.site else "",
        country=region.country,
        country_code=region.country_code,
        state_province=region.state_province,
        county=region.county,
        habitat=clean(specimen.habitat or _of_feature(looked, roles.HABITAT, reference)),
        substrate=clean(specimen.substrate or _of_feature(looked, roles.SUBSTRATE, reference)),
        associated=clean(specimen.associated_taxa or _of_feature(looked, roles.TREES, reference)),
        fruit_bodies=specimen.fruit_bodies,
        ages=clean(specimen.ages),
        condition=clean(specimen.condition),
        voucher=clean(specimen.voucher),
        permission=specimen.permission if reader.names and (exact or reader.site) else "",
        note=clean(specimen.note) if reader.notes else "",
        lost_on_drying=clean(_lost(looked, reference)),
        print_colour=clean(_of_feature(looked, roles.PRINT_COLOUR, reference)),
        facts=_facts(found, looked, reference, kept, notes=reader.notes) if facts else (),
        views=tuple(part.value for part in PANELS if part in chosen),
        pictures=tuple(photo.name for photo in found.photos) if exact and reader.notes else (),
        has_microscopy=any(_part_of(row, reference) is Part.MICRO for row in looked),
        altitude=_altitude(found) if exact else "",
    )
    placed = replace(record, **_place(found, precision))
    withheld = " ".join(part for part in (placed.withheld, region_withheld(found, reader)) if part)
    return replace(placed, withheld=withheld)


def occurrence_id(specimen_id: str) -> str:
    """A stable id of the find for the whole world: the same for every export of it."""
    try:
        known = uuid.UUID(specimen_id)
    except ValueError:
        known = uuid.uuid5(uuid.NAMESPACE_OID, specimen_id)
    return f"urn:uuid:{known}"


def name_given(
    one: Determination, reference: Reference, replaced: bool, kept: Secrets, *, names: bool
) -> NameGiven:
    """A determination as records write it (open nomenclature: Bengtson 1988, Sigovini et al. 2016)."""
    taxon = reference.taxon(one.taxon) if one.taxon else None
    words = [w for w in scrubbed(one.name, kept).split() if w != "×"]
    latin = [words[0]] if words else []
    for word in words[1:]:
        if word.casefold() in RANKS or (word[:1].islower() and re.fullmatch(r"[a-zëïöü\-]+", word)):
            latin.append(word)
        else:
            break
    name = " ".join(latin) if latin else ""
    author = " ".join(words[len(latin) :])
    if taxon is not None and name == taxon.name:
        author = author or taxon.authority
    rank = taxon.rank if taxon is not None and name == taxon.name else _rank(latin)
    epithets = [word for word in latin[1:] if word.casefold() not in RANKS]
    qualifier = ""
    match one.qualifier:
        case Qualifier.CF:
            qualifier = f"cf. {epithets[-1]}" if epithets else "cf."
        case Qualifier.AFF:
            qualifier = f"aff. {' '.join(epithets)}" if epithets else "aff."
            name, author, rank, epithets = name.split()[0] if name else "", "", "genus", []
        case Qualifier.SP:
            name, author, rank, epithets = name.split()[0] if name else "", "", "genus", []
        case Qualifier.AGG:
            qualifier, author = "agg.", ""
        case _:
            pass
    return NameGiven(
        id=one.id,
        scientific_name=f"{name} {author}".strip(),
        authorship=author,
        rank=rank,
        genus=name.split()[0] if name and rank != "family" else "",
        epithet=epithets[0] if epithets else "",
        infraspecific=epithets[1] if len(epithets) > 1 else "",
        qualifier=qualifier,
        as_given=scrubbed(one.display_name, kept),
        by=one.determined_by if names else "",
        on=one.determined_on.isoformat() if one.determined_on is not None else "",
        basis=scrubbed(one.basis, kept),
        replaced=replaced,
    )


def _rank(latin: Sequence[str]) -> str:
    marks = [word.casefold() for word in latin if word.casefold() in RANKS]
    if marks:
        return {"var.": "variety", "f.": "form", "forma": "form"}.get(marks[0], "subspecies")
    return {0: "", 1: "genus", 2: "species"}.get(len(latin), "subspecies")


def _event_date(local: datetime | None, *, exact: bool) -> str:
    """To the minute with its offset for who may know the place; the day alone for others, since a time of
    day on a known walk is a place."""
    if local is None:
        return ""
    timed = exact and local.time() != time(0)
    return local.isoformat(timespec="minutes") if timed else local.date().isoformat()


def _place(found: Gathered, precision: Precision) -> dict[str, Any]:
    """The place terms of a record."""
    specimen = found.specimen
    if specimen.place is None:
        return {}
    if precision is Precision.EXACT:
        position, radius = specimen.place.position, radius_m(specimen.place)
        latitude, longitude = write_position(position, Notation.DECIMAL_DEGREES, radius).split(", ")
        place: dict[str, Any] = {
            "latitude": latitude,
            "longitude": longitude,
            "uncertainty_m": radius,
            "coordinate_precision": _precision_text(latitude),
            "place_method": specimen.place.basis,
        }
        known = _GRIDS.get(usual_grid(position))
        notation, srs = known if known is not None else (Notation.MGRS, "EPSG:4326")
        try:
            place["grid_reference"] = write_position(position, notation, radius)
            place["grid_system"], place["grid_srs"] = notation.value, srs
        except CoordinateError:
            pass
        return place
    coarse = coarse_place(specimen, precision)
    if coarse is None:
        return {}
    place = {"generalised": coarse.data_generalizations, "withheld": coarse.information_withheld}
    if coarse.position is None:
        return place
    decimals = 5 if coarse.precision_deg is None else max(0, round(-math.log10(coarse.precision_deg)))
    place |= {
        "latitude": f"{coarse.position.latitude:z.{decimals}f}",
        "longitude": f"{coarse.position.longitude:z.{decimals}f}",
        "uncertainty_m": coarse.uncertainty_m,
        "coordinate_precision": "" if coarse.precision_deg is None else f"{coarse.precision_deg:g}",
        "spatial_fit": f"{coarse.spatial_fit:.4f}" if coarse.spatial_fit is not None else "",
        "footprint": coarse.footprint_wkt or "",
        "place_method": "centre of a grid square",
    }
    if coarse.reference:
        for grid, (notation, srs) in _GRIDS.items():
            lettered = BRITISH_GRID if grid is Grid.BRITISH else IRISH_GRID
            if usual_grid(coarse.position) is lettered.grid:
                place["grid_system"], place["grid_srs"] = notation.value, srs
        place["grid_reference"] = coarse.reference
        place.setdefault("grid_system", Notation.MGRS.value)
        place.setdefault("grid_srs", "EPSG:4326")
    return place


def _altitude(found: Gathered) -> str:
    heights = [p.fix.altitude_m for p in found.photos if p.fix is not None and p.fix.altitude_m is not None]
    return f"{median(heights):.0f} m" if heights else ""


def _precision_text(latitude: str) -> str:
    decimals = len(latitude.partition(".")[2])
    return f"{10.0**-decimals:.{decimals}f}" if decimals else "1"


def _part_of(row: Evidence, reference: Reference) -> Part | None:
    feature = reference.vocabulary.feature(row.feature)
    return feature.part if feature is not None else None


def _of_feature(looked: Sequence[Evidence], feature: str, reference: Reference) -> str:
    return "; ".join(
        words for row in looked if row.feature == feature and (words := evidence_words(row, reference))
    )


def _lost(looked: Sequence[Evidence], reference: Reference) -> str:
    """Smell, colours, milk, reactions: what a dried voucher cannot show any more."""
    parts = []
    for row in looked:
        feature = reference.vocabulary.feature(row.feature)
        if feature is None or (feature.part not in _LOST and feature.id not in _LOST_FEATURES):
            continue
        words = seen_words(row, feature, reference).removesuffix(" seen")
        parts.append(f"{feature.name}: {words}")
    return "; ".join(parts)


def _facts(
    found: Gathered, looked: Sequence[Evidence], reference: Reference, kept: Secrets, *, notes: bool
) -> tuple[Fact, ...]:
    facts = []
    for row in looked:
        feature = reference.vocabulary.feature(row.feature)
        if feature is None:
            continue
        words, unit = evidence_words(row, reference) or row.standing.value, ""
        if feature.kind == "number" and row.standing is Standing.SEEN and row.low is not None:
            high = row.high if row.high is not None else row.low
            words = f"{row.low:g}" if high == row.low else f"{row.low:g}-{high:g}"
            unit = row.unit or feature.unit
        remarks = row.fruit_body if row.sure else f"{row.fruit_body} in doubt".strip()
        if notes and row.note:
            remarks = f"{remarks}; {row.note}".strip("; ")
        facts.append(Fact(feature.name, scrubbed(words, kept), unit, remarks=scrubbed(remarks, kept)))
    for photo in found.photos:
        marks = [mark for mark in found.marks if mark.photo_id == photo.id]
        try:
            scale = scale_of(marks)
            drawn = [measure(mark, scale) for mark in marks if measures(mark.kind)]
        except BadInput:
            continue
        for one in drawn:
            if one.real is None:
                continue
            feature = reference.vocabulary.feature(one.mark.feature) if one.mark.feature else None
            what = one.mark.label or (feature.name if feature is not None else one.mark.part or one.what)
            facts.append(
                Fact(
                    scrubbed(what, kept),
                    f"{one.real.value:.4g}",
                    one.real.unit,
                    f"{one.real.expanded:.2g}",
                    "measured on a picture against a scale; accuracy is the expanded uncertainty (k = 2)",
                )
            )
    return tuple(facts)
