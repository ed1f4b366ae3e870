"""What the engine is measured against: four general rules, each given its best settings on other seeds."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from sklearn.cluster import DBSCAN, HDBSCAN

from tests.simulated.forays import METRES_PER_DEGREE, Outing


@dataclass(slots=True)
class Points:
    """Pictures in time order: ids, s, and metres east and north (filled in along time where no fix was)."""

    ids: list[str]
    t: np.ndarray
    xy: np.ndarray


def points(outing: Outing, *, true_clocks: bool) -> Points:
    """The outing as a general rule sees it: with the clocks as written, or with the true ones."""
    photos = outing.photos
    if true_clocks:
        t = np.array([outing.time[p.id] for p in photos])
    else:
        t = np.array([p.written.local.timestamp() if p.written.local else 0.0 for p in photos])
    order = np.argsort(t, kind="stable")
    known = [i for i in order if photos[i].fix is not None]
    xy = np.zeros((len(photos), 2))
    if known:
        where = [photos[i].fix.position for i in known]
        lat, lon = np.array([w.latitude for w in where]), np.array([w.longitude for w in where])
        lat0, lon0 = float(np.median(lat)), float(np.median(lon))
        y = (lat - lat0) * METRES_PER_DEGREE
        x = (lon - lon0) * METRES_PER_DEGREE * np.cos(np.radians(lat0))
        xy = np.column_stack((np.interp(t, t[known], x), np.interp(t, t[known], y)))
    return Points([photos[i].id for i in order], t[order], xy[order])


Rule = Callable[[Points, tuple[float, ...]], np.ndarray]


def fixed_gap(p: Points, setting: tuple[float, ...]) -> np.ndarray:
    return np.concatenate(([0], np.cumsum(np.diff(p.t) > setting[0])))


def log_gap(p: Points, setting: tuple[float, ...]) -> np.ndarray:
    """Platt, Czerwinski and Field 2003 (PhotoTOC): a boundary where the log gap exceeds K plus the mean log gap
    of the 2d + 1 gaps around it. Published with K = log 17 and d = 10 (from memory); K is tuned as well here.
    """
    log = np.log(np.maximum(np.diff(p.t), 1.0))
    d = int(setting[1])
    padded = np.cumsum(np.concatenate(([0.0], log)))
    low = np.maximum(np.arange(len(log)) - d, 0)
    high = np.minimum(np.arange(len(log)) + d + 1, len(log))
    mean = (padded[high] - padded[low]) / np.maximum(high - low, 1)
    return np.concatenate(([0], np.cumsum(log >= setting[0] + mean)))


def _scaled(p: Points, seconds: float, metres: float) -> np.ndarray:
    return np.column_stack((p.t / seconds, p.xy / metres))


def dbscan(p: Points, setting: tuple[float, ...]) -> np.ndarray:
    return DBSCAN(eps=1.0, min_samples=1).fit_predict(_scaled(p, setting[0], setting[1]))


def hdbscan(p: Points, setting: tuple[float, ...]) -> np.ndarray:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found = HDBSCAN(
            min_cluster_size=int(setting[2]), min_samples=1,
            cluster_selection_method="leaf" if setting[3] else "eom",
        ).fit_predict(_scaled(p, setting[0], setting[1]))  # fmt: skip
    alone = found < 0
    found = found.copy()
    found[alone] = found.max() + 1 + np.arange(alone.sum())
    return found


RULES: dict[str, tuple[Rule, list[tuple[float, ...]]]] = {
    "fixed gap": (
        fixed_gap,
        [(g,) for g in (12, 16, 20, 25, 30, 36, 43, 52, 63, 75, 90, 110, 140, 180, 240)],
    ),
    "DBSCAN": (dbscan, [(s, m) for s in (20, 30, 42, 60, 85, 120, 180) for m in (8, 14, 22, 35, 60, 1e6)]),
    "HDBSCAN": (hdbscan, [(60, m, k, leaf) for m in (8, 20, 60, 1e6) for k in (2, 3, 4) for leaf in (0, 1)]),
    "log gap": (
        log_gap,
        [(k, d) for k in (0.7, 1.0, 1.3, 1.6, 2.0, 2.4, float(np.log(17))) for d in (5, 10, 20)],
    ),
}


def as_groups(p: Points, labels: Sequence[int] | np.ndarray) -> list[list[str]]:
    groups: dict[int, list[str]] = {}
    for name, label in zip(p.ids, labels, strict=True):
        groups.setdefault(int(label), []).append(name)
    return list(groups.values())
