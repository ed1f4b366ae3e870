"""What an empty panel of the plate costs, in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from catalog_gui.domain import vocabulary_roles as roles
from catalog_gui.domain.feature import Feature, Fragility, Part, Vocabulary

_UNPICTURED = frozenset({"none", "micro", ""})
_THE_PART_ITSELF = frozenset({roles.UNDERSIDE})
_NAMES = {
    Part.CAP: "the cap",
    Part.GILLS: "the underside",
    Part.STEM: "the stem",
    Part.BASE: "the base",
    Part.RING: "the ring",
    Part.FLESH: "the cut flesh",
    Part.PRINT: "the spore print",
    Part.PLACE: "the place it grew",
}
_SPOKEN = {
    roles.CAP_COLOUR: "cap colour",
    roles.SUBSTRATE: "what it grew on",
    roles.GILL_COLOUR: "the colour of ripe gills",
}
_COUNTED = frozenset({roles.VOLVA, roles.RING, roles.ROOT, roles.STEM_NET, roles.CORTINA})
"""Features whose names are things that can be counted."""


@dataclass(frozen=True, slots=True)
class LabelWeight:
    """How many confusions of the reference a feature separates; `grave` counts those with a fatal taxon."""

    grave: int = 0
    any: int = 0


def missing_words(
    part: Part,
    vocabulary: Vocabulary,
    *,
    absent_names: Mapping[str, str],
    weights: Mapping[str, LabelWeight],
    allowed: Iterable[str] | None = None,
    recorded: Iterable[str] = (),
) -> str:
    """'No picture of the base: a volva can't be ruled out.'

    The features named are those of the part that a picture shows and on which most grave confusions of the
    reference hang. What easily gets lost 'can't be ruled out'; what always has some state 'can't be told'.
    Where the gravest has been written down, nobody else can check it.
    """
    fits = None if allowed is None else set(allowed)
    noted = set(recorded)
    shown = [
        feature
        for feature in vocabulary.of_part(part)
        if feature.view not in _UNPICTURED
        and feature.kind == "states"
        and feature.id not in _THE_PART_ITSELF
        and (fits is None or feature.id in fits)
    ]
    shown.sort(key=lambda feature: _order(feature, weights))
    start = f"No picture of {_NAMES.get(part, part.value)}"
    if not shown:
        return f"{start}."
    if shown[0].id in noted:
        return f"{start}: nobody else can check {_definite(shown[0])}."
    left = [feature for feature in shown if feature.id not in noted]
    if absent_names.get(left[0].id) and left[0].fragility >= Fragility.GOES:
        return f"{start}: {_article(left[0])} can’t be ruled out."
    told = [_spoken(feature) for feature in left[:2]]
    return f"{start}: {' and '.join(told)} can’t be told."


def _order(feature: Feature, weights: Mapping[str, LabelWeight]) -> tuple[int, int, int]:
    weight = weights.get(feature.id, LabelWeight())
    return (-weight.grave, -weight.any, -int(feature.fragility))


def _spoken(feature: Feature) -> str:
    return _SPOKEN.get(feature.id, feature.name)


def _article(feature: Feature) -> str:
    return f"a {feature.name}" if feature.id in _COUNTED else feature.name


def _definite(feature: Feature) -> str:
    spoken = _spoken(feature)
    return spoken if spoken.startswith(("the ", "what ")) else f"the {spoken}"
