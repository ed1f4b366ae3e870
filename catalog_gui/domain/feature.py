"""What there is to look at on a fungus: parts, features, their states, and how soon they go."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum, StrEnum


class Part(StrEnum):
    """The parts a description walks through, in the order it walks."""

    WHOLE = "whole"
    CAP = "cap"
    GILLS = "gills"
    STEM = "stem"
    RING = "ring"
    BASE = "base"
    FLESH = "flesh"
    PRINT = "print"
    SMELL = "smell"
    TASTE = "taste"
    REACTION = "reaction"
    MICRO = "micro"
    PLACE = "place"
    SEASON = "season"


class Fragility(IntEnum):
    """How easily a feature is not seen although it was there (house plan, section 2)."""

    STAYS = 0
    FADES = 1
    GOES = 2
    OFTEN_MISSED = 3


@dataclass(frozen=True, slots=True)
class State:
    """A value that a feature can take. `colour` is '#rrggbb' for colour states, else ''."""

    feature: str
    id: str
    name: str
    gloss: str = ""
    figure: str = ""
    colour: str = ""


@dataclass(frozen=True, slots=True)
class Feature:
    """Something to look at on a part. `kind` is 'states', 'number' or 'text'; `unit` 'mm', 'µm', 'ratio' or ''.

    `view` names the picture that shows it; `forms` the body forms it belongs to (empty: all);
    `cost` what looking takes: picture, specimen, dig, cut, smell, print, reagent, microscope or habitat.
    """

    id: str
    part: Part
    name: str
    gloss: str = ""
    kind: str = "states"
    unit: str = ""
    fragility: Fragility = Fragility.STAYS
    when_to_look: str = ""
    how_to_look: str = ""
    view: str = ""
    forms: tuple[str, ...] = ()
    cost: str = "picture"
    figure: str = ""


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """All features with their states, in the order of the tables. Ids are unique."""

    features: tuple[Feature, ...] = ()
    states: tuple[State, ...] = ()
    _features: Mapping[str, Feature] = field(init=False, repr=False, compare=False)
    _states: Mapping[str, tuple[State, ...]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        by_feature: dict[str, list[State]] = {}
        for state in self.states:
            by_feature.setdefault(state.feature, []).append(state)
        object.__setattr__(self, "_features", {feature.id: feature for feature in self.features})
        object.__setattr__(self, "_states", {key: tuple(value) for key, value in by_feature.items()})

    def feature(self, feature_id: str) -> Feature | None:
        """The feature of that id, or None."""
        return self._features.get(feature_id)

    def states_of(self, feature_id: str) -> tuple[State, ...]:
        """The states of a feature in table order; empty for numbers, text and unknown ids."""
        return self._states.get(feature_id, ())

    def state(self, feature_id: str, state_id: str) -> State | None:
        """One state of one feature, or None."""
        return next((s for s in self.states_of(feature_id) if s.id == state_id), None)

    def of_part(self, part: Part) -> tuple[Feature, ...]:
        """The features of one part, in table order."""
        return tuple(feature for feature in self.features if feature.part is part)

    def for_form(self, form: str | None) -> tuple[Feature, ...]:
        """The features that a fruit body of this form has; all of them while the form is not known."""
        if not form:
            return self.features
        return tuple(f for f in self.features if not f.forms or form in f.forms)
