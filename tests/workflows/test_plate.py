"""Pictures on panels: her choice first, then a guess from the marks, never a picture that shows something else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog_gui import assets
from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.catalogue.store import Catalogue
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Part
from catalog_gui.domain.foray import Foray
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.specimen import Specimen
from catalog_gui.packs.reader import read_packs
from catalog_gui.workflows.plate import marks_of_part, panel_pictures, put_on_panel, take_off_panel
from catalog_gui.workflows.ports import Surroundings

VOCABULARY = read_packs(assets.reference_pack()).vocabulary
PHOTO = Photo("p1", "/card/one.jpg", width=4000, height=3000, foray_id="walk")
STANDING = replace(PHOTO, id="p2", path="/card/two.jpg", orientation=6)
PHOTOS = {photo.id: photo for photo in (PHOTO, STANDING)}


@pytest.fixture(autouse=True)
def _find(records: Catalogue) -> None:
    with records.step("Find") as work:
        work.forays.put(Foray("walk", "A walk"))
        work.specimens.put(Specimen("find", "2025-001", "walk"))
        work.photos.put(PHOTO, STANDING)


def crops(records: Catalogue) -> tuple[Mark, ...]:
    with records.read() as work:
        return work.marks.where(specimen_id="find")


def test_a_picture_covers_the_panel_in_upright_pixels(records: Catalogue, surroundings: Surroundings) -> None:
    with records.step("Panel") as work:
        put_on_panel(work, "find", "base", "p2", surroundings=surroundings)
    (mark,) = crops(records)
    assert mark.kind is MarkKind.CROP
    assert mark.points == ((0, 0), (3000, 4000)), "orientation 6 stands on its side"
    shown = panel_pictures((mark,), (), PHOTOS, VOCABULARY)
    assert shown[Part.BASE].photo_id == "p2"
    assert shown[Part.BASE].chosen
    assert shown[Part.BASE].box is None


def test_a_second_choice_replaces_the_first(records: Catalogue, surroundings: Surroundings) -> None:
    for photo in ("p1", "p2"):
        with records.step("Panel") as work:
            put_on_panel(work, "find", "cap", photo, surroundings=surroundings, box=(10, 20, 110, 220))
    (mark,) = crops(records)
    assert (mark.photo_id, mark.points) == ("p2", ((10, 20), (110, 220)))
    with records.step("Off") as work:
        take_off_panel(work, "find", "cap")
    assert crops(records) == ()
    with pytest.raises(BadInput), records.step("Off") as work:
        take_off_panel(work, "find", "cap")


@pytest.mark.parametrize(
    ("part", "photo", "box"),
    [("elbow", "p1", None), ("cap", "p9", None), ("cap", "p1", (10, 10, 10, 50)), ("smell", "p1", None)],
)
def test_what_cannot_be_shown_is_refused(
    records: Catalogue,
    surroundings: Surroundings,
    part: str,
    photo: str,
    box: tuple[float, float, float, float] | None,
) -> None:
    with pytest.raises(BadInput), records.step("Panel") as work:
        put_on_panel(work, "find", part, photo, surroundings=surroundings, box=box)


def test_a_mark_on_a_part_makes_a_guess_around_it() -> None:
    pointer = Mark("m", "p1", MarkKind.POINTER, ((500, 500), (700, 650)), feature="base.volva")
    shown = panel_pictures((pointer,), (), PHOTOS, VOCABULARY)
    assert set(shown) == {Part.BASE}
    assert not shown[Part.BASE].chosen
    box = shown[Part.BASE].box
    assert box is not None
    left, top, right, bottom = box
    assert left <= 500
    assert top <= 500
    assert right >= 700
    assert bottom >= 650
    assert right - left == pytest.approx(1000), "a quarter of the width, to see where it is"


def test_a_linked_entry_is_a_guess_too_and_a_picture_of_nothing_is_none() -> None:
    row = Evidence("e", "find", "ring.kind", Standing.SEEN, ("hanging",), photo_id="p1")
    assert panel_pictures((), (row,), PHOTOS, VOCABULARY)[Part.RING].photo_id == "p1"
    assert panel_pictures((), (), PHOTOS, VOCABULARY) == {}


def test_a_scale_or_a_box_around_a_fruit_body_shows_no_part() -> None:
    scale = Mark("m", "p1", MarkKind.SCALE, ((0, 0), (9, 9)), part="cap", length_mm=10)
    assert panel_pictures((scale,), (), PHOTOS, VOCABULARY) == {}


def test_marks_find_their_part_by_part_feature_or_entry() -> None:
    by_part = Mark("a", "p1", MarkKind.POINTER, ((0, 0), (1, 1)), part="base")
    by_feature = Mark("b", "p1", MarkKind.LINE, ((0, 0), (1, 1)), feature="base.shape")
    by_entry = Mark("c", "p1", MarkKind.ELLIPSE, ((0, 0), (1, 1)))
    other = Mark("d", "p1", MarkKind.POINTER, ((0, 0), (1, 1)), part="cap")
    row = Evidence("e", "find", "base.volva", Standing.SEEN, ("sac",), mark_id="c")
    found = marks_of_part((by_part, by_feature, by_entry, other), (row,), Part.BASE, VOCABULARY)
    assert [mark.id for mark in found] == ["a", "b", "c"]
