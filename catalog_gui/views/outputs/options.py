"""Asks what else there is to choose, according to what goes out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QCompleter,
    QFormLayout,
    QLineEdit,
    QSpinBox,
    QStackedWidget,
    QWidget,
)

from catalog_gui.domain.label_sheet import LABEL_SHEETS
from catalog_gui.domain.page import A4_MM, LETTER_MM
from catalog_gui.presenting.outputs.options import EDGES, LICENCES, numbers_from
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.publish.order import Kind, Order

_PAGES = {
    Kind.HANDOUT: "handout",
    Kind.LABELS: "labels",
    Kind.PACKET: "code",
    Kind.SLIPS: "code",
    Kind.NUMBERS: "numbers",
    Kind.ARCHIVE: "archive",
    Kind.TABLE: "table",
    Kind.PICTURES: "pictures",
}


class Options(QStackedWidget):
    """One small form for each kind that needs one; `changed` follows every choice."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("hand-on-options")
        self._first_number = ""
        self._pages: dict[str, QWidget] = {}
        self._taxa = self._line("hand-on-taxa", "Taxa laid beside the finds", "Names, a comma between them")
        self._sheets = self._combo(
            "hand-on-label-sheet", "Sheet of labels", [(sheet.name, sheet) for sheet in LABEL_SHEETS]
        )
        self._skip = self._spin("hand-on-skip", "First free label on the sheet", 1, 30, 1)
        self._label_code = self._check("QR code of the number", "hand-on-label-code")
        self._code = self._check("QR code of the number", "hand-on-code")
        self._count = self._spin("hand-on-count", "How many number slips", 1, 500, 24)
        self._number_code = self._check("QR code of the number", "hand-on-number-code")
        self._archive_licence = self._combo("hand-on-archive-licence", "Licence of the records", LICENCES)
        self._archive_author = self._line(
            "hand-on-archive-author", "Who publishes the records", "Who sends them"
        )
        self._status = self._combo(
            "hand-on-status",
            "Word for a find in the archive",
            (("present", "present"), ("detected (since 2026)", "detected")),
        )
        self._with_pictures = self._check("Clean pictures inside", "hand-on-with-pictures", on=False)
        self._format = self._combo(
            "hand-on-format", "Kind of spreadsheet", (("XLSX workbook", ".xlsx"), ("CSV text", ".csv"))
        )
        self._marks = self._check("Marks and scale drawn in", "hand-on-marks", on=False)
        self._edges = self._combo("hand-on-edge", "Longest side", [(words, edge) for edge, words in EDGES])
        self._author = self._line("hand-on-author", "Author of the pictures", "Author, if it may be known")
        self._licence = self._combo("hand-on-licence", "Licence of the pictures", LICENCES)
        self._form("", [])
        self._form("handout", [("Beside them", self._taxa)])
        self._form("labels", [("Labels", self._sheets), ("Begin at", self._skip), ("", self._label_code)])
        self._form("code", [("", self._code)])
        self._form("numbers", [("How many", self._count), ("", self._number_code)])
        self._form(
            "archive",
            [
                ("Sent by", self._archive_author),
                ("Licence", self._archive_licence),
                ("A find is", self._status),
                ("", self._with_pictures),
            ],
        )
        self._form("table", [("Format", self._format)])
        self._form(
            "pictures",
            [
                ("Longest side", self._edges),
                ("Author", self._author),
                ("Licence", self._licence),
                ("", self._marks),
            ],
        )

    # -- parts -----------------------------------------------------------------------------------------
    def _line(self, name: str, accessible: str, hint: str) -> QLineEdit:
        line = QLineEdit()
        line.setObjectName(name)
        line.setAccessibleName(accessible)
        line.setPlaceholderText(hint)
        line.editingFinished.connect(self.changed)
        return line

    def _combo(self, name: str, accessible: str, items: Sequence[tuple[str, object]]) -> QComboBox:
        combo = QComboBox()
        combo.setObjectName(name)
        combo.setAccessibleName(accessible)
        combo.setToolTip(accessible)
        combo.setMinimumContentsLength(12)
        combo.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        for words, value in items:
            combo.addItem(words, value)
        combo.activated.connect(lambda _: self.changed.emit())
        return combo

    def _spin(self, name: str, accessible: str, low: int, high: int, value: int) -> QSpinBox:
        spin = QSpinBox()
        spin.setObjectName(name)
        spin.setAccessibleName(accessible)
        spin.setToolTip(accessible)
        spin.setRange(low, high)
        spin.setValue(value)
        spin.valueChanged.connect(lambda _: self.changed.emit())
        return spin

    def _check(self, words: str, name: str, *, on: bool = True) -> QCheckBox:
        box = QCheckBox(words)
        box.setObjectName(name)
        box.setAccessibleName(words)
        box.setChecked(on)
        box.toggled.connect(lambda _: self.changed.emit())
        return box

    def _form(self, key: str, rows: Sequence[tuple[str, QWidget]]) -> None:
        page = QWidget()
        form = QFormLayout(page)
        form.setContentsMargins(0, 0, 0, 0)
        form.setVerticalSpacing(3)
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        for words, field in rows:
            form.addRow(label(words), field)
        self._pages[key] = page
        self.addWidget(page)

    # -- from outside ----------------------------------------------------------------------------------
    def show_kind(self, kind: Kind) -> None:
        """Show the form of a kind, or nothing."""
        page = self._pages[_PAGES.get(kind, "")]
        self.setCurrentWidget(page)
        self.setFixedHeight(page.sizeHint().height() if kind in _PAGES else 0)

    def complete_taxa(self, names: Sequence[str]) -> None:
        """Offer these names while something is typed."""
        completer = QCompleter(list(names), self)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        completer.setFilterMode(Qt.MatchFlag.MatchContains)
        completer.activated.connect(lambda _: self.changed.emit(), Qt.ConnectionType.QueuedConnection)
        self._taxa.setCompleter(completer)

    def set_taxa(self, names: Sequence[str]) -> None:
        """Lay these taxa beside the finds of a handout."""
        self._taxa.setText(", ".join(names))
        self._taxa.setCursorPosition(0)

    def set_person(self, person: str) -> None:
        """Offer the user's own name as the hint of who sends and who made the pictures; never filled in."""
        for line in (self._author, self._archive_author):
            line.setPlaceholderText(f"for example {person}" if person else line.placeholderText())

    def set_paper(self, *, letter: bool) -> None:
        """Offer a sheet of labels of the paper's size first; a choice that fits stays."""
        sheet = self._sheets.currentData()
        wanted = LETTER_MM if letter else A4_MM
        if sheet.size_mm != wanted:
            first = next(n for n, one in enumerate(LABEL_SHEETS) if one.size_mm == wanted)
            self._sheets.setCurrentIndex(first)

    def set_first_number(self, number: str) -> None:
        """The number after the last one in the catalogue."""
        self._first_number = number

    def file_suffix(self) -> str:
        """The suffix of the chosen kind of spreadsheet."""
        return str(self._format.currentData())

    def filled(self, order: Order) -> Order:
        """The order with what is chosen here."""
        kind = order.kind
        taxa = tuple(word for part in self._taxa.text().split(",") if (word := part.strip()))
        fill: dict[Kind, Callable[[], Order]] = {
            Kind.HANDOUT: lambda: replace(order, taxa=taxa),
            Kind.LABELS: lambda: replace(
                order,
                labels=self._sheets.currentData(),
                skip=self._skip.value() - 1,
                code=self._label_code.isChecked(),
            ),
            Kind.NUMBERS: lambda: replace(
                order,
                specimens=(),
                numbers=numbers_from(self._first_number, self._count.value()),
                code=self._number_code.isChecked(),
            ),
            Kind.ARCHIVE: lambda: replace(
                order,
                author=self._archive_author.text().strip(),
                licence=str(self._archive_licence.currentData()),
                status=str(self._status.currentData()),
                with_pictures=self._with_pictures.isChecked(),
            ),
            Kind.PICTURES: lambda: replace(
                order,
                author=self._author.text().strip(),
                licence=str(self._licence.currentData()),
                marks=self._marks.isChecked(),
                edge=int(self._edges.currentData()),
            ),
        }
        if kind in (Kind.PACKET, Kind.SLIPS):
            return replace(order, code=self._code.isChecked())
        return fill[kind]() if kind in fill else order
