"""Gives the specimens a search found: all rows at once; what stands in them comes a page at a time."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from catalog_gui.domain.caution import NO_ENTRY, NO_ENTRY_MEANS
from catalog_gui.domain.ledger import Found, FoundOrder
from catalog_gui.lookalikes.reference import Severity
from catalog_gui.presenting.catalogue.words import WORST_MEANS, worst_in_full, worst_words

Index = QModelIndex | QPersistentModelIndex
HEADS = ("Number", "Name", "Collected", "Site", "Pictures", "Known hazard", "Not excluded", "What matched")
NUMBER, NAME, DAY, SITE, PICTURES, HAZARD, WORST, MATCHED = range(8)
ORDERS = {
    NUMBER: (FoundOrder.NUMBER, FoundOrder.NUMBER_DOWN),
    NAME: (FoundOrder.NAME, FoundOrder.NAME_DOWN),
    DAY: (FoundOrder.NEWEST, FoundOrder.OLDEST),
    SITE: (FoundOrder.SITE, FoundOrder.SITE_DOWN),
}
"""The heads that order the whole result: the first click and the second."""
_MEANS = {severity.value: severity.means for severity in Severity}
PAGE = 100
FOUND = Qt.ItemDataRole.UserRole + 1
"""The role that gives the `Found` value of a row."""
_TIPS = {
    **dict.fromkeys(ORDERS, "Click to order everything found by this"),
    HAZARD: f"The worst that is documented for its present name. {NO_ENTRY_MEANS}",
    WORST: WORST_MEANS,
    MATCHED: "The words or states that were searched for",
}


class FoundTable(QAbstractTableModel):
    """Rows are `Found` values or, until their page has come, empty.

    `missing(first, last)` says which pages rows need; `add` brings one. `day` writes a row's date.
    """

    def __init__(self, day: Callable[[Found], str], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._day = day
        self._pages: dict[int, tuple[Found, ...]] = {}
        self._total = 0

    def begin(self, offset: int, rows: tuple[Found, ...], total: int) -> bool:
        """An answer: the page that begins at `offset`, and how many there are in all.

        Returns whether the rows stayed as many as they were, so that the place in the list holds.
        """
        if total == self._total and total:
            self._pages = {offset: rows}
            self.dataChanged.emit(self.index(0, 0), self.index(total - 1, len(HEADS) - 1))
            return True
        self.beginResetModel()
        self._pages, self._total = {offset: rows}, total
        self.endResetModel()
        return False

    def add(self, offset: int, rows: tuple[Found, ...]) -> None:
        """The page that begins at `offset`; one beyond the end is passed over."""
        if not rows or offset + len(rows) > self._total:
            return
        self._pages[offset] = rows
        last = self.index(offset + len(rows) - 1, len(HEADS) - 1)
        self.dataChanged.emit(self.index(offset, 0), last)

    def missing(self, first: int, last: int) -> list[int]:
        """Offsets of the pages that these rows need and that are not here, nearest first."""
        first, last = max(0, first), min(last, self._total - 1)
        pages = range(first // PAGE * PAGE, last + 1, PAGE) if last >= first else range(0)
        return [offset for offset in pages if offset not in self._pages]

    def found(self, row: int) -> Found | None:
        """The value of a row, once it has come."""
        page = self._pages.get(row // PAGE * PAGE, ())
        return page[row % PAGE] if 0 <= row < self._total and row % PAGE < len(page) else None

    def row_of(self, specimen_id: str) -> int:
        """The row of a specimen among those that have come, or -1."""
        for offset, page in self._pages.items():
            for number, one in enumerate(page):
                if one.specimen_id == specimen_id:
                    return offset + number
        return -1

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own signature
        """Count all that was found, come or not (QAbstractItemModel.rowCount)."""
        return 0 if parent.isValid() else self._total

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own signature
        """Count the heads (QAbstractItemModel.columnCount)."""
        return 0 if parent.isValid() else len(HEADS)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        """Return a head, or what it is for (QAbstractItemModel.headerData)."""
        if orientation != Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return HEADS[section]
        return _TIPS.get(section) if role == Qt.ItemDataRole.ToolTipRole else None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Return the words of a cell (QAbstractItemModel.data); three dots for a row that has not come."""
        if not index.isValid():
            return None
        found = self.found(index.row())
        if role == FOUND:
            return found
        if role not in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole):
            return None
        if found is None:
            return "…" if index.column() == NUMBER and role == Qt.ItemDataRole.DisplayRole else None
        return (
            found.number,
            found.name or "not named yet",
            self._day(found) if index.column() == DAY else "",
            found.site,
            str(found.photos),
            _MEANS.get(found.hazard, found.hazard) or _no_hazard(found, role),
            worst_words(found) if role == Qt.ItemDataRole.DisplayRole else worst_in_full(found),
            found.snippet,
        )[index.column()]


def _no_hazard(found: Found, role: int) -> str:
    """An empty cell would read as a statement: say why there is none."""
    if not found.name:
        return "no name yet"
    return NO_ENTRY_MEANS if role == Qt.ItemDataRole.ToolTipRole else NO_ENTRY
