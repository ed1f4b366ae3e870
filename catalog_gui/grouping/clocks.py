"""Clocks: how far each camera's written time is from true time, how sure that is, and from what.

Receiver time beside a fix settles a clock by itself. Any other clock is found from the rhythm of
the pictures: people who walk together stop together and pause together, so a stream laid over the
others at the right offset falls into their stops, and at a wrong one into their pauses. How well it
falls is the log likelihood of each stream under the density of the others (both ways), weighed with
what is believed about clocks beforehand: mostly right to minutes, sometimes off by whole hours
(summer time, zone), half a day, a day, or set back to the day the battery died.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np

from catalog_gui.grouping.columns import EPOCH, Bools, Columns, Floats, Ints

_HOUR, _DAY = 3600.0, 86400.0
_EAST, _WEST = 14 * _HOUR, -12 * _HOUR  # UTC offsets in use (tz database): -12:00 to +14:00
_LONGEST = 14 * _DAY  # streams longer than this are cut to their busiest stretch before comparing


@dataclass(slots=True)
class Stream:
    """One camera body's pictures: `rows` into the columns, in written order, and what is concluded of its clock.

    `nominal` is written time with its zone taken off (UTC s if the clock were right); the true time
    is `nominal + error`. `zone_s` is true UTC minus written time if the clock were right.
    """

    key: str
    rows: Ints
    nominal: Floats
    zone_s: float
    zone_basis: str
    tagged: bool
    error: float = 0.0
    spread: float = 60.0
    basis: str = ""
    settled: bool = False
    by_hand: bool = False
    rank: int = 3  # 0 by hand, 1 satellites, 2 phone with zone tag, 3 nothing but its own word
    question: str = ""
    pair: tuple[int, int] | None = None

    @property
    def offset(self) -> float:
        return self.zone_s + self.error


def zone_offset(zone: str, written: float) -> float | None:
    """UTC minus local time in s for a naive local time (s since 1970) in a tz database zone; None if unknown.

    In the doubled hour of an autumn night the first, summer-time one is taken; in the hour that a
    spring night skips, the offset that held before it.
    """
    try:
        place = ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None
    local = (EPOCH + timedelta(seconds=written)).replace(tzinfo=place, fold=0)
    shift = local.utcoffset()
    return None if shift is None else -shift.total_seconds()


def settle(columns: Columns, streams: list[Stream], held: Mapping[str, float], now: datetime | None) -> None:
    """Conclude every stream's clock in place."""
    for stream in streams:
        if stream.key in held:
            _by_hand(stream, held[stream.key])
        else:
            _from_satellites(columns, stream)
    known = [s for s in streams if s.rank <= 1 and s.settled]
    rest = [s for s in streams if not (s.rank <= 1 and s.settled)]
    rest.sort(key=lambda s: (s.rank, -len(s.rows)))
    alone = len(streams) == 1
    if not known and rest:
        first = rest.pop(0)
        _take_as_reference(first, alone)
        known.append(first)
    while rest:
        best = max(rest, key=lambda s: (-s.rank, len(s.rows)))
        rest.remove(best)
        _from_rhythm(best, known)
        if best.settled or best.rank <= 2:
            known.append(best)
    _majority(streams)
    for stream in streams:
        _doubt_date(stream, now)


def _by_hand(stream: Stream, offset: float) -> None:
    stream.error = offset - stream.zone_s
    stream.spread, stream.rank, stream.settled, stream.by_hand = 1.0, 0, True, True
    stream.basis = "set by hand"


def _from_satellites(columns: Columns, stream: Stream) -> None:
    """Receiver time is never ahead of the shutter, and behind it by the age of the fix: take the fresh ones."""
    sat = columns.satellite[stream.rows]
    ok = ~np.isnan(sat) & ~np.isnan(stream.nominal)
    if not ok.any():
        return
    d = np.sort(sat[ok] - stream.nominal[ok])
    centre = float(np.median(d))
    near = d[np.abs(d - centre) < 900.0]
    if len(near) < 0.5 * len(d):
        stream.question = "Its clock and its satellite times disagree from picture to picture."
        return
    top = float(np.quantile(near, 0.9)) if len(near) > 4 else float(near[-1])
    fresh = near[near > top - 5.0]
    error = float(np.median(fresh)) if len(fresh) else top
    spread = max(1.0, float(np.std(fresh))) if len(near) > 2 else 15.0
    offset = stream.zone_s + error
    known_zone = stream.zone_basis != ""
    days = round(error / _DAY) if known_zone else _whole_days(offset)
    count = f"{len(near)} satellite time{'s' if len(near) > 1 else ''}"
    if days and abs(days) <= 2:
        # The date of one of the two is wrong, and nothing here says which: keep the day as written.
        stream.error = error - days * _DAY
        stream.spread, stream.settled, stream.rank = _DAY * abs(days), False, 2
        stream.basis = f"time of day from {count}; the day is doubtful"
        by = f"{abs(days)} day{'s' if abs(days) > 1 else ''}"
        stream.question = (
            f"Its pictures are dated {by} {'before' if days > 0 else 'after'} their own satellite times. "
            "Which day was it? Nothing was moved to another day."
        )
        return
    stream.error, stream.spread, stream.rank, stream.settled = error, spread, 1, True
    stream.basis = count + (f"; its own clock was {abs(days)} days off" if days else "")


def _whole_days(offset: float) -> int:
    """Days to take from an offset to bring it among the UTC offsets in use (offset = UTC - local)."""
    if -_EAST - 600 <= offset <= -_WEST + 600:
        return 0
    return round(offset / _DAY) or (1 if offset > 0 else -1)


def _take_as_reference(stream: Stream, alone: bool) -> None:
    stream.error, stream.settled = 0.0, True
    stream.spread = 3.0 if stream.tagged else 120.0
    if not stream.zone_basis:
        stream.spread = 4 * _HOUR
    zone = stream.zone_basis or "its zone is not known, so written time stands as it is"
    stream.basis = ("the only camera" if alone else "taken as the reference") + f"; {zone}"


def _belief(error: Floats, stream: Stream) -> Floats:
    """Log of the prior density (per s) of a clock error, before looking at the rhythm."""
    if stream.rank == 2 and stream.tagged:
        narrow, own, hours = 3.0, 0.90, 0.03
    else:
        narrow, own, hours = 30.0, 0.62, 0.16
    hour = np.round(error / _HOUR)
    off_hour = error - hour * _HOUR
    quarter = error - np.round(error / 900.0) * 900.0
    half_day = error - np.round(error / (12 * _HOUR)) * 12 * _HOUR
    days = np.abs(np.round(error / (12 * _HOUR)))
    density = own * (0.6 * _t(error, narrow) + 0.4 * _t(error, 150.0))
    near_hours = np.where(np.abs(hour) == 1, 0.7 / 2, np.where(np.abs(hour) <= 14, 0.3 / 26, 0.0))
    density = density + np.where(hour != 0, hours * near_hours * _t(off_hour, 90.0), 0.0)
    density = density + 0.02 / 100 * _t(quarter, 90.0) * (np.abs(error) <= 14 * _HOUR)
    density = density + np.where(
        (days >= 1) & (days <= 800), 0.04 * 0.3 / (days * days + 1) * _t(half_day, 120.0), 0.0
    )
    size = np.abs(error) + 60.0
    density = density + 0.05 / (size * np.log(1e9 / 60.0) * 2)
    return np.asarray(np.log(density))


def _t(x: Floats, scale: float) -> Floats:
    """Student t density with 3 degrees of freedom."""
    return np.asarray(0.36755 / scale * (1.0 + (x / scale) ** 2 / 3.0) ** -2)


@dataclass(slots=True)
class _Rhythm:
    """Moments of a stream with weights: every stop weighs alike, however many pictures it got."""

    times: Floats
    weights: Floats
    stops: float


def _rhythm(times: Floats) -> _Rhythm:
    times = np.sort(times)
    gaps = np.diff(times)
    usual = float(np.exp(np.median(np.log1p(gaps)))) if len(gaps) else 30.0
    stop = np.concatenate(([0], np.cumsum(gaps > max(40.0, 2.5 * usual))))
    size = np.bincount(stop)
    return _Rhythm(times, 1.0 / np.sqrt(size[stop]), float(len(size)))


def _from_rhythm(stream: Stream, known: list[Stream]) -> None:
    """Lay the stream over the known ones at every offset and weigh how well the rhythms agree."""
    mine = _rhythm(stream.nominal[~np.isnan(stream.nominal)])
    theirs = _rhythm(np.concatenate([s.nominal[~np.isnan(s.nominal)] + s.error for s in known]))
    tagged = stream.rank == 2
    stream.spread = 20.0 if tagged else 150.0
    stream.settled = tagged
    stream.basis = "its own zone tag" if tagged else "as written; nothing to compare it with"
    if len(mine.times) < 4 or len(theirs.times) < 4:
        stream.question = _ask(stream, "There are too few pictures to compare its clock with the others.")
        return
    shift, evidence, contrast = _coarse(mine, theirs, stream)
    if shift is None:
        stream.question = _ask(stream, "Its pictures and the others' never fall together.")
        return
    fine, spread = _fine(mine, theirs, shift)
    if evidence > 3.0 and contrast > 4.0:
        stream.error, stream.spread, stream.settled = fine, spread, True
        stream.basis = f"the rhythm of {int(mine.stops)} stops laid over the other cameras'"
        return
    stream.pair = None
    if not tagged:
        stream.question = _ask(stream, "The rhythm of its pictures does not tell how far its clock is off.")


def _ask(stream: Stream, why: str) -> str:
    return f"{why} Pair one picture of {stream.key} with another camera's picture of the same moment."


def _density(r: _Rhythm, start: float, bins: int, step: float, width: float) -> tuple[Floats, Floats]:
    """Histogram of weights, and its logarithmic gain over an even spread (neutral outside the stream's span)."""
    index = np.clip(((r.times - start) / step).astype(np.int64), 0, bins - 1)
    histogram = np.bincount(index, weights=r.weights, minlength=bins)
    size = 1 << int(np.ceil(np.log2(bins)))
    frequency = np.fft.rfftfreq(size, step)
    # Laplace kernel: sharp in the middle, patient in its tails.
    kernel = 1.0 / (1.0 + (2 * np.pi * frequency * width) ** 2)
    smooth = np.maximum(np.fft.irfft(np.fft.rfft(histogram, size) * kernel, size)[:bins], 0.0)
    first, last = index.min(), index.max()
    level = histogram.sum() / (last - first + 1)
    gain = np.log(0.15 + 0.85 * smooth / level)
    margin = int(3 * width / step)
    gain[: max(0, first - margin)] = 0.0
    gain[last + margin + 1 :] = 0.0
    return histogram, gain


def _coarse(mine: _Rhythm, theirs: _Rhythm, stream: Stream) -> tuple[float | None, float, float]:
    """Best error on a 10 s raster over all offsets at which the streams overlap at all.

    Returns (error, log posterior odds against every other error, height over the noise in sd).
    """
    step, width = 10.0, 45.0
    a0, a1 = float(mine.times[0]), float(mine.times[-1])
    b0, b1 = float(theirs.times[0]), float(theirs.times[-1])
    span = max(a1 - a0, b1 - b0)
    while span / step > 2**17:
        step, width = step * 2, width * 2
    bins_a = int((a1 - a0) / step) + 2
    bins_b = int((b1 - b0) / step) + 2
    hist_a, gain_a = _density(mine, a0, bins_a, step, width)
    hist_b, gain_b = _density(theirs, b0, bins_b, step, width)
    away = -0.6  # a picture outside the others' span is a little less likely than one at a chance moment
    size = 1 << int(np.ceil(np.log2(bins_a + bins_b)))
    forward = _slide(hist_a, gain_b - away, size) + away * hist_a.sum()
    backward = _slide(gain_a - away, hist_b, size) + away * hist_b.sum()
    score = 0.5 * (forward + backward)
    lags = np.arange(size)
    lags = np.where(lags < bins_b, lags, lags - size)
    inside = (lags > -bins_a) & (lags < bins_b)
    error = (b0 - a0) + lags * step
    score, error = score[inside], error[inside]
    order = np.argsort(error)
    score, error = score[order], error[order]
    overlap = np.minimum(error + a1, b1) - np.maximum(error + a0, b0)
    enough = overlap >= min(600.0, 0.5 * min(a1 - a0, b1 - b0))
    if not enough.any():
        return None, 0.0, 0.0
    noise = score[enough]
    typical, sd = float(np.median(noise)), float(np.std(noise)) + 1e-9
    posterior = score + _belief(error, stream)
    best = int(np.argmax(posterior))
    top = float(posterior[best])
    far = np.abs(error - error[best]) > 240.0
    mass_far = float(np.exp(np.clip(posterior[far] - top, -60, 60)).sum())
    mass_near = float(np.exp(np.clip(posterior[~far] - top, -60, 60)).sum())
    return (
        float(error[best]),
        float(np.log(mass_near) - np.log(mass_far + 1e-26)),
        (float(score[best]) - typical) / sd,
    )


def _slide(a: Floats, b: Floats, size: int) -> Floats:
    """Sum over t of a[t] b[t + lag] for every lag, wrapped."""
    return np.asarray(np.fft.irfft(np.conj(np.fft.rfft(a, size)) * np.fft.rfft(b, size), size))


def _fine(mine: _Rhythm, theirs: _Rhythm, shift: float) -> tuple[float, float]:
    """Refine to seconds: the same likelihood at finer grain around `shift`; returns (error, sd)."""
    low = max(float(mine.times[0]) + shift, float(theirs.times[0])) - 400.0
    high = min(float(mine.times[-1]) + shift, float(theirs.times[-1])) + 400.0
    a = mine.times + shift
    keep_a, keep_b = (a > low) & (a < high), (theirs.times > low) & (theirs.times < high)
    if keep_a.sum() < 3 or keep_b.sum() < 3:
        return shift, 60.0
    part_a = _Rhythm(a[keep_a], mine.weights[keep_a], 0.0)
    part_b = _Rhythm(theirs.times[keep_b], theirs.weights[keep_b], 0.0)
    bins = int(high - low) + 1
    size = 1 << int(np.ceil(np.log2(bins + 400)))
    total = np.zeros(301)
    best: Floats | None = None
    for width in (6.0, 12.0, 25.0):
        hist_a, gain_a = _density(part_a, low, bins, 1.0, width)
        hist_b, gain_b = _density(part_b, low, bins, 1.0, width)
        both = 0.5 * (_slide(hist_a, gain_b, size) + _slide(gain_a, hist_b, size))
        local = np.concatenate((both[-150:], both[:151]))
        if best is None or local.max() > best.max():
            best = local
    total = best if best is not None else total
    lag = np.arange(-150, 151, dtype=np.float64)
    weight = np.exp(total - total.max())
    weight /= weight.sum()
    centre = float(weight @ lag)
    sd = float(np.sqrt(weight @ (lag - centre) ** 2))
    return shift + centre, max(2.0, sd)


def _majority(streams: list[Stream]) -> None:
    """With no satellite time anywhere, let the party outvote a reference that was itself hours off."""
    if any(s.rank <= 1 for s in streams):
        return
    tied = [s for s in streams if s.settled]
    if len(tied) < 3:
        return
    shifts = [-s.error for s in tied] + [0.0]
    beliefs = [sum(float(_belief(np.array([s.error + shift]), s)[0]) for s in tied) for shift in shifts]
    shift = shifts[int(np.argmax(beliefs))]
    if max(beliefs) - beliefs[-1] > 2.0:
        for s in tied:
            s.error += shift


def _doubt_date(stream: Stream, now: datetime | None) -> None:
    if stream.by_hand or stream.rank == 1 or not len(stream.rows):
        return
    first = float(np.nanmin(stream.nominal)) + stream.error
    year = (EPOCH + timedelta(seconds=first)).year
    latest = now.astimezone(UTC).timestamp() if now is not None else None
    if latest is not None and first > latest + 2 * _DAY:
        stream.settled = False
        stream.question = stream.question or f"{stream.key} dates its pictures in the future ({year})."
    elif year < 1995:
        stream.settled = False
        stream.question = (
            stream.question or f"{stream.key} dates its pictures in {year}, as after a flat battery."
        )


def is_identical(written: Floats) -> Bools:
    """Rows whose time is shared by a whole card: at least 20 pictures, nine in ten of all, in one instant."""
    if len(written) < 20:
        return np.zeros(len(written), np.bool_)
    value, count = np.unique(written[~np.isnan(written)], return_counts=True)
    if not len(count) or count.max() < 0.9 * len(written):
        return np.zeros(len(written), np.bool_)
    return np.asarray(written == value[int(np.argmax(count))])
