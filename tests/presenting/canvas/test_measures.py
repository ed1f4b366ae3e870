"""Which measures become evidence, for what, and as which figures."""

from __future__ import annotations

from typing import Any

import pytest

from catalog_gui import assets
from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.domain.feature import Vocabulary
from catalog_gui.packs.reader import read_packs
from catalog_gui.presenting.canvas.measures import (
    draft_words,
    feature_measured,
    figures_of,
    lengths_to_note,
    noted_range,
)
from catalog_gui.presenting.canvas.words import Readings, read_marks

SCALE = Mark("s", "p", MarkKind.SCALE, ((0, 0), (100, 0)), length_mm=10.0, length_u_mm=0.1)


def line(key: str, length: float, **more: Any) -> Mark:
    return Mark(key, "p", MarkKind.LINE, ((0, 50), (length, 50)), **more)


@pytest.fixture(scope="module")
def vocabulary() -> Vocabulary:
    return read_packs(assets.reference_pack()).vocabulary


def readings(*marks: Mark) -> Readings:
    return read_marks((SCALE, *marks))


def test_the_chosen_lengths_are_noted_or_the_last_one() -> None:
    shape = Mark("f", "p", MarkKind.FREE, ((0, 0), (5, 5), (9, 0)))
    found = readings(line("a", 400), line("b", 600), shape)
    assert [one.mark.id for one in lengths_to_note(found, {"a", "f"})] == ["a"]
    assert [one.mark.id for one in lengths_to_note(found, ())] == ["b"]
    assert lengths_to_note(readings(), ()) == []


def test_a_range_is_rounded_to_what_is_sure() -> None:
    noted = noted_range(lengths_to_note(readings(line("a", 400), line("b", 600)), {"a", "b"}))
    assert (noted.low, noted.high, noted.unit) == (pytest.approx(40, abs=1), pytest.approx(60, abs=1), "mm")
    assert noted.low == round(noted.low, 1)
    assert "mm" in noted.text


def test_a_length_goes_to_the_feature_of_its_mark_before_that_of_the_side(vocabulary: Vocabulary) -> None:
    numbers = [one for one in vocabulary.features if one.kind == "number" and one.unit == "mm"]
    colour = next(one for one in vocabulary.features if one.kind != "number")
    tied = lengths_to_note(readings(line("a", 400, feature=numbers[0].id)), ())
    loose = lengths_to_note(readings(line("a", 400)), ())
    assert feature_measured(tied, numbers[1].id, vocabulary) == numbers[0]
    assert feature_measured(loose, numbers[1].id, vocabulary) == numbers[1]
    assert feature_measured(loose, colour.id, vocabulary) is None
    assert feature_measured(loose, "", vocabulary) is None


def test_figures_of_the_chosen_marks(vocabulary: Vocabulary) -> None:
    a, b = line("a", 400, label="cap"), line("b", 600)
    found, marks = readings(a, b), {"a": a, "b": b}
    one = figures_of(marks, found, ["a"], vocabulary)
    assert len(one) == 1
    assert one[0].startswith("cap: (40")
    both = figures_of(marks, found, ["a", "b"], vocabulary)
    assert [words.split(":")[0].strip() for words in both] == ["cap", "line", "Length 1"]
    alone = read_marks((a,))
    assert figures_of(marks, alone, ["a"], vocabulary)[0].startswith("cap: (400")  # in pixels


def test_a_draft_says_its_length_and_an_outline_says_nothing() -> None:
    found = readings()
    assert draft_words(line("d", 400), found)[0].startswith("(40")
    assert draft_words(Mark("d", "p", MarkKind.ELLIPSE, ((0, 0), (9, 9))), found) == ()
    assert draft_words(line("d", 0.0), found) == ()
