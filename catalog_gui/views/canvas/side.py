"""Shows beside the picture what marks show, what they measure, and the list of them."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QItemSelectionModel, QSize, Qt, Signal
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QCompleter,
    QDoubleSpinBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.annotation.colour import PatchColour
from catalog_gui.annotation.marks import Mark
from catalog_gui.domain.feature import Vocabulary
from catalog_gui.presenting.canvas.links import PARTS, feature_choices
from catalog_gui.presenting.canvas.look import COLOURS, CONTOUR
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label

_ID = Qt.ItemDataRole.UserRole


class SideColumn(QFrame):
    """Part and feature for new marks, scale, figures, marks."""

    part_chosen = Signal(str)
    feature_chosen = Signal(str)
    tilt_changed = Signal(float)
    marks_chosen = Signal(object)
    note_wanted = Signal()
    spores_wanted = Signal()
    copy_wanted = Signal()

    def __init__(self, vocabulary: Vocabulary, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._vocabulary = vocabulary
        self._quiet = False
        self.setObjectName("canvas-side")
        self.setAccessibleName("Marks and measures")
        self.setProperty("role", "sheet")
        self.setFixedWidth(274)
        self.part = QComboBox()
        self.part.setObjectName("canvas-part")
        self.part.setAccessibleName("Part that new marks show")
        self.part.setToolTip("The part that new marks show (W)")
        for key, words in PARTS:
            self.part.addItem(words, key)
        self.feature = QComboBox()
        self.feature.setObjectName("canvas-feature")
        self.feature.setAccessibleName("Feature that new marks show")
        self.feature.setToolTip("The feature that new marks show: type a few letters (V)")
        self.feature.setEditable(True)
        self.feature.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        completer = self.feature.completer()
        if completer is not None:
            completer.setFilterMode(Qt.MatchFlag.MatchContains)
            completer.setCompletionMode(QCompleter.CompletionMode.PopupCompletion)
        self.scale = label("", "faded", name="canvas-scale-words", wrap=True)
        self.tilt = QDoubleSpinBox()
        self.tilt.setObjectName("canvas-tilt")
        self.tilt.setAccessibleName("How far the find may be tilted, in degrees")
        self.tilt.setToolTip(
            "How far the find may be tilted towards the camera: a bound, stated beside figures"
        )
        self.tilt.setRange(0, 60)
        self.tilt.setDecimals(0)
        self.tilt.setSuffix("°")
        self.tilt.setKeyboardTracking(False)
        self.figure = label("", name="canvas-figure", wrap=True)
        self.figure.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.swatch = QLabel()
        self.swatch.setObjectName("canvas-swatch")
        self.swatch.setAccessibleName("Colour of the patch")
        self.swatch.hide()
        self.note = button(
            "canvas-note",
            "Note as evidence (E)",
            "Note the measure as evidence",
            tip="Write the chosen measure down; several chosen ones become a range (E)",
            main=True,
        )
        self.list = QListWidget()
        self.list.setObjectName("canvas-marks")
        self.list.setAccessibleName("Marks on this picture")
        self.list.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.list.setIconSize(QSize(14, 14))
        self.list.setUniformItemSizes(True)
        self.none = label(
            "No marks yet. Take a tool on the left, or press its letter, and draw on the picture.",
            "faded",
            name="canvas-no-marks",
            wrap=True,
        )
        self.copy = button(
            "canvas-copy",
            "Copy to … (D)",
            "Copy marks to another picture",
            tip="Lay the chosen marks, or all, over another picture of this specimen (D)",
        )
        self.spores = button(
            "canvas-spores",
            "Spores … (Q)",
            "Spore statistics",
            tip="Spore sizes from lines on this picture, or typed (Q)",
        )
        self._lay_out()
        self._connect()
        self.show_features("")

    def _lay_out(self) -> None:
        tilted = QHBoxLayout()
        words = label("Tilted by up to")
        words.setBuddy(self.tilt)
        tilted.addWidget(words)
        tilted.addWidget(self.tilt)
        tilted.addStretch(1)
        buttons = QHBoxLayout()
        buttons.addWidget(self.copy)
        buttons.addWidget(self.spores)
        column = QVBoxLayout(self)
        column.setContentsMargins(9, 6, 9, 7)
        column.setSpacing(4)
        column.addWidget(label("New marks show", "heading"))
        column.addWidget(self.part)
        column.addWidget(self.feature)
        column.addWidget(label("Measure", "heading"))
        column.addWidget(self.scale)
        column.addLayout(tilted)
        column.addWidget(self.swatch)
        column.addWidget(self.figure)
        column.addWidget(self.note)
        column.addWidget(label("On this picture", "heading"))
        column.addWidget(self.none)
        column.addWidget(self.list, 1)
        column.addStretch(0)
        column.addLayout(buttons)

    def _connect(self) -> None:
        self.part.activated.connect(lambda _: self.part_chosen.emit(self.part.currentData()))
        self.feature.activated.connect(lambda _: self.feature_chosen.emit(self.feature.currentData() or ""))
        self.tilt.valueChanged.connect(self.tilt_changed)
        self.list.itemSelectionChanged.connect(self._on_rows)
        self.note.clicked.connect(self.note_wanted)
        self.spores.clicked.connect(self.spores_wanted)
        self.copy.clicked.connect(self.copy_wanted)

    def show_part(self, part: str) -> None:
        """Say which part new marks show."""
        self.part.setCurrentIndex(max(0, self.part.findData(part)))
        self.show_features(part)

    def show_tilt(self, degrees: float) -> None:
        """The bound that holds for this picture."""
        self.tilt.blockSignals(True)
        self.tilt.setValue(degrees)
        self.tilt.blockSignals(False)

    def show_features(self, part: str, chosen: str = "") -> None:
        """Offer the features, those of the part first."""
        self.feature.blockSignals(True)
        self.feature.clear()
        self.feature.addItem("no feature in particular", "")
        for choice in feature_choices(self._vocabulary, part):
            self.feature.addItem(choice.words, choice.feature)
        self.feature.setCurrentIndex(max(0, self.feature.findData(chosen)))
        self.feature.blockSignals(False)

    def ask_feature(self) -> None:
        """Be ready for a few letters of a feature."""
        self.feature.setFocus()
        line = self.feature.lineEdit()
        if line is not None:
            line.selectAll()

    def show_marks(self, rows: Sequence[tuple[Mark, str]], chosen: Sequence[str]) -> None:
        """The marks of the picture with their words."""
        self._quiet = True
        focus = self.list.currentItem().data(_ID) if self.list.currentItem() is not None else ""
        self.list.clear()
        for mark, words in rows:
            item = QListWidgetItem(_square(COLOURS[mark.kind]), words)
            item.setData(_ID, mark.id)
            item.setToolTip(words)
            self.list.addItem(item)
            item.setSelected(mark.id in chosen)
            if mark.id == focus:
                self.list.setCurrentItem(item, QItemSelectionModel.SelectionFlag.NoUpdate)
        self.none.setVisible(not rows)
        self.list.setVisible(bool(rows))
        self._quiet = False

    def show_chosen(self, chosen: Sequence[str]) -> None:
        """Mark the rows of the chosen marks."""
        self._quiet = True
        for row in range(self.list.count()):
            item = self.list.item(row)
            item.setSelected(item.data(_ID) in chosen)
            if chosen and item.data(_ID) == chosen[-1]:
                self.list.scrollToItem(item)
        self._quiet = False

    def show_colour(self, colour: PatchColour | None) -> None:
        """A swatch of the colour that was taken, or none."""
        self.swatch.setVisible(colour is not None)
        if colour is None:
            return
        picture = QPixmap(250, 22)
        picture.fill(QColor(colour.hex))
        painter = QPainter(picture)
        painter.setPen(QColor(CONTOUR))
        painter.drawRect(0, 0, 249, 21)
        painter.end()
        self.swatch.setPixmap(picture)

    def _on_rows(self) -> None:
        if not self._quiet:
            self.marks_chosen.emit(tuple(item.data(_ID) for item in self.list.selectedItems()))


def _square(colour: str) -> QIcon:
    picture = QPixmap(14, 14)
    picture.fill(QColor(CONTOUR))
    painter = QPainter(picture)
    painter.fillRect(1, 1, 12, 12, QColor(colour))
    painter.end()
    return QIcon(picture)
