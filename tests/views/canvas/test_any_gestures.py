"""Any sequence of gestures on the canvas, taken back, gives the first state byte for byte."""

from __future__ import annotations

import random

import pytest
from PySide6.QtCore import Qt

from tests.views.canvas.hands import Hands

_DRAWN = "POLCGXY"


def gesture(hands: Hands, chance: random.Random) -> None:
    """One thing a person might do next."""

    def place() -> tuple[float, float]:
        return chance.uniform(5, 795), chance.uniform(5, 595)

    match chance.choice(["drag", "drag", "keys", "chain", "scale", "move", "arrows", "words", "delete"]):
        case "drag":
            hands.tool(chance.choice(_DRAWN))
            hands.drag(place(), place())
            hands.no_words()
        case "keys":
            hands.tool("L")
            for _ in range(2):
                hands.key(chance.choice([Qt.Key.Key_Left, Qt.Key.Key_Down]), times=chance.randint(1, 9))
                hands.key(Qt.Key.Key_Return)
        case "chain":
            hands.tool(chance.choice("KB"))
            for _ in range(chance.randint(1, 5)):
                hands.click(*place())
            hands.key(Qt.Key.Key_Escape)
            hands.no_words()
        case "scale":
            hands.scale(place(), place(), "20 mm")
        case "move":
            hands.tool("M")
            hands.drag(place(), place())
        case "arrows":
            hands.tool("M")
            hands.key(Qt.Key.Key_Tab)
            hands.key(Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier, times=2)
        case "words":
            hands.tool("M")
            hands.key(Qt.Key.Key_Tab)
            hands.key(Qt.Key.Key_Return)
            if hands.canvas.words.isVisible():
                hands.say(f"word {chance.randint(1, 99)}")
        case "delete":
            hands.tool("M")
            hands.key(Qt.Key.Key_Tab)
            hands.key(Qt.Key.Key_Delete)


@pytest.mark.parametrize("seed", range(4))
def test_any_gestures_taken_back(hands: Hands, seed: int) -> None:
    chance = random.Random(seed)
    states = [hands.everything()]
    for _ in range(14):
        gesture(hands, chance)
        hands.settle()
    steps = len(hands.labels())
    assert steps > 5
    for _ in range(steps):
        hands.undo()
    assert hands.everything() == states[0]
    assert hands.surface.marks() == ()
