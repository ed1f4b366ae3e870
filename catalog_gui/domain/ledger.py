"""What is kept beside the finds: what went out, searches worth keeping, notes on taxa."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


@dataclass(frozen=True, slots=True)
class HandedOn:
    """One thing that left the house: what, to whom, with how much place."""

    id: str
    at: datetime
    what: str
    to_whom: str
    precision: str
    specimens: tuple[str, ...] = ()
    target: str = ""


@dataclass(frozen=True, slots=True)
class SavedSearch:
    """A search to be run again, as the user typed it."""

    id: str
    name: str
    text: str


@dataclass(frozen=True, slots=True)
class TaxonNote:
    """The user's own words on a taxon of the reference. `private_places`: no fine place of its finds goes out."""

    id: str
    taxon: str
    text: str
    at: datetime | None = None
    private_places: bool = False


@dataclass(frozen=True, slots=True)
class Step:
    """One change the user made, as the undo list shows it. `undone` steps can be done again."""

    id: int
    label: str
    at: datetime
    undone: bool = False


@dataclass(frozen=True, slots=True)
class Changed:
    """What a step touched: name of a kind to ids, so that views reload only that."""

    label: str
    ids: dict[str, frozenset[str]]

    def touches(self, *kinds: str) -> bool:
        """Whether anything of these kinds changed."""
        return any(self.ids.get(kind) for kind in kinds)


@dataclass(frozen=True, slots=True)
class WorstNotExcluded:
    """The worst taxon that the records of a specimen do not exclude, the nearest of its grade.

    `severity` and `name` are '' where no taxon listed fits, which is no clearance. `deadly` and `dangerous`
    count those that can kill, and all.
    """

    severity: str = ""
    name: str = ""
    deadly: int = 0
    dangerous: int = 0


@dataclass(frozen=True, slots=True)
class ToReckon:
    """A specimen that is to be weighed, and which version of its records."""

    specimen_id: str
    version: int


@dataclass(frozen=True, slots=True)
class Reckoned:
    """What that version of a specimen's records does not exclude; `taxon` is an id of the reference."""

    specimen_id: str
    version: int
    severity: str = ""
    taxon: str = ""
    deadly: int = 0
    dangerous: int = 0


@dataclass(frozen=True, slots=True)
class Found:
    """One line of a search: the specimen and what the list shows of it.

    `name` is the present determination with its qualifier ('' while nobody named it), `photos` the number
    of pictures in its groups, `hazard` the severity word where that name is hazardous, `snippet` the
    words that were matched, `local_date` the ISO day on the spot ('' while it is not known). `worst`: the
    worst taxon that its records do not exclude; None while they are not weighed yet.
    """

    specimen_id: str
    number: str
    name: str
    site: str
    collected_at: datetime | None
    photos: int
    cover_photo: str
    hazard: str = ""
    snippet: str = ""
    local_date: str = ""
    worst: WorstNotExcluded | None = None


class FoundOrder(StrEnum):
    """The order in which a search lists what it found."""

    NEWEST = "newest first"
    OLDEST = "oldest first"
    NUMBER = "number"
    NUMBER_DOWN = "number, backwards"
    NAME = "name"
    NAME_DOWN = "name, backwards"
    SITE = "site"
    SITE_DOWN = "site, backwards"


@dataclass(frozen=True, slots=True)
class FoundPlace:
    """Where one specimen of a search was collected: degrees, and the uncertainty in m (68 %)."""

    specimen_id: str
    number: str
    name: str
    hazard: str
    latitude: float
    longitude: float
    uncertainty_m: float


@dataclass(frozen=True, slots=True)
class SeasonCount:
    """How many specimens of a taxon one month of one year gave; `first` and `last` are ISO days in it."""

    year: int
    month: int
    specimens: int
    first: str
    last: str


@dataclass(frozen=True, slots=True)
class TallyLine:
    """How many specimens of a foray go by one name; `name` is '' for those that nobody named."""

    name: str
    taxon: str
    specimens: int


@dataclass(frozen=True, slots=True)
class ForayCount:
    """What a foray came to: `names` counts the different present names."""

    foray_id: str
    photos: int
    specimens: int
    names: int
