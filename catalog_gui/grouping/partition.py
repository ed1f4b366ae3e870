"""From a timeline to groups: the steps of each photographer, the links between them, the whole."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from catalog_gui.grouping import links, places
from catalog_gui.grouping.arrivals import agreement_at, pick_arrivals
from catalog_gui.grouping.clocks import Stream
from catalog_gui.grouping.columns import Bools, Floats, Ints, length
from catalog_gui.grouping.correlation_clustering import FORBIDDEN, REQUIRED, Edges, contract, join_odds
from catalog_gui.grouping.inputs import Held, Likeness
from catalog_gui.grouping.likeness import Looks, learn_looks
from catalog_gui.grouping.pause_model import PauseModel, Steps, judge, learn, weigh
from catalog_gui.grouping.semi_markov import Sizes
from catalog_gui.grouping.timeline import Timeline

_ANYWAY = 0.3  # chance that a clock off by minutes still lays a stretch over the right find of the company
_WARY = 1.0  # log odds that a join must have where clocks are not known at all: a cut is sooner mended
_AT_ONCE, _AT_ONCE_LIMITS = 0.5, (-0.7, 4.0)  # how much arrivals at one time tell of company, as log odds
_FELT = 20  # steps from a picture set aside within which others are weighed anew
_SURE = 2.0  # log odds from which pictures may share the middle of their fixes
_MOST = 9.0  # log odds beyond which nobody is surer


@dataclass(slots=True)
class Photographer:
    """One person's pictures: places in `order`, habit, and the log odds of each step between neighbours.

    `sizes`: how many pictures are taken of a find; None where there are too few to tell.
    """

    places: Ints
    pause_model: PauseModel
    sizes: Sizes | None
    odds: Floats


@dataclass(slots=True)
class Photographers:
    """The photographers, and for each pair of them how probably they kept company.

    `looks`, where previews are at hand and tell something, weighs how alike pictures are.
    """

    people: list[Photographer]
    company: dict[tuple[int, int], float]
    one_find: float
    pause_model: PauseModel
    looks: Looks | None = None


@dataclass(slots=True)
class Sorting:
    """For places `first` to `last` of `order`: group number of each, and log odds of each join between neighbours."""

    first: int
    last: int
    group: Ints
    odds: Floats

    def reaches(self) -> tuple[Ints, Ints]:
        """First and last place (from 0) of every group, by its number."""
        places = np.arange(len(self.group))
        size = int(self.group.max()) + 1
        low, high = np.zeros(size, np.int64), np.zeros(size, np.int64)
        high[self.group] = places  # the last one written stays
        low[self.group[::-1]] = places[::-1]
        return low, high


def learn_photographers(timeline: Timeline, likeness: Likeness | None) -> Photographers:
    """Learn everybody's habits, and who kept company."""
    who = timeline.person[timeline.order]
    places_of = [at for one in range(-1, int(who.max()) + 1) if len(at := np.flatnonzero(who == one))]
    steps = [_steps(timeline, timeline.order[at]) for at in places_of]
    error = timeline.where.error
    usual = float(np.nanmedian(error)) if not np.isnan(error).all() else places.USUAL_ERROR_M
    photographers = learn(_together(steps), error_m=usual)
    people = []
    for at, single in zip(places_of, steps, strict=True):
        mine = single
        pause_model = photographers if len(steps) == 1 else learn(mine, weak=photographers)
        if not np.isnan(mine.metres).all():
            # Once more, with the middle of the fixes before and after each step for the single fixes.
            rows = timeline.order[at]
            mine = _middle_steps(
                single, timeline.where.x[rows], timeline.where.y[rows], pause_model.odds(single) > _SURE
            )
            pause_model = learn(
                mine, weak=None if len(steps) == 1 else photographers, start=pause_model, error_m=usual
            )
        pause_model, sizes = judge(pause_model, mine, None if len(steps) == 1 else photographers, usual)
        odds = np.clip(weigh(pause_model, sizes, mine), -_MOST, _MOST)
        people.append(Photographer(at, pause_model, sizes, odds))
    looks = _weigh_looks(timeline, people, likeness) if likeness is not None else None
    return replace(_company(timeline, people, photographers), looks=looks)


def without_aside(
    timeline: Timeline, photographers: Photographers, aside: Bools
) -> tuple[Timeline, Photographers]:
    """Return timeline and photographers without the pictures that were set `aside` (by row).

    They tell of clocks and habits like all others, and so setting one aside moves nothing far away. Only the
    steps around them are weighed anew, as if they had not been taken.
    """
    kept = ~aside[timeline.order]
    if kept.all():
        return timeline, photographers
    place = np.cumsum(kept) - 1
    rest = replace(timeline, order=timeline.order[kept])
    people = [_without(timeline, photographers, person, kept, place) for person in photographers.people]
    return rest, replace(photographers, people=people)


def _without(
    timeline: Timeline, photographers: Photographers, person: Photographer, kept: Bools, place: Ints
) -> Photographer:
    mine = kept[person.places]
    left = place[person.places[mine]]
    if mine.all() or len(left) < 2:
        return replace(person, places=left, odds=person.odds[: max(0, len(left) - 1)])
    stays = np.flatnonzero(mine)
    rows = timeline.order[person.places[mine]]
    steps = _steps(timeline, rows)
    if steps.known.any():
        steps = _middle_steps(
            steps, timeline.where.x[rows], timeline.where.y[rows], person.pause_model.odds(steps) > _SURE
        )
    anew = np.clip(weigh(person.pause_model, person.sizes, steps), -_MOST, _MOST)
    # How many pictures lie aside up to each: where the number changes within reach, a step feels it.
    gone = stays - np.arange(len(stays))
    at = np.arange(len(anew))
    felt = gone[np.maximum(at - _FELT, 0)] != gone[np.minimum(at + 1 + _FELT, len(gone) - 1)]
    if gone[0]:
        felt[:_FELT] = True
    if len(mine) - 1 - stays[-1]:
        felt[-_FELT:] = True
    odds = np.where(felt, anew, person.odds[stays[:-1]])
    if photographers.looks is not None:
        odds = np.clip(photographers.looks.steps(rows, odds, felt), -_MOST, _MOST)
    return replace(person, places=left, odds=odds)


def _weigh_looks(timeline: Timeline, people: list[Photographer], likeness: Likeness) -> Looks | None:
    streams = [(timeline.order[person.places], person.odds) for person in people]
    looks = learn_looks(timeline.columns.photos, timeline.device, streams, likeness)
    if looks is not None:
        for person, (rows, odds) in zip(people, streams, strict=True):
            person.odds = np.clip(looks.steps(rows, odds), -_MOST, _MOST)
    return looks


def _company(timeline: Timeline, people: list[Photographer], pause_model: PauseModel) -> Photographers:
    if len(people) == 1:
        return Photographers(people, {}, 1.0, pause_model)
    stretches = [
        _stretches(timeline, p.places, np.concatenate(([0], np.cumsum(p.odds < 0.0)))) for p in people
    ]
    pairs = [(i, j) for i in range(len(people)) for j in range(i + 1, len(people))]
    close = [links.close_pairs(stretches[i], stretches[j]) for i, j in pairs]
    times = [timeline.true[timeline.order[p.places]] for p in people]
    came = [pick_arrivals(t, p.odds) for t, p in zip(times, people, strict=True)]
    right = {pair: _both_right(timeline, people, pair) for pair in pairs}
    shown = []
    for (i, j), near in zip(pairs, close, strict=True):
        evidence, nearer = links.company_evidence(times[i], times[j], near, _doubt(timeline, people, i, j))
        at_once = float(agreement_at(came[i], came[j], np.zeros(1))[0])
        shown.append((evidence + right[i, j] * float(np.clip(_AT_ONCE * at_once, *_AT_ONCE_LIMITS)), nearer))
    together = links.company([evidence for evidence, _ in shown])
    together = [t * (_ANYWAY + (1.0 - _ANYWAY) * right[p]) for t, p in zip(together, pairs, strict=True)]
    share = links.one_find_share(
        close, together, [nearer for _, nearer in shown], pause_model.moved_m, len(people)
    )
    return Photographers(people, dict(zip(pairs, together, strict=True)), share, pause_model)


def _both_right(timeline: Timeline, people: list[Photographer], pair: tuple[int, int]) -> float:
    """Probability that the clocks of two people are right to a minute."""
    one, two = pair
    return _clock(timeline, people[one]).nearly * _clock(timeline, people[two]).nearly


def _clock(timeline: Timeline, person: Photographer) -> Stream:
    return timeline.streams[int(timeline.device[timeline.order[person.places[0]]])]


def _doubt(timeline: Timeline, people: list[Photographer], i: int, j: int) -> float:
    """How far (s) two people's clocks may disagree, if they are right at all."""
    return float(np.hypot(_clock(timeline, people[i]).grain, _clock(timeline, people[j]).grain))


def _steps(timeline: Timeline, rows: Ints) -> Steps:
    """Steps between consecutive pictures of one person, from single fixes."""
    x, y, error = timeline.where.x[rows], timeline.where.y[rows], timeline.where.error[rows]
    usual = float(np.nanmedian(error)) if not np.isnan(error).all() else 1.0
    scale = np.clip(length(error[1:], error[:-1]) / (usual * np.sqrt(2.0)), 0.4, 5.0)
    metres = length(np.diff(x), np.diff(y))
    return Steps(
        np.diff(timeline.true[rows]), metres, np.where(np.isnan(scale), 1.0, scale), np.ones(len(metres))
    )


def _together(steps: list[Steps]) -> Steps:
    """The steps of several people, one after another."""
    return Steps(
        np.concatenate([s.gaps for s in steps]),
        np.concatenate([s.metres for s in steps]),
        np.concatenate([s.scale for s in steps]),
        np.concatenate([s.lone for s in steps]),
    )


def _middle_steps(steps: Steps, x: Floats, y: Floats, sure: Bools) -> Steps:
    """Steps between the middles of up to three fixes on either side.

    Only pictures that surely belong together (`sure` steps) share a middle.
    """
    known = ~np.isnan(x)
    held = sure.astype(np.float64)
    twice = held[1:] * held[:-1]
    sides = []
    for ahead in (False, True):
        sums = []
        for values in (np.where(known, x, 0.0), np.where(known, y, 0.0), known.astype(np.float64)):
            total = values.copy()
            if ahead:
                total[:-1] += values[1:] * held
                total[:-2] += values[2:] * twice
            else:
                total[1:] += values[:-1] * held
                total[2:] += values[:-2] * twice
            sums.append(total)
        many = sums[2]
        many[many == 0.0] = np.nan
        sides.append((sums[0] / many, sums[1] / many, many))
    before, after = sides
    metres = length(after[0][1:] - before[0][:-1], after[1][1:] - before[1][:-1])
    lone = np.nan_to_num(0.5 / after[2][1:] + 0.5 / before[2][:-1], nan=1.0)
    return Steps(steps.gaps, metres, steps.scale, lone)


def partition_places(
    timeline: Timeline, photographers: Photographers, held: Held, first: int, last: int
) -> Sorting:
    """Group the pictures at places `first` to `last` (exclusive) of `order`; the whole, or a neighbourhood."""
    n = last - first
    wishes = _wishes(timeline, held, first, last)
    node = np.zeros(n, np.int64)
    own = np.full(
        n, _MOST
    )  # log odds of the step that leads to each picture in its own photographer's stream
    mine_of: list[Ints] = []
    found = Edges()
    count = 0
    for person in photographers.people:
        low, high = np.searchsorted(person.places, (first, last))
        mine = person.places[low:high] - first
        mine_of.append(mine)
        if not len(mine):
            continue
        odds = person.odds[low : high - 1]
        cut = odds < 0.0
        if wishes is not None:
            cut = cut | (wishes.home[mine][1:] != wishes.home[mine][:-1])
            cut |= wishes.edge[mine][1:] | wishes.edge[mine][:-1]
        label = np.concatenate(([0], np.cumsum(cut))) + count
        node[mine] = label
        own[mine[1:]] = odds
        at = np.flatnonzero(cut)
        found.add(label[at], label[at + 1], odds[at], across=False)
        count = int(label[-1]) + 1
    if len(photographers.people) == 1 and wishes is None:
        return Sorting(first, last, node, own[1:])
    for (i, j), together in photographers.company.items():
        if len(mine_of[i]) and len(mine_of[j]) and together > 0.02:
            _link(
                timeline, photographers, (i, j), (mine_of[i] + first, mine_of[j] + first), node, first, found
            )
    if wishes is not None:
        _heed(wishes, node, found)
    root = contract(count, found)
    group = root[node]
    if wishes is not None:
        group = np.where(wishes.home >= 0, count + wishes.home, group)
    return Sorting(first, last, group, join_odds(node, root, own, found, _MOST))


def _link(
    timeline: Timeline,
    photographers: Photographers,
    pair: tuple[int, int],
    at: tuple[Ints, Ints],
    node: Ints,
    first: int,
    found: Edges,
) -> None:
    one, two = pair
    stretches = [_stretches(timeline, a, node[a - first] - node[a[0] - first]) for a in at]
    near = links.close_pairs(stretches[0], stretches[1])
    doubt = _doubt(timeline, photographers.people, one, two)
    odds = links.evidence(
        near, photographers.company[pair], photographers.one_find, photographers.pause_model, doubt
    )
    if photographers.looks is not None:
        parts = _members(timeline, at[0], node[at[0] - first]), _members(timeline, at[1], node[at[1] - first])
        ends = zip(near.one.tolist(), near.two.tolist(), strict=True)
        odds = photographers.looks.links(odds, ends, parts, timeline.true)
    starts = [int(node[a[0] - first]) for a in at]
    wary = _WARY * (1.0 - _both_right(timeline, photographers.people, pair))
    found.add(near.one + starts[0], near.two + starts[1], odds, across=True, wary=wary)


def _members(timeline: Timeline, at: Ints, label: Ints) -> list[Ints]:
    """Rows of each stretch; `label` ascends."""
    return np.split(timeline.order[at], np.flatnonzero(np.diff(label)) + 1)


def _stretches(timeline: Timeline, at: Ints, label: Ints) -> links.Stretches:
    """Start, end (UTC s) and middle x, y, error (m; NaN without a fix) of each stretch; `label` ascends from 0."""
    rows = timeline.order[at]
    times = timeline.true[rows]
    edges = np.flatnonzero(np.diff(label)) + 1
    begin, end = np.concatenate(([0], edges)), np.concatenate((edges, [len(label)])) - 1
    x, y, error = timeline.where.x[rows], timeline.where.y[rows], timeline.where.error[rows]
    known = ~np.isnan(x)
    count = int(label[-1]) + 1
    many = np.bincount(label[known], minlength=count).astype(np.float64)
    many[many == 0] = np.nan
    mean = [np.bincount(label[known], weights=v[known], minlength=count) / many for v in (x, y, error)]
    return links.Stretches(times[begin], times[end], mean[0], mean[1], mean[2])


@dataclass(slots=True)
class _Wishes:
    """What was fixed by hand, by place: held group (-1 none), whether a picture must stand as a node of its own."""

    home: Ints
    edge: Bools
    together: list[tuple[int, int]]
    apart: list[tuple[int, int]]


def _wishes(timeline: Timeline, held: Held, first: int, last: int) -> _Wishes | None:
    if not (held.groups or held.together or held.apart):
        return None
    ids = timeline.columns.ids
    place = {ids[row]: at for at, row in enumerate(timeline.order[first:last].tolist())}
    home = np.full(last - first, -1, np.int64)
    for number, members in enumerate(held.groups.values()):
        for photo in members:
            if photo in place:
                home[place[photo]] = number
    pairs = [
        [(place[a], place[b]) for a, b in wished if a in place and b in place]
        for wished in (held.together, held.apart)
    ]
    edge = np.zeros(last - first, np.bool_)
    for a, b in (*pairs[0], *pairs[1]):
        edge[[a, b]] = True
    return _Wishes(home, edge, pairs[0], pairs[1])


def _heed(wishes: _Wishes, node: Ints, found: Edges) -> None:
    """Held groups are closed: their own nodes must join, and no other may."""
    home_of_node = np.full(int(node.max()) + 1, -1, np.int64)
    home_of_node[node] = wishes.home
    found.forbid_mixed(home_of_node)
    for number in np.unique(wishes.home[wishes.home >= 0]).tolist():
        nodes = np.unique(node[wishes.home == number])
        found.add(nodes[:-1], nodes[1:], np.full(len(nodes) - 1, REQUIRED), across=False)
    for pairs, strength in ((wishes.together, REQUIRED), (wishes.apart, FORBIDDEN)):
        for a, b in pairs:
            if wishes.home[a] < 0 and wishes.home[b] < 0:
                found.add(node[a : a + 1], node[b : b + 1], np.array([strength]), across=False)
