"""How papers say things: days, times and lengths as the user likes them, doubt in open view."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, tzinfo

from catalog_gui.annotation.measure import Measurement
from catalog_gui.domain.day_words import USUAL, write_day
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature
from catalog_gui.domain.lengths import shown_size, shown_unit
from catalog_gui.domain.specimen import Determination
from catalog_gui.lookalikes.reasons import marked, seen_words, size_words, written_words
from catalog_gui.lookalikes.reference import Reference, SizeRange

OWN_ON_PAPER = "own pack"
"""The mark on a value from the user's own pack, in words that are right for whoever reads the paper."""


def moment_words(moment: datetime | None, zone: tzinfo | None, pattern: str = USUAL) -> str:
    """A moment as papers print it: '18 October 2025, 14:07'; '' for none.

    Midnight to the second stands for a day of which no time was written down.
    """
    if moment is None:
        return ""
    local = moment.astimezone(zone)
    day = write_day(local.date(), pattern)
    return day if local.time() == time(0) else f"{day}, {local:%H:%M}"


def local_day(moment: datetime | None, zone: tzinfo | None, pattern: str = USUAL) -> str:
    """The day of a moment where it happened: '18 October 2025'; '' for none."""
    return write_day(moment.astimezone(zone).date(), pattern) if moment is not None else ""


def naming_words(one: Determination, replaced: set[str], *, names: bool, pattern: str = USUAL) -> str:
    """One line of the history of names."""
    words = one.display_name
    if names and one.determined_by:
        words += f", {one.determined_by}"
    if one.determined_on is not None:
        words += f", {write_day(one.determined_on, pattern)}"
    if one.basis:
        words += f", on {one.basis}"
    return words + (" (replaced)" if one.id in replaced else "")


def evidence_words(row: Evidence, reference: Reference, units: str = "") -> str:
    """What was seen of one feature, without the word 'seen'; '' for the other standings."""
    feature = reference.vocabulary.feature(row.feature)
    if feature is None or row.standing is not Standing.SEEN:
        return ""
    if feature.kind == "number":
        size = shown_size(row.low, row.high, row.unit or feature.unit, units)
        return size if row.sure or not size else f"{size} (in doubt)"
    return (
        seen_words(row, feature, reference).replace(" seen (in doubt)", " (in doubt)").removesuffix(" seen")
    )


def taxon_words(reference: Reference, taxon: str, feature: Feature, units: str = "") -> str:
    """What the reference says about a feature of a taxon, sizes in the user's unit; '' where it says nothing."""
    if feature.kind != "number":
        return written_words(reference, taxon, feature, own=OWN_ON_PAPER)[0]
    return "; ".join(
        size_words(_in_units(row, units)) + marked(reference, row.pack, OWN_ON_PAPER)
        for row in reference.sizes_of(taxon, feature.id)
    )


def measurement_words(found: Measurement, units: str) -> str:
    """What a mark measures, in the user's unit, or the sentence that there is no scale."""
    return found.real.shown_in(units).text() if found.real is not None else found.text()


def _in_units(row: SizeRange, units: str) -> SizeRange:
    unit, factor = shown_unit(row.unit, units)
    if unit == row.unit:
        return row

    def turned(figure: float | None) -> float | None:
        return None if figure is None else round(figure * factor, 6)

    return replace(
        row,
        low=round(row.low * factor, 6),
        high=round(row.high * factor, 6),
        extreme_low=turned(row.extreme_low),
        extreme_high=turned(row.extreme_high),
        unit=unit,
    )
