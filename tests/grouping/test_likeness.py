"""The look as evidence: learnt from the foray itself, bounded, silent where it tells nothing."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

from catalog_gui.domain.photo import Photo
from catalog_gui.grouping import Held, Proposal, propose, propose_near
from catalog_gui.grouping.columns import Floats, Ints
from catalog_gui.grouping.inputs import Likeness
from catalog_gui.grouping.likeness import MOST, MOST_ACROSS, Looks, learn_looks
from catalog_gui.grouping.revisits import Revisit
from tests.benchmarks.grouping.scoring import as_shown, corrections
from tests.grouping.walks import photo, stop_times, walk
from tests.simulated.forays import simulate


def doubtful_day() -> tuple[list[Photo], dict[str, int]]:
    """Sixty finds; a slow act there lasts as long as many a way to the next. Also which find each picture shows."""
    photos, look, now = [], {}, 0.0
    rng = random.Random(6)
    for find in range(60):
        for shot in range(rng.choice((3, 4, 5, 6, 7))):
            if not shot:
                now += rng.choice([40.0, 60.0, 80.0, 300.0])
            else:
                now += rng.uniform(35, 80) if rng.random() < 0.1 else rng.uniform(5, 15)
            name = f"d{find:02d}-{shot}"
            photos.append(photo(name, now))
            look[name] = find
    return photos, look


def told_by(look: dict[str, int]) -> Likeness:
    return lambda one, two: float(look[one.id] == look[two.id])


def joined(proposal: Proposal) -> list[float]:
    return [join.probability for join in proposal.joins]


class TestProposal:
    def test_a_telling_look_answers_doubtful_joins(self) -> None:
        photos, look = doubtful_day()
        plain, seen = propose(photos), propose(photos, likeness=told_by(look))
        assert wrong(seen, shown(look)) < wrong(plain, shown(look)) / 3

    @pytest.mark.parametrize("value", [0.5, 0.1, None, math.nan, math.inf, -3.0])
    def test_a_look_that_tells_nothing_changes_nothing(self, value: float | None) -> None:
        photos, _ = doubtful_day()
        plain, seen = propose(photos), propose(photos, likeness=lambda _one, _two: value)
        assert joined(seen) == joined(plain)
        assert seen.groups == plain.groups

    def test_a_look_that_says_the_opposite_changes_nothing(self) -> None:
        photos, look = doubtful_day()
        seen = propose(photos, likeness=lambda one, two: -told_by(look)(one, two))  # type: ignore[operator]
        assert joined(seen) == joined(propose(photos))

    def test_half_of_the_looks_missing_still_helps_the_others(self) -> None:
        photos, look = doubtful_day()
        known = {p.id for p in photos if look[p.id] % 2 == 0 or look[p.id] > 30}
        tell = told_by(look)
        seen = propose(photos, likeness=lambda a, b: tell(a, b) if a.id in known and b.id in known else None)
        every = propose(photos, likeness=tell)
        assert wrong(every, shown(look)) < wrong(seen, shown(look)) < wrong(propose(photos), shown(look))

    def test_the_order_of_the_photos_does_not_matter(self) -> None:
        outing = simulate("club, 5 cameras", 3)
        shuffled = list(outing.photos)
        random.Random(1).shuffle(shuffled)
        one = propose(outing.photos, likeness=told_by(numbered(outing.label)))
        two = propose(shuffled, likeness=told_by(numbered(outing.label)))
        assert one.groups == two.groups
        assert joined(one) == pytest.approx(joined(two))

    def test_it_speaks_across_photographers(self) -> None:
        without = with_it = 0
        for seed in range(4):
            outing = simulate("club, 5 cameras", seed)
            tell = told_by(numbered(outing.label))
            without += wrong(propose(outing.photos), outing.label)
            with_it += wrong(propose(outing.photos, likeness=tell), outing.label)
        assert with_it < 0.85 * without

    def test_a_correction_by_hand_keeps_the_look_in_mind(self) -> None:
        photos, look = doubtful_day()
        before = propose(photos, likeness=told_by(look))
        held = Held(apart=((photos[0].id, photos[1].id),))
        near = propose_near(before, held, [photos[0].id, photos[1].id])
        again = propose(photos, likeness=told_by(look), held=held)
        assert [g.photos for g in near.groups] == [g.photos for g in again.groups]
        assert len(near.groups) == len(before.groups) + 1

    def test_what_is_fixed_by_hand_stays_however_unlike_it_looks(self) -> None:
        photos, look = doubtful_day()
        pair = (photos[2].id, photos[-1].id)
        seen = propose(photos, likeness=told_by(look), held=Held(groups={"mine": pair}))
        assert next(g.photos for g in seen.groups if g.held == "mine") == pair

    def test_a_join_says_so_in_words(self) -> None:
        photos, look = doubtful_day()
        seen = propose(photos, likeness=told_by(look))
        told = [join for join in seen.joins if "look" in join.reason]
        assert len(told) > 20
        right = 0
        for join in told:
            alike = look[join.before] == look[join.after]
            right += join.reason.endswith("the pictures look alike" if alike else "the pictures look unlike")
        assert right > 0.8 * len(
            told
        )  # a few pictures on either side have a say, and some of them are the next find's
        assert not any("look" in join.reason for join in propose(photos).joins)


def numbered(label: dict[str, str]) -> dict[str, int]:
    number = {name: index for index, name in enumerate(sorted(set(label.values())))}
    return {key: number[name] for key, name in label.items()}


def shown(look: dict[str, int]) -> dict[str, str]:
    return {name: str(find) for name, find in look.items()}


def wrong(proposal: Proposal, label: dict[str, str]) -> int:
    groups = as_shown(proposal)
    return corrections(groups, label)


def stream(
    finds: int, shots: int, *, leave: float = -6.0
) -> tuple[list[Photo], Ints, Floats, dict[str, int]]:
    """Pictures of finds one after another, `shots` each: rows, log odds of the steps, and what each shows."""
    photos = [photo(f"{find:03d}-{shot}", 0.0) for find in range(finds) for shot in range(shots)]
    odds = np.array([6.0 if (at + 1) % shots else leave for at in range(len(photos) - 1)])
    return photos, np.arange(len(photos)), odds, {p.id: int(p.id[:3]) for p in photos}


class TestRevisits:
    """Coming back to a find: fixes make the offer, the look makes it likelier, or withdraws it."""

    def offered(self, likeness: Likeness | None) -> Revisit | None:
        photos = walk(12)
        later = stop_times(12)[-1] + 2400
        again = [photo(f"r02-{n}", later + s, at=(80.0, 1.0)) for n, s in enumerate((0, 8, 15, 24))]
        proposal = propose([*photos, *again], likeness=likeness)
        back = next(g for g in proposal.groups if "r02-0" in g.photos)
        first = next(g for g in proposal.groups if "p02-0" in g.photos)
        pair = proposal.groups.index(first), proposal.groups.index(back)
        offers = [o for o in proposal.revisits if (o.earlier, o.later) == pair]
        return offers[0] if offers else None

    def test_like_pictures_make_it_likelier_and_unlike_ones_less(self) -> None:
        plain = self.offered(None)
        like = self.offered(lambda one, two: float(one.id[1:3] == two.id[1:3]))
        unlike = self.offered(lambda one, two: float(one.id[:3] == two.id[:3]))
        assert plain is not None
        assert like is not None
        assert like.probability > plain.probability
        assert "the pictures look alike" in like.reason
        assert unlike is None or unlike.probability < plain.probability
        assert "look" not in plain.reason

    def test_it_is_bounded(self) -> None:
        plain, like = self.offered(None), self.offered(lambda one, two: float(one.id[1:3] == two.id[1:3]))
        assert plain is not None
        assert like is not None
        odds = [math.log(o.probability / (1 - o.probability)) for o in (plain, like)]
        assert odds[1] - odds[0] <= MOST + 1e-9

    def test_a_look_that_tells_nothing_leaves_the_offer(self) -> None:
        assert self.offered(lambda _one, _two: 0.5) == self.offered(None)


class TestLooks:
    def learnt(self, odds: Floats, photos: list[Photo], likeness: Likeness) -> Looks:
        rows = np.arange(len(photos))
        looks = learn_looks(photos, np.zeros(len(photos), np.int64), [(rows, odds)], likeness)
        assert looks is not None
        return looks

    def test_open_steps_move_by_no_more_than_the_bound_and_sure_ones_not_at_all(self) -> None:
        photos, rows, odds, look = stream(40, 4)
        looks = self.learnt(odds, photos, told_by(look))
        asked = odds.copy()
        asked[3:40:4] = np.linspace(-2.5, 2.5, 10)
        weighed = looks.steps(rows, asked)
        moved = weighed - asked
        opened = np.abs(asked) < 3.0
        assert (moved[~opened] == 0.0).all()
        assert moved[opened] == pytest.approx(-MOST)

    def test_links_across_are_bounded_more_tightly(self) -> None:
        photos, rows, odds, look = stream(40, 4)
        looks = self.learnt(odds, photos, told_by(look))
        parts = ([rows[:4], rows[4:8]], [rows[0:2], rows[9:10]])
        before = np.array([0.5, 0.5, 5.0])
        after = looks.links(before, [(0, 0), (1, 1), (0, 0)], parts, np.arange(len(rows), dtype=np.float64))
        assert after - before == pytest.approx([MOST_ACROSS, -MOST_ACROSS, 0.0])

    def test_too_few_sure_steps_teach_nothing(self) -> None:
        photos, rows, odds, look = stream(6, 5)
        assert learn_looks(photos, np.zeros(30, np.int64), [(rows, odds)], told_by(look)) is None
        assert learn_looks([], np.zeros(0, np.int64), [], told_by(look)) is None

    def test_a_weak_look_is_worth_little(self) -> None:
        photos, rows, odds, look = stream(200, 4)
        tell = told_by(look)

        def faint(one: Photo, two: Photo) -> float:
            return 0.2 * (tell(one, two) or 0.0) + random.Random(one.id + two.id).gauss(0.0, 1.0)

        looks = self.learnt(odds, photos, faint)
        opened = odds.copy()
        opened[3::8] = 0.0
        moved = (looks.steps(rows, opened) - opened)[3::8]
        assert np.abs(moved).mean() < 0.5

    def test_the_colours_of_a_camera_of_its_own_do_not_count(self) -> None:
        photos, rows, odds, look = stream(100, 4)
        body = rows % 2
        tell = told_by(look)

        def tinted(one: Photo, two: Photo) -> float:
            same = int(one.id[-1]) % 2 == int(two.id[-1]) % 2
            return (tell(one, two) or 0.0) - (0.0 if same else 0.6)

        looks = learn_looks(photos, body, [(rows, odds)], tinted)
        assert looks is not None
        across, within = looks.between([0], [1]), looks.between([0], [2])
        assert across == pytest.approx(within, abs=0.1)
        strangers = looks.between([0], [41]), looks.between([0], [42])
        assert strangers[0] == pytest.approx(strangers[1], abs=0.1)
        assert within > strangers[1] + 0.8
