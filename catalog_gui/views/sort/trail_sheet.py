"""Shows the trail: cards of pictures in true time, and what of them is chosen.

Only what is seen is painted, and only its pictures are asked for.
"""

from __future__ import annotations

from PySide6.QtCore import QPoint, QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPixmap, QResizeEvent
from PySide6.QtWidgets import QAbstractScrollArea, QWidget

from catalog_gui.domain.photo import Photo
from catalog_gui.presenting.sort.questions import question_above, question_inside
from catalog_gui.presenting.sort.state import SortState, TrailRow
from catalog_gui.presenting.sort.words import title_words
from catalog_gui.views import theme
from catalog_gui.views.sort.trail_card import answer_boxes, paint_card, paint_path, paint_walk, question_mark
from catalog_gui.views.sort.trail_layout import GAP, Layout, lay_out
from catalog_gui.views.widgets.pictures import PictureSource, fitted

SMALLEST, LARGEST = 72, 320
EDGES = (160, 320, 640)
"""Sizes that are decoded and kept; a cell takes the next larger one and scales it down."""


class TrailSheet(QAbstractScrollArea):
    """Cards of pictures. Selection is a set of photo ids with one current photo."""

    current_changed = Signal(str)  # photo id
    selection_changed = Signal()
    edge_changed = Signal(int)

    def __init__(self, pictures: PictureSource, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("trail")
        self.setAccessibleName("Trail of proposed specimens")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.verticalScrollBar().setObjectName("trail-scroll")
        self._pictures = pictures
        pictures.ready.connect(self._on_ready)
        pictures.refused.connect(self._on_ready)
        self._state = SortState()
        self._edge = 132
        self._exact_edge = 132.0  # two fingers change it by less than a px at a time
        self._layout = lay_out((), 700, self._edge)
        self._selected: set[str] = set()
        self._lifted: set[str] = set()
        self._current = ""
        self._anchor = ""
        self._over: tuple[str, int] | None = None
        self._wanted: set[str] = set()
        self._ignored: dict[str, str] = {}

    @property
    def state(self) -> SortState:
        """What is shown."""
        return self._state

    def set_state(self, state: SortState) -> None:
        """Show a foray; the selection, the current photo and the place on the page are kept."""
        held = self._held_place()
        before, self._state = self._state, state
        self._selected = {key for key in self._selected if key in state.where}
        self._lifted = {key for key in self._lifted if key in state.photos}
        if self._current not in state.where:
            self._current = self._anchor = self._stand_in(before)
            if self._current and not self._selected:
                self._selected = {self._current}
        self._lay_out()
        if held is not None:
            group_id, away = held
            row = state.row_of_group.get(group_id, -1)
            if row >= 0:
                self.verticalScrollBar().setValue(self._layout.cards[row].top + away)
        self._tell_reader()
        self.viewport().update()

    def _stand_in(self, before: SortState) -> str:
        """The picture nearest to where the current one stood, when that has left the trail."""
        at = before.index_of(self._current)
        if at >= 0:
            for key in (*before.order[at : at + 200], *reversed(before.order[max(0, at - 200) : at])):
                if key in self._state.where:
                    return key
        return self._state.order[0] if self._state.order else ""

    def _held_place(self) -> tuple[str, int] | None:
        """The first card in sight and how far the page is scrolled past its top."""
        y = self.verticalScrollBar().value()
        seen = self._layout.seen(y, y)
        if not len(seen) or y == 0:
            return None
        return self._state.rows[seen[0]].group.id, y - self._layout.cards[seen[0]].top

    def set_ignored(self, reasons: dict[str, str]) -> None:
        """Written positions that were not believed: the reason by photo id. Groups say how many they have."""
        if reasons != self._ignored:
            self._ignored = reasons
            self.viewport().update()

    def _not_used(self, row: TrailRow) -> int:
        return sum(1 for photo in row.photos if photo.fix_problem or photo.id in self._ignored)

    @property
    def current(self) -> str:
        """The photo the keys work on."""
        return self._current

    @property
    def current_row(self) -> TrailRow | None:
        """The row of the current photo."""
        row = self._state.row_of(self._current)
        return self._state.rows[row] if row >= 0 else None

    @property
    def layout_of_cards(self) -> Layout:
        """Where everything stands, in px from the top of the trail."""
        return self._layout

    @property
    def lifted(self) -> list[str]:
        """Pictures that were picked up by key, to be put down elsewhere."""
        return sorted(self._lifted, key=self._state.index_of)

    def pick_up(self, photo_ids: list[str]) -> None:
        """Mark pictures as carried until they are put down."""
        self._lifted = set(photo_ids)
        self.viewport().update()

    def selected(self) -> list[str]:
        """Selected photo ids in the order of the trail."""
        return sorted(self._selected, key=self._state.index_of)

    def selected_groups(self) -> list[str]:
        """The groups of the selected photos, in the order of the trail."""
        rows = sorted({self._state.row_of(key) for key in self._selected})
        return [self._state.rows[row].group.id for row in rows if row >= 0]

    def set_edge(self, edge: int) -> None:
        """How large the pictures are, 72 to 320 px; the current one stays in sight."""
        if self._take_edge(edge):
            self.ensure_visible(self._current)
            self.edge_changed.emit(self._edge)

    def zoom_by(self, factor: float, about: QPoint) -> None:
        """Larger or smaller by however little; the card under this point of the viewport stays there."""
        self._exact_edge = max(SMALLEST, min(LARGEST, self._exact_edge * factor))
        bar = self.verticalScrollBar()
        y = bar.value() + about.y()
        row = next(iter(self._layout.seen(y, y)), -1)
        before = self._layout.cards[row] if row >= 0 else None
        if not self._take_edge(round(self._exact_edge)):
            return
        if before is not None:
            card = self._layout.cards[row]
            inside = (y - before.top) / max(1, before.bottom - before.top)
            bar.setValue(round(card.top + inside * (card.bottom - card.top)) - about.y())
        self.edge_changed.emit(self._edge)

    def _take_edge(self, edge: int) -> bool:
        edge = max(SMALLEST, min(LARGEST, edge))
        if edge == self._edge:
            return False
        self._edge = edge
        if round(self._exact_edge) != edge:
            self._exact_edge = float(edge)
        self._lay_out()
        self.viewport().update()
        return True

    @property
    def edge(self) -> int:
        """The size of the pictures in px."""
        return self._edge

    def choose(self, photo_id: str, *, extend: bool = False, add: bool = False) -> None:
        """Make a photo the current one and select it (a run with `extend`, one more with `add`)."""
        at = self._state.index_of(photo_id)
        if at < 0:
            return
        anchor = self._state.index_of(self._anchor)
        if extend and anchor >= 0:
            self._selected = set(self._state.order[min(at, anchor) : max(at, anchor) + 1])
        elif add:
            self._selected ^= {photo_id}
            self._anchor = photo_id
        else:
            self._selected = {photo_id}
            self._anchor = photo_id
        self._now(photo_id)

    def choose_group(self, group_id: str) -> None:
        """Select all photos of a group; the first becomes the current one."""
        row = self._state.row_of_group.get(group_id, -1)
        if row >= 0:
            photos = self._state.rows[row].photos
            self._selected = {photo.id for photo in photos}
            self._anchor = photos[0].id
            self._now(photos[0].id, whole_row=True)

    def choose_all(self) -> None:
        """Select every picture of the trail."""
        self._selected = set(self._state.order)
        self.viewport().update()
        self.selection_changed.emit()

    def _now(self, photo_id: str, *, whole_row: bool = False) -> None:
        self._current = photo_id
        self.ensure_visible(photo_id, whole_row=whole_row)
        self.viewport().update()
        self.current_changed.emit(photo_id)
        self.selection_changed.emit()
        self._tell_reader()

    def ensure_visible(self, photo_id: str, *, whole_row: bool = False) -> None:
        """Scroll so that the photo can be seen."""
        at = self._state.where.get(photo_id)
        if at is None or at[0] >= len(self._layout.cards):
            return
        card, cell = self._layout.cards[at[0]], self._layout.cell(*at)
        top = card.top if whole_row or at[1] < card.columns else cell.top() - GAP
        bottom = cell.bottom() + GAP
        bar = self.verticalScrollBar()
        if top < bar.value():
            bar.setValue(top)
        elif bottom > bar.value() + self.viewport().height():
            bar.setValue(min(top, bottom - self.viewport().height()))

    def _lay_out(self) -> None:
        counts = [len(row.photos) for row in self._state.rows]
        self._layout = lay_out(counts, self.viewport().width(), self._edge)
        bar = self.verticalScrollBar()
        bar.setRange(0, max(0, self._layout.height - self.viewport().height()))
        bar.setPageStep(max(1, self.viewport().height() - 40))
        bar.setSingleStep(max(20, self._edge // 3))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Pictures flow anew into the width there is; the card on top stays on top."""
        held = self._held_place()
        self._lay_out()
        row = self._state.row_of_group.get(held[0], -1) if held is not None else -1
        if held is not None and row >= 0 and event.size().width() != event.oldSize().width():
            self.verticalScrollBar().setValue(self._layout.cards[row].top + held[1])
        super().resizeEvent(event)

    def sizeHint(self) -> QSize:
        """The trail takes what it can get."""
        return QSize(700, 500)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Only the cards that can be seen are painted, and only their pictures are asked for."""
        t = theme.tones()
        painter = QPainter(self.viewport())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.setFont(self.font())
        painter.fillRect(event.rect(), QColor(t.sunken))
        offset = self.verticalScrollBar().value()
        painter.translate(0, -offset)
        dirty = event.rect().translated(0, offset)
        zone = self._state.foray.time_zone if self._state.foray else ""
        at = self._state.row_of(self._current)
        rows = self._layout.seen(dirty.top(), dirty.bottom())
        for index in rows:
            card, row = self._layout.cards[index], self._state.rows[index]
            paint_path(painter, self._layout, index, row)
            if dirty.top() <= card.cells_top:
                paint_walk(painter, card, row, first=index == 0)
            ignored = self._not_used(row)
            paint_card(painter, card, row, index + 1, zone, current=index == at, ignored=ignored)
            doubtful = {join.after for join in row.inner}
            for column, photo in enumerate(row.photos):
                cell = self._layout.cell(index, column)
                if cell.bottom() >= dirty.top() - 10 and cell.top() <= dirty.bottom() + 10:
                    self._paint_cell(painter, cell, photo, doubtful=photo.id in doubtful)
        if len(rows) and rows[0] > 0:  # the path that comes down from the line above
            above = self._layout.lines[self._layout.cards[rows[0]].line - 1][0]
            paint_path(painter, self._layout, above, self._state.rows[above])
        self._paint_over(painter)
        if self.hasFocus() and not self._state.order:
            painter.setPen(QPen(QColor(t.moss), 2))
            painter.drawRect(self.viewport().rect().adjusted(1, 1, -1, -1))

    def _paint_over(self, painter: QPainter) -> None:
        """Where dragged pictures would land."""
        if self._over is None:
            return
        t = theme.tones()
        kind, row = self._over
        card = self._layout.cards[row]
        if kind == "card":
            painter.setPen(QPen(QColor(t.moss), 3))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(card.box).adjusted(1, 1, -1, -1), 5, 5)
            return
        painter.setPen(QPen(QColor(t.moss), 2))
        painter.setBrush(QColor(t.chosen))
        box = card.walk
        painter.drawRoundedRect(QRectF(box), 4, 4)
        painter.setPen(QColor(t.ink))
        painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), "A group of their own")

    def _paint_cell(self, painter: QPainter, cell: QRect, photo: Photo, *, doubtful: bool) -> None:
        t = theme.tones()
        inner = cell.adjusted(3, 3, -3, -3)
        pixmap = self._small(photo, inner)
        if pixmap is None:
            painter.setPen(QPen(QColor(t.line), 1))
            painter.setBrush(QColor(t.ground))
            painter.drawRect(inner)
            problem = self._pictures.problem(photo.id)
            painter.setPen(QColor(t.rust if problem else t.faded))
            painter.drawText(
                inner.adjusted(4, 4, -4, -4),
                int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap),
                f"{photo.name}\n{problem}" if problem else photo.name,
            )
        else:
            painter.drawPixmap(fitted(pixmap, inner), pixmap)
        chosen = photo.id in self._selected
        if photo.id in self._lifted:
            veil = QColor(t.sheet)
            veil.setAlpha(150)
            painter.fillRect(inner, veil)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(t.ink), 2, Qt.PenStyle.DashLine))
            painter.drawRect(inner)
        if chosen or photo.id == self._current:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(t.moss if chosen else t.edge), 3 if chosen else 1.5))
            painter.drawRect(QRectF(cell).adjusted(1.5, 1.5, -1.5, -1.5))
            if photo.id == self._current and self.hasFocus():
                painter.setPen(QPen(QColor(t.ink), 1, Qt.PenStyle.DotLine))
                painter.drawRect(QRectF(cell).adjusted(4, 4, -4, -4))
        if doubtful:
            question_mark(painter, QPointF(cell.left() + 4, cell.center().y()))

    def _small(self, photo: Photo, inner: QRect) -> QPixmap | None:
        """The picture scaled for its cell; scaled in the decoder's thread, so painting only copies it."""
        ratio = self.devicePixelRatioF()
        wide, high = round(inner.width() * ratio), round(inner.height() * ratio)
        edge = next((edge for edge in EDGES if edge >= wide), EDGES[-1])
        self._wanted.add(photo.id)
        return self._pictures.pixmap(photo, edge, fit=(wide, high))

    def _on_ready(self, photo_id: str, _reason: str = "") -> None:
        at = self._state.where.get(photo_id)
        if at is not None and at[0] < len(self._layout.cards) and self.isVisible():
            cell = self._layout.cell(*at).translated(0, -self.verticalScrollBar().value())
            if cell.intersects(self.viewport().rect()):
                self.viewport().update(cell)

    def scrollContentsBy(self, dx: int, dy: int) -> None:
        """What is painted already moves; what scrolled out of sight need not be decoded any longer."""
        if len(self._wanted) > 200:
            y = self.verticalScrollBar().value()
            high = self.viewport().height()
            rows = self._layout.seen(y - high, y + 2 * high)
            near = {photo.id for row in rows for photo in self._state.rows[row].photos}
            self._pictures.drop_requests(self._wanted - near)
            self._wanted &= near
        if abs(dy) < self.viewport().height() and self._over is None:
            self.viewport().scroll(0, dy)
        else:
            self.viewport().update()

    def _there(self, position: QPoint) -> tuple[int, int]:
        return position.x(), position.y() + self.verticalScrollBar().value()

    def photo_at(self, position: QPoint) -> str:
        """The photo under a point of the viewport, or ''."""
        at = self._layout.picture_at(*self._there(position))
        return self._state.rows[at[0]].photos[at[1]].id if at is not None else ""

    def rect_of(self, photo_id: str) -> QRect:
        """Where a photo stands in the viewport; empty if it is not on the trail."""
        at = self._state.where.get(photo_id)
        if at is None:
            return QRect()
        return self._layout.cell(*at).translated(0, -self.verticalScrollBar().value())

    def answer_rects(self, group_id: str) -> tuple[QRect, QRect] | None:
        """Where 'same' and 'apart' stand in the viewport, if something is asked above this group."""
        row = self._state.row_of_group.get(group_id, -1)
        if row < 0 or question_above(self._state.rows[row]) is None:
            return None
        same, apart = answer_boxes(self._layout.cards[row])
        up = -self.verticalScrollBar().value()
        return same.translated(0, up), apart.translated(0, up)

    def words_at(self, position: QPoint) -> str:
        """What a tooltip says about a point: the picture, the group or the question."""
        x, y = self._there(position)
        photo_id = self.photo_at(position)
        if photo_id:
            photo = self._state.photos[photo_id]
            asked = question_inside(self._state.rows[self._state.row_of(photo_id)], photo_id)
            problem = photo.fix_problem or self._ignored.get(photo_id, "")
            words = [photo.name, *([f"Position not used: {problem}"] if problem else [])]
            if asked is not None:
                words.append(f"Perhaps another specimen begins here. {asked.reason}")
            return "\n".join(words)
        row = self._layout.walk_at(x, y)
        if row >= 0:
            asked = question_above(self._state.rows[row])
            return f"{asked.question}\n{asked.reason}\nT same, A apart" if asked is not None else ""
        row = self._layout.card_at(x, y)
        zone = self._state.foray.time_zone if self._state.foray else ""
        if row < 0:
            return ""
        return title_words(self._state.rows[row], zone, self._not_used(self._state.rows[row]))

    def neighbour(self, by: int) -> str | None:
        """The photo `by` places further along the trail, or None at its ends."""
        index = self._state.index_of(self._current) + by
        return self._state.order[index] if 0 <= index < len(self._state.order) else None

    def _tell_reader(self) -> None:
        at = self._state.where.get(self._current)
        if at is None:
            self.setAccessibleDescription("No pictures yet.")
            return
        row = self._state.rows[at[0]]
        asked = question_above(row) if at[1] == 0 else None
        self.setAccessibleDescription(
            f"Picture {at[1] + 1} of {len(row.photos)}, {row.photos[at[1]].name}, "
            f"{row.specimen.number if row.specimen else f'group {at[0] + 1}'}."
            + (f" {asked.question} {asked.reason}" if asked is not None else "")
        )
