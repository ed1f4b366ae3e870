"""Made-up reference tables of any size, to set and test thresholds on tables that are not ours."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from catalog_gui.domain.feature import Feature, Fragility, Part, State, Vocabulary
from catalog_gui.lookalikes.reference import (
    ABSENT,
    Frequency,
    Hazard,
    Reference,
    Severity,
    SizeRange,
    Source,
    StateFrequency,
    Taxon,
)


@dataclass(frozen=True)
class Shape:
    """What a made-up table looks like. `own` is the share of features in which a species leaves its genus."""

    name: str
    taxa: int
    features: int
    states: tuple[int, int] = (2, 11)
    genera: int = 40
    own: float = 0.35
    dangerous: float = 0.25
    numbers: int = 0
    data: float = 1.0
    fragile: float = 0.25
    words: bool = True


SHAPES = (
    Shape("small", 40, 10, genera=10),
    Shape("middling", 170, 20),
    Shape("all of one frequency", 170, 20, words=False, fragile=0.0),
    Shape("many features", 120, 45, states=(2, 9), genera=30, numbers=5, data=0.85),
    Shape("two states each", 150, 40, states=(2, 3), genera=30),
    Shape("close species", 120, 30, genera=12, own=0.2, numbers=3),
)


def made_up(shape: Shape, seed: int) -> Reference:
    """A table in which species of a genus share most states; Dirichlet base rates, one to four states each."""
    rng = np.random.default_rng(seed)
    parts = (Part.CAP, Part.GILLS, Part.STEM, Part.FLESH, Part.MICRO)
    features, states, rows, sizes = [], [], [], []
    for number in range(shape.features):
        fid = f"f{number}"
        is_number = number < shape.numbers
        fragility = 0 if is_number or rng.random() >= shape.fragile else int(rng.integers(1, 4))
        features.append(
            Feature(
                fid,
                parts[number % len(parts)],
                fid,
                kind="number" if is_number else "states",
                unit=("µm" if number % 2 else "mm") if is_number else "",
                fragility=Fragility(fragility),
            )
        )
        if is_number:
            sizes += _sizes(rng, shape, fid)
            continue
        count = int(rng.integers(*shape.states))
        names = [f"s{i}" for i in range(count)]
        states += [State(fid, name, name) for name in names]
        if fragility >= 2:
            names.append(ABSENT)
        rows += _states(rng, shape, fid, names)
    taxa = tuple(
        Taxon(f"t{t}", f"Genus{t % shape.genera} species{t}", genus=f"Genus{t % shape.genera}")
        for t in range(shape.taxa)
    )
    hazards = tuple(
        Hazard(f"t{t}", "x", list(Severity)[int(rng.integers(3))], source="made-up")
        for t in range(shape.taxa)
        if rng.random() < shape.dangerous
    )
    return Reference(
        Vocabulary(tuple(features), tuple(states)),
        taxa,
        tuple(rows),
        tuple(sizes),
        hazards,
        sources=(Source("made-up", "drawn at random"),),
    )


def _states(rng: np.random.Generator, shape: Shape, fid: str, names: list[str]) -> list[StateFrequency]:
    base = rng.dirichlet(np.full(len(names), 0.7)) + 0.02
    words = (Frequency.ALWAYS, Frequency.USUALLY, Frequency.SOMETIMES, Frequency.RARELY)

    def draw() -> list[tuple[str, Frequency]]:
        count = min(len(names), 1 + int(rng.binomial(3, 0.3)))
        chosen = rng.choice(len(names), count, replace=False, p=base / base.sum())
        if not shape.words:
            return [(names[i], Frequency.USUALLY) for i in chosen]
        first = words[0] if count == 1 and rng.random() < 0.3 else words[1]
        return [
            (names[i], first if place == 0 else words[1 + int(rng.integers(3))])
            for place, i in enumerate(chosen)
        ]

    of_genus = [draw() for _ in range(shape.genera)]
    rows = []
    for t in range(shape.taxa):
        if rng.random() > shape.data:
            continue
        for state, frequency in draw() if rng.random() < shape.own else of_genus[t % shape.genera]:
            rows.append(StateFrequency(f"t{t}", fid, state, frequency, "made-up"))
    return rows


def _sizes(rng: np.random.Generator, shape: Shape, fid: str) -> list[SizeRange]:
    middle = rng.uniform(5, 60)
    of_genus = np.exp(rng.normal(0, 0.5, shape.genera)) * middle
    rows = []
    for t in range(shape.taxa):
        centre = of_genus[t % shape.genera] * np.exp(rng.normal(0, 0.25))
        low, high = centre * 0.8, centre * 1.3
        rows.append(SizeRange(f"t{t}", fid, low, high, low * 0.8, high * 1.2, source="made-up"))
    return rows
