"""Words for checks and for the onset of a poisoning."""

from __future__ import annotations

from catalog_gui.lookalikes.onset import onset_words
from catalog_gui.lookalikes.reference import Hazard

__all__ = ["COST_WORDS", "onset_words", "window_words"]

COST_WORDS = {
    "picture": "look again at the pictures",
    "specimen": "look at the find in hand",
    "habitat": "look around the spot",
    "dig": "dig out the whole base",
    "cut": "cut or press it",
    "smell": "smell it, freshly cut",
    "print": "spore print, overnight",
    "reagent": "a drop of reagent",
    "microscope": "microscope",
}
"""What looking takes, in words, from what can be done at once to what takes an instrument."""


def window_words(hazard: Hazard) -> str:
    """One onset window as its source has it: '6 to 24 h', 'up to 2 h', '' where none is written."""
    low, high = hazard.onset_low, hazard.onset_high
    if low is None and high is None:
        return ""
    if low is None:
        words = f"up to {high:g}"
    elif high is None or low == high:
        words = f"{low:g}" if high is not None else f"{low:g} or more"
    else:
        words = f"{low:g} to {high:g}"
    return f"{words} {hazard.onset_unit}".strip()
