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
from catalog_gui.grouping.joining import Sorting, get_to_know, sort_places
from catalog_gui.grouping.neighbourhood import REACH
from catalog_gui.grouping.proposal import Proposal, Reckoning
from catalog_gui.grouping.scene import set_scene
from catalog_gui.grouping.terms import Held, Likeness, Remark

_NOTHING_HELD = Held()


def propose(
    photos: Sequence[Photo],
    *,
    held: Held = _NOTHING_HELD,
    tracks: Sequence[Track] = (),
    time_zone: str = "",
    likeness: Likeness | None = None,
    now: datetime | None = None,
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

    Returns a `Proposal`. Times in it are aware UTC, offsets and spreads in s, uncertainties in m (68 %).
    Never raises on bad metadata: what cannot be placed is in `left_out`, with the reason. The same photos
    in another order give the same proposal. Pure: no files, clock or randomness.
    """
    if not photos:
        return Proposal()
    columns = read_columns(photos)
    left_out, usable = _usable(columns, held)
    scene = set_scene(columns, usable, held.clocks, time_zone, now)
    walks, notes = places.reach(scene.where, scene.true, tracks) if tracks else ([], [])
    n = len(scene.order)
    if not n:
        nothing = Sorting(0, 0, np.zeros(0, np.int64), np.zeros(0))
        return Proposal(Reckoning(scene, None, held, nothing, tuple(left_out), walks, notes))
    party = get_to_know(scene, likeness)
    sorting = sort_places(scene, party, held, 0, n)
    return Proposal(Reckoning(scene, party, held, sorting, tuple(left_out), walks, notes))


def propose_near(proposal: Proposal, held: Held, around: Iterable[str]) -> Proposal:
    """Propose anew only the neighbourhood of the photos `around` (ids), after a correction by hand.

    `held` is all that is fixed by hand now; clocks and pictures set aside must be as they were (else
    `propose` everything). Groups and joins further away stay as they are, unless `held` names them.
    Clocks and habits are those of `proposal`.
    """
    r = proposal.reckoning
    if r is None or r.party is None:
        return proposal
    place_of = {r.scene.columns.ids[row]: at for at, row in enumerate(r.scene.order.tolist())}
    touched = [place_of[name] for name in around if name in place_of]
    if not touched:
        return Proposal(replace(r, held=held))
    n = len(r.scene.order)
    first, last = _whole_groups(r.sorting, max(0, min(touched) - REACH), min(n, max(touched) + REACH + 1))
    fresh = sort_places(r.scene, r.party, held, first, last)
    group = r.sorting.group.copy()
    group[first:last] = fresh.group + int(group.max()) + 1
    odds = r.sorting.odds.copy()
    odds[first : last - 1] = fresh.odds
    return Proposal(replace(r, held=held, sorting=Sorting(0, n, group, odds)))


def _whole_groups(sorting: Sorting, first: int, last: int) -> tuple[int, int]:
    """Widen the stretch until no group reaches across its ends."""
    low, high = sorting.reaches()
    while True:
        inside = sorting.group[first:last]
        wider = int(low[inside].min()), int(high[inside].max()) + 1
        if wider == (first, last):
            return first, last
        first, last = wider


def _usable(columns: Columns, held: Held) -> tuple[list[Remark], Ints]:
    """Photos left out, with the reason, and the rows of all others. An id seen twice counts once."""
    n = len(columns.ids)
    same = np.zeros(n, np.bool_)
    for camera in range(len(columns.keys)):
        mine = np.flatnonzero(columns.camera == camera)
        same[mine] = clocks.is_identical(columns.written[mine])
    columns.written[same] = np.nan
    timeless = np.isnan(columns.written) & np.isnan(columns.satellite)
    if not held.aside and not timeless.any() and len(set(columns.ids)) == n:
        return [], np.arange(n)
    left_out: list[Remark] = []
    kept: list[int] = []
    seen: set[str] = set()
    in_group = {photo for members in held.groups.values() for photo in members}
    for row, name in enumerate(columns.ids):
        if name in seen:
            continue
        seen.add(name)
        if name in held.aside:
            left_out.append(Remark(name, "Set aside by hand."))
        elif timeless[row] and name in in_group:
            continue  # it stays in its group, without a time
        elif timeless[row]:
            problem = columns.photos[row].written.problem
            reason = (
                "All pictures of its camera carry the same time." if same[row] else "No time was written."
            )
            left_out.append(
                Remark(name, f"No usable time: {problem}" if problem and not same[row] else reason)
            )
        else:
            kept.append(row)
    return left_out, np.array(kept, np.int64)
