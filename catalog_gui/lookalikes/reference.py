"""The reference: taxa, what they show, how they poison, what they are mistaken for, and who says so."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from catalog_gui.domain.feature import Vocabulary

ABSENT = "absent"
"""The pseudo-state of a feature that is not there."""

R = TypeVar("R", "Synonym", "StateFrequency", "SizeRange", "Hazard", "Confusion")


class Severity(StrEnum):
    """The worst that is documented for a taxon, in three steps."""

    FATAL = "fatal"
    SERIOUS = "serious"
    UNPLEASANT = "unpleasant"

    @property
    def order(self) -> int:
        """0 for the worst."""
        return list(Severity).index(self)

    @property
    def means(self) -> str:
        """What the grade says of a taxon, the same words everywhere: 'can kill'."""
        return _MEANS[self]


_MEANS = {
    Severity.FATAL: "can kill",
    Severity.SERIOUS: "can do serious harm",
    Severity.UNPLEASANT: "can make ill",
}


class Frequency(StrEnum):
    """How often a taxon shows a state."""

    ALWAYS = "always"
    USUALLY = "usually"
    SOMETIMES = "sometimes"
    RARELY = "rarely"
    NEVER = "never"


MEMORY = "memory"
"""The source of a value for which no text was seen."""
_NOT_READ_IN_FULL = {"abstract": " (abstract read only)", "quoted": " (known through another text)"}


@dataclass(frozen=True, slots=True)
class Source:
    """Where a value comes from. `seen`: yes, abstract, quoted or no."""

    id: str
    citation: str
    kind: str = ""
    year: str = ""
    seen: str = ""
    pack: str = ""

    @property
    def printed(self) -> str:
        """The citation as it is printed: what was not read in full says so."""
        return self.citation + _NOT_READ_IN_FULL.get(self.seen, "")


@dataclass(frozen=True, slots=True)
class Taxon:
    """A name in the reference. `forms` are states of whole.form; `group` is the heading it folds under."""

    id: str
    name: str
    authority: str = ""
    rank: str = "species"
    genus: str = ""
    section: str = ""
    english: str = ""
    forms: tuple[str, ...] = ()
    group: str = ""
    note: str = ""
    source: str = ""
    pack: str = ""


@dataclass(frozen=True, slots=True)
class Synonym:
    """Another name of a taxon."""

    taxon: str
    name: str
    authority: str = ""
    note: str = ""
    source: str = ""
    pack: str = ""


@dataclass(frozen=True, slots=True)
class StateFrequency:
    """How often a taxon shows a state (or `ABSENT`) of a feature, and who says so.

    `texts` is '2/3' where two of the three independent texts that speak of the feature show the state;
    `further` are the ids of further sources that say the same.
    """

    taxon: str
    feature: str
    state: str
    frequency: Frequency
    source: str = ""
    note: str = ""
    pack: str = ""
    texts: str = ""
    further: tuple[str, ...] = ()

    @property
    def sources(self) -> tuple[str, ...]:
        """The ids of everything that says so."""
        return (self.source, *self.further) if self.source else self.further


@dataclass(frozen=True, slots=True)
class SizeRange:
    """The usual range of a number in `unit`, and the extremes where they are printed."""

    taxon: str
    feature: str
    low: float
    high: float
    extreme_low: float | None = None
    extreme_high: float | None = None
    unit: str = ""
    source: str = ""
    note: str = ""
    pack: str = ""


@dataclass(frozen=True, slots=True)
class Syndrome:
    """A clinical picture of poisoning.

    `poison` is a short name for it ('Amatoxins'), `organ` what it strikes, `harm` what the sick suffer, as
    words that follow 'can kill:' or 'can make ill:', and `harm_source` who says so.
    """

    id: str
    name: str
    what_happens: str = ""
    source: str = ""
    pack: str = ""
    poison: str = ""
    organ: str = ""
    harm: str = ""
    harm_source: str = ""


@dataclass(frozen=True, slots=True)
class Stage:
    """What one source says of one stage of a syndrome: `what` is struck, `low` to `high` `unit` after the meal.

    `number` counts the stages from 1; several rows of one number are several sources. `counts` are the
    words of `Hazard.onset_counts` that mean this stage. A stage without a window is a phrase of its own
    ('then a quiet spell').
    """

    syndrome: str
    number: int
    what: str
    low: float | None = None
    high: float | None = None
    unit: str = ""
    counts: tuple[str, ...] = ()
    may_be_missing: bool = False
    source: str = ""
    note: str = ""
    pack: str = ""


@dataclass(frozen=True, slots=True)
class Hazard:
    """A documented poisoning by a taxon. Onset runs from `onset_low` to `onset_high` in `onset_unit`."""

    taxon: str
    syndrome: str
    severity: Severity
    toxin: str = ""
    onset_low: float | None = None
    onset_high: float | None = None
    onset_unit: str = ""
    onset_counts: str = ""
    misleads: str = ""
    source: str = ""
    note: str = ""
    pack: str = ""
    further: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Confusion:
    """A documented confusion. `separates` and `does_not_separate` are feature ids."""

    taxon: str
    lookalike: str
    separates: tuple[str, ...] = ()
    does_not_separate: tuple[str, ...] = ()
    note: str = ""
    source: str = ""
    pack: str = ""
    further: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FeatureTies:
    """How features hang together, where a pack says so.

    `kin`: feature to the name of its kin; features of one kin are no independent witnesses.
    `needs`: feature to the feature without which it makes no sense.
    `absent_names`: feature to its words for 'looked for and not there'; a feature that is missing here
    cannot be absent. None where the pack does not say: then any feature can be absent.
    """

    kin: Mapping[str, str] = field(default_factory=dict)
    needs: Mapping[str, str] = field(default_factory=dict)
    absent_names: Mapping[str, str] | None = None


@dataclass(frozen=True, slots=True)
class Override:
    """A row of one pack that took the place of a row of an earlier one."""

    table: str
    key: tuple[str, ...]
    earlier: str
    later: str


@dataclass(frozen=True)
class Reference:
    """Everything the packs say. Values are frozen; look-ups and arrays are built once, when first asked for.

    Rows keep the name of the pack they come from. Several rows for one taxon and feature are several
    states, or several sources that disagree: all stand.
    """

    vocabulary: Vocabulary
    taxa: tuple[Taxon, ...] = ()
    states: tuple[StateFrequency, ...] = ()
    sizes: tuple[SizeRange, ...] = ()
    hazards: tuple[Hazard, ...] = ()
    confusions: tuple[Confusion, ...] = ()
    synonyms: tuple[Synonym, ...] = ()
    sources: tuple[Source, ...] = ()
    syndromes: tuple[Syndrome, ...] = ()
    ties: FeatureTies = field(default_factory=FeatureTies)
    packs: tuple[str, ...] = ()
    overrides: tuple[Override, ...] = ()
    stages: tuple[Stage, ...] = ()

    def taxon(self, taxon_id: str) -> Taxon | None:
        """The taxon of that id, or None."""
        return self._taxa.get(taxon_id)

    def named(self, name: str) -> Taxon | None:
        """The taxon with that name or synonym; case, authors and qualifiers do not matter. Or None."""
        return self._names.get(name_key(name))

    def source(self, source_id: str) -> Source | None:
        """The source of that id, or None."""
        return self._sources.get(source_id)

    def syndrome(self, syndrome_id: str) -> Syndrome | None:
        """The syndrome of that id, or None."""
        return self._syndromes.get(syndrome_id)

    def stages_of(self, syndrome_id: str) -> tuple[Stage, ...]:
        """What is written about the stages of a syndrome, in the order in which they come."""
        return self._stages.get(syndrome_id, ())

    def states_of(self, taxon_id: str, feature_id: str) -> tuple[StateFrequency, ...]:
        """What is written about one feature of one taxon."""
        return self._states.get((taxon_id, feature_id), ())

    def all_states_of(self, taxon_id: str) -> tuple[StateFrequency, ...]:
        """Everything that is written about the states of one taxon."""
        return self._states_by_taxon.get(taxon_id, ())

    def sizes_of(self, taxon_id: str, feature_id: str | None = None) -> tuple[SizeRange, ...]:
        """The size ranges of one taxon, of one feature if it is given."""
        rows = self._sizes.get(taxon_id, ())
        return rows if feature_id is None else tuple(row for row in rows if row.feature == feature_id)

    def hazards_of(self, taxon_id: str) -> tuple[Hazard, ...]:
        """The documented poisonings by one taxon, the worst first."""
        return self._hazards.get(taxon_id, ())

    def severity_of(self, taxon_id: str) -> Severity | None:
        """The worst that is documented, or None where nothing is written down (which is no statement)."""
        rows = self._hazards.get(taxon_id, ())
        return rows[0].severity if rows else None

    def confusions_of(self, taxon_id: str) -> tuple[Confusion, ...]:
        """What the taxon is mistaken for."""
        return self._confusions.get(taxon_id, ())

    def synonyms_of(self, taxon_id: str) -> tuple[Synonym, ...]:
        """Other names of the taxon."""
        return self._synonyms.get(taxon_id, ())

    def absent_name(self, feature_id: str) -> str:
        """The words for 'looked for and not there' of a feature; '' where absence makes no sense."""
        names = self.ties.absent_names
        return "not there" if names is None else names.get(feature_id, "")

    @cached_property
    def dangerous(self) -> tuple[str, ...]:
        """Ids of the taxa with a hazard row, in the order of the taxa."""
        return tuple(taxon.id for taxon in self.taxa if taxon.id in self._hazards)

    @cached_property
    def dangerous_values(self) -> tuple[tuple[Taxon, Severity, tuple[str, ...]], ...]:
        """For each of `dangerous`: the taxon, the worst severity, the syndromes."""
        return tuple(
            (
                self._taxa[t],
                rows[0].severity,
                tuple(dict.fromkeys(row.syndrome for row in rows if row.syndrome)),
            )
            for t in self.dangerous
            for rows in (self._hazards[t],)
        )

    @cached_property
    def severity_order(self) -> npt.NDArray[np.int64]:
        """(H,) 0 for the worst severity."""
        return np.array([severity.order for _, severity, _ in self.dangerous_values], dtype=np.int64)

    @cached_property
    def fatal(self) -> npt.NDArray[np.bool_]:
        """(H,) which of the dangerous taxa are known to kill."""
        return np.array([self.severity_of(t) is Severity.FATAL for t in self.dangerous], dtype=np.bool_)

    @cached_property
    def _taxa(self) -> dict[str, Taxon]:
        return {taxon.id: taxon for taxon in self.taxa}

    @cached_property
    def _names(self) -> dict[str, Taxon]:
        names = {
            name_key(row.name): self._taxa[row.taxon] for row in self.synonyms if row.taxon in self._taxa
        }
        names.update({name_key(taxon.name): taxon for taxon in self.taxa})
        return names

    @cached_property
    def _sources(self) -> dict[str, Source]:
        return {source.id: source for source in self.sources}

    @cached_property
    def _syndromes(self) -> dict[str, Syndrome]:
        return {syndrome.id: syndrome for syndrome in self.syndromes}

    @cached_property
    def _stages(self) -> dict[str, tuple[Stage, ...]]:
        rows: dict[str, list[Stage]] = {}
        for row in sorted(self.stages, key=lambda row: row.number):
            rows.setdefault(row.syndrome, []).append(row)
        return {key: tuple(value) for key, value in rows.items()}

    @cached_property
    def _states(self) -> dict[tuple[str, str], tuple[StateFrequency, ...]]:
        rows: dict[tuple[str, str], list[StateFrequency]] = {}
        for row in self.states:
            rows.setdefault((row.taxon, row.feature), []).append(row)
        return {key: tuple(value) for key, value in rows.items()}

    @cached_property
    def _states_by_taxon(self) -> dict[str, tuple[StateFrequency, ...]]:
        return _by_taxon(self.states)

    @cached_property
    def _sizes(self) -> dict[str, tuple[SizeRange, ...]]:
        return _by_taxon(self.sizes)

    @cached_property
    def _hazards(self) -> dict[str, tuple[Hazard, ...]]:
        return {
            key: tuple(sorted(rows, key=lambda row: row.severity.order))
            for key, rows in _by_taxon(self.hazards).items()
        }

    @cached_property
    def _confusions(self) -> dict[str, tuple[Confusion, ...]]:
        return _by_taxon(self.confusions)

    @cached_property
    def _synonyms(self) -> dict[str, tuple[Synonym, ...]]:
        return _by_taxon(self.synonyms)


QUALIFIERS = frozenset({"cf.", "cf", "aff.", "aff", "agg.", "agg", "s.l.", "s.str.", "?", "×", "x"})
RANKS = frozenset({"var.", "subsp.", "ssp.", "f.", "forma"})
_OPEN = frozenset({"sp.", "sp", "spp.", "spp", "indet.", "indet", "stet."})


def name_key(name: str) -> str:
    """A name for looking up: genus, epithet and ranked epithets; no authors, qualifiers, case or signs.

    Authors begin with a capital letter or a bracket (Shenzhen Code, Art. 46 and 49), so the first such
    word after the genus ends the epithets, unless a rank follows later.
    """
    words = [word for word in name.replace("?", " ? ").split() if word.casefold() not in QUALIFIERS]
    if not words:
        return ""
    kept = [words[0].casefold()]
    ranked = False
    in_authors = False
    for word in words[1:]:
        if word.casefold() in RANKS:
            ranked, in_authors = True, False
        elif _is_epithet(word) and not in_authors:
            if word.casefold() in _OPEN:
                break
            if ranked or len(kept) < 3:
                kept.append(word.casefold())
        else:
            in_authors = True
    return " ".join(kept)


def _is_epithet(word: str) -> bool:
    shouted = word.isupper() and word.isalpha() and len(word) > 3
    return (word[:1].islower() or shouted) and word not in {"ex", "in"}


def _by_taxon(rows: Iterable[R]) -> dict[str, tuple[R, ...]]:
    gathered: dict[str, list[R]] = {}
    for row in rows:
        gathered.setdefault(row.taxon, []).append(row)
    return {key: tuple(value) for key, value in gathered.items()}
