"""Gives the rows of the comparison, part by part: thin over values, words made when asked for."""

from __future__ import annotations

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from catalog_gui.domain.feature import Part
from catalog_gui.lookalikes.reference import Reference, Taxon
from catalog_gui.presenting.compare.rows import PartRow, Row
from catalog_gui.presenting.compare.state import Cell, Comparison, Line

_Index = QModelIndex | QPersistentModelIndex

_WANTED_PICTURES = (Part.CAP, Part.GILLS, Part.STEM, Part.BASE)
TOP = QModelIndex()


class ComparisonRows(QAbstractTableModel):
    """Columns: feature, the find (not in the teaching view), then the taxa."""

    def __init__(self, reference: Reference, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._reference = reference
        self.comparison = Comparison()
        self.rows: list[Row] = []

    @property
    def first(self) -> int:
        """The column of the first taxon."""
        return 1 if self.comparison.specimen is None else 2

    def set_reference(self, reference: Reference) -> None:
        """Another reference: sources are named from it."""
        self._reference = reference

    def show_rows(self, comparison: Comparison, rows: list[Row]) -> None:
        """Show these."""
        self.beginResetModel()
        self.comparison, self.rows = comparison, rows
        self.endResetModel()

    def rowCount(self, parent: _Index = TOP) -> int:
        """Count parts and features (QAbstractItemModel.rowCount)."""
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: _Index = TOP) -> int:
        """Count feature, find and taxa (QAbstractItemModel.columnCount)."""
        return 0 if parent.isValid() else self.first + len(self.comparison.taxa)

    def flags(self, index: _Index) -> Qt.ItemFlag:
        """Let everything be walked to (QAbstractItemModel.flags)."""
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable if index.isValid() else Qt.ItemFlag(0)

    def taxon_at(self, column: int) -> Taxon | None:
        """The taxon of a column, or None."""
        place = column - self.first
        return self.comparison.taxa[place] if 0 <= place < len(self.comparison.taxa) else None

    def cell_at(self, row: int, column: int) -> Cell | None:
        """What a taxon says about a feature, or None for other cells."""
        entry = self.rows[row]
        place = column - self.first
        return entry.cells[place] if isinstance(entry, Line) and 0 <= place < len(entry.cells) else None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        """The heads in words; taxa also carry a widget of their own."""
        if orientation is not Qt.Orientation.Horizontal or role not in {
            Qt.ItemDataRole.DisplayRole,
            Qt.ItemDataRole.AccessibleTextRole,
        }:
            return None
        taxon = self.taxon_at(section)
        if taxon is not None:
            return taxon.name if role == Qt.ItemDataRole.AccessibleTextRole else ""
        specimen = self.comparison.specimen
        return "Feature" if section == 0 or specimen is None else f"Find {specimen.number}"

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Return the words that the delegate paints (QAbstractItemModel.data)."""
        if not index.isValid() or index.row() >= len(self.rows):
            return None
        match role:
            case Qt.ItemDataRole.DisplayRole:
                return self.words_at(index.row(), index.column())
            case Qt.ItemDataRole.AccessibleTextRole:
                return self._spoken(index.row(), index.column())
            case Qt.ItemDataRole.ToolTipRole:
                return self._tip(index.row(), index.column())
        return None

    def words_at(self, row: int, column: int) -> str:
        """The words of a cell."""
        entry = self.rows[row]
        if isinstance(entry, PartRow):
            return entry.words if column == 0 else self._no_picture(entry, column)
        if column == 0:
            return entry.feature.name
        if column < self.first:
            return entry.seen or entry.standing.value
        cell = entry.cells[column - self.first]
        return cell.words

    def _no_picture(self, entry: PartRow, column: int) -> str:
        comparison = self.comparison
        missing = column < self.first and entry.part not in comparison.crops
        return "no picture of it" if missing and entry.part in _WANTED_PICTURES else ""

    def _spoken(self, row: int, column: int) -> str:
        entry = self.rows[row]
        words = self.words_at(row, column)
        if isinstance(entry, PartRow) or column == 0:
            return words
        cell, taxon = self.cell_at(row, column), self.taxon_at(column)
        if cell is None or taxon is None:
            return f"{entry.feature.name}: {words}"
        verdict = "" if cell.verdict else cell.says.value
        said = ": ".join(part for part in (verdict, words) if part)
        return f"{entry.feature.name}, {taxon.name}: {said}"

    def _tip(self, row: int, column: int) -> str:
        entry = self.rows[row]
        if isinstance(entry, PartRow):
            crop = self.comparison.crops.get(entry.part)
            return f"{entry.words}: {crop.photo.name}" if crop and column == 1 else ""
        if column == 0:
            return "\n".join(part for part in (entry.feature.gloss, entry.feature.how_to_look) if part)
        cell = self.cell_at(row, column)
        words = self._spoken(row, column)
        return f"{words}\n{self.sources_words(cell)}".strip() if cell is not None else words

    def sources_words(self, cell: Cell | None) -> str:
        """Where a cell is written, with the citations."""
        if cell is None or not cell.sources:
            return ""
        cited = [
            f"{source.citation}" if (source := self._reference.source(key)) is not None else key
            for key in cell.sources
        ]
        told = ("Source: " if len(cited) == 1 else "Sources: ") + "; ".join(cited)
        return f"{cell.texts[:1].upper()}{cell.texts[1:]}. {told}" if cell.texts else told
