"""Brings in an old spreadsheet: what each column means is proposed, and confirmed by the user."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.problem import Cancelled
from catalog_gui.domain.record import Table
from catalog_gui.jobs.worker_queue import Ticket
from catalog_gui.presenting.failure import failure_reason
from catalog_gui.presenting.outputs.old_table import brought_in_words, outcome_words
from catalog_gui.views.bench import Bench
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.import_table import (
    Column,
    OldFind,
    TableImport,
    bring_in,
    guess_columns,
    read_lines,
)
from catalog_gui.workflows.ports import Records
from catalog_gui.workflows.sorting import next_number

SHOWN_ROWS = 30


class OldTableDialog(QDialog):
    """Shows the first lines under their proposed meanings; nothing is kept before the user says so."""

    def __init__(self, bench: Bench, table: Table, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.bench = bench
        self._table = table
        self._finds: tuple[OldFind, ...] = ()
        self._reading: Ticket[tuple[OldFind, ...]] | None = None
        self.setObjectName("old-table")
        self.setWindowTitle(f"Bring in {table.name}")
        self.resize(980, 560)
        self._meanings: list[QComboBox] = []
        self._grid = QTableWidget(min(SHOWN_ROWS, len(table.rows)) + 1, len(table.head))
        self._grid.setObjectName("old-table-grid")
        self._grid.setAccessibleName("First lines of the spreadsheet, with the meaning of each column on top")
        self._grid.setHorizontalHeaderLabels(list(table.head))
        self._grid.setVerticalHeaderLabels(["means", *(str(n) for n in range(2, SHOWN_ROWS + 2))])
        self._grid.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        for column, guess in enumerate(guess_columns(table.head)):
            self._grid.setCellWidget(0, column, self._meaning(column, guess))
            for row, cells in enumerate(table.rows[:SHOWN_ROWS], 1):
                self._grid.setItem(row, column, QTableWidgetItem(cells[column]))
            words = self._grid.fontMetrics().horizontalAdvance(max(guess.value, table.head[column], key=len))
            self._grid.setColumnWidth(column, max(130, words + 64))
        self._day_first = QCheckBox("In dates like 3/10/1998 the day comes first")
        self._day_first.setObjectName("old-table-day-first")
        self._day_first.setAccessibleName("In dates like 3/10/1998 the day comes first")
        self._day_first.setChecked(True)
        self._day_first.toggled.connect(self._read)
        self._outcome = label("", name="old-table-outcome", wrap=True)
        self._outcome.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self._bring = self._buttons.addButton("Bring in", QDialogButtonBox.ButtonRole.AcceptRole)
        self._bring.setObjectName("old-table-bring-in")
        self._bring.setAccessibleName("Bring in")
        self._bring.setProperty("role", "main")
        self._bring.clicked.connect(self.bring_in)
        for button in self._buttons.buttons():
            button.setIcon(QIcon())
        self._buttons.rejected.connect(self.reject)
        column_of = QVBoxLayout(self)
        column_of.addWidget(label("What does each column mean?", "heading"))
        column_of.addWidget(
            label(
                "What is not written stays unknown: no date, place or name is invented. "
                "Dates and places that cannot be read are kept as words in the notes.",
                "faded",
                wrap=True,
            )
        )
        column_of.addWidget(self._grid, 1)
        column_of.addWidget(self._day_first)
        column_of.addWidget(self._outcome)
        column_of.addWidget(self._buttons)
        self._read()

    def _meaning(self, number: int, guess: Column) -> QComboBox:
        combo = QComboBox()
        combo.setObjectName(f"old-table-column-{number}")
        combo.setAccessibleName(f"Meaning of the column {self._table.head[number]}")
        for meaning in Column:
            combo.addItem(meaning.value, meaning)
        combo.setCurrentIndex(combo.findData(guess))
        combo.activated.connect(lambda _: self._read())
        self._meanings.append(combo)
        return combo

    def columns(self) -> tuple[Column, ...]:
        """The mapping as it stands."""
        return tuple(Column(combo.currentData()) for combo in self._meanings)

    def set_column(self, number: int, meaning: Column) -> None:
        """Say what a column means."""
        self._meanings[number].setCurrentIndex(self._meanings[number].findData(meaning))
        self._read()

    @property
    def outcome(self) -> str:
        """What bringing in would do, in words."""
        return self._outcome.text()

    def _read(self, *_: object) -> None:
        """Read every line with this mapping, off the GUI thread; nothing is kept yet."""
        columns, day_first = self.columns(), self._day_first.isChecked()
        table, reference = self._table, self.bench.reference
        if self._reading is not None:
            self._reading.drop()
        self._bring.setEnabled(False)
        self._reading = self.bench.long_queue.submit(
            lambda _: read_lines(table, columns, reference, day_first=day_first),
            done=self._show_lines,
            failed=self._show_problem,
        )

    def _show_lines(self, finds: tuple[OldFind, ...]) -> None:
        self._reading = None
        self._finds = finds
        self._outcome.setText(outcome_words(finds))
        self._bring.setEnabled(any(find.specimen is not None for find in finds))

    def _show_problem(self, error: Exception) -> None:
        self._reading = None
        if isinstance(error, Cancelled):
            return
        self._outcome.setText(failure_reason(error))

    def bring_in(self) -> None:
        """Keep what can be read, as one step that can be taken back."""
        table, finds, surroundings = self._table, self._finds, self.bench.surroundings
        self._bring.setEnabled(False)

        def done(outcome: TableImport) -> None:
            self.bench.said.emit(brought_in_words(outcome, table.name))
            if outcome.specimens:
                self.bench.choose_specimen(outcome.specimens[0])
            self.accept()

        self.bench.do(
            f"Bring in {table.name}",
            lambda work: bring_in(work, table, finds, surroundings, next_number),
            done,
            failed=self._show_problem,
        )


def read_old_table(bench: Bench, path: str, parent: QWidget) -> None:
    """Read the file off the GUI thread, then open the dialog over `parent`."""
    papers = bench.papers
    if papers is None:
        return

    def opened(table: Table) -> None:
        OldTableDialog(bench, table, parent).open()

    def read(_: Records, __: object) -> Table:
        return papers.read_table(Path(path))

    bench.start_long(read, done=opened)
