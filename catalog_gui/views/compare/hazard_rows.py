"""The few lines of the banner: signal word, number, poison, organ, onset and names; reasons on the chosen one."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QFont,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from catalog_gui.lookalikes.reference import Severity
from catalog_gui.presenting.compare.state import BannerLine
from catalog_gui.presenting.signal_words import SIGNAL_WORDS
from catalog_gui.views import theme
from catalog_gui.views.compare.text_cell import CellText
from catalog_gui.views.widgets.signs import paint_signal

BADGE, NUMBER, GAP = 84, 34, 8
ABOVE, LEAST = 1, 20
MOST_HEIGHT = 214
"""So high, px, all lines may be in a small window before they are said more shortly."""
SHARE = 0.32
"""Share of a higher page that they may take."""


class HazardRow(QWidget):
    """One line. What can kill is written out over as many lines as it takes; the rest fits into one."""

    chosen = Signal()
    wanted = Signal()
    stepped = Signal(int)
    left = Signal()

    def __init__(self, line: BannerLine, text: CellText, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("hazard-line")
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.line = line
        self._text = text
        self._opened = False
        self._names = line.names[0]
        number = f"{len(line.members)} taxa" if len(line.members) > 1 else "1 taxon"
        signal = SIGNAL_WORDS[line.severity].capitalize()
        self.setAccessibleName(f"{signal}, {number}. {line.words}")
        self.setAccessibleDescription(f"{reasons_of(line)} Return opens the full list here.")
        self.setToolTip(line.words)

    @property
    def words(self) -> str:
        """What is written beside the number."""
        return f"{self.line.head}: {self._names}"

    @property
    def opened(self) -> bool:
        """Whether the reasons stand below the line."""
        return self._opened

    def set_opened(self, opened: bool) -> None:
        """Show the reasons below the line, or take them away."""
        self._opened = opened
        self._fit()
        self.update()

    def _room(self) -> int:
        return max(self.width() - BADGE - NUMBER - 2 * GAP - 6, 120)

    def _height_of(self, names: str) -> int:
        words = f"{self.line.head}: {names}"
        return self._text.height(words, len(self.line.title), self._room(), self.font())

    def heights(self) -> list[int]:
        """How high the line is for each way to say it, px, the fullest first."""
        return [self._height_of(names) + 2 * ABOVE for names in self.line.names]

    def say(self, way: int) -> None:
        """Say it in that way."""
        self._names = self.line.names[way]
        self._fit()
        self.update()

    def _fit(self) -> None:
        height = self._height_of(self._names) + 2 * ABOVE
        if self._opened:
            height += self._text.height(reasons_of(self.line), 0, self._room(), self.font()) + 3
        self.setFixedHeight(max(height, LEAST))
        self.updateGeometry()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Signal word, number, words; the reasons below."""
        t = theme.tones()
        painter = QPainter(self)
        if self._opened:
            painter.fillRect(self.rect(), QColor(t.sunken))
        small = QFont(self.font())
        small.setBold(True)
        small.setPointSizeF(small.pointSizeF() - 1.5)
        painter.setFont(small)
        paint_signal(painter, QRectF(0, ABOVE, BADGE, 17), self.line.severity)
        number = QFont(self.font())
        number.setBold(True)
        painter.setFont(number)
        painter.setPen(QColor(t.ink))
        right = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)
        painter.drawText(QRectF(BADGE, ABOVE, NUMBER, 18), right, str(len(self.line.members)))
        box = self.rect().adjusted(BADGE + NUMBER + 2 * GAP, ABOVE, -6, 0)
        title = len(self.line.title)
        self._text.paint(painter, box, self.words, title, self.font(), QColor(t.ink))
        if self._opened:
            box.setTop(ABOVE + self._height_of(self._names) + 2)
            self._text.paint(painter, box, reasons_of(self.line), 0, self.font(), QColor(t.faded))
        if self.hasFocus():
            painter.setPen(QColor(t.moss))
            painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A click shows the reasons and lays nothing anywhere."""
        self.chosen.emit()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """A double click opens the full list here."""
        self.wanted.emit()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Whoever walks here with the keyboard reads the reasons."""
        super().focusInEvent(event)
        if event.reason() != Qt.FocusReason.ActiveWindowFocusReason:
            self.chosen.emit()
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """The frame goes; the reasons stay."""
        super().focusOutEvent(event)
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Up and Down walk, Return opens the full list, Escape takes the reasons away."""
        match event.key():
            case Qt.Key.Key_Down:
                self.stepped.emit(1)
            case Qt.Key.Key_Up:
                self.stepped.emit(-1)
            case Qt.Key.Key_Return | Qt.Key.Key_Enter | Qt.Key.Key_Space:
                self.wanted.emit()
            case Qt.Key.Key_Escape if self._opened:
                self.left.emit()
            case _:
                super().keyPressEvent(event)


class HazardRows(QWidget):
    """All lines, one below the other; nothing in here scrolls."""

    list_wanted = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("hazard-lines")
        self.setAccessibleName("Dangerous taxa that are not excluded, by poison")
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 1, 0, 1)
        self._column.setSpacing(0)
        self._text = CellText()
        self.rows: list[HazardRow] = []
        self._find = ""
        self._room = 0
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)

    def show_lines(self, lines: tuple[BannerLine, ...], find: str) -> None:
        """Show these; of the same find the chosen line stays chosen."""
        if find == self._find and tuple(row.line for row in self.rows) == lines:
            return
        chosen = next((row.line.title for row in self.rows if row.opened), "") if find == self._find else ""
        focused = any(row.hasFocus() for row in self.rows)
        self._find = find
        for row in self.rows:
            self._column.removeWidget(row)
            row.hide()
            row.deleteLater()
        self.rows = [HazardRow(line, self._text, self) for line in lines]
        for place, row in enumerate(self.rows):
            row.resize(max(self.width(), 1), LEAST)
            self._column.addWidget(row)
            row.chosen.connect(lambda place=place: self.choose(place))
            row.left.connect(lambda: self.choose(-1))
            row.wanted.connect(lambda place=place: self.list_wanted.emit(place))
            row.stepped.connect(lambda way, place=place: self._step(place, way))
        self._fit()
        again = next((n for n, row in enumerate(self.rows) if chosen and row.line.title == chosen), -1)
        self.choose(again)
        if focused and self.rows:
            self.rows[max(again, 0)].setFocus()

    def set_room(self, height: int) -> None:
        """Tell how high the page is, px."""
        if height != self._room:
            self._room = height
            self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The names are chosen and wrapped anew."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            for row in self.rows:
                row.resize(event.size().width(), row.height())
            self._fit()

    def _fit(self) -> None:
        """Say each line as fully as there is room; what can kill is named in every way to say it."""
        heights = [row.heights() for row in self.rows]
        ways = [_first_way(row.line, high) for row, high in zip(self.rows, heights, strict=True)]
        most = max(MOST_HEIGHT, round(self._room * SHARE))
        while sum(high[way] for high, way in zip(heights, ways, strict=True)) > most:
            gains = [high[way] - min(high[way:]) for high, way in zip(heights, ways, strict=True)]
            place = max(range(len(gains)), key=lambda n: gains[n])
            if not gains[place]:
                break
            now = ways[place]
            ways[place] = next(
                w for w in range(now, len(heights[place])) if heights[place][w] < heights[place][now]
            )
        for row, way in zip(self.rows, ways, strict=True):
            row.say(way)

    def choose(self, place: int) -> None:
        """Show the reasons of one line, or of none for -1."""
        for number, row in enumerate(self.rows):
            if row.opened is not (number == place):
                row.set_opened(number == place)
            here = number == max(place, 0)
            row.setFocusPolicy(Qt.FocusPolicy.StrongFocus if here else Qt.FocusPolicy.ClickFocus)

    def take_focus(self) -> None:
        """Put the keyboard on the chosen line, or on the first."""
        row = next((row for row in self.rows if row.opened), self.rows[0] if self.rows else None)
        if row is not None:
            row.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _step(self, place: int, way: int) -> None:
        wanted = place + way
        if 0 <= wanted < len(self.rows):
            self.rows[wanted].setFocus(Qt.FocusReason.OtherFocusReason)

    def sizeHint(self) -> QSize:
        """As high as the lines."""
        return QSize(400, sum(row.height() for row in self.rows) + 2)


def _first_way(line: BannerLine, heights: list[int]) -> int:
    """The fullest way to begin with: for what can kill two lines, three for several poisons; else one."""
    least = min(heights)
    lines = (2 if line.onset else 3) if line.severity is Severity.FATAL else 1
    most = max(least, lines * LEAST)
    return next(way for way, height in enumerate(heights) if height <= most)


def reasons_of(line: BannerLine) -> str:
    """The reason of the nearest taxon of a line, and where those of the others stand."""
    if not line.members:
        return ""
    first = line.members[0]
    alike = sum(member.reason == first.reason for member in line.members)
    told = f"{first.name}: {first.reason}"
    if alike == len(line.members):
        return f"{told} The same for all {alike}." if alike > 1 else told
    same = f" The same for {alike - 1} of the others." if alike > 1 else ""
    return f"{told}{same} All {len(line.members)} with their reasons: Return."
