"""Taking pictures in: every file accounted for, nothing twice, one step that can be taken back."""

from __future__ import annotations

from dataclasses import replace

from catalog_gui.catalogue.store import Catalogue
from catalog_gui.workflows.import_photos import default_title, fill_content_hashes, take_in
from catalog_gui.workflows.ports import Surroundings
from tests.workflows.conftest import NOON, WALK, FakeFiles, shot


def test_every_file_is_in_exactly_one_place(records: Catalogue, surroundings: Surroundings) -> None:
    twin = replace(WALK[0], path="/card/copy of IMG_100.jpg")
    files = FakeFiles([*WALK, twin], damaged=["/card/IMG_999.jpg"])
    report = take_in(records, files, ["/card"], surroundings)
    assert len(report.taken) == len(WALK)
    assert [known.path for known in report.known] == ["/card/copy of IMG_100.jpg"]
    assert [(r.path, r.reason) for r in report.refused] == [("/card/IMG_999.jpg", "The file is empty.")]
    assert report.files == len(WALK) + 2
    with records.read() as work:
        photos = work.photos.where(foray_id=report.foray_id)
        placed = [key for group in work.groups.where(foray_id=report.foray_id) for key in group.photos]
    assert sorted(placed) == sorted(photo.id for photo in photos if not photo.aside)
    assert len(set(placed)) == len(placed)


def test_the_walk_is_three_groups_and_one_step(records: Catalogue, surroundings: Surroundings) -> None:
    report = take_in(records, FakeFiles(WALK), ["/card"], surroundings)
    with records.read() as work:
        groups = work.groups.where(foray_id=report.foray_id)
        foray = work.forays.get(report.foray_id)
    assert sorted(len(group.photos) for group in groups) == [2, 3, 4]
    assert foray is not None
    assert foray.title == "Foray of 18 October 2025"
    assert [step.label for step in records.steps()] == ["Take in 9 pictures"]
    records.undo()
    with records.read() as work:
        assert work.photos.count() == work.groups.count() == work.forays.count() == 0
    records.redo()
    with records.read() as work:
        assert work.photos.count() == len(WALK)


def test_the_same_card_again_takes_nothing(records: Catalogue, surroundings: Surroundings) -> None:
    first = take_in(records, FakeFiles(WALK), ["/card"], surroundings)
    again = take_in(records, FakeFiles(WALK), ["/card"], surroundings, foray_id=first.foray_id)
    assert not again.taken
    assert len(again.known) == len(WALK)
    with records.read() as work:
        assert work.photos.count() == len(WALK)


def test_a_moved_folder_is_found_again_by_content(records: Catalogue, surroundings: Surroundings) -> None:
    take_in(records, FakeFiles(WALK), ["/card"], surroundings)
    moved = [replace(photo, path=photo.path.replace("/card", "/disk")) for photo in WALK]
    report = take_in(records, FakeFiles(moved, gone=[photo.path for photo in WALK]), ["/disk"], surroundings)
    assert all(known.moved for known in report.known)
    with records.read() as work:
        assert {photo.path for photo in work.photos.all()} == {photo.path for photo in moved}


def test_a_late_card_leaves_what_was_done(records: Catalogue, surroundings: Surroundings) -> None:
    first = take_in(records, FakeFiles(WALK), ["/card"], surroundings)
    with records.step("Accept") as work:
        group = work.groups.where(foray_id=first.foray_id)[0]
        work.groups.put(replace(group, held=True, note="mine"))
    late = [shot(f"IMG_{300 + n}.jpg", 60 + n * 0.3, east_m=900) for n in range(3)]
    take_in(records, FakeFiles(late), ["/card2"], surroundings, foray_id=first.foray_id)
    with records.read() as work:
        kept = work.groups.get(group.id)
        assert kept is not None
        assert (kept.photos, kept.note, kept.held) == (group.photos, "mine", True)
        assert work.photos.count(foray_id=first.foray_id) == len(WALK) + 3


def test_stopping_keeps_what_was_read(records: Catalogue, surroundings: Surroundings) -> None:
    asked = iter([False] * (len(WALK) + 4) + [True] * 100)  # all found, four read
    report = take_in(records, FakeFiles(WALK), ["/card"], surroundings, cancelled=lambda: next(asked))
    assert len(report.taken) == 4
    assert len(report.taken) + len(report.not_reached) == len(WALK)
    with records.read() as work:
        assert work.photos.count() == len(report.taken)


def test_nothing_at_all(records: Catalogue, surroundings: Surroundings) -> None:
    report = take_in(records, FakeFiles([]), ["/card"], surroundings)
    assert report.files == 0
    assert records.steps() == ()


def test_hashes_are_filled_without_a_step_to_take_back(
    records: Catalogue, surroundings: Surroundings
) -> None:
    take_in(records, FakeFiles(WALK), ["/card"], surroundings)
    trouble = fill_content_hashes(records, FakeFiles(WALK, gone=[WALK[2].path]))
    assert [refusal.path for refusal in trouble] == [WALK[2].path]
    with records.read() as work:
        filled = [photo for photo in work.photos.all() if photo.content_hash]
    assert len(filled) == len(WALK) - 1
    assert [step.label for step in records.steps()] == ["Take in 9 pictures"]


def test_title_takes_the_day_of_most_pictures() -> None:
    odd = replace(WALK[0], written=replace(WALK[0].written, local=NOON.replace(year=2000)))
    assert default_title([odd, *WALK[1:]], NOON) == "Foray of 18 October 2025"
    untimed = replace(WALK[0], written=replace(WALK[0].written, local=None))
    assert default_title([untimed], NOON) == "Foray taken in on 18 October 2025"
