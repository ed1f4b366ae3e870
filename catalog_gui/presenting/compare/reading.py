"""Reads a specimen, weighs it, and lays it beside up to three taxa. Runs on the records queue."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.specimen import present_determination
from catalog_gui.lookalikes.hazard_groups import hazard_groups
from catalog_gui.lookalikes.onset import onset_words
from catalog_gui.lookalikes.parting import parting
from catalog_gui.lookalikes.prepared import Prepare
from catalog_gui.lookalikes.reasons import marked
from catalog_gui.lookalikes.reference import Reference, Taxon
from catalog_gui.lookalikes.weighing import Weighing
from catalog_gui.lookalikes.why_line import COSTS
from catalog_gui.presenting.compare.banner_lines import banner_lines, groups_without_a_find, lines_for
from catalog_gui.presenting.compare.candidate_lines import candidate_lines
from catalog_gui.presenting.compare.check_lines import check_lines
from catalog_gui.presenting.compare.finds import crops_of, earlier_finds
from catalog_gui.presenting.compare.hazard_lines import clinic, hazard_lines, minded_lines, struck_lines
from catalog_gui.presenting.compare.state import (
    MOST_TAXA,
    SHOWN_CANDIDATES,
    Comparison,
    HazardLine,
    Line,
)
from catalog_gui.presenting.compare.table_lines import reasons_of, table_lines
from catalog_gui.workflows.ports import UnitOfWork
from catalog_gui.workflows.weigh_find import weigh_find

TAUGHT = 9
"""So many rows a room reads at a time."""


def read_comparison(
    work: UnitOfWork,
    specimen_id: str,
    reference: Reference,
    chosen: Sequence[str] | None,
    *,
    prepare: Prepare,
    body: str = "",
) -> Comparison:
    """Weigh the specimen and lay it beside `chosen` taxa (ids; None: the ones that matter most).

    With no specimen the taxa stand beside each other alone: the teaching view. `body` weighs one fruit
    body of a mixed collection.
    """
    specimen = work.specimens.get(specimen_id) if specimen_id else None
    if specimen is None:
        return _teaching(work, reference, chosen or ())
    evidence = work.evidence.where(specimen_id=specimen.id)
    given = work.determinations.where(specimen_id=specimen.id)
    struck_out = work.struck_out([specimen.id]).get(specimen.id, ())
    judged = weigh_find(
        evidence,
        prepare(reference),
        determinations=given,
        collected_at=specimen.collected_at,
        struck_out=struck_out,
        fruit_body=body or None,
    )
    weighing = judged.weighing
    now = present_determination(given)
    mine = tuple(e for e in evidence if not body or e.fruit_body in {"", body})
    by_feature: dict[str, list[Evidence]] = {}
    for one in mine:
        by_feature.setdefault(one.feature, []).append(one)
    recorded = sum(1 for e in mine if e.standing is not Standing.NOT_LOOKED_AT)
    named = (reference.taxon(now.taxon) or reference.named(now.name)) if now is not None else None
    in_front = [*([named] if named is not None else []), *(c.taxon for c in weighing.candidates[:2])]
    by_taxon = hazard_lines(judged, reference, in_front if recorded else ())
    minded = minded_lines(weighing, reference, in_front if recorded else ())
    groups = hazard_groups(
        weighing.hazards,
        reference,
        evidence=evidence,
        struck_out=[one.evidence for one in struck_out],
        fruit_body=body or None,
        most_lines=lines_for(minded),
    )
    banner = banner_lines(groups, by_taxon, minded)
    hazards = tuple(member for line in banner if line.counted for member in line.members)
    doubles = {pair.lookalike for taxon in in_front for pair in reference.confusions_of(taxon.id)}
    keys = tuple(chosen) if chosen is not None else _telling(weighing, hazards, named, recorded, doubles)
    taxa = _taxa(keys, reference)
    return Comparison(
        specimen=specimen,
        name=now.display_name if now is not None else "",
        recorded=recorded,
        taxa=taxa,
        severities=tuple(reference.severity_of(taxon.id) for taxon in taxa),
        lines=table_lines(by_feature, taxa, reference, reasons_of(weighing, taxa), teaching=False),
        hazards=hazards,
        struck=struck_lines(judged, reference),
        minded=minded,
        banner=banner,
        candidates=candidate_lines(weighing.candidates[: SHOWN_CANDIDATES if recorded else 0], reference),
        checks=check_lines(weighing),
        crops=crops_of(work, specimen, evidence, reference),
        earlier=earlier_finds(work, taxa, specimen.id, reference),
        excluded=len(weighing.excluded),
        bodies=weighing.fruit_bodies,
        body=body,
        evidence=mine,
    )


def _teaching(work: UnitOfWork, reference: Reference, chosen: Sequence[str]) -> Comparison:
    taxa = _taxa(chosen, reference)
    lines = {
        taxon.id: HazardLine(
            taxon,
            severity,
            "",
            onset_words(reference, taxon.id),
            *clinic(reference, taxon.id),
            close=True,
            hers=bool(marked(reference, taxon.pack)),
        )
        for taxon in taxa
        if (severity := reference.severity_of(taxon.id)) is not None
    }
    banner = banner_lines(groups_without_a_find(taxa, reference), lines)
    return Comparison(
        taxa=taxa,
        severities=tuple(reference.severity_of(taxon.id) for taxon in taxa),
        lines=_taught(table_lines({}, taxa, reference, [], teaching=True), taxa, reference),
        hazards=tuple(member for line in banner for member in line.members),
        banner=banner,
        earlier=earlier_finds(work, taxa, "", reference),
    )


def _taught(lines: Sequence[Line], taxa: Sequence[Taxon], reference: Reference) -> tuple[Line, ...]:
    """Mark the few lines that a room is taught by as those that part the taxa.

    What has to stand beside a taxon that can kill comes first, then what parts them, soonest seen first.
    """
    judged = parting([taxon.id for taxon in taxa], reference)
    costs = {cost: place for place, cost in enumerate(COSTS)}
    parts = sorted(judged.parts, key=lambda feature: costs.get(feature.cost, len(costs)))
    few = {feature.id for feature in (*judged.vital, *parts)[: max(TAUGHT, len(judged.vital))]}
    return tuple(replace(line, separates=line.feature.id in few) for line in lines)


def _taxa(keys: Sequence[str], reference: Reference) -> tuple[Taxon, ...]:
    return tuple(t for key in dict.fromkeys(keys) if (t := reference.taxon(key)) is not None)[:MOST_TAXA]


def _telling(
    weighing: Weighing,
    hazards: Sequence[HazardLine],
    named: Taxon | None,
    recorded: int,
    doubles: Collection[str],
) -> tuple[str, ...]:
    """What is wanted side by side: the name that was given, the best candidate, and the closest hazards.

    Of these the documented `doubles` of the names in front come first.
    """
    wanted = [named.id] if named is not None else []
    full = [hazard.taxon.id for hazard in weighing.close]
    full += [hazard.taxon.id for hazard in hazards if hazard.close]
    if recorded:
        full.sort(key=lambda taxon: taxon not in doubles)
    close = list(dict.fromkeys(full))[: 2 if recorded else MOST_TAXA]
    best = [candidate.taxon.id for candidate in weighing.candidates[: MOST_TAXA if recorded else 0]]
    return tuple(dict.fromkeys([*wanted, *best[:1], *close, *best]))[:MOST_TAXA]
