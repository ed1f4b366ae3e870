"""Shows where the values of the reference come from: every page, and the share that stands from memory."""

from __future__ import annotations

from PySide6.QtCore import QSortFilterProxyModel, Qt
from PySide6.QtGui import QStandardItem, QStandardItemModel
from PySide6.QtWidgets import QDialog, QHBoxLayout, QLineEdit, QListView, QVBoxLayout, QWidget

from catalog_gui.presenting.sources import share_words, source_lines
from catalog_gui.views.bench import Bench
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label

TYPED = Qt.ItemDataRole.UserRole


class WhereFrom(QDialog):
    """The list of sources, narrowed by what is typed above it."""

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("where-from")
        self.setWindowTitle("Where the values come from")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.resize(820, 560)
        lines = source_lines(bench.reference)
        self.filter = QLineEdit()
        self.filter.setObjectName("where-from-filter")
        self.filter.setAccessibleName("Find a source")
        self.filter.setPlaceholderText("Author, year, society, taxon or address")
        self.filter.setClearButtonEnabled(True)
        self.shown = QSortFilterProxyModel(self)
        self.shown.setFilterCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        self.shown.setFilterRole(TYPED)
        model = QStandardItemModel(self)
        for line in lines:
            item = QStandardItem(line.line.replace("/", "/\u200b"))  # a long address may break at its strokes
            item.setData(line.line, TYPED)
            model.appendRow(item)
        self.shown.setSourceModel(model)
        self.list = QListView()
        self.list.setObjectName("where-from-list")
        self.list.setAccessibleName("Sources")
        self.list.setModel(self.shown)
        self.list.setWordWrap(True)
        self.list.setResizeMode(QListView.ResizeMode.Adjust)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setUniformItemSizes(False)
        self.list.setEditTriggers(QListView.EditTrigger.NoEditTriggers)
        self.count = label("", "faded", name="where-from-count")
        column = QVBoxLayout(self)
        column.addWidget(label(share_words(bench.reference), name="where-from-share", wrap=True))
        column.addWidget(self.filter)
        column.addWidget(self.list, 1)
        foot = QHBoxLayout()
        foot.addWidget(self.count)
        foot.addStretch(1)
        foot.addWidget(button("where-from-close", "Close", call=self.close))
        column.addLayout(foot)
        self.filter.textChanged.connect(self.narrow)
        self.narrow("")
        self.filter.setFocus()

    def narrow(self, typed: str) -> None:
        """Show the sources that hold what is typed."""
        self.shown.setFilterFixedString(typed.strip())
        here, whole = self.shown.rowCount(), self.shown.sourceModel().rowCount()
        self.count.setText(f"{whole} sources" if here == whole else f"{here} of {whole} sources")
