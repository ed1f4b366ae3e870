"""What teaching papers and foray reports are made of."""

from __future__ import annotations

from dataclasses import dataclass

from catalog_gui.domain.page import PictureBlock, PlanBlock
from catalog_gui.domain.sheet import HazardWords


@dataclass(frozen=True, slots=True)
class HandoutColumn:
    """One taxon or one find of a handout. `head` is the name, `below` what stands under it, `number` a find's."""

    head: str
    below: str
    picture: PictureBlock | None = None
    drawing: object | None = None
    number: str = ""


@dataclass(frozen=True, slots=True)
class HandoutRow:
    """One feature across the columns; `separates` where the columns differ by it."""

    part: str
    feature: str
    cells: tuple[str, ...]
    separates: bool = False


@dataclass(frozen=True, slots=True)
class HandoutFacts:
    """Two to four columns side by side. `missed` is the one feature easiest to miss, with how to look."""

    title: str
    columns: tuple[HandoutColumn, ...]
    rows: tuple[HandoutRow, ...]
    missed: str
    alike: tuple[str, ...]
    hazards: tuple[HazardWords, ...]
    misleads: tuple[str, ...]
    sources: tuple[str, ...]
    emergency: tuple[str, ...]
    where_when: str
    printed_on: str
    letter: bool = False


@dataclass(frozen=True, slots=True)
class DrillCard:
    """One find to name: pictures without names; the answer is for the back."""

    pictures: tuple[PictureBlock | str, ...]
    number: str
    answer: str
    look_at: str
    danger: str = ""


@dataclass(frozen=True, slots=True)
class DrillFacts:
    """A drill sheet: pictures in front, answers on the back of each page."""

    title: str
    cards: tuple[DrillCard, ...]
    emergency: tuple[str, ...]
    printed_on: str
    letter: bool = False


@dataclass(frozen=True, slots=True)
class ReportLine:
    """One name of a species list."""

    name: str
    english: str
    finds: int
    numbers: str
    where: str
    meaning: str = ""


@dataclass(frozen=True, slots=True)
class ReportFacts:
    """A foray report. `owner`: written for the landowner, who gets thanks and what the list means."""

    title: str
    owner: bool
    when: str
    where: str
    place_note: str
    lines: tuple[ReportLine, ...]
    unnamed: int
    pictures: tuple[PictureBlock | str, ...]
    plan: PlanBlock | None
    people: tuple[str, ...]
    dangerous: tuple[str, ...]
    emergency: tuple[str, ...]
    printed_on: str
    letter: bool = False
