"""Shows all pictures of the specimen, to be drawn onto the panels or opened on the canvas."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QContextMenuEvent, QDrag, QKeyEvent, QPainter, QPen
from PySide6.QtWidgets import QListView, QMenu, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from catalog_gui.domain.photo import Photo
from catalog_gui.itemmodels.drag import mime_of
from catalog_gui.itemmodels.rows import RowsModel
from catalog_gui.presenting.part_titles import TITLES
from catalog_gui.views import theme
from catalog_gui.views.describe.panel import PANEL_KEYS
from catalog_gui.views.widgets.pictures import PictureSource, fitted

HIGH = 84


class PictureStrip(QListView):
    """Arrows walk; Return opens; the letter of a part puts the picture on its panel."""

    opened = Signal(str)  # photo id
    assigned = Signal(str, str)  # part, photo id

    def __init__(self, pictures: PictureSource, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("picture-strip")
        self.setAccessibleName("Pictures of the specimen")
        self.setFlow(QListView.Flow.LeftToRight)
        self.setWrapping(False)
        self.setUniformItemSizes(True)
        self.setFixedHeight(HIGH + 18)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setHorizontalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.setDragEnabled(True)
        self._pictures = pictures
        self._on_panels: dict[str, str] = {}
        self._model: RowsModel[Photo] = RowsModel(
            text=lambda photo: photo.name,
            key=lambda photo: photo.id,
            tip=self._tip,
            parent=self,
        )
        self.setModel(self._model)
        self.setItemDelegate(_PictureDelegate(self))
        self.doubleClicked.connect(self._open)
        pictures.ready.connect(self._on_ready)
        pictures.refused.connect(self._on_ready)

    @property
    def current(self) -> str:
        """The photo the keys work on, or ''."""
        photo = self.currentIndex().data(Qt.ItemDataRole.UserRole)
        return photo.id if isinstance(photo, Photo) else ""

    def set_photos(self, photos: tuple[Photo, ...], on_panels: dict[str, str]) -> None:
        """Show these; `on_panels` says in a few letters on which panels a photo stands."""
        self._on_panels = on_panels
        before = self.current
        self._model.set_rows(photos)
        row = max(0, self._model.row_of(before))
        if photos and self.currentIndex().row() != row:
            self.setCurrentIndex(self._model.index(row))
        self.viewport().update()

    def panels_of(self, photo_id: str) -> str:
        """On which panels a photo stands, '' for none."""
        return self._on_panels.get(photo_id, "")

    def pictures(self) -> PictureSource:
        """Where the pixels come from."""
        return self._pictures

    def _tip(self, photo: Photo) -> str:
        keys = ", ".join(f"{key} {TITLES[part].lower()}" for part, key in PANEL_KEYS.items())
        return f"{photo.name}\nReturn or double click: canvas. Drag it onto a panel, or press {keys}."

    def _open(self, index: QModelIndex) -> None:
        photo = index.data(Qt.ItemDataRole.UserRole)
        if isinstance(photo, Photo):
            self.opened.emit(photo.id)

    def _on_ready(self, _photo_id: str, _reason: str = "") -> None:
        self.viewport().update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """The letters of the panels, Return for the canvas."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._open(self.currentIndex())
            return
        if event.modifiers() in (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier):
            for part, key in PANEL_KEYS.items():
                if event.text().upper() == key and self.current:
                    self.assigned.emit(part.value, self.current)
                    return
        super().keyPressEvent(event)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """The panels this picture can stand on."""
        if not self.current:
            return
        menu = QMenu(self)
        menu.addAction("Open on the canvas (Return)").triggered.connect(
            lambda: self._open(self.currentIndex())
        )
        menu.addSeparator()
        for part, key in PANEL_KEYS.items():
            action = menu.addAction(f"Shows the {TITLES[part].lower()} ({key})")
            action.triggered.connect(lambda _=False, part=part: self.assigned.emit(part.value, self.current))
        menu.exec(event.globalPos())

    def startDrag(self, actions: Qt.DropAction) -> None:
        """Carry the picture to a panel."""
        photo = self.currentIndex().data(Qt.ItemDataRole.UserRole)
        if not isinstance(photo, Photo):
            return
        drag = QDrag(self)
        drag.setMimeData(mime_of([photo.id]))
        pixmap = self._pictures.pixmap(photo, 160)
        if pixmap is not None:
            drag.setPixmap(pixmap.scaled(90, 90, Qt.AspectRatioMode.KeepAspectRatio))
        drag.exec(Qt.DropAction.CopyAction)


class _PictureDelegate(QStyledItemDelegate):
    def __init__(self, strip: PictureStrip) -> None:
        super().__init__(strip)
        self._strip = strip

    def sizeHint(
        self,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> QSize:
        """All alike."""
        return QSize(int(HIGH * 1.32), HIGH)

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """The picture, and a tab that says for which parts it stands."""
        photo = index.data(Qt.ItemDataRole.UserRole)
        if not isinstance(photo, Photo):
            return
        t = theme.tones()
        box: QRect = option.rect.adjusted(3, 3, -3, -3)
        state = option.state
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        pixmap = self._strip.pictures().pixmap(photo, 160)
        shown = box
        if pixmap is not None:
            shown = fitted(pixmap, box)
            painter.drawPixmap(shown, pixmap)
        else:
            problem = self._strip.pictures().problem(photo.id)
            painter.setPen(QPen(QColor(t.line), 1))
            painter.setBrush(QColor(t.ground))
            painter.drawRect(box)
            painter.setPen(QColor(t.rust if problem else t.faded))
            painter.drawText(
                box.adjusted(3, 2, -3, -2),
                int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap),
                problem or photo.name,
            )
        words = self._strip.panels_of(photo.id)
        if words:
            wide = painter.fontMetrics().horizontalAdvance(words) + 10
            tab = QRect(shown.left(), shown.bottom() - 16, min(wide, shown.width()), 17)
            painter.fillRect(tab, QColor(t.moss))
            painter.setPen(QColor(t.moss_text))
            painter.drawText(
                tab,
                int(Qt.AlignmentFlag.AlignCenter),
                painter.fontMetrics().elidedText(words, Qt.TextElideMode.ElideRight, tab.width() - 4),
            )
        if state & QStyle.StateFlag.State_Selected:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            focused = bool(state & QStyle.StateFlag.State_HasFocus)
            painter.setPen(QPen(QColor(t.moss if focused else t.edge), 3 if focused else 1.5))
            painter.drawRect(QRectF(shown).adjusted(1, 1, -1, -1))
        painter.restore()
