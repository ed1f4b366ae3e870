"""Words for checks and for the onset of a poisoning."""

from __future__ import annotations

from catalog_gui.lookalikes.reference import Hazard, Reference

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


def onset_words(reference: Reference, taxon_id: str) -> str:
    """When the first trouble begins after the meal, over all sources; says so where they differ.

    The widest window of the first thing counted; other things counted (kidney failure) follow on the page
    of the taxon.
    """
    rows = [row for row in reference.hazards_of(taxon_id) if window_words(row)]
    if not rows:
        return ""
    counted, unit = rows[0].onset_counts, rows[0].onset_unit
    alike = [row for row in rows if (row.onset_counts, row.onset_unit) == (counted, unit)]
    lows = [row.onset_low for row in alike if row.onset_low is not None]
    highs = [row.onset_high for row in alike if row.onset_high is not None]
    widest = Hazard(
        taxon_id,
        "",
        rows[0].severity,
        onset_low=min(lows) if lows else None,
        onset_high=max(highs) if highs and len(highs) == len(alike) else None,
        onset_unit=unit,
    )
    words = f"{counted or 'onset'} after {window_words(widest)}"
    return words + (" (sources differ)" if len({window_words(row) for row in alike}) > 1 else "")
