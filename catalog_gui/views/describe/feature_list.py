"""Lists all features of the find with what was written for each: by part, or what fades first."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from PySide6.QtCore import (
    QModelIndex,
    QPersistentModelIndex,
    QPointF,
    QRect,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QFont, QPainter, QPen
from PySide6.QtWidgets import QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from catalog_gui.domain.checklist import Checklist
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.itemmodels.rows import RowsModel
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.presenting.describe.feature_lines import FeatureLine, feature_lines, spoken
from catalog_gui.presenting.words import clock_time
from catalog_gui.views import theme
from catalog_gui.views.describe.symbols import paint_standing, paint_swatch


class FeatureList(QListView):
    """Arrows walk, Return puts a feature into focus; a click does too."""

    chosen = Signal(str)  # feature id

    def __init__(self, reference: Reference, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("feature-list")
        self.setAccessibleName("Features of this find")
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self._reference = reference
        self._zone = ""
        self._asked = ""
        self._model: RowsModel[FeatureLine] = RowsModel(
            text=lambda line: spoken(line, self._zone),
            key=lambda line: line.feature.id if line.feature is not None else line.head,
            tip=lambda line: line.feature.gloss if line.feature is not None else "",
            usable=lambda line: line.feature is not None,
            parent=self,
        )
        self.setModel(self._model)
        self.setItemDelegate(_FeatureDelegate(self))
        self.clicked.connect(self._choose)
        self.activated.connect(self._choose)

    @property
    def lines(self) -> tuple[FeatureLine, ...]:
        """What is listed."""
        return self._model.rows

    @property
    def zone(self) -> str:
        """The zone in which times are said."""
        return self._zone

    @property
    def asked(self) -> str:
        """The feature in focus, which the list marks."""
        return self._asked

    def set_state(
        self,
        asked: Checklist,
        rows: Mapping[str, Evidence],
        *,
        hasty: bool,
        now: datetime | None,
        zone: str = "",
    ) -> None:
        """List the features; the place on the page is kept."""
        self._zone = zone
        lines = feature_lines(asked, rows, self._reference, hasty=hasty, now=now)
        at = self.verticalScrollBar().value()
        self._model.set_rows(lines)
        self.verticalScrollBar().setValue(at)
        self.mark(self._asked)

    def mark(self, feature_id: str) -> None:
        """Show which feature is in focus."""
        self._asked = feature_id
        row = self._model.row_of(feature_id)
        if row >= 0:
            index = self._model.index(row)
            self.setCurrentIndex(index)
            self.scrollTo(index)
        self.viewport().update()

    def _choose(self, index: QModelIndex) -> None:
        line = index.data(Qt.ItemDataRole.UserRole)
        if isinstance(line, FeatureLine) and line.feature is not None:
            self.chosen.emit(line.feature.id)


class _FeatureDelegate(QStyledItemDelegate):
    def __init__(self, owner: FeatureList) -> None:
        super().__init__(owner)
        self._owner = owner

    def sizeHint(
        self,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> QSize:
        """Headings are a little taller."""
        line = index.data(Qt.ItemDataRole.UserRole)
        head = isinstance(line, FeatureLine) and line.feature is None
        return QSize(100, 30 if head else 24)

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """Standing, feature, what was written; a due time where something fades."""
        line = index.data(Qt.ItemDataRole.UserRole)
        if not isinstance(line, FeatureLine):
            return
        t = theme.tones()
        box: QRect = option.rect
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        if line.feature is None:
            font = QFont(theme.SERIF)
            font.setPointSizeF(11)
            font.setWeight(QFont.Weight.DemiBold)
            painter.setFont(font)
            painter.setPen(QColor(t.bark))
            painter.drawText(box.adjusted(9, 5, -6, 0), middle, line.head)
            painter.setPen(QPen(QColor(t.line), 1))
            painter.drawLine(box.left() + 8, box.bottom(), box.right() - 8, box.bottom())
            painter.restore()
            return
        if line.feature.id == self._owner.asked:
            painter.fillRect(box, QColor(t.chosen))
            painter.fillRect(QRect(box.left(), box.top(), 4, box.height()), QColor(t.moss))
        standing = line.row.standing if line.row is not None else Standing.NOT_LOOKED_AT
        paint_standing(painter, QPointF(box.left() + 17, box.center().y() + 0.5), standing, radius=5.5)
        metrics = painter.fontMetrics()
        left = box.left() + 31
        half = left + int((box.right() - left) * 0.42)
        painter.setPen(QColor(t.ink))
        painter.drawText(
            QRect(left, box.top(), half - left - 6, box.height()),
            middle,
            metrics.elidedText(line.feature.name, Qt.TextElideMode.ElideRight, half - left - 6),
        )
        x = half
        for colour in line.colours[:3]:
            paint_swatch(painter, QRectF(x, box.center().y() - 5, 11, 11), colour)
            x += 15
        words, ink = line.words, t.ink
        if not words and line.due is not None:
            words = f"{'was due by' if line.late else 'by'} {clock_time(line.due, self._owner.zone)}"
            ink = t.rust if line.late else t.ochre
        painter.setPen(QColor(ink))
        painter.drawText(
            QRect(x, box.top(), box.right() - x - 8, box.height()),
            middle,
            metrics.elidedText(words, Qt.TextElideMode.ElideRight, box.right() - x - 8),
        )
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(t.moss), 1, Qt.PenStyle.DotLine))
            painter.drawRect(QRectF(box).adjusted(1, 1, -1, -1))
        painter.restore()
