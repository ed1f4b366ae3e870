"""Sorting by hand: what she fixes stays fixed, and everything can be taken back."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_gui.catalogue.store import Catalogue
from catalog_gui.domain.foray import NOT_A_SPECIMEN, Group
from catalog_gui.domain.photo import Camera
from catalog_gui.domain.problem import BadInput
from catalog_gui.workflows import sorting
from catalog_gui.workflows.import_photos import take_in
from catalog_gui.workflows.ports import Surroundings
from catalog_gui.workflows.regroup import propose_again
from tests.workflows.conftest import NOON, WALK, FakeFiles, shot


@pytest.fixture
def foray(records: Catalogue, surroundings: Surroundings) -> str:
    return take_in(records, FakeFiles(WALK), ["/card"], surroundings).foray_id


def groups_of(records: Catalogue, foray: str) -> list[Group]:
    with records.read() as work:
        return sorted(work.groups.where(foray_id=foray), key=lambda g: (g.start or NOON).timestamp())


def check_whole(records: Catalogue, foray: str) -> None:
    """Every photo is in exactly one group or in the tray, and knows it."""
    with records.read() as work:
        photos = work.photos.where(foray_id=foray)
        of_group = {key: group.id for group in work.groups.where(foray_id=foray) for key in group.photos}
        total = sum(len(group.photos) for group in work.groups.where(foray_id=foray))
    assert total == len(of_group)
    for photo in photos:
        assert photo.group_id == of_group.get(photo.id, "")
        assert bool(photo.group_id) != bool(photo.aside)


def test_cut_join_and_back(records: Catalogue, surroundings: Surroundings, foray: str) -> None:
    first, second, _ = groups_of(records, foray)
    with records.step("cut") as work:
        sorting.split_before(work, first.photos[2], surroundings)
    assert [len(group.photos) for group in groups_of(records, foray)] == [2, 2, 3, 2]
    check_whole(records, foray)
    with records.step("again") as work:
        propose_again(work, foray, surroundings)
    assert [len(group.photos) for group in groups_of(records, foray)] == [2, 2, 3, 2]
    cut = groups_of(records, foray)
    with records.step("join") as work:
        sorting.join_groups(work, [cut[1].id, second.id], surroundings)
    assert [len(group.photos) for group in groups_of(records, foray)] == [2, 5, 2]
    check_whole(records, foray)
    records.undo()
    records.undo()
    assert groups_of(records, foray) == [first, second, groups_of(records, foray)[2]]


def test_first_picture_cannot_be_cut_off(records: Catalogue, surroundings: Surroundings, foray: str) -> None:
    first = groups_of(records, foray)[0]
    with pytest.raises(BadInput, match="nothing before it"), records.step("cut") as work:
        sorting.split_before(work, first.photos[0], surroundings)
    check_whole(records, foray)


def test_aside_and_back(records: Catalogue, surroundings: Surroundings, foray: str) -> None:
    first = groups_of(records, foray)[0]
    with records.step("aside") as work:
        sorting.set_aside(work, first.photos[:2], surroundings)
    with records.read() as work:
        assert {photo.aside for photo in work.photos.where(id=first.photos[:2])} == {NOT_A_SPECIMEN}
    check_whole(records, foray)
    with records.step("back") as work:
        sorting.bring_back(work, first.photos[:2], surroundings)
    check_whole(records, foray)
    with records.read() as work:
        assert all(photo.group_id for photo in work.photos.where(id=first.photos[:2]))


def test_move_to_another_and_to_one_of_its_own(
    records: Catalogue, surroundings: Surroundings, foray: str
) -> None:
    _first, second, third = groups_of(records, foray)
    with records.step("move") as work:
        sorting.move_photos(work, third.photos, second.id, surroundings)
    assert [len(group.photos) for group in groups_of(records, foray)] == [4, 5]
    with records.step("lift") as work:
        own = sorting.move_photos(work, [second.photos[1]], "", surroundings)
    with records.read() as work:
        lifted = work.groups.get(own)
    assert lifted is not None
    assert lifted.photos == (second.photos[1],)
    check_whole(records, foray)


def test_accepting_gives_numbers_for_life_and_tasks(
    records: Catalogue, surroundings: Surroundings, foray: str
) -> None:
    first, second, _ = groups_of(records, foray)
    with records.step("accept") as work:
        made = sorting.accept(work, [second.id, first.id], surroundings, collector="Bramble Oake")
    with records.read() as work:
        numbers = [work.specimens.get(key) for key in made]
        tasks = work.tasks.where(specimen_id=made[0])
    assert [specimen.number for specimen in numbers if specimen] == ["2025-001", "2025-002"]
    assert numbers[0] is not None
    assert numbers[0].place is not None
    assert numbers[0].collected_at == first.start
    assert {"smell", "print", "ring"} <= {task.kind for task in tasks}
    smell = next(task for task in tasks if task.kind == "smell")
    assert first.start is not None
    assert smell.due == first.start + timedelta(hours=4)
    with records.step("again") as work:
        assert sorting.accept(work, [first.id], surroundings) == ()
        assert sorting.next_number(work, "", 2025) == "2025-003"
        assert sorting.next_number(work, "AB", 2025) == "AB-2025-001"


def test_two_specimens_are_not_joined_by_accident(
    records: Catalogue, surroundings: Surroundings, foray: str
) -> None:
    first, second, third = groups_of(records, foray)
    with records.step("accept") as work:
        sorting.accept(work, [first.id, second.id], surroundings)
    with pytest.raises(BadInput, match="two specimens"), records.step("join") as work:
        sorting.join_groups(work, [first.id, second.id], surroundings)
    with pytest.raises(BadInput, match="without any picture"), records.step("aside") as work:
        sorting.set_aside(work, first.photos, surroundings)
    with records.step("same") as work:
        kept = work.groups.get(first.id)
        assert kept is not None
        sorting.same_specimen(work, third.id, kept.specimen_id)
    with records.read() as work:
        assert work.groups.count(specimen_id=kept.specimen_id) == 2


def test_clock_by_hand_and_by_a_pair(records: Catalogue, surroundings: Surroundings, foray: str) -> None:
    box = Camera("Oldbarrow", "Box 7", "77")
    wrong = [shot(f"P{n}.jpg", 60 + m, camera=box) for n, m in enumerate((0.1, 0.4, 12.2))]
    silent = [
        type(photo)(**{**{f: getattr(photo, f) for f in photo.__slots__}, "fix": None}) for photo in wrong
    ]
    take_in(records, FakeFiles(silent), ["/card2"], surroundings, foray_id=foray)
    with records.read() as work:
        mine = next(p for p in work.photos.where(foray_id=foray) if p.camera.key == box.key)
        theirs = next(p for p in work.photos.where(foray_id=foray) if p.camera.key != box.key)
    with records.step("pair") as work:
        clock = sorting.pair_moments(work, mine.id, theirs.id, surroundings)
        assert clock.by_hand
        clocks = {c.camera_key: c for c in work.clocks.where(foray_id=foray)}
        assert sorting.true_time(mine, clocks) == sorting.true_time(theirs, clocks)
    with records.step("again") as work:
        propose_again(work, foray, surroundings)
        kept = work.clocks.get(clock.id)
    assert kept is not None
    assert kept.offset_s == clock.offset_s
    with records.step("set") as work:
        assert sorting.set_clock(work, clock.id, -4000.0, surroundings).offset_s == -4000.0
    with pytest.raises(BadInput, match="same camera"), records.step("pair") as work:
        sorting.pair_moments(work, mine.id, mine.id, surroundings)
    check_whole(records, foray)


@settings(max_examples=25)
@given(data=st.data())
def test_any_sequence_of_hands_leaves_a_whole_and_can_be_taken_back(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    import itertools

    from catalog_gui.catalogue.store import open_catalogue

    count = itertools.count(1)
    surroundings = Surroundings(NOON.astimezone, lambda: f"id-{next(count):04d}")
    records = open_catalogue(tmp_path_factory.mktemp("walk"), now=surroundings.now)
    try:
        foray = take_in(records, FakeFiles(WALK), ["/card"], surroundings).foray_id
        begin = groups_of(records, foray)
        for _ in range(data.draw(st.integers(1, 6))):
            groups = groups_of(records, foray)
            with records.read() as work:
                photos = sorted(photo.id for photo in work.photos.where(foray_id=foray))
            kind = data.draw(st.sampled_from(["cut", "join", "move", "aside", "back"]))
            some = data.draw(st.lists(st.sampled_from(photos), min_size=1, max_size=3, unique=True))
            try:
                with records.step(kind) as work:
                    if kind == "cut":
                        sorting.split_before(work, some[0], surroundings)
                    elif kind == "join":
                        pick = data.draw(st.lists(st.sampled_from([g.id for g in groups]), max_size=3))
                        sorting.join_groups(work, pick, surroundings)
                    elif kind == "move":
                        target = data.draw(st.sampled_from(["", *(g.id for g in groups)]))
                        sorting.move_photos(work, some, target, surroundings)
                    elif kind == "aside":
                        sorting.set_aside(work, some, surroundings)
                    else:
                        sorting.bring_back(work, some, surroundings)
            except BadInput:
                pass
            check_whole(records, foray)
        while len(records.steps()) > 1 and not records.steps()[-2].undone:
            records.undo()
        assert groups_of(records, foray) == begin
    finally:
        records.close()
