"""The front door: evidence held against the reference."""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import overload

import numpy as np

from catalog_gui.domain import vocabulary_roles as roles
from catalog_gui.domain.day_words import SHORT_MONTHS
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature
from catalog_gui.domain.specimen import Determination
from catalog_gui.lookalikes.exclusion import CLEAR
from catalog_gui.lookalikes.likelihoods import Bools
from catalog_gui.lookalikes.next_checks import NextCheck, next_checks
from catalog_gui.lookalikes.observations import Observation, observations_of
from catalog_gui.lookalikes.prepared import PreparedReference
from catalog_gui.lookalikes.reasons import Reason, Verdict, why_little
from catalog_gui.lookalikes.reference import Reference, Severity, Taxon, name_key
from catalog_gui.lookalikes.scores import Scores, score
from catalog_gui.lookalikes.why_line import AT_HOME, Rows, why_line, worth_a_look
from catalog_gui.lookalikes.why_line import by_feature as records_by_feature

CLOSE = 2.3
"""Nats (a factor of ten) by which the best explanation may beat a dangerous taxon that is called close."""

_IN_FULL = 12
_AGREES = 0.3
_LOOKED_THROUGH, _WORTH_NAMING = 40, 0.3
"""How many features are looked through for those worth naming, and the least nats one must promise."""


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

    `close`: hardly anything explains the evidence better. `because_named` says which determination keeps
    it here, or is ''.
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


@dataclass(frozen=True, eq=False)
class Weighing:
    """The outcome. Nothing of it is put into values before somebody asks for it.

    `candidates` are all taxa, the best first. `fruit_bodies` are those named in the evidence. `standing`
    (H,): which dangerous taxa are not excluded.
    """

    candidates: Candidates
    scores: Scores
    fruit_bodies: tuple[str, ...]
    standing: Bools
    _dangerous: tuple[str, ...] = field(repr=False)
    _hazards: Callable[[], tuple[NotExcluded, ...]] = field(repr=False)
    _checks: Callable[[], tuple[NextCheck, ...]] = field(repr=False)

    @cached_property
    def hazards(self) -> tuple[NotExcluded, ...]:
        """All dangerous taxa that are not excluded, worst and closest first."""
        return self._hazards()

    @cached_property
    def excluded(self) -> tuple[str, ...]:
        """The ids of the dangerous taxa that are."""
        return tuple(self._dangerous[h] for h in np.flatnonzero(~self.standing))

    @cached_property
    def next_checks(self) -> tuple[NextCheck, ...]:
        """What to look at next, the most useful first."""
        return self._checks()

    @property
    def close(self) -> tuple[NotExcluded, ...]:
        """The hazards to name in full: the close ones, the worst first, a dozen at most."""
        return tuple(hazard for hazard in self.hazards if hazard.close)[:_IN_FULL]

    @property
    def folded(self) -> tuple[tuple[str, tuple[NotExcluded, ...]], ...]:
        """All other hazards by group, the group with the worst and closest first."""
        in_full = {hazard.taxon.id for hazard in self.close}
        groups: dict[str, list[NotExcluded]] = {}
        for hazard in self.hazards:
            if hazard.taxon.id not in in_full:
                groups.setdefault(hazard.taxon.group or hazard.taxon.genus or "others", []).append(hazard)
        return tuple((name, tuple(members)) for name, members in groups.items())


def weigh(
    evidence: Iterable[Evidence],
    prepared: PreparedReference,
    *,
    determinations: Iterable[Determination] = (),
    date: datetime.date | None = None,
    region: str = "",
    fruit_body: str | None = None,
    struck_out: Iterable[Evidence] = (),
    checks: int = 8,
) -> Weighing:
    """Hold the evidence of one specimen against the reference.

    `date` and `region` (a state of place.region) stand in for season.month and place.region where those
    are not recorded; they only ever move the ranking. `fruit_body` weighs one fruit body of a mixed
    collection: its own records and those of the collection as a whole. Without it a collection in which
    fruit bodies are told apart is weighed as a whole: all records rank the candidates, but only records of
    the whole collection exclude, because what clears one fruit body says nothing about the next.

    `struck_out` is what the user had recorded and took back: it can still speak for a dangerous taxon, and no
    longer against one, so that striking out never removes a hazard (see `exclusion`).

    A determination never removes a hazard; it keeps what it names and the deadly taxa of its genus and
    section (and what the pack lists as mistaken for it and fatal) in the list.
    """
    everything = tuple(evidence)
    bodies = tuple(sorted({e.fruit_body for e in everything if e.fruit_body}))
    mine = [e for e in everything if fruit_body is None or e.fruit_body in {"", fruit_body}]
    reference, table, exclusion = prepared.reference, prepared.table, prepared.exclusion
    records = observations_of([*mine, *_from_date_and_place(mine, reference, date, region)], table)
    excluding = [r for r in records if fruit_body is not None or not r.evidence.fruit_body]
    scores = score(records, prepared.ranking)
    judged = exclusion.judge(excluding, observations_of(struck_out, table))
    given = tuple(determinations)
    named = _kept_by_name(given, reference) if given else {}
    kept = np.isin(reference.dangerous, list(named)) if named else np.zeros_like(judged.excluded)
    standing = ~judged.excluded | kept

    describe = _Describing(prepared, records, scores, records_by_feature(mine))

    def hazards() -> tuple[NotExcluded, ...]:
        close = (judged.lead <= CLOSE) | kept
        order = np.lexsort((np.round(judged.lead, 4), reference.severity_order, ~close))
        return tuple(
            describe.hazard(int(h), close=bool(close[h]), because=named.get(reference.dangerous[h], ""))
            for h in order
            if standing[h]
        )

    def asked() -> tuple[NextCheck, ...]:
        by_feature = {e.feature: e for e in mine}
        return next_checks(
            reference, scores, records, by_feature, standing, count=checks, exclusion=exclusion
        )

    order = np.argsort(-np.round(scores.total, 5), kind="stable")
    candidates = Candidates(len(order), lambda i: describe.candidate(int(order[i])))
    return Weighing(candidates, scores, bodies, standing, reference.dangerous, hazards, asked)


def _from_date_and_place(
    evidence: Sequence[Evidence], reference: Reference, date: datetime.date | None, region: str
) -> Iterator[Evidence]:
    written = {e.feature for e in evidence if e.standing is Standing.SEEN}
    for feature, state in (
        (roles.MONTH, SHORT_MONTHS[date.month - 1] if date else ""),
        (roles.REGION, region),
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

    prepared: PreparedReference
    records: tuple[Observation, ...]
    scores: Scores
    by_feature: Rows

    @property
    def reference(self) -> Reference:
        return self.prepared.reference

    def candidate(self, taxon: int) -> Candidate:
        table = self.prepared.table
        value = self.reference.taxa[taxon]
        reasons = self._reasons(taxon)
        recorded = self.scores.recorded
        telling = [i for i in self.scores.telling.tolist() if table.known[i, taxon] and i not in recorded]
        against = [r for r in reasons if r.verdict in {Verdict.AGAINST, Verdict.WEAKLY_AGAINST}]
        return Candidate(
            value,
            round(float(self.scores.total[taxon]), 4),
            tuple(sorted((r for r in reasons if r.verdict is Verdict.AGREES), key=lambda r: -r.nats)),
            tuple(sorted(against, key=lambda r: (r.verdict is not Verdict.AGAINST, r.nats))),
            tuple(table.blocks[i].feature.id for i in telling[:10]),
            self.reference.severity_of(value.id),
        )

    def hazard(self, place: int, *, close: bool, because: str) -> NotExcluded:
        taxon, severity, syndromes = self.reference.dangerous_values[place]
        return NotExcluded(taxon, severity, syndromes, close, because, lambda: self._why(place, because))

    def _why(self, place: int, because: str) -> Why:
        telling = self._telling_unseen(place)
        taxon, severity, _ = self.reference.dangerous_values[place]
        reasons = self._reasons(int(self.prepared.table.dangerous[place]))
        against = [r for r in reasons if r.verdict in {Verdict.AGAINST, Verdict.WEAKLY_AGAINST}]
        text = why_line(
            self.reference,
            taxon.id,
            severity,
            because=because,
            telling=telling,
            against=against,
            evidence=self.by_feature,
        )
        wanted = worth_a_look(self.reference, taxon.id, severity, telling, self.by_feature)
        return Why(text, tuple(against), tuple(f.id for f in wanted))

    def _reasons(self, taxon: int) -> list[Reason]:
        table = self.prepared.table
        taxon_id = table.taxa[taxon]
        known = table.known[self.scores.sheet.features, taxon].tolist()
        fits = self.scores.fit_of(taxon).tolist()
        nats = self.scores.by_record[:, taxon].tolist()
        reasons = []
        for place, record in enumerate(self.records):
            little = ""
            if not known[place]:
                verdict = Verdict.NO_DATA
            elif fits[place] >= _AGREES:
                verdict = Verdict.AGREES
            else:
                little = why_little(record.evidence, record.feature)
                strong = not little and -math.log(max(fits[place], 1e-9)) >= CLEAR
                verdict = Verdict.AGAINST if strong else Verdict.WEAKLY_AGAINST
            reasons.append(
                Reason(
                    record.feature, record.evidence, taxon_id, verdict, nats[place], little, self.reference
                )
            )
        return reasons

    def _telling_unseen(self, place: int) -> list[Feature]:
        """Features, not recorded, whose answer is expected to speak most against a hazard.

        Up to three that can be seen in the field, and up to three others.
        """
        table = self.prepared.table
        potential = self.scores.potential(self.prepared.exclusion.contrast.against[:, place])
        order = np.argsort(-potential, kind="stable")
        recorded = self.scores.recorded
        found = [
            table.blocks[i].feature
            for i in order[:_LOOKED_THROUGH].tolist()
            if potential[i] > _WORTH_NAMING and i not in recorded
        ]
        field = [feature for feature in found if feature.cost not in AT_HOME]
        return [*field[:3], *(feature for feature in found[:3] if feature.cost in AT_HOME)]
