"""Labels cover neither what they name nor each other; lines are told from any ground and by anybody."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.presenting.canvas.sketch import (
    Ground,
    labels_for,
    offsets,
    sketch,
    strokes_as_boxes,
    target_of,
)
from catalog_gui.views.canvas.ink import text_sizes
from catalog_gui.views.canvas.view import CanvasView
from catalog_gui.workflows import annotate
from tests.views.canvas.hands import Hands

K = MarkKind
Box = tuple[float, float, float, float]


def over(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def crowd() -> list[Mark]:
    """Ten marks on a patch of 160 x 120 picture pixels."""
    made = [
        Mark(f"p{n}", "p", K.POINTER, ((360 + 23 * (n % 4), 260 + 31 * (n // 4)),) * 2, f"pointer {n}")
        for n in range(7)
    ]
    made.append(Mark("oval", "p", K.ELLIPSE, ((380, 250), (480, 330)), "veil remains"))
    made.append(Mark("line", "p", K.LINE, ((350, 300), (510, 300)), "widest"))
    made.append(Mark("angle", "p", K.ANGLE, ((360, 260), (400, 350), (470, 262)), "cone"))
    return [Mark(m.id, m.photo_id, m.kind, m.points, m.label, "s") for m in made]


def test_ten_crowded_marks_keep_their_labels_apart_and_off_their_targets(
    hands: Hands, canvas: CanvasView
) -> None:
    canvas.bench.do("Crowd", lambda work: [annotate.put_mark(work, mark) for mark in crowd()])
    hands.settle()
    found = hands.surface.sketch_now()
    assert len(found.notes) == 10
    for one, two in itertools.combinations(found.notes, 2):
        assert not over(one.box, two.box), (one.lines, two.lines)
    ground = hands.surface.ground()
    targets = {mark.id: target_of(mark, ground) for mark in hands.surface.marks()}
    for note in found.notes:
        for name, target in targets.items():
            assert not over(note.box, target), (note.lines, name)
    lines = strokes_as_boxes(hands.surface.marks(), ground)
    assert len(lines) > 50
    for note in found.notes:
        assert not any(over(note.box, line) for line in lines), note.lines
    room = hands.surface.viewport().rect()
    for note in found.notes:
        assert note.box[0] >= 0
        assert note.box[1] >= 0
        assert note.box[2] <= room.width()
        assert note.box[3] <= room.height()


def test_a_pointer_keeps_its_words_where_they_were_put(hands: Hands, canvas: CanvasView) -> None:
    mark = Mark("m", "p", K.POINTER, ((600, 120), (400, 300)), "ring", "s")
    canvas.bench.do("Point", lambda work: annotate.put_mark(work, mark))
    hands.settle()
    (note,) = hands.surface.sketch_now().notes
    middle = (note.box[0] + note.box[2]) / 2, (note.box[1] + note.box[3]) / 2
    assert math.dist(middle, hands.surface.ground().at((600, 120))) < 2


@given(
    st.lists(
        st.tuples(
            st.sampled_from([K.POINTER, K.ELLIPSE, K.LINE, K.BODY]),
            st.tuples(st.floats(0, 1000), st.floats(0, 560)),
            st.tuples(st.floats(0, 1000), st.floats(0, 560)),
        ),
        min_size=1,
        max_size=9,
    )
)
@settings(max_examples=25)
def test_labels_never_meet_wherever_the_marks_are(
    qapp: object, found: list[tuple[MarkKind, tuple[float, float], tuple[float, float]]]
) -> None:
    marks = [Mark(str(n), "p", kind, (a, b), f"mark {n}") for n, (kind, a, b) in enumerate(found)]
    captions = {mark.id: (mark.label,) for mark in marks}
    ground, sizes = Ground(1.0), text_sizes(1.0)
    labels = labels_for(marks, captions, ground, sizes)
    places = offsets(labels, (0, 0, 1000, 560), strokes_as_boxes(marks, ground))
    notes = sketch(marks, captions, ground, places=places, text_size=sizes).notes
    assert len(notes) == len(marks)
    for one, two in itertools.combinations(notes, 2):
        assert not over(one.box, two.box)


def test_lines_and_letters_keep_their_size_at_any_zoom(qapp: object) -> None:
    marks = crowd()
    captions = {mark.id: (mark.label,) for mark in marks}
    near, far = (
        sketch(marks, captions, Ground(scale), places={"line": (5.0, 5.0)}, text_size=text_sizes(1.0))
        for scale in (8.0, 0.1)
    )
    assert [shape.width for shape in near.strokes[:1]] == [shape.width for shape in far.strokes[:1]]
    one, other = near.notes[0].box, far.notes[0].box
    assert one[2] - one[0] == pytest.approx(other[2] - other[0])
    assert one[3] - one[1] == pytest.approx(other[3] - other[1])


def test_at_full_resolution_everything_grows_together(qapp: object) -> None:
    mark = Mark("m", "p", K.LINE, ((100, 100), (300, 100)), "cap")
    captions = {"m": ("cap",)}
    screen = sketch([mark], captions, Ground(1.0), places={"m": (5, 5)}, text_size=text_sizes(1.0))
    print_ = sketch(
        [mark], captions, Ground(4.0, unit=4.0), places={"m": (20, 20)}, text_size=text_sizes(4.0)
    )
    assert print_.strokes[0].width == 4 * screen.strokes[0].width
    wide = print_.notes[0].box[2] - print_.notes[0].box[0]
    assert wide == pytest.approx(4 * (screen.notes[0].box[2] - screen.notes[0].box[0]), rel=0.05)


def test_many_short_lines_show_their_figures_only_when_nearer(hands: Hands, canvas: CanvasView) -> None:
    """Fifty spores: labels would bury them."""
    marks = [
        Mark(f"m{n}", "p", K.LINE, ((20 + 15 * n, 100), (28 + 15 * n, 108)), specimen_id="s")
        for n in range(50)
    ]
    canvas.bench.do("Spores", lambda work: [annotate.put_mark(work, mark) for mark in marks])
    hands.settle()
    assert len(hands.surface.marks()) == 50
    assert hands.surface.sketch_now().notes == ()
    hands.surface.zoom_to(6.0, hands.at(100, 100).toPointF())
    hands.settle()
    assert hands.surface.sketch_now().notes
