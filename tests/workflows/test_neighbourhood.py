"""Corrections in a long foray: the neighbourhood is proposed anew, the rest stays, and the store has it all."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.foray import NOT_A_SPECIMEN, Group
from catalog_gui.domain.problem import BadInput
from catalog_gui.grouping import propose_near
from catalog_gui.grouping.neighbourhood import REACH
from catalog_gui.workflows import regroup, sorting
from catalog_gui.workflows.foray_memory import ForayMemory
from catalog_gui.workflows.import_photos import take_in
from catalog_gui.workflows.ports import Surroundings, UnitOfWork
from tests.simulated.forays import long_weekend, simulate
from tests.workflows.conftest import FakeFiles, shot
from tests.workflows.test_sorting import check_whole

EVENING = datetime(2025, 12, 18, 18, tzinfo=UTC)


class Walk:
    """A foray in a catalogue, with the memory that a window would have of it."""

    def __init__(self, folder: Path, tier: str, seed: int) -> None:
        count = itertools.count(1)
        self.surroundings = Surroundings(lambda: EVENING, lambda: f"id-{next(count):06d}")
        self.folder = folder
        self.records = open_catalogue(folder, now=lambda: EVENING)
        outing = long_weekend(seed) if tier == "long" else simulate(tier, seed)
        photos = [replace(photo, path=f"/card/{at:05d}.jpg") for at, photo in enumerate(outing.photos)]
        self.foray = take_in(
            self.records, FakeFiles(photos), ["/card"], self.surroundings, time_zone=outing.time_zone
        ).foray_id
        self.memory = ForayMemory()
        self.warm()

    def warm(self) -> None:
        """What the window does when all is quiet."""
        with self.records.read() as work:
            regroup.explain(work, self.foray, self.surroundings, self.memory)

    def groups(self) -> dict[str, Group]:
        with self.records.read() as work:
            return {group.id: group for group in work.groups.where(foray_id=self.foray)}

    def order(self) -> list[str]:
        """Photo ids by group and time, from the start of the walk."""
        groups = sorted(self.groups().values(), key=lambda g: (g.start is None, str(g.start), g.id))
        return [key for group in groups for key in group.photos]

    def check_memory(self) -> None:
        """What is remembered is what is kept, also after closing and opening again."""
        with self.records.read() as work:
            self.memory.catch_up(work, self.foray)
        self.records.close()
        self.records = open_catalogue(self.folder, now=lambda: EVENING)
        fresh = ForayMemory()
        with self.records.read() as work:
            fresh.catch_up(work, self.foray)
        for name in ("photos", "groups", "joins", "clocks", "same_as", "tracks", "specimens"):
            assert getattr(self.memory, name).values == getattr(fresh, name).values, name
        assert self.memory.foray == fresh.foray


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Which way every proposal was made: 'near' or 'whole'."""
    ways: list[str] = []

    def near(*given: object) -> object:
        ways.append("near")
        return propose_near(*given)  # type: ignore[arg-type]

    whole = regroup._ask

    def all_of_it(*given: object) -> object:
        ways.append("whole")
        return whole(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(regroup, "propose_near", near)
    monkeypatch.setattr(regroup, "_ask", all_of_it)
    return ways


@pytest.fixture(params=[("pair, 3 cameras", 3), ("camera and phone", 5), ("long", 700)], ids=lambda p: p[0])
def walk(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Walk]:
    made = Walk(tmp_path / "catalogue", *request.param)
    yield made
    made.records.close()


def correct(walk: Walk, work: UnitOfWork, rng: random.Random) -> tuple[str, list[str]]:
    """One correction somewhere; its kind, and the photos it names."""
    s, m = walk.surroundings, walk.memory
    groups = sorted(work.groups.where(foray_id=walk.foray), key=lambda g: (str(g.start), g.id))
    at = rng.randrange(1, len(groups) - 1)
    group = groups[at]
    kind = rng.choice(["cut", "join", "lift", "move", "settle", "tray", "back"])
    if kind == "cut" and len(group.photos) > 1:
        photo = rng.choice(group.photos[1:])
        sorting.split_before(work, photo, s, memory=m)
        return kind, list(group.photos)
    if kind == "join":
        sorting.join_groups(work, [groups[at - 1].id, group.id], s, memory=m)
        return kind, [*groups[at - 1].photos, *group.photos]
    if kind == "move":
        sorting.move_photos(work, group.photos[:1], groups[at + 1].id, s, memory=m)
        return kind, [*group.photos, *groups[at + 1].photos]
    if kind == "settle":
        joins = work.joins.where(foray_id=walk.foray)
        join = rng.choice([j for j in joins if j.settled is None])
        sorting.settle_join(work, join.id, rng.random() < 0.5, s, memory=m)
        return kind, [join.before, join.after]
    if kind == "tray":
        sorting.set_aside(work, group.photos[:1], s, memory=m)
        return kind, list(group.photos)
    tray = [photo for photo in work.photos.where(foray_id=walk.foray) if photo.aside == NOT_A_SPECIMEN]
    if kind == "back" and tray:
        back = rng.choice(tray)
        sorting.bring_back(work, [back.id], s, memory=m)
        now = work.photos.get(back.id)
        home = work.groups.get(now.group_id) if now is not None else None
        return kind, list(home.photos) if home is not None else [back.id]
    sorting.move_photos(work, group.photos[-1:], "", s, memory=m)
    return "lift", list(group.photos)


def test_what_she_fixed_stands_and_what_is_far_does_not_move(walk: Walk, asked: list[str]) -> None:
    """A day of corrections, some taken back: fixed groups stay to the letter, far ones are not touched."""
    rng = random.Random(7)
    for turn in range(24):
        before, order = walk.groups(), walk.order()
        held = {key: g for key, g in before.items() if g.held}
        asked.clear()
        with walk.records.step("correct") as work:
            kind, named = correct(walk, work, rng)
        assert asked == ["near"], kind
        after = walk.groups()
        check_whole(walk.records, walk.foray)
        touched = {order.index(key) for key in named if key in order}
        for key, group in held.items():
            if touched.isdisjoint(map(order.index, group.photos)):
                assert after[key].photos == group.photos
        changed = [g for key, g in before.items() if after.get(key) != g]
        reach = REACH + 3 * max(len(g.photos) for g in (*before.values(), *after.values()))
        for group in changed:
            places = [order.index(key) for key in group.photos]
            assert min(places) <= max(touched) + reach
            assert max(places) >= min(touched) - reach
        if turn % 5 == 4:
            walk.records.undo()
            assert walk.groups() == before
            walk.warm()
        if turn % 8 == 7:
            walk.check_memory()
    walk.check_memory()


@pytest.mark.parametrize("seed", [3, 4, 5, 6])
def test_near_and_whole_agree_where_nothing_else_is_open(tmp_path: Path, seed: int) -> None:
    """The same corrections with and without a memory: she gets the same groups."""
    results = []
    for remembers in (True, False):
        walk = Walk(tmp_path / f"catalogue-{remembers}", "camera and phone", 5)
        rng = random.Random(seed)
        for _ in range(8):
            if not remembers:
                walk.memory = ForayMemory()
            with walk.records.step("correct") as work:
                correct(walk, work, rng)
        with walk.records.read() as work:
            path = {photo.id: photo.path for photo in work.photos.where(foray_id=walk.foray)}
        results.append({tuple(path[key] for key in group.photos) for group in walk.groups().values()})
        walk.records.close()
    assert results[0] == results[1]


def test_a_step_that_fails_leaves_nothing_in_the_memory(walk: Walk) -> None:
    group = next(g for g in walk.groups().values() if len(g.photos) > 1)
    before = walk.groups()

    def fails() -> None:
        with walk.records.step("fails") as work:
            sorting.split_before(work, group.photos[1], walk.surroundings, memory=walk.memory)
            raise BadInput("Something else went wrong.")

    with pytest.raises(BadInput):
        fails()
    assert walk.groups() == before
    walk.check_memory()
    with walk.records.step("again") as work:
        sorting.split_before(work, group.photos[1], walk.surroundings, memory=walk.memory)
    check_whole(walk.records, walk.foray)
    walk.check_memory()


def test_what_others_did_meanwhile_is_noticed(walk: Walk, asked: list[str]) -> None:
    """A fingerprint leaves the proposal standing; a late card, a clock and a track do not."""
    group = next(g for g in walk.groups().values() if len(g.photos) > 3)
    other: Catalogue = walk.records.another()
    with other.step("Fingerprint pictures", undoable=False) as work:
        photo = work.photos.get(group.photos[0])
        assert photo is not None
        work.photos.put(replace(photo, content_hash="0" * 64))
    asked.clear()
    with walk.records.step("cut") as work:
        sorting.split_before(work, group.photos[2], walk.surroundings, memory=walk.memory)
    assert asked == ["near"]
    with other.read() as work:
        clock = work.clocks.where(foray_id=walk.foray)[0]
    with other.step("clock") as work:
        sorting.set_clock(work, clock.id, clock.offset_s + 90, walk.surroundings)
    asked.clear()
    with walk.records.step("join") as work:
        first = work.photos.get(group.photos[0])
        third = work.photos.get(group.photos[2])
        assert first is not None
        assert third is not None
        sorting.join_groups(work, [first.group_id, third.group_id], walk.surroundings, memory=walk.memory)
    assert asked == ["whole"]
    late = FakeFiles([shot("LATE_1.jpg", 3.0), shot("LATE_2.jpg", 3.2)])
    take_in(other, late, ["/card"], walk.surroundings, foray_id=walk.foray)
    asked.clear()
    with walk.records.step("cut again") as work:
        sorting.split_before(work, group.photos[1], walk.surroundings, memory=walk.memory)
    assert asked == ["whole"]
    other.close()
    check_whole(walk.records, walk.foray)
    walk.check_memory()


def test_pictures_without_a_time_are_corrected_as_well(tmp_path: Path) -> None:
    """They stand in no order: joined, moved and lifted out they stay where she put them."""
    walk = Walk(tmp_path / "catalogue", "easy phone", 2)
    timeless = replace(
        shot("X_1.jpg", 0), written=replace(shot("X_1.jpg", 0).written, local=None, raw=""), fix=None
    )
    take_in(walk.records, FakeFiles([timeless]), ["/card"], walk.surroundings, foray_id=walk.foray)
    walk.warm()
    with walk.records.read() as work:
        lost = next(p for p in work.photos.where(foray_id=walk.foray) if p.name == "X_1.jpg")
    assert lost.aside
    target = next(iter(walk.groups().values()))
    with walk.records.step("move") as work:
        sorting.move_photos(work, [lost.id], target.id, walk.surroundings, memory=walk.memory)
    check_whole(walk.records, walk.foray)
    assert lost.id in walk.groups()[target.id].photos
    late = list(walk.groups().values())[-1]
    with walk.records.step("cut") as work:
        if len(late.photos) > 1:
            sorting.split_before(work, late.photos[1], walk.surroundings, memory=walk.memory)
    assert lost.id in walk.groups()[target.id].photos
    with walk.records.step("lift") as work:
        own = sorting.move_photos(work, [lost.id], "", walk.surroundings, memory=walk.memory)
    assert walk.groups()[own].photos == (lost.id,)
    check_whole(walk.records, walk.foray)
    walk.check_memory()
    walk.records.close()
