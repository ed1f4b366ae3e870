"""Rows, cells and journal steps that cannot be decoded, as sentences that name table and row."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from catalog_gui.domain.problem import Problem

UNREADABLE = (ValueError, TypeError, KeyError, IndexError, ArithmeticError, AttributeError, RecursionError)
"""What decoding a damaged cell may raise: wrong type, no JSON, no date, no such word, a number out of range."""

WAY_OUT = (
    "Nothing was changed. Foray > Safety copies and check finds everything that is damaged, and restores "
    "a safety copy into an empty folder."
)
_SHOWN = 40
T = TypeVar("T")


def or_else(read: Callable[[], T], instead: T) -> T:
    """What `read` gives, or `instead` where a cell is damaged: for lists, which go on without it.

    Whoever opens the row itself is told (`DamagedRow`), and so is whoever checks the catalogue.
    """
    try:
        return read()
    except UNREADABLE:
        return instead


class DamagedRow(Problem):
    """A row of the catalogue that cannot be read; `table` and `row` name it, `why` says what is wrong."""

    def __init__(self, table: str, row: str, why: str) -> None:
        self.table = table
        self.row = row
        self.why = why
        super().__init__(f"The row '{row}' of the table '{table}' is damaged: {why}. {WAY_OUT}")


class DamagedStep(Problem):
    """A step of the journal that cannot be read and so cannot be taken back or done again."""

    def __init__(self, step: int, label: object, why: str) -> None:
        self.step = step
        self.why = why
        named = f"{step} ('{label}')" if label else str(step)
        super().__init__(f"The step {named} of the journal is damaged: {why}. {WAY_OUT}")


def shown(cell: object) -> str:
    """A cell for a sentence: short, on one line, control characters escaped."""
    words = ascii(cell) if isinstance(cell, bytes) else repr(cell)
    return words if len(words) <= _SHOWN else f"{words[:_SHOWN]}…"
