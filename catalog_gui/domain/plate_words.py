"""What an empty panel of the plate costs, in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from catalog_gui.domain.feature import Feature, Part, Vocabulary

_PICTURED = frozenset({"none", "micro", ""})
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
_SPOKEN = {"growing on": "what it grew on", "gill colour, mature": "the colour of ripe gills"}
_COUNTED = frozenset({"volva", "ring", "root", "net on the stem"})


@dataclass(frozen=True, slots=True)
class Weight:
    """How many confusions of the reference a feature separates; `grave` counts those with a fatal taxon."""

    grave: int = 0
    any: int = 0


def missing_words(
    part: Part,
    vocabulary: Vocabulary,
    *,
    absent_names: Mapping[str, str],
    weights: Mapping[str, Weight],
    allowed: Iterable[str] | None = None,
    recorded: Iterable[str] = (),
) -> str:
    """'No picture of the base: a volva can't be ruled out.'

    The features named are those of the part that a picture shows, that nothing has been written down for,
    and on which most grave confusions of the reference hang. What can be missing 'can't be ruled out';
    what always has some state 'can't be told'.
    """
    fits = None if allowed is None else set(allowed)
    noted = set(recorded)
    open_ones = [
        feature
        for feature in vocabulary.of_part(part)
        if feature.view not in _PICTURED and feature.kind == "states" and (fits is None or feature.id in fits)
    ]
    left = sorted((f for f in open_ones if f.id not in noted), key=lambda f: _order(f, weights))
    start = f"No picture of {_NAMES.get(part, part.value)}"
    if not left:
        return f"{start}: nobody else can check what is written." if noted and open_ones else f"{start}."
    if left[0].id in absent_names and absent_names[left[0].id]:
        return f"{start}: {_article(left[0].name)} can’t be ruled out."
    told = [_SPOKEN.get(f.name, f.name) for f in left if not absent_names.get(f.id)][:2]
    return f"{start}: {' and '.join(told)} can’t be told."


def _order(feature: Feature, weights: Mapping[str, Weight]) -> tuple[int, int, int]:
    weight = weights.get(feature.id, Weight())
    return (-weight.grave, -weight.any, -int(feature.fragility))


def _article(name: str) -> str:
    return f"a {name}" if name in _COUNTED else name
