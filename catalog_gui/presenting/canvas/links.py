"""Offers what a mark can show: parts, features and states as choices with completion."""

from __future__ import annotations

from dataclasses import dataclass

from catalog_gui.domain.feature import Feature, Part, Vocabulary

PARTS: tuple[tuple[str, str], ...] = (
    ("", "no part in particular"),
    (Part.WHOLE.value, "whole fruit body"),
    (Part.CAP.value, "cap"),
    (Part.GILLS.value, "gills, pores, underside"),
    (Part.STEM.value, "stem"),
    (Part.RING.value, "ring"),
    (Part.BASE.value, "base"),
    (Part.FLESH.value, "flesh"),
    (Part.PRINT.value, "spore print"),
    (Part.REACTION.value, "reaction"),
    (Part.MICRO.value, "under the microscope"),
    (Part.PLACE.value, "place"),
)
_UNSEEN = {Part.SMELL, Part.TASTE, Part.SEASON}


@dataclass(frozen=True, slots=True)
class WordChoice:
    """One line of a completion list: words, and the feature and state they stand for."""

    words: str
    feature: str
    state: str = ""


def feature_choices(vocabulary: Vocabulary, part: str) -> tuple[WordChoice, ...]:
    """The features that a picture can show, those of the part first, in table order."""
    found = [one for one in vocabulary.features if one.part not in _UNSEEN]
    found.sort(key=lambda one: one.part.value != part)
    return tuple(WordChoice(one.name, one.id) for one in found)


def word_choices(vocabulary: Vocabulary, part: str, feature: str) -> tuple[WordChoice, ...]:
    """States and features to word a mark with, nearest to the chosen part and feature first."""
    features = [one for one in vocabulary.features if one.part not in _UNSEEN]
    features.sort(key=lambda one: (one.id != feature, one.part.value != part))
    made: list[WordChoice] = []
    for one in features:
        made.extend(
            WordChoice(f"{state.name} ({one.name})", one.id, state.id)
            for state in vocabulary.states_of(one.id)
        )
        made.append(WordChoice(one.name, one.id))
    return tuple(made)


def number_features(vocabulary: Vocabulary, part: str, unit: str) -> tuple[Feature, ...]:
    """Features that take a length, those of the part first; only lengths fit millimetres."""
    found = [one for one in vocabulary.features if one.kind == "number" and one.unit in {"mm", "cm", "µm"}]
    if unit not in {"mm", "cm", "µm"}:
        return ()
    return tuple(sorted(found, key=lambda one: one.part.value != part))
