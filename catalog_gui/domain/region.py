"""The country and its parts that a place lies in: as the user writes them, never worked out from coordinates.

The four terms are those of Darwin Core's Location class (country, countryCode, stateProvince, county).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Protocol

REGION_FIELDS = ("country", "country_code", "state_province", "county")
"""From the widest to the narrowest, under the names that specimens, forays and records have for them."""

_CODE = re.compile(r"[A-Z]{2}")


class InRegion(Protocol):
    """What bears the four fields: a specimen, a foray."""

    @property
    def country(self) -> str: ...
    @property
    def country_code(self) -> str: ...
    @property
    def state_province(self) -> str: ...
    @property
    def county(self) -> str: ...


@dataclass(frozen=True, slots=True)
class Region:
    """A country with its ISO 3166-1 alpha-2 code, a province or state, a county or vice-county; '' if unknown."""

    country: str = ""
    country_code: str = ""
    state_province: str = ""
    county: str = ""

    @property
    def words(self) -> str:
        """'United Kingdom, England, Herefordshire'; the code stands in where the country is not spelt out."""
        parts = (self.country or self.country_code, self.state_province, self.county)
        return ", ".join(dict.fromkeys(part for part in parts if part))


def region_of(specimen: InRegion, foray: InRegion | None) -> Region:
    """The specimen's own region; what it leaves empty is its foray's.

    A part of the foray's region is taken only where nothing wider says otherwise: a find with a country of
    its own is not put into the foray's county.
    """
    country, code = specimen.country, specimen.country_code
    province, county = specimen.state_province, specimen.county
    if foray is None:
        return Region(country, code, province, county)
    same = _agree(country, foray.country) and _agree(code, foray.country_code)
    if not same:
        return Region(country, code, province, county)
    if _agree(province, foray.state_province):
        county = county or foray.county
    return Region(
        country or foray.country,
        code or foray.country_code,
        province or foray.state_province,
        county,
    )


def is_country_code(text: str) -> bool:
    """Whether it looks like an ISO 3166-1 alpha-2 code: two capital letters."""
    return bool(_CODE.fullmatch(text))


def _agree(own: str, other: str) -> bool:
    return not own or own.casefold() == other.casefold()
