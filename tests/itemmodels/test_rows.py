"""The flat model under Qt's own tester, and how little it repaints."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QModelIndex, Qt
from pytestqt.modeltest import ModelTester
from pytestqt.qtbot import QtBot

from catalog_gui.itemmodels.rows import RowsModel


@dataclass(frozen=True)
class Line:
    key: str
    words: str
    head: bool = False


def made() -> RowsModel[Line]:
    return RowsModel(
        text=lambda line: line.words,
        key=lambda line: line.key,
        tip=lambda line: line.words.upper() if line.words else "",
        usable=lambda line: not line.head,
    )


def test_sound_while_rows_come_change_and_go(qapp: object, qtmodeltester: ModelTester) -> None:
    model = made()
    qtmodeltester.check(model)
    model.set_rows([Line("h", "Cap", head=True), Line("a", "red"), Line("b", "")])
    qtmodeltester.check(model)
    model.set_rows([Line("h", "Cap", head=True), Line("a", "brown"), Line("b", "")])
    model.set_rows([])
    qtmodeltester.check(model)


def test_the_same_keys_repaint_only_what_changed(qapp: object, qtbot: QtBot) -> None:
    model = made()
    model.set_rows([Line("a", "red"), Line("b", "white"), Line("c", "grey")])
    resets: list[object] = []
    model.modelReset.connect(lambda: resets.append(1))
    with qtbot.waitSignal(model.dataChanged, timeout=1000) as moved:
        model.set_rows([Line("a", "red"), Line("b", "cream"), Line("c", "grey")])
    assert [index.row() for index in moved.args[:2]] == [1, 1]
    assert not resets
    model.set_rows([Line("b", "cream")])
    assert resets == [1]
    assert model.row_of("b") == 0
    assert model.row_of("a") == -1


def test_headings_cannot_be_chosen(qapp: object) -> None:
    model = made()
    model.set_rows([Line("h", "Cap", head=True), Line("a", "red")])
    head, line = model.index(0), model.index(1)
    assert not model.flags(head) & Qt.ItemFlag.ItemIsSelectable
    assert model.flags(line) & Qt.ItemFlag.ItemIsSelectable
    assert model.flags(QModelIndex()) == Qt.ItemFlag.NoItemFlags
    assert line.data(Qt.ItemDataRole.ToolTipRole) == "RED"
    assert line.data(Qt.ItemDataRole.UserRole) == Line("a", "red")
    assert model.rowCount(line) == 0
