"""From photos to the most probable proposal: clocks, places, joins, groups."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from catalog_gui.domain.foray import Clock, Group, Join, SameAs, Track
from catalog_gui.domain.photo import Photo
from catalog_gui.grouping import clocks, places
from catalog_gui.grouping.columns import Bools, Columns, Floats, Ints, moment, read_columns
from catalog_gui.grouping.habits import Habit, learn
from catalog_gui.grouping import links as crossing
from catalog_gui.grouping.proposal import Held, Likeness, Proposal, Question, Remark
from catalog_gui.grouping.walkers import walkers
from catalog_gui.grouping.wholes import FORBIDDEN, contract

_SURE = 3.2  # log odds beyond which two pictures of one camera are not taken apart again
_REVISIT_S = 4 * 3600.0


@dataclass(slots=True)
class Reckoning:
    """What a proposal was reckoned with, kept so that a correction need not reckon everything anew."""

    streams: list[clocks.Stream]


def propose(
    photos: Sequence[Photo],
    *,
    held: Held | None = None,
    tracks: Sequence[Track] = (),
    time_zone: str = "",
    likeness: Likeness | None = None,
    now: datetime | None = None,
) -> Proposal:
    """Propose clocks, groups, joins and links for the photos of one foray.

    `photos` may come in any order, from any number of cameras; used are `id`, `camera`, `written`, `fix`
    and, where known, `counter`. `held` is what was fixed by hand and stays. `tracks` are walks in true
    UTC. `time_zone` is the tz database name of the place, '' if not known: then zone tags and satellite
    times are the only way to UTC, and without them written time is taken as it stands. `likeness`
    compares two neighbouring pictures (see `Likeness`). `now` (aware) lets dates in the future be noticed.

    Never raises on bad metadata: what cannot be placed is in `left_out`, with the reason. The result is
    the same for the same input in any order. Pure: no files, clock, or randomness.
    """
    held = held or Held()
    if not photos:
        return Proposal()
    columns = read_columns(photos)
    left_out, usable = _usable(columns, held)
    streams = _streams(columns, usable, time_zone)
    clocks.settle(columns, streams, held.clocks, now)
    true, body, spread = _true_times(columns, streams, usable)
    rows = np.flatnonzero(~np.isnan(true))
    id_rank = np.argsort(np.argsort(np.array(columns.ids)))
    order = rows[np.lexsort((id_rank[rows], columns.counter[rows], true[rows]))]
    where = places.believe(columns, body, true)
    scene = _Scene(columns, true, body, _persons(streams, true, body), spread, order, where)
    people = _photographers(scene)
    group_of, join_odds, offers = _group(scene, people, held, likeness)
    path = places.trail(true, where, tracks)
    groups = _groups(scene, group_of, held, path)
    return Proposal(
        clocks=tuple(_clock(s, photos[0].foray_id) for s in streams),
        groups=groups,
        joins=_joins(scene, join_odds, held),
        same_as=offers,
        left_out=tuple(left_out),
        questions=tuple(
            Question(s.key, s.question, _ids(columns, s.pair))
            for s in streams
            if s.question and not s.by_hand
        ),
        ignored_fixes=tuple(Remark(columns.ids[row], reason) for row, reason in where.ignored),
        times={columns.ids[row]: moment(true[row]) for row in order.tolist()},
        reckoning=Reckoning(streams),
    )


@dataclass(slots=True)
class _Scene:
    """Everything known by row; `order` lists the rows that have a true time, ascending."""

    columns: Columns
    true: Floats
    body: Ints
    person: Ints
    spread: Floats
    order: Ints
    where: places.Whereabouts


def _ids(columns: Columns, pair: tuple[int, int] | None) -> tuple[str, str] | None:
    return None if pair is None else (columns.ids[pair[0]], columns.ids[pair[1]])


def _usable(columns: Columns, held: Held) -> tuple[list[Remark], Ints]:
    left_out: list[Remark] = []
    kept: list[int] = []
    seen: set[str] = set()
    same: set[int] = set()
    for camera in range(len(columns.keys)):
        mine = np.flatnonzero(columns.camera == camera)
        same.update(mine[clocks.is_identical(columns.written[mine])].tolist())
    in_group = {photo for members in held.groups.values() for photo in members}
    for row, name in enumerate(columns.ids):
        if name in seen:
            continue
        seen.add(name)
        no_clock = np.isnan(columns.written[row]) or row in same
        if name in held.aside:
            left_out.append(Remark(name, "Set aside by hand."))
        elif no_clock and np.isnan(columns.satellite[row]) and name not in in_group:
            problem = columns.photos[row].written.problem
            reason = (
                "All pictures of its camera carry the same time."
                if row in same
                else (f"No usable time: {problem}" if problem else "No time was written.")
            )
            left_out.append(Remark(name, reason))
        else:
            if row in same:
                columns.written[row] = np.nan
            kept.append(row)
    return left_out, np.array(kept, np.int64)


def _streams(columns: Columns, usable: Ints, time_zone: str) -> list[clocks.Stream]:
    found: list[clocks.Stream] = []
    for camera, key in enumerate(columns.keys):
        rows = usable[columns.camera[usable] == camera]
        if len(rows):
            found.append(_stream(columns, key, rows, time_zone))
    known = [
        (float(np.nanmedian(s.nominal)), s) for s in found if s.zone_basis and not np.isnan(s.nominal).all()
    ]
    for stream in found:
        if stream.zone_basis or np.isnan(stream.nominal).all():
            continue
        zone = _zone_from_satellites(columns, stream)
        if zone is not None:
            stream.zone_s, stream.zone_basis = zone, "zone from satellite times"
            known.append((0.0, stream))
    if known:
        best = max((s for _, s in known), key=lambda s: len(s.rows))
        for stream in found:
            if not stream.zone_basis:
                stream.zone_s, stream.zone_basis = best.zone_s, f"zone as on {best.key}"
    for stream in found:
        if not stream.tagged:
            stream.nominal = columns.written[stream.rows] + stream.zone_s
    return found


def _stream(columns: Columns, key: str, rows: Ints, time_zone: str) -> clocks.Stream:
    written, tag = columns.written[rows], columns.tag[rows]
    tagged = ~np.isnan(tag) & ~np.isnan(written)
    if tagged.any():
        usual = float(np.median(tag[tagged]))
        zone = -np.where(np.isnan(tag), usual, tag)
        phone = bool((~np.isnan(columns.latitude[rows])).mean() > 0.2)
        rank = 2 if phone else 3
        return clocks.Stream(key, rows, written + zone, -usual, "zone tag", tagged=True, rank=rank)
    dated = written[~np.isnan(written)]
    zone_s = clocks.zone_offset(time_zone, float(dated.min())) if time_zone and len(dated) else None
    basis = f"zone {time_zone}" if zone_s is not None else ""
    return clocks.Stream(key, rows, written + (zone_s or 0.0), zone_s or 0.0, basis, tagged=False)


def _zone_from_satellites(columns: Columns, stream: clocks.Stream) -> float | None:
    d = columns.satellite[stream.rows] - columns.written[stream.rows]
    d = d[~np.isnan(d)]
    if not len(d):
        return None
    middle = float(np.median(d))
    zone = round(middle / 900.0) * 900.0
    return zone if -14 * 3600 <= zone <= 12 * 3600 and abs(middle - zone) < 300.0 else None


def _true_times(columns: Columns, streams: list[clocks.Stream], usable: Ints) -> tuple[Floats, Ints, Floats]:
    true = np.full(len(columns.ids), np.nan)
    body = np.full(len(columns.ids), -1, np.int64)
    spread = np.zeros(len(columns.ids))
    for index, stream in enumerate(streams):
        true[stream.rows] = stream.nominal + stream.error
        body[stream.rows] = index
        spread[stream.rows] = min(stream.spread, 300.0)
    lost = usable[np.isnan(true[usable])]
    true[lost] = columns.satellite[lost]
    return true, body, spread


def _persons(streams: list[clocks.Stream], true: Floats, body: Ints) -> Ints:
    """For each row who took it: camera bodies in one pair of hands are one photographer."""
    times = [np.sort(s.nominal[~np.isnan(s.nominal)] + s.error) for s in streams]
    person_of = walkers(times, [s.spread for s in streams])
    return np.where(body >= 0, person_of[np.maximum(body, 0)], -1)


@dataclass(slots=True)
class _Photographer:
    """One person's pictures: places in `order`, and the log odds of each step between neighbours."""

    places: Ints
    habit: Habit
    odds: Floats


def _photographers(scene: _Scene) -> dict[int, _Photographer]:
    who = scene.person[scene.order]
    places_of = {number: np.flatnonzero(who == number) for number in np.unique(who).tolist()}
    steps = {number: _steps(scene, scene.order[at]) for number, at in places_of.items()}
    error = scene.where.error
    usual = float(np.nanmedian(error)) if not np.isnan(error).all() else places.USUAL_ERROR_M
    party = learn(*(np.concatenate(part) for part in zip(*steps.values(), strict=True)), error_m=usual)
    found: dict[int, _Photographer] = {}
    for number, (gaps, metres, scale) in steps.items():
        habit = party if len(steps) == 1 else learn(gaps, metres, scale, weak=party)
        rows = scene.order[places_of[number]]
        if not np.isnan(metres).all():
            # Once more, with the middle of the fixes before and after each step for the single fixes.
            metres = _middle_steps(
                scene.where.x[rows], scene.where.y[rows], habit.odds(gaps, metres, scale) > 2.0
            )
            weak = None if len(steps) == 1 else party
            habit = learn(gaps, metres, scale, weak=weak, start=habit, error_m=usual)
        found[number] = _Photographer(places_of[number], habit, habit.chained_odds(gaps, metres, scale))
    return found


def _steps(scene: _Scene, rows: Ints) -> tuple[Floats, Floats, Floats]:
    """Pauses (s), displacements (m) and fix quality (1 is usual) between consecutive pictures of one person."""
    x, y, error = scene.where.x[rows], scene.where.y[rows], scene.where.error[rows]
    gaps = np.diff(scene.true[rows])
    metres = np.hypot(np.diff(x), np.diff(y))
    usual = float(np.nanmedian(error)) if not np.isnan(error).all() else 1.0
    scale = np.clip(np.hypot(error[1:], error[:-1]) / (usual * np.sqrt(2.0)), 0.4, 5.0)
    return gaps, metres, np.where(np.isnan(scale), 1.0, scale)


def _middle_steps(x: Floats, y: Floats, sure: Bools) -> Floats:
    """Displacements (m) between the middles of up to three fixes on either side of each step.

    Only pictures that surely belong together (`sure` steps) share a middle.
    """
    n = len(x)
    known = ~np.isnan(x)
    plain_x, plain_y = np.where(known, x, 0.0), np.where(known, y, 0.0)
    middles: list[tuple[Floats, Floats]] = []
    for direction in (-1, 1):
        linked = np.ones(n, np.bool_)
        sum_x, sum_y, count = np.zeros(n), np.zeros(n), np.zeros(n)
        for reach in range(3):
            at = np.arange(n) + direction * reach
            inside = (at >= 0) & (at < n)
            if reach:
                step = np.clip(np.minimum(at, at - direction), 0, n - 2)
                linked &= inside & sure[step]
            at = np.clip(at, 0, n - 1)
            take = linked & known[at]
            sum_x += np.where(take, plain_x[at], 0.0)
            sum_y += np.where(take, plain_y[at], 0.0)
            count += take
        count[count == 0] = np.nan
        middles.append((sum_x / count, sum_y / count))
    (before_x, before_y), (after_x, after_y) = middles
    return np.asarray(np.hypot(after_x[1:] - before_x[:-1], after_y[1:] - before_y[:-1]))


def _group(
    scene: _Scene, people: dict[int, _Photographer], held: Held, likeness: Likeness | None
) -> tuple[Ints, Floats, tuple[SameAs, ...]]:
    """Cluster number of each row in `order`, and the log odds of each join between neighbours there."""
    order = scene.order
    n = len(order)
    position = np.full(len(scene.columns.ids), -1, np.int64)
    position[order] = np.arange(n)
    row_of = {scene.columns.ids[row]: int(position[row]) for row in order.tolist()}
    held_of = np.full(n, -1, np.int64)
    for index, members in enumerate(held.groups.values()):
        for photo in members:
            if photo in row_of:
                held_of[row_of[photo]] = index
    apart = [(row_of[a], row_of[b]) for a, b in held.apart if a in row_of and b in row_of]
    together = [(row_of[a], row_of[b]) for a, b in held.together if a in row_of and b in row_of]

    atom = np.full(n, -1, np.int64)
    chains: dict[int, Ints] = {}
    chain_odds: dict[int, Floats] = {}
    left: list[Ints] = []
    right: list[Ints] = []
    weighed: list[Floats] = []
    count = 0
    barred = {frozenset(pair) for pair in apart}
    ends = {p for pair in apart for p in pair}
    for number, person in people.items():
        mine = person.places
        odds = np.clip(person.odds, -12.0, 12.0)
        cut = (odds < 0.0) | (held_of[mine][1:] != held_of[mine][:-1])
        if ends:
            cut |= np.isin(mine[1:], list(ends)) | np.isin(mine[:-1], list(ends))
        label = np.concatenate(([0], np.cumsum(cut))) + count
        atom[mine] = label
        at = np.flatnonzero(cut)
        left.append(label[at])
        right.append(label[at + 1])
        weighed.append(odds[at])
        count = int(label[-1]) + 1
        chains[number], chain_odds[number] = mine, odds
    for fa, fb, odds in _across(scene, people, atom, count):
        left.append(fa)
        right.append(fb)
        weighed.append(odds)
    first_held: dict[int, int] = {}
    atom_held = np.full(count, -1, np.int64)
    atom_held[atom] = held_of
    extra: list[tuple[int, int, float]] = [(int(atom[a]), int(atom[b]), 1e6) for a, b in together]
    extra += [(int(atom[a]), int(atom[b]), FORBIDDEN * 1000) for a, b in apart if frozenset((a, b)) in barred]
    for index in range(count):
        home = int(atom_held[index])
        if home >= 0:
            if home in first_held:
                extra.append((first_held[home], index, 1e6))
            first_held.setdefault(home, index)
    la = np.concatenate([*left, np.array([e[0] for e in extra], np.int64)])
    lb = np.concatenate([*right, np.array([e[1] for e in extra], np.int64)])
    ev = np.concatenate([*weighed, np.array([e[2] for e in extra], np.float64)])
    mixed = (atom_held[la] != atom_held[lb]) & ((atom_held[la] >= 0) | (atom_held[lb] >= 0))
    ev_held = np.where(mixed, FORBIDDEN * 1000, ev)
    root = contract(count, la, lb, ev_held)
    group = root[atom]
    return group, _join_odds(scene, atom, root, chains, chain_odds, (la, lb, ev)), ()


def _across(
    scene: _Scene, photographers: dict[int, _Photographer], atom: Ints, count: int
) -> list[tuple[Ints, Ints, Floats]]:
    """Links (stretch, stretch, log odds) between the stretches of different photographers."""
    start, end, x, y, error = _spans(scene, atom, count)
    people = list(photographers)
    chains = {who: photographers[who].places for who in people}
    numbers = {who: np.unique(atom[chains[who]]) for who in people}
    stretches = {
        who: crossing.Stretches(start[k], end[k], x[k], y[k], error[k]) for who, k in numbers.items()
    }
    times = {who: scene.true[scene.order[chains[who]]] for who in people}
    doubts = {who: float(scene.spread[scene.order[chains[who][0]]]) for who in people}
    couples = [(one, two) for i, one in enumerate(people) for two in people[i + 1 :]]
    close = [crossing.close_pairs(stretches[one], stretches[two]) for one, two in couples]
    doubt = [float(np.hypot(doubts[one], doubts[two])) for one, two in couples]
    shown = [
        crossing.company_evidence(times[one], times[two], pairs, d)
        for (one, two), pairs, d in zip(couples, close, doubt, strict=True)
    ]
    together = crossing.company(shown)
    moved = max(p.habit.moved_m for p in photographers.values())
    share = crossing.one_find_share(close, together, moved)
    return [
        (
            numbers[one][pairs.one],
            numbers[two][pairs.two],
            crossing.evidence(pairs, probability, share, moved, d),
        )
        for (one, two), pairs, probability, d in zip(couples, close, together, doubt, strict=True)
    ]


def _spans(scene: _Scene, atom: Ints, count: int) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Per atom: start, end (UTC s), middle x, y and error (m; NaN without a fix)."""
    rows = scene.order
    start, end = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(start, atom, scene.true[rows])
    np.maximum.at(end, atom, scene.true[rows])
    x, y, e = scene.where.x[rows], scene.where.y[rows], scene.where.error[rows]
    known = ~np.isnan(x)
    many = np.bincount(atom[known], minlength=count).astype(np.float64)
    many[many == 0] = np.nan
    mean = [np.bincount(atom[known], weights=v[known], minlength=count) / many for v in (x, y, e)]
    return start, end, mean[0], mean[1], mean[2]


def _join_odds(
    scene: _Scene,
    atom: Ints,
    root: Ints,
    chains: dict[int, Ints],
    chain_odds: dict[int, Floats],
    links: tuple[Ints, Ints, Floats],
) -> Floats:
    n = len(scene.order)
    before, after = atom[:-1], atom[1:]
    own = np.full(n, 12.0)  # log odds of the step that leads to each picture within its own stream
    for body, mine in chains.items():
        own[mine[1:]] = chain_odds[body]
    la, lb, ev = links
    between: dict[tuple[int, int], float] = defaultdict(float)
    to_rest: dict[int, float] = defaultdict(float)
    for a, b, e in zip(la.tolist(), lb.tolist(), ev.tolist(), strict=True):
        ra, rb = int(root[a]), int(root[b])
        if ra == rb:
            to_rest[a] += e
            to_rest[b] += e
        else:
            between[min(ra, rb), max(ra, rb)] += e
    odds = np.empty(max(n - 1, 0))
    for i in range(n - 1):
        a, b = int(before[i]), int(after[i])
        if a == b:
            odds[i] = own[i + 1]
        elif root[a] == root[b]:
            odds[i] = max(0.0, min(to_rest[a], to_rest[b]))
        else:
            ra, rb = int(root[a]), int(root[b])
            odds[i] = min(0.0, between.get((min(ra, rb), max(ra, rb)), -6.0))
    return np.clip(odds, -9.0, 9.0)


def _joins(scene: _Scene, odds: Floats, held: Held) -> tuple[Join, ...]:
    ids, foray = scene.columns.ids, scene.columns.photos[0].foray_id
    settled: dict[tuple[str, str], bool] = {}
    home = {photo: name for name, members in held.groups.items() for photo in members}
    for a, b in held.together:
        settled[a, b] = settled[b, a] = True
    for a, b in held.apart:
        settled[a, b] = settled[b, a] = False
    rows = scene.order.tolist()
    probability = 1.0 / (1.0 + np.exp(-odds))
    joins: list[Join] = []
    for i, p in enumerate(probability.tolist()):
        one, two = ids[rows[i]], ids[rows[i + 1]]
        fixed = settled.get((one, two))
        if fixed is None and (one in home or two in home):
            same = home.get(one) == home.get(two)
            fixed = same if (one in home and two in home) or not same else None
        if fixed is not None:
            p = 1.0 if fixed else 0.0
        joins.append(
            Join(f"join-{one}-{two}", foray, one, two, p, _reason(scene, rows[i], rows[i + 1], fixed), fixed)
        )
    return tuple(joins)


def _reason(scene: _Scene, one: int, two: int, fixed: bool | None) -> str:
    if fixed is not None:
        return "Settled by hand."
    words = [f"{_duration(scene.true[two] - scene.true[one])} later"]
    metres = float(np.hypot(scene.where.x[two] - scene.where.x[one], scene.where.y[two] - scene.where.y[one]))
    if not np.isnan(metres):
        words.append(f"{metres:.0f} m away")
    if scene.body[one] != scene.body[two]:
        words.append("another camera")
    return ", ".join(words)


def _duration(seconds: float) -> str:
    if seconds < 90:
        return f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 5400 else f"{seconds / 3600:.1f} h"


def _groups(scene: _Scene, group: Ints, held: Held, path: places.Trail) -> tuple[Group, ...]:
    ids, foray = scene.columns.ids, scene.columns.photos[0].foray_id
    members: dict[int, list[int]] = {}
    for place, number in enumerate(group.tolist()):
        members.setdefault(number, []).append(int(scene.order[place]))
    home = {photo: name for name, kept in held.groups.items() for photo in kept}
    taken = set(held.groups)
    middles = np.array([float(np.mean(scene.true[rows])) for rows in members.values()])
    doubts = np.array([float(np.mean(scene.spread[rows])) for rows in members.values()])
    px, py, pe = places.interpolate(path, middles, doubts)
    found: list[Group] = []
    for index, rows in enumerate(members.values()):
        at = np.array(rows)
        first = ids[rows[0]]
        is_held = first in home
        name = home.get(first) or _fresh(f"group-{first}", taken)
        where = scene.where
        place = places.combine(where.x[at], where.y[at], where.error[at], scene.body[at], where.origin)
        if place is None and not np.isnan(px[index]):
            place = places.combine(
                px[index : index + 1],
                py[index : index + 1],
                pe[index : index + 1],
                at[:1],
                where.origin,
                "from where the party was at that time",
            )
        photos = tuple(ids[row] for row in rows)
        found.append(
            Group(
                name, foray, photos, moment(scene.true[rows[0]]), moment(scene.true[rows[-1]]), place, is_held
            )
        )
    return tuple(found)


def _fresh(name: str, taken: set[str]) -> str:
    while name in taken:
        name += "'"
    taken.add(name)
    return name


def _clock(stream: clocks.Stream, foray: str) -> Clock:
    return Clock(
        f"clock-{foray}-{stream.key}" if foray else f"clock-{stream.key}",
        foray,
        stream.key,
        stream.offset,
        stream.spread,
        stream.basis,
        stream.settled,
        stream.by_hand,
        len(stream.rows),
    )
