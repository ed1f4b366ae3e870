"""What a specimen sheet is made of: words and pictures, with the place already as coarse as it may be."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from catalog_gui.domain.page import PictureBlock


class Precision(StrEnum):
    """How much place a paper gives away. The words stand on screens and in the log."""

    EXACT = "exact place"
    ONE_KM = "1 km square"
    TEN_KM = "10 km square"
    HIDDEN = "no place"


@dataclass(frozen=True, slots=True)
class EvidenceLine:
    """One feature as the sheet prints it."""

    part: str
    feature: str
    standing: str
    words: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class HazardWords:
    """One line about danger: a taxon, or a group by syndrome with the `names` that stand in it.

    `severity` is a code that no reader sees, `why` what the poison does.
    """

    name: str
    severity: str
    why: str
    onset: str = ""
    names: str = ""


@dataclass(frozen=True, slots=True)
class SheetFacts:
    """Everything on one specimen sheet. `panels` pair a part's word with its picture, or with what is missing.

    `names` is the history of determinations, the present one first. `fields` are label and value.
    `emergency` holds the numbers typed by the user; it may be empty, and then the sheet says so. `further` are the
    pictures that no panel shows; `plane_note` says under what assumption the measurements hold. `hazards` are
    at most eight lines, `held` how many of them stand only by what was struck out.
    """

    number: str
    name: str
    names: tuple[str, ...]
    fields: tuple[tuple[str, str], ...]
    panels: tuple[tuple[str, PictureBlock | str], ...]
    evidence: tuple[EvidenceLine, ...]
    not_looked_at: tuple[str, ...]
    measurements: tuple[str, ...]
    hazards: tuple[HazardWords, ...]
    next_checks: tuple[str, ...]
    drawing: object | None
    place_note: str
    emergency: tuple[str, ...]
    printed_on: str
    letter: bool = False
    further: tuple[PictureBlock | str, ...] = ()
    plane_note: str = ""
    held: str = ""
