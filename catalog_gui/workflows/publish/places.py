"""How much of a place a reader gets: precision, square, region, site."""

from __future__ import annotations

import math
from dataclasses import replace

from catalog_gui.domain.foray import Place
from catalog_gui.domain.privacy import Reader, precision_for
from catalog_gui.domain.region import Region, region_of
from catalog_gui.domain.sheet import Precision
from catalog_gui.domain.specimen import Specimen
from catalog_gui.geo.generalise import Generalised, Grade, generalise
from catalog_gui.geo.notation import Notation, show_position
from catalog_gui.workflows.publish.gathered import Gathered

_GRADES = {Precision.ONE_KM: Grade.ONE_KM, Precision.TEN_KM: Grade.TEN_KM, Precision.HIDDEN: Grade.HIDDEN}


def precision_of(found: Gathered, reader: Reader) -> Precision:
    """How much place of this specimen this reader gets."""
    return precision_for(reader, private=found.private)


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
