"""What the Compare page shows, as values: hazards, candidates, next checks, and the table part by part."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature, Part
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Specimen
from catalog_gui.lookalikes.reference import Severity, Taxon

MOST_TAXA = 3
SHOWN_CANDIDATES = 12
EARLIER_FINDS = 2


class Says(StrEnum):
    """What a cell of the table says, in words that need no colour."""

    AGREES = "agrees"
    AGAINST = "speaks against"
    LITTLE = "counts little against"
    DOES_NOT_SEPARATE = "does not separate"
    NOT_LOOKED_AT = "not looked at"
    GONE = "damaged or gone"
    NOTHING_WRITTEN = "nothing written"
    NOT_WEIGHED = "not weighed"
    WRITTEN = ""  # teaching view: no specimen to agree with


QUIET = frozenset({Says.NOT_LOOKED_AT, Says.GONE, Says.WRITTEN})
"""Verdicts whose words stand once, in the column of the find; the taxa keep the sign."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One feature of one taxon: what is written, what it says about the find, and who wrote it.

    `sources` are ids; `little` says why a contradiction counts little, or is ''; `texts` how many texts show
    which state, or is ''.
    """

    says: Says
    written: str
    sources: tuple[str, ...] = ()
    little: str = ""
    texts: str = ""

    @property
    def verdict(self) -> str:
        """The verdict as the cell prints it; '' where a sign and the column of the find say it."""
        return "" if self.says in QUIET else self.says.value

    @property
    def words(self) -> str:
        """The whole cell as one line."""
        words = ": ".join(part for part in (self.verdict, self.written) if part)
        return f"{words} ({self.little})" if self.little else words


@dataclass(frozen=True, slots=True)
class Line:
    """One feature across the table.

    `separates`: some of the shown taxa differ by it; `alike`: all of them read the same.
    """

    feature: Feature
    seen: str
    standing: Standing
    cells: tuple[Cell, ...]
    separates: bool
    alike: bool = False


@dataclass(frozen=True, slots=True)
class Crop:
    """The picture that shows a part of a specimen: a piece `box` of a photo, or all of it."""

    photo: Photo
    box: tuple[float, float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class EarlierFind:
    """A specimen of the user's own that goes by the name of a shown taxon."""

    specimen_id: str
    number: str
    crops: dict[Part, Crop] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class HazardLine:
    """One dangerous taxon that is not excluded, with its reason, its onset and its syndromes in words.

    `close`: hardly anything explains the evidence better, or a name in front is known to be mistaken for
    it. `hers`: the taxon stands in the user's own pack.
    """

    taxon: Taxon
    severity: Severity
    why: str
    onset: str
    misleads: str
    syndrome: str
    close: bool = False
    hers: bool = False

    @property
    def name(self) -> str:
        """The name, marked where it is one of the user's own."""
        return f"{self.taxon.name} (yours)" if self.hers else self.taxon.name

    @property
    def reason(self) -> str:
        """Why it is not excluded, as a sentence; its syndrome where no reason is known."""
        told = self.why or self.syndrome
        return f"{told[:1].upper()}{told[1:]}." if told else ""

    @property
    def words(self) -> str:
        """The reason and the onset as one line."""
        onset = f"{self.onset[:1].upper()}{self.onset[1:]}." if self.onset else ""
        return f"{self.reason} {onset}".strip()


@dataclass(frozen=True, slots=True)
class BannerLine:
    """One line of the banner; every dangerous taxon that is not excluded is a member of exactly one.

    `names` are ways to say who is in it, the fullest first; each names all that can kill and says how many
    it leaves out. `counted`: the members are not excluded; else they are only known to be mistaken for the
    names in front.
    """

    severity: Severity
    title: str
    onset: str
    names: tuple[str, ...]
    members: tuple[HazardLine, ...]
    counted: bool = True

    @property
    def head(self) -> str:
        """The title and the onset: 'Amatoxins, liver; gut after 6 to 24 h'."""
        return f"{self.title}; {self.onset}" if self.onset else self.title

    @property
    def words(self) -> str:
        """The whole line."""
        return f"{self.head}: {self.names[0]}"


@dataclass(frozen=True, slots=True)
class CandidateLine:
    """One candidate in the order of the weighing, with its reasons in words.

    `why_here` says why it stands after the one before where the numbers of reasons do not show it, else ''.
    """

    taxon: Taxon
    severity: Severity | None
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    hers: bool = False
    why_here: str = ""


@dataclass(frozen=True, slots=True)
class CheckLine:
    """One thing to look at next: what it takes, how, what it may settle, what each answer would do.

    `answers` are short lines; `in_full` are the same with every name.
    """

    feature: str
    name: str
    cost: str
    how: str
    settles: str
    answers: tuple[str, ...]
    in_full: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StruckLine:
    """A record that was struck out, when, and the dangerous taxa that stand only because of it."""

    feature: str
    words: str
    at: datetime
    holds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """The whole page as values.

    `recorded` counts what was looked at. `hazards` are the dangerous taxa not excluded, `banner` the few
    lines they are put into, worst and nearest first. `minded` are those that the evidence speaks against but
    that are known to be mistaken for the names in front: they stay in sight. `struck`: records that were
    struck out and still hold some in.
    """

    specimen: Specimen | None = None
    name: str = ""
    recorded: int = 0
    taxa: tuple[Taxon, ...] = ()
    severities: tuple[Severity | None, ...] = ()
    lines: tuple[Line, ...] = ()
    hazards: tuple[HazardLine, ...] = ()
    minded: tuple[HazardLine, ...] = ()
    banner: tuple[BannerLine, ...] = ()
    struck: tuple[StruckLine, ...] = ()
    candidates: tuple[CandidateLine, ...] = ()
    checks: tuple[CheckLine, ...] = ()
    crops: dict[Part, Crop] = field(default_factory=dict)
    earlier: dict[str, tuple[EarlierFind, ...]] = field(default_factory=dict)
    excluded: int = 0
    bodies: tuple[str, ...] = ()
    body: str = ""
    evidence: tuple[Evidence, ...] = ()
