"""Shows what a search found, as a list and as pictures: two skins over one model."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QIcon, QKeyEvent, QPainter, QPalette, QPen, QPixmap
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QHeaderView,
    QListView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from catalog_gui.domain.ledger import Found
from catalog_gui.itemmodels.found_table import DAY, FOUND, HAZARD, MATCHED, NAME, WORST, FoundTable
from catalog_gui.lookalikes.reference import Severity
from catalog_gui.presenting.catalogue.words import severity_of, worst_severity
from catalog_gui.views import theme
from catalog_gui.views.widgets.signs import paint_signal

Index = QModelIndex | QPersistentModelIndex
Cover = Callable[[Found, QSize], QPixmap | None]
PICTURE = QSize(196, 147)
CARD = QSize(214, 216)
WIDTHS = (84, 160, 118, 100, 66, 124, 280)
SIGN = QSize(84, 18)


def name_font(base: QFont) -> QFont:
    """The face of a scientific name."""
    font = QFont(base)
    font.setFamily(theme.SERIF)
    font.setItalic(True)
    return font


class FoundDelegate(QStyledItemDelegate):
    """Names in italics, missing ones in grey words, hazards with sign and word."""

    def initStyleOption(self, option: QStyleOptionViewItem, index: Index) -> None:
        """Dress the words."""
        super().initStyleOption(option, index)
        found = index.data(FOUND)
        if index.column() == NAME and isinstance(found, Found):
            if found.name:
                option.font = name_font(option.font)
            else:
                faded = QColor(theme.tones().faded)
                option.palette.setColor(QPalette.ColorRole.Text, faded)
        if index.column() == HAZARD and isinstance(found, Found):
            if severity_of(found) is not None:
                option.text = ""
            elif not found.hazard:
                option.palette.setColor(QPalette.ColorRole.Text, QColor(theme.tones().faded))

        if index.column() == WORST and isinstance(found, Found):
            worst = worst_severity(found)
            if worst is not None:
                option.features |= QStyleOptionViewItem.ViewItemFeature.HasDecoration
                option.decorationSize = SIGN
                option.icon = _sign(worst, theme.tones().dark)
            else:
                option.palette.setColor(QPalette.ColorRole.Text, QColor(theme.tones().faded))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """The cell, and over it the sign."""
        super().paint(painter, option, index)
        found = index.data(FOUND)
        if index.column() != HAZARD or not isinstance(found, Found):
            return
        severity = severity_of(found)
        if severity is not None:
            rect: QRect = option.rect
            box = QRectF(rect).adjusted(4, 4, 0, -4)
            box.setWidth(min(box.width() - 4, 108))
            painter.setFont(_bold(option.font))
            paint_signal(painter, box, severity)


@lru_cache(maxsize=8)
def _sign(severity: Severity, dark: bool) -> QIcon:  # noqa: ARG001 - the theme is part of the key
    """The signal word as a picture before the words of a cell."""
    pixmap = QPixmap(SIGN * 2)
    pixmap.setDevicePixelRatio(2.0)
    painter = QPainter(pixmap)
    font = QApplication.font()
    font.setBold(True)
    font.setPointSizeF(font.pointSizeF() - 1.5)
    painter.setFont(font)
    paint_signal(painter, QRectF(0, 0, SIGN.width(), SIGN.height()), severity)
    painter.end()
    icon = QIcon(pixmap)
    icon.addPixmap(pixmap, QIcon.Mode.Selected)  # the chosen row does not fade the sign
    return icon


class FoundList(QTableView):
    """The list. Return describes the row; a head orders everything that was found."""

    def __init__(self, model: FoundTable, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("found-table")
        self.setAccessibleName("Specimens found")
        self.setModel(model)
        self.setItemDelegate(FoundDelegate(self))
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setAlternatingRowColors(True)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setTabKeyNavigation(False)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        rows = self.verticalHeader()
        rows.hide()
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        rows.setDefaultSectionSize(28)
        head = self.horizontalHeader()
        head.setStretchLastSection(True)
        head.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        head.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        head.setSectionsClickable(True)
        head.setSortIndicatorShown(True)
        head.setSortIndicator(DAY, Qt.SortOrder.DescendingOrder)
        head.setHighlightSections(False)
        head.setMinimumSectionSize(48)
        for column, width in enumerate(WIDTHS):
            self.setColumnWidth(column, width)

    def show_matches(self, wanted: bool) -> None:
        """Show what matched, while something was searched for."""
        self.setColumnHidden(MATCHED, not wanted)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Left and right have no cells to go to; Return describes."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.currentIndex().isValid():
            self.activated.emit(self.currentIndex())
            return
        if event.key() in (Qt.Key.Key_Home, Qt.Key.Key_End) and self.model().rowCount():
            row = 0 if event.key() == Qt.Key.Key_Home else self.model().rowCount() - 1
            self.setCurrentIndex(self.model().index(row, 0))
            return
        super().keyPressEvent(event)


class CardDelegate(QStyledItemDelegate):
    """A picture with number and name under it, and the hazard's sign on it."""

    def __init__(self, cover: Cover, refused: Callable[[str], str], parent: QWidget) -> None:
        super().__init__(parent)
        self._cover = cover
        self._refused = refused

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """All cards alike."""
        return CARD

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """The card."""
        t = theme.tones()
        rect: QRect = option.rect.adjusted(4, 4, -4, -4)
        state = option.state
        chosen = bool(state & QStyle.StateFlag.State_Selected)
        painter.save()
        painter.setPen(QPen(QColor(t.moss if chosen else t.line), 2 if chosen else 1))
        painter.setBrush(QColor(t.chosen if chosen else t.sheet))
        painter.drawRect(rect)
        found = index.data(FOUND)
        if isinstance(found, Found):
            self._paint_found(painter, option, rect, found)
        painter.restore()

    def _paint_found(
        self, painter: QPainter, option: QStyleOptionViewItem, rect: QRect, found: Found
    ) -> None:
        t = theme.tones()
        box = QRect(rect.left() + 5, rect.top() + 5, PICTURE.width(), PICTURE.height())
        pixmap = self._cover(found, PICTURE)
        if pixmap is None:
            painter.setPen(QColor(t.faded))
            words = self._refused(found.cover_photo) or ("No picture" if not found.cover_photo else "…")
            flags = int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap)
            painter.drawText(box.adjusted(8, 8, -8, -8), flags, words)
        else:
            size = pixmap.deviceIndependentSize().toSize()
            size.scale(PICTURE, Qt.AspectRatioMode.KeepAspectRatio)
            at = QRect(box.topLeft(), size)
            at.moveCenter(box.center())
            painter.drawPixmap(at, pixmap)
        base = option.font
        line = QRect(box.left(), box.bottom() + 4, box.width(), 20)
        painter.setPen(QColor(t.ink))
        painter.setFont(_bold(base))
        painter.drawText(line, int(Qt.AlignmentFlag.AlignVCenter), found.number)
        severity = severity_of(found)
        if severity is not None:
            paint_signal(painter, QRectF(line.right() - 107, line.top(), 108, 20), severity)
        line.translate(0, 22)
        painter.setPen(QColor(t.ink if found.name else t.faded))
        painter.setFont(name_font(base) if found.name else base)
        words = painter.fontMetrics().elidedText(
            found.name or "not named yet", Qt.TextElideMode.ElideRight, line.width()
        )
        painter.drawText(line, int(Qt.AlignmentFlag.AlignVCenter), words)


class FoundAlbum(QListView):
    """The same finds as pictures, in the same order."""

    def __init__(
        self, model: FoundTable, cover: Cover, refused: Callable[[str], str], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("found-pictures")
        self.setAccessibleName("Specimens found, as pictures")
        # Not icon mode: its tree of items costs where ten thousand are found.
        self.setFlow(QListView.Flow.LeftToRight)
        self.setWrapping(True)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setUniformItemSizes(True)
        self.setGridSize(CARD)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setItemDelegate(CardDelegate(cover, refused, self))
        self.setModel(model)
        self.setModelColumn(0)
        self.verticalScrollBar().setSingleStep(CARD.height() // 3)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Return describes."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.currentIndex().isValid():
            self.activated.emit(self.currentIndex())
            return
        super().keyPressEvent(event)


def rows_in_sight(view: QAbstractItemView) -> tuple[int, int]:
    """First and last row that can be seen; (0, -1) for none."""
    area = view.viewport().rect()
    count = view.model().rowCount()
    if not count:
        return 0, -1
    if isinstance(view, QTableView):
        first, last = view.rowAt(0), view.rowAt(area.bottom())
        return max(0, first), last if last >= 0 else count - 1
    across = max(1, area.width() // CARD.width())
    top = view.verticalScrollBar().value() // CARD.height()
    lines = area.height() // CARD.height() + 2
    return min(top * across, count - 1), min((top + lines) * across, count) - 1


def _bold(base: QFont) -> QFont:
    font = QFont(base)
    font.setBold(True)
    return font
