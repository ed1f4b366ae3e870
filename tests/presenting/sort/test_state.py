"""What the Sort page makes of its rows: what is to settle, what is certain, where to go on."""

from __future__ import annotations

from datetime import UTC, datetime

from catalog_gui.domain.foray import Group, Join, SameAs
from catalog_gui.domain.photo import Camera, Photo, WrittenTime
from catalog_gui.domain.specimen import Specimen
from catalog_gui.presenting.sort.questions import question_above, question_inside
from catalog_gui.presenting.sort.state import SortState, TrailRow
from catalog_gui.presenting.sort.words import progress_words, tray_words

NOON = datetime(2025, 10, 18, 12, tzinfo=UTC)


def photo(key: str) -> Photo:
    written = WrittenTime("2025:10:18 12:00:00", NOON, None, "DateTimeOriginal")
    return Photo(key, f"/card/{key}.jpg", Camera("Aldermoor", "AM-20", "7"), written)


def join(before: str, after: str, probability: float) -> Join:
    return Join(f"{before}-{after}", "f", before, after, probability, "The light changed.")


def row(group: str, keys: str, **more: object) -> TrailRow:
    return TrailRow(Group(group, "f", tuple(keys)), tuple(photo(key) for key in keys), **more)  # type: ignore[arg-type]


def trail(*rows: TrailRow, doubtful: tuple[Join, ...] = ()) -> SortState:
    where = {one.id: (r, c) for r, line in enumerate(rows) for c, one in enumerate(line.photos)}
    counts = [len(line.photos) for line in rows]
    firsts = tuple(sum(counts[:index]) for index in range(len(counts) + 1))
    return SortState(rows=rows, where=where, order=tuple(where), firsts=firsts, doubtful=doubtful)


def test_what_is_to_settle_comes_least_certain_first_and_offers_last() -> None:
    sure = SameAs("s", "f", "g3", "g1", 0.8, "The same log.")
    faint = SameAs("t", "f", "g2", "g1", 0.6, "The same log.")
    state = trail(
        row("g1", "ab"),
        row("g2", "cd", offer=faint),
        row("g3", "e", offer=sure),
        doubtful=(join("a", "b", 0.5), join("d", "e", 0.6), join("x", "gone", 0.5)),
    )
    assert state.to_settle == ("b", "e", "c")


def test_a_group_is_certain_where_nothing_is_asked_of_it() -> None:
    specimen = Specimen("s1", "ES 1")
    doubt = join("d", "e", 0.5)
    state = trail(
        row("g1", "ab", specimen=specimen),
        row("g2", "cd"),
        row("g3", "ef", join=doubt),
        row("g4", "gh", inner=(join("g", "h", 0.5),)),
        row("g5", "i", offer=SameAs("s", "f", "g5", "g1", 0.8, "")),
        doubtful=(doubt, join("g", "h", 0.5)),
    )
    assert state.certain == ("g2",)
    assert state.proposed == 4
    assert progress_words(state) == "5 groups, 1 kept as specimen, 3 to settle"


def test_after_pictures_leave_the_next_that_stays_is_gone_to() -> None:
    state = trail(row("g1", "abc"), row("g2", "de"))
    assert state.following({"b"}) == "c"
    assert state.following({"b", "c"}) == "d"
    assert state.following({"d", "e"}) == "a"
    assert state.following(set("abcde")) == ""


def test_an_offer_is_asked_before_a_doubtful_join() -> None:
    offer = SameAs("s", "f", "g2", "g1", 0.8, "The same log.")
    both = row("g2", "cd", join=join("b", "c", 0.5), join_words="ES 1", offer=offer, offer_words="ES 4")
    asked = question_above(both)
    assert asked is not None
    assert (asked.kind, asked.key, asked.question) == ("offer", "s", "Same as ES 4?")
    inner = row("g4", "gh", inner=(join("g", "h", 0.5),))
    within = question_inside(inner, "h")
    assert within is not None
    assert within.key == "g-h"
    assert question_inside(inner, "g") is None
    assert question_above(inner) is None


def test_the_tray_says_how_many_lie_in_it() -> None:
    assert [tray_words(count) for count in (0, 1, 2)] == ["Tray", "Tray: 1 picture", "Tray: 2 pictures"]
