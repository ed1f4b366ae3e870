"""The season plot: months across, years down, a dot for what each month gave; first and last dates beside."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from catalog_gui.domain.ledger import SeasonCount
from catalog_gui.views import theme

MONTHS = ("J", "F", "M", "A", "M", "J", "J", "A", "S", "O", "N", "D")


class SeasonPlot(QWidget):
    """Dots by area, so that twice the finds look like twice as much."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("season-plot")
        self.setAccessibleName("Season plot: finds by month and year")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.setMinimumHeight(130)
        self._counts: dict[tuple[int, int], SeasonCount] = {}
        self._years: list[int] = []

    def set_counts(self, counts: tuple[SeasonCount, ...]) -> None:
        """Show these; the newest year comes first."""
        self._counts = {(count.year, count.month): count for count in counts}
        self._years = sorted({count.year for count in counts}, reverse=True)[:12]
        first = min((c.first for c in counts), default="")
        last = max((c.last for c in counts), default="")
        self.setAccessibleDescription(f"From {first} to {last}." if counts else "No dated finds.")
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        """A line a year."""
        return QSize(320, 60 + 26 * max(2, len(self._years)))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Grid of months and years with dots."""
        t = theme.tones()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if not self._years:
            painter.setPen(QColor(t.faded))
            painter.drawText(self.rect(), int(Qt.AlignmentFlag.AlignCenter), "No dated finds yet.")
            return
        left, top = 46.0, 22.0
        wide = (self.width() - left - 60) / 12
        tall = min(30.0, (self.height() - top - 6) / len(self._years))
        most = max(count.specimens for count in self._counts.values())
        for month in range(12):
            painter.setPen(QColor(t.faded))
            painter.drawText(
                QRectF(left + month * wide, 0, wide, top), int(Qt.AlignmentFlag.AlignCenter), MONTHS[month]
            )
        for line, year in enumerate(self._years):
            y = top + line * tall
            painter.setPen(QPen(QColor(t.line), 1))
            painter.drawLine(QPointF(left, y + tall / 2), QPointF(left + 12 * wide, y + tall / 2))
            painter.setPen(QColor(t.ink))
            painter.drawText(QRectF(0, y, left - 6, tall), int(Qt.AlignmentFlag.AlignCenter), str(year))
            days = [count for (at, _), count in self._counts.items() if at == year]
            for month in range(1, 13):
                count = self._counts.get((year, month))
                if count is None:
                    continue
                radius = max(3.0, (count.specimens / most) ** 0.5 * min(wide, tall) * 0.46)
                painter.setPen(Qt.PenStyle.NoPen)
                painter.setBrush(QColor(t.moss))
                middle = QPointF(left + (month - 0.5) * wide, y + tall / 2)
                painter.drawEllipse(middle, radius, radius)
                if radius > 8:
                    painter.setPen(QColor(t.moss_text))
                    painter.drawText(
                        QRectF(middle.x() - 14, middle.y() - 9, 28, 18),
                        int(Qt.AlignmentFlag.AlignCenter),
                        str(count.specimens),
                    )
            painter.setPen(QColor(t.faded))
            total = sum(count.specimens for count in days)
            painter.drawText(
                QRectF(left + 12 * wide + 4, y, 54, tall),
                int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft),
                f"{total}",
            )
