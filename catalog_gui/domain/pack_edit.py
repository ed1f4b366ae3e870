"""Changes to a reference pack of one's own: which rows are written or taken away, and the steps they made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class RowEdit:
    """One row of one table, cells by column. It takes the place of the row with the same key, if there is one.

    With `away` the row with that key is taken out instead. Cells that are left out are empty.
    """

    table: str
    cells: Mapping[str, str]
    away: bool = False


@dataclass(frozen=True, slots=True)
class PackStep:
    """One change to the pack, as its list of steps keeps it.

    `place` names the catalogue that was open, `after` the number of its newest step then: that puts steps
    of the pack and of the catalogue into one order.
    """

    number: int
    label: str
    at: datetime
    place: str = ""
    after: int = 0
    undone: bool = False
