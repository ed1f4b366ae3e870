"""Clocks: how far each camera's written time is from true time, how sure that is, and from what.

Receiver time beside a fix settles a clock by itself. Any other clock is found from the rhythm of
the pictures: people who walk together stop together and pause together, so a stream laid over the
others at the right offset falls into their stops, and at a wrong one into their pauses. How well it
falls is the log likelihood of each stream under the density of the others (both ways); where that leaves
doubt, the moments are compared as well at which people come to their finds. Both are weighed with
what is believed about clocks beforehand: mostly right to minutes, sometimes off by whole hours (summer
time, zone), half a day, a day, or set back to the day the battery died.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np

from catalog_gui.grouping import clock_alignment
from catalog_gui.grouping.arrivals import Arrivals, agreement, agreement_at, remembering
from catalog_gui.grouping.clock_alignment import Rhythm, read_rhythm
from catalog_gui.grouping.columns import Bools, Columns, Floats, Ints, moment
from catalog_gui.grouping.heavy_tails import student_density
from catalog_gui.grouping.same_photographer import photographers_of

_HOUR, _DAY = 3600.0, 86400.0
_EAST, _WEST = 14 * _HOUR, -12 * _HOUR  # UTC offsets in use (tz database): -12:00 to +14:00
_BINS = 1 << 14  # lags looked at, coarsely; what they leave open is looked at again to the second
_TEMPER = 0.9
_UNTOLD = 0.4  # probability that a clock of which nothing is known is right to a minute (our estimate)
_KEEN = 1.3  # to a minute the evidence says more than it is trusted with to the second
_NEGLIGIBLE = 1e-12  # probability of a bin
_HOUR_CLEAR, _HOUR_LIKELY = 0.93, 0.7  # probability from which an hour is told as such, and as likely
_CLEAR = 0.9  # probability of an error to half a minute from which a clock is settled
_PLAIN = 0.97  # the same from which nearness alone will do
_SAME_S = 30.0  # between two peaks that say the same
_LAG_S = 15.0  # how much later than the others somebody may always begin at a find (our estimate)

_Came = tuple[Arrivals, list[Arrivals]]  # of the stream, and of each person it is laid over
_Reader = Callable[[Floats], Arrivals]


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
    sure: float = 1.0  # probability that the clock is right to within `grain`
    grain: float = 2.0
    lag: float = (
        0.0  # s by which its owner may always begin later, or sooner, than those it was compared with
    )
    nearly: float = 1.0  # probability that the clock is right to within a minute
    by_hand: bool = False
    rank: int = 3  # 0 by hand, 1 satellites, 2 phone with zone tag, 3 nothing but its own word
    question: str = ""
    note: str = ""  # something to know that no pairing settles

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
    local = moment(written).replace(tzinfo=place, fold=0)
    try:
        shift = local.utcoffset()
    except OverflowError:  # the first and last hours a date can have
        return None
    return None if shift is None else -shift.total_seconds()


def settle(columns: Columns, streams: list[Stream], held: Mapping[str, float], now: datetime | None) -> None:
    """Conclude every stream's clock in place."""
    for stream in streams:
        if stream.key in held:
            _by_hand(stream, held[stream.key])
        elif np.isnan(stream.nominal).all():
            stream.basis, stream.question = "no time was written", f"{stream.key} wrote no time at all."
        else:
            _from_satellites(columns, stream)
    streams = [s for s in streams if not np.isnan(s.nominal).all()]
    known = [s for s in streams if s.rank <= 1 and s.settled]
    rest = [s for s in streams if not (s.rank <= 1 and s.settled)]
    rest.sort(key=lambda s: (bool(s.question), s.rank, -len(s.rows)))
    alone = len(streams) == 1
    if not known and rest:
        first = rest.pop(0)
        if not first.question:
            _take_as_reference(first, alone)
        known.append(first)
    read = remembering()
    for stream in rest:
        _from_rhythm(stream, known, read)
    # Once more, with the company of those that are found by now: three agree on what two left open.
    for stream in sorted(rest, key=lambda s: -s.sure):
        if stream.sure < _PLAIN and stream.rank > 2:
            others = [s for s in rest if s is not stream and (s.sure > 0.6 or s.rank == 2)]
            _from_rhythm(stream, known + others, read)
    _polish(rest, streams)
    _majority(streams)
    for stream in streams:
        _doubt_date(stream, now)


def _polish(found: list[Stream], streams: list[Stream]) -> None:
    """Set clocks that the rhythm settled once more, to the second, by all the others that are settled."""
    if len(streams) < 3:
        return
    for stream in found:
        if not stream.settled or stream.rank <= 2:
            continue
        others = [_shifted(s) for s in streams if s is not stream and s.settled and len(s.rows) >= 4]
        if len(others) > 1:
            error, sd = _to_the_second(_rhythm(stream), others, stream, stream.error, 2.0)
            stream.error, stream.grain = error, max(sd, 1.0)
            stream.spread = float(np.hypot(max(1.3 * sd, 2.5), stream.lag))


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
    top = float(near[int(0.9 * (len(near) - 1))]) if len(near) > 4 else float(near[-1])
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
        stream.spread, stream.settled, stream.rank = _DAY * abs(days), False, 3
        stream.basis = f"time of day from {count}; the day is doubtful"
        by = f"{abs(days)} day{'s' if abs(days) > 1 else ''}"
        stream.question = (
            f"{_DAY_DOUBT} {by} {'before' if days > 0 else 'after'} their own satellite times. "
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
    """Log of the prior density (per s) of a clock error, before looking at the clock_alignment."""
    if stream.rank == 2 and stream.tagged:
        narrow, own, hours = 3.0, 0.90, 0.03
    else:
        narrow, own, hours = 30.0, 0.62, 0.16
    hour = np.round(error / _HOUR)
    off_hour = error - hour * _HOUR
    quarter = error - np.round(error / 900.0) * 900.0
    half_day = error - np.round(error / (12 * _HOUR)) * 12 * _HOUR
    days = np.abs(np.round(error / (12 * _HOUR)))
    density = own * (0.6 * student_density(error, narrow) + 0.4 * student_density(error, 150.0))
    near_hours = np.where(np.abs(hour) == 1, 0.7 / 2, np.where(np.abs(hour) <= 14, 0.3 / 26, 0.0))
    density += np.where(hour != 0, hours * near_hours * student_density(off_hour, 90.0), 0.0)
    density += 0.02 / 100 * student_density(quarter, 90.0) * (np.abs(error) <= 14 * _HOUR)
    density += np.where(
        (days >= 1) & (days <= 800), 0.04 * 0.3 / (days * days + 1) * student_density(half_day, 120.0), 0.0
    )
    size = np.abs(error) + 60.0
    density += 0.05 / (size * np.log(1e9 / 60.0) * 2)
    return np.asarray(np.log(density))


def _rhythm(stream: Stream) -> Rhythm:
    return read_rhythm(np.sort(stream.nominal[~np.isnan(stream.nominal)]))


def _shifted(stream: Stream) -> Rhythm:
    """A stream's rhythm in true time."""
    own = _rhythm(stream)
    return Rhythm(own.times + stream.error, own.weights, own.tempo)


def _from_rhythm(stream: Stream, known: list[Stream], read: _Reader) -> None:
    """Lay the stream over the known ones; a day that its satellites left in doubt stays so if rhythm can't tell."""
    doubted = (stream.error, stream.spread, stream.basis, stream.question)
    _lay_and_judge(stream, known, read)
    if doubted[3].startswith(_DAY_DOUBT) and not stream.settled:
        stream.error, stream.spread, stream.basis, stream.question = doubted


_DAY_DOUBT = "Its pictures are dated"


def _lay_and_judge(stream: Stream, known: list[Stream], read: _Reader) -> None:
    """Lay the stream over the known ones at every offset and weigh how well the rhythms agree."""
    mine = _rhythm(stream)
    others = [_shifted(s) for s in known]
    others = [r for r in others if len(r.times) >= 4]
    tagged = stream.rank == 2
    stream.spread = 20.0 if tagged else 150.0
    stream.sure, stream.grain = (1.0, 3.0) if tagged else (0.0, 150.0)
    stream.nearly = 1.0 if tagged else _UNTOLD
    stream.settled = tagged
    stream.basis = "its own zone tag" if tagged else "as written; nothing to compare it with"
    if len(mine.times) < 4 or not others:
        stream.question = _ask(stream, "There are too few pictures to compare its clock with the others.")
        return
    if tagged:
        return
    found = _lay_over(mine, others, stream, read)
    if found is None:
        stream.question = _ask(stream, "Its pictures and the others' never fall together.")
        return
    error, sd, peak, stream.lag = found
    stream.sure, stream.grain, stream.nearly = peak.to_the_half_minute, sd, peak.to_the_minute
    stream.question = ""
    stops = round(float(mine.weights.sum()))
    if peak.to_the_half_minute > _CLEAR:
        stream.error, stream.spread, stream.settled = error, float(np.hypot(sd, stream.lag)), True
        shown = "arrivals at" if stream.lag else "rhythm of"
        stream.basis = f"the {shown} {stops} stops laid over the others'"
        return
    if peak.to_the_hour > _HOUR_LIKELY:
        clear = peak.to_the_hour > _HOUR_CLEAR
        stream.error, stream.spread = error, max(sd, peak.width, 60.0)
        stream.basis = (
            f"the {'' if clear else 'likely '}hour from the rhythm of {stops} stops; minutes not sure"
        )
        told = "tells the hour but not the minute." if clear else "makes this hour likely, no more."
        stream.question = _ask(stream, f"The rhythm of its pictures {told}")
        return
    stream.sure, stream.grain, stream.nearly = 0.0, 150.0, _UNTOLD
    stream.question = _ask(stream, "The rhythm of its pictures does not tell how far its clock is off.")


def _ask(stream: Stream, why: str) -> str:
    return f"{why} Pair one picture of {stream.key} with another camera's picture of the same moment."


def _lay_over(
    mine: Rhythm, others: list[Rhythm], stream: Stream, read: _Reader
) -> tuple[float, float, _Peak, float] | None:
    """Error and its sd (s) if it lies where the peak is, the peak, and the lag it may hide; None without overlap."""
    a0, a1 = float(mine.times[0]), float(mine.times[-1])
    b0 = min(float(r.times[0]) for r in others)
    b1 = max(float(r.times[-1]) for r in others)
    step = max(2.0, (a1 - a0 + b1 - b0) / _BINS)
    lags = np.arange(-int((a1 - a0) / step) - 1, int((b1 - b0) / step) + 2)
    error = np.asarray((b0 - a0) + lags * step, np.float64)
    score = np.zeros(len(lags))
    for other in others:
        score += clock_alignment.agreement(mine, other, a0, b0, step, lags)
    overlap = np.minimum(error + a1, b1) - np.maximum(error + a0, b0)
    belief = _belief(error, stream)
    belief[overlap < min(600.0, 0.3 * min(a1 - a0, b1 - b0))] = -np.inf
    if not np.isfinite(belief).any():
        return None
    score *= _temper(others)
    peak = _peak(score + belief, error, step)
    came, lag = None, 0.0
    if peak.to_the_half_minute < _PLAIN:
        by_nearness = peak
        came = read(mine.times), [read(times) for times in _companions(others)]
        shown = np.zeros(len(lags))
        for person in came[1]:
            shown += agreement(came[0], person, float(error[0]), step, len(error))
        peak = _peak(np.logaddexp(score, _temper(came[1]) * shown) + belief, error, step)
        alone = by_nearness.to_the_half_minute >= _CLEAR and abs(peak.error - by_nearness.error) <= _SAME_S
        lag = 0.0 if alone else _LAG_S
    centre, sd = _to_the_second(mine, others, stream, peak.error, step, came)
    return centre, max(1.3 * sd, 2.5), peak, lag


def _companions(others: list[Rhythm]) -> list[Floats]:
    """Times (s) of the pictures of each person among the other streams: two cameras may hang on one neck."""
    times = [other.times for other in others]
    who = photographers_of(times, [3.0] * len(times), [1.0] * len(times))
    return [np.sort(np.concatenate([times[k] for k in np.flatnonzero(who == one)])) for one in np.unique(who)]


@dataclass(frozen=True, slots=True)
class _Peak:
    """The most probable error (s), its probability to half a minute, a minute, an hour; width (s) within the hour."""

    error: float
    to_the_half_minute: float
    to_the_minute: float
    to_the_hour: float
    width: float


def _mass(posterior: Floats) -> Floats:
    """Probabilities from their logs up to a constant."""
    mass = np.exp(posterior - posterior.max())
    return np.asarray(mass / mass.sum())


def _peak(posterior: Floats, error: Floats, step: float) -> _Peak:
    mass = _mass(posterior)
    best = float(error[int(np.argmax(posterior))])
    off = np.abs(error - best)
    likely = mass > _NEGLIGIBLE
    keen = np.where(likely, mass, 0.0)
    keen[likely] **= _KEEN
    hour = off <= 900.0
    return _Peak(
        best,
        float(mass[off <= max(25.0, 2.5 * step)].sum()),
        float(keen[off <= max(60.0, 2.5 * step)].sum() / keen.sum()),
        float(mass[hour].sum()),
        float(np.sqrt(mass[hour] @ off[hour] ** 2 / mass[hour].sum())),
    )


def _temper(others: Sequence[object]) -> float:
    """Several cameras, or people, of one party say much the same thing: k of them count as k ** 0.7."""
    return float(_TEMPER * len(others) ** -0.3)


def _to_the_second(
    mine: Rhythm,
    others: list[Rhythm],
    stream: Stream,
    near: float,
    step: float,
    came: _Came | None = None,
    parts: list[Rhythm] | None = None,
) -> tuple[float, float]:
    """Mean and sd (s) of the posterior within a few steps of `near`, from a part of the pictures (`parts`)."""
    reach = max(20.0, 2.0 * step)
    error = np.linspace(near - reach, near + reach, 41)
    parts = parts or [clock_alignment.busy_part(mine, other, near) for other in others]
    score = np.asarray(
        _temper(others)
        * sum(
            clock_alignment.agreement_at(part, other, error)
            for part, other in zip(parts, others, strict=True)
        )
    )
    if came is not None:
        shown = sum(agreement_at(came[0], other, error) for other in came[1])
        score = np.logaddexp(score, _temper(came[1]) * np.asarray(shown))
    posterior = score + _belief(error, stream)
    mass = _mass(posterior)
    if step > 2.0:  # the coarse look was too coarse: once more, closer
        return _to_the_second(mine, others, stream, float(error[int(np.argmax(mass))]), 2.0, came, parts)
    centre = float(mass @ error)
    return centre, float(np.sqrt(mass @ (error - centre) ** 2))


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
    year = moment(first).year
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
    known = written[~np.isnan(written)]
    if len(written) < 20 or len(known) < 0.9 * len(written):
        return np.zeros(len(written), np.bool_)
    shared = np.asarray(
        written == np.partition(known, len(known) // 2)[len(known) // 2]
    )  # most share the middle one
    return shared if shared.sum() >= 0.9 * len(written) else np.zeros(len(written), np.bool_)
