"""The rhythm of a stream of pictures, and how well two rhythms agree when one is laid over the other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from catalog_gui.grouping.columns import Floats, Ints, nearest

# How near in time another camera's nearest picture is, in s: classes whose shares tell the company.
_NEAR = np.array([1.5, 4.0, 8.0, 15.0, 25.0, 40.0, 65.0, 110.0, 200.0, 400.0])
_NEAR_MIDDLE = np.array([0.7, 2.5, 6.0, 11.0, 20.0, 32.0, 50.0, 85.0, 150.0, 280.0, 600.0])
_LEAN = 25.0  # stops' worth of belief in the usual shares
_FLOOR = 0.3  # of the usual gain right beside a picture, far from any
_AWAY = -1.0  # log evidence of a stop at which the other camera was not in use at all
_TELLS = 0.5  # of a bin: how wide a class must reach to be told from the next narrower one
_SAMPLE = 300  # pictures looked at to the second
_MARGIN_S = 60.0  # before a stream's first picture and after its last that count as company still


@dataclass(slots=True)
class Rhythm:
    """Moments of a stream with weights: every stop weighs alike, however many pictures it got."""

    times: Floats
    weights: Floats
    tempo: float


def read_rhythm(times: Floats) -> Rhythm:
    """The rhythm of pictures taken at `times` (s, ascending)."""
    gaps = np.diff(times)
    apart = gaps[gaps > 1.7]
    tempo = float(np.exp(np.median(np.log(apart)))) if len(apart) else 10.0
    stop = np.concatenate(([0], np.cumsum(gaps > max(40.0, 2.5 * tempo))))
    return Rhythm(times, 1.0 / np.bincount(stop)[stop], tempo)


def busy_part(mine: Rhythm, other: Rhythm, shift: float) -> Rhythm:
    """The stretch of `mine`, at most so many pictures long, that meets most of `other`."""
    if len(mine.times) <= _SAMPLE:
        return mine
    met = np.searchsorted(other.times, mine.times + shift + 60.0) - np.searchsorted(
        other.times, mine.times + shift - 60.0
    )
    total = np.concatenate(([0], np.cumsum(np.minimum(met, 5))))
    first = int(np.argmax(total[_SAMPLE:] - total[:-_SAMPLE]))
    part = slice(first, first + _SAMPLE)
    return Rhythm(mine.times[part], mine.weights[part], mine.tempo)


def agreement_at(mine: Rhythm, other: Rhythm, errors: Floats) -> Floats:
    """`agreement` at given offsets, to the second."""
    low, high = mine.times[0] + errors[0] - 600.0, mine.times[-1] + errors[-1] + 600.0
    inside = (other.times >= low) & (other.times <= high)
    if inside.sum() < 2:
        return np.zeros(len(errors))
    near = Rhythm(other.times[inside], other.weights[inside], other.tempo)
    return np.asarray(0.5 * (_one_way_at(mine, near, errors) + _one_way_at(near, mine, -errors)))


def _one_way_at(one: Rhythm, two: Rhythm, shifts: Floats) -> Floats:
    chance, usual = _shapes(two, _by_chance(two.times))
    moved = np.asarray(one.times[None, :] + shifts[:, None], np.float64)
    kind = _kind(two, moved)
    kind[(moved < two.times[0] - _MARGIN_S) | (moved > two.times[-1] + _MARGIN_S)] = -1
    classes = len(_NEAR) + 2  # and before them, what lies outside
    cell = kind + 1 + classes * np.arange(len(shifts))[:, None]
    weights = np.broadcast_to(one.weights, moved.shape).ravel()
    counts = np.bincount(cell.ravel(), weights, classes * len(shifts)).reshape(-1, classes).T[1:]
    total = counts.sum(axis=0)
    share = (counts + _LEAN * usual[:, None]) / (total + _LEAN)
    gain = (counts * np.log(share / chance[:, None])).sum(axis=0)
    return np.asarray(gain + _AWAY * (float(one.weights.sum()) - total))


def _by_chance(times: Floats) -> Floats:
    """Share of each class of nearness to pictures taken at `times` (s, ascending) in all of that time."""
    half = 0.5 * np.diff(times)
    near = np.minimum(half[:, None], _NEAR).sum(axis=0) + np.minimum(_MARGIN_S, _NEAR)
    whole = float(half.sum()) + _MARGIN_S
    return np.diff(np.concatenate(([0.0], near, [whole]))) / whole


def _kind(two: Rhythm, moments: Floats) -> Ints:
    """Class of nearness of each moment to the nearest picture of a stream."""
    return np.searchsorted(_NEAR, np.abs(moments - nearest(two.times, moments)))


def _shapes(two: Rhythm, chance: Floats) -> tuple[Floats, Floats]:
    """Shares of the classes by chance, and as company usually has them."""
    chance = np.maximum(chance, 1e-4)
    chance = chance / chance.sum()
    usual = chance * (_FLOOR + 1.0 / (1.0 + (_NEAR_MIDDLE / (2.0 * two.tempo)) ** 1.5))
    return chance, usual / usual.sum()


def agreement(mine: Rhythm, other: Rhythm, a0: float, b0: float, step: float, lags: Ints) -> Floats:
    """Log likelihood ratio, for every lag, of company against mere chance; both ways, halved.

    For each picture the time to the other stream's nearest picture falls into a class. Chance gives
    each class the share of time it covers; company gives it whatever share shows (leaning on the usual
    shape), be it pictures side by side, or the hands of one person who can't press two shutters at once.
    """
    bins_a = int((mine.times[-1] - a0) / step) + 2
    bins_b = int((other.times[-1] - b0) / step) + 2
    size = quick_size(bins_a + bins_b)
    forward = _one_way(mine, a0, bins_a, other, b0, bins_b, step, size)
    backward = _one_way(other, b0, bins_b, mine, a0, bins_a, step, size)
    return np.asarray(0.5 * (forward[lags % size] + backward[(-lags) % size]))


def quick_size(least: int) -> int:
    """A length not below `least` that a fast Fourier transform takes quickly: 8, 9, 10, 12 or 15 times a power of 2."""
    return min(part << max(0, int(np.ceil(np.log2(least / part)))) for part in (8, 9, 10, 12, 15))


def _one_way(
    one: Rhythm,
    start: float,
    bins: int,
    two: Rhythm,
    start_two: float,
    bins_two: int,
    step: float,
    size: int,
) -> Floats:
    """For every lag k: stream `one` shifted by k bins against the nearest pictures of stream `two`."""
    histogram = np.bincount(
        ((one.times - start) / step).astype(np.int64), weights=one.weights, minlength=bins
    )
    kind = _kind(two, np.asarray(start_two + (np.arange(bins_two) + 0.5) * step, np.float64))
    begin = max(0, int((two.times[0] - start_two) / step) - int(_MARGIN_S / step))
    kind[:begin] = -1
    chance = np.bincount(kind[begin:], minlength=len(_NEAR) + 1) / max(1, bins_two - begin)
    chance, usual = _shapes(two, chance)
    # Classes much narrower than a bin tell nothing here: they are taken together with the first that does.
    narrow = int(np.searchsorted(_NEAR[:-1], _TELLS * step))
    chance, usual = (
        np.concatenate(([shares[: narrow + 1].sum()], shares[narrow + 1 :])) for shares in (chance, usual)
    )
    kind = np.where(kind < 0, -1, np.maximum(kind - narrow, 0))
    # How many pictures meet the other stream at all is a sum; those of the last class are what is left of them.
    lag = np.arange(size)
    lag[bins_two:] -= size
    so_far = np.concatenate(([0.0], np.cumsum(histogram)))
    total = so_far[np.clip(bins_two - lag, 0, bins)] - so_far[np.clip(begin - lag, 0, bins)]
    counts = np.empty((len(chance), size), np.float32)
    # Forth in double, back in single precision: numpy is quicker so.
    indicator = (kind[None, :] == np.arange(len(chance) - 1)[:, None]).astype(np.float64)
    spectrum = np.fft.rfft(indicator, size, axis=1).astype(np.complex64)
    spectrum *= np.conj(np.fft.rfft(histogram, size)).astype(np.complex64)
    counts[:-1] = np.fft.irfft(spectrum, size, axis=1)
    counts[-1] = total - counts[:-1].sum(axis=0)
    np.maximum(counts, 0.0, out=counts)
    # counts * log((counts + lean * usual) / (total + lean) / chance), summed, without a copy for every step
    gain = counts + (_LEAN * usual[:, None]).astype(np.float32)
    np.log(gain, out=gain)
    gain -= np.log(chance[:, None]).astype(np.float32)
    gain *= counts
    summed = gain.sum(axis=0) - total * np.log(total + np.float32(_LEAN))
    return np.asarray(summed + _AWAY * (float(histogram.sum()) - total), np.float64)
