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
    """One feature across the columns; `separates` where the columns differ by it.

    `strong` are, for each cell, the words in it that another column does not share; `drawings` the small
    figure of what each column shows, or None.
    """

    part: str
    feature: str
    cells: tuple[str, ...]
    separates: bool = False
    strong: tuple[tuple[str, ...], ...] = ()
    drawings: tuple[object | None, ...] = ()


@dataclass(frozen=True, slots=True)
class HandoutLeaf:
    """Two to four columns side by side. `missed` is the one feature easiest to miss, with how to look.

    `alike` are features that tell none of them apart; `further` those that part them too and had no room.
    """

    columns: tuple[HandoutColumn, ...]
    rows: tuple[HandoutRow, ...]
    missed: str
    alike: tuple[str, ...]
    further: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class HandoutFacts:
    """Everything that was chosen, on as many leaves as it takes; the first chosen stands on each.

    `hazards` are those of the names laid out; `open_words` say for each find how many more are not excluded
    and where they stand; `beside` which lookalikes of the one that was chosen are not laid out; `no_entry`
    names those of which no poisoning is on record.
    """

    title: str
    leaves: tuple[HandoutLeaf, ...]
    hazards: tuple[HazardWords, ...]
    misleads: tuple[str, ...]
    sources: tuple[str, ...]
    emergency: tuple[str, ...]
    where_when: str
    printed_on: str
    letter: bool = False
    open_words: tuple[str, ...] = ()
    beside: str = ""
    no_entry: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DrillCard:
    """One find to name: pictures without names; the answers are for the teacher.

    `danger` says what is not excluded, the worst names first, with numbers that add up.
    """

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
class OpenFind:
    """A find of a report with taxa not excluded that can kill: its number, its name ('' for none), which."""

    number: str
    name: str
    words: str


@dataclass(frozen=True, slots=True)
class ReportFacts:
    """A foray report. `owner`: written for the landowner, who gets thanks and what the list means.

    `open_finds` are all finds, named or not, of which something that can kill is not excluded.
    """

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
    open_finds: tuple[OpenFind, ...] = ()
