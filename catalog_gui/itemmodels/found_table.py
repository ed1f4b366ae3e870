"""The list of specimens a search found, fetched a page at a time as she scrolls."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt, Signal

from catalog_gui.domain.ledger import Found

Index = QModelIndex | QPersistentModelIndex
HEADS = ("Number", "Name", "Collected", "Site", "Pictures", "Hazard", "What matched")
PAGE = 200


class FoundTable(QAbstractTableModel):
    """Rows are `Found` values. `more_wanted(offset)` asks for the next page; `add` brings it."""

    more_wanted = Signal(int)

    def __init__(self, day: Callable[[Found], str], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._day = day
        self._rows: list[Found] = []
        self._total = 0
        self._asked = -1

    def begin(self, rows: tuple[Found, ...], total: int) -> None:
        """A new search: its first page and how many there are in all."""
        self.beginResetModel()
        self._rows, self._total, self._asked = list(rows), total, -1
        self.endResetModel()

    def add(self, offset: int, rows: tuple[Found, ...]) -> None:
        """The page that begins at `offset`; a page that comes late or twice is passed over."""
        if offset != len(self._rows) or not rows:
            return
        self.beginInsertRows(QModelIndex(), offset, offset + len(rows) - 1)
        self._rows.extend(rows)
        self.endInsertRows()

    @property
    def total(self) -> int:
        """How many the search found, fetched or not."""
        return self._total

    def found(self, row: int) -> Found | None:
        """The value of a row."""
        return self._rows[row] if 0 <= row < len(self._rows) else None

    def row_of(self, specimen_id: str) -> int:
        """The row of a specimen among those fetched, or -1."""
        return next((row for row, one in enumerate(self._rows) if one.specimen_id == specimen_id), -1)

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own signature
        """What is fetched so far."""
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own signature
        """One column a head."""
        return 0 if parent.isValid() else len(HEADS)

    def canFetchMore(self, parent: Index) -> bool:
        """Whether the search has more than is fetched."""
        return not parent.isValid() and len(self._rows) < self._total

    def fetchMore(self, parent: Index) -> None:
        """Ask for the next page, once."""
        if not parent.isValid() and self._asked < len(self._rows):
            self._asked = len(self._rows)
            self.more_wanted.emit(self._asked)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        """The heads."""
        if role == Qt.ItemDataRole.DisplayRole and orientation == Qt.Orientation.Horizontal:
            return HEADS[section]
        return None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """The words of a cell."""
        found = self.found(index.row()) if index.isValid() else None
        if found is None:
            return None
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole):
            return (
                found.number,
                found.name or "not named yet",
                self._day(found),
                found.site,
                str(found.photos),
                found.hazard,
                found.snippet,
            )[index.column()]
        if role == Qt.ItemDataRole.UserRole:
            return found.specimen_id
        return None
