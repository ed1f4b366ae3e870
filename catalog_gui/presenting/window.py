"""Reads what the frame of the window shows, whatever page is in front."""

from __future__ import annotations

from dataclasses import dataclass

from catalog_gui.grouping import is_doubtful
from catalog_gui.presenting.cannot_wait import Waiting, read_waiting
from catalog_gui.workflows.ports import UnitOfWork


@dataclass(frozen=True, slots=True)
class WindowFacts:
    """What cannot wait, how much of the open foray is to settle, how many specimens there are, its title."""

    waiting: tuple[Waiting, ...] = ()
    to_settle: int = 0
    specimens: int = 0
    title: str = ""


def read_window(work: UnitOfWork, foray_id: str) -> WindowFacts:
    """Read the facts; without a foray nothing is to settle."""
    to_settle, foray = 0, None
    if foray_id:
        to_settle = sum(map(is_doubtful, work.joins.where(foray_id=foray_id, settled=None)))
        to_settle += len({link.group for link in work.same_as.where(foray_id=foray_id, accepted=None)})
        foray = work.forays.get(foray_id)
    title = foray.title if foray is not None else ""
    return WindowFacts(read_waiting(work), to_settle, work.specimens.count(), title)
