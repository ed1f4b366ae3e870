"""The habit of one photographer on one day: how long she pauses, and moves, within and between specimens.

Pauses are taken as log-normal, two kinds mixed; what the kinds are is learnt from the day's own
pauses (expectation-maximisation with broad priors), so a hasty phone and a patient tripod are each
read by their own measure. Displacements follow heavy-tailed laws, since fixes under trees err by
metres to tens of metres and neighbouring fixes err alike.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from catalog_gui.grouping.columns import Bools, Floats

# Broad beliefs before any picture is seen, as log seconds: shots of one find follow each other in
# about ten seconds, the next find comes after about two minutes; each within a factor of two or three.
_WITHIN, _WITHIN_SD = np.log(10.0), 0.9
_BETWEEN, _BETWEEN_SD = np.log(110.0), 1.0
_SPREAD_WITHIN, _SPREAD_BETWEEN = 0.85, 0.95
_SHARE = 0.75  # of pauses that lie within a specimen: about four shots a find
_WEIGHT = 12.0  # pauses' worth of belief in the spreads and the share
_SAMPLE = 1500  # pauses looked at when learning; more would change nothing and cost time


@dataclass(frozen=True, slots=True)
class Habit:
    """Two kinds of pause (log s), their share, and two scales of displacement (m)."""

    within: float = float(_WITHIN)
    within_sd: float = _SPREAD_WITHIN
    between: float = float(_BETWEEN)
    between_sd: float = _SPREAD_BETWEEN
    share: float = _SHARE
    still_m: float = 4.0
    moved_m: float = 25.0
    still_zero: float = 0.15
    moved_zero: float = 0.03

    def pause_evidence(self, gaps: Floats) -> Floats:
        """Natural log of how much better `gaps` (s) fit within one specimen than between two."""
        x = np.log1p(np.maximum(gaps, 0.0))
        ends = np.array([self.within, self.between])
        low, high = (float(e) for e in self._raw(ends))
        return _falling(x, self._raw(x), (self.within, self.between), (low, high))

    def _raw(self, x: Floats) -> Floats:
        return _log_bell(x, self.within, self.within_sd) - _log_bell(x, self.between, self.between_sd)

    def step_evidence(self, metres: Floats, gaps: Floats, scale: Floats) -> Floats:
        """The same for displacements; `scale` is the fixes' reported error over the usual one. NaN gives 0."""
        known = ~np.isnan(metres)
        d = np.where(known, metres, 0.0)
        still = self.still_m * scale
        moved = np.hypot(still, np.minimum(self.moved_m, 2.0 + 1.0 * np.maximum(gaps, 0.0)))
        near = _log_disc(d, still)
        far = _log_disc(d, moved)
        same_fix = d < 0.05
        evidence = np.where(
            same_fix,
            np.log(self.still_zero) - np.log(self.moved_zero),
            near + np.log1p(-self.still_zero) - far - np.log1p(-self.moved_zero),
        )
        return np.where(known, np.clip(evidence, -6.0, 3.0), 0.0)

    @property
    def prior(self) -> float:
        return float(np.log(self.share) - np.log1p(-self.share))


def _log_bell(x: Floats, mean: float, sd: float) -> Floats:
    """Log density of a bell with a floor of heavy tail: one pause in thirty is of another kind altogether."""
    z = (x - mean) / sd
    return np.asarray(
        np.log(0.97 * np.exp(-0.5 * z * z) / sd + 0.03 * np.exp(-0.5 * (z / 2.5) ** 2) / (2.5 * sd))
    )


def _log_disc(d: Floats, scale: Floats) -> Floats:
    """Log density in the plane of a two-dimensional t law with 3 degrees of freedom."""
    return np.asarray(-2.0 * np.log(scale) - 2.5 * np.log1p((d / scale) ** 2 / 3.0))


def _falling(x: Floats, evidence: Floats, ends: tuple[float, float], at_ends: tuple[float, float]) -> Floats:
    """Make evidence fall with the pause: outside the bells' centres a wider bell must not win it back."""
    evidence = np.where(x < ends[0], np.maximum(evidence, at_ends[0]), evidence)
    return np.where(x > ends[1], np.minimum(evidence, at_ends[1]), evidence)


def learn(
    gaps: Floats, metres: Floats, scale: Floats, weak: Habit | None = None, belief: float = 6.0
) -> Habit:
    """Learn a habit from consecutive pauses (s) and displacements (m, NaN unknown) of one photographer.

    `weak` is what is believed beforehand (the whole party's habit), `belief` its weight in pauses.
    """
    prior = weak or Habit()
    if len(gaps) == 0:
        return prior
    if len(gaps) > _SAMPLE:
        step = len(gaps) / _SAMPLE
        rows = (np.arange(_SAMPLE) * step).astype(np.int64)
        gaps, metres, scale = gaps[rows], metres[rows], scale[rows]
    x = np.log1p(np.maximum(gaps, 0.0))
    known = ~np.isnan(metres)
    habit = prior
    for _ in range(25):
        odds = habit.prior + habit.pause_evidence(gaps) + habit.step_evidence(metres, gaps, scale)
        together = 1.0 / (1.0 + np.exp(-np.clip(odds, -30, 30)))
        fresh = _maximise(x, together, metres, scale, known, prior, belief)
        moved = abs(fresh.within - habit.within) + abs(fresh.between - habit.between)
        habit = fresh
        if moved < 1e-3:
            break
    return habit


def _maximise(
    x: Floats, together: Floats, metres: Floats, scale: Floats, known: Bools, prior: Habit, belief: float
) -> Habit:
    apart = 1.0 - together
    n_in, n_out = float(together.sum()), float(apart.sum())
    within, within_sd = _bell(x, together, n_in, prior.within, prior.within_sd, belief)
    between, between_sd = _bell(x, apart, n_out, prior.between, prior.between_sd, belief)
    between = max(between, within + 0.8)
    share = (n_in + _WEIGHT * prior.share) / (n_in + n_out + _WEIGHT)
    still, moved, zero_in, zero_out = prior.still_m, prior.moved_m, prior.still_zero, prior.moved_zero
    if known.any():
        d, s = metres[known], scale[known]
        win, wout = together[known], apart[known]
        same = d < 0.05
        zero_in = (float(win[same].sum()) + 8 * prior.still_zero) / (float(win.sum()) + 8)
        zero_out = (float(wout[same].sum()) + 8 * prior.moved_zero) / (float(wout.sum()) + 8)
        zero_out = min(zero_out, 0.8 * zero_in)
        still = _disc(d[~same] / s[~same], win[~same], prior.still_m, belief)
        moved = _disc(d[~same], wout[~same], prior.moved_m, belief)
        moved = max(moved, 1.5 * still)
    return Habit(within, within_sd, between, between_sd, share, still, moved, zero_in, zero_out)


def _bell(x: Floats, w: Floats, total: float, mean: float, sd: float, belief: float) -> tuple[float, float]:
    centre = (float(w @ x) + belief * mean) / (total + belief)
    squares = float(w @ (x - centre) ** 2)
    variance = (squares + _WEIGHT * sd * sd) / (total + _WEIGHT)
    return centre, float(np.clip(np.sqrt(variance), 0.35, 1.4))


def _disc(d: Floats, w: Floats, scale: float, belief: float) -> float:
    """Scale of the two-dimensional t law (3 degrees of freedom), one reweighting step from the present one."""
    weight = w * 5.0 / (3.0 + (d / scale) ** 2)
    return float(
        np.sqrt((float(weight @ (d * d)) / 2.0 + belief * scale * scale) / (float(w.sum()) + belief))
    )
