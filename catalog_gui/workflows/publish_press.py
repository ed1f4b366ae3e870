"""From her preferences to what papers are made with."""

from __future__ import annotations

from typing import Protocol

from catalog_gui.geo.notation import Notation
from catalog_gui.lookalikes.prepared import Prepare
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.workflows.ports import Pictures, Surroundings
from catalog_gui.workflows.publish import Press

_NOTATIONS = {
    "British": Notation.BRITISH,
    "Irish": Notation.IRISH,
    "UTM": Notation.UTM,
    "MGRS": Notation.MGRS,
}


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
    """What papers are made with; numbers to call are those she typed, none is built in."""
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
