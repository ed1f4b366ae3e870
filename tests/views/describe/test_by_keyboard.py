"""A whole specimen described without the mouse, every key counted."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.views.describe.page import DescribePage
from tests.views.describe.conftest import Keyboard

SEEN, NOT_THERE, GONE = Standing.SEEN, Standing.NOT_THERE, Standing.GONE

# An invented white gilled find with ring and sac: what a person would type when asked for a feature, and what
# must then be written down. A feature that is not here is skipped with Tab. In the order of no list: the page asks.
TYPED: dict[str, tuple[str, Standing, tuple[str, ...]]] = {
    "whole.form": ("a", SEEN, ("agaric",)),
    "whole.growth": ("sc", SEEN, ("scattered",)),
    "whole.texture": ("fl", SEEN, ("fleshy",)),
    "whole.egg-stage": ("e", SEEN, ("present",)),
    "cap.shape": ("co,b", SEEN, ("convex", "bell")),
    "cap.centre": ("b", SEEN, ("umbo-broad",)),
    "cap.margin": ("e", SEEN, ("even",)),
    "cap.surface": ("si", SEEN, ("silky",)),
    "cap.moisture": ("s", SEEN, ("sticky",)),
    "cap.patches": ("-", NOT_THERE, ()),
    "cap.colour": ("w", SEEN, ("white",)),
    "cap.zones": ("-", NOT_THERE, ()),
    "cap.drying": ("-", NOT_THERE, ()),
    "cap.bruise": ("-", NOT_THERE, ()),
    "gills.kind": ("g", SEEN, ("gills",)),
    "gills.attachment": ("f", SEEN, ("free",)),
    "gills.spacing": ("cr", SEEN, ("crowded",)),
    "gills.colour": ("w", SEEN, ("white",)),
    "gills.young-colour": ("w", SEEN, ("white",)),
    "gills.edge": ("w", SEEN, ("fringed",)),
    "gills.milk": ("-", NOT_THERE, ()),
    "stem.shape": ("e", SEEN, ("equal",)),
    "stem.surface": ("w", SEEN, ("flaky",)),
    "stem.colour": ("w", SEEN, ("white",)),
    "stem.core": ("st", SEEN, ("stuffed",)),
    "stem.fibre": ("f", SEEN, ("fibrous",)),
    "stem.bruise": ("-", NOT_THERE, ()),
    "ring.kind": ("h", SEEN, ("hanging",)),
    "ring.position": ("h", SEEN, ("top",)),
    "ring.colour": ("w", SEEN, ("white",)),
    "ring.movable": ("f", SEEN, ("fixed",)),
    "ring.upper-face": ("~", GONE, ()),
    "ring.cortina": ("-", NOT_THERE, ()),
    "base.shape": ("ro", SEEN, ("round-bulb",)),
    "base.volva": ("s", SEEN, ("sac",)),
    "base.volva-colour": ("w", SEEN, ("white",)),
    "base.rooting": ("-", NOT_THERE, ()),
    "flesh.colour": ("w", SEEN, ("white",)),
    "flesh.change": ("-", NOT_THERE, ()),
    "print.colour": ("w", SEEN, ("white",)),
    "smell.kind": ("swee", SEEN, ("honey-sweet",)),
    "place.substrate": ("s", SEEN, ("soil",)),
    "place.trees": ("b,o", SEEN, ("beech", "oak")),
    "place.habitat": ("b", SEEN, ("broadleaved-wood",)),
}
SIZES = {"cap.width": "55-80", "stem.length": "90-130", "stem.width": "8-12"}


def test_a_whole_specimen_takes_at_most_three_keys_a_state(
    page: DescribePage, keyboard: Keyboard, noted: Callable[[], dict[str, Evidence]]
) -> None:
    """Every key counts: letters, Return, and Tab for what she leaves out. A range of sizes counts as one entry."""
    wanted = {*TYPED, *SIZES}
    skipped: list[str] = []
    states = 0
    for _ in range(200):
        asked = page.entry.asked
        if wanted <= noted().keys() or asked in skipped:
            break
        if asked in SIZES:
            keyboard.line(SIZES[asked])
            states += 1
        elif asked in TYPED:
            keyboard.line(TYPED[asked][0])
            states += max(1, len(TYPED[asked][2]))
            assert asked in noted(), f"{asked} was typed but is not written down"
        else:
            skipped.append(asked)
            keyboard.key(Qt.Key.Key_Tab)
    found = noted()
    assert wanted <= found.keys(), f"never asked: {sorted(wanted - found.keys())}"
    for feature, (_, standing, expected) in TYPED.items():
        assert found[feature].standing is standing, feature
        assert found[feature].states == expected, feature
    assert (found["cap.width"].low, found["cap.width"].high) == (55, 80)
    assert set(found) == wanted, "nothing else was written down"
    average = keyboard.pressed / states
    print(
        f"\nkeys: {keyboard.pressed} for {states} entries ({len(skipped)} left out with Tab): "
        f"{average:.2f} keys an entry"
    )
    assert average <= 3


def test_the_keys_in_front_of_the_states_are_faster_still(
    page: DescribePage, keyboard: Keyboard, noted: Callable[[], dict[str, Evidence]]
) -> None:
    for digit, feature, state in ((1, "whole.form", "agaric"), (2, "whole.growth", "scattered")):
        assert page.entry.asked == feature
        keyboard.text(str(digit))
        keyboard.settle()
        assert noted()[feature].states == (state,)
    assert keyboard.pressed == 2


def test_free_typing_jumps_anywhere(
    page: DescribePage, keyboard: Keyboard, noted: Callable[[], dict[str, Evidence]]
) -> None:
    for text, feature, standing in (
        ("vol sac", "base.volva", SEEN),
        ("no ring", "ring.kind", NOT_THERE),
        ("gone cap remains", "cap.patches", GONE),
        ("spores 8-10 x 6", "micro.spore-width", SEEN),
    ):
        keyboard.line(text)
        assert noted()[feature].standing is standing, text
        assert page.entry.line.text() == ""
    keyboard.line("?ring")
    assert "ring.kind" not in noted()
    keyboard.line("ring")
    assert page.entry.asked == "ring.kind", "a feature alone is only asked"
    assert "ring.kind" not in noted()


def test_tab_goes_on_and_back_and_escape_leaves(page: DescribePage, keyboard: Keyboard) -> None:
    first = page.entry.asked
    keyboard.key(Qt.Key.Key_Tab)
    assert page.entry.asked != first
    keyboard.key(Qt.Key.Key_Backtab, Qt.KeyboardModifier.ShiftModifier)
    assert page.entry.asked == first
    keyboard.text("volv")
    assert page.entry.current_offers()
    keyboard.key(Qt.Key.Key_Escape)
    assert page.entry.line.text() == ""
    assert not page.entry.current_offers()


def test_arrows_choose_another_offer(
    page: DescribePage, keyboard: Keyboard, noted: Callable[[], dict[str, Evidence]]
) -> None:
    keyboard.text("white")
    second = page.entry.current_offers()[1]
    keyboard.key(Qt.Key.Key_Down)
    keyboard.key(Qt.Key.Key_Return)
    keyboard.settle()
    assert set(noted()) == {second.feature.id}


def test_fast_typing_before_anything_is_saved_loses_nothing(
    page: DescribePage, keyboard: Keyboard, noted: Callable[[], dict[str, Evidence]]
) -> None:
    """She types on while the records are still being written: no waiting between the lines."""
    for text in ("agaric", "cap white", "cap cream", "gill free", "vol sac"):
        keyboard.text(text)
        keyboard.key(Qt.Key.Key_Return)
    keyboard.settle()
    keyboard.settle()
    assert noted()["cap.colour"].states == ("white", "cream")
    assert set(noted()) == {"whole.form", "cap.colour", "gills.attachment", "base.volva"}


def test_a_taste_asks_who(
    page: DescribePage, keyboard: Keyboard, noted: Callable[[], dict[str, Evidence]]
) -> None:
    from catalog_gui.views.describe.taster import TasterDialog

    keyboard.line("taste mild")
    dialog = page.findChild(TasterDialog)
    assert dialog is not None
    dialog.accept()
    assert dialog.isVisible(), "without a name it stays open"
    dialog.who.setCurrentText("Dr Ambrose Fell")
    dialog.accept()
    keyboard.settle()
    assert noted()["taste.kind"].noted_by == "Dr Ambrose Fell"


def test_a_taste_without_a_name_is_left_out(
    page: DescribePage, keyboard: Keyboard, noted: Callable[[], dict[str, Evidence]]
) -> None:
    from catalog_gui.views.describe.taster import TasterDialog

    keyboard.line("taste mild")
    dialog = page.findChild(TasterDialog)
    assert dialog is not None
    dialog.reject()
    keyboard.settle()
    assert noted() == {}
