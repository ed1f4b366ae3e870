"""The rows of Compare under Qt's own tester: a find beside two taxa, and the teaching view without one."""

from __future__ import annotations

from PySide6.QtCore import Qt
from pytestqt.modeltest import ModelTester

from catalog_gui.domain.evidence import Standing
from catalog_gui.domain.feature import Part
from catalog_gui.domain.specimen import Specimen
from catalog_gui.itemmodels.comparison import ComparisonRows
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.presenting.compare.rows import rows_of
from catalog_gui.presenting.compare.state import Cell, Comparison, Line, Says


def comparison(reference: Reference, specimen: Specimen | None) -> Comparison:
    taxa = reference.taxa[:2]
    caps = [one for one in reference.vocabulary.features if one.part is Part.CAP][:3]
    cells = (Cell(Says.AGREES, "red"), Cell(Says.NOT_LOOKED_AT, "white", ("nowhere",)))
    lines = tuple(Line(one, "red", Standing.SEEN, cells, separates=True) for one in caps)
    return Comparison(specimen, taxa=taxa, severities=(None, None), lines=lines)


def test_sound_with_a_find_and_without(
    qapp: object, reference: Reference, qtmodeltester: ModelTester
) -> None:
    model = ComparisonRows(reference)
    qtmodeltester.check(model)
    for specimen in (Specimen("s", "25-001"), None):
        shown = comparison(reference, specimen)
        model.show_rows(shown, rows_of(shown, "all", parting_first=False, drawn=(Part.CAP,)))
        qtmodeltester.check(model)
        assert model.rowCount() == 4
        assert model.columnCount() == (4 if specimen else 3)
    model.show_rows(Comparison(), [])
    qtmodeltester.check(model)


def test_heads_and_spoken_words(qapp: object, reference: Reference) -> None:
    shown = comparison(reference, Specimen("s", "25-001"))
    model = ComparisonRows(reference)
    model.show_rows(shown, rows_of(shown, "all", parting_first=False, drawn=()))
    across = Qt.Orientation.Horizontal
    assert [model.headerData(column, across) for column in range(2)] == ["Feature", "Find 25-001"]
    spoken = Qt.ItemDataRole.AccessibleTextRole
    assert model.headerData(2, across, spoken) == shown.taxa[0].name
    line = shown.lines[0]
    assert model.index(1, 3).data(spoken) == (
        f"{line.feature.name}, {shown.taxa[1].name}: {Says.NOT_LOOKED_AT.value}: white"
    )
    assert model.index(1, 3).data(Qt.ItemDataRole.ToolTipRole).endswith("Source: nowhere")
