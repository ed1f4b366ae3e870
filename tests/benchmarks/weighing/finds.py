"""Simulated finds. Draws from the rows of a reference by rules of its own, not by the engine's arrays or rates."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.lookalikes.reference import ABSENT, Frequency, Reference

SHOWN = {
    Frequency.ALWAYS: 1.0,
    Frequency.USUALLY: 0.7,
    Frequency.SOMETIMES: 0.2,
    Frequency.RARELY: 0.04,
    Frequency.NEVER: 0.0,
}


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


class Simulator:
    """Finds of the taxa of one reference."""

    def __init__(self, reference: Reference, seed: int) -> None:
        self.reference = reference
        self.rng = np.random.default_rng(seed)
        self.features = {f.id: f for f in reference.vocabulary.features}
        self.known: dict[str, list[str]] = {}
        for row in reference.states:
            if row.frequency is Frequency.NEVER:
                continue
            known = self.known.setdefault(row.taxon, [])
            if row.feature not in known[-1:] and row.feature not in known:
                known.append(row.feature)
        for size in reference.sizes:
            if size.feature not in self.known.setdefault(size.taxon, []):
                self.known[size.taxon].append(size.feature)
        self.can_be_absent = {row.feature for row in reference.states if row.state == ABSENT}

    def find(self, taxon: str, records: int, trouble: Trouble) -> list[Evidence]:
        """Notes on one find of a taxon, with at most so many features recorded."""
        rng = self.rng
        features = list(self.known.get(taxon, ()))
        rng.shuffle(features)
        chosen = features[:records]
        wrong = {f for f in chosen if rng.random() < trouble.wrong}
        if trouble.exactly_wrong:
            wrong = set(chosen[: trouble.exactly_wrong])
        factor = float(rng.choice(trouble.size_factor))
        return [e for f in chosen if (e := self._record(taxon, f, f in wrong, trouble, factor)) is not None]

    def _record(self, taxon: str, fid: str, wrong: bool, trouble: Trouble, factor: float) -> Evidence | None:
        rng, feature = self.rng, self.features[fid]
        fragility = int(feature.fragility)
        if trouble.cut_off and feature.part.value in {"base", "stem"} and fragility == 3:
            return None
        if feature.kind == "number":
            row = self.reference.sizes_of(taxon, fid)[0]
            low, high = row.low, row.high
            if row.extreme_low and row.extreme_high and rng.random() < 0.1:
                low, high = row.extreme_low, row.extreme_high
            size = float(np.exp(rng.uniform(np.log(low), np.log(high))))
            if feature.unit == "mm":
                size *= factor
            if wrong:
                size *= float(rng.choice([0.5, 0.65, 1.5, 2.0]))
            return Evidence(fid, "", fid, Standing.SEEN, low=size, high=size, unit=feature.unit)
        rows = [r for r in self.reference.states_of(taxon, fid) if r.frequency is not Frequency.NEVER]
        chances = np.array([1.0 if trouble.even_rates else SHOWN[r.frequency] for r in rows])
        state = rows[int(rng.choice(len(rows), p=chances / chances.sum()))].state
        lost = fragility >= 2 and rng.random() < trouble.missed
        lost |= trouble.washed_out and fragility >= 2
        wrong |= trouble.young and fragility == 1 and bool(rng.random() < 0.3)
        if lost and state != ABSENT:
            if fid not in self.can_be_absent:
                return None
            state = ABSENT
        elif wrong:
            others = [s.id for s in self.reference.vocabulary.states_of(fid)]
            if fid in self.can_be_absent:
                others.append(ABSENT)
            others = [s for s in others if s != state]
            if others:
                state = others[int(rng.integers(len(others)))]
        if state == ABSENT:
            return Evidence(fid, "", fid, Standing.NOT_THERE)
        return Evidence(fid, "", fid, Standing.SEEN, (state,))

    def finds(
        self, taxa: list[str], count: int, records: tuple[int, int] | int, trouble: Trouble
    ) -> Iterator[tuple[str, list[Evidence]]]:
        """Finds of taxa drawn at random, with so many features recorded (a number, or evenly between two)."""
        for _ in range(count):
            taxon = taxa[int(self.rng.integers(len(taxa)))]
            n = records if isinstance(records, int) else int(self.rng.integers(records[0], records[1] + 1))
            yield taxon, self.find(taxon, n, trouble)
