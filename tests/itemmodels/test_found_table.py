"""The table of what a search found, under Qt's own tester, while its pages come one by one."""

from __future__ import annotations

from PySide6.QtCore import Qt
from pytestqt.modeltest import ModelTester
from pytestqt.qtbot import QtBot

from catalog_gui.domain.caution import NO_ENTRY, NO_ENTRY_MEANS
from catalog_gui.domain.ledger import Found
from catalog_gui.itemmodels.found_table import FOUND, HAZARD, NAME, NUMBER, PAGE, FoundTable

TOTAL = 2 * PAGE + 30


def found(number: int) -> Found:
    name = "" if number % 2 else "Russula emetica"
    return Found(f"s{number}", f"25-{number:03d}", name, "Ash Wood", None, 2, "")


def page(offset: int) -> tuple[Found, ...]:
    return tuple(found(number) for number in range(offset, min(offset + PAGE, TOTAL)))


def made() -> FoundTable:
    return FoundTable(lambda one: f"day of {one.number}")


def test_sound_while_pages_come(qapp: object, qtmodeltester: ModelTester) -> None:
    model = made()
    qtmodeltester.check(model)
    model.begin(0, page(0), TOTAL)
    qtmodeltester.check(model)
    model.add(2 * PAGE, page(2 * PAGE))
    model.add(10 * PAGE, page(0))  # an answer to a question about a longer list
    assert model.rowCount() == TOTAL
    model.begin(0, (), 0)
    qtmodeltester.check(model)


def test_rows_stand_before_their_page_has_come(qapp: object) -> None:
    model = made()
    assert not model.begin(0, page(0), TOTAL)
    late = PAGE + 5
    assert model.found(late) is None
    assert model.index(late, NUMBER).data() == "…"
    assert model.index(late, NAME).data() is None
    assert model.missing(PAGE - 5, TOTAL + 50) == [PAGE, 2 * PAGE]
    model.add(PAGE, page(PAGE))
    assert model.index(late, NUMBER).data() == f"25-{late:03d}"
    assert model.index(late, NUMBER).data(FOUND) == found(late)
    assert model.row_of(f"s{late}") == late
    assert model.row_of(f"s{2 * PAGE}") == -1


def test_the_same_count_keeps_the_place(qapp: object, qtbot: QtBot) -> None:
    model = made()
    model.begin(0, page(0), TOTAL)
    with qtbot.waitSignal(model.dataChanged, timeout=1000), qtbot.assertNotEmitted(model.modelReset):
        assert model.begin(PAGE, page(PAGE), TOTAL)
    assert model.found(0) is None


def test_an_empty_hazard_says_why_it_is_empty(qapp: object) -> None:
    model = made()
    model.begin(0, page(0), TOTAL)
    named, unnamed = model.index(0, HAZARD), model.index(1, HAZARD)
    assert named.data() == NO_ENTRY
    assert named.data(Qt.ItemDataRole.ToolTipRole) == NO_ENTRY_MEANS
    assert unnamed.data() == "no name yet"
    across = Qt.Orientation.Horizontal
    assert NO_ENTRY_MEANS in str(model.headerData(HAZARD, across, Qt.ItemDataRole.ToolTipRole))
    assert model.headerData(0, Qt.Orientation.Vertical) is None
