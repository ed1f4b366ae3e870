"""Simulated finds. Draws from the rows of a reference by rules of its own, not by the engine's arrays or rates."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.lookalikes.reference import ABSENT, Frequency, Reference

SHOWN = {
    Frequency.ALWAYS: 1.0,
    Frequency.USUALLY: 0.7,
    Frequency.SOMETIMES: 0.2,
    Frequency.RARELY: 0.04,
    Frequency.NEVER: 0.0,
}

Ints = npt.NDArray[np.intp]
Bools = npt.NDArray[np.bool_]
Doubles = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Trouble:
    """How a find and its notes can go wrong."""

    name: str
    wrong: float = 0.05
    missed: float = 0.25
    exactly_wrong: int = 0
    washed_out: bool = False
    young: bool = False
    cut_off: bool = False
    size_factor: tuple[float, float] = (1.0, 1.0)
    even_rates: bool = False
    wanted: float = 0.99


USUAL = Trouble("usual: 5 % wrong, 25 % of fragile missed", wanted=0.999)
STRESSES = (
    Trouble("20 % wrong", wrong=0.20),
    Trouble("two wrong at once", wrong=0.0, exactly_wrong=2),
    Trouble("washed out", washed_out=True),
    Trouble("young", young=True),
    Trouble("cut off", cut_off=True),
    Trouble("dwarf or giant", size_factor=(0.35, 2.2)),
    Trouble("rates are not as written", even_rates=True),
)


@dataclass(frozen=True)
class Drawn:
    """B finds with N records in all, in the order of the finds.

    `taxon` (B,) numbers of the taxa. For each record: `find` (N,) and `feature` (N,) their numbers,
    `state` (N,) the place of the state among the feature's labels (-1 for a measure), `size` (N,).
    """

    simulator: Simulator
    taxon: Ints
    find: Ints
    feature: Ints
    state: Ints
    size: Doubles

    def evidence(self, number: int) -> list[Evidence]:
        """The records of one find."""
        start, stop = np.searchsorted(self.find, [number, number + 1])
        return [self._one(place) for place in range(int(start), int(stop))]

    def _one(self, place: int) -> Evidence:
        feature = self.simulator.features[int(self.feature[place])]
        if feature.kind == "number":
            size = float(self.size[place])
            return Evidence(feature.id, "", feature.id, Standing.SEEN, low=size, high=size, unit=feature.unit)
        label = self.simulator.labels[int(self.feature[place])][int(self.state[place])]
        if label == ABSENT:
            return Evidence(feature.id, "", feature.id, Standing.NOT_THERE)
        return Evidence(feature.id, "", feature.id, Standing.SEEN, (label,))


class Simulator:
    """Finds of the taxa of one reference. `known` (F, T) says what can be recorded of whom."""

    def __init__(self, reference: Reference, seed: int) -> None:
        self.reference = reference
        self.rng = np.random.default_rng(seed)
        self.features = [f for f in reference.vocabulary.features if f.kind in {"states", "number"}]
        place = {f.id: i for i, f in enumerate(self.features)}
        taxon = {t.id: i for i, t in enumerate(reference.taxa)}
        absent = {row.feature for row in reference.states if row.state == ABSENT}
        self.labels = [
            [s.id for s in reference.vocabulary.states_of(f.id)] + [ABSENT] * (f.id in absent)
            for f in self.features
        ]
        self.can_be_absent = np.array([f.id in absent for f in self.features], dtype=np.bool_)
        self.width = np.array([len(labels) for labels in self.labels], dtype=np.intp)
        column = {
            (f.id, s): i
            for f, labels in zip(self.features, self.labels, strict=True)
            for i, s in enumerate(labels)
        }
        shape = (len(self.features), len(taxon), max(int(self.width.max(initial=0)), 1))
        total, rows = np.zeros(shape), np.zeros(shape)
        for row in reference.states:  # what several sources say of one state counts by its mean
            if row.frequency is not Frequency.NEVER:
                at = place[row.feature], taxon[row.taxon], column[row.feature, row.state]
                total[at] += SHOWN[row.frequency]
                rows[at] += 1
        self.shown = total / np.maximum(rows, 1)
        self.occurs = (rows > 0).astype(np.float64)
        self.ranges = {
            (place[s.feature], taxon[s.taxon]): [
                (r.low, r.high, r.extreme_low or r.low, r.extreme_high or r.high)
                for r in reference.sizes_of(s.taxon, s.feature)
            ]
            for s in reference.sizes
        }
        self.known: np.ndarray = np.asarray(rows.any(axis=2))
        for known_range in self.ranges:
            self.known[known_range] = True
        self.number = np.array([f.kind == "number" for f in self.features], dtype=np.bool_)
        self.in_mm = np.array([f.unit == "mm" for f in self.features], dtype=np.bool_)
        self.fragility = np.array([int(f.fragility) for f in self.features], dtype=np.intp)
        self.below = np.array([f.part.value in {"base", "stem"} for f in self.features], dtype=np.bool_)
        self.most = int(self.known.sum(axis=0).max(initial=0))

    def draw(self, taxon: Ints, records: Ints | int, trouble: Trouble) -> Drawn:
        """Notes on one find of each taxon, with so many features recorded, or all that are known if fewer."""
        rng = self.rng
        order = rng.random((len(taxon), len(self.features)))
        order[~self.known[:, taxon].T] = 2.0
        chosen = np.argsort(order, axis=1)
        wanted = np.broadcast_to(np.asarray(records), (len(taxon),))[:, None]
        real = (np.take_along_axis(order, chosen, axis=1) < 2.0) & (np.arange(len(self.features)) < wanted)
        find, place = np.nonzero(real)
        feature = chosen[real]
        wrong = (
            place < trouble.exactly_wrong if trouble.exactly_wrong else rng.random(len(find)) < trouble.wrong
        )
        number = self.number[feature]
        state, kept = self._states(feature, taxon[find], wrong, trouble)
        kept |= number
        if trouble.cut_off:
            kept &= ~(self.below[feature] & (self.fragility[feature] == 3))
        factor = rng.choice(trouble.size_factor, len(taxon))[find]
        size = np.zeros(len(find))
        size[number] = self._sizes(feature[number], taxon[find[number]], factor[number], wrong[number])
        state[number] = -1
        return Drawn(self, taxon, find[kept], feature[kept], state[kept], size[kept])

    def _states(self, feature: Ints, taxon: Ints, wrong: Bools, trouble: Trouble) -> tuple[Ints, Bools]:
        rng = self.rng
        state = _pick((self.occurs if trouble.even_rates else self.shown)[feature, taxon], rng)
        fragility = self.fragility[feature]
        absent = self.width[feature] - 1
        there = ~(self.can_be_absent[feature] & (state == absent))
        lost = (fragility >= 2) & ((rng.random(len(feature)) < trouble.missed) | trouble.washed_out) & there
        if trouble.young:
            wrong = wrong | ((fragility == 1) & (rng.random(len(feature)) < 0.3))
        width = np.maximum(self.width[feature], 1)
        other = (state + 1 + (rng.random(len(feature)) * (width - 1)).astype(np.intp)) % width
        state = np.where(wrong & ~lost, other, state)
        return np.where(lost, absent, state), ~lost | self.can_be_absent[feature]

    def _sizes(self, feature: Ints, taxon: Ints, factor: Doubles, wrong: Bools) -> Doubles:
        """One measure of each, within the range that one of the sources prints."""
        rng = self.rng
        rows = [self.ranges[key] for key in zip(feature.tolist(), taxon.tolist(), strict=True)]
        which = (rng.random(len(rows)) * [len(r) for r in rows]).astype(int).tolist() if rows else []
        ends = np.log(np.array([r[w] for r, w in zip(rows, which, strict=True)]).reshape(-1, 4))
        far = rng.random(len(rows)) < 0.1
        low, high = np.where(far, ends[:, 2], ends[:, 0]), np.where(far, ends[:, 3], ends[:, 1])
        size = np.exp(low + rng.random(len(rows)) * (high - low))
        size *= np.where(self.in_mm[feature], factor, 1.0)
        return np.where(wrong, size * rng.choice([0.5, 0.65, 1.5, 2.0], len(rows)), size)

    def find(self, taxon: str, records: int, trouble: Trouble) -> list[Evidence]:
        """Notes on one find of a taxon, with at most so many features recorded."""
        number = [t.id for t in self.reference.taxa].index(taxon)
        return self.draw(np.array([number]), records, trouble).evidence(0)

    def finds(
        self, taxa: list[str], count: int, records: tuple[int, int] | int, trouble: Trouble
    ) -> Iterator[tuple[str, list[Evidence]]]:
        """Finds of taxa drawn at random, with so many features recorded (a number, or evenly between two)."""
        numbers = {t.id: i for i, t in enumerate(self.reference.taxa)}
        which = np.array([numbers[t] for t in taxa], dtype=np.intp)[self.rng.integers(0, len(taxa), count)]
        low, high = (records, records) if isinstance(records, int) else records
        drawn = self.draw(which, self.rng.integers(low, high + 1, count), trouble)
        for number, taxon in enumerate(which.tolist()):
            yield self.reference.taxa[taxon].id, drawn.evidence(number)


def _pick(weights: Doubles, rng: np.random.Generator) -> Ints:
    """(N,) for each row of weights one place, as likely as its weight; 0 where there are none."""
    running = np.cumsum(weights, axis=1)
    at = rng.random(len(weights))[:, None] * 0.999999 * running[:, -1:]
    return np.asarray(np.minimum((running <= at).sum(axis=1), weights.shape[1] - 1), dtype=np.intp)
