"""Shows how the pictures of all cameras would follow each other if a clock were moved, while it moves."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QFrame, QWidget

from catalog_gui.domain.photo import Photo
from catalog_gui.presenting.sort.interleaving import Beat
from catalog_gui.presenting.words import clock_time
from catalog_gui.views import theme
from catalog_gui.views.widgets.pictures import PictureSource, fitted

WIDE, HIGH = 112, 84


class InterleaveView(QFrame):
    """A strip over the trail: pictures in the order they would have."""

    def __init__(self, pictures: PictureSource, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("interleave")
        self.setAccessibleName("Order of the pictures if the clock is set so")
        self.setFixedHeight(HIGH + 62)
        self._pictures = pictures
        pictures.ready.connect(self._on_ready)
        self._beats: tuple[Beat, ...] = ()
        self._photos: Mapping[str, Photo] = {}
        self._title = ""
        self._zone = ""
        self.hide()

    @property
    def beats(self) -> tuple[Beat, ...]:
        """What is shown."""
        return self._beats

    @property
    def room(self) -> int:
        """How many pictures fit."""
        return max(3, (self.width() - 20) // (WIDE + 8))

    def show_order(self, beats: tuple[Beat, ...], photos: Mapping[str, Photo], title: str, zone: str) -> None:
        """Show these; `zone` is where their times are said."""
        self._beats, self._photos, self._title, self._zone = beats, photos, title, zone
        self.setAccessibleDescription(title)
        self.show()
        self.raise_()
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """A sheet with small pictures, each with its time; the moved camera's in ochre."""
        t = theme.tones()
        painter = QPainter(self)
        painter.setPen(QPen(QColor(t.ochre), 2))
        painter.setBrush(QColor(t.sheet))
        painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
        painter.setPen(QColor(t.ink))
        painter.drawText(QRect(12, 6, self.width() - 24, 22), int(Qt.AlignmentFlag.AlignVCenter), self._title)
        x = 12
        for beat in self._beats:
            photo = self._photos.get(beat.photo_id)
            box = QRect(x, 32, WIDE, HIGH)
            painter.fillRect(box, QColor(t.ground))
            pixmap = self._pictures.pixmap(photo, 160, fit=(WIDE, HIGH)) if photo is not None else None
            if pixmap is not None:
                painter.drawPixmap(fitted(pixmap, box), pixmap)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(t.ochre if beat.moved else t.line), 3 if beat.moved else 1))
            painter.drawRect(box)
            moment = datetime.fromtimestamp(beat.moment, UTC)
            painter.setPen(QColor(t.ochre if beat.moved else t.faded))
            painter.drawText(
                QRect(x, 34 + HIGH, WIDE, 22),
                int(Qt.AlignmentFlag.AlignCenter),
                clock_time(moment, self._zone, seconds=True),
            )
            x += WIDE + 8

    def _on_ready(self, photo_id: str) -> None:
        if self.isVisible() and any(beat.photo_id == photo_id for beat in self._beats):
            self.update()
