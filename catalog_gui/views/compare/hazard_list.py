"""The dangerous taxa not excluded, as a list: the close ones in full, the rest folded by group with a count."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QContextMenuEvent,
    QFont,
    QFontMetrics,
    QKeyEvent,
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

from catalog_gui.lookalikes.reference import Severity
from catalog_gui.presenting.compare.state import FEW, HazardLine
from catalog_gui.presenting.signal_words import SIGNAL_WORDS
from catalog_gui.views import theme
from catalog_gui.views.widgets.signs import paint_signal

BADGE = 88
NAME = 232
GAP = 8
_Index = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True, slots=True)
class Fold:
    """A folded group: its heading, the worst severity in it, and who is in it."""

    group: str
    severity: Severity
    members: tuple[HazardLine, ...]

    @property
    def words(self) -> str:
        """'Webcaps: 7 taxa'."""
        return f"{self.group[:1].upper()}{self.group[1:]}: {len(self.members)} taxa"


def folds(hazards: Sequence[HazardLine]) -> tuple[HazardLine | Fold, ...]:
    """What the list shows: those named in full, then the groups in the order in which they first appear.

    Nothing is folded where few are left, and a group of one is shown as what it is.
    """
    groups: dict[str, list[HazardLine]] = {}
    rows: list[HazardLine | Fold] = []
    for hazard in hazards:
        if hazard.group and len(hazards) > FEW:
            groups.setdefault(hazard.group, []).append(hazard)
        else:
            rows.append(hazard)
    for name, members in groups.items():
        worst = min((member.severity for member in members), key=lambda severity: severity.order)
        rows.append(members[0] if len(members) == 1 else Fold(name, worst, tuple(members)))
    return tuple(rows)


class _Item(QStandardItem):
    """Words are made when a view or a screen reader asks for them."""

    def __init__(self, entry: HazardLine | Fold) -> None:
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
                if isinstance(entry, Fold):
                    return f"{signal}. {entry.words}"
                english = f" ({entry.taxon.english})" if entry.taxon.english else ""
                return f"{signal}. {entry.name}{english}. {entry.words}"
            case Qt.ItemDataRole.AccessibleDescriptionRole:
                if isinstance(entry, Fold):
                    return "Folded group. Right or Return shows it."
                return f"{entry.syndrome}. Return lays it beside the find, Ctrl+I tells all about it."
            case Qt.ItemDataRole.ToolTipRole:
                if isinstance(entry, Fold):
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
        if isinstance(entry, Fold):
            painter.setFont(base)
            sign = "▾" if self._list.isExpanded(index) else "▸"
            painter.drawText(
                QRectF(left, box.top() + 2, box.right() - left, 20), flags, f"{sign} {entry.words}"
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
            painter.drawText(
                QRectF(right, box.top() + 2, box.right() - right - 4, box.height() - 3),
                flags | int(Qt.TextFlag.TextWordWrap),
                entry.words,
            )
        if chosen and state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QColor(t.moss))
            painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5))
        painter.restore()

    def sizeHint(self, option: QStyleOptionViewItem, index: _Index) -> QSize:
        entry = index.data(Qt.ItemDataRole.UserRole)
        if isinstance(entry, Fold):
            return QSize(200, 23)
        view = self._list
        metrics = QFontMetrics(option.font)
        indent = view.indentation() if index.parent().isValid() else 0
        room = view.viewport().width() - BADGE - NAME - 2 * GAP - 4 - indent
        if metrics.horizontalAdvance(entry.words) <= room:
            return QSize(200, 23)
        height = metrics.boundingRect(
            0, 0, max(room, 80), 400, int(Qt.TextFlag.TextWordWrap), entry.words
        ).height()
        return QSize(200, height + 5)


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
    fold_changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("hazard-list")
        self.setAccessibleName("Dangerous taxa not excluded")
        self.setAccessibleDescription(
            "The deadly and the closest first, the rest folded by group. Right and Left unfold and fold, "
            "Return lays a taxon beside the find, Ctrl+I tells all about it."
        )
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
        self._hazards: tuple[HazardLine, ...] | None = None
        self._find = ""
        self._unfolded: set[str] = set()
        self._filling = False
        self.clicked.connect(self._on_clicked)
        self.expanded.connect(lambda index: self._on_fold(index, open_=True))
        self.collapsed.connect(lambda index: self._on_fold(index, open_=False))

    @property
    def unfolded(self) -> frozenset[str]:
        """The groups that stand open."""
        return frozenset(self._unfolded)

    def show_hazards(self, hazards: tuple[HazardLine, ...], find: str = "") -> None:
        """Fill the list; nothing is done when it shows just these. Another find starts at the top."""
        same, self._find = find == self._find, find
        if hazards == self._hazards and same:
            return
        self._hazards = hazards
        chosen = self._key(self.currentIndex()) if same else ""
        position = self.verticalScrollBar().value() if same else 0
        self._filling = True
        self.setUpdatesEnabled(False)
        # a filled model is put in place as a whole: filling one in place lays the list out again and again
        before, self._model = self._model, QStandardItemModel(self)
        root = self._model.invisibleRootItem()
        for entry in folds(hazards):
            head = _Item(entry)
            if isinstance(entry, Fold):
                head.appendRows([_Item(member) for member in entry.members])
            root.appendRow(head)
        self.setModel(self._model)
        before.deleteLater()
        for index in self.rows():
            entry = index.data(Qt.ItemDataRole.UserRole)
            if isinstance(entry, Fold) and entry.group in self._unfolded:
                self.expand(index)
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

    def rows(self) -> list[QModelIndex]:
        """Every row, those inside folded groups included."""
        found = []
        for row in range(self._model.rowCount()):
            index = self._model.index(row, 0)
            found.append(index)
            found += [self._model.index(child, 0, index) for child in range(self._model.rowCount(index))]
        return found

    def height_of(self, most_rows: int | None = None) -> int:
        """The height in px of the first rows that are open to view, or of all of them."""
        height, index, seen = 0, self._model.index(0, 0), 0
        while index.isValid() and (most_rows is None or seen < most_rows):
            height += self.rowHeight(index)
            index = self.indexBelow(index)
            seen += 1
        return height + 2 * self.frameWidth() + 2

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
            self.fold_changed.emit()

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

    def _on_clicked(self, index: QModelIndex) -> None:
        self._act(index)

    def _act(self, index: QModelIndex) -> None:
        entry = index.data(Qt.ItemDataRole.UserRole)
        if isinstance(entry, Fold):
            self.setExpanded(index, not self.isExpanded(index))
        elif isinstance(entry, HazardLine):
            self.taxon_wanted.emit(entry.taxon.id)

    def _on_fold(self, index: QModelIndex, *, open_: bool) -> None:
        entry = index.data(Qt.ItemDataRole.UserRole)
        if self._filling or not isinstance(entry, Fold):
            return
        if open_:
            self._unfolded.add(entry.group)
        else:
            self._unfolded.discard(entry.group)
        self.fold_changed.emit()

    def _key(self, index: _Index) -> str:
        entry = index.data(Qt.ItemDataRole.UserRole)
        if isinstance(entry, HazardLine):
            return f"taxon {entry.taxon.id}"
        return f"group {entry.group}" if isinstance(entry, Fold) else ""
