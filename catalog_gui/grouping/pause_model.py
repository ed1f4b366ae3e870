"""The habit of one photographer on one day: how long the pauses are, and the moves, within and between finds.

Pauses are a mixture of four kinds, each log-normal: the beat of shots at one find, the slow acts there
(digging out the base, cutting, writing a slip), the hop to a neighbour in the same patch, and the way to
the next find. Slow act and hop last alike; only the step of the fixes tells them apart. What the kinds are is
learnt from the day's own pauses (expectation-maximisation with broad priors), so that a hasty phone and
a patient tripod are each read by their own measure. Displacements follow heavy-tailed laws whose scale
within a find grows with the pause, since neighbouring fixes err alike.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from math import sqrt

import numpy as np

from catalog_gui.grouping.columns import Bools, Floats, Ints
from catalog_gui.grouping.heavy_tails import disc
from catalog_gui.grouping.semi_markov import Sizes, learn_sizes, renewed, together

DOUBLE_S = 2.1  # faster than anyone moves on (and whole seconds may add one): bursts, bracketing
_DOUBLE = 6.0  # log odds of such a pair
_TINY = 1e-12
_BESIDE = 0.2  # of long ways lead to a find beside the last one (our estimate)
_ONE_FIX = 0.93  # scale of the difference of two independent fixes over the 68 % error of one (normal law)
_SAMPLE = 420  # pauses looked at when learning; more would change nothing and cost time
_RUN = 35  # of them in a row
_ROUNDS = 4
_WHOLE_ROUNDS = 5
_FEWEST = 4  # pauses from which the day can be seen as a whole
_TRIAL = 2  # rounds given to each starting point
_SAME_FIX_M = 0.05  # nearer to each other two fixes are one and the same
_STEADY_S = 90.0  # how fast a receiver's error wanders off (our estimate)


@dataclass(frozen=True)
class Steps:
    """Steps between consecutive pictures of one person, as columns of one length.

    `gaps` in s; `metres` between fixes, or middles of a few fixes (NaN unknown); `scale` the fixes' reported
    error over the usual one; `lone` the part of the jitter that is left: 1 between single fixes, less
    between middles.
    """

    gaps: Floats
    metres: Floats
    scale: Floats
    lone: Floats

    def __getitem__(self, rows: Ints | Bools) -> Steps:
        return Steps(self.gaps[rows], self.metres[rows], self.scale[rows], self.lone[rows])

    # Every round of learning asks for these again.
    @cached_property
    def logs(self) -> Floats:
        return np.asarray(np.log(np.maximum(self.gaps, 0.5)))

    @cached_property
    def known(self) -> Bools:
        return ~np.isnan(self.metres)

    @cached_property
    def square(self) -> Floats:
        """Squared displacement (m²); 1 where unknown."""
        return np.where(self.known, self.metres * self.metres, 1.0)

    @cached_property
    def same_fix(self) -> Bools:
        """Where both pictures carry one and the same fix."""
        return self.square < _SAME_FIX_M**2

    @cached_property
    def jitter(self) -> Floats:
        """How much of the squared error of a fix that is new every time is in each step."""
        return np.asarray(self.scale * self.scale * self.lone)

    @cached_property
    def drift(self) -> Floats:
        """How much of the squared error that wanders off is in each step."""
        return np.asarray(self.scale * self.scale * -np.expm1(-np.maximum(self.gaps, 0.0) / _STEADY_S))

    @cached_property
    def apart(self) -> Steps:
        """The steps between two fixes that are not one and the same."""
        return self[self.known & ~self.same_fix]


@dataclass(frozen=True, slots=True)
class PauseModel:
    """Shares, centres and spreads (log s) of the four kinds of pause; scales of displacement (m)."""

    beat_share: float = 0.64
    slow_share: float = 0.10
    hop_share: float = 0.07
    beat: float = 2.3  # log 10 s
    beat_sd: float = 0.65
    slow: float = 3.5  # log 33 s
    slow_sd: float = 0.65
    hop: float = 3.5  # log 33 s
    hop_sd: float = 0.7
    way: float = 4.6  # log 100 s
    way_sd: float = 0.9
    still_short_m: float = 1.2
    still_long_m: float = 6.0
    hop_m: float = 5.0
    moved_m: float = 20.0
    pace_m_s: float = 0.7
    still_zero: float = 0.2
    moved_zero: float = 0.03

    @property
    def way_share(self) -> float:
        return 1.0 - self.beat_share - self.slow_share - self.hop_share

    def odds(self, steps: Steps) -> Floats:
        """Log odds that the two pictures of each step show one find."""
        odds = _odds(self.kinds(steps))
        return np.asarray(np.where(steps.gaps <= DOUBLE_S, np.maximum(odds, _DOUBLE), odds))

    @property
    def size(self) -> float:
        """Mean number of pictures at a find, bursts counted once."""
        return 1.0 / (self.hop_share + self.way_share)

    def away(self, x: Floats) -> Floats:
        """Density over log s of pauses between two finds, hop or way."""
        hop = _bell(x, self.hop, self.hop_sd, self.hop_share) + _bell(
            x, self.way, self.way_sd, self.way_share
        )
        return np.asarray(hop / (np.sqrt(2.0 * np.pi) * (self.hop_share + self.way_share)))

    def kinds(self, steps: Steps, *, learning: bool = False) -> Floats:
        """Joint densities (4, n) of beat, slow act, hop and way."""
        inner = steps.logs
        if not learning:
            inner = np.maximum(inner, self.beat)  # quicker than the beat is no less together
        near, hopped, far = self._moves(steps)
        kinds = np.empty((4, len(inner)))
        np.multiply(_plain(inner, self.beat, self.beat_sd, self.beat_share), near, out=kinds[0])
        np.multiply(_plain(inner, self.slow, self.slow_sd, self.slow_share), near, out=kinds[1])
        np.multiply(_plain(inner, self.hop, self.hop_sd, self.hop_share), hopped, out=kinds[2])
        np.multiply(_bell(inner, self.way, self.way_sd, self.way_share), far, out=kinds[3])
        return kinds

    def _moves(self, steps: Steps) -> tuple[Floats, Floats, Floats]:
        """Densities of displacements at one find, to a neighbour, and further; 1 where unknown."""
        square = steps.square
        still = self.still(steps)
        reach = np.minimum(self.moved_m, 3.0 + self.pace_m_s * np.maximum(steps.gaps, 0.0))
        near = (1.0 - self.still_zero) * disc(square, still)
        hop = (1.0 - self.moved_zero) * disc(square, still + self.hop_m**2)
        far = (1.0 - _BESIDE) * (1.0 - self.moved_zero) * disc(square, still + reach * reach) + _BESIDE * hop
        same_fix = steps.same_fix
        if same_fix.any():
            near[same_fix], hop[same_fix], far[same_fix] = self.still_zero, self.moved_zero, self.moved_zero
        if not steps.known.all():
            unknown = ~steps.known
            near[unknown] = hop[unknown] = far[unknown] = 1.0
        return near, hop, far

    def still(self, steps: Steps) -> Floats:
        """Squared scale (m²) of apparent displacement while standing at one find."""
        return np.asarray(self.still_short_m**2 * steps.jitter + self.still_long_m**2 * steps.drift)


def _odds(kinds: Floats) -> Floats:
    """Log odds of one find from weights (4, n) of beat, slow act, hop and way."""
    return np.asarray(np.log(kinds[0] + kinds[1] + _TINY) - np.log(kinds[2] + kinds[3] + _TINY))


def _plain(x: Floats, mean: float, sd: float, share: float) -> Floats:
    """`share` of a normal density (without its constant)."""
    z = x - mean
    z *= z
    z *= -0.5 / (sd * sd)
    np.exp(z, out=z)
    z *= share / sd
    return z


def _bell(x: Floats, mean: float, sd: float, share: float) -> Floats:
    """`share` of a normal density with a floor of heavy tail: one pause in fifty is of another kind altogether."""
    z = x - mean
    z *= z
    z *= -0.5 / (sd * sd)
    tail = np.exp(0.16 * z)
    np.exp(z, out=z)
    z *= 0.98 * share / sd
    tail *= 0.02 / 2.5 * share / sd
    z += tail
    return z


def learn(
    steps: Steps, weak: PauseModel | None = None, start: PauseModel | None = None, error_m: float = 8.0
) -> PauseModel:
    """Learn a habit from the steps of one photographer.

    `weak` is what is believed beforehand (the whole party's habit); without it `error_m` is the usual 68 %
    error of a fix; `start` is where to begin, if known. Otherwise several starting points are tried,
    since a day of bursts and a day on a tripod look alike from far away; the likeliest is kept.
    """
    prior = weak or PauseModel(still_long_m=_ONE_FIX * error_m)
    steps = _telling(steps)
    n = len(steps.gaps)
    if n < 3:
        return prior
    if start is not None:
        return _climb(start, prior, steps, _ROUNDS)[0]
    starts = [prior]
    if weak is None and n >= 12:
        x = steps.logs
        for share in (0.6, 0.75, 0.88):
            split = float(np.quantile(x, share))
            low, high = x[x <= split], x[x > split]
            if len(low) and len(high):
                centre = float(np.median(low))
                way = max(float(np.median(high)), centre + 0.9)
                middle = 0.5 * (centre + way)
                starts.append(replace(prior, beat=centre, way=way, slow=middle, hop=middle))
    tried = [_climb(start, prior, steps, _TRIAL) for start in starts]
    best = max(tried, key=lambda pair: pair[1])[0]
    return _climb(best, prior, steps, _ROUNDS)[0]


def judge(
    pause_model: PauseModel, steps: Steps, weak: PauseModel | None = None, error_m: float = 8.0
) -> tuple[PauseModel, Sizes | None]:
    """The habit as it is once the day is seen as a whole, and how many pictures a find gets (None: too few to tell).

    How many pictures a find gets is learnt along with the habit (`semi_markov`): a pause that would leave a
    single picture on either side is rather a slow act, one after a dozen pictures rather the way on. Doubles
    are left out of it.
    """
    use = steps.gaps > DOUBLE_S
    if int(use.sum()) < _FEWEST:
        return pause_model, None
    prior = weak or PauseModel(still_long_m=_ONE_FIX * error_m)
    told = _telling(steps)
    kinds = pause_model.kinds(told, learning=True) + _TINY
    sizes = learn_sizes(*_one_or_two(kinds, pause_model), pause_model.size)
    for later in range(_WHOLE_ROUNDS):
        if later:
            kinds = pause_model.kinds(told, learning=True) + _TINY
        one = together(*_one_or_two(kinds, pause_model), sizes)
        sizes = renewed(sizes, one, pause_model.size)
        kinds[:2] *= one / (kinds[0] + kinds[1])
        kinds[2:] *= (1.0 - one) / (kinds[2] + kinds[3])
        pause_model = _maximise(kinds, told, pause_model, prior)
    return pause_model, sizes


def weigh(pause_model: PauseModel, sizes: Sizes | None, steps: Steps) -> Floats:
    """Log odds of one find for every step, by what `judge` found."""
    use = steps.gaps > DOUBLE_S
    if sizes is None or int(use.sum()) < _FEWEST:
        return pause_model.odds(steps)
    kinds = pause_model.kinds(steps)
    odds = np.maximum(_odds(kinds), _DOUBLE)
    one = together(*_one_or_two(kinds[:, use], pause_model), sizes)
    one = np.clip(one, 1e-7, 1.0 - _ASIDE)
    odds[use] = np.log(one) - np.log1p(-one)
    odds += _UNSEEN * ~steps.known
    return odds


def _one_or_two(kinds: Floats, pause_model: PauseModel) -> tuple[Floats, Floats]:
    """Densities of pauses at one find and between two, from those of the four kinds with their shares."""
    apart = pause_model.hop_share + pause_model.way_share
    return (kinds[0] + kinds[1]) / (1.0 - apart), (kinds[2] + kinds[3]) / apart


def _telling(steps: Steps) -> Steps:
    """Steps to learn from: no doubles, and not more than needed, in runs, since neighbours tell of each other."""
    steps = steps[steps.gaps > DOUBLE_S]
    n = len(steps.gaps)
    if n <= _SAMPLE:
        return steps
    start = np.arange(0, _SAMPLE, _RUN) / _SAMPLE * n
    return steps[(start.astype(np.int64)[:, None] + np.arange(_RUN)[None, :]).ravel()]


def _climb(pause_model: PauseModel, prior: PauseModel, steps: Steps, rounds: int) -> tuple[PauseModel, float]:
    """Expectation-maximisation from `pause_model`; returns the habit and its penalised log likelihood."""
    value = -np.inf
    for _ in range(rounds):
        kinds = pause_model.kinds(steps, learning=True)
        total = kinds.sum(axis=0) + _TINY
        fresh_value = float(np.log(total).sum()) + _penalty(pause_model, prior)
        pause_model = _maximise(kinds / total, steps, pause_model, prior)
        if fresh_value - value < 0.1:
            return pause_model, fresh_value
        value = fresh_value
    return pause_model, value


# How much is believed beforehand: sd of the centres (log s), and weights in pauses.
_CENTRE_SD, _SLOW_SD, _WAY_SD = 1.2, 0.5, 0.5
_SPREAD_WEIGHT, _SHARE_WEIGHT, _STEP_WEIGHT, _MIDDLE_WEIGHT = 15.0, 10.0, 8.0, 40.0
_CLEAR = 1.5  # drift over a hop's length from which fixes tell no slow act from a hop
_LEAST_BELIEF = 0.2
_EARN, _EARN_BLIND = 4.0, 1.0  # pauses
_SLOW_BLIND = 0.85  # of what lies between beat and way, where no fix tells slow acts from hops (our estimate)
_ASIDE = 0.02  # of pictures show the wood or the people, at the beat of the others (our estimate)
_UNSEEN = 0.4  # log odds for one find where no fix tells: pauses alone cut too readily (our estimate)
_BETWEEN = 0.75  # how far from the beat towards the way, on the log scale, slow acts and hops may lie at most


def _penalty(pause_model: PauseModel, prior: PauseModel) -> float:
    log_prior = -0.5 * (
        ((pause_model.beat - prior.beat) / _CENTRE_SD) ** 2
        + ((pause_model.slow - max(prior.slow, pause_model.beat + 0.7)) / _SLOW_SD) ** 2
        + ((pause_model.hop - max(prior.hop, pause_model.beat + 0.4)) / _SLOW_SD) ** 2
        + ((pause_model.way - prior.way) / _WAY_SD) ** 2
    )
    for share, usual in zip(_shares(pause_model), _shares(prior), strict=True):
        log_prior += _SHARE_WEIGHT * usual * float(np.log(max(share, 1e-6)))
    for sd, usual in zip(_spreads(pause_model), _spreads(prior), strict=True):
        log_prior -= 0.5 * _SPREAD_WEIGHT * (2 * float(np.log(sd)) + (usual / sd) ** 2)
    return log_prior


def _shares(pause_model: PauseModel) -> tuple[float, ...]:
    return pause_model.beat_share, pause_model.slow_share, pause_model.hop_share, pause_model.way_share


def _spreads(pause_model: PauseModel) -> tuple[float, ...]:
    return pause_model.beat_sd, pause_model.slow_sd, pause_model.hop_sd, pause_model.way_sd


def _maximise(kinds: Floats, steps: Steps, pause_model: PauseModel, prior: PauseModel) -> PauseModel:
    x = steps.logs
    beat, slow, hop, way = kinds
    counts = kinds.sum(axis=1)
    # What lies between beat and way must earn its place: a clear day has neither slow acts nor hops.
    between = float(counts[1] + counts[2])
    blind = not steps.known.any()
    earn = _EARN_BLIND if blind else _EARN
    kept = counts * np.array([1.0, *[max(0.0, 1.0 - earn / max(between, earn))] * 2, 1.0])
    shares = (kept + _SHARE_WEIGHT * np.array(_shares(prior))) / (float(kept.sum()) + _SHARE_WEIGHT)
    # Little tells a slow act from a hop: how they share what lies between is mostly belief.
    # Without a single fix the time alone speaks, and far more pauses lie at a find than between two.
    middle = float(shares[1] + shares[2])
    usual = _SLOW_BLIND if blind else prior.slow_share / (prior.slow_share + prior.hop_share)
    # The better the fixes, the less.
    blur = min(1.0, pause_model.still_long_m / (_CLEAR * pause_model.hop_m))
    belief = _MIDDLE_WEIGHT * (_LEAST_BELIEF + (1.0 - _LEAST_BELIEF) * blur * blur)
    slow_part = (float(counts[1]) + belief * usual) / (float(counts[1] + counts[2]) + belief)
    shares[1], shares[2] = middle * slow_part, middle * (1.0 - slow_part)
    n_beat, n_slow, n_hop, n_way = counts.tolist()
    beat_mean, beat_sd = _centre(x, beat, n_beat, prior.beat, _CENTRE_SD, pause_model.beat_sd, prior.beat_sd)
    way_mean, way_sd = _centre(x, way, n_way, prior.way, _WAY_SD, pause_model.way_sd, prior.way_sd)
    way_mean = max(way_mean, beat_mean + 0.8)
    slow_prior = max(prior.slow, beat_mean + 0.7)
    middle_mean, middle_sd = _centre(
        x, slow + hop, n_slow + n_hop, slow_prior, _SLOW_SD, pause_model.slow_sd, prior.slow_sd
    )
    most = beat_mean + _BETWEEN * (way_mean - beat_mean)
    slow_mean = hop_mean = max(min(middle_mean, most), beat_mean + 0.4)
    slow_sd = hop_sd = middle_sd
    return replace(
        pause_model,
        beat_share=float(shares[0]), slow_share=float(shares[1]), hop_share=float(shares[2]),
        beat=beat_mean, beat_sd=beat_sd, slow=slow_mean, slow_sd=slow_sd,
        hop=hop_mean, hop_sd=hop_sd, way=way_mean, way_sd=way_sd,
        **({} if blind else _moved(kinds, steps, pause_model, prior)),
    )  # fmt: skip


def _moved(kinds: Floats, steps: Steps, pause_model: PauseModel, prior: PauseModel) -> dict[str, float]:
    """What the fixes tell of displacements."""
    same, away = kinds[0] + kinds[1], kinds[2] + kinds[3]
    known, same_fix = steps.known, steps.same_fix
    still_zero = (float(same[same_fix].sum()) + 8 * prior.still_zero) / (float(same[known].sum()) + 8)
    moved_zero = (float(away[same_fix].sum()) + 8 * prior.moved_zero) / (float(away[known].sum()) + 8)
    fixed = steps.apart
    rows = known & ~same_fix
    still_short, still_long = _jitter_and_drift(fixed, same[rows], pause_model, prior)
    free = fixed.gaps > 30.0
    moved = _radius(fixed.square[free], kinds[3][rows][free], pause_model.moved_m, prior.moved_m)
    return {
        "still_short_m": still_short,
        "still_long_m": still_long,
        "moved_m": max(moved, 1.3 * float(np.hypot(still_short, still_long))),
        "still_zero": still_zero,
        "moved_zero": min(moved_zero, 0.8 * still_zero),
    }


def _centre(
    x: Floats, weight: Floats, total: float, prior: float, prior_sd: float, sd: float, usual_sd: float
) -> tuple[float, float]:
    belief = (sd / prior_sd) ** 2
    mean = (float(weight @ x) + belief * prior) / (total + belief)
    square = (float(weight @ (x - mean) ** 2) + _SPREAD_WEIGHT * usual_sd**2) / (total + _SPREAD_WEIGHT)
    return mean, min(max(sqrt(square), 0.2), 1.6 * usual_sd)


def _jitter_and_drift(
    steps: Steps, same: Floats, pause_model: PauseModel, prior: PauseModel
) -> tuple[float, float]:
    """Scales (m) of the part of a fix's error that is new every time, and of the part that wanders off.

    Weighted least squares of the squared steps on both parts, leaning on belief; each step weighs by the
    inverse square of its present scale, and less the further out it lies (t law).
    """
    scale, square, jitter, drift = pause_model.still(steps), steps.square / 2.0, steps.jitter, steps.drift
    w = same * 6.0 / ((4.0 + steps.square / scale) * scale * scale)
    usual2 = prior.still_short_m**2 + 0.1 * prior.still_long_m**2
    lean_jitter, lean_drift = _STEP_WEIGHT / 4.0 / usual2**2, _STEP_WEIGHT / prior.still_long_m**4
    a11 = float(w @ (jitter * jitter)) + lean_jitter
    a12 = float(w @ (jitter * drift))
    a22 = float(w @ (drift * drift)) + lean_drift
    b1 = float(w @ (jitter * square)) + lean_jitter * prior.still_short_m**2
    # What the receiver reports is the whole of its error: what jitters does not drift as well.
    left = max(prior.still_long_m**2 - pause_model.still_short_m**2, 0.1 * prior.still_long_m**2)
    b2 = float(w @ (drift * square)) + lean_drift * left
    determinant = a11 * a22 - a12 * a12
    short = (b1 * a22 - b2 * a12) / determinant
    long = (b2 * a11 - b1 * a12) / determinant
    if short < 0.25:
        short, long = 0.25, (b2 - a12 * 0.25) / a22
    elif long < 0.25:
        short, long = (b1 - a12 * 0.25) / a11, 0.25
    return sqrt(max(short, 0.25)), sqrt(max(long, 0.25))


def _radius(square: Floats, weight: Floats, scale: float, prior: float) -> float:
    """Scale of the two-dimensional t law (4 degrees of freedom), one reweighting step from the present one.

    `square` are squared displacements (m²).
    """
    w = weight * 6.0 / (4.0 + square / scale**2)
    wide = (float(w @ square) / 2.0 + _STEP_WEIGHT * prior**2) / (float(weight.sum()) + _STEP_WEIGHT)
    return sqrt(wide)
