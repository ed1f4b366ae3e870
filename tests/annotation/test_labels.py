"""Labels never cover what they name, nor each other, however crowded the picture is."""

from __future__ import annotations

import math

from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_gui.annotation.labels import Label, Placed, place_labels
from catalog_gui.domain.plane import Box

PICTURE: Box = (0.0, 0.0, 1200.0, 900.0)


def overlap(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def assert_clear(labels: list[Label], placed: tuple[Placed, ...]) -> None:
    assert [p.id for p in placed] == [label.id for label in labels]
    for i, one in enumerate(placed):
        assert math.isclose(one.box[2] - one.box[0], labels[i].width, abs_tol=1e-6)
        assert not any(overlap(one.box, label.target) for label in labels), one
        assert not any(overlap(one.box, other.box) for other in placed[:i]), one


def test_ten_crowded_marks() -> None:
    """Ten targets within a patch hardly larger than two labels."""
    labels = [
        Label(
            f"m{i}",
            130,
            26,
            (560 + 22 * (i % 4), 420 + 18 * (i // 4), 562 + 22 * (i % 4), 422 + 18 * (i // 4)),
        )
        for i in range(10)
    ]
    placed = place_labels(labels, PICTURE)
    assert_clear(labels, placed)
    assert not any(p.outside for p in placed)
    leaders = [p.leader for p in placed if p.leader is not None]
    assert max(math.dist(*leader) for leader in leaders) < 400
    assert place_labels(labels, PICTURE) == placed


def test_alone_it_stands_beside_its_target_without_leader() -> None:
    label = Label("a", 100, 20, (600, 450, 600, 450))
    (placed,) = place_labels([label], PICTURE)
    assert placed.leader is None
    assert placed.box == (606, 440, 706, 460)


def test_a_wish_is_kept_when_it_can_be() -> None:
    label = Label("a", 100, 20, (600, 450, 610, 460), wish=(300, 300))
    (placed,) = place_labels([label], PICTURE)
    assert placed.box == (250, 290, 350, 310)
    assert placed.leader is not None
    covering = Label("a", 100, 20, (600, 450, 610, 460), wish=(605, 455))
    assert_clear([covering], place_labels([covering], PICTURE))


def test_full_picture_sends_labels_beside_it() -> None:
    labels = [Label("a", 100, 20, PICTURE), Label("b", 2000, 20, (10, 10, 20, 20))]
    placed = place_labels(labels, PICTURE)
    assert_clear(labels, placed)
    assert all(p.outside for p in placed)


def test_target_in_a_corner_and_outside_the_picture() -> None:
    labels = [Label("a", 100, 20, (0, 0, 0, 0)), Label("b", 100, 20, (5000, -300, 5001, -299))]
    assert_clear(labels, place_labels(labels, PICTURE))


def test_no_labels() -> None:
    assert place_labels([], PICTURE) == ()


@st.composite
def crowds(draw: st.DrawFn) -> list[Label]:
    count = draw(st.integers(1, 12))
    labels = []
    for i in range(count):
        x, y = draw(st.floats(-50, 1250)), draw(st.floats(-50, 950))
        w, h = draw(st.floats(0, 300)), draw(st.floats(0, 300))
        size = draw(st.floats(10, 400)), draw(st.floats(8, 80))
        labels.append(Label(str(i), *size, (x, y, x + w, y + h)))
    return labels


@settings(max_examples=60, deadline=None)
@given(crowds())
def test_any_crowd(labels: list[Label]) -> None:
    placed = place_labels(labels, PICTURE)
    assert_clear(labels, placed)
    for one, label in zip(placed, labels, strict=True):
        inside = one.box[0] >= 0 and one.box[1] >= 0 and one.box[2] <= 1200 and one.box[3] <= 900
        assert inside or one.outside
        if one.leader is not None:
            end = one.leader[1]
            assert label.target[0] <= end[0] <= label.target[2]
            assert label.target[1] <= end[1] <= label.target[3]
