"""The front door: evidence held against the reference."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import overload

import numpy as np

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature
from catalog_gui.domain.specimen import Determination
from catalog_gui.lookalikes.closeness import close_margin
from catalog_gui.lookalikes.exclusion import CLEAR, Exclusion
from catalog_gui.lookalikes.next_checks import NextCheck, next_checks
from catalog_gui.lookalikes.reasons import Reason, Verdict, seen_words, why_little, written_words
from catalog_gui.lookalikes.records import Record, records_of
from catalog_gui.lookalikes.reference import Reference, Severity, Taxon, name_key
from catalog_gui.lookalikes.scores import Scores, score

CLOSE = 7.0
"""Nats by which the best candidate may beat a dangerous taxon that is still called close."""

_EAGER = 6
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


@dataclass(frozen=True, slots=True)
class Candidate:
    """A taxon held against the evidence. `score` is in nats against a fungus of which nothing is known:

    for putting in order only, never shown as a likelihood of being right. `unknown` are ids of features
    that the reference knows of it and that nobody recorded, the most telling first.
    """

    taxon: Taxon
    score: float
    speaks_for: tuple[Reason, ...]
    speaks_against: tuple[Reason, ...]
    unknown: tuple[str, ...]
    severity: Severity | None = None


@dataclass(frozen=True, slots=True)
class Why:
    """Why a dangerous taxon is not excluded: one line, what speaks against it, what nobody looked at."""

    text: str
    speaks_against: tuple[Reason, ...] = ()
    not_looked_at: tuple[str, ...] = ()


@dataclass(frozen=True)
class NotExcluded:
    """A dangerous taxon that the evidence does not exclude.

    `close`: the evidence as a whole does not stand clearly against it; the banner names these in full and
    folds the rest by group. `because_named` says which determination keeps it here, or is ''.
    """

    taxon: Taxon
    severity: Severity
    syndromes: tuple[str, ...]
    close: bool
    because_named: str
    explain: Callable[[], Why] = field(repr=False, compare=False)

    @cached_property
    def why(self) -> Why:
        """The reasons, worked out when somebody asks for them."""
        return self.explain()

    @property
    def why_not_excluded(self) -> str:
        """One line: 'base not looked at; no ring seen counts little'."""
        return self.why.text


class Candidates(Sequence[Candidate]):
    """All taxa in order, the best first; reasons are worked out when a candidate is looked at."""

    def __init__(self, count: int, make: Callable[[int], Candidate]) -> None:
        self._made: list[Candidate | None] = [None] * count
        self._make = make

    @overload
    def __getitem__(self, index: int) -> Candidate: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[Candidate, ...]: ...
    def __getitem__(self, index: int | slice) -> Candidate | tuple[Candidate, ...]:
        if isinstance(index, slice):
            return tuple(self[i] for i in range(*index.indices(len(self))))
        place = index if index >= 0 else index + len(self)
        if not 0 <= place < len(self):
            raise IndexError(index)
        made = self._made[place]
        if made is None:
            made = self._made[place] = self._make(place)
        return made

    def __len__(self) -> int:
        return len(self._made)

    def __iter__(self) -> Iterator[Candidate]:
        return (self[i] for i in range(len(self)))


@dataclass(frozen=True)
class Weighing:
    """The outcome. `hazards` are all dangerous taxa that are not excluded, worst and closest first.

    `excluded` are the ids of the dangerous taxa that are. `fruit_bodies` are those named in the evidence.
    """

    candidates: Candidates
    hazards: tuple[NotExcluded, ...]
    excluded: tuple[str, ...]
    next_checks: tuple[NextCheck, ...]
    scores: Scores
    fruit_bodies: tuple[str, ...] = ()

    @property
    def close(self) -> tuple[NotExcluded, ...]:
        """The hazards to name in full."""
        return tuple(hazard for hazard in self.hazards if hazard.close)

    @property
    def folded(self) -> tuple[tuple[str, tuple[NotExcluded, ...]], ...]:
        """The other hazards by group, the group with the worst first."""
        groups: dict[str, list[NotExcluded]] = {}
        for hazard in self.hazards:
            if not hazard.close:
                groups.setdefault(hazard.taxon.group or hazard.taxon.genus or "others", []).append(hazard)
        return tuple((name, tuple(members)) for name, members in groups.items())


def weigh(
    evidence: Iterable[Evidence],
    reference: Reference,
    *,
    determinations: Iterable[Determination] = (),
    date: datetime.date | None = None,
    region: str = "",
    fruit_body: str | None = None,
    checks: int = 8,
) -> Weighing:
    """Hold the evidence of one specimen against the reference.

    `date` and `region` (a state of place.region) stand in for season.month and place.region where those
    are not recorded; they only ever move the ranking. `fruit_body` weighs one fruit body of a mixed
    collection: its own records and those of the collection as a whole. Without it a collection in which
    fruit bodies are told apart is weighed as a whole: all records rank the candidates, but only records of
    the whole collection exclude, because what clears one fruit body says nothing about the next.

    A determination never removes a hazard; it keeps what it names and the deadly taxa of its genus and
    section (and what the pack lists as mistaken for it and fatal) in the list.
    """
    everything = tuple(evidence)
    bodies = tuple(sorted({e.fruit_body for e in everything if e.fruit_body}))
    mine = [e for e in everything if fruit_body is None or e.fruit_body in {"", fruit_body}]
    table, exclusion = reference.table, reference.exclusion
    ranked_by = [*mine, *_from_date_and_place(mine, reference, date, region)]
    records = records_of(ranked_by, table)
    excluding = [r for r in records if fruit_body is not None or not r.evidence.fruit_body]
    scores = score(records, table)
    decided = exclusion.decide(excluding)
    margin = close_margin(excluding, scores, table)

    by_feature = {e.feature: e for e in mine}
    looked_at = {r.index for r in records}
    asked = next_checks(
        reference,
        scores,
        excluding,
        by_feature,
        ~decided & (margin < CLOSE),
        count=checks,
        exclusion=exclusion,
    )
    describe = _Describing(reference, exclusion, records, scores, by_feature, looked_at)
    named = _kept_by_name(determinations, reference)

    hazards = []
    excluded = []
    for place, taxon_index in enumerate(table.dangerous):
        taxon_id = table.taxa[taxon_index]
        because = named.get(taxon_id, "")
        if decided[place] and not because:
            excluded.append(taxon_id)
            continue
        close = bool(margin[place] < CLOSE) or bool(because)
        hazards.append(
            (describe.hazard(place, int(taxon_index), close=close, because=because), margin[place])
        )
    hazards.sort(key=lambda pair: (not pair[0].close, pair[0].severity.order, pair[1], pair[0].taxon.name))
    order = np.lexsort((np.arange(len(table.taxa)), -np.round(scores.total, 6)))
    candidates = Candidates(len(order), lambda i: describe.candidate(int(order[i])))
    for place in range(min(_EAGER, len(order))):
        candidates[place]
    return Weighing(candidates, tuple(h for h, _ in hazards), tuple(excluded), asked, scores, bodies)


def _from_date_and_place(
    evidence: Sequence[Evidence], reference: Reference, date: datetime.date | None, region: str
) -> Iterator[Evidence]:
    written = {e.feature for e in evidence if e.standing is Standing.SEEN}
    for feature, state in (
        ("season.month", _MONTHS[date.month - 1] if date else ""),
        ("place.region", region),
    ):
        if state and feature not in written and reference.vocabulary.state(feature, state):
            yield Evidence(f"given:{feature}", "", feature, Standing.SEEN, (state,))


def _kept_by_name(determinations: Iterable[Determination], reference: Reference) -> dict[str, str]:
    """Dangerous taxa that a given name keeps in the list, and the words why."""
    kept: dict[str, str] = {}
    dangerous = [taxon for taxon in reference.taxa if reference.severity_of(taxon.id)]
    for given in determinations:
        taxon = reference.taxon(given.taxon) or reference.named(given.name)
        genus = name_key(given.name).split(" ")[0] if given.name.strip() else ""
        genera = {g for g in (genus, taxon.genus.casefold() if taxon else "") if g}
        mistaken = {c.lookalike for c in reference.confusions_of(taxon.id)} if taxon else set()
        for other in dangerous:
            fatal = reference.severity_of(other.id) is Severity.FATAL
            if taxon and other.id == taxon.id:
                kept[other.id] = f"named {given.display_name}"
            elif fatal and other.genus.casefold() in genera:
                kept.setdefault(other.id, f"a deadly relative of {given.display_name}")
            elif fatal and other.id in mistaken:
                kept.setdefault(other.id, f"deadly and mistaken for {given.display_name}")
            elif fatal and taxon and taxon.section and other.section == taxon.section:
                kept.setdefault(other.id, f"in the section of {given.display_name}")
    return kept


@dataclass(frozen=True)
class _Describing:
    """Puts what the arrays say into values with words."""

    reference: Reference
    exclusion: Exclusion
    records: tuple[Record, ...]
    scores: Scores
    by_feature: dict[str, Evidence]
    looked_at: set[int]

    def candidate(self, taxon: int) -> Candidate:
        table = self.reference.table
        value = self.reference.taxa[taxon]
        speaks_for, against = [], []
        for place, record in enumerate(self.records):
            reason = self._reason(place, record, taxon)
            if reason.verdict is Verdict.AGREES:
                speaks_for.append(reason)
            elif reason.verdict is not Verdict.NO_DATA:
                against.append(reason)
        telling = [
            table.blocks[i].feature.id
            for i in self.scores.telling
            if table.known[i, taxon] and i not in self.looked_at
        ]
        return Candidate(
            value,
            round(float(self.scores.total[taxon]), 4),
            tuple(sorted(speaks_for, key=lambda r: -r.nats)),
            tuple(sorted(against, key=lambda r: (r.verdict is not Verdict.AGAINST, r.nats))),
            tuple(telling[:10]),
            self.reference.severity_of(value.id),
        )

    def hazard(self, place: int, taxon: int, *, close: bool, because: str) -> NotExcluded:
        value = self.reference.taxa[taxon]
        rows = self.reference.hazards_of(value.id)
        syndromes = tuple(dict.fromkeys(row.syndrome for row in rows if row.syndrome))
        return NotExcluded(
            value, rows[0].severity, syndromes, close, because, lambda: self._why(place, taxon, because)
        )

    def _reason(self, place: int, record: Record, taxon: int) -> Reason:
        table = self.reference.table
        feature, evidence = record.feature, record.evidence
        written, sources = written_words(self.reference, table.taxa[taxon], feature)
        little = ""
        if not table.known[record.index, taxon]:
            verdict = Verdict.NO_DATA
        elif self.scores.fit[place, taxon] >= 0.3:
            verdict = Verdict.AGREES
        else:
            little = why_little(evidence, feature)
            strong = -np.log(max(float(self.scores.fit[place, taxon]), 1e-9)) >= CLEAR
            verdict = Verdict.AGAINST if strong and not little else Verdict.WEAKLY_AGAINST
        return Reason(
            feature.id,
            evidence.id,
            verdict,
            float(self.scores.by_record[place, taxon]),
            seen_words(evidence, feature, self.reference),
            written,
            sources,
            little,
            feature.name,
        )

    def _telling_unseen(self, place: int) -> list[Feature]:
        """Up to three features, not recorded, whose answer is expected to speak most against a hazard."""
        table = self.reference.table
        potential = self.scores.potential(self.exclusion.against[:, place])
        order = np.argsort(-potential, kind="stable")
        found = [
            table.blocks[i].feature for i in order[:12] if potential[i] > 0.3 and int(i) not in self.looked_at
        ]
        return found[:3]

    def _why(self, place: int, taxon: int, because: str) -> Why:
        unseen = self._telling_unseen(place)
        against = []
        for row, record in enumerate(self.records):
            if self.scores.by_record[row, taxon] < 0:
                reason = self._reason(row, record, taxon)
                if reason.verdict in {Verdict.AGAINST, Verdict.WEAKLY_AGAINST}:
                    against.append(reason)
        text = self._why_words(against, unseen, because)
        return Why(text, tuple(against), tuple(f.id for f in unseen))

    def _why_words(self, against: list[Reason], unseen: list[Feature], because: str) -> str:
        parts = [because] if because else []
        if not self.records:
            parts.append("nothing recorded yet")
        gone = [f for f in unseen if (e := self.by_feature.get(f.id)) and e.standing is Standing.GONE]
        missing = [f for f in unseen if f not in gone][:2]
        if missing:
            parts.append(f"{_and([f.name for f in missing])} not looked at")
        if gone:
            parts.append(f"{_and([f.name for f in gone])} damaged or gone")
        little = [r for r in against if r.verdict is Verdict.WEAKLY_AGAINST and r.little]
        if little:
            parts.append(f"{_and([_little_words(r) for r in little[:2]])} {_count(little[:2])} little")
        strong = sum(r.verdict is Verdict.AGAINST for r in against)
        if strong == 1:
            parts.append("one contrary feature is never enough")
        elif strong:
            parts.append(f"{strong} features speak against it, not enough to exclude it")
        elif self.records and not little:
            parts.append("nothing recorded speaks against it")
        return "; ".join(parts)


def _little_words(reason: Reason) -> str:
    """'no ring seen' is said with the feature's name only where the words do not name it already."""
    return (
        reason.seen
        if reason.feature_name.split()[0] in reason.seen
        else f"{reason.feature_name}: {reason.seen}"
    )


def _and(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _count(items: Sequence[object]) -> str:
    return "counts" if len(items) == 1 else "count"
