"""Plots the season: months across, years down, a dot for what each month gave, first and last day beside."""

from __future__ import annotations

from PySide6.QtCore import QDate, QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFontMetrics,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QScrollArea, QSizePolicy, QToolTip, QWidget

from catalog_gui.domain.day_words import MONTHS
from catalog_gui.domain.ledger import SeasonCount
from catalog_gui.presenting.catalogue.words import first_and_last, short_day
from catalog_gui.views import theme
from catalog_gui.views.widgets.dates import BRITISH

LEFT, TOP, TALL, BARS = 44.0, 20.0, 24.0, 46.0
HINT = "Return or a click shows the finds of that month."


class SeasonPlot(QWidget):
    """Bars for all years together, below them a line a year with dots by area: twice the finds, twice the ink."""

    month_chosen = Signal(str)  # '2025-10'

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("season-plot")
        self.setAccessibleName("Season plot: finds by month and year")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._counts: dict[tuple[int, int], SeasonCount] = {}
        self._years: list[int] = []
        self._at: tuple[int, int] | None = None

    def set_counts(self, counts: tuple[SeasonCount, ...]) -> None:
        """Show these; the newest year comes first."""
        self._counts = {(count.year, count.month): count for count in counts}
        self._years = sorted({count.year for count in counts}, reverse=True)
        if self._at not in self._counts:
            self._at = None
        words = first_and_last(counts)
        self.setAccessibleDescription(f"{words}." if words else "No dated finds.")
        self.setFixedHeight(self.sizeHint().height())
        self.update()

    def sizeHint(self) -> QSize:
        """A line a year, and the bars."""
        bars = BARS if len(self._years) > 1 else 0.0
        return QSize(300, round(TOP + bars + TALL * max(1, len(self._years)) + 6))

    @property
    def _bars(self) -> float:
        return BARS if len(self._years) > 1 else 0.0

    def _column(self) -> float:
        beside = QFontMetrics(self.font()).horizontalAdvance("00 Mmm – 00 Mmm") + 10
        return max(8.0, (self.width() - LEFT - beside) / 12)

    def _middle(self, year: int, month: int) -> QPointF:
        line = self._years.index(year)
        return QPointF(LEFT + (month - 0.5) * self._column(), TOP + self._bars + (line + 0.5) * TALL)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Months, bars, years with dots and their days."""
        t = theme.tones()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if not self._years:
            painter.setPen(QColor(t.faded))
            painter.drawText(self.rect(), int(Qt.AlignmentFlag.AlignCenter), "No dated finds.")
            return
        wide = self._column()
        painter.setPen(QColor(t.faded))
        for month, letter in enumerate(name[0] for name in MONTHS):
            box = QRectF(LEFT + month * wide, 0, wide, TOP)
            painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), letter)
        if self._bars:
            self._paint_bars(painter, wide)
        most = max(count.specimens for count in self._counts.values())
        visible = event.rect().adjusted(0, -30, 0, 30)
        for line, year in enumerate(self._years):
            y = TOP + self._bars + line * TALL
            if visible.top() <= y <= visible.bottom():
                self._paint_year(painter, year, y, wide, most)

    def _paint_bars(self, painter: QPainter, wide: float) -> None:
        t = theme.tones()
        sums = [sum(c.specimens for (_, m), c in self._counts.items() if m == n) for n in range(1, 13)]
        floor = TOP + self._bars - 8
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(t.moss))
        for month, total in enumerate(sums):
            if total:
                tall = max(2.0, (self._bars - 12) * total / max(sums))
                painter.drawRect(QRectF(LEFT + month * wide + 2, floor - tall, wide - 4, tall))
        painter.setPen(QPen(QColor(t.edge), 1))
        painter.drawLine(QPointF(LEFT, floor), QPointF(LEFT + 12 * wide, floor))
        painter.setPen(QColor(t.ink))
        painter.drawText(QRectF(0, TOP, LEFT - 6, self._bars - 8), int(Qt.AlignmentFlag.AlignVCenter), "All")
        painter.drawText(
            QRectF(LEFT + 12 * wide + 6, TOP, 120, self._bars - 8),
            int(Qt.AlignmentFlag.AlignVCenter),
            f"{sum(sums):,} dated",
        )

    def _paint_year(self, painter: QPainter, year: int, y: float, wide: float, most: int) -> None:
        t = theme.tones()
        middle = y + TALL / 2
        painter.setPen(QPen(QColor(t.line), 1))
        painter.drawLine(QPointF(LEFT, middle), QPointF(LEFT + 12 * wide, middle))
        painter.setPen(QColor(t.ink))
        painter.drawText(QRectF(0, y, LEFT - 6, TALL), int(Qt.AlignmentFlag.AlignVCenter), str(year))
        counts = [self._counts[key] for key in ((year, n) for n in range(1, 13)) if key in self._counts]
        for count in counts:
            radius = max(2.5, (count.specimens / most) ** 0.5 * min(wide, TALL) * 0.48)
            spot = self._middle(year, count.month)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(t.moss))
            painter.drawEllipse(spot, radius, radius)
            if radius >= 7.5 and count.specimens < 100:
                painter.setPen(QColor(t.moss_text))
                box = QRectF(spot.x() - 14, spot.y() - 9, 28, 18)
                painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), str(count.specimens))
            if self.hasFocus() and self._at == (year, count.month):
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.setPen(QPen(QColor(t.ink), 1.6))
                painter.drawEllipse(spot, radius + 3, radius + 3)
        first, last = short_day(counts[0].first), short_day(counts[-1].last)
        painter.setPen(QColor(t.faded))
        painter.drawText(
            QRectF(LEFT + 12 * wide + 6, y, 140, TALL),
            int(Qt.AlignmentFlag.AlignVCenter),
            first if first == last else f"{first} – {last}",
        )

    def _nearest(self, point: QPointF) -> tuple[int, int] | None:
        def away(key: tuple[int, int]) -> float:
            spot = self._middle(*key)
            return max(abs(spot.x() - point.x()), abs(spot.y() - point.y()))

        near = min(self._counts, key=away, default=None)
        return near if near is not None and away(near) <= TALL / 2 else None

    def event(self, event: QEvent) -> bool:
        """How many finds, and between which days, is under the pointer."""
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            key = self._nearest(QPointF(event.pos()))
            QToolTip.showText(event.globalPos(), self._words(key) if key else HINT, self)
            return True
        return super().event(event)

    def _words(self, key: tuple[int, int]) -> str:
        count = self._counts[key]
        finds = f"{count.specimens} find{'' if count.specimens == 1 else 's'}"
        month = BRITISH.toString(QDate(count.year, count.month, 1), "MMMM yyyy")
        return f"{month}: {finds}, {short_day(count.first)} to {short_day(count.last)}"

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Show the finds of a month."""
        key = self._nearest(event.position())
        if key is not None:
            self._at = key
            self.month_chosen.emit(f"{key[0]}-{key[1]:02}")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows go from month to month, Return shows its finds."""
        keys = sorted(self._counts, key=lambda one: (-one[0], one[1]))
        if not keys:
            super().keyPressEvent(event)
            return
        at = keys.index(self._at) if self._at in self._counts else -1
        match event.key():
            case Qt.Key.Key_Right | Qt.Key.Key_Down:
                self._at = keys[min(at + 1, len(keys) - 1)]
            case Qt.Key.Key_Left | Qt.Key.Key_Up:
                self._at = keys[max(at - 1, 0)]
            case Qt.Key.Key_Return | Qt.Key.Key_Enter if self._at is not None:
                self.month_chosen.emit(f"{self._at[0]}-{self._at[1]:02}")
            case _:
                super().keyPressEvent(event)
                return
        if self._at is not None:
            self.setAccessibleDescription(self._words(self._at))
            self._show_spot(self._middle(*self._at))
        self.update()

    def _show_spot(self, spot: QPointF) -> None:
        viewport = self.parentWidget()
        area = viewport.parentWidget() if viewport is not None else None
        if isinstance(area, QScrollArea):
            area.ensureVisible(round(spot.x()), round(spot.y()), 20, 30)
