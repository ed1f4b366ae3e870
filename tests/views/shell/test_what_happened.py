"""From a failure to the person: a sentence on the line below, the log behind it."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QLabel, QPushButton
from pytestqt.qtbot import QtBot

from catalog_gui import logbook
from catalog_gui.app import build_window
from catalog_gui.domain.problem import BadInput
from catalog_gui.presenting.failure import AT_FAULT
from catalog_gui.settings import Preferences
from catalog_gui.views.main_window import MainWindow
from catalog_gui.views.what_happened import WhatHappened


@pytest.fixture
def window(tmp_path: Path, qapp: QApplication) -> Iterator[MainWindow]:
    folder = str(tmp_path / "catalogue")
    made = build_window(qapp, folder=folder, preferences_file=tmp_path / "p.json", log=True)
    made.show()
    yield made
    made.close()
    logbook.end()


def line(window: MainWindow) -> str:
    found = window.findChild(QLabel, "message-line")
    assert isinstance(found, QLabel)
    return found.text()


def more(window: MainWindow) -> QPushButton:
    found = window.findChild(QPushButton, "what-happened-show")
    assert isinstance(found, QPushButton)
    return found


def test_a_fault_is_said_plainly_and_the_log_shows_where(window: MainWindow, qtbot: QtBot) -> None:
    def fail(_: object) -> None:
        raise KeyError("gills")

    window.bench.do("Note gills", fail)
    qtbot.waitUntil(lambda: line(window) == AT_FAULT, timeout=20_000)
    assert more(window).isVisible()
    more(window).click()
    dialog = window.findChild(WhatHappened)
    assert isinstance(dialog, WhatHappened)
    qtbot.waitUntil(lambda: "KeyError: 'gills'" in dialog.text, timeout=20_000)
    assert "Traceback" in dialog.text
    assert "queue-records" in dialog.text
    dialog.copy()
    assert QApplication.clipboard().text() == dialog.text
    window.bench.said.emit("Something else.")
    assert not more(window).isVisible()


def test_a_problem_is_its_own_sentence_and_needs_no_log(window: MainWindow, qtbot: QtBot) -> None:
    def fail(_: object) -> None:
        raise BadInput("'x' is no size.")

    window.bench.do("Note a size", fail)
    qtbot.waitUntil(lambda: line(window) == "'x' is no size.", timeout=20_000)
    assert not more(window).isVisible()
    text = logbook.newest(Path(window.bench.place))
    assert "'x' is no size." in text
    assert "Traceback" not in text


def test_preferences_that_cannot_be_kept_are_said(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device", str(tmp_path / "p.json"))

    monkeypatch.setattr("catalog_gui.settings.write_whole", full)
    window.bench.set_preferences(Preferences(person="Wilma Thorn"))
    assert line(window) == f"{tmp_path / 'p.json'}: The computer refused: No space left on device."
    assert window.bench.preferences.person == "Wilma Thorn"


def test_preferences_that_could_not_be_read_are_said_when_the_window_opens(
    tmp_path: Path, qapp: QApplication
) -> None:
    path = tmp_path / "p.json"
    path.write_text('{"theme": "pink"}', encoding="utf-8")
    window = build_window(qapp, folder=str(tmp_path / "catalogue"), preferences_file=path)
    try:
        assert "'theme' says 'pink'" in line(window)
    finally:
        window.close()
    assert not [one for one in logging.getLogger("catalog_gui").handlers if one.get_name()]
