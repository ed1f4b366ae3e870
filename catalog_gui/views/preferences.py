"""Asks for preferences, drawn from the one dataclass that holds them: a new field gets its control by itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace

from PySide6.QtCore import QDate, Qt
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QFormLayout,
    QGroupBox,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.sheet import Precision
from catalog_gui.presenting.words import zone_of
from catalog_gui.settings import PaperSize, PlacePrecision, Preferences, ScreenGrid, Theme, Units
from catalog_gui.views.bench import Bench
from catalog_gui.views.widgets.dates import BRITISH
from catalog_gui.views.widgets.labels import label

WORDS: dict[str, tuple[str, str, str]] = {
    # field: group, label, what it is for
    "emergency_number": (
        "In an emergency",
        "Emergency number",
        "The one for your country. None is built in.",
    ),
    "poison_service": ("In an emergency", "Poison information", "Number of the poison information service."),
    "country": ("In an emergency", "Country", "Whose numbers these are."),
    "person": ("You", "Your name", "Collector of new specimens. It stays here unless you choose otherwise."),
    "number_prefix": ("You", "Number prefix", "Letters before your specimen numbers, such as initials."),
    "time_zone": ("You", "Time zone", "A tz database name, such as Europe/London. Empty: from the pictures."),
    "private_places": ("Places", "Keep places private", "New specimens give no exact place to others."),
    "place_precision": ("Places", "Place on papers", "What a new paper for others begins with."),
    "grid": ("Places", "Grid", "How places are written on the screen."),
    "units": ("Look", "Lengths", "How sizes are written."),
    "date_format": ("Look", "Dates", "How days are written."),
    "theme": ("Look", "Theme", ""),
    "paper": ("Look", "Paper size", ""),
    "catalogue_folder": ("Folders", "Catalogue", "Where the catalogue stands. Used from the next start."),
    "own_pack": (
        "Folders",
        "Own reference pack",
        "A folder with tables of your own. Used from the next start.",
    ),
    "copies_folder": ("Folders", "Safety copies", "Best on another disk. Empty: beside the catalogue."),
    "copies_every_days": ("Folders", "Days between copies", "0 makes none by itself."),
}
_SAMPLE = QDate(2025, 10, 4)
CHOICES: dict[str, dict[str, str]] = {
    # field: what is kept, and the words for it
    "theme": {Theme.SYSTEM: "as the system has it", Theme.LIGHT: "light", Theme.DARK: "dark"},
    "units": {Units.METRIC: "millimetres", Units.CENTIMETRE: "centimetres"},
    "grid": {
        ScreenGrid.DEGREES: "latitude and longitude",
        ScreenGrid.BRITISH: "British National ScreenGrid (abroad the grid used there)",
        ScreenGrid.IRISH: "Irish ScreenGrid (abroad the grid used there)",
        ScreenGrid.UTM: "UTM",
        ScreenGrid.MGRS: "MGRS",
    },
    "paper": {size: size.value for size in PaperSize},
    "place_precision": {
        PlacePrecision.ONE_KM: Precision.ONE_KM.value,
        PlacePrecision.TEN_KM: Precision.TEN_KM.value,
        PlacePrecision.HIDDEN: Precision.HIDDEN.value,
    },  # the exact place is chosen for one export at a time, never beforehand
    "date_format": {
        pattern: BRITISH.toString(_SAMPLE, pattern)
        for pattern in ("d MMMM yyyy", "d MMM yyyy", "dd.MM.yyyy", "dd/MM/yyyy", "MMMM d, yyyy", "yyyy-MM-dd")
    },
}
FOLDERS = frozenset({"catalogue_folder", "own_pack", "copies_folder"})


class PreferencesDialog(QDialog):
    """Every field of `Preferences` that has words; kept when the user says so."""

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("preferences")
        self.setWindowTitle("Preferences")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.resize(640, 640)
        self._bench = bench
        self._read: dict[str, Callable[[], object]] = {}
        inside = QWidget()
        column = QVBoxLayout(inside)
        groups: dict[str, QFormLayout] = {}
        for field in fields(Preferences):
            if field.name not in WORDS:
                continue
            group, words, purpose = WORDS[field.name]
            if group not in groups:
                box = QGroupBox(group)
                groups[group] = QFormLayout(box)
                groups[group].setVerticalSpacing(3)
                groups[group].setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
                column.addWidget(box)
            control = self._control(field.name, getattr(bench.preferences, field.name), words, purpose)
            groups[group].addRow(words, control)
            if purpose:
                groups[group].addRow("", label(purpose, "faded"))
        column.addStretch(1)
        area = QScrollArea()
        area.setObjectName("preferences-area")
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(inside)
        whole = QVBoxLayout(self)
        whole.addWidget(area, 1)
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        buttons.button(QDialogButtonBox.StandardButton.Save).setText("Keep")
        buttons.button(QDialogButtonBox.StandardButton.Save).setObjectName("preferences-keep")
        buttons.button(QDialogButtonBox.StandardButton.Cancel).setObjectName("preferences-cancel")
        for button in buttons.buttons():
            button.setIcon(QIcon())
        self._trouble = label("", "trouble", name="preferences-trouble", wrap=True)
        self._trouble.hide()
        whole.addWidget(self._trouble)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        whole.addWidget(buttons)

    def chosen(self) -> Preferences:
        """The preferences as the controls stand."""
        return replace(self._bench.preferences, **{name: read() for name, read in self._read.items()})  # type: ignore[arg-type]

    def accept(self) -> None:
        """Keep them and tell everybody; a time zone that nobody knows is said instead."""
        zone = self.chosen().time_zone
        if zone and zone_of(zone) is None:
            self._trouble.setText(f"There is no time zone called '{zone}'. Europe/London is one.")
            self._trouble.show()
            return
        self._bench.set_preferences(self.chosen())
        super().accept()

    def _control(self, name: str, value: object, words: str, purpose: str) -> QWidget:
        control: QWidget
        if isinstance(value, bool):
            box = QCheckBox()
            box.setChecked(value)
            self._read[name] = box.isChecked
            control = box
        elif isinstance(value, int):
            number = QSpinBox()
            number.setRange(0, 365)
            number.setValue(value)
            self._read[name] = number.value
            control = number
        elif name in CHOICES:
            choice = QComboBox()
            for kept, shown in CHOICES[name].items():
                choice.addItem(shown, kept)
            if choice.findData(value) < 0:  # kept by hand in the file: it stays, as it is written
                choice.addItem(str(value), value)
            choice.setCurrentIndex(choice.findData(value))
            kind = type(value)  # Qt hands the members of an enum back as plain text
            self._read[name] = lambda: kind(choice.currentData())  # type: ignore[call-arg]
            control = choice
        else:
            line = QLineEdit(str(value))
            self._read[name] = lambda: line.text().strip()
            control = line
        control.setObjectName(f"preference-{name.replace('_', '-')}")
        control.setAccessibleName(words)
        control.setToolTip(purpose)
        if name not in FOLDERS or not isinstance(control, QLineEdit):
            return control
        field = control
        row = QWidget()
        across = QHBoxLayout(row)
        across.setContentsMargins(0, 0, 0, 0)
        across.addWidget(field, 1)
        browse = QPushButton("Choose…")
        browse.setObjectName(f"preference-{name.replace('_', '-')}-choose")
        browse.setAccessibleName(f"Choose the folder: {words}")

        def choose() -> None:
            folder = QFileDialog.getExistingDirectory(self, words, field.text())
            if folder:
                field.setText(folder)

        browse.clicked.connect(choose)
        across.addWidget(browse)
        return row


def show_preferences(bench: Bench, parent: QWidget) -> PreferencesDialog:
    """Open the dialog over the window."""
    dialog = PreferencesDialog(bench, parent)
    dialog.open()
    return dialog
