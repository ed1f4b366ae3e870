"""The dangerous taxa that are not excluded, as papers print them: in lines by syndrome, or the worst by name."""

from __future__ import annotations

from collections.abc import Sequence

from catalog_gui.domain.sheet import HazardWords
from catalog_gui.lookalikes.hazard_groups import MOST_NAMES, HazardGroup, hazard_groups, short_names
from catalog_gui.lookalikes.onset import onset_words
from catalog_gui.lookalikes.reasons import marked
from catalog_gui.lookalikes.reference import Reference, Severity, Taxon
from catalog_gui.lookalikes.severity_words import harm_of
from catalog_gui.workflows.publish.gathered import Gathered
from catalog_gui.workflows.publish.words import OWN_ON_PAPER
from catalog_gui.workflows.weigh_find import WeighedFind


def groups_of(found: Gathered, judged: WeighedFind, reference: Reference) -> tuple[HazardGroup, ...]:
    """What is not excluded of a find, in at most eight lines: the same as the banner's."""
    return hazard_groups(
        judged.weighing.hazards,
        reference,
        evidence=found.evidence,
        struck_out=[one.evidence for one in found.struck_out],
    )


def group_lines(
    groups: Sequence[HazardGroup], most: int = MOST_NAMES, *, harm: bool = True
) -> tuple[HazardWords, ...]:
    """Each group as a line of a paper: what it strikes, when, and who."""
    lines = []
    for group in groups:
        alone = len(group.parts) == 1 and not group.other_forms
        onset = group.parts[0].onset.words if alone else ""
        why = group.parts[0].harm if alone and harm else ""
        lines.append(HazardWords(group.title, group.severity.value, why, onset, names=group.names(most)))
    return tuple(lines)


def taxon_line(taxon: Taxon, severity: Severity, reference: Reference) -> HazardWords:
    """One named taxon as a line of a paper: how bad, and when which organ is struck."""
    english = f" ({taxon.english})" if taxon.english else ""
    return HazardWords(
        taxon.name + english + marked(reference, taxon.pack, OWN_ON_PAPER),
        severity.value,
        harm_of(reference, taxon.id),
        onset_words(reference, taxon.id),
    )


def worst_named(groups: Sequence[HazardGroup], most: int, *, fatal_only: bool = False) -> str:
    """'142 not excluded, 20 can kill: Amanita phalloides, virosa and 140 more'; '' where nothing is left.

    The numbers add up. `fatal_only` counts and names those that can kill, and is '' where none can.
    """
    ordered = sorted(
        ((group.other_forms, one) for group in groups for one in group.members),
        key=lambda entry: (entry[0], entry[1].severity.order),
    )
    everyone = [one for _, one in ordered]
    fatal = [one for one in everyone if one.severity is Severity.FATAL]
    told = sorted(fatal, key=everyone.index) if fatal_only else everyone
    if not told:
        return ""
    # A line that had room for all but one names that one too.
    count = len(told) if len(told) <= most + 1 else most
    names = short_names([one.taxon for one in told[:count]])
    more = f" and {len(told) - count} more" if len(told) > count else ""
    if fatal_only:
        return f"{len(told)} that can kill: {names}{more}"
    kill = f", {len(fatal)} can kill" if fatal else ""
    return f"{len(told)} not excluded{kill}: {names}{more}"
