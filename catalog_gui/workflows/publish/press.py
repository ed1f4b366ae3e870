"""What papers are made with beside the find: reference, pixels, clock, and the preferences they depend on."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import tzinfo
from typing import Protocol
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from catalog_gui.domain.day_words import USUAL
from catalog_gui.geo.notation import Notation
from catalog_gui.lookalikes.prepared import Prepare, PreparedReference
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.workflows.ports import Pictures, Surroundings
from catalog_gui.workflows.prepared_references import PreparedReferences
from catalog_gui.workflows.publish.gathered import Gathered

_NOTATIONS = {
    "British": Notation.BRITISH,
    "Irish": Notation.IRISH,
    "UTM": Notation.UTM,
    "MGRS": Notation.MGRS,
}


@dataclass(frozen=True, slots=True)
class Press:
    """What every paper is made with, beside the find: reference, pixels, clock, and the user's own settings."""

    reference: Reference
    pictures: Pictures
    surroundings: Surroundings
    emergency: tuple[str, ...] = ()
    letter: bool = False
    zone: str = ""
    notation: Notation = Notation.DECIMAL_DEGREES
    person: str = ""
    more_pictures: int = 8
    date_format: str = USUAL
    units: str = "metric"
    prepare: Prepare = field(default_factory=PreparedReferences)

    @property
    def prepared(self) -> PreparedReference:
        """The reference made ready for weighing; not for the GUI thread."""
        return self.prepare(self.reference)


class Wishes(Protocol):
    """The preferences that papers depend on."""

    @property
    def grid(self) -> str: ...
    @property
    def emergency_number(self) -> str: ...
    @property
    def poison_service(self) -> str: ...
    @property
    def person(self) -> str: ...
    @property
    def time_zone(self) -> str: ...
    @property
    def paper(self) -> str: ...
    @property
    def date_format(self) -> str: ...
    @property
    def units(self) -> str: ...


def press_of(
    wishes: Wishes, reference: Reference, pictures: Pictures, surroundings: Surroundings, prepare: Prepare
) -> Press:
    """What papers are made with; numbers to call are those the user typed, none is built in."""
    numbers = (("Emergency", wishes.emergency_number), ("Poison information", wishes.poison_service))
    return Press(
        reference,
        pictures,
        surroundings,
        tuple(f"{name}: {number}" for name, number in numbers if number),
        wishes.paper.casefold() == "letter",
        wishes.time_zone,
        _NOTATIONS.get(wishes.grid, Notation.DECIMAL_DEGREES),
        wishes.person,
        date_format=wishes.date_format,
        units=wishes.units,
        prepare=prepare,
    )


def zone_of(found: Gathered, press: Press) -> tzinfo | None:
    """The time zone to print times in: the foray's, else the preferred one, else the machine's (None)."""
    for name in (found.foray.time_zone if found.foray else "", press.zone):
        if name:
            try:
                return ZoneInfo(name)
            except (ZoneInfoNotFoundError, ValueError, OSError):
                continue
    return None
