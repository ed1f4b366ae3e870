"""Finds what is asked on the trail: a boundary that is in doubt, an offer, a break inside a group."""

from __future__ import annotations

from dataclasses import dataclass

from catalog_gui.grouping import is_doubtful
from catalog_gui.presenting.sort.state import TrailRow


@dataclass(frozen=True, slots=True)
class TrailQuestion:
    """What is asked above a card. `kind`: 'join' or 'offer', `key` its id."""

    kind: str
    key: str
    question: str
    reason: str


def question_above(row: TrailRow) -> TrailQuestion | None:
    """The open question about the boundary above this group; an offer comes before a doubtful join."""
    if row.offer is not None:
        return TrailQuestion("offer", row.offer.id, f"Same as {row.offer_words}?", row.offer.reason)
    if row.join is not None and is_doubtful(row.join):
        return TrailQuestion("join", row.join.id, f"Same as {row.join_words}?", row.join.reason)
    return None


def question_inside(row: TrailRow, photo_id: str) -> TrailQuestion | None:
    """The open question whether another specimen begins at this picture within its group."""
    for join in row.inner:
        if join.after == photo_id:
            return TrailQuestion("join", join.id, "Is this still the same specimen?", join.reason)
    return None
