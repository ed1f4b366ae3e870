"""Places: which fixes to believe, where a picture without one was taken, and where a group is.

Errors of a receiver under trees are metres to tens of metres (root mean square 5 to 11.5 m in leaf:
Tomastik et al. 2017, Forestry 90:187-198) and drift slowly, so ten fixes in a minute know little
more than one: an average never claims less than `_SHARED` of one fix's variance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from catalog_gui.domain.foray import Place, Track
from catalog_gui.geo.position import Position
from catalog_gui.grouping.columns import Bools, Columns, Floats, Ints, from_plane, length, to_plane

USUAL_ERROR_M = 8.0  # one fix, 68 %, mixed forest (middle of the published range above)
_SHARED = (
    0.7  # part of a fix's variance that neighbouring fixes of one receiver have in common (our estimate)
)
_DRIFT_M2_S = 2.0  # how fast a person's whereabouts become unknown between fixes: 11 m after a minute
_PACE_M_S = 1.0  # a walk through a wood, for stale fixes and for clocks that are off
_FAST_M_S = 3.0  # faster than this on foot and back again is a jump of the receiver
_TOO_OLD_S = 900.0  # no place from a fix further away in time than this
_STALE_S = 45.0


@dataclass(slots=True)
class Whereabouts:
    """Believed fixes in metres on a plane around `origin`; NaN where a photo has none. `error` is 68 %, m."""

    origin: tuple[float, float]
    x: Floats
    y: Floats
    error: Floats
    ignored: list[tuple[int, str]]
    tracked: Bools  # rows whose position comes from a track


def believe(columns: Columns, stream: Ints, true: Floats, order: Ints) -> Whereabouts:
    """Screen the written fixes; `true` is true time (UTC s, NaN unknown), `stream` the camera body of each row.

    `order` are the rows that have a true time, ascending.
    """
    n = len(true)
    latitude, longitude = columns.latitude, columns.longitude
    ignored: list[tuple[int, str]] = []
    good = ~np.isnan(latitude)
    if not good.any():
        nothing = np.full(n, np.nan)
        return Whereabouts((0.0, 0.0), nothing, nothing.copy(), nothing.copy(), ignored, ~good & False)
    null = good & (np.abs(latitude) < 1e-3) & (np.abs(longitude) < 1e-3)
    nowhere = "The fix is 0, 0, which receivers write when they know nothing."
    ignored.extend((row, nowhere) for row in np.flatnonzero(null).tolist())
    good &= ~null
    if not good.any():
        nothing = np.full(n, np.nan)
        return Whereabouts((0.0, 0.0), nothing, nothing.copy(), nothing.copy(), ignored, ~good & False)
    origin = (float(np.median(latitude[good])), _middle_longitude(longitude[good]))
    x, y = to_plane(latitude, longitude, origin)
    error = np.where(np.isnan(columns.error), USUAL_ERROR_M, np.maximum(columns.error, 2.0))
    far = good & (length(x, y) > 300_000.0)
    if far.any() and far.sum() < 0.5 * good.sum():
        swapped_x, swapped_y = to_plane(longitude, latitude, origin)
        near = np.hypot(swapped_x, swapped_y) < 30_000.0
        for row in np.flatnonzero(far & near):
            ignored.append(
                (int(row), "Latitude and longitude look swapped: the other fixes lie near the swapped place.")
            )
            good[row] = False
    age = true - columns.satellite
    old = good & (age > _STALE_S)
    if old.any():
        usual = float(np.nanmedian(age[good]))
        old &= age - usual > _STALE_S
        error = np.where(old, error + _PACE_M_S * np.nan_to_num(age - usual), error)
        for row in np.flatnonzero(old & (age - usual > _TOO_OLD_S)):
            ignored.append(
                (int(row), f"The fix is {(age[row] - usual) / 60:.0f} minutes older than the picture.")
            )
            good[row] = False
    jumped = _jumps(stream[order], true[order], x[order], y[order], error[order], good[order], order)
    ignored.extend(jumped)
    good[[row for row, _ in jumped]] = False
    x, y, error = (np.where(good, column, np.nan) for column in (x, y, error))
    return Whereabouts(origin, x, y, error, ignored, np.zeros(n, np.bool_))


def _middle_longitude(longitude: Floats) -> float:
    base = float(longitude.min())  # the same in whatever order the photos come
    turned = (longitude - base + 180.0) % 360.0 - 180.0
    return float((base + np.median(turned) + 180.0) % 360.0 - 180.0)


def _jumps(
    stream: Ints, true: Floats, x: Floats, y: Floats, error: Floats, good: Bools, row: Ints
) -> list[tuple[int, str]]:
    """Fixes that leave and come back faster than anyone walks: single ones, or the first or last of a stream.

    All by true time; `row` is what each is called in the answer.
    """
    found: list[tuple[int, str]] = []
    for device in (np.flatnonzero(np.bincount(stream[good] + 1)) - 1).tolist():
        at = np.flatnonzero(good & (stream == device))
        if len(at) < 3:
            continue
        rows = row[at]
        t, px, py, e = true[at], x[at], y[at], error[at]
        dt = np.maximum(np.diff(t), 1.0)
        step = length(np.diff(px), np.diff(py))
        slack = 3.0 * length(e[1:], e[:-1]) + 30.0
        wild = step > slack + _FAST_M_S * dt
        twice = np.flatnonzero(wild[:-1] & wild[1:]) + 1
        across = np.hypot(px[twice + 1] - px[twice - 1], py[twice + 1] - py[twice - 1])
        for i in twice[across < 0.5 * np.minimum(step[twice - 1], step[twice])].tolist():
            metres = float(min(step[i - 1], step[i]))
            found.append(
                (
                    int(rows[i]),
                    f"The fix jumps {metres:.0f} m away and back within {dt[i - 1] + dt[i]:.0f} s.",
                )
            )
        if wild[0] and not wild[1]:
            found.append(
                (int(rows[0]), f"The first fix lies {step[0]:.0f} m from the next, {dt[0]:.0f} s later.")
            )
        if wild[-1] and not wild[-2]:
            found.append(
                (
                    int(rows[-1]),
                    f"The last fix lies {step[-1]:.0f} m from the one before, {dt[-1]:.0f} s earlier.",
                )
            )
    return found


def reach(where: Whereabouts, true: Floats, tracks: Sequence[Track]) -> tuple[list[Track], list[str]]:
    """Give photos without a fix their position on a track, where the track is dense enough to know it.

    Returns the tracks in UTC, and in words what is odd about them. A track logged in local time is found by
    its fixes: shifted by whole quarter hours it lies where the photos' own fixes lie, unshifted it does not.
    """
    notes: list[str] = []
    believed: list[Track] = []
    known = np.flatnonzero(~np.isnan(where.x) & ~np.isnan(true))
    if not len(known):
        points = [(la, lo) for t in tracks for la, lo in zip(t.latitudes[:1], t.longitudes[:1], strict=True)]
        where.origin = points[0] if points else where.origin
    for track in tracks:
        hours = _shift(where, true, known, track)
        if hours:
            notes.append(
                f"The track {track.name} was written {abs(hours):g} h {'ahead' if hours > 0 else 'behind'} of UTC."
            )
        moved = tuple(t - hours * 3600.0 for t in track.times)
        believed.append(Track(track.id, track.foray_id, track.name, moved, track.latitudes, track.longitudes))
        dated = true[~np.isnan(true)]
        if moved and len(dated) and (moved[-1] < dated.min() or moved[0] > dated.max()):
            notes.append(f"The track {track.name} covers none of the pictures' time.")
    path = trail(np.full(0, np.nan), where, believed)
    open_rows = np.flatnonzero(np.isnan(where.x) & ~np.isnan(true))
    if not len(path.times) or not len(open_rows):
        return believed, notes
    moments = true[open_rows]
    after = np.clip(np.searchsorted(path.times, moments), 1, max(1, len(path.times) - 1))
    dense = np.zeros(len(moments), np.bool_)
    if len(path.times) > 1:
        before_t, after_t = path.times[after - 1], path.times[after]
        dense = (before_t <= moments) & (moments <= after_t) & (after_t - before_t <= _DENSE_S)
    x, y, error = interpolate(path, moments, np.zeros(len(moments)))
    at = open_rows[dense]
    where.x[at], where.y[at], where.error[at] = x[dense], y[dense], error[dense]
    where.tracked[at] = True
    return believed, notes


_DENSE_S = 120.0  # track points further apart say little about single pictures


def _shift(where: Whereabouts, true: Floats, known: Ints, track: Track) -> float:
    """Hours by which a track's times run ahead of UTC, 0 unless the photos' fixes plainly say otherwise."""
    if len(known) < 3 or len(track.times) < 3:
        return 0.0
    x, y = to_plane(np.array(track.latitudes), np.array(track.longitudes), where.origin)
    times = np.array(track.times, np.float64)

    def miss(shift: float) -> float:
        moments = true[known] + shift
        inside = (moments >= times[0]) & (moments <= times[-1])
        if inside.sum() < max(3, 0.3 * len(known)):
            return np.inf
        at = moments[inside]
        off = np.hypot(
            np.interp(at, times, x) - where.x[known][inside], np.interp(at, times, y) - where.y[known][inside]
        )
        return float(np.median(off))

    quarters = np.arange(-56, 57)
    misses = np.array([miss(q * 900.0) for q in quarters.tolist()])
    best = int(np.argmin(misses))
    plain = misses[56]
    if misses[best] < 40.0 and (plain > 5.0 * misses[best] + 100.0):
        return float(quarters[best]) / 4.0
    return 0.0


@dataclass(slots=True)
class Trail:
    """Known points in true time, ascending: where somebody of the party was."""

    times: Floats
    x: Floats
    y: Floats
    error: Floats


def trail(true: Floats, where: Whereabouts, tracks: Sequence[Track]) -> Trail:
    """All believed fixes and all track points as one trail (UTC s, metres, 68 % m)."""
    known = ~np.isnan(where.x[: len(true)]) & ~np.isnan(true) & ~where.tracked[: len(true)]
    rows = np.flatnonzero(known)
    times, xs, ys, errors = [true[rows]], [where.x[rows]], [where.y[rows]], [where.error[rows]]
    for track in tracks:
        if not track.times:
            continue
        x, y = to_plane(np.array(track.latitudes), np.array(track.longitudes), where.origin)
        times.append(np.array(track.times, np.float64))
        xs.append(x)
        ys.append(y)
        errors.append(np.full(len(x), USUAL_ERROR_M))
    t = np.concatenate(times)
    order = np.argsort(t, kind="stable")
    return Trail(
        t[order], np.concatenate(xs)[order], np.concatenate(ys)[order], np.concatenate(errors)[order]
    )


def interpolate(path: Trail, moments: Floats, clock_spread: Floats) -> tuple[Floats, Floats, Floats]:
    """Where the party was at `moments`: (x, y, error m 68 %), NaN where no point lies within a quarter hour.

    Straight between the point before and the point after; the uncertainty is that of the two, plus the
    freedom to wander between them (a Brownian bridge, greatest midway), plus walking pace times the
    clock's spread (s).
    """
    n = len(moments)
    x, y, error = np.full(n, np.nan), np.full(n, np.nan), np.full(n, np.nan)
    if not len(path.times) or not n:
        return x, y, error
    after = np.searchsorted(path.times, moments, side="right")
    right = np.minimum(after, len(path.times) - 1)
    left = np.maximum(after - 1, 0)
    dt_left = np.abs(moments - path.times[left])
    dt_right = np.abs(path.times[right] - moments)
    inside = (after > 0) & (after < len(path.times))
    whole = np.maximum(dt_left + dt_right, 1e-9)
    share = np.where(inside, dt_left / whole, np.where(after == 0, 1.0, 0.0))
    x = path.x[left] * (1 - share) + path.x[right] * share
    y = path.y[left] * (1 - share) + path.y[right] * share
    own = np.sqrt(((1 - share) * path.error[left]) ** 2 + (share * path.error[right]) ** 2)
    bridge = np.where(inside, dt_left * dt_right / whole, np.minimum(dt_left, dt_right))
    error = np.sqrt(own**2 + _DRIFT_M2_S * bridge + (_PACE_M_S * clock_spread) ** 2)
    nearest = np.where(inside, np.minimum(dt_left, dt_right), np.where(after == 0, dt_right, dt_left))
    unknown = (nearest > _TOO_OLD_S) | np.isnan(moments)
    return np.where(unknown, np.nan, x), np.where(unknown, np.nan, y), np.where(unknown, np.nan, error)


def combine(
    x: Floats, y: Floats, error: Floats, receiver: Ints, origin: tuple[float, float], basis: str = ""
) -> Place | None:
    """One place from the fixes of one group (m, 68 % m, receiver index), or None without any.

    Each receiver counts by its own middle, with the error its fixes share left in; receivers are
    averaged by their precision, and what they disagree about is added to the uncertainty.
    """
    known = ~np.isnan(x)
    if not known.any():
        return None
    x, y, error, receiver = x[known], y[known], error[known], receiver[known]
    if len(x) == 1:
        cx, cy, u, count = float(x[0]), float(y[0]), float(error[0]), 1
    else:
        xs, ys, variances = [], [], []
        for one in sorted(set(receiver.tolist())):
            mine = receiver == one
            weight = 1.0 / error[mine] ** 2
            weight = weight / weight.sum()
            mx, my = float(weight @ x[mine]), float(weight @ y[mine])
            usual = float(weight @ error[mine] ** 2)
            effective = 1.0 / float((weight**2).sum())
            scatter = float(weight @ ((x[mine] - mx) ** 2 + (y[mine] - my) ** 2))
            xs.append(mx)
            ys.append(my)
            variances.append(usual * (_SHARED + (1.0 - _SHARED) / effective) + scatter / effective)
        w = 1.0 / np.array(variances)
        w = w / w.sum()
        cx, cy = float(w @ np.array(xs)), float(w @ np.array(ys))
        apart = float(w @ ((np.array(xs) - cx) ** 2 + (np.array(ys) - cy) ** 2))
        u = float(np.sqrt(float((w**2) @ np.array(variances)) + apart / len(xs)))
        count = len(x)
    latitude, longitude = from_plane(cx, cy, origin)
    words = basis or f"{count} fix{'es' if count > 1 else ''}"
    return Place(Position(latitude, longitude), round(u, 1), words)
