"""The order of numbers for people: 2025-2 before 2025-10."""

from __future__ import annotations

import re

_FIGURES = re.compile(r"\d+")


def number_key(number: str) -> str:
    """A text that sorts as the number does: runs of figures by what they count, all else without case.

    Each run becomes its length in two digits and the run without leading zeros; numbers that differ in
    leading zeros alone keep an order of their own by the number itself, which follows.
    """

    def counted(found: re.Match[str]) -> str:
        figures = found.group().lstrip("0") or "0"
        return f"{min(len(figures), 99):02}{figures}"

    return f"{_FIGURES.sub(counted, number.casefold())}\x01{number}"
