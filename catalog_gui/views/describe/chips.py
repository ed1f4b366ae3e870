"""States as chips: a key, a colour where there is one, and the name; several can be on."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from catalog_gui.domain.feature import State
from catalog_gui.views import theme
from catalog_gui.views.describe.figures import SIZE, Figures
from catalog_gui.views.describe.symbols import paint_swatch


class ChipTray(QWidget):
    """Lays its chips in lines, as words on a page."""

    def __init__(self, parent: QWidget | None = None, *, gap: int = 4) -> None:
        super().__init__(parent)
        self._gap = gap
        self.chips: tuple[StateChip, ...] = ()
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def set_chips(self, chips: Sequence[StateChip]) -> None:
        """Hold these from now on; the earlier ones are let go."""
        for old in self.chips:
            old.hide()
            old.deleteLater()
        self.chips = tuple(chips)
        for chip in self.chips:
            chip.setParent(self)
            chip.show()
        self._lay(self.width(), move=True)
        self.updateGeometry()

    def heightForWidth(self, width: int) -> int:
        """How tall the lines are together."""
        return self._lay(width, move=False)

    def sizeHint(self) -> QSize:
        """As tall as the present width asks for."""
        return QSize(200, self._lay(max(200, self.width()), move=False))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Break the lines anew."""
        self._lay(event.size().width(), move=True)

    def _lay(self, width: int, *, move: bool) -> int:
        x = y = line = 0
        for chip in self.chips:
            size = chip.sizeHint()
            if x + size.width() > width and line:
                x, y, line = 0, y + line + self._gap, 0
            if move:
                chip.setGeometry(x, y, min(size.width(), width), size.height())
            x += size.width() + self._gap
            line = max(line, size.height())
        return y + line


class StateChip(QAbstractButton):
    """One state. Checked: seen. The key in front chooses it from the empty entry line."""

    def __init__(
        self, state: State, key: str, *, last: bool, figures: Figures, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.state = state
        self._figures = figures if figures.shows(state) else None
        if self._figures is not None:
            self._figures.drawn.connect(self.update)
        self._key = key
        self._last = last
        self.setText(state.name)
        self.setCheckable(True)
        self.setObjectName(f"state-{state.id}")
        self.setAccessibleName(state.name)
        tip = state.gloss or state.name
        if key:
            tip += f" (key {key} in the empty entry line)"
        if last:
            tip += ". Used last: key 0."
        self.setToolTip(tip)
        self.setAccessibleDescription(tip)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)

    def sizeHint(self) -> QSize:
        """As wide as its words."""
        metrics = self.fontMetrics()
        wide = metrics.horizontalAdvance(self._words()) + 16
        if self._key:
            wide += metrics.horizontalAdvance(self._key) + 7
        if self.state.colour:
            wide += 16
        if self._figures is not None:
            return QSize(wide + SIZE.width() + 4, SIZE.height() + 4)
        return QSize(wide, metrics.height() + 8)

    def _words(self) -> str:
        name = self.state.name
        return name if len(name) <= 34 else name[:33] + "…"

    def paintEvent(self, event: QPaintEvent) -> None:
        """A slip of paper; moss when it is on."""
        t = theme.tones()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        on = self.isChecked()
        box = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        ground = t.moss if on else t.chosen if self.underMouse() else t.sunken
        painter.setBrush(QColor(ground))
        painter.setPen(QPen(QColor(t.moss if on or self.hasFocus() else t.edge), 2 if self.hasFocus() else 1))
        painter.drawRoundedRect(box, 3, 3)
        ink = t.moss_text if on else t.ink
        x = 8
        middle = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        if self._key:
            font = QFont(self.font())
            font.setBold(True)
            painter.setFont(font)
            painter.setPen(QColor(t.moss_text if on else t.moss))
            painter.drawText(QRect(x, 0, 20, self.height()), middle, self._key)
            x += painter.fontMetrics().horizontalAdvance(self._key) + 6
            painter.setFont(self.font())
        if self._figures is not None:
            figure = self._figures.pixmap(self.state, self.devicePixelRatioF())
            paper = QRectF(x, 2, SIZE.width(), SIZE.height())
            if figure is not None:
                if on or t.dark:  # the lines are drawn for paper
                    painter.fillRect(paper, QColor(theme.LIGHT.sheet))
                painter.drawPixmap(int(paper.left()), int(paper.top()), figure)
            x += SIZE.width() + 4
        if self.state.colour:
            paint_swatch(painter, QRectF(x, self.height() / 2 - 6, 12, 12), self.state.colour)
            x += 16
        painter.setPen(QColor(ink))
        painter.drawText(QRect(x, 0, self.width() - x, self.height()), middle, self._words())
        if self._last:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(t.ochre))
            painter.drawEllipse(QRectF(self.width() - 8, 4, 4, 4))
