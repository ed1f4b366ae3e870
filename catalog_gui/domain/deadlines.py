"""What will not last, and until when it can still be done.

Society and university texts say 'at once', 'when fresh' or 'the same day'; the hours are our working
defaults and may be edited per task (common practice; the hours are our inference).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from catalog_gui.domain.specimen import Specimen, Task

STILL_FRESH = timedelta(days=3)
"""After this a find is dried or gone: asking for its smell would only nag."""


@dataclass(frozen=True, slots=True)
class Deadline:
    """One kind of thing to do: `hours` from picking; `gone` says what is lost when it is missed."""

    kind: str
    title: str
    hours: float
    gone: str


DEADLINES = (
    Deadline("ring", "Look at ring, veil and warts", 2, "They fall off or wash away."),
    Deadline("smell", "Smell gills, flesh and base", 4, "The smell fades or changes."),
    Deadline("description", "Write the description", 10, "Surfaces discolour overnight."),
    Deadline("print", "Start a spore print", 12, "Old caps drop no spores."),
    Deadline("drying", "Start drying", 24, "It rots."),
)


def fresh_tasks(specimen: Specimen, now: datetime, new_id: Callable[[], str]) -> tuple[Task, ...]:
    """The tasks of a specimen just accepted; none once it can no longer be fresh. `now` is aware."""
    picked = specimen.collected_at or now
    if now - picked > STILL_FRESH:
        return ()
    return tuple(
        Task(new_id(), specimen.id, d.kind, d.title, due=picked + timedelta(hours=d.hours), note=d.gone)
        for d in DEADLINES
    )
