"""The table by part: the user's find with its pictures, then each taxon, with what every feature says."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QFont, QKeyEvent, QMouseEvent, QPainter, QPixmap, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from catalog_gui.domain.evidence import Standing
from catalog_gui.itemmodels.comparison import ComparisonRows
from catalog_gui.presenting.compare.rows import PartRow, rows_of
from catalog_gui.presenting.compare.state import Cell, Comparison, Crop, Line, Says
from catalog_gui.views import theme
from catalog_gui.views.bench import Bench
from catalog_gui.views.compare import sketches as drawn
from catalog_gui.views.compare.heads import Heads
from catalog_gui.views.compare.sketches import Sketches
from catalog_gui.views.compare.text_cell import CellText
from catalog_gui.views.widgets.signs import verdict_icon

PICTURE_ROW = 102
HEADING_ROW = 24
LEAST_ROW = 22
ROOM_SCALE = 1.8
"""How much larger the type of the teaching view is: 10 points come to 18 (common practice for a room)."""
ROOMY = 430
"""From this height on, px, pictures stand open and every row is wrapped unless told otherwise."""
FEATURE_WIDTH = 150
SIGN = 22
PAD = 6
CLOSED_PICTURES = "choose this row for pictures"
_SLICE = 24
"""Rows measured at a stretch, so that a long table never holds the window."""

_Index = QModelIndex | QPersistentModelIndex


class ComparisonTable(QTableView):
    """Rows are features grouped by part; columns: feature, the user's find, up to three taxa."""

    feature_wanted = Signal(str)
    about_wanted = Signal(str)
    taxon_removed = Signal(str)
    sources_changed = Signal(str)
    rows_resized = Signal(bool)

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("comparison-table")
        self.setAccessibleName("The find beside its lookalikes, by part")
        self.setAccessibleDescription(
            "Return goes to the feature on Describe. In the column of a taxon Ctrl+I tells all about it, "
            "Delete takes it away."
        )
        self.setHorizontalHeader(Heads(self))
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectItems)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.verticalHeader().hide()
        self.verticalHeader().setMinimumSectionSize(LEAST_ROW)
        self.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self._bench = bench
        self.rows = ComparisonRows(bench.reference, self)
        self.setModel(self.rows)
        self.sketches = Sketches(bench, self)
        self.sketches.ready.connect(self._on_sketch)
        bench.reference_changed.connect(self._on_reference)
        self._pictures = bench.pictures
        self._pictures.ready.connect(self._on_picture)
        self._shown_photos: set[str] = set()
        self.text = CellText()
        self.setItemDelegate(_CellPainter(self))
        self._only = "all"
        self._scale = 1.0
        self._usual_points = self.font().pointSizeF()
        self._large: bool | None = None
        self._was_large = False
        self._unmeasured: list[int] = []
        self._measure_timer = QTimer(self)
        self._measure_timer.setInterval(0)
        self._measure_timer.timeout.connect(self._measure_some)
        self.heads.about_wanted.connect(self.about_wanted)
        self.heads.removed.connect(self.taxon_removed)
        self.heads.sectionResized.connect(self._measure_later)
        self.activated.connect(self._on_activated)

    @property
    def scale(self) -> float:
        """How much larger than usual the type is."""
        return self._scale

    @property
    def heads(self) -> Heads:
        """The header with the names of the taxa."""
        header = self.horizontalHeader()
        assert isinstance(header, Heads)  # noqa: S101 - for the type checker
        return header

    def rowCount(self) -> int:
        """How many rows there are, headings of parts included."""
        return self.rows.rowCount()

    def _on_reference(self, _: object) -> None:
        self.rows.set_reference(self._bench.reference)
        self.sketches.forget_taxa()

    def show_comparison(self, comparison: Comparison, only: str, *, parting_first: bool = False) -> None:
        """`only`: 'all', 'recorded' (what the user recorded) or 'separates' (what parts the shown taxa)."""
        rows = rows_of(comparison, only, parting_first=parting_first, drawn=drawn.DRAWN)
        same_columns = [taxon.id for taxon in comparison.taxa] == [
            taxon.id for taxon in self.rows.comparison.taxa
        ] and (comparison.specimen is None) == (self.rows.comparison.specimen is None)
        keep = self.verticalScrollBar().value() if same_columns and only == self._only else 0
        chosen = self._chosen()
        self._only = only
        self.sketches.set_find(comparison.evidence, comparison.body)
        self._shown_photos = {crop.photo.id for crop in comparison.crops.values()} | {
            crop.photo.id
            for finds in comparison.earlier.values()
            for find in finds
            for crop in find.crops.values()
        }
        self.setUpdatesEnabled(False)
        self.rows.show_rows(comparison, rows)
        header = self.heads
        for column in range(self.rows.columnCount()):
            fixed = column == 0
            header.setSectionResizeMode(
                column, QHeaderView.ResizeMode.Fixed if fixed else QHeaderView.ResizeMode.Stretch
            )
        self.setColumnWidth(0, round(FEATURE_WIDTH * self._scale))
        hers = self._bench.reference.packs[1:]
        header.show_taxa(self.rows.first, comparison.taxa, comparison.severities, hers)
        self._choose(chosen)
        self._measure_all()
        while self._unmeasured and self._bottom() < keep + self.viewport().height():
            self._measure_some()
        self.setUpdatesEnabled(True)
        self.verticalScrollBar().setValue(keep)

    # --- keeping what the user had ------------------------------------------------------------------

    def _chosen(self) -> tuple[str, int]:
        index = self.currentIndex()
        if not index.isValid() or index.row() >= len(self.rows.rows):
            return "", 0
        entry = self.rows.rows[index.row()]
        key = entry.words if isinstance(entry, PartRow) else entry.feature.id
        return key, index.column()

    def _choose(self, chosen: tuple[str, int]) -> None:
        key, column = chosen
        if not key:
            return
        for row, entry in enumerate(self.rows.rows):
            here = entry.words if isinstance(entry, PartRow) else entry.feature.id
            if here == key:
                self.setCurrentIndex(self.rows.index(row, min(column, self.rows.columnCount() - 1)))
                return

    # --- how much room a row takes ---------------------------------------------------------------

    @property
    def large(self) -> bool:
        """Whether pictures stand open and every row is wrapped; else only those of the chosen row."""
        return self.height() >= ROOMY if self._large is None else self._large

    def set_large(self, large: bool) -> None:
        """Choose large or small rows, whatever the height of the window."""
        self._large = large
        self._follow_room()

    def set_for_a_room(self, on: bool) -> None:
        """Set the type so that a room can read it, or as large as everywhere else."""
        scale = ROOM_SCALE if on else 1.0
        if scale == self._scale:
            return
        self._scale = scale
        font = QFont(self.font())
        font.setPointSizeF(self._usual_points * scale)
        self.setFont(font)
        self.heads.set_for_a_room(on)
        self.setColumnWidth(0, round(FEATURE_WIDTH * scale))
        self._measure_all()

    def _follow_room(self) -> None:
        if self.large is self._was_large:
            return
        self._was_large = self.large
        self.rows_resized.emit(self.large)
        self._measure_all()
        self.viewport().update()

    def opened(self, row: int) -> bool:
        """Whether a row is shown in full; words for a room always are."""
        words = self._scale > 1 and row < len(self.rows.rows) and isinstance(self.rows.rows[row], Line)
        return self._was_large or words or row == self.currentIndex().row()

    # --- heights -------------------------------------------------------------------------------

    def _measure_later(self, *_: int) -> None:
        """A column has another width: all rows wrap anew, once the widths have settled."""
        self._unmeasured = list(range(len(self.rows.rows)))[::-1]
        self._measure_timer.start()

    def _measure_all(self) -> None:
        self._measure_later()
        self._measure_some()

    def _measure_some(self) -> None:
        for _ in range(min(_SLICE, len(self._unmeasured))):
            row = self._unmeasured.pop()
            if row < len(self.rows.rows):
                self.setRowHeight(row, self._height_of(row))
        if not self._unmeasured:
            self._measure_timer.stop()

    def _bottom(self) -> int:
        row = self._unmeasured[-1] if self._unmeasured else len(self.rows.rows)
        return self.rowViewportPosition(row) + self.verticalScrollBar().value() if row else 0

    def _height_of(self, row: int) -> int:
        entry = self.rows.rows[row]
        if isinstance(entry, PartRow):
            tall = PICTURE_ROW if entry.pictures and self.opened(row) else HEADING_ROW
            return round(tall * self._scale)
        tallest = round(LEAST_ROW * self._scale)
        if not self.opened(row):
            return tallest
        for column in range(self.rows.columnCount()):
            width = self.columnWidth(column) - PAD - (SIGN if column else 2 * PAD)
            cell = self.rows.cell_at(row, column)
            bold = len(cell.verdict) if cell is not None else 0
            height = self.text.height(self.rows.words_at(row, column), bold, max(width, 60), self.font())
            tallest = max(tallest, height + 6)
        return tallest

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The columns stretch, so the words wrap anew."""
        super().resizeEvent(event)
        self.heads.place()
        self._follow_room()

    # --- pictures ------------------------------------------------------------------------------

    def _on_picture(self, photo_id: str) -> None:
        if photo_id in self._shown_photos:
            self.viewport().update()

    def _on_sketch(self) -> None:
        self.viewport().update()

    def crop(self, crop: Crop, width: int, height: int) -> QPixmap | None:
        """A piece of one of the user's pictures, fitted; None until it is decoded."""
        ratio = self.devicePixelRatioF()
        fit = (round(width * ratio), round(height * ratio))
        pixmap = self._pictures.pixmap(crop.photo, 480, crop.box, fit=fit)
        if pixmap is None:
            return None
        shown = QPixmap(pixmap)
        shown.setDevicePixelRatio(max(pixmap.width() / width, pixmap.height() / height, 0.01))
        return shown

    # --- what the user does -------------------------------------------------------------------------

    def currentChanged(self, current: _Index, previous: _Index) -> None:
        """Say where the chosen row is written."""
        super().currentChanged(current, previous)
        if current.row() != previous.row() and not self._was_large:
            for row in (previous.row(), current.row()):
                if 0 <= row < len(self.rows.rows):
                    self.setRowHeight(row, self._height_of(row))
        self.sources_changed.emit(self._sources(current.row()) if current.isValid() else "")

    def _sources(self, row: int) -> str:
        if row >= len(self.rows.rows):
            return ""
        entry = self.rows.rows[row]
        if isinstance(entry, PartRow):
            return ""
        by_source: dict[str, list[str]] = {}
        for taxon, cell in zip(self.rows.comparison.taxa, entry.cells, strict=True):
            words = self.rows.sources_words(cell)
            if words:
                by_source.setdefault(words.split(": ", 1)[1], []).append(taxon.name)
        if len(by_source) == 1:
            return f"{entry.feature.name}: {next(iter(by_source))}"
        return f"{entry.feature.name}: " + " | ".join(
            f"{', '.join(names)}: {words}" for words, names in by_source.items()
        )

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Ctrl+I and Delete work on the column of a taxon; Return goes to the feature."""
        taxon = self.rows.taxon_at(self.currentIndex().column())
        if taxon is not None and event.key() == Qt.Key.Key_Delete:
            self.taxon_removed.emit(taxon.id)
        elif (
            taxon is not None
            and event.key() == Qt.Key.Key_I
            and event.modifiers() & Qt.KeyboardModifier.ControlModifier
        ):
            self.about_wanted.emit(taxon.id)
        elif event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self._on_activated(self.currentIndex())
        else:
            super().keyPressEvent(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """A double click goes to the feature."""
        self._on_activated(self.indexAt(event.position().toPoint()))

    def _on_activated(self, index: _Index) -> None:
        if index.isValid() and index.row() < len(self.rows.rows):
            entry = self.rows.rows[index.row()]
            if isinstance(entry, Line):
                self.feature_wanted.emit(entry.feature.id)


class _CellPainter(QStyledItemDelegate):
    """Paints pictures in the headings of parts, and sign and words in the rows."""

    def __init__(self, table: ComparisonTable) -> None:
        super().__init__(table)
        self._table = table

    def sizeHint(self, option: QStyleOptionViewItem, index: _Index) -> QSize:
        """Heights are the table's business."""
        return QSize(80, LEAST_ROW)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: _Index) -> None:
        """Ground, then what the row is made of."""
        entry = self._table.rows.rows[index.row()]
        box: QRect = option.rect
        state = option.state
        t = theme.tones()
        painter.save()
        painter.setClipRect(box)
        current = self._table.currentIndex()
        if isinstance(entry, PartRow):
            painter.fillRect(box, QColor(t.ground))
            self._paint_part(painter, box, entry, index.column(), index.row())
        else:
            if index.row() == current.row():
                painter.fillRect(box, QColor(t.chosen))
            self._paint_line(painter, box, entry, index.column(), index.row())
            painter.setPen(QColor(t.line))
            painter.drawLine(box.bottomLeft(), box.bottomRight())
        painter.setPen(QColor(t.line))
        painter.drawLine(box.topRight(), box.bottomRight())
        if state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QColor(t.moss))
            painter.drawRect(box.adjusted(0, 0, -1, -1))
        painter.restore()

    def _paint_part(self, painter: QPainter, box: QRect, entry: PartRow, column: int, row: int) -> None:
        t, rows = theme.tones(), self._table.rows
        inner = box.adjusted(PAD, 4, -PAD, -4)
        opened = self._table.opened(row)
        if column == 0:
            font = QFont(theme.SERIF)
            font.setBold(True)
            font.setPointSizeF(11 * min(self._table.scale, 1.3))
            painter.setFont(font)
            painter.setPen(QColor(t.bark))
            painter.drawText(
                inner if opened else box.adjusted(PAD, 0, -PAD, 0),
                int(Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap)
                | int(Qt.AlignmentFlag.AlignTop if opened else Qt.AlignmentFlag.AlignVCenter),
                entry.words,
            )
            return
        if not entry.pictures:
            return
        if not opened:
            words = (rows.words_at(row, column) or CLOSED_PICTURES) if column < rows.first else ""
            painter.setPen(QColor(t.faded))
            painter.drawText(box.adjusted(SIGN, 0, -PAD, 0), int(Qt.AlignmentFlag.AlignVCenter), words)
            return
        left = inner.left()
        if column < rows.first:
            crop = rows.comparison.crops.get(entry.part)
            if crop is not None:
                left += self._paint_crop(painter, inner, left, crop, min(130, inner.width() * 11 // 20)) + 6
            left += self._paint_sketch(painter, inner, left, self._table.sketches.of_find(entry.part)) + 6
            words = rows.words_at(row, column)
            if words and left < inner.right():
                painter.setFont(self._table.font())
                painter.setPen(QColor(t.faded))
                painter.drawText(
                    QRect(left, inner.top(), inner.right() - left, inner.height()),
                    int(Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextWordWrap),
                    words,
                )
            return
        taxon = rows.taxon_at(column)
        if taxon is None:
            return
        if entry.part in drawn.DRAWN:
            left += (
                self._paint_sketch(painter, inner, left, self._table.sketches.of_taxon(taxon, entry.part)) + 6
            )
        for find in rows.comparison.earlier.get(taxon.id, ()):
            crop = find.crops.get(entry.part)
            if crop is not None and left + 60 < inner.right():
                left += self._paint_crop(painter, inner, left, crop, 110, caption=find.number) + 6

    def _paint_sketch(self, painter: QPainter, inner: QRect, left: int, sketch: QPixmap | None) -> int:
        room = inner.right() - left
        if sketch is None or room < 40:
            return 0
        share = min(self._table.scale, room / drawn.WIDTH)
        width, height = round(drawn.WIDTH * share), round(drawn.HEIGHT * share)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.drawPixmap(QRect(left, inner.top() + (inner.height() - height) // 2, width, height), sketch)
        return width

    def _paint_crop(
        self, painter: QPainter, inner: QRect, left: int, crop: Crop, width: int, *, caption: str = ""
    ) -> int:
        width = max(30, min(width, inner.right() - left))
        font = QFont(self._table.font())
        font.setPointSizeF(max(font.pointSizeF() / self._table.scale - 1.5, 6.0))
        height = inner.height() - (15 if caption else 0)
        pixmap = self._table.crop(crop, width, height)
        if pixmap is None:
            return width
        size = pixmap.deviceIndependentSize()
        painter.drawPixmap(left, inner.top() + round((height - size.height()) / 2), pixmap)
        if caption:
            painter.setFont(font)
            painter.setPen(QColor(theme.tones().faded))
            painter.drawText(QRectF(left, inner.bottom() - 14, 110, 15), caption)
        return round(size.width())

    def _paint_line(self, painter: QPainter, box: QRect, entry: Line, column: int, row: int) -> None:
        t, table = theme.tones(), self._table
        words = table.rows.words_at(row, column)
        font = table.font()
        paint = table.text.paint if table.opened(row) else table.text.paint_line
        if column == 0:
            paint(painter, box.adjusted(2 * PAD, 2, -PAD, 0), words, 0, font, QColor(t.ink))
            return
        inner = box.adjusted(SIGN, 2, -PAD, 0)
        cell = table.rows.cell_at(row, column)
        if cell is None:
            quiet = entry.standing in {Standing.NOT_LOOKED_AT, Standing.GONE}
            if quiet:
                verdict_icon(entry.standing.value).paint(painter, _sign_box(box))
            bold = 0 if quiet else len(words)
            paint(painter, inner, words, bold, font, QColor(t.faded if quiet else t.ink))
            return
        _paint_sign(painter, box, cell)
        faded = cell.says in {Says.NOTHING_WRITTEN, Says.NOT_LOOKED_AT, Says.GONE} or (
            cell.says is Says.DOES_NOT_SEPARATE
        )
        paint(painter, inner, words, len(cell.verdict), font, QColor(t.faded if faded else t.ink))


def _sign_box(box: QRect) -> QRect:
    return QRect(box.left() + 4, box.top() + 3, 16, 16)


def _paint_sign(painter: QPainter, box: QRect, cell: Cell) -> None:
    if cell.says is not Says.WRITTEN:
        verdict_icon(cell.says.value).paint(painter, _sign_box(box))
