"""What a proposal consists of: plain values that name photos and know nothing of records or their ids."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from catalog_gui.domain.foray import Place

DOUBTFUL_FROM, DOUBTFUL_TO = 0.1, 0.9


class Grouped(Protocol):
    """Photos of one find with start and end (aware UTC) and place: proposed, or as the records have it."""

    @property
    def photos(self) -> tuple[str, ...]: ...
    @property
    def start(self) -> datetime | None: ...
    @property
    def end(self) -> datetime | None: ...
    @property
    def place(self) -> Place | None: ...


@dataclass(frozen=True, slots=True)
class ProposedGroup:
    """Photos (ids, in true-time order) proposed to show one find; `start` and `end` are aware UTC.

    `held` is the key under which `Held.groups` fixes it, '' for a new one.
    """

    photos: tuple[str, ...]
    start: datetime | None = None
    end: datetime | None = None
    place: Place | None = None
    held: str = ""


class Joined(Protocol):
    """A join, proposed or as the records have it."""

    @property
    def probability(self) -> float: ...
    @property
    def settled(self) -> bool | None: ...


@dataclass(frozen=True, slots=True)
class ProposedJoin:
    """Two neighbours in true time (photo ids) and the probability (0 to 1) that both show one find.

    `settled` is True (together) or False (apart) where that was fixed by hand, else None.
    """

    before: str
    after: str
    probability: float
    reason: str = ""
    settled: bool | None = None


@dataclass(frozen=True, slots=True)
class ProposedClock:
    """A camera's correction: true UTC = written local time read as UTC + `offset_s`, one sd `spread_s` (s).

    `basis` says in words what it was concluded from; `settled` is False where a pairing is needed;
    `photos` counts the pictures that go by it.
    """

    camera_key: str
    offset_s: float
    spread_s: float
    basis: str = ""
    settled: bool = True
    by_hand: bool = False
    photos: int = 0


def is_doubtful(join: Joined) -> bool:
    """Whether a join wants looking at: not settled by hand, its probability between 0.1 and 0.9."""
    return join.settled is None and DOUBTFUL_FROM < join.probability < DOUBTFUL_TO
