"""What to check next, in words: what looking takes, what it may settle, what each answer would do."""

from __future__ import annotations

import re

from catalog_gui.lookalikes.next_checks import Answer
from catalog_gui.lookalikes.weighing import Weighing
from catalog_gui.presenting.compare.state import CheckLine

COST_WORDS = {
    "picture": "look again at the pictures",
    "specimen": "look at the find in hand",
    "habitat": "look around the spot",
    "dig": "dig out the whole base",
    "cut": "cut or press it",
    "smell": "smell it, freshly cut",
    "print": "spore print, overnight",
    "reagent": "a drop of reagent",
    "microscope": "microscope",
}
"""What looking takes, in words, from what can be done at once to what takes an instrument."""


def check_lines(weighing: Weighing) -> tuple[CheckLine, ...]:
    """The checks of a weighing, the best first."""
    lines = []
    for check in weighing.next_checks:
        hit = dict.fromkeys(name for answer in check.answers for name in answer.speaks_against)
        settles = check.settles
        if len(hit) > 1:
            settles = f"may speak against {len(hit)} dangerous taxa, {next(iter(hit))} among them"
        told = [answer for answer in check.answers if answer.speaks_against or answer.agrees_with]
        lines.append(
            CheckLine(
                check.feature,
                check.name,
                taking_words(check.cost, check.how),
                check.how,
                settles,
                tuple(_answer_words(answer) for answer in told),
                tuple(_answer_in_full(answer) for answer in told),
            )
        )
    return tuple(lines)


def taking_words(cost: str, how: str) -> str:
    """What looking takes: for what is cut, pressed or rubbed the feature's own instruction says which."""
    first = re.split(r"[.;]", how, maxsplit=1)[0].strip()
    if cost == "cut" and first:
        return f"{first[:1].lower()}{first[1:]}"
    return COST_WORDS.get(cost, cost)


def _answer_words(answer: Answer) -> str:
    """'white: against 14, fits A. virosa and 4 more'."""
    parts = []
    if answer.speaks_against:
        parts.append(f"against {len(answer.speaks_against)}")
    if answer.agrees_with:
        more = len(answer.agrees_with) - 1
        parts.append(f"fits {_short(answer.agrees_with[0])}" + (f" and {more} more" if more else ""))
    return f"{answer.state}: {', '.join(parts)}"


def _answer_in_full(answer: Answer) -> str:
    parts = []
    if answer.speaks_against:
        parts.append(f"speaks against {', '.join(answer.speaks_against)}")
    if answer.agrees_with:
        parts.append(f"fits {', '.join(answer.agrees_with)}")
    return f"{answer.state}: {'; '.join(parts)}"


def _short(name: str) -> str:
    genus, _, rest = name.partition(" ")
    return f"{genus[0]}. {rest}" if rest else name
