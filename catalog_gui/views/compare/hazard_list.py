"""Every dangerous taxon not excluded, under the line of the banner that counts it; reasons on the chosen one."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QContextMenuEvent,
    QFont,
    QFontMetrics,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QResizeEvent,
    QStandardItem,
    QStandardItemModel,
)
from PySide6.QtWidgets import (
    QAbstractItemView,
    QMenu,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTreeView,
    QWidget,
)

from catalog_gui.presenting.compare.state import BannerLine, HazardLine
from catalog_gui.presenting.signal_words import SIGNAL_WORDS
from catalog_gui.views import theme
from catalog_gui.views.widgets.signs import paint_signal

BADGE = 88
NAME = 250
GAP = 8
_Index = QModelIndex | QPersistentModelIndex


class _Item(QStandardItem):
    """Words are made when a view or a screen reader asks for them."""

    def __init__(self, entry: HazardLine | BannerLine) -> None:
        super().__init__()
        self.entry = entry
        self.setEditable(False)

    def data(self, role: int = Qt.ItemDataRole.UserRole + 1) -> object:
        entry = self.entry
        match role:
            case Qt.ItemDataRole.UserRole:
                return entry
            case Qt.ItemDataRole.DisplayRole | Qt.ItemDataRole.AccessibleTextRole:
                signal = SIGNAL_WORDS[entry.severity].capitalize()
                if isinstance(entry, BannerLine):
                    return f"{signal}. {heading(entry)}"
                english = f" ({entry.taxon.english})" if entry.taxon.english else ""
                return f"{signal}. {entry.name}{english}. {entry.words}"
            case Qt.ItemDataRole.AccessibleDescriptionRole:
                if isinstance(entry, BannerLine):
                    return "Folded group. Right or Return shows it."
                return f"{entry.syndrome}. Return lays it beside the find, Ctrl+I tells all about it."
            case Qt.ItemDataRole.ToolTipRole:
                if isinstance(entry, BannerLine):
                    return "\n".join(member.taxon.name for member in entry.members)
                english = f" ({entry.taxon.english})" if entry.taxon.english else ""
                lines = [f"{entry.name}{english}", entry.words, entry.syndrome, entry.misleads]
                return "<p>" + "</p><p>".join(line for line in lines if line) + "</p>"
        return super().data(role)


class _Row(QStyledItemDelegate):
    """Signal word, name, reason; the reason may take two lines."""

    def __init__(self, owner: HazardList) -> None:
        super().__init__(owner)
        self._list = owner

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: _Index) -> None:
        entry = index.data(Qt.ItemDataRole.UserRole)
        t = theme.tones()
        box = QRectF(option.rect)
        state = option.state
        painter.save()
        painter.setClipRect(box)
        chosen = bool(state & QStyle.StateFlag.State_Selected)
        if chosen:
            painter.fillRect(box, QColor(t.chosen))
        base = QFont(option.font)
        small = QFont(base)
        small.setBold(True)
        small.setPointSizeF(base.pointSizeF() - 1.5)
        painter.setFont(small)
        paint_signal(painter, QRectF(box.left(), box.top() + 2, BADGE, 19), entry.severity)
        left = box.left() + BADGE + GAP
        flags = int(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        painter.setPen(QColor(t.ink))
        if isinstance(entry, BannerLine):
            heavy = QFont(base)
            heavy.setWeight(QFont.Weight.DemiBold)
            painter.setFont(heavy)
            sign = "▾" if self._list.isExpanded(index) else "▸"
            painter.drawText(
                QRectF(left, box.top() + 2, box.right() - left, 20), flags, f"{sign} {heading(entry)}"
            )
        else:
            name = _name_font(base)
            painter.setFont(name)
            metrics = QFontMetrics(name)
            painter.drawText(
                QRectF(left, box.top() + 2, NAME, 20),
                flags,
                metrics.elidedText(entry.name, Qt.TextElideMode.ElideRight, NAME),
            )
            right = left + NAME + GAP
            painter.setFont(base)
            room = QRectF(right, box.top() + 2, box.right() - right - 4, box.height() - 3)
            if index == self._list.currentIndex():
                painter.drawText(room, flags | int(Qt.TextFlag.TextWordWrap), entry.words)
            else:
                painter.setPen(QColor(t.faded))
                cut = QFontMetrics(base).elidedText(
                    entry.reason, Qt.TextElideMode.ElideRight, round(room.width())
                )
                painter.drawText(room, flags, cut)
        if chosen and state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QColor(t.moss))
            painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5))
        painter.restore()

    def sizeHint(self, option: QStyleOptionViewItem, index: _Index) -> QSize:
        entry = index.data(Qt.ItemDataRole.UserRole)
        if isinstance(entry, BannerLine) or index != self._list.currentIndex():
            return QSize(200, 23)
        view = self._list
        metrics = QFontMetrics(option.font)
        indent = view.indentation() if index.parent().isValid() else 0
        room = view.viewport().width() - BADGE - NAME - 2 * GAP - 4 - indent
        height = metrics.boundingRect(
            0, 0, max(room, 80), 400, int(Qt.TextFlag.TextWordWrap), entry.words
        ).height()
        return QSize(200, max(23, height + 5))


def heading(line: BannerLine) -> str:
    """'Amatoxins, liver; gut after 6 to 24 h: 12 taxa'."""
    count = len(line.members)
    return f"{line.head}: {'1 taxon' if count == 1 else f'{count} taxa'}"


def _name_font(base: QFont) -> QFont:
    font = QFont(theme.SERIF)
    font.setPointSizeF(base.pointSizeF())
    font.setItalic(True)
    font.setWeight(QFont.Weight.DemiBold)
    return font


class HazardList(QTreeView):
    """Keeps what is unfolded, chosen and scrolled to when it is filled again."""

    taxon_wanted = Signal(str)
    about_wanted = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("hazard-list")
        self.setAccessibleName("Dangerous taxa not excluded")
        self.setAccessibleDescription(
            "By poison, the worst first. Right and Left unfold and fold, Return lays a taxon beside the find, "
            "Ctrl+I tells all about it, Escape goes back to the table."
        )
        self._filling = False
        self.setHeaderHidden(True)
        self.setRootIsDecorated(False)
        self.setIndentation(18)
        self.setExpandsOnDoubleClick(False)
        self.setUniformRowHeights(False)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setItemDelegate(_Row(self))
        self.setTabKeyNavigation(False)
        self._model = QStandardItemModel(self)
        self.setModel(self._model)
        self._lines: tuple[BannerLine, ...] | None = None
        self._find = ""
        self._folded: set[str] = set()
        self.expanded.connect(lambda index: self._on_fold(index, folded=False))
        self.collapsed.connect(lambda index: self._on_fold(index, folded=True))

    @property
    def folded(self) -> frozenset[str]:
        """The titles of the lines whose taxa are folded away."""
        return frozenset(self._folded)

    def show_lines(self, lines: tuple[BannerLine, ...], find: str = "") -> None:
        """Fill the list; nothing is done when it shows just these. Another find starts at the top."""
        same, self._find = find == self._find, find
        if lines == self._lines and same:
            return
        self._lines = lines
        if not same:
            self._folded.clear()
        chosen = self._key(self.currentIndex()) if same else ""
        position = self.verticalScrollBar().value() if same else 0
        self._filling = True
        self.setUpdatesEnabled(False)
        # a filled model is put in place as a whole: filling one in place lays the list out again and again
        before, self._model = self._model, QStandardItemModel(self)
        root = self._model.invisibleRootItem()
        for line in lines:
            head = _Item(line)
            head.appendRows([_Item(member) for member in line.members])
            root.appendRow(head)
        self.setModel(self._model)
        before.deleteLater()
        for row in range(self._model.rowCount()):
            self.setExpanded(self._model.index(row, 0), lines[row].title not in self._folded)
        for index in self.rows():
            if chosen and self._key(index) == chosen:
                self.setCurrentIndex(index)
                break
        else:
            if self._model.rowCount():
                self.setCurrentIndex(self._model.index(0, 0))
        self._filling = False
        self.setUpdatesEnabled(True)
        self.verticalScrollBar().setValue(position)

    def go_to(self, place: int) -> None:
        """Bring the line of that number to the top, and choose its first taxon."""
        head = self._model.index(place, 0)
        if head.isValid():
            self.setExpanded(head, True)
            self.setCurrentIndex(self._model.index(0, 0, head))
            self.scrollTo(head, QAbstractItemView.ScrollHint.PositionAtTop)

    def rows(self) -> list[QModelIndex]:
        """Every row, those inside folded groups included."""
        found = []
        for row in range(self._model.rowCount()):
            index = self._model.index(row, 0)
            found.append(index)
            found += [self._model.index(child, 0, index) for child in range(self._model.rowCount(index))]
        return found

    def currentChanged(self, current: _Index, previous: _Index) -> None:
        """The chosen row stands in full, the one before in one line."""
        super().currentChanged(current, previous)
        if not self._filling:
            self.scheduleDelayedItemsLayout()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Return lays beside or unfolds, Ctrl+I asks for everything about it."""
        entry = self.currentIndex().data(Qt.ItemDataRole.UserRole)
        key, modifiers = event.key(), event.modifiers()
        if isinstance(entry, HazardLine) and (
            key == Qt.Key.Key_I and modifiers & Qt.KeyboardModifier.ControlModifier
        ):
            self.about_wanted.emit(entry.taxon.id)
        elif key in {Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space} and entry is not None:
            self._act(self.currentIndex())
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The reasons wrap anew."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.scheduleDelayedItemsLayout()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """What can be done with a taxon, by name."""
        entry = self.indexAt(event.pos()).data(Qt.ItemDataRole.UserRole)
        if not isinstance(entry, HazardLine):
            return
        menu = QMenu(self)
        menu.setObjectName("hazard-menu")
        key = entry.taxon.id
        menu.addAction("Lay it beside the find\tReturn", lambda: self.taxon_wanted.emit(key))
        menu.addAction(f"Everything about {entry.taxon.name}\tCtrl+I", lambda: self.about_wanted.emit(key))
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.popup(event.globalPos())

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """A click chooses; only a double click lays beside, or folds."""
        index = self.indexAt(event.position().toPoint())
        if index.isValid():
            self._act(index)

    def _act(self, index: QModelIndex) -> None:
        entry = index.data(Qt.ItemDataRole.UserRole)
        if isinstance(entry, BannerLine):
            self.setExpanded(index, not self.isExpanded(index))
        elif isinstance(entry, HazardLine):
            self.taxon_wanted.emit(entry.taxon.id)

    def _on_fold(self, index: QModelIndex, *, folded: bool) -> None:
        entry = index.data(Qt.ItemDataRole.UserRole)
        if self._filling or not isinstance(entry, BannerLine):
            return
        if folded:
            self._folded.add(entry.title)
        else:
            self._folded.discard(entry.title)

    def _key(self, index: _Index) -> str:
        entry = index.data(Qt.ItemDataRole.UserRole)
        if isinstance(entry, HazardLine):
            return f"taxon {entry.taxon.id}"
        return f"line {entry.title}" if isinstance(entry, BannerLine) else ""
