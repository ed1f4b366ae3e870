"""A find as a record: who, what, where, when, already as coarse as its reader may know it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class NameGiven:
    """One determination as records write it: the name without its doubt, and the doubt by itself.

    `scientific_name` carries the author where the reference knows it, never cf. or aff.; for aff. and sp. it
    is the genus alone (the cautious reading). `qualifier` says what it qualifies: 'cf. phalloides'. `on` is
    ISO 8601, `on_words` the same day as labels print it.
    """

    id: str
    scientific_name: str
    authorship: str = ""
    rank: str = ""
    genus: str = ""
    epithet: str = ""
    infraspecific: str = ""
    qualifier: str = ""
    as_given: str = ""
    by: str = ""
    on: str = ""
    on_words: str = ""
    basis: str = ""
    replaced: bool = False


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing measured or seen: 'cap width', '100', 'mm'. `accuracy` in the same unit, '' if not known."""

    what: str
    value: str
    unit: str = ""
    accuracy: str = ""
    method: str = ""
    remarks: str = ""


@dataclass(frozen=True, slots=True)
class Record:
    """One find. Empty text and None mean that nothing is known or nothing is given to this reader.

    `event_date` is ISO 8601, only as fine as it is known; `on` the same as a day for checking,
    `on_words` as labels print it.
    `latitude`, `longitude` are texts with as many digits as their uncertainty bears; `uncertainty_m` is a
    radius above 0 that holds the place. `lost_on_drying` are the notes that a dried voucher cannot give.
    `views` are the parts of which there are pictures.
    """

    id: str
    occurrence_id: str
    number: str
    name: str = ""
    english: str = ""
    taxon: str = ""
    names: tuple[NameGiven, ...] = ()
    recorder: str = ""
    event_date: str = ""
    on: date | None = None
    on_words: str = ""
    verbatim_date: str = ""
    latitude: str = ""
    longitude: str = ""
    uncertainty_m: int | None = None
    coordinate_precision: str = ""
    spatial_fit: str = ""
    footprint: str = ""
    grid_reference: str = ""
    grid_system: str = ""
    grid_srs: str = ""
    place_method: str = ""
    generalised: str = ""
    withheld: str = ""
    place_words: str = ""
    site: str = ""
    country: str = ""
    country_code: str = ""
    state_province: str = ""
    county: str = ""
    altitude: str = ""
    habitat: str = ""
    substrate: str = ""
    associated: str = ""
    fruit_bodies: int | None = None
    ages: str = ""
    condition: str = ""
    voucher: str = ""
    permission: str = ""
    note: str = ""
    lost_on_drying: str = ""
    print_colour: str = ""
    facts: tuple[Fact, ...] = ()
    views: tuple[str, ...] = ()
    pictures: tuple[str, ...] = ()
    has_microscopy: bool = False

    @property
    def present(self) -> NameGiven | None:
        """The name it bears now: the last one that no other replaces."""
        standing = [one for one in self.names if not one.replaced]
        return standing[-1] if standing else None

    @property
    def confirmed(self) -> NameGiven | None:
        """A later determination by somebody else that says the same as the first of that name."""
        now = self.present
        if now is None:
            return None
        same = [one for one in self.names if one.scientific_name == now.scientific_name and one.by]
        return same[-1] if len(same) > 1 and same[-1].by != same[0].by else None

    @property
    def kept(self) -> bool:
        """Whether a dried specimen is kept: then the record rests on that, not on an observation."""
        return bool(self.voucher)


@dataclass(frozen=True, slots=True)
class Table:
    """An old spreadsheet: its file's name, its heads, its rows (as many cells each as there are heads)."""

    name: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def digits_of(text: str) -> int:
    """How many decimals a coordinate is written with."""
    return len(text.partition(".")[2])
