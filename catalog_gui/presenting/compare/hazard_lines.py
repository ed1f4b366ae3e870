"""The lines of the banner: what is not excluded and why, what onset and course to expect."""

from __future__ import annotations

from collections.abc import Sequence

from catalog_gui.domain.struck_out import StruckOut
from catalog_gui.lookalikes.reasons import marked
from catalog_gui.lookalikes.reference import Reference, Taxon
from catalog_gui.lookalikes.weighing import NotExcluded, Weighing
from catalog_gui.presenting.compare.state import FEW, HazardLine, StruckLine
from catalog_gui.presenting.compare.why import onset_words
from catalog_gui.workflows.weigh_find import WeighedFind, record_words, struck_words

_SPOKEN_AGAINST = "spoken against by your evidence, but known to be mistaken for the names in front"


def clinic(reference: Reference, taxon_id: str) -> tuple[str, str]:
    """What misleads about the poisoning, and the syndromes by name."""
    rows = reference.hazards_of(taxon_id)
    names = [found.name for row in rows if (found := reference.syndrome(row.syndrome)) is not None]
    misleads = next((row.misleads for row in rows if row.misleads), "")
    return misleads, "; ".join(dict.fromkeys(names))


def hazard_lines(
    judged: WeighedFind, reference: Reference, in_front: Sequence[Taxon]
) -> tuple[HazardLine, ...]:
    """The close ones and the known doubles of the names in front in full, the worst first; the rest by group.

    Where so few are left that none is folded, all of them stand the worst first.
    """
    weighing = judged.weighing
    doubles = {
        pair.lookalike: taxon.name
        for taxon in reversed(in_front)
        for pair in reference.confusions_of(taxon.id)
    }

    def line(hazard: NotExcluded, group: str) -> HazardLine:
        why = hazard.why_not_excluded
        if gone := struck_words(judged.held.get(hazard.taxon.id, ()), reference):
            why = f"{gone}; {why}"
        double = doubles.get(hazard.taxon.id, "")
        return HazardLine(
            hazard.taxon,
            hazard.severity,
            f"known to be mistaken for {double}; {why}" if group and double else why,
            onset_words(reference, hazard.taxon.id),
            *clinic(reference, hazard.taxon.id),
            "" if double else group,
            hers=bool(marked(reference, hazard.taxon.pack)),
        )

    full = [line(hazard, "") for hazard in weighing.close]
    rest = [line(hazard, group) for group, members in weighing.folded for hazard in members]
    full += [one for one in rest if not one.group]
    folded = [one for one in rest if one.group]
    if len(full) + len(folded) <= FEW:
        return tuple(sorted([*full, *folded], key=lambda one: one.severity.order))
    return (*sorted(full, key=lambda one: one.severity.order), *folded)


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
                        _SPOKEN_AGAINST if weighing.hazards else "",
                        hers=bool(marked(reference, other.pack)),
                    ),
                )
    return tuple(sorted(lines.values(), key=lambda line: line.severity.order))
