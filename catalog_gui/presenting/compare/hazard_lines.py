"""The lines of the banner: what is not excluded and why, what onset and course to expect."""

from __future__ import annotations

from collections.abc import Sequence

from catalog_gui.domain.struck_out import StruckOut
from catalog_gui.lookalikes.onset import onset_words
from catalog_gui.lookalikes.reasons import marked
from catalog_gui.lookalikes.reference import Reference, Taxon
from catalog_gui.lookalikes.weighing import Weighing
from catalog_gui.presenting.compare.state import HazardLine, StruckLine
from catalog_gui.workflows.weigh_find import WeighedFind, record_words, struck_words


def clinic(reference: Reference, taxon_id: str) -> tuple[str, str]:
    """What misleads about the poisoning, and the syndromes by name."""
    rows = reference.hazards_of(taxon_id)
    names = [found.name for row in rows if (found := reference.syndrome(row.syndrome)) is not None]
    misleads = next((row.misleads for row in rows if row.misleads), "")
    return misleads, "; ".join(dict.fromkeys(names))


def hazard_lines(
    judged: WeighedFind, reference: Reference, in_front: Sequence[Taxon]
) -> dict[str, HazardLine]:
    """Say of every taxon that is not excluded why, by its id; `in_front` are the names it may be taken for."""
    doubles = {
        pair.lookalike: taxon.name
        for taxon in reversed(in_front)
        for pair in reference.confusions_of(taxon.id)
    }
    lines = {}
    for hazard in judged.weighing.hazards:
        why = hazard.why_not_excluded
        if gone := struck_words(judged.held.get(hazard.taxon.id, ()), reference):
            why = f"{gone}; {why}"
        double = doubles.get(hazard.taxon.id, "")
        lines[hazard.taxon.id] = HazardLine(
            hazard.taxon,
            hazard.severity,
            f"known to be mistaken for {double}; {why}" if double and not hazard.close else why,
            onset_words(reference, hazard.taxon.id),
            *clinic(reference, hazard.taxon.id),
            close=hazard.close or bool(double),
            hers=bool(marked(reference, hazard.taxon.pack)),
        )
    return lines


def struck_lines(judged: WeighedFind, reference: Reference) -> tuple[StruckLine, ...]:
    """The records that were struck out and still hold dangerous taxa in, with what each of them holds."""
    holds: dict[StruckOut, list[str]] = {}
    for taxon_id, records in judged.held.items():
        taxon = reference.taxon(taxon_id)
        for one in records:
            holds.setdefault(one, []).append(taxon.name if taxon is not None else taxon_id)
    return tuple(
        StruckLine(one.evidence.feature, record_words(one.evidence, reference), one.at, tuple(sorted(names)))
        for one, names in sorted(holds.items(), key=lambda entry: entry[0].at)
    )


def minded_lines(
    weighing: Weighing, reference: Reference, in_front: Sequence[Taxon]
) -> tuple[HazardLine, ...]:
    """Dangerous taxa that the evidence speaks against, but that are documented as mistaken for a name in front."""
    excluded = set(weighing.excluded)
    lines: dict[str, HazardLine] = {}
    for taxon in in_front:
        for pair in reference.confusions_of(taxon.id):
            other, severity = reference.taxon(pair.lookalike), reference.severity_of(pair.lookalike)
            if pair.lookalike in excluded and other is not None and severity is not None:
                lines.setdefault(
                    other.id,
                    HazardLine(
                        other,
                        severity,
                        f"your evidence speaks against it, yet it is known to be mistaken for {taxon.name}",
                        onset_words(reference, other.id),
                        *clinic(reference, other.id),
                        hers=bool(marked(reference, other.pack)),
                    ),
                )
    return tuple(sorted(lines.values(), key=lambda line: line.severity.order))
