"""The proposal as a whole: every photo once, groups, joins, what was fixed by hand, neighbourhoods."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_gui.domain.photo import Photo
from catalog_gui.grouping import Held, Proposal, propose, propose_near
from catalog_gui.grouping.by_clock import photos_by_clock
from tests.grouping.walks import CAMERA, photo, second_camera, spot, stop_times, walk
from tests.simulated.forays import simulate


def groups_of(proposal: Proposal) -> list[set[str]]:
    return [set(group.photos) for group in proposal.groups]


def finds(photos: list[Photo]) -> list[set[str]]:
    """The true groups of `walk` and `second_camera`: by the number of the stop in the name."""
    names = sorted({p.id[1:3] for p in photos})
    return [{p.id for p in photos if p.id[1:3] == name} for name in names]


def everything_once(proposal: Proposal, photos: list[Photo]) -> None:
    seen = [p for group in proposal.groups for p in group.photos] + [r.photo for r in proposal.left_out]
    assert sorted(seen) == sorted(p.id for p in photos)
    grouped = sum(len(group.photos) for group in proposal.groups)
    assert len(proposal.joins) == max(0, grouped - 1)
    assert all(0.0 <= join.probability <= 1.0 for join in proposal.joins)


def test_a_plain_walk_gives_its_finds() -> None:
    photos = walk(8)
    proposal = propose(photos)
    everything_once(proposal, photos)
    assert groups_of(proposal) == finds(photos)


def test_groups_are_in_order_with_time_and_place() -> None:
    proposal = propose(walk(5))
    starts = [group.start for group in proposal.groups]
    assert starts == sorted(starts, key=lambda s: s.timestamp() if s else 0.0)
    for index, group in enumerate(proposal.groups):
        assert group.start is not None
        assert group.start.tzinfo is not None
        assert group.place is not None
        here = spot(40.0 * index, 1.5)
        assert group.place.position.latitude == pytest.approx(here.latitude, abs=3e-5)
        assert group.place.position.longitude == pytest.approx(here.longitude, abs=3e-5)
        assert group.place.uncertainty_m > 3.0


def test_two_cameras_at_the_same_finds_share_groups() -> None:
    photos = walk(14) + second_camera(14, 0.0)
    proposal = propose(photos, time_zone="Europe/Berlin")
    assert groups_of(proposal) == finds(photos)


def test_the_order_of_the_input_does_not_matter() -> None:
    photos = walk(9) + second_camera(9, 3633.0)
    plain = propose(photos)
    for seed in range(3):
        mixed = photos[:]
        random.Random(seed).shuffle(mixed)
        other = propose(mixed)
        assert other.groups == plain.groups
        assert other.joins == plain.joins
        assert other.clocks == plain.clocks


def test_minimal_photos_are_enough() -> None:
    photos = [
        Photo(
            p.id,
            p.path,
            p.camera,
            replace(p.written, raw="", offset=None),
            p.fix and replace(p.fix, error_m=None),
        )
        for p in walk(6)
    ]
    assert groups_of(propose(photos)) == finds(photos)


def test_joins_name_their_evidence() -> None:
    proposal = propose(walk(3))
    first = proposal.joins[0]
    assert first.probability > 0.9
    assert "8 s later" in first.reason
    assert "m away" in first.reason
    between = proposal.joins[4]
    assert between.probability < 0.1
    assert "min later" in between.reason


def test_doubtful_joins_come_least_certain_first() -> None:
    photos = [photo(f"p{k}", s) for k, s in enumerate((0, 9, 18, 55, 64, 70, 300, 309, 345, 352, 800, 806))]
    doubtful = propose(photos).doubtful
    sure = [abs(join.probability - 0.5) for join in doubtful]
    assert sure == sorted(sure)


class TestHeld:
    def test_a_held_group_is_kept_exactly_when_pictures_are_added(self) -> None:
        photos = walk(6)
        mine = (photos[1].id, photos[7].id, photos[12].id)
        held = Held(groups={"mine": mine})
        late = [*photos, photo("late", 10.0, at=(0.0, 0.0)), *second_camera(6, 0.0)]
        for proposal in (propose(photos, held=held), propose(late, held=held)):
            group = next(g for g in proposal.groups if g.held == "mine")
            assert set(group.photos) == set(mine)
        everything_once(propose(late, held=held), late)

    def test_joins_inside_and_beside_a_held_group_are_settled(self) -> None:
        photos = walk(4)
        held = Held(groups={"mine": (photos[0].id, photos[1].id)})
        joins = propose(photos, held=held).joins
        assert joins[0].settled is True
        assert joins[1].settled is False
        assert joins[2].settled is None

    def test_pairs_put_together_or_apart_stay_so(self) -> None:
        photos = walk(5)
        held = Held(together=((photos[4].id, photos[5].id),), apart=((photos[11].id, photos[12].id),))
        groups = groups_of(propose(photos, held=held))
        assert any({photos[4].id, photos[5].id} <= group for group in groups)
        assert not any({photos[11].id, photos[12].id} <= group for group in groups)

    def test_apart_holds_for_pictures_that_are_not_neighbours(self) -> None:
        photos = walk(3)
        held = Held(apart=((photos[0].id, photos[4].id),))
        assert not any({photos[0].id, photos[4].id} <= g for g in groups_of(propose(photos, held=held)))

    def test_set_aside_pictures_get_no_group(self) -> None:
        photos = walk(3)
        proposal = propose(photos, held=Held(aside=frozenset({photos[2].id})))
        assert [r.photo for r in proposal.left_out] == [photos[2].id]
        everything_once(proposal, photos)

    def test_a_clock_set_by_hand_is_not_moved(self) -> None:
        photos = walk(10) + second_camera(10, 0.0)
        proposal = propose(photos, held=Held(clocks={CAMERA.key: -7000.0}))
        clock = next(c for c in proposal.clocks if c.camera_key == CAMERA.key)
        assert (clock.offset_s, clock.by_hand, clock.settled) == (-7000.0, True, True)

    def test_a_held_group_keeps_a_picture_without_time(self) -> None:
        photos = walk(3)
        lost = replace(photos[0], id="lost", written=replace(photos[0].written, local=None), fix=None)
        held = Held(groups={"mine": (photos[0].id, "lost")})
        proposal = propose([*photos, lost], held=held)
        assert next(g for g in proposal.groups if g.held == "mine").photos == (photos[0].id, "lost")

    @settings(max_examples=40, deadline=None)
    @given(st.data())
    def test_whatever_is_held_is_kept(self, data: st.DataObject) -> None:
        photos = walk(5) + second_camera(5, 3600.0)
        ids = [p.id for p in photos]
        chosen = data.draw(st.lists(st.sampled_from(ids), unique=True, max_size=12))
        cut = data.draw(st.integers(0, len(chosen)))
        aside = frozenset(data.draw(st.lists(st.sampled_from(ids), unique=True, max_size=4))) - set(chosen)
        groups = {
            name: part for name, part in (("a", tuple(chosen[:cut])), ("b", tuple(chosen[cut:]))) if part
        }
        proposal = propose(photos, held=Held(groups=groups, aside=aside))
        everything_once(proposal, photos)
        for name, part in groups.items():
            assert set(next(g for g in proposal.groups if g.held == name).photos) == set(part)
        assert {r.photo for r in proposal.left_out} == aside


class TestNeighbourhood:
    def test_a_correction_reckons_as_the_whole_does(self) -> None:
        photos = walk(60) + second_camera(60, 0.0)
        before = propose(photos, time_zone="Europe/Berlin")
        held = Held(apart=((photos[100].id, photos[101].id),))
        near = propose_near(before, held, [photos[100].id, photos[101].id])
        whole = propose(photos, held=held, time_zone="Europe/Berlin")
        assert groups_of(near) == groups_of(whole)
        assert [j.probability for j in near.joins] == pytest.approx([j.probability for j in whole.joins])

    def test_far_groups_stay_as_they_are(self) -> None:
        photos = walk(80)
        before = propose(photos)
        held = Held(groups={"mine": (photos[0].id, photos[8].id)})
        near = propose_near(before, held, [photos[0].id, photos[8].id])
        assert near.groups[-40:] == before.groups[-40:]
        assert set(next(g for g in near.groups if g.held == "mine").photos) == {photos[0].id, photos[8].id}

    def test_nothing_touched_changes_nothing(self) -> None:
        before = propose(walk(4))
        assert propose_near(before, Held(), []).groups == before.groups
        assert propose_near(Proposal(), Held(), ["x"]).groups == ()


class TestTheTray:
    """What she sets aside leaves its group, and nothing else moves but what lay beside it."""

    @pytest.mark.parametrize("tier", ["easy phone", "camera and phone", "pair, 3 cameras", "club, 5 cameras"])
    def test_setting_aside_moves_no_clock_and_nothing_far_away(self, tier: str) -> None:
        photos = simulate(tier, 11).photos
        before = propose(photos)
        gone = before.groups[len(before.groups) // 2].photos[0]
        held = Held(aside=frozenset({gone}))
        after = propose(photos, held=held)
        assert after.clocks == tuple(
            replace(c, photos=c.photos - (gone in photos_by_clock(before)[c.camera_key]))
            for c in before.clocks
        )
        assert {r.photo for r in after.left_out} - {r.photo for r in before.left_out} == {gone}
        assert {p for g in after.groups for p in g.photos} == {p for g in before.groups for p in g.photos} - {
            gone
        }
        order = list(before.times)
        at = order.index(gone)
        near = set(order[max(0, at - 150) : at + 150])
        far = {(j.before, j.after): j for j in before.joins if not near & {j.before, j.after}}
        assert far
        assert all(j == far.get((j.before, j.after), j) for j in after.joins)

    @pytest.mark.parametrize("tier", ["easy phone", "camera and phone", "pair, 3 cameras", "club, 5 cameras"])
    def test_near_it_is_the_same_as_for_the_whole_and_brought_back_all_is_as_before(self, tier: str) -> None:
        photos = simulate(tier, 12).photos
        before = propose(photos)
        gone = frozenset(p for g in before.groups[3:5] for p in g.photos[:2])
        near = propose_near(before, Held(aside=gone), gone)
        whole = propose(photos, held=Held(aside=gone))
        assert near.groups == whole.groups
        assert [(j.before, j.after, j.reason) for j in near.joins] == [
            (j.before, j.after, j.reason) for j in whole.joins
        ]
        # Across photographers a near proposal weighs what its stretch holds.
        assert [j.probability for j in near.joins] == pytest.approx(
            [j.probability for j in whole.joins], abs=1e-3
        )
        assert near.left_out == whole.left_out
        assert near.clocks == whole.clocks
        back = propose_near(near, Held(), gone)
        assert back.groups == before.groups
        assert [(j.before, j.after) for j in back.joins] == [(j.before, j.after) for j in before.joins]
        assert [j.probability for j in back.joins] == pytest.approx(
            [j.probability for j in before.joins], abs=1e-3
        )

    def test_a_whole_card_set_aside_and_brought_back(self) -> None:
        photos = walk(3)
        everything = frozenset(p.id for p in photos)
        before = propose(photos)
        empty = propose_near(before, Held(aside=everything), everything)
        assert empty.groups == empty.joins == empty.clocks == ()
        assert {r.photo for r in empty.left_out} == everything
        assert propose_near(empty, Held(), everything).groups == before.groups


class TestRevisits:
    def test_a_find_come_back_to_is_offered_not_joined(self) -> None:
        photos = walk(8)
        later = stop_times(8)[-1] + 2400
        again = [photo(f"r{n}", later + s, at=(80.0, 1.0)) for n, s in enumerate((0, 8, 15))]
        proposal = propose(photos + again)
        back = next(g for g in proposal.groups if "r0" in g.photos)
        assert set(back.photos) == {"r0", "r1", "r2"}
        first = next(g for g in proposal.groups if "p02-0" in g.photos)
        later = proposal.groups.index(back)
        offer = max((o for o in proposal.revisits if o.later == later), key=lambda o: o.probability)
        assert proposal.groups[offer.earlier] == first
        assert "same place" in offer.reason

    def test_a_bench_at_home_is_offered_in_the_order_of_the_day(self) -> None:
        photos = walk(4)
        home = [
            photo(f"h{k}-{n}", 8 * 3600 + 300.0 * k + 9 * n, at=(9000.0, 4000.0))
            for k in range(4)
            for n in range(3)
        ]
        proposal = propose(photos + home)
        at_home = [g for g in proposal.groups if g.photos[0].startswith("h")]
        assert len(at_home) == 4
        offers = {proposal.groups[o.later].photos: proposal.groups[o.earlier] for o in proposal.revisits}
        field = [g for g in proposal.groups if g.photos[0].startswith("p")]
        assert [offers[g.photos] for g in at_home] == field
