"""Shows one panel of the plate: the picture of a part, its marks, and the states written down for it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QContextMenuEvent,
    QDragEnterEvent,
    QDragLeaveEvent,
    QDropEvent,
    QFont,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QPixmap,
)
from PySide6.QtWidgets import QMenu, QSizePolicy, QWidget

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.domain.evidence import Evidence
from catalog_gui.domain.feature import Part
from catalog_gui.domain.plane import Box
from catalog_gui.itemmodels.drag import PHOTO_MIME, photos_in
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.presenting.describe.plate import PanelContent
from catalog_gui.presenting.describe.words import evidence_words, swatches
from catalog_gui.views import theme
from catalog_gui.views.describe.symbols import paint_standing, paint_swatch
from catalog_gui.views.widgets.pictures import PictureSource

_EDGES = (160, 320, 640)
_OF_THE_PART = re.compile(r" (?:of|on|at|in) the (?:cap|gills?|stem|ring|base|flesh)\b.*$")


class Panel(QWidget):
    """A part of the fruit body. Return or a double click opens the canvas; pictures can be dropped on it."""

    opened = Signal(str, str)  # photo id ('' for none), part
    dropped = Signal(str, str)  # part, photo id
    emptied = Signal(str)  # part
    asked = Signal(str)  # part: go to its features

    def __init__(
        self,
        part: Part,
        pictures: PictureSource,
        reference: Reference,
        parent: QWidget | None = None,
        *,
        small: bool = False,
    ) -> None:
        super().__init__(parent)
        self.part = part
        self._pictures = pictures
        self._reference = reference
        self._small = small
        self._content = PanelContent(part.value.capitalize())
        self._over = False
        self.setObjectName(f"panel-{part.value}")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAcceptDrops(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(96 if small else 190, 76)
        pictures.ready.connect(self._on_ready)
        pictures.refused.connect(self._on_ready)

    @property
    def content(self) -> PanelContent:
        """What it shows."""
        return self._content

    def set_content(self, content: PanelContent) -> None:
        """Show this."""
        if content == self._content:
            return
        self._content = content
        self.setAccessibleName(f"{content.title} panel")
        said = [evidence_words(row, self._reference) for row in content.evidence]
        words = "; ".join(word for word in said if word)
        first = (
            content.missing
            if content.photo is None
            else f"Shows {content.photo.name}"
            + ("" if content.chosen else " (best guess from the marks)")
            + "."
        )
        self.setAccessibleDescription(f"{first} {words}".strip())
        notes = "".join(
            f"\n{self._short(row, whole=True)}"
            for row, word in zip(content.evidence, said, strict=True)
            if word
        )
        self.setToolTip(
            f"{first}{notes}\nReturn opens the canvas. Drop a picture here, or choose one in the strip below "
            f"and press {PANEL_KEYS[self.part]}."
        )
        self.update()

    def sizeHint(self) -> QSize:
        """Room for a picture and a few lines."""
        return QSize(140, 104) if self._small else QSize(360, 116)

    # --- painting ------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        """A card of paper; a missing picture is a dashed frame with what it costs."""
        t = theme.tones()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        card = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        painter.setBrush(QColor(t.chosen if self._over else t.sheet))
        painter.setPen(
            QPen(QColor(t.moss if self._over or self.hasFocus() else t.line), 2 if self.hasFocus() else 1)
        )
        painter.drawRoundedRect(card, 3, 3)
        if self._small:
            self._paint_small(painter)
        else:
            self._paint_large(painter)

    def _paint_large(self, painter: QPainter) -> None:
        inner = self.rect().adjusted(6, 6, -6, -6)
        wide = min(int(inner.width() * 0.46), int(inner.height() * 1.35))
        frame = QRect(inner.left(), inner.top(), wide, inner.height())
        words = QRect(frame.right() + 9, inner.top(), inner.right() - frame.right() - 9, inner.height())
        self._paint_picture(painter, frame)
        top = self._paint_title(painter, words)
        self._paint_states(painter, QRect(words.left(), top, words.width(), words.bottom() - top))

    def _paint_small(self, painter: QPainter) -> None:
        inner = self.rect().adjusted(5, 4, -5, -4)
        top = self._paint_title(painter, inner)
        lines = 1 if self._content.evidence else 0
        foot = 17 * lines
        frame = QRect(inner.left(), top, inner.width(), inner.bottom() - top - foot)
        self._paint_picture(painter, frame)
        if lines:
            self._paint_states(painter, QRect(inner.left(), frame.bottom() + 2, inner.width(), foot))

    def _paint_title(self, painter: QPainter, box: QRect) -> int:
        t = theme.tones()
        font = QFont(theme.SERIF)
        font.setPointSizeF(10.5 if self._small else 11.5)
        font.setWeight(QFont.Weight.DemiBold)
        painter.setFont(font)
        painter.setPen(QColor(t.bark))
        high = painter.fontMetrics().height()
        painter.drawText(
            QRect(box.left(), box.top(), box.width(), high),
            int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter),
            self._content.title,
        )
        wide = painter.fontMetrics().horizontalAdvance(self._content.title) + 8
        if self._content.photo is not None and not self._content.chosen:
            painter.setFont(self.font())
            painter.setPen(QColor(t.faded))
            painter.drawText(
                QRect(box.left() + wide, box.top(), box.width() - wide, high),
                int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter),
                "guess" if self._small else "best guess",
            )
        return box.top() + high + 1

    def _paint_picture(self, painter: QPainter, frame: QRect) -> None:
        t = theme.tones()
        content = self._content
        if content.photo is None:
            pen = QPen(QColor(t.edge), 1.2, Qt.PenStyle.DashLine)
            painter.setPen(pen)
            painter.setBrush(QColor(t.ground))
            painter.drawRoundedRect(QRectF(frame).adjusted(0.5, 0.5, -0.5, -0.5), 3, 3)
            font = QFont(self.font())
            font.setPointSizeF(9.0 if self._small else 10.0)
            painter.setFont(font)
            painter.setPen(QColor(t.ink if not self._small else t.faded))
            painter.drawText(
                frame.adjusted(5, 3, -5, -3),
                int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap),
                content.missing,
            )
            return
        need = max(frame.width(), frame.height()) * self.devicePixelRatioF()
        edge = next((one for one in _EDGES if one >= need), _EDGES[-1])
        pixmap = self._pictures.pixmap(content.photo, edge, content.box)
        if pixmap is None and content.box is not None:
            pixmap = None
        if pixmap is None:
            problem = self._pictures.problem(content.photo.id)
            painter.setPen(QPen(QColor(t.line), 1))
            painter.setBrush(QColor(t.ground))
            painter.drawRect(frame)
            painter.setFont(self.font())
            painter.setPen(QColor(t.rust if problem else t.faded))
            painter.drawText(
                frame.adjusted(4, 2, -4, -2),
                int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap),
                problem or content.photo.name,
            )
            return
        self._paint_piece(painter, frame, pixmap, content)

    def _paint_piece(self, painter: QPainter, frame: QRect, pixmap: QPixmap, content: PanelContent) -> None:
        """The picture fills the frame; a whole picture is cut to it, a chosen piece is shown whole."""
        keep = (
            Qt.AspectRatioMode.KeepAspectRatio
            if content.box is not None
            else Qt.AspectRatioMode.KeepAspectRatioByExpanding
        )
        size = pixmap.size().scaled(frame.size(), keep)
        shown = QRect(0, 0, size.width(), size.height())
        shown.moveCenter(frame.center())
        painter.save()
        painter.setClipRect(frame)
        painter.drawPixmap(shown, pixmap)
        assert content.photo is not None  # noqa: S101 - the caller looked
        width, height = content.photo.upright_size
        box = content.box or (0.0, 0.0, float(width), float(height))
        if width > 0 and height > 0:
            paint_marks(painter, QRectF(shown), box, content.marks)
        painter.restore()

    def _paint_states(self, painter: QPainter, box: QRect) -> None:
        t = theme.tones()
        font = QFont(self.font())
        font.setPointSizeF(9.5)
        painter.setFont(font)
        metrics = painter.fontMetrics()
        line = metrics.height() + 1
        room = max(1, box.height() // line)
        rows = [row for row in self._content.evidence if evidence_words(row, self._reference)]
        if not rows and not self._small:
            painter.setPen(QColor(t.faded))
            painter.drawText(box, int(Qt.AlignmentFlag.AlignLeft), "Nothing written yet.")
            return
        columns = 2 if len(rows) > room and box.width() >= 220 else 1
        places = room * columns
        shown = rows if len(rows) <= places else rows[: max(1, places - 1)]
        wide = box.width() // columns
        for number, row in enumerate(shown):
            column, at = divmod(number, room)
            left = box.left() + column * wide
            cell = QRect(left, box.top() + at * line, wide - (8 if column < columns - 1 else 0), line)
            self._paint_state(painter, cell, row)
        if len(shown) < len(rows) and not self._small:
            column, at = divmod(len(shown), room)
            painter.setPen(QColor(t.faded))
            painter.drawText(
                QRect(box.left() + column * wide + 14, box.top() + at * line, wide - 14, line),
                int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter),
                f"and {len(rows) - len(shown)} more",
            )

    def _paint_state(self, painter: QPainter, box: QRect, row: Evidence) -> None:
        x, middle = box.left(), box.top() + box.height() / 2
        paint_standing(painter, QPointF(x + 5, middle), row.standing, radius=4.5)
        x += 14
        for colour in swatches(row, self._reference.vocabulary)[:3]:
            paint_swatch(painter, QRectF(x, middle - 5, 10, 10), colour)
            x += 13
        painter.setPen(QColor(theme.tones().ink))
        room = box.right() - x
        painter.drawText(
            QRect(x, box.top(), room, box.height()),
            int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter),
            painter.fontMetrics().elidedText(self._short(row), Qt.TextElideMode.ElideRight, room),
        )

    def _short(self, row: Evidence, *, whole: bool = False) -> str:
        """'attachment: free': the feature without the word of the part, which stands in the title."""
        feature = self._reference.vocabulary.feature(row.feature)
        words = evidence_words(row, self._reference)
        if feature is None or (self._small and not whole):
            return words
        name = _OF_THE_PART.sub("", feature.name.split(",")[0])
        for prefix in ("cap ", "gill ", "stem ", "ring ", "base ", "flesh ", "pore "):
            name = name.removeprefix(prefix)
        return words if name in {self.part.value, "spore print colour"} else f"{name}: {words}"

    # --- hands ---------------------------------------------------------------------------------

    def _on_ready(self, photo_id: str, _reason: str = "") -> None:
        if self._content.photo is not None and self._content.photo.id == photo_id:
            self.update()

    def _open(self) -> None:
        photo = self._content.photo
        self.opened.emit(photo.id if photo is not None else "", self.part.value)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Open the canvas."""
        self._open()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose the part: its features come up on the right."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            self.asked.emit(self.part.value)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Return opens the canvas, Delete empties the panel, Space goes to the features."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._open()
        elif event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and self._content.chosen:
            self.emptied.emit(self.part.value)
        elif event.key() == Qt.Key.Key_Space:
            self.asked.emit(self.part.value)
        else:
            super().keyPressEvent(event)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """Everything that can be done with a panel."""
        menu = QMenu(self)
        opened = menu.addAction("Open on the canvas (Return)")
        opened.triggered.connect(self._open)
        opened.setEnabled(self._content.photo is not None)
        empty = menu.addAction("Take the picture off this panel (Del)")
        empty.triggered.connect(lambda: self.emptied.emit(self.part.value))
        empty.setEnabled(self._content.chosen)
        menu.exec(event.globalPos())

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Pictures of ours only."""
        if event.mimeData().hasFormat(PHOTO_MIME):
            self._over = True
            event.acceptProposedAction()
            self.update()
        else:
            event.ignore()

    def dragLeaveEvent(self, event: QDragLeaveEvent) -> None:
        """They went on."""
        self._over = False
        self.update()

    def dropEvent(self, event: QDropEvent) -> None:
        """This picture stands for the part."""
        self._over = False
        self.update()
        ids = photos_in(event.mimeData())
        if ids:
            event.acceptProposedAction()
            self.dropped.emit(self.part.value, ids[0])


PANEL_KEYS = {
    Part.CAP: "C",
    Part.GILLS: "G",
    Part.STEM: "S",
    Part.BASE: "B",
    Part.RING: "R",
    Part.FLESH: "F",
    Part.PRINT: "P",
    Part.PLACE: "H",
}
"""The key that puts the chosen picture of the strip on a panel."""


def paint_marks(painter: QPainter, target: QRectF, box: Box, marks: Sequence[Mark]) -> None:
    """Marks of a piece of a picture, drawn over it with a contour so that they show on any ground."""
    left, top, right, bottom = box
    across, down = target.width() / max(right - left, 1e-9), target.height() / max(bottom - top, 1e-9)

    def at(point: tuple[float, float]) -> QPointF:
        return QPointF(target.left() + (point[0] - left) * across, target.top() + (point[1] - top) * down)

    painter.save()
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for mark in marks:
        path = _mark_path(mark, [at(point) for point in mark.points])
        for colour, width in (("#1c1c1c", 3.6), ("#ffffff", 1.6)):
            painter.setPen(QPen(QColor(colour), width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
            painter.drawPath(path)
    painter.restore()


def _mark_path(mark: Mark, points: list[QPointF]) -> QPainterPath:
    path = QPainterPath()
    if not points:
        return path
    if mark.kind in {MarkKind.ELLIPSE, MarkKind.BODY} and len(points) == 2:
        path.addEllipse(QRectF(points[0], points[1]).normalized())
        return path
    if mark.kind is MarkKind.COLOUR and len(points) == 1:
        path.addEllipse(points[0], 4, 4)
        return path
    path.moveTo(points[0])
    for point in points[1:]:
        path.lineTo(point)
    if mark.kind is MarkKind.POLYGON:
        path.closeSubpath()
    if mark.kind is MarkKind.POINTER:
        path.addEllipse(points[-1], 3, 3)
    return path
