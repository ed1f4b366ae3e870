"""Made-up reference tables of any size, to set and test thresholds on tables that are not ours."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

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

T = TypeVar("T")


@dataclass(frozen=True)
class Shape:
    """What a made-up table looks like.

    `own` is the share of features in which a species leaves its genus, `data` of those that are filled in.
    Laws that only some tables follow: `blanks`, the share of features of which nothing is written for a
    whole genus; `apart`, the share in which the second of two near doubles leaves the first; `width`, by
    what factor the highest size stands above the lowest, evenly in its logarithm.
    """

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
    blanks: float = 0.0
    apart: float | None = None
    width: tuple[float, float] | None = None


SHAPES = (
    Shape("small", 40, 10, genera=10),
    Shape("middling", 170, 20),
    Shape("all of one frequency", 170, 20, words=False, fragile=0.0),
    Shape("many features", 120, 45, states=(2, 9), genera=30, numbers=5, data=0.85),
    Shape("two states each", 150, 40, states=(2, 3), genera=30),
    Shape("close species", 120, 30, genera=12, own=0.2, numbers=3),
    Shape("many sizes", 140, 34, states=(3, 9), genera=35, numbers=16, width=(1.15, 3.0)),
    Shape("many blanks", 160, 45, states=(2, 10), genera=40, numbers=4, data=0.7, blanks=0.35),
    Shape("near doubles", 160, 36, states=(2, 9), genera=40, numbers=4, apart=0.1),
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
    blank = {g for g in range(shape.genera) if shape.blanks and rng.random() < shape.blanks}
    written: dict[int, list[tuple[str, Frequency]]] = {}
    for t in range(shape.taxa):
        if rng.random() > shape.data or t % shape.genera in blank:
            continue
        written[t] = draw() if rng.random() < shape.own else of_genus[t % shape.genera]
    _near_doubles(rng, shape, written)
    return [
        StateFrequency(f"t{t}", fid, state, frequency, "made-up")
        for t, states in written.items()
        for state, frequency in states
    ]


def _near_doubles(rng: np.random.Generator, shape: Shape, written: dict[int, T]) -> None:
    """Let the second half of the taxa repeat the first, but for a share of the features."""
    for t in range(shape.taxa // 2 if shape.apart is not None else 0):
        if t in written and rng.random() >= (shape.apart or 0.0):
            written[t + shape.taxa // 2] = written[t]


def _sizes(rng: np.random.Generator, shape: Shape, fid: str) -> list[SizeRange]:
    middle = rng.uniform(5, 60)
    of_genus = np.exp(rng.normal(0, 0.5, shape.genera)) * middle
    written: dict[int, tuple[float, float]] = {}
    for t in range(shape.taxa):
        centre = of_genus[t % shape.genera] * np.exp(rng.normal(0, 0.25))
        low, high = centre * 0.8, centre * 1.3
        if shape.width is not None:
            half = np.exp(rng.uniform(*np.log(shape.width)) / 2)
            low, high = centre / half, centre * half
        written[t] = (low, high)
    _near_doubles(rng, shape, written)
    return [
        SizeRange(f"t{t}", fid, low, high, low * 0.8, high * 1.2, source="made-up")
        for t, (low, high) in written.items()
    ]
