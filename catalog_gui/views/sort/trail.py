"""The trail: one row a group, pictures in true time, the walk between. Paints and decodes only what is seen."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from PySide6.QtCore import QMimeData, QPoint, QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QContextMenuEvent,
    QDrag,
    QDragEnterEvent,
    QDragMoveEvent,
    QDropEvent,
    QFont,
    QFontMetrics,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QPixmap,
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractScrollArea, QApplication, QWidget

from catalog_gui.domain.photo import Photo
from catalog_gui.grouping.proposal import is_doubtful
from catalog_gui.views import theme
from catalog_gui.views.sort.state import Row, SortState
from catalog_gui.views.widgets.pictures import PictureSource
from catalog_gui.views.words import clock_time, metres, place_words, span

PHOTO_MIME = "application/x-foray-bench-photos"
GUTTER = 56  # where the trail itself is drawn
HEAD = 30
GAP = 7
WALK = 30
FOOT = 10


@dataclass(frozen=True, slots=True)
class _Laid:
    """Where a row stands: `top` of its walk line, `head` of its title, `cells` of its pictures, `bottom`."""

    top: int
    head: int
    cells_top: int
    columns: int
    bottom: int


class TrailView(QAbstractScrollArea):
    """Rows of pictures. Selection is a set of photo ids with one current photo."""

    current_changed = Signal(str)  # photo id
    selection_changed = Signal()
    opened = Signal(str)  # group id, by double click
    asked = Signal(str, QPoint)  # what to do: a command key; where a menu should appear
    dropped = Signal(list, str)  # photo ids, group id ('' for a group of their own)

    def __init__(self, pictures: PictureSource, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("trail")
        self.setAccessibleName("Trail of proposed specimens")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.viewport().setAcceptDrops(True)
        self.setAcceptDrops(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._pictures = pictures
        pictures.ready.connect(self._on_ready)
        pictures.refused.connect(self._on_ready)
        self._state = SortState()
        self._laid: list[_Laid] = []
        self._tops: list[int] = []
        self._height = 0
        self._edge = 132
        self._selected: set[str] = set()
        self._current = ""
        self._anchor = ""
        self._press: QPoint | None = None
        self._drop_row = -2
        self._where: dict[str, tuple[int, int]] = {}

    # --- what it shows -------------------------------------------------------------------------

    def set_state(self, state: SortState) -> None:
        """Show a foray; the selection, the current photo and the place on the page are kept."""
        anchor = self._first_visible_row()
        anchor_id = self._state.rows[anchor[0]].group.id if anchor is not None else ""
        self._state = state
        self._where = {
            photo.id: (r, c) for r, row in enumerate(state.rows) for c, photo in enumerate(row.photos)
        }
        self._selected &= set(self._where)
        if self._current not in self._where:
            self._current = state.rows[0].photos[0].id if state.rows else ""
            self._anchor = self._current
            if self._current:
                self._selected = {self._current}
        self._lay_out()
        if anchor is not None:
            for index, row in enumerate(state.rows):
                if row.group.id == anchor_id:
                    self.verticalScrollBar().setValue(self._laid[index].top + anchor[1])
                    break
        self._tell_reader()
        self.viewport().update()

    @property
    def current(self) -> str:
        """The photo the keys work on."""
        return self._current

    @property
    def current_row(self) -> Row | None:
        """The row of the current photo."""
        at = self._where.get(self._current)
        return self._state.rows[at[0]] if at is not None else None

    def selected(self) -> list[str]:
        """Selected photo ids in the order of the trail."""
        return sorted(self._selected, key=lambda key: self._where.get(key, (0, 0)))

    def selected_groups(self) -> list[str]:
        """The groups of the selected photos, in the order of the trail."""
        rows = sorted({self._where[key][0] for key in self._selected if key in self._where})
        return [self._state.rows[row].group.id for row in rows]

    def set_edge(self, edge: int) -> None:
        """How large the pictures are, 72 to 320 px."""
        self._edge = max(72, min(320, edge))
        self._lay_out()
        self.ensure_visible(self._current)
        self.viewport().update()

    @property
    def edge(self) -> int:
        """The size of the pictures in px."""
        return self._edge

    def choose(self, photo_id: str, *, extend: bool = False, add: bool = False) -> None:
        """Make a photo the current one and select it (a run with `extend`, one more with `add`)."""
        if photo_id not in self._where:
            return
        if extend and self._anchor in self._where:
            order = [photo.id for row in self._state.rows for photo in row.photos]
            a, b = sorted((order.index(self._anchor), order.index(photo_id)))
            self._selected = set(order[a : b + 1])
        elif add:
            self._selected ^= {photo_id}
            self._anchor = photo_id
        else:
            self._selected = {photo_id}
            self._anchor = photo_id
        self._current = photo_id
        self.ensure_visible(photo_id)
        self.viewport().update()
        self.current_changed.emit(photo_id)
        self.selection_changed.emit()
        self._tell_reader()

    def choose_group(self, group_id: str) -> None:
        """Select all photos of a group; the first becomes the current one."""
        for row in self._state.rows:
            if row.group.id == group_id:
                self._selected = {photo.id for photo in row.photos}
                self._current = self._anchor = row.photos[0].id
                self.ensure_visible(self._current, whole_row=True)
                self.viewport().update()
                self.current_changed.emit(self._current)
                self.selection_changed.emit()
                self._tell_reader()
                return

    def ensure_visible(self, photo_id: str, *, whole_row: bool = False) -> None:
        """Scroll so that the photo can be seen."""
        at = self._where.get(photo_id)
        if at is None or at[0] >= len(self._laid):
            return
        laid = self._laid[at[0]]
        cell = self._cell(laid, at[1])
        top = laid.top if whole_row or at[1] < laid.columns else cell.top() - GAP
        bottom = cell.bottom() + GAP
        bar = self.verticalScrollBar()
        if top < bar.value():
            bar.setValue(top)
        elif bottom > bar.value() + self.viewport().height():
            bar.setValue(min(top, bottom - self.viewport().height()))

    # --- layout --------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        width = max(200, self.viewport().width())
        columns = max(1, (width - GUTTER - 16) // (self._edge + GAP))
        y = 6
        laid: list[_Laid] = []
        for index, row in enumerate(self._state.rows):
            walk = WALK if index else 0
            head = y + walk
            cells_top = head + HEAD
            lines = -(-len(row.photos) // columns)
            bottom = cells_top + lines * (self._cell_height + GAP) + FOOT
            laid.append(_Laid(y, head, cells_top, columns, bottom))
            y = bottom
        self._laid = laid
        self._tops = [one.top for one in laid]
        self._height = y + 10
        bar = self.verticalScrollBar()
        bar.setRange(0, max(0, self._height - self.viewport().height()))
        bar.setPageStep(max(1, self.viewport().height()))
        bar.setSingleStep(max(20, self._edge // 3))

    @property
    def _cell_height(self) -> int:
        """Most pictures lie on their side: a square cell would be a quarter air."""
        return round(self._edge * 0.78)

    def _cell(self, laid: _Laid, column: int) -> QRect:
        line, across = divmod(column, laid.columns)
        return QRect(
            GUTTER + across * (self._edge + GAP),
            laid.cells_top + line * (self._cell_height + GAP),
            self._edge,
            self._cell_height,
        )

    def _first_visible_row(self) -> tuple[int, int] | None:
        if not self._laid:
            return None
        y = self.verticalScrollBar().value()
        index = max(0, bisect_right(self._tops, y) - 1)
        return index, y - self._laid[index].top

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Pictures flow anew into the width there is."""
        self._lay_out()
        super().resizeEvent(event)

    def sizeHint(self) -> QSize:
        """The trail takes what it can get."""
        return QSize(700, 500)

    # --- painting ------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        """Only the rows that can be seen are painted, and only their pictures are asked for."""
        t = theme.tones()
        painter = QPainter(self.viewport())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.fillRect(self.viewport().rect(), QColor(t.sunken))
        offset = self.verticalScrollBar().value()
        painter.translate(0, -offset)
        top, bottom = offset, offset + self.viewport().height()
        first = max(0, bisect_right(self._tops, top) - 1) if self._tops else 0
        for index in range(first, len(self._laid)):
            if self._laid[index].top > bottom:
                break
            self._paint_row(painter, index, QRect(0, top, self.viewport().width(), bottom - top))
        painter.end()

    def _paint_row(self, painter: QPainter, index: int, seen: QRect) -> None:
        t = theme.tones()
        laid, row = self._laid[index], self._state.rows[index]
        zone = self._state.foray.time_zone if self._state.foray else ""
        current_row = self._where.get(self._current, (-1, 0))[0] == index
        card = QRect(
            GUTTER - 10, laid.head - 2, self.viewport().width() - GUTTER + 2, laid.bottom - laid.head - 4
        )
        painter.setPen(QPen(QColor(t.moss if current_row else t.line), 1.5 if current_row else 1))
        painter.setBrush(QColor(t.sheet))
        painter.drawRoundedRect(QRectF(card), 5, 5)
        if self._drop_row == index:
            painter.setPen(QPen(QColor(t.moss), 3))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(card).adjusted(1, 1, -1, -1), 5, 5)
        self._paint_path(painter, index, laid, row)
        if index:
            self._paint_walk(painter, laid, row)
        title = QFont(theme.SERIF)
        title.setPointSizeF(11.5)
        title.setBold(True)
        painter.setFont(title)
        painter.setPen(QColor(t.bark))
        words = row.specimen.number if row.specimen is not None else f"Group {index + 1}"
        metrics = QFontMetrics(title)
        painter.drawText(GUTTER, laid.head + 19, words)
        x = GUTTER + metrics.horizontalAdvance(words) + 10
        if row.name:
            italic = QFont(theme.SERIF)
            italic.setPointSizeF(11)
            italic.setItalic(True)
            painter.setFont(italic)
            painter.setPen(QColor(t.ink))
            painter.drawText(x, laid.head + 19, row.name)
            x += QFontMetrics(italic).horizontalAdvance(row.name) + 10
        painter.setFont(self.font())
        painter.setPen(QColor(t.faded))
        length = ""
        if row.group.start is not None and row.group.end is not None:
            seconds = (row.group.end - row.group.start).total_seconds()
            length = f"  ({span(seconds)})" if seconds >= 1 else ""
        pictures = f"{len(row.photos)} picture{'' if len(row.photos) == 1 else 's'}"
        standing = "accepted" if row.specimen else "set by hand" if row.group.held else "proposed"
        rest = "   ·   ".join(
            [clock_time(row.group.start, zone) + length, place_words(row.group.place), pictures, standing]
        )
        room = self.viewport().width() - x - 16
        painter.drawText(
            x, laid.head + 19, self.fontMetrics().elidedText(rest, Qt.TextElideMode.ElideRight, room)
        )
        doubtful_after = {join.after for join in row.inner}
        for column, photo in enumerate(row.photos):
            cell = self._cell(laid, column)
            if cell.bottom() < seen.top() or cell.top() > seen.bottom():
                continue
            self._paint_cell(painter, cell, photo, doubtful=photo.id in doubtful_after)

    def _paint_path(self, painter: QPainter, index: int, laid: _Laid, row: Row) -> None:
        """The trodden path down the gutter, with a stone for every group."""
        t = theme.tones()
        pen = QPen(QColor(t.edge), 2.4, Qt.PenStyle.CustomDashLine, Qt.PenCapStyle.RoundCap)
        pen.setDashPattern([0.1, 3.0])
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        x = GUTTER / 2 - 4
        path = QPainterPath(QPointF(x, laid.top if index else laid.head + 14))
        sway = 6 if index % 2 else -6
        path.cubicTo(x + sway, laid.head, x - sway, laid.bottom - 20, x, laid.bottom)
        if index < len(self._laid) - 1:
            painter.drawPath(path)
        stone = QRectF(x - 13, laid.head + 2, 26, 23)
        painter.setPen(QPen(QColor(t.moss if row.specimen else t.edge), 1.6))
        painter.setBrush(QColor(t.moss if row.specimen else t.sheet))
        painter.drawEllipse(stone)
        painter.setFont(self.font())
        painter.setPen(QColor(t.moss_text if row.specimen else t.ink))
        painter.drawText(stone, int(Qt.AlignmentFlag.AlignCenter), str(index + 1))

    def _paint_walk(self, painter: QPainter, laid: _Laid, row: Row) -> None:
        t = theme.tones()
        painter.setFont(self.font())
        words = f"{span(row.walk_s)} on"
        if row.walk_m is not None:
            words += f", {metres(row.walk_m)}"
        box = QRect(GUTTER, laid.top, self.viewport().width() - GUTTER - 12, WALK - 4)
        painter.setPen(QColor(t.faded))
        painter.drawText(box, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), words)
        note, colour = "", t.ochre
        if row.join is not None and is_doubtful(row.join):
            note = f"Doubtful: may be the same specimen as above. {row.join.reason}".strip()
        elif row.join is not None and row.join.settled is False:
            note, colour = "You set these apart.", t.faded
        if row.offer is not None:
            note = f"Same specimen as {row.offer_words}? {row.offer.reason}".strip()
            colour = t.ochre
        if note:
            left = box.left() + self.fontMetrics().horizontalAdvance(words) + 18
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(colour))
            if colour == t.ochre:
                self._question_mark(painter, QPointF(left + 7, box.center().y() + 0.5))
                left += 20
            painter.setPen(QColor(colour))
            text = self.fontMetrics().elidedText(note, Qt.TextElideMode.ElideRight, box.right() - left)
            painter.drawText(
                QRect(left, box.top(), box.right() - left, box.height()),
                int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft),
                text,
            )

    def _question_mark(self, painter: QPainter, middle: QPointF) -> None:
        t = theme.tones()
        painter.setBrush(QColor(t.ochre))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.drawEllipse(middle, 8.5, 8.5)
        font = QFont(self.font())
        font.setBold(True)
        painter.setFont(font)
        painter.setPen(QColor(t.sheet))
        painter.drawText(
            QRectF(middle.x() - 8, middle.y() - 9, 16, 17), int(Qt.AlignmentFlag.AlignCenter), "?"
        )
        painter.setFont(self.font())

    def _paint_cell(self, painter: QPainter, cell: QRect, photo: Photo, *, doubtful: bool) -> None:
        t = theme.tones()
        inner = cell.adjusted(3, 3, -3, -3)
        ratio = self.devicePixelRatioF()
        wanted = next((edge for edge in (160, 320, 640) if edge >= inner.width() * ratio), 640)
        pixmap = self._pictures.pixmap(photo, wanted)
        if pixmap is None:
            painter.setPen(QPen(QColor(t.line), 1))
            painter.setBrush(QColor(t.ground))
            painter.drawRect(inner)
            problem = self._pictures.problem(photo.id)
            painter.setPen(QColor(t.rust if problem else t.faded))
            text = f"{photo.name}\n{problem}" if problem else photo.name
            painter.drawText(
                inner.adjusted(4, 4, -4, -4),
                int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap),
                text,
            )
        else:
            painter.drawPixmap(fitted(pixmap, inner), pixmap)
        chosen = photo.id in self._selected
        if chosen or photo.id == self._current:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(t.moss if chosen else t.edge), 3 if chosen else 1.5))
            painter.drawRect(QRectF(cell).adjusted(1.5, 1.5, -1.5, -1.5))
            if photo.id == self._current and self.hasFocus():
                painter.setPen(QPen(QColor(t.ink), 1, Qt.PenStyle.DotLine))
                painter.drawRect(QRectF(cell).adjusted(4, 4, -4, -4))
        if doubtful:
            self._question_mark(painter, QPointF(cell.left() + 1, cell.center().y()))

    def _on_ready(self, photo_id: str, _reason: str = "") -> None:
        at = self._where.get(photo_id)
        if at is not None and at[0] < len(self._laid):
            cell = self._cell(self._laid[at[0]], at[1])
            self.viewport().update(cell.translated(0, -self.verticalScrollBar().value()))

    def scrollContentsBy(self, dx: int, dy: int) -> None:
        """What scrolled out of sight is not decoded first."""
        if abs(dy) > self.viewport().height():
            self._pictures.drop_requests()
        self.viewport().update()

    # --- hands ---------------------------------------------------------------------------------

    def photo_at(self, position: QPoint) -> str:
        """The photo under a point of the viewport, or ''."""
        y = position.y() + self.verticalScrollBar().value()
        index = bisect_right(self._tops, y) - 1
        if index < 0 or index >= len(self._laid):
            return ""
        laid = self._laid[index]
        for column, photo in enumerate(self._state.rows[index].photos):
            if self._cell(laid, column).contains(position.x(), y):
                return photo.id
        return ""

    def _row_at(self, position: QPoint) -> int:
        y = position.y() + self.verticalScrollBar().value()
        index = bisect_right(self._tops, y) - 1
        if 0 <= index < len(self._laid) and self._laid[index].head <= y <= self._laid[index].bottom:
            return index
        return -1

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose; with Shift a run, with Ctrl one more; on a title the whole group."""
        position = event.position().toPoint()
        photo_id = self.photo_at(position)
        if photo_id:
            plain = event.modifiers() == Qt.KeyboardModifier.NoModifier
            if not (plain and photo_id in self._selected):
                self.choose(
                    photo_id,
                    extend=bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier),
                    add=bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier),
                )
            self._press = position if event.button() == Qt.MouseButton.LeftButton else None
            return
        row = self._row_at(position)
        if row >= 0:
            self.choose_group(self._state.rows[row].group.id)
            self._press = position

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click on one of several chosen pictures chooses it alone."""
        if self._press is not None and event.modifiers() == Qt.KeyboardModifier.NoModifier:
            photo_id = self.photo_at(event.position().toPoint())
            if photo_id and len(self._selected) > 1:
                self.choose(photo_id)
        self._press = None

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag what is chosen to another group, or between groups for one of its own."""
        if self._press is None or not self._selected:
            return
        moved = (event.position().toPoint() - self._press).manhattanLength()
        if moved < QApplication.startDragDistance():
            return
        self._press = None
        data = QMimeData()
        chosen = self.selected()
        data.setData(PHOTO_MIME, "\n".join(chosen).encode())
        drag = QDrag(self)
        drag.setMimeData(data)
        photo = self._state.photos.get(chosen[0])
        pixmap = self._pictures.pixmap(photo, 160) if photo is not None else None
        if pixmap is not None:
            drag.setPixmap(pixmap.scaled(90, 90, Qt.AspectRatioMode.KeepAspectRatio))
        drag.exec(Qt.DropAction.MoveAction)
        self._drop_row = -2
        self.viewport().update()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Open the picture large."""
        photo_id = self.photo_at(event.position().toPoint())
        if photo_id:
            self.opened.emit(photo_id)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """Everything that can be done with what is chosen."""
        photo_id = self.photo_at(event.pos())
        if photo_id and photo_id not in self._selected:
            self.choose(photo_id)
        self.asked.emit("menu", event.globalPos())

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Pictures of ours only; folders go to the window."""
        if event.mimeData().hasFormat(PHOTO_MIME):
            event.acceptProposedAction()
        else:
            event.ignore()

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:
        """Show where they would land."""
        if not event.mimeData().hasFormat(PHOTO_MIME):
            event.ignore()
            return
        position = event.position().toPoint()
        self._drop_row = self._row_at(position)
        margin = 40
        bar = self.verticalScrollBar()
        if position.y() < margin:
            bar.setValue(bar.value() - 24)
        elif position.y() > self.viewport().height() - margin:
            bar.setValue(bar.value() + 24)
        event.acceptProposedAction()
        self.viewport().update()

    def dropEvent(self, event: QDropEvent) -> None:
        """Let go over a group: move there; between groups: a group of their own."""
        if not event.mimeData().hasFormat(PHOTO_MIME):
            event.ignore()
            return
        ids = bytes(event.mimeData().data(PHOTO_MIME).data()).decode().split("\n")
        row = self._row_at(event.position().toPoint())
        self._drop_row = -2
        event.acceptProposedAction()
        self.dropped.emit(ids, self._state.rows[row].group.id if row >= 0 else "")
        self.viewport().update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows walk; the letters are the page's own actions."""
        at = self._where.get(self._current)
        if at is None or not self._laid:
            super().keyPressEvent(event)
            return
        row, column = at
        laid = self._laid[row]
        extend = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        rows = self._state.rows
        key = event.key()
        target: str | None = None
        if key == Qt.Key.Key_Right:
            target = self._step(1)
        elif key == Qt.Key.Key_Left:
            target = self._step(-1)
        elif key == Qt.Key.Key_Down:
            if column + laid.columns < len(rows[row].photos):
                target = rows[row].photos[column + laid.columns].id
            elif row + 1 < len(rows):
                beneath = rows[row + 1].photos
                target = beneath[min(column % laid.columns, len(beneath) - 1)].id
        elif key == Qt.Key.Key_Up:
            if column >= laid.columns:
                target = rows[row].photos[column - laid.columns].id
            elif row > 0:
                above = rows[row - 1].photos
                last_line = (len(above) - 1) // laid.columns * laid.columns
                target = above[min(last_line + column % laid.columns, len(above) - 1)].id
        elif key in (Qt.Key.Key_PageDown, Qt.Key.Key_PageUp):
            step = 1 if key == Qt.Key.Key_PageDown else -1
            target = rows[max(0, min(len(rows) - 1, row + step))].photos[0].id
        elif key == Qt.Key.Key_Home:
            target = rows[0].photos[0].id
        elif key == Qt.Key.Key_End:
            target = rows[-1].photos[-1].id
        elif key == Qt.Key.Key_Space:
            self.choose_group(rows[row].group.id)
            return
        else:
            super().keyPressEvent(event)
            return
        if target is not None:
            self.choose(target, extend=extend)

    def _step(self, by: int) -> str | None:
        order = [photo.id for row in self._state.rows for photo in row.photos]
        index = order.index(self._current) + by
        return order[index] if 0 <= index < len(order) else None

    def _tell_reader(self) -> None:
        at = self._where.get(self._current)
        if at is None:
            self.setAccessibleDescription("No pictures yet.")
            return
        row = self._state.rows[at[0]]
        self.setAccessibleDescription(
            f"Picture {at[1] + 1} of {len(row.photos)}, {row.photos[at[1]].name}, "
            f"{row.specimen.number if row.specimen else f'group {at[0] + 1}'}."
        )


def fitted(pixmap: QPixmap, box: QRect) -> QRect:
    """The largest box inside `box` with the picture's own proportions."""
    size = pixmap.size().scaled(box.size(), Qt.AspectRatioMode.KeepAspectRatio)
    left = box.left() + (box.width() - size.width()) // 2
    top = box.top() + (box.height() - size.height()) // 2
    return QRect(QPoint(left, top), size)
