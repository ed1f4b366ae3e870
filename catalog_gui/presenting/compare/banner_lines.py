"""The dangerous taxa not excluded as the few lines of the banner; what a line does not name it counts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from catalog_gui.lookalikes.hazard_groups import (
    MOST_LINES,
    HazardGroup,
    HazardPart,
    hazard_groups,
    short_names,
)
from catalog_gui.lookalikes.reference import Reference, Severity, Taxon
from catalog_gui.lookalikes.weighing import NotExcluded, Why
from catalog_gui.presenting.compare.state import BannerLine, HazardLine

MOST_DEADLY = 60
"""So many names that can kill are spelt out over all lines: only a pack of many more than ours has more."""

_NAMES = (6, 4, 2, 1, 0)
_OTHER_FORMS = "Of other forms, only if the form was misread"
_SPOKEN_AGAINST = "Your evidence speaks against these, but they are mistaken for the leading candidates"


def banner_lines(
    groups: Sequence[HazardGroup],
    lines: Mapping[str, HazardLine],
    minded: Sequence[HazardLine] = (),
) -> tuple[BannerLine, ...]:
    """Put groups of hazards into words; `lines` holds each taxon by its id.

    `minded`, which the evidence speaks against, share a line of their own after them.
    """
    deadly = sum(one.severity is Severity.FATAL for group in groups for one in group.members)
    spell = deadly <= MOST_DEADLY
    told = [_line(group, lines, spell=spell) for group in groups]
    if minded:
        worst = min((line.severity for line in minded), key=lambda severity: severity.order)
        taxa = [line.taxon for line in minded]
        fatal = sum(line.severity is Severity.FATAL for line in minded)
        names = tuple(_first_names(taxa, max(most, fatal)) for most in _NAMES)
        told.append(
            BannerLine(worst, _SPOKEN_AGAINST, "", tuple(dict.fromkeys(names)), tuple(minded), counted=False)
        )
    return tuple(told)


def lines_for(minded: Sequence[HazardLine]) -> int:
    """Say how many lines are left for the taxa that are not excluded."""
    return MOST_LINES - bool(minded)


def groups_without_a_find(taxa: Iterable[Taxon], reference: Reference) -> tuple[HazardGroup, ...]:
    """Group the dangerous ones among some taxa that are shown without a find."""
    hazards = [
        NotExcluded(
            taxon,
            severity,
            tuple(dict.fromkeys(row.syndrome for row in reference.hazards_of(taxon.id) if row.syndrome)),
            close=True,
            because_named="",
            explain=lambda: Why(""),
        )
        for taxon in taxa
        if (severity := reference.severity_of(taxon.id)) is not None
    ]
    hazards.sort(key=lambda hazard: hazard.severity.order)
    return hazard_groups(hazards, reference)


def _line(group: HazardGroup, lines: Mapping[str, HazardLine], *, spell: bool) -> BannerLine:
    members = tuple(lines[one.taxon.id] for one in group.members)
    onset = group.parts[0].onset.words if len(group.parts) == 1 and not group.other_forms else ""
    if group.other_forms:
        ways = [_by_grade(group, spell=spell)]
    elif len(group.parts) == 1:
        ways = [_names(group.parts[0], most, spell=spell) for most in _NAMES]
    else:
        ways = _of_several(group, spell=spell)
    title = _OTHER_FORMS if group.other_forms else group.title
    return BannerLine(group.severity, title, onset, tuple(dict.fromkeys(ways)), members)


def _of_several(group: HazardGroup, *, spell: bool) -> list[str]:
    """Say who is in a line of several poisons: with all stages, with the first trouble, with the organ alone."""

    def told(part: HazardPart, onset: str, most: int) -> str:
        head = f"{part.title}; {onset}" if onset else part.title
        return f"{head}: {_names(part, most, spell=spell)}"

    ways = [". ".join(told(part, part.onset.words, most) for part in group.parts) for most in _NAMES]
    ways.append(". ".join(told(part, part.onset.first, 0) for part in group.parts))
    ways.append(". ".join(told(part, "", 0) for part in group.parts))
    if group.severity is not Severity.FATAL:
        ways.append(", ".join(f"{part.poison.lower()} {len(part.members)}" for part in group.parts))
    return ways


def _names(part: HazardPart, most: int, *, spell: bool) -> str:
    if not spell:
        return _first_names([one.taxon for one in part.members], most or 1)
    named = part.names(most)
    return named.words if named.shown else (f"{named.more} taxa" if named.more > 1 else "1 taxon")


def _by_grade(group: HazardGroup, *, spell: bool) -> str:
    """Count the taxa of other forms by grade; those that can kill are named as well."""
    told = []
    for grade, count in group.counts:
        names = ""
        if grade is Severity.FATAL and spell:
            names = f" ({short_names([one.taxon for one in group.members if one.severity is grade])})"
        told.append(f"{count} {grade.means}{names}")
    return ", ".join(told)


def _first_names(taxa: Sequence[Taxon], most: int) -> str:
    rest = len(taxa) - most
    if rest <= 0:
        return short_names(taxa)
    return f"{short_names(taxa[:most])} and {rest} more" if most else f"{rest} taxa"
