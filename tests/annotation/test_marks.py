"""Marks that cannot be kept are named; copies lie where they lay."""

from __future__ import annotations

import math

import pytest

from catalog_gui.annotation.marks import POINTS, Mark, MarkKind, copied, faults
from catalog_gui.domain.problem import BadInput


def mark(kind: MarkKind, *points: tuple[float, float], **more: object) -> Mark:
    return Mark("m", "p", kind, points, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("bad", "word"),
    [
        (mark(MarkKind.LINE, (1, 1)), "points"),
        (mark(MarkKind.ANGLE, (1, 1), (2, 2)), "points"),
        (mark(MarkKind.POINTER, (1, 1), (math.nan, 2)), "nowhere"),
        (mark(MarkKind.SCALE, (5, 5), (5, 5), length_mm=10), "zero length"),
        (mark(MarkKind.SCALE, (5, 5), (9, 5)), "how long"),
        (mark(MarkKind.LINE, (5000, 10), (6000, 20)), "outside"),
    ],
)
def test_faults(bad: Mark, word: str) -> None:
    assert any(word in fault for fault in faults(bad, (4000, 3000)))


def test_reaching_over_the_edge_is_no_fault() -> None:
    assert faults(mark(MarkKind.LINE, (3900, 10), (6000, 20)), (4000, 3000)) == ()
    assert faults(mark(MarkKind.LINE, (1, 1), (2, 2)), (0, 0)) == ("The picture has no size.",)


def test_every_kind_has_its_number_of_points() -> None:
    assert set(POINTS) == set(MarkKind)


def test_copies_leave_the_scale_behind() -> None:
    marks = [
        mark(MarkKind.ELLIPSE, (100, 200), (300, 400), label="cap"),
        mark(MarkKind.SCALE, (0, 0), (100, 0), length_mm=10),
    ]
    ids = iter(["n1", "n2"])
    (copy,) = copied(marks, ids, photo_id="q", from_size=(4000, 3000), to_size=(2000, 3000))
    assert (copy.id, copy.photo_id, copy.label) == ("n1", "q", "cap")
    assert copy.points == ((50, 200), (150, 400))
    with pytest.raises(BadInput):
        copied(marks, iter(["a"]), photo_id="q", from_size=(0, 3000), to_size=(1, 1))
