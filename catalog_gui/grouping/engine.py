"""The front door: from photos to the most probable proposal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime

import numpy as np

from catalog_gui.domain.foray import Track
from catalog_gui.domain.photo import Photo
from catalog_gui.grouping import clocks, places
from catalog_gui.grouping.columns import Columns, Ints, read_columns
from catalog_gui.grouping.inputs import Held, Likeness
from catalog_gui.grouping.neighbourhood import REACH, by_row, near_places
from catalog_gui.grouping.partition import Sorting, learn_photographers, partition_places, without_aside
from catalog_gui.grouping.photo_rows import PhotoRows
from catalog_gui.grouping.proposal import NOTHING_SORTED, Proposal, Reckoning, Whole
from catalog_gui.grouping.timeline import make_timeline

_NOTHING_HELD = Held()


def propose(
    photos: Sequence[Photo],
    *,
    held: Held = _NOTHING_HELD,
    tracks: Sequence[Track] = (),
    time_zone: str = "",
    likeness: Likeness | None = None,
    now: datetime | None = None,
    rows: PhotoRows | None = None,
) -> Proposal:
    """Propose clocks, groups, joins and links for the photos of one foray.

    `photos`: in any order, from any number of cameras. Used are `id` (unique), `camera`, `written`
    (`local`, and `offset` where the camera wrote a zone tag), `fix` (`position`, `error_m`,
    `satellite_time`), and `path` and `counter` where known; everything may be missing.
    `held`: what was fixed by hand and stays exactly as it is.
    `tracks`: walks in true UTC, for places of pictures that have no fix.
    `time_zone`: tz database name of the place, '' if not known; then zone tags and satellite times are
    the only way to UTC, and without any of them written time is taken as it stands.
    `likeness`: compares two neighbouring pictures (see `Likeness`); None for time and place alone.
    `now` (aware): lets dates in the future be noticed.
    `rows`: the figures of these photos, kept by whoever proposes again; only speed depends on it.

    Returns a `Proposal`. Times in it are aware UTC, offsets and spreads in s, uncertainties in m (68 %).
    Never raises on bad metadata: what cannot be placed is in `left_out`, with the reason. The same photos
    in another order give the same proposal. Pure: no files, clock or randomness.
    """
    if not photos:
        return Proposal()
    columns = read_columns(photos, rows)
    usable, lost = _usable(columns)
    timeline = make_timeline(columns, usable, held.clocks, time_zone, now)
    walks, notes = places.reach(timeline.where, timeline.true, tracks) if tracks else ([], [])
    whole = Whole(
        timeline, learn_photographers(timeline, likeness) if len(timeline.order) else None, lost, walks, notes
    )
    r = _begin(whole, held)
    return Proposal(replace(r, sorting=_sort(r, 0, len(r.timeline.order))))


def _begin(whole: Whole, held: Held) -> Reckoning:
    """All that is known before sorting, without the pictures that were set aside."""
    timeline, photographers = whole.timeline, whole.photographers
    if held.aside and photographers is not None:
        ids = whole.timeline.columns.ids
        timeline, photographers = without_aside(
            timeline, photographers, np.fromiter((name in held.aside for name in ids), np.bool_, len(ids))
        )
    return Reckoning(whole, timeline, photographers, held, NOTHING_SORTED)


def _sort(r: Reckoning, first: int, last: int) -> Sorting:
    if r.photographers is None or first == last:
        return NOTHING_SORTED
    return partition_places(r.timeline, r.photographers, r.held, first, last)


def propose_near(proposal: Proposal, held: Held, around: Iterable[str]) -> Proposal:
    """Propose anew only the neighbourhood of the photos `around` (ids), after a correction by hand.

    `held` is all that is fixed by hand now; its clocks must be as they were (else `propose` everything). Groups
    and joins further away stay as they are, unless `held` names them. Clocks and habits are those of `proposal`.
    """
    old = proposal.reckoning
    if old is None:
        return proposal
    r = replace(old, held=held) if held.aside == old.held.aside else _begin(old.whole, held)
    n = len(r.timeline.order)
    known = replace(r, sorting=_carried_over(old, r))
    touched = near_places(r.timeline, {*around, *(held.aside ^ old.held.aside)})
    if not touched or not n:
        return Proposal(known)
    first, last = _whole_groups(known.sorting, max(0, min(touched) - REACH), min(n, max(touched) + REACH + 1))
    fresh = _sort(r, first, last)
    group = known.sorting.group.copy()
    group[first:last] = fresh.group + int(group.max()) + 1
    odds = known.sorting.odds.copy()
    odds[first : last - 1] = fresh.odds
    return Proposal(replace(r, sorting=Sorting(0, n, group, odds)))


def _carried_over(old: Reckoning, new: Reckoning) -> Sorting:
    """The sorting as it was, for the pictures of `new`; what was in the tray stands alone, its joins at even odds."""
    before, after = old.timeline.order, new.timeline.order
    if old.timeline is new.timeline:
        return old.sorting
    n = len(old.timeline.true)
    odds_of, next_of = np.zeros(n), np.full(n, -1)
    odds_of[before[:-1]] = old.sorting.odds
    next_of[before[:-1]] = before[1:]
    group = by_row(old)[after]
    back = group < 0
    group[back] = (int(group.max()) + 1 if len(group) else 0) + np.arange(int(back.sum()))
    odds = np.where(next_of[after[:-1]] == after[1:], odds_of[after[:-1]], 0.0)
    return Sorting(0, len(after), group, odds)


def _whole_groups(sorting: Sorting, first: int, last: int) -> tuple[int, int]:
    """Widen the stretch until no group reaches across its ends."""
    low, high = sorting.reaches()
    while True:
        inside = sorting.group[first:last]
        wider = int(low[inside].min()), int(high[inside].max()) + 1
        if wider == (first, last):
            return first, last
        first, last = wider


def _usable(columns: Columns) -> tuple[Ints, dict[str, str]]:
    """Rows that have a time of some kind, and by id why the others have none. An id seen twice counts once."""
    n = len(columns.ids)
    same = np.zeros(n, np.bool_)
    for camera in range(len(columns.keys)):
        mine = np.flatnonzero(columns.camera == camera)
        same[mine] = clocks.is_identical(columns.written[mine])
    columns.written[same] = np.nan
    timeless = np.isnan(columns.written) & np.isnan(columns.satellite)
    if not timeless.any() and len(set(columns.ids)) == n:
        return np.arange(n), {}
    lost: dict[str, str] = {}
    kept: list[int] = []
    seen: set[str] = set()
    for row, name in enumerate(columns.ids):
        if name in seen:
            continue
        seen.add(name)
        if not timeless[row]:
            kept.append(row)
            continue
        problem = columns.photos[row].written.problem
        reason = "All pictures of its camera carry the same time." if same[row] else "No time was written."
        lost[name] = f"No usable time: {problem}" if problem and not same[row] else reason
    return np.array(kept, np.int64), lost
