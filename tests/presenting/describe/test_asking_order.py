"""The next feature to ask: open ones in order, what was passed over last, what needs another one not before it."""

from __future__ import annotations

from catalog_gui.domain.checklist import Asked, Checklist
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature, Part
from catalog_gui.presenting.describe.asking_order import AskingOrder

FEATURES = {
    "a": ("states", Part.CAP),
    "b": ("states", Part.GILLS),
    "note": ("text", Part.GILLS),
    "c": ("states", Part.STEM),
    "d": ("states", Part.STEM),
}


def asked(key: str) -> Asked:
    kind, part = FEATURES[key]
    return Asked(Feature(key, part, key, kind=kind))


def order(**standing: Standing) -> AskingOrder:
    """`d` needs `c` to have been seen."""
    by_part = tuple(asked(key) for key in FEATURES)
    made = AskingOrder({"d": "c"})
    rows = {key: Evidence(f"e{key}", "s", key, one) for key, one in standing.items()}
    checklist = Checklist(by_part, tuple(reversed(by_part)), frozenset(FEATURES))
    made.about(checklist, rows, (("a", "red"), ("a", "white")), hasty=False, fresh=True)
    return made


def test_open_features_follow_each_other_round_and_round() -> None:
    one = order()
    assert one.first() == "a"
    assert [one.next_open(key) for key in ("a", "b", "c")] == ["b", "c", "a"]
    assert one.next_open("b", -1) == "a"


def test_text_is_never_asked_and_what_waits_comes_after_what_it_needs() -> None:
    one = order()
    assert one.waiting == {"d"}
    assert "note" not in {one.next_open(key) for key in FEATURES}
    one.note("c", Standing.SEEN)
    assert one.waiting == frozenset()
    assert one.next_open("c") == "d"
    assert order(c=Standing.NOT_THERE).waiting == {"d"}
    assert order(c=Standing.SEEN).waiting == frozenset()


def test_what_was_passed_over_comes_last_but_going_back_finds_it() -> None:
    one = order()
    one.skipped |= {"b"}
    assert one.next_open("a") == "c"
    assert one.next_open("c", -1) == "a"
    assert one.next_open("c", -1, again=True) == "b"
    for key in "acd":
        one.note(key, Standing.SEEN)
    assert one.next_open("a") == "b"  # no other is left
    one.about(Checklist((asked("a"),), (), frozenset()), {}, (), hasty=False, fresh=True)
    assert not one.skipped


def test_an_entry_taken_back_is_open_again() -> None:
    one = order(a=Standing.SEEN)
    assert one.noted == {"a"}
    one.note("b", Standing.SEEN)
    assert one.noted == {"a", "b"}
    one.note("b", Standing.NOT_LOOKED_AT)
    assert one.noted == {"a"}
    assert order(a=Standing.NOT_LOOKED_AT).noted == frozenset()


def test_where_all_is_noted_it_stays() -> None:
    one = order(**dict.fromkeys("abcd", Standing.SEEN))
    assert one.next_open("b") == "b"
    assert AskingOrder({}).first() == ""


def test_a_part_begins_with_what_is_open() -> None:
    one = order(c=Standing.SEEN)
    assert one.first_of_part("stem") == "d"
    assert one.first_of_part("cap") == "a"
    assert one.first_of_part("ring") == ""
    assert order(a=Standing.SEEN).first_of_part("cap") == "a"


def test_the_state_used_last_is_the_newest() -> None:
    assert order().last_state("a") == "red"
    assert order().last_state("b") == ""


def test_what_fades_stands_in_the_other_order() -> None:
    by_part = tuple(asked(key) for key in "ab")
    one = AskingOrder({})
    one.about(Checklist(by_part, by_part[::-1], frozenset("ab")), {}, (), hasty=True, fresh=True)
    assert one.keys == ["b", "a"]
