"""Names the parts of a find as the page shows them; not everything has gills."""

from __future__ import annotations

from collections import Counter

from catalog_gui.domain import vocabulary_roles as roles
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Part, Vocabulary
from catalog_gui.domain.figures_typed import size_words
from catalog_gui.domain.plate_words import LabelWeight
from catalog_gui.lookalikes.reference import Reference, Severity
from catalog_gui.presenting.describe.state import SpecimenLine
from catalog_gui.presenting.part_titles import TITLES

_UNDERSIDE = {
    "bolete": "Pores",
    "bracket": "Pores",
    "toothed": "Spines",
    "fold-bearing": "Folds",
    "crust": "Fertile side",
}
_KINDS = {"gills": "Gills", "pores": "Pores", "spines": "Spines", "folds": "Folds", "smooth": "Fertile side"}
_HEADS = {"saddle": "Head", "honeycomb": "Head", "phalloid": "Head"}


def part_title(part: Part, evidence: dict[str, Evidence]) -> str:
    """The word for a part of this find: pores under a bolete, a head on a morel."""
    form = evidence.get(roles.FORM)
    forms = form.states if form is not None else ()
    if part is Part.GILLS:
        kind = evidence.get(roles.UNDERSIDE)
        for state in kind.states if kind is not None else ():
            if state in _KINDS:
                return _KINDS[state]
        return next((_UNDERSIDE[one] for one in forms if one in _UNDERSIDE), TITLES[part])
    if part is Part.CAP:
        return next((_HEADS[one] for one in forms if one in _HEADS), TITLES[part])
    return TITLES[part]


def weights_of(reference: Reference) -> dict[str, LabelWeight]:
    """How many confusions, and how many with a fatal taxon, each feature separates."""
    grave: Counter[str] = Counter()
    every: Counter[str] = Counter()
    for row in reference.confusions:
        fatal = Severity.FATAL in {reference.severity_of(row.taxon), reference.severity_of(row.lookalike)}
        for feature in row.separates:
            every[feature] += 1
            grave[feature] += fatal
    return {feature: LabelWeight(grave[feature], count) for feature, count in every.items()}


def state_frequency(reference: Reference) -> dict[tuple[str, str], float]:
    """How common each state is over the reference, from 0 to 1 within its feature."""
    counts: Counter[tuple[str, str]] = Counter()
    share = {"always": 1.0, "usually": 0.8, "sometimes": 0.4, "rarely": 0.1}
    weighed: dict[tuple[str, str], float] = {}
    for row in reference.states:
        key = (row.feature, row.state)
        counts[key] += 1
        weighed[key] = weighed.get(key, 0.0) + share.get(row.frequency.value, 0.0)
    most: dict[str, float] = {}
    for (feature, _), weight in weighed.items():
        most[feature] = max(most.get(feature, 0.0), weight)
    return {key: weight / most[key[0]] for key, weight in weighed.items() if most[key[0]] > 0}


def swatches(row: Evidence | None, vocabulary: Vocabulary) -> tuple[str, ...]:
    """The colours of the states of an entry."""
    if row is None:
        return ()
    found = (vocabulary.state(row.feature, state) for state in row.states)
    return tuple(state.colour for state in found if state is not None and state.colour)


def evidence_words(row: Evidence | None, reference: Reference) -> str:
    """What an entry says, as short as it can be said."""
    if row is None:
        return ""
    if row.standing is Standing.NOT_THERE:
        words = reference.absent_name(row.feature) or "looked for, not there"
    elif row.standing is Standing.GONE:
        words = "damaged or gone"
    elif row.standing is Standing.NOT_LOOKED_AT:
        words = ""
    else:
        names = [
            state.name if (state := reference.vocabulary.state(row.feature, key)) is not None else key
            for key in row.states
        ]
        size = size_words(row.low, row.high, row.unit)
        words = ", ".join([*names, *([size] if size else [])])
    if row.note:
        words = f"{words} – {row.note}" if words else row.note
    return words if row.sure or not words else f"{words} (doubted)"


def line_words(line: SpecimenLine) -> str:
    """What a screen reader says of a line."""
    name = line.name.display_name if line.name is not None else "not named"
    words = f"{line.specimen.number}, {name}, {line.noted} of {line.wanted} features noted"
    return f"{words}, {line.overdue} overdue" if line.overdue else words


def names_on_offer(reference: Reference) -> list[str]:
    """Names and synonyms of the reference, sorted."""
    return sorted({taxon.name for taxon in reference.taxa} | {row.name for row in reference.synonyms})
