"""Says in words what stands on the trail."""

from __future__ import annotations

from catalog_gui.presenting.sort.state import SortState, TrailRow
from catalog_gui.presenting.words import clock_time, counted, metres, span


def title_words(row: TrailRow, zone: str, ignored: int = 0) -> str:
    """Say when, how many, how it stands, where."""
    length = ""
    if row.group.start is not None and row.group.end is not None:
        seconds = (row.group.end - row.group.start).total_seconds()
        length = f" ({span(seconds)})" if seconds >= 1 else ""
    pictures = counted(len(row.photos), "picture")
    standing = "kept as specimen" if row.specimen else "set by hand" if row.group.held else "proposed"
    parts = [clock_time(row.group.start, zone) + length, pictures, standing, row.place]
    if ignored:
        parts.insert(3, f"{counted(ignored, 'position')} not used")
    return "  ·  ".join(parts)


def walk_words(row: TrailRow) -> str:
    """'12 min on, 140 m'; a group begun before the one above it ended was found meanwhile."""
    meanwhile = row.walk_s is not None and row.walk_s < 0
    words = "meanwhile" if meanwhile else f"{span(row.walk_s)} on"
    return words + (f", {metres(row.walk_m)}" if row.walk_m is not None else "")


def progress_words(state: SortState) -> str:
    """How far the sorting is: '12 groups, 3 kept as specimens, 2 to settle, 1 clock to set'."""
    accepted = len(state.rows) - state.proposed
    doubtful = len(state.doubtful) + len(state.offers)
    unset = sum(1 for clock in state.clocks if not clock.settled)
    parts = [counted(len(state.rows), "group")]
    if accepted:
        parts.append(f"{accepted} kept as specimen{'' if accepted == 1 else 's'}")
    parts.append(f"{doubtful} to settle" if doubtful else "none doubtful")
    if unset:
        parts.append(f"{counted(unset, 'clock')} to set")
    return ", ".join(parts)


def tray_words(count: int) -> str:
    """The head of the tray, with how many pictures lie in it."""
    return f"Tray: {counted(count, 'picture')}" if count else "Tray"
