"""The Hand on page: choosing, the deliberate yes, the preview, saving, stopping, the log."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QCheckBox,
    QComboBox,
    QFileDialog,
    QListWidget,
    QRadioButton,
    QWidget,
)
from pytestqt.qtbot import QtBot

from catalog_gui.domain.ledger import HandedOn
from catalog_gui.domain.page import A4_MM, LETTER_MM
from catalog_gui.domain.privacy import Audience
from catalog_gui.domain.sheet import Precision
from catalog_gui.settings import PaperSize
from catalog_gui.views.bench import Bench
from catalog_gui.views.outputs.old_table import OldTableDialog
from catalog_gui.views.outputs.page import HandOnPage
from catalog_gui.workflows.import_table import Column
from catalog_gui.workflows.publish.order import FILES, PLACELESS, Kind


def log_of(bench: Bench, qtbot: QtBot) -> tuple[HandedOn, ...]:
    got: list[tuple[HandedOn, ...]] = []
    bench.read(lambda work: work.handed_on.all(), got.append)
    qtbot.waitUntil(lambda: bool(got), timeout=20_000)
    return got[0]


def save(page: HandOnPage, target: Path, qtbot: QtBot, *, replace: bool = False) -> None:
    page.save(target, replace=replace)
    qtbot.waitUntil(lambda: not page.running and not page.bench.records_queue.busy, timeout=60_000)


@pytest.mark.parametrize("kind", list(Kind))
def test_every_kind_is_previewed_saved_and_noted(
    kind: Kind, page: HandOnPage, bench: Bench, shown: Callable[[], None], qtbot: QtBot, tmp_path: Path
) -> None:
    page.choices.set_kind(kind)
    page.choices.tick(None)
    shown()
    image = page.preview.sheet.image
    assert image is not None, page.preview.words
    ink = sum(
        QColor(image.pixel(x, y)).lightness() < 128
        for x in range(0, image.width(), 3)
        for y in range(0, image.height(), 3)
    )
    assert ink > 50
    suffix = "" if kind is Kind.PICTURES else Path(page.choices.file_name()).suffix
    target = tmp_path / f"out{suffix}"
    save(page, target, qtbot)
    assert target.exists()
    assert target.suffix == {Kind.ARCHIVE: ".zip", Kind.TABLE: ".xlsx", Kind.PICTURES: ""}.get(kind, ".pdf")
    (entry,) = log_of(bench, qtbot)
    assert entry.what == kind.value
    # Every find is private, so that the 1 km of the preference becomes 10.
    placeless = kind in PLACELESS or kind is Kind.EMERGENCY
    assert entry.precision == ("no place" if placeless else "10 km square")
    assert entry.specimens == (() if kind is Kind.NUMBERS else ("s1", "s2", "s3"))


def test_exact_place_needs_its_yes_each_time(
    page: HandOnPage, bench: Bench, shown: Callable[[], None], qtbot: QtBot, tmp_path: Path
) -> None:
    assert page.choices.reader().precision is Precision.ONE_KM  # the preference
    radio = page.findChild(QRadioButton, "hand-on-place-exact")
    sure = page.findChild(QCheckBox, "hand-on-sure")
    button = page.findChild(QWidget, "hand-on-save")
    assert radio is not None
    assert sure is not None
    assert button is not None
    assert not sure.isVisible()
    radio.click()
    assert sure.isVisible()
    assert not button.isEnabled()
    page.save(tmp_path / "no.pdf")
    assert not page.running
    assert not (tmp_path / "no.pdf").exists()
    sure.click()
    assert button.isEnabled()
    assert page.choices.reader().deliberate
    save(page, tmp_path / "yes.pdf", qtbot)
    assert [entry.precision for entry in log_of(bench, qtbot)] == ["exact place"]
    assert page.choices.reader().precision is Precision.ONE_KM  # and it is gone again
    radio.click()
    assert not sure.isChecked()
    sure.click()
    page.choices.set_audience(Audience.PUBLIC)  # another reader: the yes was not for them
    assert page.choices.reader().precision is Precision.ONE_KM
    assert not page.choices.reader().deliberate


def test_a_report_is_about_the_whole_foray(page: HandOnPage) -> None:
    assert page.choices.ticked() == ("s1",)
    page.choices.set_kind(Kind.OWNER)
    assert page.choices.ticked() == ("s1", "s2", "s3")
    page.choices.set_kind(Kind.SHEET)
    assert page.choices.ticked() == ("s1",)


def test_labels_of_the_paper_she_has(page: HandOnPage, bench: Bench) -> None:
    page.choices.set_kind(Kind.LABELS)
    assert page.choices.order().labels.size_mm == A4_MM
    bench.set_preferences(replace(bench.preferences, paper=PaperSize.LETTER))
    assert page.choices.order().labels.size_mm == LETTER_MM


def test_names_and_notes_are_left_out_for_others(page: HandOnPage) -> None:
    mine = page.choices.reader()
    assert (mine.names, mine.notes, mine.site) == (True, True, True)
    page.choices.set_audience(Audience.PUBLIC)
    public = page.choices.reader()
    assert (public.names, public.notes, public.site) == (False, False, False)
    page.choices.set_audience(Audience.LANDOWNER)
    owner = page.choices.reader()
    assert (owner.names, owner.notes, owner.site) == (False, False, True)
    page.choices.set_kind(Kind.PICTURES)
    assert page.choices.order().audience is Audience.PUBLIC


def test_existing_file_is_left_alone_without_her_word(
    page: HandOnPage, bench: Bench, shown: Callable[[], None], qtbot: QtBot, tmp_path: Path
) -> None:
    target = tmp_path / "old.pdf"
    target.write_text("mine")
    with qtbot.waitSignal(bench.trouble, timeout=60_000) as told:
        page.save(target)
    assert "there already" in told.args[0]
    assert "old.pdf" in told.args[0]
    assert target.read_text() == "mine"
    qtbot.waitUntil(lambda: not page.running)
    save(page, target, qtbot, replace=True)
    assert target.read_bytes().startswith(b"%PDF")
    assert len(log_of(bench, qtbot)) == 1  # what was not written is not noted


def test_stopping_leaves_nothing(page: HandOnPage, bench: Bench, qtbot: QtBot, tmp_path: Path) -> None:
    page.choices.tick(None)
    folder = tmp_path / "papers"
    folder.mkdir()
    with qtbot.waitSignal(bench.said, timeout=60_000) as said:
        page.save(folder / "out.pdf")
        page.stop()
    assert "Stopped" in said.args[0]
    assert list(folder.iterdir()) == []
    assert log_of(bench, qtbot) == ()


def test_vanished_folder_is_told(page: HandOnPage, bench: Bench, qtbot: QtBot, tmp_path: Path) -> None:
    with qtbot.waitSignal(bench.trouble, timeout=60_000) as told:
        page.save(tmp_path / "nowhere" / "out.pdf")
    assert "nowhere" in told.args[0]
    assert "does not exist" in told.args[0]


def test_turning_through_pages_and_papers(page: HandOnPage, shown: Callable[[], None], qtbot: QtBot) -> None:
    page.choices.tick(None)
    shown()
    assert page.preview.paper == 0
    first_pages = page.preview.pages
    for _ in range(first_pages):
        page.preview.on()
        shown()
    qtbot.waitUntil(lambda: page.preview.paper == 1, timeout=20_000)
    shown()
    page.preview.back()
    shown()
    qtbot.waitUntil(lambda: page.preview.paper == 0, timeout=20_000)
    width = page.preview.sheet.width()
    page.preview.zoom(1)
    qtbot.waitUntil(lambda: page.preview.sheet.width() > width, timeout=20_000)
    page.preview.whole_page()
    qtbot.waitUntil(lambda: page.preview.sheet.width() < width, timeout=20_000)


def test_nothing_ticked_says_what_to_do(page: HandOnPage, shown: Callable[[], None], qtbot: QtBot) -> None:
    page.choices.tick(())
    qtbot.waitUntil(lambda: "Tick a find" in page.preview.words, timeout=20_000)
    button = page.findChild(QWidget, "hand-on-save")
    assert button is not None
    assert not button.isEnabled()


def test_current_specimen_is_ticked(page: HandOnPage, bench: Bench, qtbot: QtBot) -> None:
    bench.choose_specimen("s3")
    qtbot.waitUntil(lambda: page.choices.ticked() == ("s3",), timeout=20_000)


def test_file_names_tell_nothing(page: HandOnPage, world: object) -> None:
    for kind in Kind:
        page.choices.set_kind(kind)
        name = page.choices.file_name()
        assert not any(word.casefold() in name.casefold() for word in world.WORDS.values())  # type: ignore[attr-defined]
        assert "/" not in name


def test_every_control_has_a_name(page: HandOnPage) -> None:
    for kind in Kind:
        page.choices.set_kind(kind)
        for control in page.findChildren(QWidget):
            if isinstance(control, QAbstractButton | QComboBox | QListWidget) and control.isVisible():
                assert control.objectName(), control
                assert control.accessibleName(), control.objectName()


def test_by_keyboard(page: HandOnPage, shown: Callable[[], None], qtbot: QtBot) -> None:
    """Space ticks a find; Ctrl+S opens the dialog with a proposed name in the catalogue's folder of papers."""
    finds = page.findChild(QListWidget, "hand-on-finds")
    assert finds is not None
    finds.setFocus()
    finds.setCurrentRow(2)
    QTest.keyClick(finds, Qt.Key.Key_Space)
    assert page.choices.ticked() == ("s1", "s3")
    page.activateWindow()
    qtbot.waitUntil(page.isActiveWindow, timeout=20_000)
    QTest.keyClick(page, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    dialog = page.findChild(QFileDialog, "hand-on-dialog")
    assert dialog is not None
    assert dialog.directory().dirName() == "papers"
    dialog.reject()


def test_numbers_go_on_from_the_last(page: HandOnPage, qtbot: QtBot) -> None:
    page.choices.set_kind(Kind.NUMBERS)
    assert page.choices.order().numbers[0] == "2025-004"


def test_old_spreadsheet_comes_in_by_her_mapping(
    page: HandOnPage, bench: Bench, qtbot: QtBot, tmp_path: Path
) -> None:
    path = tmp_path / "old.csv"
    path.write_text(
        "What,When,Who\nBoletus edulis,3/10/1998,Ursa Pell\n,,\nRussula cf. vesca,1999,\n", "utf-8"
    )
    papers = bench.papers
    assert papers is not None
    dialog = OldTableDialog(bench, papers.read_table(path), page)
    qtbot.addWidget(dialog)
    qtbot.waitUntil(lambda: "which column holds the name" in dialog.outcome, timeout=20_000)
    assert dialog.columns() == (Column.LEAVE, Column.DATE, Column.LEAVE)
    dialog.set_column(0, Column.NAME)
    dialog.set_column(2, Column.RECORDER)
    qtbot.waitUntil(lambda: "2 of 2 lines" in dialog.outcome, timeout=20_000)
    with qtbot.waitSignal(dialog.accepted, timeout=20_000):
        dialog.bring_in()
    got: list[tuple[object, ...]] = []
    bench.read(lambda work: work.specimens.where(collector="Ursa Pell"), got.append)
    qtbot.waitUntil(lambda: bool(got), timeout=20_000)
    assert len(got[0]) == 1
    bench.undo()
    after: list[int] = []
    bench.read(lambda work: work.specimens.count(), after.append)
    qtbot.waitUntil(lambda: bool(after), timeout=20_000)
    assert after == [3]


def test_files_are_no_papers() -> None:
    assert frozenset({Kind.ARCHIVE, Kind.TABLE, Kind.PICTURES}) == FILES


def test_a_handout_that_another_page_asks_for_is_ready(
    page: HandOnPage, bench: Bench, shown: Callable[[], None], qtbot: QtBot
) -> None:
    find = page.choices.ticked()[0]
    taxa = [bench.reference.taxa[0].name, bench.reference.taxa[2].name]
    with qtbot.waitSignal(bench.page_wanted) as caught:
        bench.paper_wanted.emit(Kind.HANDOUT.value, [find], taxa)
    assert caught.args == ["outputs"]
    qtbot.waitUntil(lambda: not bench.records_queue.busy, timeout=20_000)
    order = page.order()
    assert (order.kind, order.specimens, order.taxa) == (Kind.HANDOUT, (find,), tuple(taxa))
    shown()
    bench.paper_wanted.emit(Kind.HANDOUT.value, [], taxa)  # taxa beside each other, without a find
    qtbot.waitUntil(lambda: page.order().specimens == (), timeout=20_000)
    shown()
