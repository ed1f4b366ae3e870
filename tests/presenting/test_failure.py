"""Failures as sentences: what a person can use is said, a fault of the program is not recited."""

from __future__ import annotations

import errno
import os

import pytest

from catalog_gui.domain.problem import BadInput, PackRefused
from catalog_gui.presenting.failure import AT_FAULT, failure_reason, failure_words, usable


def test_our_own_problems_name_file_and_reason() -> None:
    problem = PackRefused("There is no part 'lid'.", path="parts.csv", line=4)
    assert usable(problem)
    assert failure_words(problem) == "parts.csv, line 4: There is no part 'lid'."
    assert failure_reason(problem) == "There is no part 'lid'."


def test_what_the_computer_refused_is_said_with_its_file() -> None:
    full = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), "/papers/a.pdf")
    assert usable(full)
    assert failure_words(full) == "/papers/a.pdf: The computer refused: No space left on device."
    assert failure_words(OSError(errno.EIO, "It failed")) == "The computer refused: It failed."


@pytest.mark.parametrize("error", [KeyError("gills"), ValueError("x"), OSError("half"), AssertionError()])
def test_a_fault_of_the_program_is_not_recited(error: Exception) -> None:
    assert not usable(error)
    assert failure_words(error) == failure_reason(error) == AT_FAULT


def test_a_reason_alone_needs_no_file() -> None:
    assert failure_reason(BadInput("'x' is no size.")) == failure_words(BadInput("'x' is no size."))
