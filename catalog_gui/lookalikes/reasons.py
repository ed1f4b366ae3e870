"""Reasons in words: what each record says about each taxon, and where that is written."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature, Fragility, Part, Vocabulary
from catalog_gui.lookalikes.reference import ABSENT, Reference, SizeRange, StateFrequency


class Verdict(StrEnum):
    """What one record, or the lack of one, says about one taxon."""

    AGREES = "agrees"
    AGAINST = "speaks against"
    WEAKLY_AGAINST = "counts little against"
    NO_DATA = "nothing written about it"
    NOT_LOOKED_AT = "not looked at"
    GONE = "damaged or gone"


_COUNTS_LITTLE = {
    Fragility.FADES: "it fades within days",
    Fragility.GOES: "it goes with rain, age or handling",
    Fragility.OFTEN_MISSED: "it is often missed even when there",
}


@dataclass(frozen=True, slots=True)
class Reason:
    """One record held against one taxon.

    `nats` is the weight in the ranking (above 0 speaks for the taxon); `little` says why a contradiction
    counts little, or is ''. The words are made when they are asked for.
    """

    feature: Feature
    evidence: Evidence
    taxon: str
    verdict: Verdict
    nats: float
    little: str
    reference: Reference = field(repr=False, compare=False)

    @property
    def evidence_id(self) -> str:
        """The id of the record."""
        return self.evidence.id

    @property
    def seen(self) -> str:
        """What was recorded, in words."""
        return seen_words(self.evidence, self.feature, self.reference)

    @property
    def written(self) -> str:
        """What the reference says of the taxon, in words; '' if nothing."""
        return written_words(self.reference, self.taxon, self.feature)[0]

    @property
    def sources(self) -> tuple[str, ...]:
        """The ids of the sources of what is written."""
        return written_words(self.reference, self.taxon, self.feature)[1]

    @property
    def text(self) -> str:
        """The reason as one line: 'spore print: white seen; usually pink [memory]'."""
        words = f"{self.feature.name}: {self.seen}"
        if self.written:
            words += f"; {self.written} [{', '.join(self.sources)}]"
        if self.little:
            words += f" (counts little: {self.little})"
        return words


def why_little(evidence: Evidence, feature: Feature) -> str:
    """Why a contradiction on this record counts little; '' if it counts fully."""
    if not evidence.sure:
        return "it was recorded with doubt"
    if feature.part in {Part.PLACE, Part.SEASON}:
        return "place and season are weak evidence"
    if feature.part is Part.SMELL:
        return "noses differ"
    if evidence.standing is Standing.NOT_THERE:
        return _COUNTS_LITTLE.get(feature.fragility, "")
    if feature.kind == "number" and feature.unit == "mm":
        return "dwarfs and giants are common"
    return ""


def seen_words(evidence: Evidence, feature: Feature, reference: Reference) -> str:
    """What was recorded, in the words of the vocabulary."""
    if evidence.standing is Standing.NOT_THERE:
        return reference.absent_name(feature.id) or "looked for and not there"
    if evidence.standing is not Standing.SEEN:
        return evidence.standing.value
    doubt = "" if evidence.sure else " (in doubt)"
    if feature.kind == "number":
        return f"{_range(evidence.low, evidence.high)} {evidence.unit or feature.unit}".rstrip() + doubt
    words = " or ".join(state_name(reference.vocabulary, feature.id, s) for s in evidence.states)
    if feature.part in {Part.PLACE, Part.SEASON} or words.endswith(" seen"):
        return words + doubt
    return f"{words} seen{doubt}"


OWN = "yours"
"""The mark on a value from a pack of one's own."""


def written_words(
    reference: Reference, taxon: str, feature: Feature, *, own: str = OWN
) -> tuple[str, tuple[str, ...]]:
    """What the reference says about a feature of a taxon, in words, and the ids of its sources.

    Values from a later pack than the first carry the mark `own`.
    """
    if feature.kind == "number":
        sizes = reference.sizes_of(taxon, feature.id)
        told = [size_words(row) + marked(reference, row.pack, own) for row in sizes]
        return "; ".join(told), _unique(row.source for row in sizes)
    rows = reference.states_of(taxon, feature.id)
    return state_words(reference, feature, rows, own=own), _unique(s for row in rows for s in row.sources)


def marked(reference: Reference, pack: str, own: str = OWN) -> str:
    """' (yours)' for what comes from a later pack than the first, else ''."""
    return f" ({own})" if pack and pack in reference.packs[1:] else ""


def state_words(
    reference: Reference, feature: Feature, rows: Sequence[StateFrequency], *, own: str = OWN
) -> str:
    """'usually white, rarely cream (yours)': the states by frequency, the commonest first."""
    by_frequency: dict[str, list[str]] = {}
    for row in rows:
        name = (
            reference.absent_name(feature.id) or "not there"
            if row.state == ABSENT
            else state_name(reference.vocabulary, feature.id, row.state)
        ) + marked(reference, row.pack, own)
        names = by_frequency.setdefault(row.frequency.value, [])
        if name not in names:
            names.append(name)
    order = ("always", "usually", "sometimes", "rarely", "never")
    return ", ".join(f"{word} {' or '.join(by_frequency[word])}" for word in order if word in by_frequency)


def texts_words(reference: Reference, feature: Feature, rows: Sequence[StateFrequency]) -> str:
    """Tell how many texts show which state: 'white in 3 of 3 texts, cream in 1 of 3'; '' where none was read."""
    told: list[str] = []
    for row in rows:
        shown, _, spoke = row.texts.partition("/")
        if not spoke:
            continue
        name = (
            reference.absent_name(feature.id) or "not there"
            if row.state == ABSENT
            else state_name(reference.vocabulary, feature.id, row.state)
        )
        unit = "" if told else " text" if spoke == "1" else " texts"
        told.append(f"{name} in {shown} of {spoke}{unit}")
    return ", ".join(told)


def size_words(row: SizeRange) -> str:
    """'(6) 8–11 (13) µm', as floras print it."""
    below = f"({row.extreme_low:g}) " if row.extreme_low is not None else ""
    above = f" ({row.extreme_high:g})" if row.extreme_high is not None else ""
    unit = f" {row.unit}" if row.unit and row.unit != "ratio" else ""
    return f"{below}{row.low:g}–{row.high:g}{above}{unit}"


def state_name(vocabulary: Vocabulary, feature: str, state: str) -> str:
    """The name of a state, or its id if the vocabulary does not know it."""
    found = vocabulary.state(feature, state)
    return found.name if found else state


def _range(low: float | None, high: float | None) -> str:
    if low is None or high is None or low == high:
        return f"{low if low is not None else high:g}"
    return f"{low:g}–{high:g}"


def _unique(ids: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(i for i in ids if i))
