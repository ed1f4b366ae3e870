"""The engine beside four general rules, on simulated forays: `python -m tests.benchmarks.grouping.bench`.

For every tier: corrections per 100 pictures (defined in `scoring.corrections`) and adjusted Rand index,
for the engine and for each rule with the clocks as written and with the true clocks; the engine's once more
when the questions that it asks about clocks have been answered, each pairing counted as a correction;
calibration error of the joins; clock error; whole hours found; and, at the end, time for 1,000, 10,000 and
100,000 pictures beside DBSCAN on the same points, which it gets as arrays while the engine begins with the
photos. The rules get, per tier, the settings that were best on other seeds.
"""

from __future__ import annotations

import argparse
import json
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from sklearn.cluster import DBSCAN

from catalog_gui.grouping import Held, PhotoRows, Proposal, propose
from catalog_gui.grouping.columns import read_columns
from catalog_gui.grouping.proposed import ProposedClock, ProposedJoin
from tests.benchmarks.grouping.baselines import RULES, Rule, as_groups, points
from tests.benchmarks.grouping.scoring import adjusted_rand, as_shown, calibration_error, corrections
from tests.simulated.forays import TIERS, Outing, club_week, long_weekend, simulate

_TUNE_FROM = 10_000  # seeds from here on are for tuning the rules only
_RUNS = 9  # of the race for time, of which the best counts


@dataclass(slots=True)
class Score:
    """Sums over the seeds of one tier."""

    photos: int = 0
    fixes: int = 0
    rand: list[float] = field(default_factory=list)

    def add(self, groups: list[list[str]], outing: Outing) -> None:
        self.photos += len(outing.photos)
        self.fixes += corrections(groups, outing.label)
        label = {photo: index for index, group in enumerate(groups) for photo in group}
        ids = list(outing.label)
        self.rand.append(adjusted_rand([label[i] for i in ids], [outing.label[i] for i in ids]))

    @property
    def per_hundred(self) -> float:
        return 100.0 * self.fixes / max(self.photos, 1)


@dataclass(slots=True)
class TierResult:
    engine: Score = field(default_factory=Score)
    answered: Score = field(default_factory=Score)
    written: dict[str, Score] = field(default_factory=dict)
    true: dict[str, Score] = field(default_factory=dict)
    probability: list[float] = field(default_factory=list)
    held: list[bool] = field(default_factory=list)
    clock: list[float] = field(default_factory=list)
    every_clock: list[float] = field(default_factory=list)
    unsettled: int = 0
    hours_wrong: int = 0
    hours_found: int = 0
    hours_asked: int = 0
    clocks: int = 0


def tune(tier: str, seeds: int, *, true_clocks: bool) -> dict[str, tuple[float, ...]]:
    """Best setting of each rule on seeds that are not measured."""
    outings = [simulate(tier, _TUNE_FROM + i) for i in range(seeds)]
    seen = [points(o, true_clocks=true_clocks) for o in outings]
    best: dict[str, tuple[float, ...]] = {}
    for name, (rule, settings) in RULES.items():

        def cost(setting: tuple[float, ...], rule: Rule = rule) -> int:
            return sum(
                corrections(as_groups(p, rule(p, setting)), o.label)
                for p, o in zip(seen, outings, strict=True)
            )

        best[name] = min(settings, key=cost)
    return best


def judge_joins(joins: tuple[ProposedJoin, ...], outing: Outing, result: TierResult) -> None:
    for join in joins:
        result.probability.append(join.probability)
        result.held.append(outing.label[join.before] == outing.label[join.after])


def judge_clocks(clocks: tuple[ProposedClock, ...], outing: Outing, result: TierResult) -> None:
    """Clocks against another camera of known offset, where streams overlap for ten minutes or more."""
    for clock in clocks:
        if outing.overlap.get(clock.camera_key, 0.0) < 600.0 or len(clocks) < 2:
            continue
        result.clocks += 1
        wrong = clock.offset_s - outing.offset[clock.camera_key]
        off = outing.hours_off[clock.camera_key] != 0
        result.hours_wrong += off
        if off and abs(wrong) < 900.0:
            result.hours_found += 1
        result.every_clock.append(abs(wrong))
        if not clock.settled:
            result.unsettled += 1
            result.hours_asked += off
            continue
        result.clock.append(abs(wrong))


def run(tier: str, seeds: int, tuning: int, rules: bool, *, given: bool = False) -> TierResult:
    result = TierResult()
    best = {flag: tune(tier, tuning, true_clocks=flag) for flag in (False, True)} if rules else {}
    for seed in range(seeds):
        outing = simulate(tier, seed)
        held = Held(clocks=outing.offset) if given else Held()
        proposal = propose(outing.photos, held=held, time_zone=outing.time_zone if given else "")
        groups = as_shown(proposal)
        result.engine.add(groups, outing)
        if not given:
            answer(proposal, outing, result.answered)
        judge_joins(proposal.joins, outing, result)
        judge_clocks(proposal.clocks, outing, result)
        for flag, settings in best.items():
            p = points(outing, true_clocks=flag)
            table = result.true if flag else result.written
            for name, setting in settings.items():
                table.setdefault(name, Score()).add(as_groups(p, RULES[name][0](p, setting)), outing)
    return result


def answer(proposal: Proposal, outing: Outing, score: Score) -> None:
    """The proposal once more, each clock that is asked about set by pairing two pictures: one correction each."""
    asked = {c.camera_key: outing.offset[c.camera_key] for c in proposal.clocks if not c.settled}
    if asked:
        proposal = propose(outing.photos, held=Held(clocks=asked))
    score.add(as_shown(proposal), outing)
    score.fixes += len(asked)


def show(tier: str, r: TierResult) -> dict[str, object]:
    out: dict[str, object] = {
        "tier": tier,
        "photos": r.engine.photos,
        "engine": round(r.engine.per_hundred, 2),
        "engine_ari": round(statistics.mean(r.engine.rand), 3),
        "calibration": round(calibration_error(r.probability, r.held), 4),
    }
    print(f"\n{tier}: {r.engine.photos} pictures in {len(r.engine.rand)} forays")
    print(f"  {'':12}{'corrections per 100':>22}{'adjusted Rand':>16}")
    print(f"  {'engine':12}{r.engine.per_hundred:22.2f}{statistics.mean(r.engine.rand):16.3f}")
    if r.unsettled:
        out["answered"] = round(r.answered.per_hundred, 2)
        print(
            f"  {'':12}{r.answered.per_hundred:22.2f}{statistics.mean(r.answered.rand):16.3f}"
            "   its questions answered, each counted as a correction"
        )
    for title, table in (("clocks as written", r.written), ("true clocks", r.true)):
        for name, score in table.items():
            print(f"  {name:12}{score.per_hundred:22.2f}{statistics.mean(score.rand):16.3f}   {title}")
    for title, table in (("ratio_written", r.written), ("ratio_true", r.true)):
        if table:
            out[title] = round(r.engine.fixes / max(1, min(s.fixes for s in table.values())), 3)
            if r.unsettled:
                answered = r.answered.fixes / max(1, min(s.fixes for s in table.values()))
                out[f"{title}_answered"] = round(answered, 3)
    if r.written:
        print(
            f"  engine / best rule: {out['ratio_written']} (clocks as written), {out['ratio_true']} (true clocks)"
        )
        if r.unsettled:
            print(
                f"  its questions answered: {out['ratio_written_answered']} (clocks as written),"
                f" {out['ratio_true_answered']} (true clocks)"
            )
    print(f"  calibration error of {len(r.probability)} joins: {out['calibration']}")
    _reliability(r)
    if r.clocks:
        out["clock_median_s"] = round(statistics.median(r.clock), 2) if r.clock else None
        out["every_clock_median_s"] = round(statistics.median(r.every_clock), 2)
        out["hours"] = f"{r.hours_found}/{r.hours_wrong}"
        far = sum(c > 60 for c in r.clock)
        print(
            f"  clocks: median error {out['clock_median_s']} s ({out['every_clock_median_s']} s with the unsettled),"
            f" over a minute {far} of {len(r.clock)} settled,"
            f" {r.unsettled} asked about; whole hours found {out['hours']}, asked about {r.hours_asked}"
        )
    return out


def _reliability(r: TierResult) -> None:
    p, h = np.array(r.probability), np.array(r.held)
    which = np.minimum((p * 10).astype(int), 9)
    cells = [
        f"{p[which == b].mean():.2f}>{h[which == b].mean():.2f}({(which == b).sum()})"
        for b in range(10)
        if (which == b).any()
    ]
    print("   " + " ".join(cells))


def speed(sizes: tuple[int, ...]) -> list[dict[str, float]]:
    """The engine and DBSCAN on the same points, with one camera, two and five; the best of several runs each."""
    alone = [long_weekend(size, two_cameras=two) for two in (False, True) for size in sizes]
    return [_race(outing) for outing in (*alone, *(club_week(size) for size in sizes))]


def _race(outing: Outing) -> dict[str, float]:
    p = points(outing, true_clocks=True)
    scaled = np.column_stack((p.t / 60.0, p.xy / 25.0))
    rows = PhotoRows()  # packed once, as by whoever proposes again; the first reading is told by itself
    first = _timed(lambda: rows.of(outing.photos))
    engine = min(_timed(lambda: propose(outing.photos, rows=rows)) for _ in range(_RUNS))
    reading = min(_timed(lambda: read_columns(outing.photos, rows)) for _ in range(_RUNS))
    rule = min(_timed(lambda: DBSCAN(eps=1.0, min_samples=1).fit(scaled)) for _ in range(_RUNS))
    print(
        f"  {len(outing.photos):7d} pictures of {len(outing.offset)} cameras: engine {engine * 1e3:9.1f} ms,"
        f" DBSCAN {rule * 1e3:9.1f} ms, ratio {engine / rule:.2f};"
        f" {(engine - reading) / rule:.2f} once the photos are read into arrays, as DBSCAN gets them;"
        f" {(engine + first) / rule:.2f} for a first proposal, its rows not packed before"
    )
    return {
        "photos": len(outing.photos),
        "engine_s": engine,
        "packing_s": first,
        "reading_s": reading,
        "dbscan_s": rule,
    }


def _timed(call: Callable[[], object]) -> float:
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=50, help="forays per tier")
    parser.add_argument("--tuning", type=int, default=20, help="forays per tier for tuning the rules")
    parser.add_argument(
        "--tier", action="append", choices=list(TIERS), help="only this tier (may be repeated)"
    )
    parser.add_argument("--no-rules", action="store_true", help="the engine alone")
    parser.add_argument("--speed", action="store_true", help="only the race for time")
    parser.add_argument("--no-speed", action="store_true", help="no race for time")
    parser.add_argument("--given-clocks", action="store_true", help="the engine too gets the true clocks")
    parser.add_argument("--json", help="write the figures to this file")
    arguments = parser.parse_args()
    rows: list[dict[str, object]] = []
    if not arguments.speed:
        for tier in arguments.tier or TIERS:
            result = run(
                tier, arguments.seeds, arguments.tuning, not arguments.no_rules, given=arguments.given_clocks
            )
            rows += [show(tier, result)]
    if not arguments.no_speed:
        print("\ntime")
        rows.extend(dict(r) for r in speed((1_000, 10_000, 100_000)))
    if arguments.json:
        with open(arguments.json, "w", encoding="utf-8") as file:  # noqa: PTH123
            json.dump(rows, file, indent=1)


if __name__ == "__main__":
    main()
