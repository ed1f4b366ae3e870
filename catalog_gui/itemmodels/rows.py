"""Gives a flat list of values to a view; the view's delegate decides how a value looks."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from typing import Generic, TypeVar

from PySide6.QtCore import QAbstractListModel, QModelIndex, QObject, QPersistentModelIndex, Qt

V = TypeVar("V")
Index = QModelIndex | QPersistentModelIndex


class RowsModel(QAbstractListModel, Generic[V]):
    """Values with a text, a tooltip and a key. While the keys stay, only what changed is repainted."""

    def __init__(
        self,
        *,
        text: Callable[[V], str],
        key: Callable[[V], Hashable],
        tip: Callable[[V], str] = lambda _: "",
        usable: Callable[[V], bool] = lambda _: True,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._text = text
        self._key = key
        self._tip = tip
        self._usable = usable
        self._rows: tuple[V, ...] = ()

    @property
    def rows(self) -> tuple[V, ...]:
        """What the model holds."""
        return self._rows

    def set_rows(self, rows: Sequence[V]) -> None:
        """Hold these from now on."""
        new = tuple(rows)
        if [self._key(row) for row in new] != [self._key(row) for row in self._rows]:
            self.beginResetModel()
            self._rows = new
            self.endResetModel()
            return
        changed = [at for at, (old, row) in enumerate(zip(self._rows, new, strict=True)) if old != row]
        self._rows = new
        if changed:
            self.dataChanged.emit(self.index(changed[0]), self.index(changed[-1]))

    def row_of(self, key: Hashable) -> int:
        """Where the value with this key stands, or -1."""
        return next((at for at, row in enumerate(self._rows) if self._key(row) == key), -1)

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own signature
        """Count the values (QAbstractItemModel.rowCount); a flat list has no children."""
        return 0 if parent.isValid() else len(self._rows)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Return the text, the tooltip, or the value itself for UserRole (QAbstractItemModel.data)."""
        if not index.isValid() or index.row() >= len(self._rows):
            return None
        row = self._rows[index.row()]
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return self._text(row)
        if role == Qt.ItemDataRole.ToolTipRole:
            return self._tip(row) or None
        if role == Qt.ItemDataRole.UserRole:
            return row
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Say that headings cannot be chosen (QAbstractItemModel.flags)."""
        if not index.isValid() or index.row() >= len(self._rows):
            return Qt.ItemFlag.NoItemFlags
        if not self._usable(self._rows[index.row()]):
            return Qt.ItemFlag.ItemIsEnabled
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemNeverHasChildren
