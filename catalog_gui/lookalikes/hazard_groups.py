"""The dangerous taxa not excluded, in a few lines: one a syndrome, the worst first; nothing left out.

Front door: `hazard_groups`. Every taxon stands in exactly one group, and what a group does not name it
counts: `HazardGroup.members` are all of them, `HazardPart.names()` those to spell out and how many more.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from catalog_gui.domain.evidence import Evidence
from catalog_gui.lookalikes.implied_form import implied_forms, of_other_form
from catalog_gui.lookalikes.onset import Onset, onset_of_syndrome
from catalog_gui.lookalikes.reference import Reference, Severity, Taxon
from catalog_gui.lookalikes.severity_words import harm_words
from catalog_gui.lookalikes.weighing import NotExcluded

MOST_LINES = 8
MOST_NAMES = 6
"""So many names of a group are spelt out; those that can kill always, however many."""


@dataclass(frozen=True, slots=True)
class Names:
    """Names to spell out, and `more`: how many of the group they leave out."""

    shown: str
    more: int = 0
    more_genera: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """'Amanita phalloides, virosa; Lepiota helveola and 7 more (Galerina, Lepiota)'."""
        if not self.more:
            return self.shown
        genera = f" ({', '.join(self.more_genera)})" if 0 < len(self.more_genera) <= 4 else ""
        return f"{self.shown} and {self.more} more{genera}"


@dataclass(frozen=True)
class HazardPart:
    """The taxa of one syndrome in a group. `poison` is its short name, `organ` what it strikes ('' unknown).

    `members` stand worst and nearest first, the taxa of one genus together.
    """

    syndrome: str
    poison: str
    organ: str
    harm: str
    onset: Onset
    members: tuple[NotExcluded, ...]

    @property
    def title(self) -> str:
        """'Amatoxins, liver'."""
        return ", ".join(word for word in (self.poison, self.organ) if word)

    @property
    def severity(self) -> Severity:
        """The worst of them."""
        return min((one.severity for one in self.members), key=lambda severity: severity.order)

    def names(self, most: int = MOST_NAMES) -> Names:
        """The names to spell out: all that can kill, and others up to `most`."""
        fatal = sum(one.severity is Severity.FATAL for one in self.members)
        count = max(most, fatal)
        if count + 1 == len(self.members):
            count += 1  # 'and 1 more' takes the room of the name
        rest = [one.taxon for one in self.members[count:]]
        genera = tuple(dict.fromkeys(taxon.genus for taxon in rest if taxon.genus))
        return Names(short_names([one.taxon for one in self.members[:count]]), len(rest), genera)

    def words(self, most: int = MOST_NAMES) -> str:
        """'Amatoxins, liver; gut after 6 to 24 h, then a quiet spell: Amanita phalloides, virosa'."""
        head = "; ".join(word for word in (self.title, self.onset.words) if word)
        named = self.names(most).words
        return f"{head}: {named}" if head else named


@dataclass(frozen=True)
class HazardGroup:
    """One line: a syndrome, several small ones of one grade together, or the taxa of other forms.

    `severity` is the worst of it and gives the signal word. `other_forms`: these stand only if the form was
    misread.
    """

    severity: Severity
    parts: tuple[HazardPart, ...]
    other_forms: bool = False

    @property
    def members(self) -> tuple[NotExcluded, ...]:
        """Every taxon of the line, the worst first within each part."""
        return tuple(one for part in self.parts for one in part.members)

    @property
    def counts(self) -> tuple[tuple[Severity, int], ...]:
        """How many of each grade, the worst first; they add up to the members."""
        found = [(grade, sum(one.severity is grade for one in self.members)) for grade in Severity]
        return tuple((grade, count) for grade, count in found if count)

    @property
    def count_words(self) -> str:
        """'3 can kill, 5 can make ill'."""
        return ", ".join(f"{count} {grade.means}" for grade, count in self.counts)

    @property
    def title(self) -> str:
        """'Amatoxins, liver', 'Others that can kill', '7 of other forms, only if the form was misread'."""
        if self.other_forms:
            return f"{len(self.members)} of other forms, only if the form was misread"
        if len(self.parts) == 1:
            return self.parts[0].title
        return f"Others that {self.severity.means}"

    @property
    def first(self) -> str:
        """The first trouble of a line of one syndrome; '' for others."""
        return self.parts[0].onset.first if len(self.parts) == 1 and not self.other_forms else ""

    @property
    def later(self) -> str:
        """What comes after the first trouble, of a line of one syndrome; '' for others."""
        return self.parts[0].onset.later if len(self.parts) == 1 and not self.other_forms else ""

    def names(self, most: int = MOST_NAMES) -> str:
        """The names with 'and N more'; taxa of other forms are counted by grade, not named."""
        if self.other_forms:
            return self.count_words
        if len(self.parts) == 1:
            return self.parts[0].names(most).words
        return ". ".join(part.words(most) for part in self.parts)

    def words(self, most: int = MOST_NAMES) -> str:
        """The whole line, for papers and screen readers; its numbers add up to the members."""
        if self.other_forms or len(self.parts) > 1:
            return f"{self.title}: {self.names(most)}"
        return self.parts[0].words(most)


def hazard_groups(
    hazards: Iterable[NotExcluded],
    reference: Reference,
    *,
    evidence: Iterable[Evidence] = (),
    struck_out: Iterable[Evidence] = (),
    fruit_body: str | None = None,
    most_lines: int = MOST_LINES,
) -> tuple[HazardGroup, ...]:
    """Group the hazards of a weighing into `most_lines` lines at most; each taxon stands in exactly one.

    A taxon that makes several syndromes stands under its worst. Where the records imply a form
    (`implied_form.implied_forms` of `evidence`, `struck_out`, `fruit_body`) the taxa of other forms share
    the last line, but for those that a given name keeps. Lines that are too many are put together within
    their grade, those that can kill last of all. `most_lines` under 4 is read as 4.
    """
    found = tuple(hazards)
    forms = implied_forms(evidence, reference, struck_out=struck_out, fruit_body=fruit_body)
    aside = [h for h in found if not h.because_named and of_other_form(h.taxon, forms, reference)]
    apart = {one.taxon.id for one in aside}
    parts = _by_syndrome([h for h in found if h.taxon.id not in apart], reference)
    lines = _within(parts, max(most_lines, 4) - bool(aside))
    if aside:
        others = _by_syndrome(aside, reference)
        worst = min((one.severity for one in aside), key=lambda severity: severity.order)
        lines.append(HazardGroup(worst, tuple(others), other_forms=True))
    return tuple(lines)


def short_names(taxa: Sequence[Taxon]) -> str:
    """'Amanita phalloides, virosa; Galerina marginata': a genus is written out where it changes."""
    told, genus = "", ""
    for taxon in taxa:
        epithet = taxon.name.removeprefix(f"{taxon.genus} ") if taxon.genus else taxon.name
        again = bool(taxon.genus) and taxon.genus == genus and epithet != taxon.name
        told += f", {epithet}" if again else (f"; {taxon.name}" if told else taxon.name)
        genus = taxon.genus
    return told


def _by_syndrome(hazards: Sequence[NotExcluded], reference: Reference) -> list[HazardPart]:
    """One part a syndrome, in the order of the worst and nearest of each."""
    members: dict[str, list[NotExcluded]] = {}
    for one in hazards:
        members.setdefault(one.syndromes[0] if one.syndromes else "", []).append(one)
    parts = []
    for key, some in members.items():
        syndrome = reference.syndrome(key)
        ordered = _worst_and_nearest(some)
        onset = onset_of_syndrome(reference, key, (one.taxon.id for one in some))
        parts.append(
            HazardPart(
                key,
                (syndrome.poison or syndrome.name) if syndrome is not None else (key or "Poisoning"),
                syndrome.organ if syndrome is not None else "",
                harm_words(reference, key, ordered[0].severity),
                onset,
                ordered,
            )
        )
    return sorted(parts, key=lambda part: (part.severity.order, not part.members[0].close))


def _worst_and_nearest(hazards: Sequence[NotExcluded]) -> tuple[NotExcluded, ...]:
    """By grade, then the close ones, then the genus whose nearest is nearest; else as they came."""
    first: dict[tuple[Severity, bool, str], int] = {}
    for place, one in enumerate(hazards):
        first.setdefault((one.severity, one.close, one.taxon.genus), place)
    return tuple(
        sorted(
            hazards,
            key=lambda one: (
                one.severity.order,
                not one.close,
                first[one.severity, one.close, one.taxon.genus],
            ),
        )
    )


def _within(parts: Sequence[HazardPart], most: int) -> list[HazardGroup]:
    """The parts as lines, `most` at most: room goes to the worst grade first."""
    grades = [grade for grade in Severity if any(part.severity is grade for part in parts)]
    of_grade = {grade: [part for part in parts if part.severity is grade] for grade in grades}
    room = max(most - len(grades), 0)
    lines = []
    for grade in grades:
        mine = of_grade[grade]
        own = min(len(mine) - 1, room)
        room -= own
        lines += [HazardGroup(grade, (part,)) for part in mine[:own]]
        lines.append(HazardGroup(grade, tuple(mine[own:])))
    return lines
