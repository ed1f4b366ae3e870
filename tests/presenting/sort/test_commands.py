"""Only what can be done now can be pressed."""

from __future__ import annotations

from dataclasses import replace

from catalog_gui.domain.foray import SameAs
from catalog_gui.domain.specimen import Specimen
from catalog_gui.presenting.sort.commands import ALWAYS, BAR, COMMANDS, MENU, possible
from catalog_gui.presenting.sort.state import SortState, TrailRow
from tests.presenting.sort.test_state import join, row, trail


def with_groups(*rows: TrailRow) -> SortState:
    state = trail(*rows)
    return replace(state, row_of_group={one.group.id: index for index, one in enumerate(rows)})


def test_an_empty_trail_offers_nothing_but_what_always_goes() -> None:
    assert possible(SortState(), "", ()) == ALWAYS
    assert possible(SortState(), "", (), in_tray=True) == ALWAYS | {"back"}


def test_where_a_picture_stands_decides() -> None:
    state = with_groups(row("g1", "ab"), row("g2", "cd"), row("g3", "e"))
    first, inside, last = (possible(state, key, ()) for key in ("a", "d", "e"))
    assert {"after"} <= first
    assert not {"before", "join", "cut"} & first
    assert {"before", "after", "join", "cut"} <= inside
    assert {"before", "join"} <= last
    assert "after" not in last
    assert "put-down" not in last
    assert "put-down" in possible(state, "e", (), lifted=True)


def test_an_answer_needs_a_question() -> None:
    offer = SameAs("s", "f", "g2", "g1", 0.8, "The same log.")
    state = with_groups(
        row("g1", "ab", inner=(join("a", "b", 0.5),)), row("g2", "cd", offer=offer, offer_words="ES 1")
    )
    asked = {key: {"together", "apart"} <= possible(state, key, ()) for key in "abcd"}
    assert asked == {"a": False, "b": True, "c": True, "d": False}
    assert "doubtful" in possible(state, "a", ())


def test_what_is_a_specimen_is_described_and_not_accepted_again() -> None:
    state = with_groups(row("g1", "a", specimen=Specimen("s", "ES 1")), row("g2", "b"))
    taken = possible(state, "a", ["g1"])
    assert "describe" in taken
    assert "accept" not in taken
    assert "accept-all" in taken
    assert "accept" in possible(state, "a", ["g1", "g2"])
    assert "join" in possible(state, "a", ["g1", "g2"])
    done = with_groups(row("g1", "a", specimen=Specimen("s", "ES 1")))
    assert "accept-all" not in possible(done, "a", ["g1"])


def test_keys_are_given_once_and_menus_name_commands() -> None:
    keys = [key for one in COMMANDS for key in one.keys]
    assert len(keys) == len(set(keys))
    names = {one.name for one in COMMANDS}
    assert {name for names_ in (*BAR, *MENU) for name in names_} <= names
