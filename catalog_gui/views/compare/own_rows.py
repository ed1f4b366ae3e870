"""The user's rows beside ours: a table of what is written, and fields to add to it. Saved row by row."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFont, QKeyEvent, QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QHeaderView,
    QLayout,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.pack_edit import RowEdit
from catalog_gui.domain.problem import Problem
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.views.compare.own_fields import feature_words
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.own_taxa import without

HerRow = tuple[str, Mapping[str, str]]
Shown = tuple[Sequence[str], HerRow | None]
"""What the columns say, and the user's row that it is, or None for one of ours."""
Edits = Callable[[Reference], Iterable[RowEdit]]


class _Rows(QTableWidget):
    """Delete takes one of the user's rows away."""

    away_wanted = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Delete, and whatever a table does."""
        if event.key() == Qt.Key.Key_Delete:
            self.away_wanted.emit()
        else:
            super().keyPressEvent(event)


class RowsTab(QWidget):
    """A table of rows with whose they are, and fields to add one."""

    table_name = ""
    columns: tuple[str, ...] = ()
    empty = ""
    wanted = Signal(str, object)  # what is done, in words; the edits as a function of the reference
    refused = Signal(str)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName(f"own-{name}")
        self.reference: Reference | None = None
        self.taxon_id = ""
        self.rows = _Rows(0, len(self.columns) + 1)
        self.rows.away_wanted.connect(self.take_away)
        self.rows.setObjectName(f"own-{name}-rows")
        self.rows.setHorizontalHeaderLabels(["Whose", *self.columns])
        self.rows.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.rows.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.rows.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.rows.verticalHeader().hide()
        self.rows.setTabKeyNavigation(False)
        self.rows.setWordWrap(False)
        head = self.rows.horizontalHeader()
        head.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        head.setSectionResizeMode(len(self.columns), QHeaderView.ResizeMode.Stretch)
        self.rows.currentCellChanged.connect(lambda *_: self._tell_choice())
        self.add = button(f"own-{name}-add", "Add this", "Add it to your own pack (Return in a field)")
        self.add.setProperty("role", "main")
        self.add.clicked.connect(self.add_row)
        self.away = button(f"own-{name}-away", "Take mine away", "Take the chosen row of yours away (Delete)")
        self.away.clicked.connect(self.take_away)
        self.hint = label("", "faded", name=f"own-{name}-hint", wrap=True)
        column = QVBoxLayout(self)
        column.addWidget(self.rows, 1)
        beside = QHBoxLayout()
        beside.addWidget(self.hint, 1)
        beside.addWidget(self.away)
        column.addLayout(beside)
        column.addWidget(label("Add", "heading"))
        column.addLayout(self._fields())
        foot = QHBoxLayout()
        foot.addStretch(1)
        foot.addWidget(self.add)
        column.addLayout(foot)

    def _fields(self) -> QLayout:
        raise NotImplementedError

    def offer(self, reference: Reference) -> None:
        """Fill the choices."""
        raise NotImplementedError

    def edits(self) -> tuple[str, Edits]:
        """What the fields ask for: words for the list of steps, and the rows. Raises BadInput."""
        raise NotImplementedError

    def clear_fields(self) -> None:
        """Ready for the next row; the source stays."""

    def ours(self, reference: Reference, taxon_id: str) -> list[Shown]:
        """The rows of ours, as the columns show them."""
        raise NotImplementedError

    def hers(self, reference: Reference, row: Mapping[str, str]) -> Sequence[str]:
        """One of the user's rows, as the columns show it."""
        raise NotImplementedError

    def show_rows(self, reference: Reference, taxon_id: str, hers: Sequence[HerRow]) -> None:
        """Show what is written of a taxon: the user's first, then ours. What is chosen stays where it was."""
        before = self.rows.currentRow() if taxon_id == self.taxon_id else 0
        self.reference, self.taxon_id = reference, taxon_id
        self.offer(reference)
        mine: list[Shown] = [
            (self.hers(reference, row), (table, row)) for table, row in hers if table == self.table_name
        ]
        shown = [*mine, *self.ours(reference, taxon_id)]
        self.rows.setRowCount(len(shown))
        for place, (words, row) in enumerate(shown):
            for column, cell in enumerate(("yours" if row else "ours", *words)):
                item = QTableWidgetItem(cell)
                item.setToolTip(cell)
                if row:
                    font = QFont(self.rows.font())
                    font.setBold(True)
                    item.setFont(font)
                if column == 0:
                    item.setData(Qt.ItemDataRole.UserRole, row)
                self.rows.setItem(place, column, item)
        self._fit_columns()
        if shown:
            self.rows.setCurrentCell(min(max(before, 0), len(shown) - 1), 0)
        self._tell_choice()

    def showEvent(self, event: QShowEvent) -> None:
        """A hidden table does not know its width."""
        super().showEvent(event)
        self._fit_columns()

    def _fit_columns(self) -> None:
        self.rows.resizeColumnsToContents()
        for column in range(self.rows.columnCount() - 1):
            self.rows.setColumnWidth(column, min(self.rows.columnWidth(column), 260))

    def add_row(self) -> None:
        """Write what the fields say."""
        try:
            words, edits = self.edits()
            if self.reference is not None:
                tuple(edits(self.reference))  # what makes no sense is told before anything is asked
        except Problem as problem:
            self.refused.emit(problem.reason)
            return
        self.wanted.emit(words, edits)
        self.clear_fields()

    def take_away(self) -> None:
        """Take the chosen one of the user's rows away."""
        row = self._chosen()
        if row is not None:
            self.wanted.emit("Taken out of your own pack", lambda _: without([row]))

    def _chosen(self) -> HerRow | None:
        item = self.rows.item(self.rows.currentRow(), 0)
        row: HerRow | None = item.data(Qt.ItemDataRole.UserRole) if item is not None else None
        return row

    def _tell_choice(self) -> None:
        hers = self._chosen() is not None
        self.away.setEnabled(hers)
        if not self.rows.rowCount():
            self.hint.setText(self.empty)
        else:
            self.hint.setText("" if hers else "Ours stays as it is. What you add stands beside it.")


def feature_name(reference: Reference, feature_id: str, *, short: bool = False) -> str:
    """'Cap: cap colour', or only 'cap colour'."""
    feature = reference.vocabulary.feature(feature_id)
    if feature is None:
        return feature_id
    return feature.name if short else feature_words(feature)


def citation_of(reference: Reference, source_id: str) -> str:
    """The citation of a source, or its id where it is not known."""
    source = reference.source(source_id)
    return source.citation if source is not None else source_id


def labelled(grid: QGridLayout, column: int, words: str, widget: QWidget, wide: int) -> None:
    """A field with its words above it."""
    grid.addWidget(label(words, "faded"), 0, column)
    grid.addWidget(widget, 1, column)
    grid.setColumnStretch(column, wide)


def on_return(call: Callable[[], None], *widgets: QWidget) -> None:
    """Return in one of these fields adds the row."""
    for widget in widgets:
        edit = widget.lineEdit() if isinstance(widget, QComboBox) else widget
        if edit is not None and hasattr(edit, "returnPressed"):
            edit.returnPressed.connect(call)
