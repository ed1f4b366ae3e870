"""Reads and words one find for the card under the list."""

from __future__ import annotations

from dataclasses import dataclass

from catalog_gui.domain.evidence import Standing
from catalog_gui.domain.feature import Part, Vocabulary
from catalog_gui.domain.ledger import Found
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Specimen
from catalog_gui.presenting.words import clock_time, place_words, size_words, written_day
from catalog_gui.settings import Preferences
from catalog_gui.workflows.ports import UnitOfWork

PARTS = (Part.CAP, Part.GILLS, Part.STEM, Part.RING, Part.BASE)


@dataclass(frozen=True, slots=True)
class CardFacts:
    """What the card says of one find; `lines` are ready to be read."""

    found: Found
    lines: tuple[str, ...]
    cover: Photo | None


def card_facts(work: UnitOfWork, found: Found, vocabulary: Vocabulary, preferences: Preferences) -> CardFacts:
    """Read and word one find; off the GUI thread, for a grid reference takes its time."""
    specimen = work.specimens.get(found.specimen_id)
    cover = work.photos.get(found.cover_photo) if found.cover_photo else None
    if specimen is None:
        return CardFacts(found, (), cover)
    foray = work.forays.get(specimen.foray_id) if specimen.foray_id else None
    zone = foray.time_zone if foray is not None else ""
    when = written_day(found.local_date, preferences)
    if specimen.collected_at is not None:
        when += f", {clock_time(specimen.collected_at, zone)}"
    evidence = work.evidence.where(specimen_id=specimen.id)
    names = {feature.id: feature for feature in vocabulary.features}
    sizes = [
        f"{names[one.feature].name} {words}"
        for one in evidence
        if one.feature in names and (words := size_words(one.low, one.high, one.unit, preferences))
    ]
    looked_at = {
        names[one.feature].part
        for one in evidence
        if one.feature in names and one.standing is not Standing.NOT_LOOKED_AT
    }
    bare = [part.value for part in PARTS if part not in looked_at]
    return CardFacts(
        found,
        tuple(
            line
            for line in (
                _joined(when, found.site, specimen.collector, _growing(specimen)),
                place_words(specimen.place, preferences),
                _joined(*sizes[:6]),
                f"Not looked at: {', '.join(bare)}" if bare else "",
            )
            if line
        ),
        cover,
    )


def _growing(specimen: Specimen) -> str:
    return ", ".join(word for word in (specimen.habitat, specimen.substrate) if word)


def _joined(*words: str) -> str:
    return " · ".join(word for word in words if word)
