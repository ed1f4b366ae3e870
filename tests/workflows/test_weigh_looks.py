"""The look of the pictures comes after the first proposal and never under her hands."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import pytest

from catalog_gui.catalogue.store import Catalogue
from catalog_gui.domain.photo import Photo, Raster
from catalog_gui.domain.problem import PictureRefused
from catalog_gui.workflows import sorting
from catalog_gui.workflows.foray_memory import ForayMemory
from catalog_gui.workflows.import_photos import fill_content_hashes, take_in
from catalog_gui.workflows.ports import Surroundings
from catalog_gui.workflows.weigh_looks import see_pictures, weigh_looks
from tests.workflows.conftest import FakeFiles, shot

FINDS = 30


def find_of(photo: Photo) -> int:
    return int(photo.name[4:6])


def alike(one: Photo, two: Photo) -> float:
    return float(find_of(one) == find_of(two))


@pytest.fixture
def day() -> FakeFiles:
    """Thirty finds, without positions; a slow act there lasts as long as many a way to the next."""
    photos, second = [], 0.0
    rng = random.Random(18)
    for find in range(FINDS):
        for number in range(rng.choice((3, 4, 5, 6, 7))):
            if not number:
                second += rng.choice([40, 60, 80, 300])
            else:
                second += rng.uniform(35, 80) if rng.random() < 0.1 else rng.uniform(5, 15)
            photos.append(replace(shot(f"IMG_{find:02d}{number}.jpg", second / 60.0), fix=None))
    return FakeFiles(photos)


@pytest.fixture
def taken(records: Catalogue, surroundings: Surroundings, day: FakeFiles) -> tuple[str, object]:
    foray = take_in(records, day, ["/card"], surroundings).foray_id
    with records.read() as work:
        return foray, work.position()


def right(records: Catalogue, foray: str) -> int:
    """How many groups are one find, whole."""
    with records.read() as work:
        photos = {photo.id: photo for photo in work.photos.where(foray_id=foray)}
        groups = work.groups.where(foray_id=foray)
    whole = Counter(find_of(photo) for photo in photos.values())
    shown = [Counter(find_of(photos[p]) for p in g.photos) for g in groups]
    return sum(len(finds) == 1 and finds == Counter({f: whole[f] for f in finds}) for finds in shown)


def weigh(records: Catalogue, foray: str, since: object, surroundings: Surroundings) -> bool:
    with records.step("Weigh in") as work:
        return weigh_looks(work, foray, since, surroundings)


def test_the_looks_refine_the_first_proposal_in_one_step_that_can_be_taken_back(
    records: Catalogue, surroundings: Surroundings, taken: tuple[str, object]
) -> None:
    foray, since = taken
    before = right(records, foray)
    assert before < FINDS
    assert weigh(records, foray, since, replace(surroundings, likeness=alike))
    assert right(records, foray) == FINDS
    with records.read() as work:
        reasons = [join.reason for join in work.joins.where(foray_id=foray)]
    assert any("look unlike" in reason for reason in reasons)
    records.undo()
    assert right(records, foray) == before


def test_fingerprints_in_between_do_not_count(
    records: Catalogue, surroundings: Surroundings, day: FakeFiles, taken: tuple[str, object]
) -> None:
    foray, since = taken
    fill_content_hashes(records, day)
    assert weigh(records, foray, since, replace(surroundings, likeness=alike))


def _settles(records: Catalogue, foray: str, surroundings: Surroundings) -> None:
    with records.step("Settle") as work:
        join = work.joins.where(foray_id=foray)[4]
        sorting.settle_join(work, join.id, True, surroundings)


def _cuts(records: Catalogue, foray: str, surroundings: Surroundings) -> None:
    with records.step("Cut") as work:
        group = max(work.groups.where(foray_id=foray), key=lambda g: len(g.photos))
        sorting.split_before(work, group.photos[1], surroundings)


def _takes_back(records: Catalogue, _foray: str, _surroundings: Surroundings) -> None:
    records.undo()


@pytest.mark.parametrize("she", [_settles, _cuts, _takes_back])
def test_once_she_has_begun_nothing_moves_under_her_hands(
    records: Catalogue,
    surroundings: Surroundings,
    taken: tuple[str, object],
    she: Callable[[Catalogue, str, Surroundings], None],
) -> None:
    foray, since = taken
    she(records, foray, surroundings)
    with records.read() as work:
        before = work.groups.where(foray_id=foray)
    assert not weigh(records, foray, since, replace(surroundings, likeness=alike))
    with records.read() as work:
        assert work.groups.where(foray_id=foray) == before


def test_a_second_card_is_weighed_in_and_what_was_fixed_before_stays(
    records: Catalogue, surroundings: Surroundings, day: FakeFiles
) -> None:
    first = FakeFiles([p for p in day.photos.values() if find_of(p) < 20])
    foray = take_in(records, first, ["/card"], surroundings).foray_id
    with records.step("Accept") as work:
        group = max(work.groups.where(foray_id=foray), key=lambda g: len(g.photos))
        sorting.accept(work, [group.id], surroundings)
    second = FakeFiles([p for p in day.photos.values() if find_of(p) >= 20])
    take_in(records, second, ["/card"], surroundings, foray_id=foray)
    with records.read() as work:
        since = work.position()
        kept = work.groups.get(group.id)
    assert kept is not None
    assert weigh(records, foray, since, replace(surroundings, likeness=alike))
    with records.read() as work:
        assert work.groups.get(group.id) == kept


def test_without_looks_nothing_is_written(
    records: Catalogue, surroundings: Surroundings, taken: tuple[str, object]
) -> None:
    foray, since = taken
    assert not weigh(records, foray, since, surroundings)
    assert not weigh(records, foray, since, replace(surroundings, likeness=lambda _one, _two: None))
    assert [step.label for step in records.steps()] == ["Take in 142 pictures"]


def test_a_correction_after_it_builds_on_it(
    records: Catalogue, surroundings: Surroundings, taken: tuple[str, object]
) -> None:
    foray, since = taken
    seeing, memory = replace(surroundings, likeness=alike), ForayMemory()
    with records.step("Weigh in") as work:
        weigh_looks(work, foray, since, seeing, memory=memory)
    with records.step("Cut") as work:
        group = min(work.groups.where(foray_id=foray), key=lambda g: g.start.timestamp() if g.start else 0)
        sorting.split_before(work, group.photos[1], seeing, memory=memory)
    assert right(records, foray) == FINDS - 1


class Small:
    """Pictures of which some hold a small one, and some are damaged."""

    def __init__(self) -> None:
        self.asked: list[str] = []

    def try_again(self, photo: Photo) -> None:
        pass

    def first_look(self, photo: Photo, edge: int) -> Raster | None:
        self.asked.append(photo.id)
        if photo.id == "bad":
            raise PictureRefused("The file is gone.", path=photo.path)
        return Raster(1, 1, b"abc") if photo.id != "none" else None

    def look(self, photo: Photo, edge: int) -> Raster:
        raise AssertionError("no picture is decoded for it")

    whole = piece = look


def test_every_picture_that_holds_a_small_one_is_seen_and_no_other_is_opened() -> None:
    pictures = Small()
    photos = [Photo(name, f"/{name}.jpg") for name in ("a", "none", "bad", "b")]
    assert see_pictures(pictures, photos, cancelled=lambda: False) == 2  # type: ignore[arg-type]
    assert pictures.asked == ["a", "none", "bad", "b"]
    assert see_pictures(pictures, photos, cancelled=lambda: True) == 0  # type: ignore[arg-type]
