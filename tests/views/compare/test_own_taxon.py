"""Taxa of her own in the window: added, marked as hers, followed at once, taken back."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit, QPushButton
from pytestqt.qtbot import QtBot

from catalog_gui import assets
from catalog_gui.lookalikes.reference import Reference, Severity
from catalog_gui.packs.own import OwnPackFolder
from catalog_gui.presenting.compare.taxon_words import taxon_page
from catalog_gui.views.bench import Bench
from catalog_gui.views.compare.own_taxon import OwnTaxonDialog
from catalog_gui.views.compare.page import ComparePage
from catalog_gui.views.compare.taxon_page import dress

PATIENCE = 30_000
FLORA = "Mossop H 1988. An invented flora"


@pytest.fixture
def own_bench(bench: Bench, tmp_path: Path) -> Bench:
    bench.pack.own = OwnPackFolder(assets.reference_pack(), tmp_path / "own-taxa")
    bench.pack.open_folder = lambda folder: OwnPackFolder(assets.reference_pack(), Path(folder))
    bench.pack.place = "here"
    return bench


@pytest.fixture
def dialog(own_bench: Bench, page: ComparePage, qtbot: QtBot) -> Iterator[OwnTaxonDialog]:
    page.add_taxon()
    assert page.own is not None
    yield page.own
    qtbot.waitUntil(lambda: not own_bench.records_queue.busy, timeout=PATIENCE)


def settled(bench: Bench, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not bench.records_queue.busy, timeout=PATIENCE)


def type_in(qtbot: QtBot, field: QLineEdit, words: str) -> None:
    field.setFocus()
    qtbot.keyClicks(field, words)


def add_by_keyboard(dialog: OwnTaxonDialog, bench: Bench, qtbot: QtBot) -> None:
    tab = dialog.name_tab
    type_in(qtbot, tab.name, "Amanita hobbinensis")
    type_in(qtbot, tab.english, "Hobbin cap")
    tab.source.setEditText(FLORA)
    qtbot.keyClick(tab.english, Qt.Key.Key_Return)
    settled(bench, qtbot)
    assert dialog.taxon_id == "amanita-hobbinensis"


def test_a_taxon_is_added_by_keyboard_and_compare_follows_at_once(
    dialog: OwnTaxonDialog, own_bench: Bench, page: ComparePage, qtbot: QtBot, settle: Callable[[], None]
) -> None:
    assert not dialog.tabs.isTabEnabled(1)
    add_by_keyboard(dialog, own_bench, qtbot)
    assert dialog.tabs.isTabEnabled(1)
    states = dialog.states
    states.feature.setEditText("colour of the cap or outer")
    states.state.setEditText("blue")
    states.often.setCurrentText("always")
    qtbot.keyClick(states.note, Qt.Key.Key_Return)
    settled(own_bench, qtbot)
    reference = own_bench.reference
    assert [(r.state, r.frequency.value) for r in reference.all_states_of("amanita-hobbinensis")] == [
        ("blue", "always")
    ]
    assert states.rows.item(0, 0).text() == "yours"
    assert states.rows.item(0, 2).text() == "blue"
    hazards = dialog.hazards
    hazards.source.setEditText(FLORA)
    hazards.severity.setCurrentText("can kill")
    qtbot.mouseClick(hazards.add, Qt.MouseButton.LeftButton)
    settled(own_bench, qtbot)
    assert own_bench.reference.severity_of("amanita-hobbinensis") is Severity.FATAL
    settle()
    line = next(h for h in page.comparison.hazards if h.taxon.id == "amanita-hobbinensis")
    assert line.hers
    assert "(yours)" in line.name
    page._add_named("Amanita hobbinensis")
    settle()
    cap = next(row for row in page.comparison.lines if row.feature.id == "cap.colour")
    assert any("blue (yours)" in cell.written for cell in cap.cells)


def test_it_can_be_taken_back_step_by_step_and_done_again(
    dialog: OwnTaxonDialog, own_bench: Bench, qtbot: QtBot
) -> None:
    before = own_bench.reference
    add_by_keyboard(dialog, own_bench, qtbot)
    own_bench.undo()
    settled(own_bench, qtbot)
    assert own_bench.reference.taxon("amanita-hobbinensis") is None
    assert own_bench.reference.taxa == before.taxa
    assert dialog.taxon_id == ""
    assert not dialog.tabs.isTabEnabled(1)
    own_bench.redo()
    settled(own_bench, qtbot)
    assert own_bench.reference.taxon("amanita-hobbinensis") is not None


def test_what_is_refused_is_said_in_the_page_and_nothing_is_lost(
    dialog: OwnTaxonDialog, own_bench: Bench, qtbot: QtBot
) -> None:
    type_in(qtbot, dialog.name_tab.name, "Amanita phalloides")
    dialog.save_name()
    settled(own_bench, qtbot)
    assert "already as Amanita phalloides" in dialog.told.text()
    assert dialog.name_tab.name.text() == "Amanita phalloides"
    dialog.show_taxon("amanita-virosa")
    settled(own_bench, qtbot)
    dialog.hazards.add_row()
    assert "Say where this poisoning is documented" in dialog.told.text()
    dialog.sizes.feature.setEditText("Cap: cap width")
    dialog.sizes.numbers[1].setText("wide")
    dialog.sizes.add_row()
    assert "'wide' is not a number." in dialog.told.text()
    assert not own_bench.own_pack.steps()


def test_a_table_broken_by_hand_is_named_with_file_line_and_column(
    dialog: OwnTaxonDialog, own_bench: Bench, qtbot: QtBot
) -> None:
    add_by_keyboard(dialog, own_bench, qtbot)
    assert own_bench.own_pack is not None
    broken = own_bench.own_pack.folder / "taxon_sizes.csv"
    broken.write_text(
        "taxon,feature,low,high,extreme_low,extreme_high,unit,source,note\n"
        "amanita-hobbinensis,cap.width,wide,90,,,mm,memory,\n",
        encoding="utf-8",
    )
    dialog.states.feature.setEditText("colour of the cap or outer")
    dialog.states.state.setEditText("blue")
    dialog.states.add_row()
    settled(own_bench, qtbot)
    assert "taxon_sizes.csv, line 2, column low" in dialog.told.text()
    assert own_bench.reference.all_states_of("amanita-hobbinensis") == ()


def test_values_of_hers_stand_beside_ours_and_go_again(
    dialog: OwnTaxonDialog, own_bench: Bench, qtbot: QtBot
) -> None:
    dialog.show_taxon("amanita-phalloides")
    settled(own_bench, qtbot)
    ours = dialog.states.rows.rowCount()
    assert ours > 20
    assert not dialog.states.away.isEnabled()
    dialog.states.feature.setEditText("Base: volva")
    assert dialog.states.feature.key == "base.volva"
    dialog.states.state.setEditText("sac")
    state = dialog.states.state
    state.choose("sac")
    dialog.states.often.setCurrentText("never")
    dialog.states.add_row()
    settled(own_bench, qtbot)
    rows = own_bench.reference.states_of("amanita-phalloides", "base.volva")
    assert {
        (r.frequency.value, r.pack != own_bench.reference.packs[0]) for r in rows if r.state == "sac"
    } >= {("never", True)}
    assert any(r.state == "sac" and r.pack == own_bench.reference.packs[0] for r in rows)
    assert dialog.states.rows.rowCount() == ours + 1
    taxon = own_bench.reference.taxon("amanita-phalloides")
    assert taxon is not None
    assert "yours stands beside ours, because it is dangerous" in taxon_page(
        own_bench.reference, taxon, dress()
    )
    dialog.states.rows.setCurrentCell(0, 0)
    assert dialog.states.away.isEnabled()
    qtbot.keyClick(dialog.states.rows, Qt.Key.Key_Delete)
    settled(own_bench, qtbot)
    assert dialog.states.rows.rowCount() == ours
    assert dialog.remove.isEnabled() is False or own_bench.reference.packs[1:] == ()


def test_every_control_has_a_name_and_a_purpose(dialog: OwnTaxonDialog) -> None:
    for kind in (QLineEdit, QPushButton):
        for control in dialog.findChildren(kind):
            named = control if control.objectName() else control.parentWidget()
            assert named is not None
            assert named.objectName()
            assert named.accessibleName() or control.text()  # type: ignore[attr-defined]


def test_another_pack_is_read_at_once_and_a_broken_one_is_not_kept(
    own_bench: Bench, page: ComparePage, tmp_path: Path, qtbot: QtBot, reference: Reference
) -> None:
    good, bad = tmp_path / "good", tmp_path / "bad"
    for folder, name in ((good, "Testia nova"), (bad, "")):
        folder.mkdir()
        (folder / "taxa.csv").write_text(
            f"taxon,name,authority,rank,genus,section,english,forms,group,note,source\nnova,{name},,,,,,,,,\n",
            encoding="utf-8",
        )
    page.show_about("amanita-phalloides")
    assert page.sheet is not None
    page.sheet.choose_pack(str(good))
    settled(own_bench, qtbot)
    assert own_bench.reference.taxon("nova") is not None
    assert own_bench.preferences == replace(own_bench.preferences, own_pack=str(good))
    told: list[str] = []
    own_bench.trouble.connect(told.append)
    page.sheet.choose_pack(str(bad))
    qtbot.waitUntil(lambda: bool(told), timeout=PATIENCE)
    assert "taxa.csv, line 2, column name" in told[0]
    assert own_bench.preferences.own_pack == str(good)
    assert own_bench.reference.taxon("nova") is not None
