"""The caution in its box, and what to do when somebody has eaten: the same on every paper."""

from __future__ import annotations

from catalog_gui.domain.caution import AFTER_A_MEAL, CAUTION, IF_EATEN
from catalog_gui.domain.page import Block, Text, Weight


def caution_box(emergency: tuple[str, ...]) -> Text:
    """The caution with the numbers that were typed in, or a line to write one on."""
    return Text(f"{CAUTION}\n{numbers_line(emergency)}", Weight.CAUTION)


def numbers_line(emergency: tuple[str, ...]) -> str:
    """The numbers to call, or a line to write one on."""
    return "   ".join(emergency) if emergency else "Local number: ______________________"


def emergency_blocks(emergency: tuple[str, ...]) -> list[Block]:
    """What to do after a suspected poisoning: first the call, with the numbers, then what to keep and to say."""
    first, *more = AFTER_A_MEAL
    return [
        Text(IF_EATEN, Weight.HEADING),
        Text(f"• {first}\n{numbers_line(emergency)}"),
        *(Text("• " + words) for words in more),
    ]
