"""The tray: pictures that show no specimen or could not be placed. Always in sight, never lost."""

from __future__ import annotations

from PySide6.QtCore import (
    QAbstractListModel,
    QMimeData,
    QModelIndex,
    QPersistentModelIndex,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import (
    QColor,
    QDragEnterEvent,
    QDragMoveEvent,
    QDropEvent,
    QIcon,
    QPainter,
    QPaintEvent,
    QPixmap,
)
from PySide6.QtWidgets import QListView, QWidget

from catalog_gui.domain.foray import NOT_A_SPECIMEN
from catalog_gui.domain.photo import Photo
from catalog_gui.views import theme
from catalog_gui.views.sort.trail import PHOTO_MIME, mime_of, photos_in
from catalog_gui.views.widgets.pictures import PictureSource

Index = QModelIndex | QPersistentModelIndex

TILE = (96, 68)
"""px of a picture in the tray: a name of twelve letters stands below it uncut."""


class TrayModel(QAbstractListModel):
    """The photos of the tray with the reason why they stand there."""

    def __init__(self, pictures: PictureSource, parent: QWidget) -> None:
        super().__init__(parent)
        self._pictures = pictures
        self._photos: tuple[Photo, ...] = ()
        self._key: tuple[tuple[str, str], ...] = ()
        self._where: dict[str, int] = {}
        pictures.ready.connect(self._on_ready)

    def set_photos(self, photos: tuple[Photo, ...], key: tuple[tuple[str, str], ...]) -> None:
        """Show these; `key` says of each its id and why it is here, so that nothing moves without need."""
        if key != self._key:
            self.beginResetModel()
            self._photos, self._key = photos, key
            self._where = {photo.id: row for row, photo in enumerate(photos)}
            self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own signature
        """A flat list: no children."""
        return 0 if parent.isValid() else len(self._photos)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Name, reason and a small picture."""
        if not index.isValid() or index.row() >= len(self._photos):
            return None
        photo = self._photos[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return photo.name if photo.aside == NOT_A_SPECIMEN else f"{photo.name}\n{photo.aside}"
        if role in (Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleDescriptionRole):
            return f"{photo.name}: {photo.aside or 'could not be placed'}"
        if role == Qt.ItemDataRole.DecorationRole:
            pixmap = self._pictures.pixmap(photo, 160, fit=TILE)
            if pixmap is None:
                blank = QPixmap(*TILE)
                blank.fill(Qt.GlobalColor.transparent)
                return QIcon(blank)
            return QIcon(pixmap)
        if role == Qt.ItemDataRole.UserRole:
            return photo.id
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Pictures may be dragged back to the trail."""
        base = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        return base | Qt.ItemFlag.ItemIsDragEnabled if index.isValid() else base

    def mimeTypes(self) -> list[str]:
        """Photo ids only."""
        return [PHOTO_MIME]

    def mimeData(self, indexes: list[QModelIndex]) -> QMimeData:  # type: ignore[override]
        """The ids of the dragged photos."""
        return mime_of([self._photos[index.row()].id for index in indexes])

    def _on_ready(self, photo_id: str) -> None:
        row = self._where.get(photo_id)
        if row is not None:
            self.dataChanged.emit(self.index(row), self.index(row), [Qt.ItemDataRole.DecorationRole])


class TrayView(QListView):
    """A strip of small pictures; drop something here to say that it shows no specimen."""

    dropped = Signal(list)
    opened = Signal(str)

    def __init__(self, pictures: PictureSource, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("tray")
        self.setAccessibleName("Tray: pictures that belong to no specimen")
        self.setViewMode(QListView.ViewMode.IconMode)
        self.setFlow(QListView.Flow.LeftToRight)
        self.setWrapping(True)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setMovement(QListView.Movement.Static)
        self.setIconSize(QSize(*TILE))
        self.setGridSize(QSize(TILE[0] + 22, TILE[1] + 46))
        self.setWordWrap(True)
        self.setUniformItemSizes(True)
        self.setSelectionMode(QListView.SelectionMode.ExtendedSelection)
        self.setDragEnabled(True)
        self.setAcceptDrops(True)
        self.viewport().setAcceptDrops(True)  # what does not move among itself takes no drops by nature
        self.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        self._tray = TrayModel(pictures, self)
        self.setModel(self._tray)
        self.doubleClicked.connect(lambda index: self.opened.emit(str(index.data(Qt.ItemDataRole.UserRole))))

    def set_photos(self, photos: tuple[Photo, ...], key: tuple[tuple[str, str], ...]) -> None:
        """Show these; `key` is each photo's id and why it is here."""
        self._tray.set_photos(photos, key)

    def paintEvent(self, event: QPaintEvent) -> None:
        """An empty tray says what it is for."""
        super().paintEvent(event)
        if not self._tray.rowCount():
            painter = QPainter(self.viewport())
            painter.setPen(QColor(theme.tones().faded))
            painter.drawText(
                self.viewport().rect().adjusted(12, 6, -12, -6),
                int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap),
                "Drop here what shows no specimen. Nothing is lost: it can go back at any time.",
            )

    def selected(self) -> list[str]:
        """The ids of the chosen photos."""
        return [str(index.data(Qt.ItemDataRole.UserRole)) for index in self.selectedIndexes()]

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Pictures from the trail."""
        if event.mimeData().hasFormat(PHOTO_MIME) and event.source() is not self:
            event.acceptProposedAction()
        else:
            event.ignore()

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:
        """Anywhere in the tray will do."""
        if event.mimeData().hasFormat(PHOTO_MIME):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """They show no specimen."""
        event.acceptProposedAction()
        self.dropped.emit(photos_in(event.mimeData()))
