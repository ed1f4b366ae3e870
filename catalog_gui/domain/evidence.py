"""Evidence: what was seen of one feature of one specimen, and what was not looked at."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from catalog_gui.domain.problem import BadInput


class Standing(StrEnum):
    """The four ways in which a feature can stand in the notes. 'Not looked at' is never absence."""

    SEEN = "seen"
    NOT_THERE = "looked for and not there"
    GONE = "damaged or gone"
    NOT_LOOKED_AT = "not looked at"


_SHORT = {
    "not there": Standing.NOT_THERE,
    "absent": Standing.NOT_THERE,
    "looked for not there": Standing.NOT_THERE,
    "looked for": Standing.NOT_THERE,
    "damaged": Standing.GONE,
    "gone": Standing.GONE,
    "damaged gone": Standing.GONE,
    "present": Standing.SEEN,
    "not looked": Standing.NOT_LOOKED_AT,
    "unknown": Standing.NOT_LOOKED_AT,
}


def standing_from_text(text: str) -> Standing:
    """Read a standing as people and files write it (case, hyphens and underscores do not matter).

    Raises BadInput for anything else: guessing here could turn 'not looked at' into absence.
    """
    words = " ".join(text.replace("_", " ").replace("-", " ").casefold().split())
    for standing in Standing:
        if words == standing.value:
            return standing
    if words in _SHORT:
        return _SHORT[words]
    allowed = ", ".join(f"'{standing.value}'" for standing in Standing)
    raise BadInput(f"'{text}' is not a standing; it is one of {allowed}.")


@dataclass(frozen=True, slots=True)
class Evidence:
    """One feature of one specimen. At most one row per specimen, feature and fruit body.

    `states` holds state ids (several where the specimen shows several); numbers have `low` and `high`
    in `unit` (equal for a single value). `sure` is False where the user doubts the observation. `fruit_body`
    names one fruit body of a mixed collection ('' for the collection as a whole).
    """

    id: str
    specimen_id: str
    feature: str
    standing: Standing
    states: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    unit: str = ""
    note: str = ""
    noted_at: datetime | None = None
    noted_by: str = ""
    photo_id: str = ""
    mark_id: str = ""
    fruit_body: str = ""
    sure: bool = True
