"""The candidates in order, with their reasons and, where these do not show it, why one stands after another."""

from __future__ import annotations

from collections.abc import Sequence

from catalog_gui.lookalikes.reasons import Reason, marked
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.lookalikes.weighing import Candidate
from catalog_gui.lookalikes.why_line import plain_name
from catalog_gui.presenting.compare.state import CandidateLine

_GIVEN = "given:"
"""How the weighing marks what it took from the date of the find."""

_LEVEL = 1e-3
"""Nats below which two candidates count as level."""


def candidate_lines(candidates: Sequence[Candidate], reference: Reference) -> tuple[CandidateLine, ...]:
    """Say each candidate's reasons, the best candidate first."""
    lines: list[CandidateLine] = []
    for place, one in enumerate(candidates):
        speaks_for, against = _texts(one.speaks_for), _texts(one.speaks_against)
        why = ""
        if lines:
            before = lines[-1]
            fewer = len(speaks_for) <= len(before.speaks_for) and len(against) >= len(before.speaks_against)
            other = len(speaks_for) != len(before.speaks_for) or len(against) != len(before.speaks_against)
            if not (fewer and other):
                why = why_after(candidates[place - 1], one)
        lines.append(
            CandidateLine(
                one.taxon,
                one.severity,
                speaks_for,
                against,
                hers=bool(marked(reference, one.taxon.pack)),
                why_here=why,
            )
        )
    return tuple(lines)


def why_after(before: Candidate, one: Candidate) -> str:
    """Name the record that puts a candidate after the one before it: 'cap colour fits it less well'."""
    if before.score - one.score < _LEVEL:
        return f"level with {before.taxon.name}"
    theirs, mine = _weights(before), _weights(one)
    gap = {key: theirs.get(key, 0.0) - mine.get(key, 0.0) for key in {*theirs, *mine}}
    key = max(sorted(gap), key=lambda name: gap[name], default="")
    if not key or gap[key] <= 0:
        return f"fits a little less well than {before.taxon.name} in all"
    names = {r.feature.id: plain_name(r.feature.name) for c in (before, one) for r in _reasons(c)}
    if key not in mine:
        return f"after {before.taxon.name}: of its {names[key]} nothing is written"
    return f"after {before.taxon.name}: {names[key]} fits it less well"


def _weights(candidate: Candidate) -> dict[str, float]:
    weights: dict[str, float] = {}
    for reason in _reasons(candidate):
        weights[reason.feature.id] = weights.get(reason.feature.id, 0.0) + reason.nats
    return weights


def _reasons(candidate: Candidate) -> tuple[Reason, ...]:
    return (*candidate.speaks_for, *candidate.speaks_against)


def _texts(reasons: Sequence[Reason]) -> tuple[str, ...]:
    """The reasons that were recorded; the date alone says too little to be counted among them."""
    return tuple(reason.text for reason in reasons if not reason.evidence.id.startswith(_GIVEN))
