"""Preferences are drawn from their dataclass, kept whole, and a damaged file costs nothing but itself."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace
from pathlib import Path

import pytest
from PySide6.QtWidgets import (
    QApplication,
    QCheckBox,
    QComboBox,
    QDialog,
    QLabel,
    QLineEdit,
    QPushButton,
    QSpinBox,
)
from pytestqt.qtbot import QtBot

from catalog_gui import settings
from catalog_gui.app import build_window
from catalog_gui.settings import PaperSize, PlacePrecision, Preferences, Units
from catalog_gui.views.main_window import MainWindow
from catalog_gui.views.preferences import WORDS, PreferencesDialog
from catalog_gui.views.upkeep import UpkeepDialog


@pytest.fixture
def window(tmp_path: Path, qapp: QApplication) -> Iterator[MainWindow]:
    made = build_window(qapp, folder=str(tmp_path / "catalogue"), preferences_file=tmp_path / "p.json")
    made.show()
    yield made
    made.close()


def said(dialog: QDialog, name: str) -> str:
    found = dialog.findChild(QLabel, name)
    assert isinstance(found, QLabel)
    return found.text()


def press(dialog: QDialog, name: str) -> None:
    found = dialog.findChild(QPushButton, name)
    assert isinstance(found, QPushButton)
    found.click()


def test_every_field_has_a_control_or_is_the_programs_own() -> None:
    names = {field.name for field in fields(Preferences)}
    assert set(WORDS) <= names
    assert names - set(WORDS) == {"first_steps", "others"}  # set by the strip's own button, and by the file


def test_no_number_is_built_in() -> None:
    assert Preferences().emergency_number == ""
    assert Preferences().poison_service == ""


def test_what_is_set_is_kept_and_read_again(window: MainWindow, tmp_path: Path) -> None:
    dialog = PreferencesDialog(window.bench, window)
    line = dialog.findChild(QLineEdit, "preference-emergency-number")
    grid = dialog.findChild(QComboBox, "preference-grid")
    private = dialog.findChild(QCheckBox, "preference-private-places")
    days = dialog.findChild(QSpinBox, "preference-copies-every-days")
    assert line is not None
    assert grid is not None
    assert private is not None
    assert days is not None
    line.setText(" 123 456 ")
    grid.setCurrentIndex(grid.findData("British"))
    private.setChecked(False)
    days.setValue(3)
    dialog.accept()
    kept, trouble = settings.load(tmp_path / "p.json")
    assert trouble == ""
    assert (kept.emergency_number, kept.grid, kept.private_places, kept.copies_every_days) == (
        "123 456",
        "British",
        False,
        3,
    )
    assert window.bench.preferences == kept


def test_choices_come_back_as_members_of_their_enum(window: MainWindow) -> None:
    dialog = PreferencesDialog(window.bench, window)
    paper = dialog.findChild(QComboBox, "preference-paper")
    assert paper is not None
    paper.setCurrentIndex(paper.findData("Letter"))
    assert dialog.chosen().paper is PaperSize.LETTER


def test_what_she_does_not_touch_stays_as_it_was(window: MainWindow) -> None:
    # Among these the place on papers: a dialog that shows another value than is kept would give places away.
    odd = replace(
        window.bench.preferences,
        date_format="yyyy/M/d",
        place_precision=PlacePrecision.TEN_KM,
        units=Units.CENTIMETRE,
    )
    window.bench.set_preferences(odd)
    dialog = PreferencesDialog(window.bench, window)
    assert dialog.chosen() == odd
    precision = dialog.findChild(QComboBox, "preference-place-precision")
    assert precision is not None
    assert precision.currentText() == "10 km square"
    assert "exact place" not in [precision.itemText(n) for n in range(precision.count())]
    dialog.accept()
    assert window.bench.preferences == odd


def test_an_unknown_time_zone_is_not_kept(window: MainWindow) -> None:
    before = window.bench.preferences
    dialog = PreferencesDialog(window.bench, window)
    line = dialog.findChild(QLineEdit, "preference-time-zone")
    assert line is not None
    line.setText("Europe/Nowhere")
    dialog.accept()
    assert window.bench.preferences == before
    assert "Europe/Nowhere" in said(dialog, "preferences-trouble")
    line.setText("Europe/Dublin")
    dialog.accept()
    assert window.bench.preferences.time_zone == "Europe/Dublin"


def test_nothing_is_kept_when_she_leaves_it(window: MainWindow) -> None:
    before = window.bench.preferences
    dialog = PreferencesDialog(window.bench, window)
    line = dialog.findChild(QLineEdit, "preference-person")
    assert line is not None
    line.setText("Somebody Else")
    dialog.reject()
    assert window.bench.preferences == before


def test_copy_restore_and_check_from_the_window(window: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    dialog = UpkeepDialog(window.bench, window)
    archive = tmp_path / "copy.zip"
    dialog.copy_to(archive)
    qtbot.waitUntil(lambda: said(dialog, "upkeep-words").startswith("Safety copy copy.zip"), timeout=20_000)
    dialog.restore_from(archive, tmp_path / "restored")
    qtbot.waitUntil(lambda: "stands in" in said(dialog, "upkeep-words"), timeout=20_000)
    assert (tmp_path / "restored" / "catalogue.sqlite").exists()
    press(dialog, "upkeep-adopt")
    assert window.bench.preferences.catalogue_folder == str(tmp_path / "restored")
    press(dialog, "upkeep-check")
    qtbot.waitUntil(lambda: "as it should be" in said(dialog, "upkeep-words"), timeout=20_000)
    dialog.copy_to(archive)
    qtbot.waitUntil(lambda: "nothing was overwritten" in said(dialog, "upkeep-words"), timeout=20_000)
