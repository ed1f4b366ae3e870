"""A window of 1366 by 768 px: all that can kill in sight, and at least nine rows of the table below it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QPoint, QRect
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from catalog_gui import assets
from catalog_gui.lookalikes.reference import Severity
from catalog_gui.views import theme
from catalog_gui.views.bench import Bench
from catalog_gui.views.compare.page import ComparePage
from catalog_gui.views.main_window import MainWindow
from tests.views.compare.conftest import PATIENCE, SIX

WIDTH, HEIGHT = 1366, 768
LEAST_ROWS = 9


@pytest.fixture
def window(bench: Bench, qtbot: QtBot, qapp: QApplication) -> Iterator[MainWindow]:
    font, palette, sheet = qapp.font(), qapp.palette(), qapp.styleSheet()
    theme.load_fonts(assets.fonts())
    theme.apply(qapp, "light")
    made = MainWindow(bench, (ComparePage,))
    made.resize(WIDTH, HEIGHT)
    bench.choose_foray("walk")
    made.show()
    made.show_page("compare")
    yield made
    qtbot.waitUntil(lambda: not bench.records_queue.busy, timeout=PATIENCE)
    made.close()
    qapp.setFont(font)
    qapp.setPalette(palette)
    qapp.setStyleSheet(sheet)


def whole_rows(page: ComparePage) -> int:
    table = page.table
    height = table.viewport().height()
    return sum(
        table.rowViewportPosition(row) >= 0
        and table.rowViewportPosition(row) + table.rowHeight(row) <= height
        for row in range(table.rowCount())
    )


@pytest.mark.window
@pytest.mark.parametrize("find", SIX)
def test_what_can_kill_and_nine_rows_are_in_sight(
    window: MainWindow, bench: Bench, qtbot: QtBot, find: str
) -> None:
    page = window.pages["compare"]
    assert isinstance(page, ComparePage)
    bench.choose_specimen(find)
    qtbot.waitUntil(
        lambda: (
            page.comparison.specimen is not None
            and page.comparison.specimen.id == find
            and not bench.records_queue.busy
            and not page.table_waiting
        ),
        timeout=PATIENCE,
    )
    qtbot.waitUntil(lambda: whole_rows(page) >= LEAST_ROWS, timeout=PATIENCE)
    assert (window.width(), window.height()) == (WIDTH, HEIGHT)
    inside = QRect(0, 0, WIDTH, HEIGHT)
    table_top = page.table.mapTo(window, QPoint(0, 0)).y()
    deadly = 0
    for row in page.banner.lines.rows:
        box = QRect(row.mapTo(window, QPoint(0, 0)), row.size())
        assert inside.contains(box)
        assert box.bottom() < table_top  # the folded banner does not reach over the table
        fatal = [member for member in row.line.members if member.severity is Severity.FATAL]
        deadly += len(fatal)
        for member in fatal:
            assert member.taxon.name.removeprefix(f"{member.taxon.genus} ") in row.words
        words = page.banner.lines._text.height(row.words, len(row.line.title), row._room(), row.font())
        assert words <= row.height()
    assert deadly >= sum(hazard.severity is Severity.FATAL for hazard in page.comparison.hazards) > 0
    assert whole_rows(page) >= LEAST_ROWS
