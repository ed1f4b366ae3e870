"""What parts some taxa, and what is alike in all of them: for teaching them beside each other.

Judged on the reference alone. What nobody looked at on a find says nothing of the taxa, and what is alike in
two of them is not alike in all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from catalog_gui.domain import vocabulary_roles as roles
from catalog_gui.domain.feature import Feature, Part
from catalog_gui.lookalikes.reference import Frequency, Reference, Severity
from catalog_gui.lookalikes.why_line import KEY_TO_THE_DEADLY

VITAL = (*KEY_TO_THE_DEADLY, roles.BASE_SHAPE)
"""What is taught wherever one of the taxa can kill: ring, base, volva, gills and print (common practice)."""

_NOT_TAUGHT = frozenset({Part.TASTE, Part.SEASON})
_COMMON = frozenset({Frequency.ALWAYS, Frequency.USUALLY, Frequency.SOMETIMES})


@dataclass(frozen=True, slots=True)
class Parting:
    """`parts`: features by which at least two of the taxa differ, documented ones first.

    `alike`: features that are written of all of them and the same in all. `vital`: what has to stand beside
    them whatever it parts, because one of them can kill; empty where none can.
    """

    parts: tuple[Feature, ...]
    alike: tuple[Feature, ...]
    vital: tuple[Feature, ...] = ()


def parting(taxa: Sequence[str], reference: Reference) -> Parting:
    """What parts these taxa. A vital feature is never called alike where one of them can kill."""
    ids = list(dict.fromkeys(taxa))
    documented: dict[str, None] = {}
    said_alike: dict[frozenset[str], set[str]] = {}
    for taxon in ids:
        for row in reference.confusions_of(taxon):
            if row.lookalike in ids:
                documented.update(dict.fromkeys(row.separates))
                said_alike.setdefault(frozenset((taxon, row.lookalike)), set()).update(row.does_not_separate)
    pairs = [frozenset(pair) for pair in combinations(ids, 2)]
    vital = _vital(ids, reference)
    parts, alike = [], []
    for feature in reference.vocabulary.features:
        if feature.part in _NOT_TAUGHT or feature.kind != "states":
            continue
        shown = {taxon: common_states(reference, taxon, feature.id) for taxon in ids}
        weak = feature.part is Part.PLACE  # neither soil nor trees tell for certain
        if feature.id in documented or (not weak and any(_apart(shown, pair) for pair in pairs)):
            parts.append(feature)
        elif (
            pairs
            and feature not in vital
            and all(feature.id in said_alike.get(pair, ()) or _same(shown, pair) for pair in pairs)
        ):
            alike.append(feature)
    known = (reference.vocabulary.feature(key) for key in documented)
    measured = [one for one in known if one is not None and one.kind == "number"]
    parts.sort(key=lambda feature: feature.id not in documented)
    return Parting((*parts, *measured), tuple(alike), vital)


def common_states(reference: Reference, taxon: str, feature: str) -> frozenset[str]:
    """The states that a taxon shows at least sometimes; empty where nothing is written."""
    return frozenset(row.state for row in reference.states_of(taxon, feature) if row.frequency in _COMMON)


def _vital(taxa: Sequence[str], reference: Reference) -> tuple[Feature, ...]:
    """The vital features of which something is written for one of the taxa, in the order of the table."""
    if not any(reference.severity_of(taxon) is Severity.FATAL for taxon in taxa):
        return ()
    return tuple(
        feature
        for feature in reference.vocabulary.features
        if feature.id in VITAL and any(reference.states_of(taxon, feature.id) for taxon in taxa)
    )


def _apart(shown: dict[str, frozenset[str]], pair: frozenset[str]) -> bool:
    one, other = (shown[taxon] for taxon in pair)
    return bool(one) and bool(other) and not one & other


def _same(shown: dict[str, frozenset[str]], pair: frozenset[str]) -> bool:
    one, other = (shown[taxon] for taxon in pair)
    return bool(one) and one == other
