"""What goes into a proposal besides the photos, and the small words of what comes out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from catalog_gui.domain.photo import Photo

Likeness = Callable[[Photo, Photo], float | None]
"""How alike two neighbouring previews look, on any fixed scale, more is more alike; None for unknown.

What a value is worth is learnt within the foray, from pairs that time and place have already
settled; a likeness that does not tell them apart changes nothing.
"""


@dataclass(frozen=True, slots=True)
class Held:
    """What was fixed by hand; a proposal leaves it exactly as it is.

    `clocks`: camera key -> offset in s (true UTC = written local time read as UTC + offset).
    `groups`: group id -> photo ids, kept with this id, these photos and no others.
    `together`, `apart`: pairs of photo ids that must, or must not, share a group (a held group comes first).
    `aside`: photo ids that were lifted out; they get no group.
    """

    clocks: Mapping[str, float] = field(default_factory=dict)
    groups: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    together: tuple[tuple[str, str], ...] = ()
    apart: tuple[tuple[str, str], ...] = ()
    aside: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Remark:
    """A photo (by id) and something to know about it: why it was left out, why its fix was ignored."""

    photo: str
    reason: str


@dataclass(frozen=True, slots=True)
class ClockQuestion:
    """An unsettled clock (by camera key) and, in words, what would settle it.

    `pair`, where it helps, names two photo ids that may show the same moment: one of this camera, one
    of a camera whose clock is known.
    """

    camera_key: str
    text: str
    pair: tuple[str, str] | None = None
