"""The reference as arrays: how likely each state is under each taxon, with misses and errors of record.

One row (`column` below, since a find fills them in like a form) for each state of each feature, and one
for 'absent'. Arrays are laid out (column, taxon), so that the rows for what was recorded are contiguous.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from catalog_gui.domain import vocabulary_roles as roles
from catalog_gui.domain.feature import Feature, Part
from catalog_gui.lookalikes.information import entropy_terms
from catalog_gui.lookalikes.reference import ABSENT, Frequency, Reference, Severity
from catalog_gui.lookalikes.sizes import MACRO_SPREAD, MICRO_SPREAD, SizeBins, size_bins

Floats = npt.NDArray[np.float32]
Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.intp]

FREQUENCY_WEIGHT: Mapping[Frequency, float] = {
    Frequency.ALWAYS: 1.0,
    Frequency.USUALLY: 0.75,
    Frequency.SOMETIMES: 0.3,
    Frequency.RARELY: 0.07,
    Frequency.NEVER: 0.0,
}
"""Chance that a fruit body shows the state (our reading of the words; common practice, no source)."""

MISSED = (0.05, 0.12, 0.35, 0.45)
"""Chance that a feature of fragility 0..3 is recorded as absent although the taxon has it (assumed)."""

ERROR_RATE = 0.08
"""Chance that a record is simply wrong, as the ranking assumes."""

ANY_STATE = 0.75
"""Share of the wrong records that may be any state of the feature; the others are what is common."""

SOFT_PARTS = frozenset({Part.PLACE, Part.SEASON, Part.SMELL, Part.TASTE})
"""Parts that never take part in an exclusion; all but the taste help the ranking (see `observations_of`)."""

SOFT: Mapping[str, float] = {roles.REGION: 0.4, "season": 0.4, "smell": 0.85}
"""Weight in the ranking of a feature, or of the features of a part; 1 for all others."""

_LOWEST, _HIGHEST = -4.0, 4.0  # nats a single record can move the ranking
_BINS = 6
_OCCURS = 0.02
_WHOLE_STORY = 0.5  # from this sum of frequencies on, states that are not mentioned do not occur


@dataclass(frozen=True)
class Block:
    """The columns of one feature, `start` to `stop`; the last one is 'absent' if it `can_be_absent`."""

    feature: Feature
    index: int
    start: int
    stop: int
    labels: tuple[str, ...]
    can_be_absent: bool

    @property
    def is_number(self) -> bool:
        """Whether the columns are bins of a number (used for asking, not for weighing)."""
        return self.feature.kind == "number"


@dataclass(frozen=True)
class LikelihoodTable:
    """The numeric core of a reference of T taxa, F features and K columns; H of the taxa are dangerous.

    `chance` (K, T): chance that the state is what gets recorded, misses included, errors not.
    `fit` (K, T): the state's frequency relative to the taxon's commonest state of that feature, 0 to 1,
    misses not included; 1 where the taxon has no data. `ranking` (K, T): nats for the taxon against a
    taxon of which nothing is known; 0 where it has no data. `known` (F, T). `background` and `mistaken`
    (K,): how common the state is in the whole table, and how likely as a wrong record.
    Numbers: `low`, `high` (F, T) are ln of the usual range, `spread` (F, T) how fast the fit falls
    outside it; `bins` says where the rows of sizes stand in arrays that have them. `fatal` (H,) which of the
    dangerous taxa are known to kill. `is_size` (F,) are sizes that dwarfs and giants share.
    """

    taxa: tuple[str, ...]
    blocks: tuple[Block, ...]
    dangerous: Ints
    fatal: Bools
    chance: Floats
    fit: Floats
    ranking: Floats
    background: Floats
    mistaken: Floats
    known: Bools
    low: Floats
    high: Floats
    spread: Floats
    bins: SizeBins
    is_size: Bools
    groups: tuple[str, ...]
    soft: Floats
    can_exclude: Bools
    firm: Bools

    @cached_property
    def block_of(self) -> dict[str, Block]:
        """Feature id to its block."""
        return {block.feature.id: block for block in self.blocks}

    @cached_property
    def column_of(self) -> dict[tuple[str, str], int]:
        """(feature id, state id) to its column; numbers have none."""
        return {
            (block.feature.id, label): block.start + offset
            for block in self.blocks
            if not block.is_number
            for offset, label in enumerate(block.labels)
        }

    @cached_property
    def group_of(self) -> Ints:
        """(F,) the number of each feature's kin group; a feature without kin is a group by itself."""
        numbers: dict[str, int] = {}
        return np.array([numbers.setdefault(name, len(numbers)) for name in self.groups], dtype=np.intp)

    @cached_property
    def known_dangerous(self) -> Floats:
        """(F, H) 1 where the reference says something about a feature of a dangerous taxon."""
        return self.known[:, self.dangerous].astype(np.float32)

    @cached_property
    def starts(self) -> Ints:
        """(F + 1,) the first column of each feature, and where the last one ends."""
        return np.array([0, *(block.stop for block in self.blocks)], dtype=np.intp)

    def sum_by_feature(self, by_column: Floats) -> Floats:
        """(F,) sums of (K,) values over the columns of each feature; 0 for a feature without columns."""
        running = np.concatenate([[0.0], np.cumsum(by_column, dtype=np.float64)])
        return np.asarray(running[self.starts[1:]] - running[self.starts[:-1]])

    @cached_property
    def answer_entropy(self) -> Floats:
        """(F, T) entropy in nats of what gets recorded of each feature of each taxon."""
        chance = (1 - ERROR_RATE) * self.chance + ERROR_RATE * self.mistaken[:, None]
        terms = entropy_terms(chance)
        return np.stack([terms[b.start : b.stop].sum(axis=0) for b in self.blocks]).astype(np.float32)

    def number_fit(self, features: Ints, low: Floats, high: Floats, taxa: Ints) -> Floats:
        """(m, X) how well m measured ranges fit some taxa, 0 to 1, by their nearest ends; 1 without data."""
        lowest, highest = np.log(np.maximum(low, 1e-6)), np.log(np.maximum(high, 1e-6))
        below = self.low[features][:, taxa] - highest[:, None]
        above = lowest[:, None] - self.high[features][:, taxa]
        gap = np.nan_to_num(np.maximum(np.maximum(below, above), 0.0)) / self.spread[features][:, taxa]
        return np.asarray(np.exp(-0.5 * np.square(gap)), dtype=np.float32)


def build_likelihoods(reference: Reference) -> LikelihoodTable:
    """Build the arrays. Takes about 30 ms for 120 taxa with 100 rows each."""
    features = [f for f in reference.vocabulary.features if f.kind in {"states", "number"}]
    taxa = tuple(taxon.id for taxon in reference.taxa)
    index = {taxon: place for place, taxon in enumerate(taxa)}
    absent_somewhere = {row.feature for row in reference.states if row.state == ABSENT}
    low, high, spread = _sizes(reference, features, index)
    blocks: list[Block] = []
    at = 0
    for place, feature in enumerate(features):
        can_be_absent = feature.kind == "states" and (
            bool(reference.absent_name(feature.id)) or feature.id in absent_somewhere
        )
        labels = _labels(reference, feature, low[place], high[place])
        if can_be_absent:
            labels = (*labels, ABSENT)
        blocks.append(Block(feature, place, at, at + len(labels), labels, can_be_absent))
        at += len(labels)
    columns = {(b.feature.id, label): b.start + i for b in blocks for i, label in enumerate(b.labels)}

    weight = _weights(reference, columns, index, at)

    chance, ranking = np.zeros((2, at, len(taxa)), dtype=np.float32)
    fit = np.ones((at, len(taxa)), dtype=np.float32)
    background, mistaken = np.zeros((2, at), dtype=np.float32)
    known = np.zeros((len(features), len(taxa)), dtype=np.bool_)
    for block in blocks:
        rows = slice(block.start, block.stop)
        if block.is_number:
            has: Bools = ~np.isnan(low[block.index])
            shown = _bin_chances(block, low[block.index], high[block.index], spread[block.index])
        else:
            has = np.asarray(~np.isnan(weight[rows]).all(axis=0))
            shown = _state_chances(weight[rows], has)
        known[block.index] = has
        if not has.any() or block.stop == block.start:
            continue
        fit[rows] = np.where(has, shown / np.maximum(shown.max(axis=0), 1e-9), 1.0)
        recorded = shown.copy()
        if block.can_be_absent:
            missed = MISSED[int(block.feature.fragility)]
            recorded *= 1 - missed
            recorded[-1] += missed
        common = 0.9 * recorded[:, has].mean(axis=1) + 0.1 / len(block.labels)
        background[rows] = common
        chance[rows] = np.where(has, recorded, common[:, None])
        mistaken[rows] = _mistaken(shown[:, has], common)
        ranking[rows] = np.where(has, _nats(chance[rows], common[:, None], mistaken[rows][:, None]), 0.0)

    hard = np.array([f.part not in SOFT_PARTS for f in features], dtype=np.bool_)
    is_size = np.array([_is_size(f) for f in features], dtype=np.bool_)
    numbers = np.flatnonzero([f.kind == "number" for f in features])
    return LikelihoodTable(
        taxa=taxa,
        blocks=tuple(blocks),
        dangerous=np.array([index[taxon] for taxon in reference.dangerous], dtype=np.intp),
        fatal=np.array(
            [reference.severity_of(t) is Severity.FATAL for t in reference.dangerous], dtype=np.bool_
        ),
        chance=chance,
        fit=fit,
        ranking=ranking,
        background=background,
        mistaken=mistaken,
        known=known,
        low=low,
        high=high,
        spread=spread,
        bins=size_bins(at, numbers, low, high),
        is_size=is_size,
        groups=tuple(_group(reference, feature) for feature in features),
        soft=np.array([SOFT.get(f.id, SOFT.get(f.part, 1.0)) for f in features], dtype=np.float32),
        can_exclude=hard,
        firm=hard & ~is_size & np.array([int(f.fragility) == 0 for f in features], dtype=np.bool_),
    )


def _weights(
    reference: Reference, columns: Mapping[tuple[str, str], int], index: Mapping[str, int], count: int
) -> Floats:
    """(K, T) the weight of each state by the source that gives it most; NaN where no source speaks of it.

    All sources stand: a mean over them proved worse on published descriptions, for a state that one of three
    pages names is met with nonetheless.
    """
    rows = reference.states
    of_word = {id(word): value for word, value in FREQUENCY_WEIGHT.items()}  # an enum's hash is slow
    column = np.array([columns.get((row.feature, row.state), -1) for row in rows], dtype=np.intp)
    taxon = np.array([index.get(row.taxon, -1) for row in rows], dtype=np.intp)
    value = np.array([of_word[id(row.frequency)] for row in rows], dtype=np.float32)
    known = (column >= 0) & (taxon >= 0)
    weight = np.full(count * len(index), -1.0, dtype=np.float32)
    np.maximum.at(weight, (column * len(index) + taxon)[known], value[known])
    weight[weight < 0] = np.nan
    return weight.reshape(count, len(index))


def _mistaken(shown: Floats, common: Floats) -> Floats:
    """(S,) how likely each state is as a wrong record: partly any that occurs, partly what is common."""
    occurs = (shown > _OCCURS).any(axis=1) + _OCCURS
    return np.asarray(ANY_STATE * occurs / occurs.sum() + (1 - ANY_STATE) * common, dtype=np.float32)


def _nats(chance: Floats, common: Floats, mistaken: Floats) -> Floats:
    """Nats for a taxon against a taxon of which nothing is known, errors of record included."""
    wrong = ERROR_RATE * mistaken
    odds = ((1 - ERROR_RATE) * chance + wrong) / ((1 - ERROR_RATE) * common + wrong)
    return np.asarray(np.clip(np.log(odds), _LOWEST, _HIGHEST), dtype=np.float32)


def _is_size(feature: Feature) -> bool:
    return feature.kind == "number" and feature.unit == "mm"


def _group(reference: Reference, feature: Feature) -> str:
    """Features of one kin are one witness; so are all sizes: dwarfs and giants share them."""
    kin = reference.ties.kin.get(feature.id, "")
    if kin:
        return f"kin:{kin}"
    return "size" if _is_size(feature) else feature.id


def _labels(reference: Reference, feature: Feature, low: Floats, high: Floats) -> tuple[str, ...]:
    if feature.kind == "states":
        return tuple(state.id for state in reference.vocabulary.states_of(feature.id))
    ends = np.concatenate([low[~np.isnan(low)], high[~np.isnan(high)]])
    if not ends.size:
        return ()
    edges = np.unique(np.round(np.exp(np.quantile(ends, np.linspace(0, 1, _BINS + 1)[1:-1])), 2))
    words = [f"{edge:g}" for edge in edges]
    return (
        f"to {words[0]}",
        *(f"{a} to {b}" for a, b in pairwise(words)),
        f"from {words[-1]}",
    )


def bin_edges(block: Block) -> Floats:
    """The inner edges of a number's bins, ln of the unit."""
    words = [label.removeprefix("from ").split(" to ")[0] for label in block.labels[1:]]
    return np.log(np.array([float(word) for word in words], dtype=np.float32))


def _bin_chances(block: Block, low: Floats, high: Floats, spread: Floats) -> Floats:
    """Chance of each bin: even over the ln of the usual range, widened by half the spread."""
    shown = np.zeros((len(block.labels), len(low)), dtype=np.float32)
    if not block.labels:
        return shown
    edges = bin_edges(block)
    steps = np.linspace(0, 1, 15, dtype=np.float32)[:, None]
    points = (low - spread / 2) + steps * (high - low + spread)
    which = np.searchsorted(edges, np.nan_to_num(points))
    for number in range(len(block.labels)):
        shown[number] = (which == number).mean(axis=0)
    shown[:, np.isnan(low)] = 0
    return shown


def _state_chances(weight: Floats, has: Bools) -> Floats:
    """Turn frequency words into chances that add up to 1 for each taxon.

    What is written is taken to be the whole story, errors apart, unless it adds up to less than a half:
    'sometimes a ring' leaves the remainder to what is not mentioned, in proportion to how common that is in
    the whole table.
    """
    stated = np.nan_to_num(weight)
    total = stated.sum(axis=0)
    share = np.asarray(stated / np.where(total >= _WHOLE_STORY, total, 1.0), dtype=np.float32)
    unmentioned = np.isnan(weight)
    if not has.any():
        return share
    common = share[:, has].mean(axis=1) + 0.3 / len(weight)
    room = unmentioned * common[:, None]
    room_total = room.sum(axis=0)
    remainder = np.clip(1.0 - share.sum(axis=0), 0.0, 1.0)
    shown = share + remainder * room / np.maximum(room_total, 1e-9)
    shown = shown / np.maximum(shown.sum(axis=0), 1e-9)
    return np.asarray(np.where(has, shown, 0.0), dtype=np.float32)


def _sizes(
    reference: Reference, features: list[Feature], index: dict[str, int]
) -> tuple[Floats, Floats, Floats]:
    """ln of low and high and the spread outside; several sources widen the range, since all stand."""
    places = {feature.id: place for place, feature in enumerate(features) if feature.kind == "number"}
    shape = (len(features), len(index))
    low = np.full(shape, np.nan, dtype=np.float32)
    high = np.full(shape, np.nan, dtype=np.float32)
    spread = np.ones(shape, dtype=np.float32)
    for place in places.values():
        spread[place] = MACRO_SPREAD if _is_size(features[place]) else MICRO_SPREAD
    known = [row for row in reference.sizes if row.feature in places and row.taxon in index]
    if not known:
        return low, high, spread
    of_feature = np.array([places[row.feature] for row in known])
    cell = of_feature * len(index) + np.array([index[row.taxon] for row in known])
    ends = np.array(
        [
            (
                row.low,
                row.high,
                row.low if row.extreme_low is None else row.extreme_low,
                row.extreme_high or row.high,
            )
            for row in known
        ]
    )
    ends = np.log(np.maximum(ends, 1e-6)).astype(np.float32)
    np.fmin.at(low.reshape(-1), cell, ends[:, 0])
    np.fmax.at(high.reshape(-1), cell, ends[:, 1])
    beyond = np.maximum(ends[:, 0] - ends[:, 2], ends[:, 3] - ends[:, 1]) / np.float32(1.5)
    np.maximum.at(spread.reshape(-1), cell, beyond)
    return low, high, spread
