"""The entry line: a few typed letters become evidence. Pure: letters and a vocabulary in, offers out.

What can be typed (see `EntryIndex.offers`): letters of part, feature and state in any order ('vol sac');
'-ring' or 'no ring' for looked for and not there; '~ring' or 'gone ring' for damaged or gone; '?ring' to take
an entry back; sizes ('cap 45-60', 'spores 8-10 x 6'); 'white, cream' for several states; '=' before a state
for this one only; a '?' behind it for a doubted one; ';' and then a note.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from catalog_gui.domain.evidence import Standing
from catalog_gui.domain.feature import Feature, Part, State, Vocabulary
from catalog_gui.domain.figures_typed import Span, in_unit, read_size, size_words
from catalog_gui.domain.problem import BadInput

_ALSO = {
    Part.WHOLE: ("whole", "overall", "fungus"),
    Part.CAP: ("cap", "pileus", "head", "hat"),
    Part.GILLS: ("gills", "lamellae", "pores", "spines", "folds", "underside", "hymenium"),
    Part.STEM: ("stem", "stipe", "stalk"),
    Part.RING: ("ring", "annulus", "veil"),
    Part.BASE: ("base", "foot", "bulb"),
    Part.FLESH: ("flesh", "context", "trama"),
    Part.PRINT: ("print", "spores", "deposit"),
    Part.SMELL: ("smell", "odour"),
    Part.TASTE: ("taste",),
    Part.REACTION: ("reaction", "reagent"),
    Part.MICRO: ("micro", "microscope"),
    Part.PLACE: ("place", "site", "grows"),
    Part.SEASON: ("season", "date"),
}
_SELDOM = frozenset({Part.TASTE, Part.MICRO, Part.REACTION, Part.SEASON})
_WORD = re.compile(r"[^\W_]+")
_NO_MATCH = 1000.0


@dataclass(frozen=True, slots=True)
class Entry:
    """What one accepted line says about one feature. `add`: beside the states that are there already."""

    feature: str
    standing: Standing
    states: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    unit: str = ""
    note: str = ""
    sure: bool = True
    add: bool = True


@dataclass(frozen=True, slots=True)
class Offer:
    """One line under the entry line. Without `entries` it only goes to the feature ('ask it')."""

    feature: Feature
    words: str
    state: State | None = None
    entries: tuple[Entry, ...] = ()


_Ranked = list[tuple[tuple[float, ...], Offer]]


@dataclass(frozen=True, slots=True)
class Around:
    """What is known while the user types; it decides which of several fitting offers stands first.

    `asked` is the feature in focus; `allowed` the features of the known form (None: all); `recorded` what
    has an entry already; `waiting` what makes no sense before another feature is seen (a ring's colour);
    `recent` the states used last, newest first.
    """

    asked: str = ""
    allowed: frozenset[str] | None = None
    recorded: frozenset[str] = frozenset()
    waiting: frozenset[str] = frozenset()
    recent: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class _Words:
    feature: Feature
    state: State | None
    state_words: tuple[str, ...]
    gloss_words: tuple[str, ...]
    feature_words: tuple[str, ...]
    length: int  # of the state's name, in words
    order: int


@dataclass(frozen=True, slots=True)
class _Typed:
    text: str
    standing: Standing
    note: str = ""
    sure: bool = True
    add: bool = True


@dataclass
class EntryIndex:
    """All features and states prepared for matching. Build once; `offers` takes a few milliseconds.

    `absent_names` has the features that can be looked for and not be there; `frequency` says how common a
    state is over the reference (any scale from 0 to 1), to put common ones first.
    """

    vocabulary: Vocabulary
    absent_names: Mapping[str, str]
    frequency: Mapping[tuple[str, str], float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._features: list[_Words] = []
        self._states: list[_Words] = []
        self._named: dict[tuple[str, ...], set[str]] = {}
        order = 0
        for feature in self.vocabulary.features:
            names = _distinct(
                (*words_of(feature.name), *words_of(feature.id.partition(".")[2]), *_ALSO[feature.part])
            )
            self._features.append(_Words(feature, None, (), words_of(feature.gloss), names, 0, order))
            for own_name in (words_of(feature.name), words_of(feature.id.partition(".")[2])):
                self._named.setdefault(own_name, set()).add(feature.id)
            for state in self.vocabulary.states_of(feature.id):
                order += 1
                own = _distinct((*words_of(state.name), *words_of(state.id)))
                self._states.append(
                    _Words(
                        feature, state, own, words_of(state.gloss), names, len(words_of(state.name)), order
                    )
                )

    def offers(self, text: str, around: Around, limit: int = 12) -> tuple[Offer, ...]:
        """What the typed text may mean, the likeliest first; empty for empty text or when nothing fits."""
        typed = _read(text)
        if typed.standing is not Standing.SEEN:
            return self._standing_offers(typed, around)[:limit]
        if not typed.text:
            return ()
        size = read_size(typed.text)
        if size is not None:
            return self._size_offers(size[0], size[1], typed, around)[:limit]
        if typed.text[0].isdigit():
            return ()
        return self._state_offers(typed, around)[:limit]

    # --- the kinds of offers -------------------------------------------------------------------

    def _state_offers(self, typed: _Typed, around: Around) -> tuple[Offer, ...]:
        first, *more = [piece.strip() for piece in typed.text.split(",") if piece.strip()] or [""]
        query = words_of(first)
        if not query:
            return ()
        found: _Ranked = []
        recent = set(around.recent)
        of_features: dict[tuple[str, str], float] = {}
        names_a_feature = query in self._named
        for words in self._states:
            cost = _state_cost(query, words, of_features)
            if cost >= _NO_MATCH or words.state is None:
                continue
            key = (words.feature.id, words.state.id)
            asked = words.feature.id == around.asked and cost < 4 and not names_a_feature
            rank = (
                0.0 if asked else 1.0 + (cost >= 4) + (cost >= 20),
                float(around.allowed is not None and words.feature.id not in around.allowed),
                cost
                + 0.06 * max(0, words.length - len(query))
                + 1.5 * (words.feature.part in _SELDOM)
                + 0.5 * (words.feature.id in around.recorded)
                + 2.0 * (words.feature.id in around.waiting)
                - 0.3 * (key in recent)
                - 0.4 * self.frequency.get(key, 0.0),
                float(words.order),
            )
            offer = self._seen(words.feature, words.state, more, typed)
            if offer is not None:
                found.append((rank, offer))
        if not more:
            found.extend(self._jumps(query, around) if not typed.note else self._texts(query, typed))
        found.sort(key=lambda pair: pair[0])
        return tuple(offer for _, offer in found)

    def _seen(self, feature: Feature, state: State, more: Sequence[str], typed: _Typed) -> Offer | None:
        states = [state]
        for piece in more:
            query = words_of(piece)
            ranked = sorted(
                (
                    (_state_cost(query, words), words.order, words.state)
                    for words in self._states
                    if words.feature.id == feature.id and words.state is not None
                ),
                key=lambda triple: triple[:2],
            )
            if not query or not ranked or ranked[0][0] >= _NO_MATCH:
                return None
            if ranked[0][2] not in states:
                states.append(ranked[0][2])
        entry = Entry(
            feature.id,
            Standing.SEEN,
            tuple(one.id for one in states),
            note=typed.note,
            sure=typed.sure,
            add=typed.add,
        )
        words = ", ".join(one.name for one in states)
        return Offer(feature, words if typed.sure else f"{words} (doubted)", state, (entry,))

    def _jumps(self, query: tuple[str, ...], around: Around) -> _Ranked:
        found: _Ranked = []
        for words in self._features:
            cost = _all_cost(query, words.feature_words)
            if cost >= 20:
                continue
            exact = words.feature.id in self._named.get(query, ())
            rank = (
                1.0 + (0 if exact else 0.5 if cost < 4 else 1),
                float(around.allowed is not None and words.feature.id not in around.allowed),
                (-1.0 if exact else cost + 1.5) + 0.5 * (words.feature.id in around.recorded),
                float(words.order),
            )
            found.append((rank, Offer(words.feature, "ask this")))
        return found

    def _texts(self, query: tuple[str, ...], typed: _Typed) -> _Ranked:
        """'remarks; beside the old gate': features that are free text."""
        return [
            (
                (1.0, 0.0, cost, float(words.order)),
                Offer(
                    words.feature,
                    typed.note,
                    None,
                    (Entry(words.feature.id, Standing.SEEN, note=typed.note, sure=typed.sure),),
                ),
            )
            for words in self._features
            if words.feature.kind == "text" and (cost := _all_cost(query, words.feature_words)) < 20
        ]

    def _standing_offers(self, typed: _Typed, around: Around) -> tuple[Offer, ...]:
        query = words_of(typed.text)
        if not query:
            feature = self.vocabulary.feature(around.asked)
            return () if feature is None else self._standing_of(feature, typed)
        found: _Ranked = []
        for words in self._features:
            cost = _all_cost(query, words.feature_words)
            if cost >= _NO_MATCH:
                continue
            exact = words.feature.id in self._named.get(query, ())
            rank = (
                float(around.allowed is not None and words.feature.id not in around.allowed),
                -1.0 if exact else cost,
                float(words.order),
            )
            found.extend((rank, offer) for offer in self._standing_of(words.feature, typed))
        whole = self._whole_part(query, typed, around)
        if whole is not None:
            named = any(rank[1] < 0 for rank, _ in found)
            found.append(((0.0, -0.5 if named else -2.0, 0.0), whole))
        found.sort(key=lambda pair: pair[0])
        return tuple(offer for _, offer in found)

    def _standing_of(self, feature: Feature, typed: _Typed) -> tuple[Offer, ...]:
        absent = self.absent_names.get(feature.id, "")
        if typed.standing is Standing.NOT_THERE and not absent:
            return ()
        words = {
            Standing.NOT_THERE: f"looked for and not there: {absent}",
            Standing.GONE: "damaged or gone",
        }.get(typed.standing, "not looked at: take the entry back")
        entry = Entry(feature.id, typed.standing, note=typed.note, sure=typed.sure)
        return (Offer(feature, words, None, (entry,)),)

    def _whole_part(self, query: tuple[str, ...], typed: _Typed, around: Around) -> Offer | None:
        """'gone base': everything of a part that has no entry yet is damaged or gone."""
        if typed.standing is not Standing.GONE or len(query) != 1:
            return None
        part = next((part for part in Part if query[0] == part.value), None)
        members = [
            feature
            for feature in (self.vocabulary.of_part(part) if part is not None else ())
            if feature.id not in around.recorded
            and (around.allowed is None or feature.id in around.allowed)
            and feature.kind != "text"
        ]
        if len(members) < 2:
            return None
        entries = tuple(
            Entry(feature.id, Standing.GONE, note=typed.note, sure=typed.sure) for feature in members
        )
        return Offer(
            members[0], f"the whole {query[0]}: damaged or gone ({len(entries)} entries)", None, entries
        )

    def _size_offers(
        self, text: str, spans: tuple[Span, ...], typed: _Typed, around: Around
    ) -> tuple[Offer, ...]:
        query = words_of(text)
        found: _Ranked = []
        for words in self._features:
            feature = words.feature
            if feature.kind != "number":
                continue
            asked = feature.id == around.asked
            cost = _all_cost(query, words.feature_words) if query else (0.0 if asked else 3.0)
            if cost >= _NO_MATCH:
                continue
            offer = self._sized(feature, spans, typed)
            if offer is None:
                continue
            rank = (
                float(around.allowed is not None and feature.id not in around.allowed),
                cost - (1.0 if asked else 0.0) + 0.5 * (feature.id in around.recorded),
                float(words.order),
            )
            found.append((rank, offer))
        found.sort(key=lambda pair: pair[0])
        return tuple(offer for _, offer in found)

    def _sized(self, feature: Feature, spans: tuple[Span, ...], typed: _Typed) -> Offer | None:
        features = [feature]
        if len(spans) == 2:
            if not feature.id.endswith("length"):
                return None
            across = self.vocabulary.feature(feature.id.removesuffix("length") + "width")
            if across is None:
                return None
            features.append(across)
        entries = []
        try:
            for one, span in zip(features, spans, strict=True):
                low, high = (in_unit(value, span.unit, one.unit) for value in (span.low, span.high))
                entries.append(
                    Entry(
                        one.id,
                        Standing.SEEN,
                        low=low,
                        high=high,
                        unit=one.unit,
                        note=typed.note,
                        sure=typed.sure,
                    )
                )
        except BadInput:
            return None
        words = " × ".join(
            size_words(entry.low, entry.high, entry.unit if entry is entries[-1] else "") for entry in entries
        )
        return Offer(feature, words, None, tuple(entries))


def words_of(text: str) -> tuple[str, ...]:
    """The words of a text, folded: 'Nearly-free (touching)' gives nearly, free, touching."""
    return tuple(_WORD.findall(text.casefold().replace("ä", "a").replace("ö", "o").replace("ü", "u")))


def _read(text: str) -> _Typed:
    text, _, note = text.partition(";")
    text, note = text.strip(), " ".join(note.split())
    standing = Standing.SEEN
    signs = {
        "-": Standing.NOT_THERE,
        "–": Standing.NOT_THERE,
        "~": Standing.GONE,
        "?": Standing.NOT_LOOKED_AT,
    }
    if text[:1] in signs:
        standing, text = signs[text[0]], text[1:].strip()
    else:
        first, _, rest = text.partition(" ")
        spoken = {"no": Standing.NOT_THERE, "gone": Standing.GONE, "damaged": Standing.GONE}
        if first.casefold() in spoken and rest.strip():
            standing, text = spoken[first.casefold()], rest.strip()
    add = not text.startswith("=")
    sure = not text.endswith("?")
    return _Typed(text.strip("=? "), standing, note, sure, add)


def _state_cost(
    query: Sequence[str], words: _Words, of_features: dict[tuple[str, str], float] | None = None
) -> float:
    """How badly the typed words fit this state; at least one of them has to name the state itself.

    `of_features` keeps what was found for the words of a feature, which its states share.
    """
    total, named = 0.0, False
    for position, one in enumerate(query):
        own = _word_cost(one, words.state_words)
        key = (one, words.feature.id)
        of_feature = of_features.get(key) if of_features is not None else None
        if of_feature is None:
            of_feature = _word_cost(one, words.feature_words)
            if of_features is not None:
                of_features[key] = of_feature
        if own <= of_feature + 1.0:
            best = own
            named = named or own < _NO_MATCH
        else:
            best = of_feature + 1.0
        if best >= _NO_MATCH:
            in_gloss = len(one) > 2 and any(word.startswith(one) for word in words.gloss_words)
            best = 9.0 if in_gloss else _NO_MATCH
            named = named or best < _NO_MATCH
        if best >= _NO_MATCH:
            return _NO_MATCH
        total += best + 0.01 * position
    return total if named else _NO_MATCH


def _all_cost(query: Iterable[str], words: Sequence[str]) -> float:
    total = 0.0
    for one in query:
        cost = _word_cost(one, words)
        if cost >= _NO_MATCH:
            return _NO_MATCH
        total += cost
    return total


def _word_cost(typed: str, words: Sequence[str]) -> float:
    """0 for the word itself, under 2 for its beginning, from 20 for letters in order with some left out."""
    best = _NO_MATCH
    for place, word in enumerate(words):
        later = min(place, 4) * 0.25
        if word == typed:
            cost = later * 0.5
        elif word.startswith(typed) or (len(typed) > 3 and typed[-1] == "s" and word.startswith(typed[:-1])):
            cost = 0.5 + later + 0.02 * (len(word) - len(typed))
        elif len(typed) > 2 and word[0] == typed[0] and _in_order(typed, word):
            cost = 20.0 + later + len(word) - len(typed)
        else:
            continue
        best = min(best, cost)
    return best


def _in_order(typed: str, word: str) -> bool:
    letters = iter(word)
    return all(letter in letters for letter in typed)


def _distinct(words: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(words))
