"""Lists the photos of the tray: those that show no specimen, or could not be placed, with the reason."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QAbstractListModel, QMimeData, QModelIndex, QObject, QPersistentModelIndex, Qt
from PySide6.QtGui import QIcon, QPixmap

from catalog_gui.domain.foray import NOT_A_SPECIMEN
from catalog_gui.domain.photo import Photo
from catalog_gui.itemmodels.drag import PHOTO_MIME, mime_of

Index = QModelIndex | QPersistentModelIndex

TILE = (96, 68)
"""px of a picture in the tray: a name of twelve letters stands below it uncut."""


class TrayModel(QAbstractListModel):
    """The photos of the tray with the reason why they stand there.

    `small` gives a photo's pixmap, at most `TILE` large, or None until it has been decoded.
    """

    def __init__(self, small: Callable[[Photo], QPixmap | None], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._small = small
        self._photos: tuple[Photo, ...] = ()
        self._key: tuple[tuple[str, str], ...] = ()
        self._where: dict[str, int] = {}

    def set_photos(self, photos: tuple[Photo, ...], key: tuple[tuple[str, str], ...]) -> None:
        """Show these; `key` says of each its id and why it is here, so that nothing moves without need."""
        if key != self._key:
            self.beginResetModel()
            self._photos, self._key = photos, key
            self._where = {photo.id: row for row, photo in enumerate(photos)}
            self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own signature
        """Count the photos (QAbstractItemModel.rowCount); a flat list has no children."""
        return 0 if parent.isValid() else len(self._photos)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Return name, reason, small picture or id of a photo (QAbstractItemModel.data)."""
        if not index.isValid() or index.row() >= len(self._photos):
            return None
        photo = self._photos[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return photo.name if photo.aside == NOT_A_SPECIMEN else f"{photo.name}\n{photo.aside}"
        if role in (Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleDescriptionRole):
            return f"{photo.name}: {photo.aside or 'could not be placed'}"
        if role == Qt.ItemDataRole.DecorationRole:
            return QIcon(self._small(photo) or _blank())
        if role == Qt.ItemDataRole.UserRole:
            return photo.id
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Let pictures be dragged back to the trail (QAbstractItemModel.flags)."""
        if not index.isValid():
            return Qt.ItemFlag.NoItemFlags
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsDragEnabled

    def mimeTypes(self) -> list[str]:
        """Carry photo ids only (QAbstractItemModel.mimeTypes)."""
        return [PHOTO_MIME]

    def mimeData(self, indexes: Sequence[QModelIndex]) -> QMimeData:
        """Return the ids of the dragged photos (QAbstractItemModel.mimeData)."""
        return mime_of([self._photos[index.row()].id for index in indexes])

    def picture_came(self, photo_id: str) -> None:
        """Ask the view to paint a photo again, now that it has been decoded."""
        row = self._where.get(photo_id)
        if row is not None:
            self.dataChanged.emit(self.index(row), self.index(row), [Qt.ItemDataRole.DecorationRole])


def _blank() -> QPixmap:
    blank = QPixmap(*TILE)
    blank.fill(Qt.GlobalColor.transparent)
    return blank
