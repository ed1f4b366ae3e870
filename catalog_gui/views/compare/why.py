"""Words for hazards and checks: what a person with the find in hand can act on comes first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature, Part
from catalog_gui.lookalikes.reasons import Reason, Verdict
from catalog_gui.lookalikes.reference import ABSENT, Frequency, Hazard, Reference, Severity
from catalog_gui.lookalikes.weighing import NotExcluded

COST_WORDS = {
    "picture": "look again at the pictures",
    "specimen": "look at the find in hand",
    "habitat": "look around the spot",
    "dig": "dig out the whole base",
    "cut": "cut it lengthwise",
    "smell": "smell it, freshly cut",
    "print": "spore print, overnight",
    "reagent": "a drop of reagent",
    "microscope": "microscope",
}
"""What looking takes, in words, from what can be done at once to what takes an instrument."""

_RANK = {cost: place for place, cost in enumerate(COST_WORDS)}

KEY_TO_THE_DEADLY = (
    "base.volva",
    "ring.kind",
    "ring.cortina",
    "gills.colour",
    "print.colour",
)
"""What every course on deadly agarics teaches to look at first: base, ring, gills, print (common practice)."""

_PART_WORDS = {
    Part.BASE: "base",
    Part.RING: "ring",
    Part.GILLS: "gills",
    Part.PRINT: "spore print",
    Part.SMELL: "smell",
}

_OFTEN = frozenset({Frequency.ALWAYS, Frequency.USUALLY})
_NAMED = 3


def why_words(hazard: NotExcluded, reference: Reference, evidence: Mapping[str, Sequence[Evidence]]) -> str:
    """Why a dangerous taxon is not excluded, in one line.

    `evidence` holds the records by feature. What was not looked at stands first, in the order in which it
    can be looked at: with the eyes, by digging and cutting, then prints, reagents and the microscope; for a
    deadly taxon base, ring, gills and spore print before anything else, where it has something to show there.
    """
    why = hazard.why
    parts = [hazard.because_named] if hazard.because_named else []
    looked_at = {
        key for key, rows in evidence.items() if any(r.standing is not Standing.NOT_LOOKED_AT for r in rows)
    }
    wanted = _wanted(hazard, reference, looked_at)
    gone = [
        feature for feature in _key_features(hazard, reference) if _is_gone(evidence.get(feature.id, ()))
    ] + [
        feature
        for key in why.not_looked_at
        if (feature := reference.vocabulary.feature(key)) is not None and _is_gone(evidence.get(key, ()))
    ]
    missing = _named(wanted, looked_at, reference)[: _NAMED - len(parts)]
    if missing:
        parts.append(f"{listed(missing)} not looked at")
    lost = list(dict.fromkeys(plain_name(feature.name) for feature in gone))[:2]
    if lost:
        parts.append(f"{listed(lost)} damaged or gone")
    little = [
        reason
        for reason in why.speaks_against
        if reason.verdict is Verdict.WEAKLY_AGAINST
        and reason.little
        and reason.feature.part is not Part.SEASON
    ][:2]
    if little:
        verb = "counts" if len(little) == 1 else "count"
        parts.append(f"{listed([_little(reason) for reason in little])} {verb} little")
    strong = sum(reason.verdict is Verdict.AGAINST for reason in why.speaks_against)
    if strong == 1:
        parts.append("one contrary feature is never enough")
    elif strong:
        parts.append(f"{strong} features speak against it, not enough to exclude it")
    elif looked_at and not little:
        parts.append("nothing recorded speaks against it")
    return "; ".join(parts)


def _key_features(hazard: NotExcluded, reference: Reference) -> list[Feature]:
    """The features a deadly taxon is taught by, where something is usually there to be seen."""
    if hazard.severity is not Severity.FATAL:
        return []
    found = []
    for key in KEY_TO_THE_DEADLY:
        feature = reference.vocabulary.feature(key)
        rows = reference.states_of(hazard.taxon.id, key)
        if feature is not None and any(r.frequency in _OFTEN and r.state != ABSENT for r in rows):
            found.append(feature)
    return found


def _wanted(hazard: NotExcluded, reference: Reference, looked_at: set[str]) -> list[Feature]:
    engine = [
        feature
        for key in hazard.why.not_looked_at
        if (feature := reference.vocabulary.feature(key)) is not None
    ]
    engine.sort(key=lambda feature: _RANK.get(feature.cost, len(_RANK)))
    both = dict.fromkeys([*_key_features(hazard, reference), *engine])
    return [feature for feature in both if feature.id not in looked_at]


def _named(features: Sequence[Feature], looked_at: set[str], reference: Reference) -> list[str]:
    """Names of features; the whole part is named where nothing of it was looked at."""
    seen_parts = {
        feature.part for key in looked_at if (feature := reference.vocabulary.feature(key)) is not None
    }
    return list(
        dict.fromkeys(
            plain_name(feature.name)
            if feature.part in seen_parts
            else _PART_WORDS.get(feature.part, plain_name(feature.name))
            for feature in features
        )
    )


def plain_name(name: str) -> str:
    """'young gill colour' for 'gill colour, young', so that it can stand in a list."""
    return " ".join(reversed(name.split(", "))) if name.count(", ") == 1 else name


def _is_gone(rows: Sequence[Evidence]) -> bool:
    return bool(rows) and all(row.standing is Standing.GONE for row in rows)


def _little(reason: Reason) -> str:
    """'no ring seen' names its feature already; other words get it put before them."""
    known = reason.feature.name.split()[0] in reason.seen
    return reason.seen if known else f"{plain_name(reason.feature.name)}: {reason.seen}"


def listed(words: Sequence[str]) -> str:
    """'a, b and c'."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


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
