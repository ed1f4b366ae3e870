"""The log beside the catalogue, and what ends in it."""

from __future__ import annotations

import logging
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from catalog_gui import logbook

_log = logging.getLogger("catalog_gui.somewhere")


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Path]:
    logbook.keep(tmp_path)
    yield tmp_path
    logbook.end()


@pytest.fixture
def told(folder: Path) -> Iterator[list[Exception]]:
    heard: list[Exception] = []
    before, before_in_thread = sys.excepthook, threading.excepthook
    sys.excepthook = lambda *_: None  # quiet, and not pytest's own
    threading.excepthook = lambda *_: None
    undo = logbook.watch(heard.append)
    yield heard
    undo()
    sys.excepthook, threading.excepthook = before, before_in_thread


def raised(error: Exception) -> Exception:
    try:
        raise error
    except type(error) as caught:
        return caught


def test_it_says_what_it_was_opened_with_and_goes_on(folder: Path) -> None:
    assert "Opened by version" in logbook.newest(folder)
    _log.warning("the first")
    logbook.end()
    _log.warning("nobody listens")
    logbook.keep(folder)
    _log.warning("the second")
    text = logbook.newest(folder)
    assert "the first" in text
    assert "the second" in text
    assert "nobody listens" not in text


def test_it_is_turned_over_and_old_ones_go(folder: Path) -> None:
    for _ in range(12):
        _log.warning("x" * (logbook.MOST_BYTES // 2))
    names = sorted(one.name for one in folder.iterdir())
    assert names == [logbook.NAME, *(f"{logbook.NAME}.{n}" for n in range(1, logbook.OLDER + 1))]
    assert all(one.stat().st_size <= logbook.MOST_BYTES for one in folder.iterdir())


def test_the_newest_lines_are_whole(folder: Path) -> None:
    for number in range(200):
        _log.warning("line %03d", number)
    text = logbook.newest(folder, 500)
    assert len(text.encode()) <= 500
    assert text.endswith("line 199\n")
    assert text.splitlines()[0].count("line ") == 1
    assert text[0].isdigit()  # a line begins with its date


def test_a_folder_that_cannot_be_written_has_no_log(tmp_path: Path) -> None:
    assert logbook.keep(tmp_path / "gone") is None
    assert logbook.newest(tmp_path / "gone") == ""


def test_what_nobody_caught_is_logged_with_its_place_and_told(folder: Path, told: list[Exception]) -> None:
    error = raised(KeyError("gills"))
    sys.excepthook(KeyError, error, error.__traceback__)
    assert told == [error]
    text = logbook.newest(folder)
    assert "Traceback" in text
    assert "KeyError: 'gills'" in text
    assert "test_logbook.py" in text


def test_in_a_thread_too(folder: Path, told: list[Exception]) -> None:
    def fail() -> None:
        raise LookupError("below")

    thread = threading.Thread(target=fail, name="a-worker")
    thread.start()
    thread.join()
    assert [str(one) for one in told] == ["below"]
    assert "a-worker" in logbook.newest(folder)


def test_a_stroke_of_ctrl_c_is_no_failure(folder: Path, told: list[Exception]) -> None:
    sys.excepthook(KeyboardInterrupt, KeyboardInterrupt(), None)
    assert not told
    assert "KeyboardInterrupt" not in logbook.newest(folder)


def test_a_telling_that_fails_is_logged_and_not_told(folder: Path) -> None:
    before = sys.excepthook
    sys.excepthook = lambda *_: None

    def tell(_: Exception) -> None:
        raise RuntimeError("no window")

    undo = logbook.watch(tell)
    error = raised(ValueError("first"))
    sys.excepthook(ValueError, error, error.__traceback__)
    undo()
    sys.excepthook = before
    text = logbook.newest(folder)
    assert "ValueError: first" in text
    assert "RuntimeError: no window" in text
