"""The table by part: her find, then each taxon, with what every feature says in words and a sign."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QBrush, QColor, QFont, QPixmap
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableWidget, QTableWidgetItem, QWidget

from catalog_gui.domain.evidence import Standing
from catalog_gui.domain.feature import Part
from catalog_gui.views import theme
from catalog_gui.views.compare.state import Cell, Comparison, Line, Says
from catalog_gui.views.widgets.pictures import PictureSource
from catalog_gui.views.widgets.signs import verdict_icon

PART_NAMES = {
    Part.WHOLE: "Whole fruit body",
    Part.CAP: "Cap",
    Part.GILLS: "Gills, pores, spines or folds",
    Part.STEM: "Stem",
    Part.RING: "Ring",
    Part.BASE: "Base",
    Part.FLESH: "Flesh",
    Part.PRINT: "Spore print",
    Part.SMELL: "Smell",
    Part.TASTE: "Taste",
    Part.REACTION: "Reactions",
    Part.MICRO: "Microscope",
    Part.PLACE: "Place of growth",
    Part.SEASON: "Season",
}
CROP_HEIGHT = 92


class ComparisonTable(QTableWidget):
    """Rows are features grouped by part; columns: feature, her find, up to three taxa."""

    feature_wanted = Signal(str)

    def __init__(self, pictures: PictureSource, parent: QWidget | None = None) -> None:
        super().__init__(0, 2, parent)
        self.setObjectName("comparison-table")
        self.setAccessibleName("The find beside its lookalikes, by part")
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setTabKeyNavigation(False)
        self.setWordWrap(True)
        self.setShowGrid(False)
        self.setIconSize(QSize(16, 16))
        self.verticalHeader().hide()
        self.verticalHeader().setMinimumSectionSize(24)
        self.horizontalHeader().setHighlightSections(False)
        self.horizontalHeader().setDefaultAlignment(
            Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        )
        self._pictures = pictures
        pictures.ready.connect(self._on_ready)
        self._comparison = Comparison()
        self._only = "all"
        self._crop_cells: dict[str, list[tuple[int, Part]]] = {}
        self.cellActivated.connect(self._on_activated)
        self.cellDoubleClicked.connect(self._on_activated)
        self._features: dict[int, str] = {}

    def show_comparison(self, comparison: Comparison, only: str) -> None:
        """`only`: 'all', 'recorded' (what she recorded) or 'separates' (what parts the shown taxa)."""
        keep = self.verticalScrollBar().value()
        self._comparison, self._only = comparison, only
        teaching = comparison.specimen is None
        lines = [line for line in comparison.lines if self._wanted(line)]
        rows: list[Line | Part] = []
        part: Part | None = None
        for line in sorted(lines, key=lambda one: list(Part).index(one.feature.part)):
            if line.feature.part is not part:
                part = line.feature.part
                rows.append(part)
            rows.append(line)
        self.setUpdatesEnabled(False)
        self.clearSpans()
        self.clearContents()
        first = 1 if teaching else 2
        self.setColumnCount(first + len(comparison.taxa))
        self.setRowCount(len(rows))
        heads = ["Feature"] + (
            [] if teaching else [comparison.specimen.number if comparison.specimen else ""]
        )
        heads += [taxon.name + (f"\n{taxon.english}" if taxon.english else "") for taxon in comparison.taxa]
        self.setHorizontalHeaderLabels(heads)
        header = self.horizontalHeader()
        for column in range(self.columnCount()):
            item = self.horizontalHeaderItem(column)
            if item is not None and column >= first:
                font = QFont(theme.SERIF)
                font.setItalic(True)
                font.setBold(True)
                item.setFont(font)
            header.setSectionResizeMode(
                column, QHeaderView.ResizeMode.Fixed if column == 0 else QHeaderView.ResizeMode.Stretch
            )
        self.setColumnWidth(0, 172)
        self._crop_cells, self._features = {}, {}
        for row, entry in enumerate(rows):
            if isinstance(entry, Part):
                self._fill_part(row, entry, first)
            else:
                self._fill_line(row, entry, teaching=teaching)
        self.resizeRowsToContents()
        for row, entry in enumerate(rows):
            if isinstance(entry, Part) and entry in comparison.crops:
                self.setRowHeight(row, CROP_HEIGHT + 8)
        self.setUpdatesEnabled(True)
        self.verticalScrollBar().setValue(keep)

    def _wanted(self, line: Line) -> bool:
        if self._only == "recorded":
            return line.standing is not Standing.NOT_LOOKED_AT
        if self._only == "separates":
            return line.separates
        return True

    def _fill_part(self, row: int, part: Part, first: int) -> None:
        t = theme.tones()
        item = QTableWidgetItem(PART_NAMES[part])
        font = QFont(theme.SERIF)
        font.setBold(True)
        font.setPointSizeF(11)
        item.setFont(font)
        item.setForeground(QBrush(QColor(t.bark)))
        item.setFlags(Qt.ItemFlag.ItemIsEnabled)
        crop = self._comparison.crops.get(part)
        for column in range(self.columnCount()):
            cell = item if column == 0 else QTableWidgetItem("")
            cell.setBackground(QBrush(QColor(t.ground)))
            cell.setFlags(Qt.ItemFlag.ItemIsEnabled)
            self.setItem(row, column, cell)
        if crop is not None and first == 2:
            self._crop_cells.setdefault(crop.photo.id, []).append((row, part))
            self._paint_crop(row, part)
        elif first == 2 and part in (Part.CAP, Part.GILLS, Part.STEM, Part.BASE):
            missing = self.item(row, 1)
            if missing is not None:
                missing.setText("no picture of it")
                missing.setForeground(QBrush(QColor(t.faded)))

    def _paint_crop(self, row: int, part: Part) -> None:
        crop = self._comparison.crops.get(part)
        item = self.item(row, 1)
        if crop is None or item is None:
            return
        pixmap = self._pictures.pixmap(crop.photo, 320, crop.box)
        if pixmap is not None:
            small: QPixmap = pixmap.scaled(
                220,
                CROP_HEIGHT,
                Qt.AspectRatioMode.KeepAspectRatio,
                Qt.TransformationMode.SmoothTransformation,
            )
            item.setData(Qt.ItemDataRole.DecorationRole, small)
            item.setToolTip(f"{PART_NAMES[part]}: {crop.photo.name}")

    def _on_ready(self, photo_id: str) -> None:
        for row, part in self._crop_cells.get(photo_id, ()):
            self._paint_crop(row, part)

    def _fill_line(self, row: int, line: Line, *, teaching: bool) -> None:
        t = theme.tones()
        self._features[row] = line.feature.id
        name = QTableWidgetItem(line.feature.name)
        name.setToolTip(line.feature.gloss)
        self.setItem(row, 0, name)
        column = 1
        if not teaching:
            seen = line.seen or line.standing.value
            item = QTableWidgetItem(seen)
            if line.standing is Standing.NOT_LOOKED_AT:
                item.setForeground(QBrush(QColor(t.faded)))
                item.setIcon(verdict_icon("not looked at"))
            elif line.standing is Standing.SEEN:
                font = QFont(self.font())
                font.setBold(True)
                item.setFont(font)
            self.setItem(row, 1, item)
            column = 2
        for cell in line.cells:
            self.setItem(row, column, self._cell_item(cell, line))
            column += 1

    def _cell_item(self, cell: Cell, line: Line) -> QTableWidgetItem:
        t = theme.tones()
        says = cell.says
        if len(line.cells) > 1 and not line.separates and says in (Says.AGREES, Says.WRITTEN, Says.AGAINST):
            says = Says.DOES_NOT_SEPARATE
        parts = [part for part in (says.value, cell.written) if part]
        text = ": ".join(parts) if says != Says.NOTHING_WRITTEN else says.value
        if cell.little:
            text += f" ({cell.little})"
        item = QTableWidgetItem(text)
        item.setIcon(verdict_icon(says.value))
        if says in (Says.NOT_LOOKED_AT, Says.GONE, Says.NOTHING_WRITTEN):
            item.setForeground(QBrush(QColor(t.faded)))
        item.setToolTip(
            f"{line.feature.name}: {text}" + (f"\nSources: {cell.sources}" if cell.sources else "")
        )
        return item

    def _on_activated(self, row: int, _column: int) -> None:
        feature = self._features.get(row)
        if feature:
            self.feature_wanted.emit(feature)
