"""A find weighed with everything that belongs to it: its records, its names, its day, and what was struck out."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.specimen import Determination
from catalog_gui.domain.struck_out import StruckOut
from catalog_gui.lookalikes.prepared import PreparedReference
from catalog_gui.lookalikes.reasons import seen_words
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.lookalikes.weighing import Weighing, weigh


@dataclass(frozen=True)
class WeighedFind:
    """A weighing, and which dangerous taxa stand only because of records that were struck out.

    `held`: taxon id to the records that hold it in; any one of them would do, unless it takes all of them
    together.
    """

    weighing: Weighing
    held: Mapping[str, tuple[StruckOut, ...]] = field(default_factory=dict)


def weigh_find(
    evidence: Iterable[Evidence],
    prepared: PreparedReference,
    *,
    determinations: Iterable[Determination] = (),
    collected_at: datetime.datetime | None = None,
    struck_out: Sequence[StruckOut] = (),
    fruit_body: str | None = None,
    checks: int = 8,
) -> WeighedFind:
    """Weigh a find. Striking a record out never removes a hazard: it goes on speaking for the dangerous.

    The day of the find helps the order only beside something that was looked at: a date alone is no
    reason to put one name before another. `checks`: how many next checks are worked out.
    """
    everything, given = tuple(evidence), tuple(determinations)
    looked_at = any(e.standing is not Standing.NOT_LOOKED_AT for e in everything)
    day = collected_at.date() if collected_at is not None and looked_at else None

    def weighed(gone: Iterable[Evidence]) -> Weighing:
        return weigh(
            everything,
            prepared,
            determinations=given,
            date=day,
            fruit_body=fruit_body,
            struck_out=gone,
            checks=checks,
        )

    vocabulary = prepared.reference.vocabulary
    known = [one for one in struck_out if vocabulary.feature(one.evidence.feature) is not None]
    weighing = weighed(one.evidence for one in known)
    if not known:
        return WeighedFind(weighing)
    without = {hazard.taxon.id for hazard in weighed(()).hazards}
    held = {hazard.taxon.id for hazard in weighing.hazards} - without
    if not held:
        return WeighedFind(weighing)
    by: dict[str, list[StruckOut]] = {taxon: [] for taxon in held}
    for one in known if len(known) > 1 else ():
        for hazard in weighed([one.evidence]).hazards:
            if hazard.taxon.id in by:
                by[hazard.taxon.id].append(one)
    return WeighedFind(weighing, {taxon: tuple(some) or tuple(known) for taxon, some in by.items()})


def record_words(evidence: Evidence, reference: Reference) -> str:
    """A record in a few words: 'volva: sac-like'."""
    feature = reference.vocabulary.feature(evidence.feature)
    if feature is None:
        return evidence.feature
    return f"{feature.name}: {seen_words(evidence, feature, reference).removesuffix(' seen')}"


def struck_words(records: Sequence[StruckOut], reference: Reference) -> str:
    """Why a taxon stands only by what was struck out, in one line; '' for no records."""
    if not records:
        return ""
    told = list(dict.fromkeys(record_words(one.evidence, reference) for one in records))
    more = f" and {len(told) - 2} more" if len(told) > 2 else ""
    which = "a record that was" if len(told) == 1 else "records that were"
    return f"stands only by {which} struck out ({'; '.join(told[:2])}{more})"
