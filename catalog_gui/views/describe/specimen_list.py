"""Lists the specimens of the foray: number, name, how much is written, what is overdue."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QPainter, QPen
from PySide6.QtWidgets import QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from catalog_gui.itemmodels.rows import RowsModel
from catalog_gui.presenting.describe.state import SpecimenLine
from catalog_gui.presenting.describe.words import line_words
from catalog_gui.views import theme
from catalog_gui.views.widgets.pictures import PictureSource

HEIGHT = 58


class SpecimenList(QListView):
    """Arrow keys walk; the chosen one is shown."""

    chosen = Signal(str)  # specimen id

    def __init__(self, pictures: PictureSource, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("specimen-list")
        self.setAccessibleName("Specimens of this foray")
        self.setToolTip("")
        self.setUniformItemSizes(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self._model: RowsModel[SpecimenLine] = RowsModel(
            text=line_words, key=lambda line: line.specimen.id, tip=line_words, parent=self
        )
        self.setModel(self._model)
        self.setItemDelegate(_LineDelegate(pictures, self))
        self._quiet = False
        self.selectionModel().currentChanged.connect(self._on_current)
        pictures.ready.connect(self._on_ready)

    @property
    def lines(self) -> tuple[SpecimenLine, ...]:
        """What is listed."""
        return self._model.rows

    def set_lines(self, lines: tuple[SpecimenLine, ...], current: str) -> None:
        """List these; `current` is the specimen that is shown."""
        self._quiet = True
        self._model.set_rows(lines)
        self._choose(self._model.row_of(current))
        self._quiet = False

    def step(self, by: int) -> None:
        """Go to the next or the previous specimen."""
        row = self.currentIndex().row() + by
        if 0 <= row < self._model.rowCount():
            self.setCurrentIndex(self._model.index(row))

    def _choose(self, row: int) -> None:
        if row >= 0 and row != self.currentIndex().row():
            self.setCurrentIndex(self._model.index(row))

    def _on_current(self, index: QModelIndex, _before: QModelIndex) -> None:
        line = index.data(Qt.ItemDataRole.UserRole)
        if not self._quiet and isinstance(line, SpecimenLine):
            self.chosen.emit(line.specimen.id)

    def _on_ready(self, _photo_id: str) -> None:
        self.viewport().update()


class _LineDelegate(QStyledItemDelegate):
    def __init__(self, pictures: PictureSource, parent: QWidget) -> None:
        super().__init__(parent)
        self._pictures = pictures

    def sizeHint(
        self,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> QSize:
        """All lines are alike."""
        return QSize(150, HEIGHT)

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """A small picture, number and name, and a bar that fills as evidence comes."""
        line = index.data(Qt.ItemDataRole.UserRole)
        if not isinstance(line, SpecimenLine):
            return
        t = theme.tones()
        box = option.rect
        state = option.state
        chosen = bool(state & QStyle.StateFlag.State_Selected)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if chosen:
            painter.fillRect(box, QColor(t.chosen))
            painter.fillRect(QRect(box.left(), box.top(), 4, box.height()), QColor(t.bark))
        painter.setPen(QPen(QColor(t.line), 1))
        painter.drawLine(box.bottomLeft(), box.bottomRight())
        picture = QRect(box.left() + 9, box.top() + 7, 44, 44)
        pixmap = self._pictures.pixmap(line.cover, 160) if line.cover is not None else None
        if pixmap is not None:
            side = min(pixmap.width(), pixmap.height())
            cut = QRect((pixmap.width() - side) // 2, (pixmap.height() - side) // 2, side, side)
            painter.drawPixmap(picture, pixmap, cut)
        else:
            painter.setPen(QPen(QColor(t.line), 1))
            painter.setBrush(QColor(t.ground))
            painter.drawRect(picture)
        left, right = picture.right() + 9, box.right() - 8
        font = QFont(option.font)
        font.setBold(True)
        painter.setFont(font)
        painter.setPen(QColor(t.ink))
        painter.drawText(
            QRect(left, box.top() + 5, right - left, 17),
            int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter),
            line.specimen.number,
        )
        if line.overdue:
            words = f"{line.overdue} late"
            painter.setPen(QColor(t.rust))
            painter.drawText(
                QRect(left, box.top() + 5, right - left, 17),
                int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter),
                words,
            )
        self._paint_name(painter, QRect(left, box.top() + 22, right - left, 18), line)
        bar = QRectF(left, box.bottom() - 12, right - left, 4)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(t.line))
        painter.drawRoundedRect(bar, 2, 2)
        if line.wanted and line.noted:
            bar.setWidth(max(4.0, bar.width() * line.noted / line.wanted))
            painter.setBrush(QColor(t.edge))
            painter.drawRoundedRect(bar, 2, 2)
        if state & QStyle.StateFlag.State_HasFocus and state & QStyle.StateFlag.State_Active:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(t.moss), 1, Qt.PenStyle.DotLine))
            painter.drawRect(QRectF(box).adjusted(1.5, 1.5, -1.5, -1.5))
        painter.restore()

    def _paint_name(self, painter: QPainter, box: QRect, line: SpecimenLine) -> None:
        t = theme.tones()
        font = QFont(theme.SERIF)
        font.setPointSizeF(10.5)
        font.setItalic(line.name is not None)
        painter.setFont(font)
        painter.setPen(QColor(t.ink if line.name is not None else t.faded))
        words = line.name.display_name if line.name is not None else "not named yet"
        words = painter.fontMetrics().elidedText(words, Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(box, int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter), words)
