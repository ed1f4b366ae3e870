"""Shows the pictures that belong to no specimen or could not be placed: always in sight, never lost."""

from __future__ import annotations

from PySide6.QtCore import (
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import (
    QColor,
    QDragEnterEvent,
    QDragMoveEvent,
    QDropEvent,
    QPainter,
    QPaintEvent,
)
from PySide6.QtWidgets import QListView, QWidget

from catalog_gui.domain.photo import Photo
from catalog_gui.itemmodels.drag import PHOTO_MIME, photos_in
from catalog_gui.itemmodels.tray import TILE, TrayModel
from catalog_gui.views import theme
from catalog_gui.views.widgets.pictures import PictureSource


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
        self._tray = TrayModel(lambda photo: pictures.pixmap(photo, 160, fit=TILE), self)
        pictures.ready.connect(self._tray.picture_came)
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
