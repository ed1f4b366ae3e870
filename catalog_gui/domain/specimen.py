"""A specimen, the names people gave it, and what has to be done before it is too late."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from enum import StrEnum

from catalog_gui.domain.foray import Place


@dataclass(frozen=True, slots=True)
class Specimen:
    """What is collected at one spot and believed to be one taxon. `number` is for life.

    `private_place` hides the exact place on every way out unless the user chooses otherwise for one export.
    """

    id: str
    number: str
    foray_id: str = ""
    collected_at: datetime | None = None
    place: Place | None = None
    collector: str = ""
    site: str = ""
    habitat: str = ""
    substrate: str = ""
    associated_taxa: str = ""
    fruit_bodies: int | None = None
    ages: str = ""
    condition: str = ""
    voucher: str = ""
    permission: str = ""
    note: str = ""
    private_place: bool = True
    cover_photo: str = ""
    section: str = ""  # the infrageneric section or group the user suspects: chooses the view checklist
    country: str = ""  # Darwin Core's term of the same name; the three below likewise
    country_code: str = ""
    state_province: str = ""
    county: str = ""


class Qualifier(StrEnum):
    """Open nomenclature (Bengtson 1988; Sigovini et al. 2016): the doubt is written into the name."""

    NONE = ""
    CF = "cf."
    AFF = "aff."
    SP = "sp."
    AGG = "agg."


@dataclass(frozen=True, slots=True)
class Determination:
    """A name given to a specimen by somebody, some day, on some basis. Never overwritten, only replaced.

    `taxon` is a reference id or '' for a name typed freely; `name` is the name as given.
    """

    id: str
    specimen_id: str
    name: str
    taxon: str = ""
    qualifier: Qualifier = Qualifier.NONE
    determined_by: str = ""
    determined_on: date | None = None
    basis: str = ""
    entered_at: datetime | None = None
    replaces: str = ""

    @property
    def display_name(self) -> str:
        """The name with its qualifier where open nomenclature puts it: 'Amanita cf. phalloides'."""
        words = self.name.split()
        if self.qualifier is Qualifier.NONE or not words:
            return self.name
        if self.qualifier is Qualifier.SP:
            return f"{words[0]} sp."
        if self.qualifier is Qualifier.AGG:
            return f"{self.name} agg."
        return (
            " ".join([words[0], self.qualifier.value, *words[1:]])
            if len(words) > 1
            else f"{self.qualifier.value} {self.name}"
        )


def present_determination(given: Sequence[Determination]) -> Determination | None:
    """The name a specimen goes by: the newest determination that no other one replaces.

    `given` in the order of entry. Newest by the time it was entered, then by the order given.
    """
    replaced = {one.replaces for one in given}
    standing = [one for one in given if one.id not in replaced] or list(given)
    if not standing:
        return None
    early = datetime.min.replace(tzinfo=UTC)
    return max(enumerate(standing), key=lambda pair: (pair[1].entered_at or early, pair[0]))[1]


@dataclass(frozen=True, slots=True)
class Task:
    """Something to do before it is too late.

    `kind`: smell, ring, print, reaction, description, drying, microscopy, show, photo or other.
    """

    id: str
    specimen_id: str
    kind: str
    title: str
    due: datetime | None = None
    done_at: datetime | None = None
    started_at: datetime | None = None
    note: str = ""

    def overdue(self, now: datetime) -> bool:
        """Whether it is still open after its due time; `now` is aware."""
        return self.done_at is None and self.due is not None and self.due < now
