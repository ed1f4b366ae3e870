"""Counts spores: from lines on a micrograph or from typed figures, printed as the trade prints them."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QFormLayout,
    QHBoxLayout,
    QPlainTextEdit,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.annotation.marks import MarkKind
from catalog_gui.annotation.measure import Measurement
from catalog_gui.annotation.spore_input import pairs_from_lines, read_spores
from catalog_gui.annotation.spores import SporeStatistics, spore_statistics
from catalog_gui.domain import vocabulary_roles as roles
from catalog_gui.domain.problem import BadInput
from catalog_gui.views.canvas.spore_plot import SporePlot
from catalog_gui.views.widgets.labels import label

LENGTH, WIDTH, QUOTIENT = roles.SPORE_LENGTH, roles.SPORE_WIDTH, roles.SPORE_Q
_LARGEST_UM = 200.0  # a line longer than this was not drawn across a spore


class SporeDialog(QDialog):
    """Asks for spores and shows what they come to. `noted` hands lengths, widths and quotients over."""

    noted = Signal(str, float, float, str)  # feature, low, high, unit

    def __init__(self, lines: Sequence[Measurement], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lines = [one for one in lines if one.mark.kind is MarkKind.LINE]
        self.statistics: SporeStatistics | None = None
        self.setObjectName("spore-dialog")
        self.setWindowTitle("Spores")
        self.typed = QPlainTextEdit()
        self.typed.setObjectName("spore-typed")
        self.typed.setAccessibleName("Spores, one a line")
        self.typed.setPlaceholderText("One spore a line, in µm:\n9.5 x 6.2\n10.1 x 6.4")
        self.typed.setTabChangesFocus(True)
        self.typed.setMinimumWidth(190)
        self.take = QPushButton("Take the lines on this picture")
        self.take.setObjectName("spore-take")
        self.take.setAccessibleName("Take the lines on this picture")
        self.take.setToolTip("Two crossing lines, or two lines with the same label, are one spore")
        self.bodies = self._count("spore-bodies", "Fruit bodies")
        self.collections = self._count("spore-collections", "Collections")
        self.form = QComboBox()
        self.form.setObjectName("spore-style")
        self.form.setAccessibleName("How it is printed")
        self.form.addItems(["percentiles and extremes", "mean in the middle", "as for polypores"])
        self.result_words = label("", name="spore-result", wrap=True)
        self.result_words.setTextInteractionFlags(
            self.result_words.textInteractionFlags().TextSelectableByMouse
            | self.result_words.textInteractionFlags().TextSelectableByKeyboard
        )
        self.result_words.setMinimumHeight(58)
        self.more = label("", "faded", name="spore-more", wrap=True)
        self.trouble = label("", "trouble", name="spore-trouble", wrap=True)
        self.plot = SporePlot()
        self.note = QPushButton("Note as evidence")
        self.note.setObjectName("spore-note")
        self.note.setAccessibleName("Note spore length, width and quotient as evidence")
        self.note.setToolTip("Length, width and Q, from the 5th to the 95th percentile (Ctrl+Return)")
        self.note.setProperty("role", "main")
        self.note.setShortcut("Ctrl+Return")
        self.copy = QPushButton("Copy the text")
        self.copy.setObjectName("spore-copy")
        self.copy.setAccessibleName("Copy the text")
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(120)
        self._later.timeout.connect(self.count)
        self._lay_out()
        self.typed.textChanged.connect(self._later.start)
        self.take.clicked.connect(self.take_lines)
        self.bodies.valueChanged.connect(self.count)
        self.collections.valueChanged.connect(self.count)
        self.form.currentIndexChanged.connect(self._print)
        self.note.clicked.connect(self.note_all)
        self.copy.clicked.connect(lambda: QGuiApplication.clipboard().setText(self.text()))
        self.count()
        if self._lines:
            self.take_lines()

    def _count(self, name: str, words: str) -> QSpinBox:
        box = QSpinBox()
        box.setObjectName(name)
        box.setAccessibleName(words)
        box.setRange(1, 999)
        return box

    def _lay_out(self) -> None:
        left = QVBoxLayout()
        left.addWidget(label("Lengths and widths", "heading"))
        left.addWidget(self.typed, 1)
        left.addWidget(self.take)
        form = QFormLayout()
        form.addRow("Fruit bodies", self.bodies)
        form.addRow("Collections", self.collections)
        left.addLayout(form)
        right = QVBoxLayout()
        right.addWidget(self.plot, 1)
        top = QHBoxLayout()
        top.addLayout(left, 2)
        top.addLayout(right, 3)
        buttons = QHBoxLayout()
        buttons.addWidget(self.form)
        buttons.addStretch(1)
        close = QPushButton("Close")
        close.setObjectName("spore-close")
        close.setAccessibleName("Close")
        close.clicked.connect(self.reject)
        for button in (self.copy, self.note, close):
            button.setAutoDefault(False)
            buttons.addWidget(button)
        self.take.setAutoDefault(False)
        column = QVBoxLayout(self)
        column.addLayout(top, 1)
        column.addWidget(self.result_words)
        column.addWidget(self.more)
        column.addWidget(self.trouble)
        column.addLayout(buttons)
        self.resize(720, 540)

    def take_lines(self) -> None:
        """Spores from the lines on the picture, added to what was typed."""
        short = [one for one in self._lines if one.real is not None and one.real.value * 1000 <= _LARGEST_UM]
        without = [one for one in self._lines if one.real is None]
        try:
            found = pairs_from_lines(short or without)
        except BadInput as problem:
            self.trouble.setText(problem.reason)
            return
        if not found.pairs:
            self.trouble.setText("No two lines on this picture cross, or bear the same label.")
            return
        words = "\n".join(f"{length:.2f} x {width:.2f}" for length, width in found.pairs)
        before = self.typed.toPlainText().strip()
        if words not in before:
            self.typed.setPlainText(f"{before}\n{words}".strip())
        self.count()
        if found.alone:
            many = len(found.alone)
            noun = "line has" if many == 1 else "lines have"
            self.trouble.setText(f"{many} {noun} no partner and was left out.")

    def count(self) -> None:
        """Read what stands there and show what it comes to."""
        self._later.stop()
        self.statistics = None
        try:
            pairs = read_spores(self.typed.toPlainText())
            if pairs:
                self.statistics = spore_statistics(
                    pairs, fruit_bodies=self.bodies.value(), collections=self.collections.value()
                )
            self.trouble.setText("")
        except BadInput as problem:
            self.trouble.setText(problem.reason)
            pairs = ()
        self.plot.show_pairs(pairs)
        self.note.setEnabled(self.statistics is not None)
        self.copy.setEnabled(self.statistics is not None)
        self._print()

    def text(self) -> str:
        """The statistics in the chosen form, '' while there are none."""
        found = self.statistics
        if found is None:
            return ""
        match self.form.currentIndex():
            case 1:
                return found.mean_in_the_middle()
            case 2:
                return found.polypore_form()
            case _:
                return found.text()

    def _print(self) -> None:
        found = self.statistics
        self.result_words.setText(self.text() or "no spores yet")
        if found is None:
            self.more.setText("")
            return
        told = [f"Shape by Q: {found.shape}."]
        if found.length.sd is not None and found.width.sd is not None:
            told.append(f"s(L) = {found.length.sd:.2f} µm, s(W) = {found.width.sd:.2f} µm.")
        if found.length.interval is not None:
            low, high = found.length.interval
            told.append(f"95 % interval of the mean length {low:.2f}–{high:.2f} µm.")
        self.more.setText(" ".join([*told, *found.warnings]))

    def note_all(self) -> None:
        """Hand length, width and quotient over, from the 5th to the 95th percentile."""
        found = self.statistics
        if found is None:
            return
        for feature, summary, unit, places in (
            (LENGTH, found.length, "µm", 1),
            (WIDTH, found.width, "µm", 1),
            (QUOTIENT, found.q, "ratio", 2),
        ):
            self.noted.emit(feature, round(summary.p5, places), round(summary.p95, places), unit)
        self.accept()
