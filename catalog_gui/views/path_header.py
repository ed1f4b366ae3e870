"""Shows the evening as a path: five waymarks from the folder of pictures to what is handed on."""

from __future__ import annotations

import itertools

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QPainter, QPainterPath, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QHBoxLayout, QSizePolicy, QWidget

from catalog_gui.views import theme


class Waymark(QAbstractButton):
    """One stepping stone: the page's word, and how much waits there."""

    def __init__(
        self, key: str, title: str, purpose: str, number: int, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.key = key
        self._waiting = ""
        self._title = title
        self.setText(title)
        self.setCheckable(True)
        self.setObjectName(f"stone-{key}")
        self.setShortcut(f"Alt+{number}")
        self._purpose = f"{purpose} (Alt+{number})"
        self.setToolTip(self._purpose)
        self.setAccessibleName(f"{title} page")
        self.setAccessibleDescription(purpose)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    @property
    def waiting(self) -> str:
        """The words under the title."""
        return self._waiting

    def set_waiting(self, words: str) -> None:
        """A few words under the title, such as '3 doubtful joins'; '' for none."""
        if words != self._waiting:
            self._waiting = words
            self.setAccessibleDescription(words or self._purpose)
            self.updateGeometry()
            self.update()

    def sizeHint(self) -> QSize:
        """Wide enough for both lines."""
        metrics = self.fontMetrics()
        wide = max(metrics.horizontalAdvance(self._title) * 1.25, metrics.horizontalAdvance(self._waiting))
        return QSize(int(wide) + 50, 46)

    def minimumSizeHint(self) -> QSize:
        """The word itself must always be readable."""
        return QSize(int(self.fontMetrics().horizontalAdvance(self._title) * 1.25) + 46, 46)

    def paintEvent(self, event: QPaintEvent) -> None:
        """A flat river stone; the chosen one is moss-green."""
        t = theme.tones()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle = QPointF(20, self.height() / 2)
        stone = QPainterPath()
        stone.moveTo(middle.x() - 12, middle.y() + 2)
        stone.cubicTo(
            middle.x() - 13, middle.y() - 8, middle.x() - 4, middle.y() - 11, middle.x() + 3, middle.y() - 9
        )
        stone.cubicTo(
            middle.x() + 12, middle.y() - 8, middle.x() + 14, middle.y() + 3, middle.x() + 8, middle.y() + 8
        )
        stone.cubicTo(
            middle.x() + 1, middle.y() + 12, middle.x() - 11, middle.y() + 10, middle.x() - 12, middle.y() + 2
        )
        chosen = self.isChecked()
        painter.setPen(QPen(QColor(t.moss if chosen or self.underMouse() else t.edge), 1.6))
        painter.setBrush(QColor(t.moss if chosen else t.sheet))
        painter.drawPath(stone)
        if chosen:
            painter.setPen(QPen(QColor(t.moss_text), 1.4))
            vein = QPainterPath(QPointF(middle.x() - 7, middle.y() + 3))
            vein.quadTo(middle.x(), middle.y() - 6, middle.x() + 8, middle.y() - 2)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawPath(vein)
        font = QFont(theme.SERIF)
        font.setPointSizeF(self.font().pointSizeF() + 1.5)
        font.setBold(chosen)
        painter.setFont(font)
        painter.setPen(QColor(t.bark if chosen else t.ink))
        left = 40.0
        upper = QRectF(left, 3, self.width() - left, 24 if self._waiting else self.height() - 6)
        painter.drawText(upper, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), self._title)
        if self._waiting:
            small = QFont(self.font())
            small.setPointSizeF(self.font().pointSizeF() - 1)
            painter.setFont(small)
            painter.setPen(QColor(t.faded))
            lower = QRectF(left, 25, self.width() - left, 18)
            words = painter.fontMetrics().elidedText(
                self._waiting, Qt.TextElideMode.ElideRight, int(lower.width())
            )
            painter.drawText(lower, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), words)
        if self.hasFocus():
            painter.setPen(QPen(QColor(t.moss), 1.5))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 4, 4)


class PathHeader(QWidget):
    """The stones in a row over a dotted path."""

    chosen = Signal(str)

    def __init__(self, pages: list[tuple[str, str, str]], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("path-header")
        self.setAccessibleName("The path of the evening")
        self._group = QButtonGroup(self)
        self._group.setExclusive(True)
        row = QHBoxLayout(self)
        row.setContentsMargins(6, 2, 6, 2)
        row.setSpacing(4)
        self._stones: dict[str, Waymark] = {}
        for number, (key, title, purpose) in enumerate(pages, 1):
            stone = Waymark(key, title, purpose, number, self)
            stone.clicked.connect(lambda _checked=False, key=key: self.chosen.emit(key))
            self._group.addButton(stone)
            self._stones[key] = stone
            row.addWidget(stone, 3)
        self.setFixedHeight(52)

    def set_waiting(self, key: str, words: str) -> None:
        """A few words under a page's stone; a page that is not there is passed over."""
        stone = self._stones.get(key)
        if stone is not None:
            stone.set_waiting(words)

    def waiting(self, key: str) -> str:
        """The words under a page's stone."""
        return self._stones[key].waiting

    def set_chosen(self, key: str) -> None:
        """Show which page is in front."""
        self._stones[key].setChecked(True)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The trodden path behind the stones."""
        t = theme.tones()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(t.sheet))
        painter.setPen(QPen(QColor(t.line), 1))
        painter.drawLine(0, self.height() - 1, self.width(), self.height() - 1)
        pen = QPen(QColor(t.edge), 2.2, Qt.PenStyle.CustomDashLine, Qt.PenCapStyle.RoundCap)
        pen.setDashPattern([0.1, 3.2])
        painter.setPen(pen)
        stones = list(self._stones.values())
        for near, far in itertools.pairwise(stones):
            words = max(
                near.fontMetrics().horizontalAdvance(near._title) * 1.3,
                near.fontMetrics().horizontalAdvance(near._waiting),
            )
            start = near.x() + 46 + words
            end = far.x() + 4
            if end - start > 12:
                middle = self.height() / 2
                path = QPainterPath(QPointF(start, middle))
                path.cubicTo(
                    start + (end - start) / 3, middle - 7, end - (end - start) / 3, middle + 7, end, middle
                )
                painter.drawPath(path)
