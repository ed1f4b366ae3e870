"""Drawing on pictures: every gesture is kept whole, refused with a reason, and taken back byte for byte."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from catalog_gui import assets
from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.annotation.measure import measure, scale_of
from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.foray import Foray, Group
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import BadInput, Problem
from catalog_gui.domain.specimen import Specimen
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.packs.reader import read_packs
from catalog_gui.workflows import annotate
from catalog_gui.workflows.ports import Surroundings, UnitOfWork

NOW = datetime(2025, 10, 18, 18, tzinfo=UTC)
K = MarkKind


@pytest.fixture(scope="module")
def reference() -> Reference:
    return read_packs(assets.reference_pack())


def furnished(folder: Path) -> Catalogue:
    """Two pictures of one specimen, one upright, one on its side, and one without any size."""
    catalogue = open_catalogue(folder, now=lambda: NOW)
    with catalogue.step("Begin") as work:
        work.forays.put(Foray("f", "A walk"))
        work.specimens.put(Specimen("s", "2025-001", "f"))
        work.photos.put(
            Photo("p", "/card/a.jpg", width=4000, height=3000),
            Photo("q", "/card/b.jpg", width=3000, height=2000, orientation=6),
            Photo("none", "/card/c.jpg"),
        )
        work.groups.put(Group("g", "f", ("p", "q"), specimen_id="s"))
    return catalogue


@pytest.fixture
def there(tmp_path: Path) -> Iterator[Catalogue]:
    made = furnished(tmp_path / "there")
    yield made
    made.close()


def put(catalogue: Catalogue, mark: Mark, **more: object) -> Mark:
    with catalogue.step("Draw") as work:
        return annotate.put_mark(work, mark, **more)  # type: ignore[arg-type]


def line(mark_id: str = "m", photo: str = "p", **more: object) -> Mark:
    return Mark(mark_id, photo, K.LINE, ((100.0, 100.0), (1336.0, 100.0)), **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("mark", "words"),
    [
        (Mark("m", "p", K.SCALE, ((5, 5), (5, 5)), length_mm=10), "scale of zero length"),
        (Mark("m", "p", K.SCALE, ((5, 5), (9, 9))), "how long"),
        (Mark("m", "p", K.LINE, ((5, 5), (5, 5))), "no size"),
        (Mark("m", "p", K.ELLIPSE, ((-90, -90), (-5, -5))), "outside"),
        (Mark("m", "p", K.POLYGON, ((1, 1), (5, 5))), "3 points"),
        (Mark("m", "p", K.LINE, ((1, 1), (float("nan"), 5))), "nowhere"),
        (Mark("m", "none", K.LINE, ((1, 1), (5, 5))), "no size"),
        (Mark("m", "lost", K.LINE, ((1, 1), (5, 5))), "not in the catalogue"),
        (Mark("m", "p", K.LINE, ((1, 1), (5, 5)), specimen_id="gone"), "specimen is not there"),
        (Mark("m", "p", K.LINE, ((1, 1), (5, 5)), feature="cap.wings"), "no feature"),
        (Mark("m", "p", K.LINE, ((1, 1), (5, 5)), feature="cap.shape", state="square"), "no state"),
    ],
)
def test_a_mark_that_cannot_be_kept_says_why_and_leaves_nothing(
    there: Catalogue, reference: Reference, mark: Mark, words: str
) -> None:
    with pytest.raises(Problem, match=words):
        put(there, mark, vocabulary=reference.vocabulary)
    with there.read() as work:
        assert work.marks.all() == ()


def test_a_box_is_kept_from_top_left_to_bottom_right(there: Catalogue) -> None:
    kept = put(there, Mark("m", "p", K.BODY, ((900, 800), (100, 50)), label="  A  "))
    assert kept.points == ((100, 50), (900, 800))
    assert kept.label == "A"


def test_a_cut_out_takes_the_place_of_the_earlier_one_of_that_part(there: Catalogue) -> None:
    put(there, Mark("one", "p", K.CROP, ((0, 0), (50, 50)), specimen_id="s", part="cap"))
    put(there, Mark("two", "q", K.CROP, ((0, 0), (60, 60)), specimen_id="s", part="cap"))
    put(there, Mark("base", "q", K.CROP, ((0, 0), (70, 70)), specimen_id="s", part="base"))
    with there.read() as work:
        assert {mark.id for mark in work.marks.all()} == {"two", "base"}


def test_a_picture_has_one_grey_card(there: Catalogue) -> None:
    put(there, Mark("one", "p", K.COLOUR, ((5, 5),), annotate.GREY_CARD))
    put(there, Mark("two", "p", K.COLOUR, ((9, 9), (20, 20)), annotate.GREY_CARD))
    put(there, Mark("spot", "p", K.COLOUR, ((40, 40),), "cap"))
    put(there, Mark("other", "q", K.COLOUR, ((9, 9),), annotate.GREY_CARD))
    with there.read() as work:
        assert {mark.id for mark in work.marks.all()} == {"two", "spot", "other"}


def test_words_change_and_another_feature_takes_the_state_away(
    there: Catalogue, reference: Reference
) -> None:
    vocabulary = reference.vocabulary
    put(there, line(feature="cap.shape", state="convex", part="cap"))
    with there.step("Word") as work:
        changed = annotate.relabel(work, "m", vocabulary=vocabulary, label=" bulbous  base ")
        assert (changed.label, changed.state) == ("bulbous base", "convex")
        changed = annotate.relabel(work, "m", vocabulary=vocabulary, feature="stem.length", part="stem")
        assert (changed.feature, changed.state, changed.part) == ("stem.length", "", "stem")
        with pytest.raises(BadInput, match="Only a scale"):
            annotate.relabel(work, "m", vocabulary=vocabulary, length_mm=5)
        with pytest.raises(BadInput, match="no state"):
            annotate.relabel(work, "m", vocabulary=vocabulary, feature="cap.shape", state="square")


def test_copies_are_stretched_to_the_other_picture_and_scales_stay(there: Catalogue) -> None:
    put(there, line("l", specimen_id="s"))
    put(there, Mark("sc", "p", K.SCALE, ((0, 0), (412, 0)), length_mm=25.75))
    ids = (f"c{n}" for n in itertools.count())
    with there.step("Copy") as work:
        made = annotate.copy_marks(work, ["l", "sc"], "q", new_id=lambda: next(ids))
    # The other picture is 2000 wide and 3000 high when upright (orientation 6 of 3000 x 2000 stored).
    assert [mark.points for mark in made] == [((50.0, 100.0), (668.0, 100.0))]
    for wrong, words in ((["sc"], "Scales"), ([], "Choose"), (["nobody"], "not there")):
        with there.step("Copy") as work, pytest.raises(BadInput, match=words):
            annotate.copy_marks(work, wrong, "q", new_id=lambda: "x")
    with there.step("Copy") as work, pytest.raises(BadInput, match="already"):
        annotate.copy_marks(work, ["l"], "p", new_id=lambda: "x")


def test_a_measured_cap_becomes_evidence_with_picture_and_mark(
    there: Catalogue, reference: Reference
) -> None:
    """Check value E2.1: 25.75 mm over 412 px, 1236 px measured: 77.25 mm."""
    scale = Mark("sc", "p", K.SCALE, ((0, 0), (412, 0)), length_mm=25.75, length_u_mm=0.03)
    put(there, scale)
    mark = put(there, line(specimen_id="s"))
    found = measure(mark, scale_of([scale]))
    assert found.real is not None
    assert found.real.value == pytest.approx(77.25)
    surroundings = Surroundings(lambda: NOW, iter(["e1"]).__next__)
    with there.step("Note") as work:
        row = annotate.measured_to_evidence(
            work,
            "s",
            "cap.width",
            found.real.value,
            found.real.value,
            "mm",
            reference=reference,
            surroundings=surroundings,
            mark_id="m",
            by="Wilma Thorn",
        )
        tied = work.marks.get("m")
    assert (row.low, row.high, row.unit) == (pytest.approx(77.25), pytest.approx(77.25), "mm")
    assert (row.photo_id, row.mark_id, row.noted_by) == ("p", "m", "Wilma Thorn")
    assert tied is not None
    assert (tied.feature, tied.part) == ("cap.width", "cap")


def test_micrometres_are_kept_as_the_feature_wants_them(there: Catalogue, reference: Reference) -> None:
    surroundings = Surroundings(lambda: NOW, iter(["e1"]).__next__)
    with there.step("Note") as work:
        row = annotate.measured_to_evidence(
            work,
            "s",
            "micro.spore-length",
            0.0081,
            0.0102,
            "mm",
            reference=reference,
            surroundings=surroundings,
        )
    assert (row.low, row.high, row.unit) == (pytest.approx(8.1), pytest.approx(10.2), "µm")


def test_marks_read_from_a_file_come_once(there: Catalogue) -> None:
    mark = line("m", "elsewhere", label="stem")
    with there.step("In") as work:
        assert len(annotate.bring_in(work, [mark], "p", "s", new_id=lambda: "n1")) == 1
        with pytest.raises(BadInput, match="already"):
            annotate.bring_in(work, [mark], "p", "s", new_id=lambda: "n2")
        far = Mark("far", "p", K.LINE, ((-50, -50), (-10, -10)))
        with pytest.raises(BadInput, match="outside"):
            annotate.bring_in(work, [far], "p", "s", new_id=lambda: "n3")


def everything(catalogue: Catalogue) -> bytes:
    """All that gestures can touch, in the order it stands."""
    with catalogue.read() as work:
        return repr((work.marks.all(), work.evidence.all(), work.photos.all())).encode()


places = st.tuples(st.floats(0, 1900), st.floats(0, 2900))
kinds = st.sampled_from([K.POINTER, K.ELLIPSE, K.LINE, K.SCALE, K.CROP, K.BODY, K.COLOUR])
gestures = st.one_of(
    st.tuples(
        st.just("put"), kinds, places, places, st.sampled_from(["p", "q"]), st.sampled_from(["", "cap"])
    ),
    st.tuples(st.just("move"), st.integers(0, 9), places, places),
    st.tuples(st.just("word"), st.integers(0, 9), st.text(max_size=8)),
    st.tuples(st.just("remove"), st.integers(0, 9)),
    st.tuples(st.just("copy"), st.integers(0, 9)),
    st.tuples(st.just("note"), st.integers(0, 9), st.floats(1, 200)),
)


@given(st.lists(gestures, max_size=9))
@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_gestures_taken_back_give_the_first_state_byte_for_byte(
    tmp_path_factory: pytest.TempPathFactory, reference: Reference, steps: list[tuple[object, ...]]
) -> None:
    catalogue = furnished(tmp_path_factory.mktemp("any"))
    ids = (f"m{n}" for n in itertools.count())
    surroundings = Surroundings(lambda: NOW, lambda: next(ids))
    states = [everything(catalogue)]
    for step in steps:
        try:
            with catalogue.step(str(step[0])) as work:
                play(work, step, reference, surroundings)
        except BadInput:
            assert everything(catalogue) == states[-1]
            continue
        now = everything(catalogue)
        if now != states[-1]:
            states.append(now)
    for state in reversed(states[:-1]):
        catalogue.undo()
        assert everything(catalogue) == state
    for state in states[1:]:
        catalogue.redo()
        assert everything(catalogue) == state
    catalogue.close()


def play(work: UnitOfWork, step: tuple[Any, ...], reference: Reference, surroundings: Surroundings) -> None:
    marks = work.marks.all()
    match step:
        case ("put", kind, a, b, photo, part):
            points = (a,) if kind is K.COLOUR else (a, b)
            label = annotate.GREY_CARD if kind is K.COLOUR else ""
            mark = Mark(
                surroundings.new_id(),
                photo,
                kind,
                points,
                label,
                "s",
                part,
                length_mm=10.0,
            )
            annotate.put_mark(work, mark)
            return
    if not marks:
        raise BadInput("Nothing to do it with.")
    mark = marks[int(step[1]) % len(marks)]
    match step:
        case ("move", _, a, b):
            annotate.move_mark(work, mark.id, (a, b)[: len(mark.points)])
        case ("word", _, words):
            annotate.relabel(work, mark.id, vocabulary=reference.vocabulary, label=str(words))
        case ("remove", _):
            annotate.remove_marks(work, [mark.id])
        case ("copy", _):
            target = "q" if mark.photo_id == "p" else "p"
            annotate.copy_marks(work, [mark.id], target, new_id=surroundings.new_id)
        case ("note", _, size):
            annotate.measured_to_evidence(
                work,
                "s",
                "cap.width",
                size,
                size,
                "mm",
                reference=reference,
                surroundings=surroundings,
                mark_id=mark.id,
            )
