"""What parts, states and taxa are called, for searching: handed in when the catalogue is opened.

Words are compared without case, accents and punctuation, as the search index compares them.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from catalog_gui.domain.feature import Feature, Part, Vocabulary

_OTHER_NAMES = {
    "gill": Part.GILLS,
    "pores": Part.GILLS,
    "spines": Part.GILLS,
    "folds": Part.GILLS,
    "lamellae": Part.GILLS,
    "stipe": Part.STEM,
    "pileus": Part.CAP,
    "annulus": Part.RING,
    "volva": Part.BASE,
    "spore print": Part.PRINT,
    "odour": Part.SMELL,
    "odor": Part.SMELL,
    "reactions": Part.REACTION,
    "microscopy": Part.MICRO,
    "spores": Part.MICRO,
    "place of growth": Part.PLACE,
}


_LITTLE = {"like", "with", "the", "a", "an", "of", "and", "or", "on", "in", "at", "to", "is"}


_PARTS = {part.value: part for part in Part}


def words_of(text: str) -> tuple[str, ...]:
    """The searchable words of a text: letters and digits, caseless, without accents."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return tuple(re.findall(r"[^\W_]+", "".join(c for c in plain if not unicodedata.combining(c))))


def telling(words: Sequence[str]) -> tuple[str, ...]:
    """The words without little ones, so that 'sac-like' is 'sac'; all of them when only little ones are there."""
    return tuple(word for word in words if word not in _LITTLE) or tuple(words)


def holds(wanted: Sequence[str], words: Sequence[str]) -> bool:
    """Whether every wanted word begins some word; a single letter must be a whole word."""
    return bool(wanted) and all(
        any(w == word or (len(w) > 1 and word.startswith(w)) for word in words) for w in wanted
    )


def holds_phrase(wanted: Sequence[str], words: Sequence[str]) -> bool:
    """Whether the wanted words stand together in this order."""
    size = len(wanted)
    return size > 0 and any(
        tuple(words[at : at + size]) == tuple(wanted) for at in range(len(words) - size + 1)
    )


@dataclass(frozen=True)
class Lexicon:
    """`names`: taxon id to all its names (synonyms, English ones); `hazards`: taxon id to severity word."""

    vocabulary: Vocabulary = field(default_factory=Vocabulary)
    names: Mapping[str, Sequence[str]] = field(default_factory=dict)
    hazards: Mapping[str, str] = field(default_factory=dict)

    @cached_property
    def _states(self) -> tuple[tuple[tuple[str, ...], str, str], ...]:
        return tuple(
            (words_of(f"{state.name} {state.id}"), state.feature, state.id)
            for state in self.vocabulary.states
        )

    @cached_property
    def _features(self) -> tuple[tuple[tuple[str, ...], Feature], ...]:
        return tuple((words_of(feature.name), feature) for feature in self.vocabulary.features)

    @cached_property
    def _taxa(self) -> tuple[tuple[tuple[str, ...], str], ...]:
        return tuple((words_of(name), taxon) for taxon, names in self.names.items() for name in names)

    @cached_property
    def _taxon_by_name(self) -> dict[tuple[str, ...], str]:
        return dict(self._taxa)

    def called(self, name: str) -> tuple[Feature, ...] | None:
        """The features that the user means by a name: a feature's id, a part, a feature's name, a part's other name.

        Empty for a part that the reference has no features of, None for a name that is none of these.
        """
        by_id = self.vocabulary.feature(name.strip())
        if by_id is not None:
            return (by_id,)
        wanted = words_of(name)
        together = " ".join(wanted)
        if together in _PARTS:
            return self.vocabulary.of_part(_PARTS[together])
        by_name = tuple(feature for words, feature in self._features if words == wanted)
        if by_name:
            return by_name
        return self.vocabulary.of_part(_OTHER_NAMES[together]) if together in _OTHER_NAMES else None

    def states(self, wanted: Sequence[str], *, phrase: bool = False) -> list[tuple[str, str]]:
        """(feature, state) of every state whose own name has these words."""
        fits, wanted = (holds_phrase, wanted) if phrase else (holds, telling(wanted))
        return [(feature, state) for words, feature, state in self._states if fits(wanted, words)]

    def states_within(self, wanted: Sequence[str], features: Iterable[Feature]) -> list[tuple[str, str]]:
        """(feature, state) of the states of these features that the words describe.

        The words may also name the feature ('sac-like volva' is the state 'sac' of the feature 'volva'), but
        one of them must be the state's own.
        """
        wanted = telling(wanted)
        called = {feature.id: words_of(feature.name) for feature in features}
        return [
            (feature, state)
            for words, feature, state in self._states
            if feature in called
            and holds(wanted, (*words, *called[feature]))
            and any(holds((word,), words) for word in wanted)
        ]

    def features(self, wanted: Sequence[str], *, phrase: bool = False) -> list[Feature]:
        """The features whose name has these words."""
        fits, wanted = (holds_phrase, wanted) if phrase else (holds, telling(wanted))
        return [feature for words, feature in self._features if fits(wanted, words)]

    def taxa(self, wanted: Sequence[str], *, phrase: bool = False) -> list[str]:
        """The ids of taxa one of whose names has these words."""
        fits = holds_phrase if phrase else holds
        return list(dict.fromkeys(taxon for words, taxon in self._taxa if fits(wanted, words)))

    def names_of(self, taxon: str) -> Sequence[str]:
        """Every name of a taxon; empty for one that is not in the reference."""
        return self.names.get(taxon, ())

    def hazard(self, taxon: str, name: str) -> str:
        """The severity word for a determination, by taxon id or, where it has none, by name; else ''."""
        return self.hazards.get(taxon or self._taxon_by_name.get(words_of(name), ""), "")

    def state_name(self, feature: str, state: str) -> str:
        """'ring position: hanging', as a snippet says it; ids where the vocabulary lacks them."""
        known = self.vocabulary.feature(feature)
        called = self.vocabulary.state(feature, state)
        return f"{known.name if known else feature}: {called.name if called else state}"
