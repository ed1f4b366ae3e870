"""What goes into a proposal besides the photos, and what comes out of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING

from catalog_gui.domain.foray import Clock, Group, Join, SameAs
from catalog_gui.domain.photo import Photo

if TYPE_CHECKING:
    from catalog_gui.grouping.engine import Reckoning

Likeness = Callable[[Photo, Photo], float | None]
"""How alike two neighbouring previews look, on any fixed scale, more is more alike; None for unknown.

What a value is worth is learnt within the foray, from pairs that time and place have already
settled; a likeness that does not tell them apart changes nothing.
"""

DOUBTFUL_FROM, DOUBTFUL_TO = 0.1, 0.9


@dataclass(frozen=True, slots=True)
class Held:
    """What was fixed by hand; a proposal leaves it exactly as it is.

    `clocks`: camera key -> offset in s (true UTC = written local time read as UTC + offset).
    `groups`: group id -> photo ids, kept with this id, these photos and no others.
    `together`, `apart`: pairs of photo ids that must, or must not, share a group.
    `aside`: photo ids she lifted out; they get no group.
    """

    clocks: Mapping[str, float] = field(default_factory=dict)
    groups: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    together: tuple[tuple[str, str], ...] = ()
    apart: tuple[tuple[str, str], ...] = ()
    aside: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Remark:
    """A photo (by id) and something to know about it, in words: why it was left out, why its fix was ignored."""

    photo: str
    reason: str


@dataclass(frozen=True, slots=True)
class Question:
    """An unsettled clock (by camera key) and, in words, what would settle it.

    `pair`, where it helps, names two photo ids that may show the same moment: one of this camera, one
    of a camera whose clock is known.
    """

    camera_key: str
    text: str
    pair: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True)
class Proposal:
    """The most probable whole. Every photo is in exactly one of `groups` and `left_out`.

    `groups` are ordered by start, their photos by true time. `joins` hold one entry for every two
    neighbours in true time among all grouped photos; a join whose probability lies between 0.1 and
    0.9 and that nobody settled is doubtful (`doubtful`, least certain first). `times` gives each
    grouped photo's true time (aware UTC). `ignored_fixes` says which positions were not used and why.
    """

    clocks: tuple[Clock, ...] = ()
    groups: tuple[Group, ...] = ()
    joins: tuple[Join, ...] = ()
    same_as: tuple[SameAs, ...] = ()
    left_out: tuple[Remark, ...] = ()
    questions: tuple[Question, ...] = ()
    ignored_fixes: tuple[Remark, ...] = ()
    times: Mapping[str, datetime] = field(default_factory=dict)
    reckoning: Reckoning | None = field(default=None, repr=False, compare=False)

    @property
    def doubtful(self) -> tuple[Join, ...]:
        """Joins that nobody settled and that may well be wrong, the least certain first."""
        return tuple(
            sorted((j for j in self.joins if is_doubtful(j)), key=lambda j: abs(j.probability - 0.5))
        )


def is_doubtful(join: Join) -> bool:
    """Whether a join wants looking at: not settled by hand and neither clearly one nor clearly two."""
    return join.settled is None and DOUBTFUL_FROM < join.probability < DOUBTFUL_TO
