"""The list of sources in Help."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from catalog_gui.app import build_window
from catalog_gui.views.main_window import MainWindow
from catalog_gui.views.where_from import TYPED, WhereFrom

pytestmark = pytest.mark.window


@pytest.fixture
def window(tmp_path: Path, qapp: QApplication) -> Iterator[MainWindow]:
    made = build_window(qapp, folder=str(tmp_path / "catalogue"), preferences_file=tmp_path / "p.json")
    made.show()
    yield made
    made.close()


def test_help_lists_the_sources_and_typing_narrows_them(window: MainWindow, qtbot: QtBot) -> None:
    window.show_where_from()
    sheet = window.findChild(WhereFrom, "where-from")
    assert sheet is not None
    share = sheet.findChild(QLabel, "where-from-share")
    assert share is not None
    assert "from memory" in share.text()
    whole = sheet.shown.rowCount()
    assert whole > 500
    qtbot.keyClicks(sheet.filter, "galerina marginata")
    assert 0 < sheet.shown.rowCount() < whole
    shown = [str(sheet.shown.index(row, 0).data(TYPED)) for row in range(sheet.shown.rowCount())]
    assert all("galerina marginata" in words.casefold() for words in shown)
    assert sheet.count.text().startswith(f"{len(shown)} of {whole}")
