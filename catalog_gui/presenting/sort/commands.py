"""Lists what can be done on the Sort page, with words and keys, and tells which of it can be done now."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from catalog_gui.presenting.sort.questions import question_above, question_inside
from catalog_gui.presenting.sort.state import SortState


@dataclass(frozen=True, slots=True)
class Command:
    """One thing to do: its words, its keys (Qt's names of them, the first one is shown), and what it does."""

    name: str
    words: str
    keys: tuple[str, ...]
    tip: str


COMMANDS = (
    Command("doubtful", "Next doubtful", ("D",), "Go to what is least certain"),
    Command("together", "Together", ("T",), "Both sides show one specimen"),
    Command("apart", "Apart", ("A",), "The two sides are different specimens"),
    Command("cut", "Cut here", ("C",), "This picture begins another specimen"),
    Command("join", "Join above", ("J",), "This group and the one before it are one specimen"),
    Command("lift", "Lift out", ("L",), "Give the chosen pictures a group of their own"),
    Command("aside", "Not a specimen", ("N", "Del"), "Boots, signs, views: lay them in the tray"),
    Command("back", "Back to the trail", ("B",), "Let the chosen pictures of the tray be placed"),
    Command("same", "Same as…", ("S",), "This group shows a specimen that is there already"),
    Command("pick-up", "Pick up", ("X",), "Carry the chosen pictures to another group"),
    Command("put-down", "Put down here", ("V",), "Put what was picked up into this group"),
    Command("before", "Move to the group before", ("Alt+Up",), "The chosen pictures belong there"),
    Command("after", "Move to the group after", ("Alt+Down",), "The chosen pictures belong there"),
    Command("pair", "Same moment", ("M",), "Two chosen pictures show one moment: set the clock"),
    Command("clock", "Clock of this camera…", ("K",), "Set the clock by pairing or typing"),
    Command("track", "Load a track…", ("Ctrl+L",), "Take in the walk as a receiver logged it (GPX)"),
    Command("accept", "Keep as specimen", ("Return", "Enter"), "Make a specimen of each chosen group"),
    Command("accept-all", "Keep all", ("Ctrl+Return",), "Make specimens of all groups that are not doubtful"),
    Command("describe", "Describe", ("Ctrl+D",), "Go on to describe this specimen"),
    Command("large", "Look at it large", ("O",), "Open the picture in a window of its own"),
    Command("all", "Choose all pictures", ("Ctrl+A",), "Choose every picture of the trail"),
)

BAR = (("doubtful", "together", "apart"), ("cut", "join", "lift", "aside", "same"))
"""Groups of commands that have a button above the trail; accepting stands at the end of it."""

MENU = (
    ("together", "apart"),
    ("cut", "join", "lift", "aside", "same"),
    ("pick-up", "put-down", "before", "after"),
    ("pair", "clock"),
    ("accept", "describe", "large"),
)
"""Groups of commands in the menu over a picture."""

ALWAYS = frozenset({"track", "all"})


def possible(
    state: SortState,
    current: str,
    groups: Collection[str],
    *,
    lifted: bool = False,
    in_tray: bool = False,
) -> frozenset[str]:
    """The names of what can be done now.

    `current` is the photo the keys work on ('' for none), `groups` those that are chosen, `lifted` whether
    pictures are being carried, `in_tray` whether pictures of the tray are chosen.
    """
    index = state.row_of(current)
    row = state.rows[index] if index >= 0 else None
    able = set(ALWAYS)
    if state.doubtful or state.offers:
        able.add("doubtful")
    if state.proposed:
        able.add("accept-all")
    if in_tray:
        able.add("back")
    if index > 0 or len(groups) > 1:
        able.add("join")
    if row is None:
        return frozenset(able)
    able |= {"lift", "aside", "same", "pick-up", "pair", "clock", "large"}
    first = row.photos[0].id == current
    if (question_above(row) if first else question_inside(row, current)) is not None:
        able |= {"together", "apart"}
    if not first:
        able.add("cut")
    if lifted:
        able.add("put-down")
    if index > 0:
        able.add("before")
    if index < len(state.rows) - 1:
        able.add("after")
    if any(state.rows[state.row_of_group[key]].specimen is None for key in groups):
        able.add("accept")
    if row.specimen is not None:
        able.add("describe")
    return frozenset(able)
