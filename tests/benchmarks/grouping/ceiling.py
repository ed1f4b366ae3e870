"""How far anybody could get on the simulated forays: `python -m tests.benchmarks.grouping.ceiling`.

Boosted trees (scikit-learn) are shown hundreds of forays of the very tier with their truth, and then sort
others of it, with the true clocks: every pause, step and neighbouring pause and step is theirs to use. The
engine has never seen a foray of the tier and learns each day from itself, so what the trees reach is about
the least number of corrections that times and places allow; a target below it cannot be met. Trees taught with
the other tiers instead know how people photograph, but not how these did: the fair rival of the engine. Only
tiers of one person, where a group is a stretch of time.

Then the clocks of the pair: what would be gained if the engine were told, of every picture, whether it is the
first that its photographer took of a find. No reading of the pauses can know that better.
"""

from __future__ import annotations

import argparse
import contextlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from unittest import mock

import numpy as np
from sklearn.ensemble import HistGradientBoostingClassifier

from catalog_gui.grouping import Held, clocks, propose
from catalog_gui.grouping.arrivals import Arrivals, pick_arrivals
from catalog_gui.grouping.columns import Floats
from tests.benchmarks.grouping.baselines import RULES, as_groups, points
from tests.benchmarks.grouping.bench import Score, tune
from tests.benchmarks.grouping.scoring import as_shown
from tests.simulated.forays import Outing, simulate

TIERS = ("easy phone", "phone in wood", "slow tripod", "camera and phone")
_TEACH_FROM = 20_000  # seeds from here on are for teaching the trees only
_NEIGHBOURS = 5
_CERTAIN = 6.0  # log odds
_DRIFT_S = 60.0  # a camera's clock runs so far away over a day, at most
_QUANTILES = (0.1, 0.25, 0.5, 0.6, 0.7, 0.8, 0.9)


def features(outing: Outing) -> np.ndarray:
    """What is known of every pause: (pauses, columns)."""
    p = points(outing, true_clocks=True)
    gaps = np.diff(p.t)
    log = np.log(np.maximum(gaps, 0.5))
    metres = np.hypot(*np.diff(p.xy, axis=0).T)
    n = len(log)
    columns = [log, metres]
    for far in range(1, _NEIGHBOURS + 1):
        for one in (log, metres):
            columns.append(np.concatenate((np.full(far, np.nan), one))[:n])
            columns.append(np.concatenate((one, np.full(far, np.nan)))[-n:])
    for width in (1, 2, 3, 5):
        before = [p.xy[max(0, i - width + 1) : i + 1].mean(axis=0) for i in range(n)]
        after = [p.xy[i + 1 : i + 1 + width].mean(axis=0) for i in range(n)]
        columns.append(np.hypot(*(np.array(after) - np.array(before)).T))
    acts = log[gaps > 2.1] if (gaps > 2.1).sum() > 5 else log
    for share in _QUANTILES:
        quantile = float(np.quantile(acts, share))
        columns += [np.full(n, quantile), log - quantile, np.full(n, np.quantile(metres, share))]
    columns.append(np.argsort(np.argsort(log)) / n)
    device = np.array([name.split("-")[0] for name in p.ids])
    columns.append((device[1:] != device[:-1]).astype(float))
    return np.column_stack(columns)


def truth(outing: Outing) -> np.ndarray:
    names = points(outing, true_clocks=True).ids
    return np.array([outing.label[a] == outing.label[b] for a, b in pairwise(names)])


@dataclass(slots=True)
class Lessons:
    """Features and truth of the forays of one tier that are for teaching."""

    columns: np.ndarray
    one: np.ndarray


def lessons(tier: str, teach: int) -> Lessons:
    outings = [simulate(tier, _TEACH_FROM + seed) for seed in range(teach)]
    return Lessons(
        np.concatenate([features(o) for o in outings]), np.concatenate([truth(o) for o in outings])
    )


def taught(parts: list[Lessons]) -> HistGradientBoostingClassifier:
    trees = HistGradientBoostingClassifier(
        max_iter=300, learning_rate=0.05, max_leaf_nodes=16, min_samples_leaf=40, l2_regularization=5.0,
        random_state=0,
    )  # fmt: skip
    return trees.fit(np.concatenate([p.columns for p in parts]), np.concatenate([p.one for p in parts]))


def run(tier: str, school: dict[str, Lessons], seeds: int, tuning: int) -> None:
    pupils = {
        "taught trees": taught([school[tier]]),
        "taught elsewhere": taught([part for name, part in school.items() if name != tier]),
    }
    best = tune(tier, tuning, true_clocks=True)
    engine, rules = Score(), {name: Score() for name in best}
    trees = {name: Score() for name in pupils}
    for seed in range(seeds):
        outing = simulate(tier, seed)
        p = points(outing, true_clocks=True)
        seen = features(outing)
        for name, pupil in pupils.items():
            one = pupil.predict_proba(seen)[:, 1]
            trees[name].add(as_groups(p, np.concatenate(([0], np.cumsum(one < 0.5)))), outing)
        proposal = propose(outing.photos, held=Held(clocks=outing.offset), time_zone=outing.time_zone)
        groups = as_shown(proposal)
        engine.add(groups, outing)
        for name, setting in best.items():
            rules[name].add(as_groups(p, RULES[name][0](p, setting)), outing)
    least = min(score.per_hundred for score in rules.values())
    shown = {"engine": engine, **trees}
    words = [
        f"{name} {score.per_hundred:5.2f} ({score.per_hundred / least:.2f})" for name, score in shown.items()
    ]
    print(f"{tier:18} best rule {least:5.2f}   " + "   ".join(words))


def told_arrivals(outing: Outing) -> Callable[[Floats], Arrivals]:
    """Read arrivals off the truth: times (s) are those of one camera, whatever its clock, or of known ones together."""
    ids = sorted(outing.time, key=lambda key: outing.time[key])
    moments = np.array([outing.time[key] for key in ids])
    of_camera: dict[str, list[str]] = {}
    for key in ids:
        of_camera.setdefault(key.split("-")[0], []).append(key)

    def read(times: Floats) -> Arrivals:
        shown = [ids[int(np.argmin(np.abs(moments - moment)))] for moment in times.tolist()]
        for mine in of_camera.values():
            if (
                len(mine) == len(times)
                and np.ptp(times - np.array([outing.time[key] for key in mine])) < _DRIFT_S
            ):
                shown = mine
        same = np.array([outing.label[one] == outing.label[two] for one, two in pairwise(shown)])
        return pick_arrivals(times, np.where(same, _CERTAIN, -_CERTAIN))

    return read


def clocks_of_the_pair(seeds: int) -> None:
    """Corrections per 100 and clocks asked about, with arrivals read off the pauses and with those told."""
    for title in ("read off the pauses", "told"):
        score, asked = Score(), 0
        for seed in range(seeds):
            outing = simulate("pair, 3 cameras", seed)
            with contextlib.ExitStack() as told:
                if title == "told":
                    told.enter_context(
                        mock.patch.object(clocks, "remembering", partial(told_arrivals, outing))
                    )
                proposal = propose(outing.photos)
            asked += sum(not clock.settled for clock in proposal.clocks)
            score.add(as_shown(proposal), outing)
        print(
            f"pair, arrivals {title:20} {score.per_hundred:5.2f}; {asked} of {3 * seeds} clocks asked about"
        )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--teach", type=int, default=300, help="forays the trees are taught with")
    parser.add_argument("--seeds", type=int, default=50, help="forays sorted")
    parser.add_argument("--tuning", type=int, default=20, help="forays the rules are tuned on")
    arguments = parser.parse_args()
    print("corrections per 100 pictures, true clocks for all (in brackets: over the best rule)")
    school = {tier: lessons(tier, arguments.teach) for tier in TIERS}
    for tier in TIERS:
        run(tier, school, arguments.seeds, arguments.tuning)
    clocks_of_the_pair(arguments.seeds)


if __name__ == "__main__":
    main()
