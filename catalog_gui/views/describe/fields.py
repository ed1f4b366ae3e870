"""Asks for the fields of a specimen: what belongs to it as a whole."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QLineEdit,
    QPlainTextEdit,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.caution import LAW, PERMISSION
from catalog_gui.domain.region import REGION_FIELDS, is_country_code, region_of
from catalog_gui.domain.specimen import Specimen
from catalog_gui.presenting.describe.state import DescribeState
from catalog_gui.views.bench import Bench
from catalog_gui.views.widgets.countries import tie
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.specimen_notes import change_specimen

_LINES = (
    ("collector", "Collector", "One person’s name, always written alike"),
    ("site", "Site", "As on the map"),
    ("country", "Country", "Empty: its foray’s"),
    ("country_code", "Country code", "Two letters, ISO 3166-1: GB, CH …"),
    ("state_province", "Province, state or nation", "Empty: its foray’s"),
    ("county", "County or vice-county", "Empty: its foray’s"),
    ("habitat", "Habitat", "Beech wood on a slope, old lawn …"),
    ("substrate", "Substrate", "Precise: fallen beech branch, needle litter …"),
    ("associated_taxa", "Trees and plants near", "Within about 20 m"),
    ("ages", "Ages", "Button, young, grown, old"),
    ("condition", "Condition", "Slug-eaten, nibbled, old, frosted, soaked, snapped off …"),
    ("voucher", "Voucher", "Dried? Where is it kept?"),
    ("section", "Group it may belong to", "A genus or section: chooses what is asked first"),
)
ACROSS = 3  # fields beside each other: the whole dialog fits on a small laptop


class FieldsDialog(QDialog):
    """Changes are kept together when it is closed with Keep."""

    def __init__(self, bench: Bench, state: DescribeState, parent: QWidget) -> None:
        super().__init__(parent)
        specimen = state.specimen or Specimen("", "")
        self._bench = bench
        self._specimen = specimen
        self.setObjectName("fields-dialog")
        self.setWindowTitle(f"Fields of {specimen.number}")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._edits: dict[str, QLineEdit | QComboBox] = {}
        grid = QGridLayout()
        grid.setHorizontalSpacing(12)
        for number, (name, words, hint) in enumerate(_LINES):
            row, column = divmod(number, ACROSS)
            grid.addWidget(label(words), 2 * row, column)
            grid.addWidget(self._edit(name, words, hint, state), 2 * row + 1, column)
        self.count = QSpinBox()
        self.count.setObjectName("field-fruit_bodies")
        self.count.setAccessibleName("Number of fruit bodies")
        self.count.setRange(0, 9999)
        self.count.setButtonSymbols(QSpinBox.ButtonSymbols.NoButtons)
        self.count.setSpecialValueText("not counted")
        self.count.setValue(specimen.fruit_bodies or 0)
        row, column = divmod(len(_LINES), ACROSS)
        grid.addWidget(label("Fruit bodies"), 2 * row, column)
        grid.addWidget(self.count, 2 * row + 1, column)
        country, code = self._edits["country"], self._edits["country_code"]
        if isinstance(country, QLineEdit) and isinstance(code, QLineEdit):
            tie(country, code)
        self.note = QPlainTextEdit(specimen.note)
        self.note.setObjectName("field-note")
        self.note.setAccessibleName("Note")
        self.note.setTabChangesFocus(True)
        self.note.setMinimumHeight(64)
        self.permission = QLineEdit(specimen.permission)
        self.permission.setObjectName("field-permission")
        self.permission.setAccessibleName("Permission, private")
        self.permission.setPlaceholderText(PERMISSION)
        self.private = QCheckBox("Keep the exact place private")
        self.private.setObjectName("field-private_place")
        self.private.setToolTip(
            "Every way out gives a coarse place, unless you choose otherwise for one export"
        )
        self.private.setChecked(specimen.private_place)
        buttons = QDialogButtonBox()
        keep = buttons.addButton("Keep", QDialogButtonBox.ButtonRole.AcceptRole)
        keep.setObjectName("fields-keep")
        keep.setProperty("role", "main")
        buttons.addButton("Leave as it was", QDialogButtonBox.ButtonRole.RejectRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column_layout = QVBoxLayout(self)
        column_layout.addLayout(grid)
        column_layout.addWidget(label("Note"))
        column_layout.addWidget(self.note)
        column_layout.addWidget(label("Permission (private)"))
        column_layout.addWidget(self.permission)
        column_layout.addWidget(self.private)
        column_layout.addWidget(label(LAW, "faded", wrap=True))
        self._trouble = label("", "trouble", name="fields-trouble", wrap=True)
        self._trouble.hide()
        column_layout.addWidget(self._trouble)
        column_layout.addWidget(buttons)
        self.setMinimumWidth(860)

    def _edit(self, name: str, words: str, hint: str, state: DescribeState) -> QWidget:
        value = str(getattr(self._specimen, name))
        edit: QLineEdit | QComboBox
        if name == "collector":
            edit = QComboBox()
            edit.setEditable(True)
            edit.addItems(state.people)
            edit.setCurrentText(value)
        else:
            edit = QLineEdit(value)
            inherited = getattr(region_of(self._specimen, state.foray), name) if name in REGION_FIELDS else ""
            edit.setPlaceholderText(f"{inherited} (the foray’s)" if inherited else hint)
        edit.setObjectName(f"field-{name}")
        edit.setAccessibleName(words)
        edit.setToolTip(hint)
        self._edits[name] = edit
        return edit

    def accept(self) -> None:
        """Keep what was changed, as one step."""
        fields: dict[str, object] = {
            name: (edit.currentText() if isinstance(edit, QComboBox) else edit.text()).strip()
            for name, edit in self._edits.items()
        }
        fields["fruit_bodies"] = self.count.value() or None
        fields["note"] = self.note.toPlainText().strip()
        fields["permission"] = self.permission.text().strip()
        fields["private_place"] = self.private.isChecked()
        changed = {name: value for name, value in fields.items() if getattr(self._specimen, name) != value}
        if fields["country_code"] and not is_country_code(str(fields["country_code"])):
            self._trouble.setText("A country code has two letters, such as GB.")
            self._trouble.show()
            return
        if changed:
            key, bench = self._specimen.id, self._bench
            bench.do(
                f"Change fields of {self._specimen.number}",
                lambda work: change_specimen(work, key, **changed),
            )
        super().accept()
