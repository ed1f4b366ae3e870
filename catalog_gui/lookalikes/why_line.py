"""Why a dangerous taxon is not excluded, in one line: what a person with the find in hand can act on comes first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from catalog_gui.domain import vocabulary_roles as roles
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature, Part
from catalog_gui.lookalikes.reasons import Reason, Verdict
from catalog_gui.lookalikes.reference import ABSENT, Frequency, Reference, Severity

COSTS = ("picture", "specimen", "habitat", "dig", "cut", "smell", "print", "reagent", "microscope")
"""What looking takes, from what can be done at once to what takes an instrument."""

_RANK = {cost: place for place, cost in enumerate(COSTS)}

KEY_TO_THE_DEADLY = (
    roles.VOLVA,
    roles.RING,
    roles.CORTINA,
    roles.GILL_COLOUR,
    roles.PRINT_COLOUR,
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
_NAMED = 2
"""So many missing features are named: those that can be seen in the field, first of all."""

AT_HOME = frozenset({"print", "reagent", "microscope"})
"""What is not done in the field; named only where nothing in the field is left to look at."""

Rows = Mapping[str, Sequence[Evidence]]


def by_feature(evidence: Iterable[Evidence]) -> dict[str, list[Evidence]]:
    """The records by feature; several where fruit bodies are told apart."""
    found: dict[str, list[Evidence]] = {}
    for one in evidence:
        found.setdefault(one.feature, []).append(one)
    return found


def looked_at(evidence: Rows) -> frozenset[str]:
    """The features of which something is recorded."""
    return frozenset(
        key for key, rows in evidence.items() if any(r.standing is not Standing.NOT_LOOKED_AT for r in rows)
    )


def worth_a_look(
    reference: Reference, taxon: str, severity: Severity, telling: Sequence[Feature], evidence: Rows
) -> tuple[Feature, ...]:
    """What was not looked at, in the order in which it can be: eyes, digging, cutting, print, instruments.

    `telling` is what would speak most against the taxon. For a deadly one base, ring and gills come before
    anything else, where it has something to show there, and its spore print before instruments.
    """
    seen = looked_at(evidence)
    cheapest = sorted(telling, key=lambda feature: _RANK.get(feature.cost, len(_RANK)))
    keys = _keys(reference, taxon) if severity is Severity.FATAL else []
    wanted = [feature for feature in dict.fromkeys([*keys, *cheapest]) if feature.id not in seen]
    return tuple(sorted(wanted, key=lambda feature: _field_rank(feature.cost)))


def _field_rank(cost: str) -> int:
    """0 for what can be seen in the field; then print, drops and microscope."""
    return _RANK[cost] if cost in AT_HOME else 0


def why_line(
    reference: Reference,
    taxon: str,
    severity: Severity,
    *,
    because: str,
    telling: Sequence[Feature],
    against: Sequence[Reason],
    evidence: Rows,
) -> str:
    """'base not looked at; no ring seen counts little; one contrary feature is never enough'.

    `because` says which name keeps the taxon in the list, or ''. `against` is what speaks against it.
    """
    parts = [because] if because else []
    seen = looked_at(evidence)
    wanted = worth_a_look(reference, taxon, severity, telling, evidence)
    missing = _named(wanted, seen, reference)[: _NAMED - len(parts)]
    if missing:
        parts.append(f"{listed(missing)} not looked at")
    keys = _keys(reference, taxon) if severity is Severity.FATAL else []
    lost = [plain_name(f.name) for f in (*keys, *telling) if _is_gone(evidence.get(f.id, ()))]
    if lost:
        parts.append(f"{listed(list(dict.fromkeys(lost))[:2])} damaged or gone")
    little = [
        reason
        for reason in against
        if reason.verdict is Verdict.WEAKLY_AGAINST
        and reason.little
        and reason.feature.part is not Part.SEASON
    ][:2]
    if little:
        verb = "counts" if len(little) == 1 else "count"
        parts.append(f"{listed([_little(reason) for reason in little])} {verb} little")
    strong = sum(reason.verdict is Verdict.AGAINST for reason in against)
    if strong == 1:
        parts.append("one contrary feature is never enough")
    elif strong:
        parts.append(f"{strong} features speak against it, not enough to exclude it")
    elif not seen:
        parts.append("nothing recorded yet")
    elif not little:
        parts.append("nothing recorded speaks against it")
    return "; ".join(parts)


def _keys(reference: Reference, taxon: str) -> list[Feature]:
    """The features a deadly taxon is taught by, where something is usually there to be seen."""
    found = []
    for key in KEY_TO_THE_DEADLY:
        feature = reference.vocabulary.feature(key)
        rows = reference.states_of(taxon, key)
        if feature is not None and any(r.frequency in _OFTEN and r.state != ABSENT for r in rows):
            found.append(feature)
    return found


def _named(features: Sequence[Feature], seen: frozenset[str], reference: Reference) -> list[str]:
    """Names of features; the whole part is named where nothing of it was looked at."""
    seen_parts = {feature.part for key in seen if (feature := reference.vocabulary.feature(key)) is not None}
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
