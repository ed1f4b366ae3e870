"""The hazard banner: every dangerous taxon not excluded, worst first. It cannot be closed or scrolled away."""

from __future__ import annotations

from itertools import groupby

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.caution import CAUTION, CAUTION_NO_BANNER
from catalog_gui.lookalikes.reference import Severity
from catalog_gui.settings import Preferences
from catalog_gui.views import theme
from catalog_gui.views.compare.state import Comparison, HazardLine
from catalog_gui.views.page import label
from catalog_gui.views.widgets.signs import SIGNAL_WORDS, paint_hazard, signal_colours

ORDER = (Severity.FATAL, Severity.SERIOUS, Severity.UNPLEASANT)
MEANING = {
    Severity.FATAL: "can kill",
    Severity.SERIOUS: "can do serious harm",
    Severity.UNPLEASANT: "can make ill",
}


class SignalWord(QWidget):
    """A signal word on its colour with the sign before it."""

    def __init__(self, severity: Severity, parent: QWidget | None = None, *, large: bool = False) -> None:
        super().__init__(parent)
        self._severity = severity
        self._large = large
        self.setAccessibleName(SIGNAL_WORDS[severity])
        self.setFixedSize(QSize(140, 40) if large else QSize(92, 21))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Colour, sign, word."""
        ground, text = signal_colours(self._severity)
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(ground))
        height = self.height()
        paint_hazard(painter, QRectF(5, 2, height - 4, height - 4), text)
        font = QFont(self.font())
        font.setBold(True)
        font.setPointSizeF(font.pointSizeF() + (3 if self._large else -1.2))
        painter.setFont(font)
        painter.setPen(QColor(text))
        painter.drawText(
            QRectF(height + 6, 0, self.width() - height - 6, height),
            int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft),
            SIGNAL_WORDS[self._severity],
        )


class HazardBanner(QFrame):
    """Names the close ones in full, folds the rest by group with a count, hides nothing."""

    taxon_wanted = Signal(str)
    preferences_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("hazard-banner")
        self.setAccessibleName("Dangerous taxa that are not excluded")
        self._unfolded: set[str] = set()
        self._comparison = Comparison()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        top = QHBoxLayout()
        top.setContentsMargins(0, 0, 10, 0)
        self._word = SignalWord(Severity.FATAL, self, large=True)
        top.addWidget(self._word)
        self._headline = label("", name="hazard-headline")
        self._headline.setWordWrap(True)
        font = QFont(self.font())
        font.setBold(True)
        font.setPointSizeF(font.pointSizeF() + 1.5)
        self._headline.setFont(font)
        top.addWidget(self._headline, 1)
        self._emergency = label("", name="hazard-emergency")
        self._emergency.setTextFormat(Qt.TextFormat.PlainText)
        self._emergency.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        top.addWidget(self._emergency)
        self._set_number = QPushButton("Set the numbers…")
        self._set_number.setObjectName("hazard-set-numbers")
        self._set_number.setAccessibleName("Set the emergency numbers")
        self._set_number.clicked.connect(self.preferences_wanted)
        top.addWidget(self._set_number)
        column.addLayout(top)
        self._area = QScrollArea()
        self._area.setObjectName("hazard-list")
        self._area.setAccessibleName("List of dangerous taxa not excluded")
        self._area.setWidgetResizable(True)
        self._area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        column.addWidget(self._area, 1)
        self._caution = label(CAUTION, "caution", name="hazard-caution", wrap=True)
        column.addWidget(self._caution)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_comparison(self, comparison: Comparison, preferences: Preferences) -> None:
        """Show what the weighing does not exclude."""
        self._comparison = comparison
        hazards = comparison.hazards
        worst = min((ORDER.index(h.severity) for h in hazards), default=0)
        self._word._severity = ORDER[worst]
        self._word.setVisible(comparison.specimen is not None and bool(hazards))
        self._word.setAccessibleName(SIGNAL_WORDS[ORDER[worst]])
        self._headline.setText(headline(comparison))
        number, service = preferences.emergency_number, preferences.poison_service
        if number or service:
            parts = ([f"Emergency {number}"] if number else []) + (
                [f"Poison service {service}"] if service else []
            )
            self._emergency.setText("   ".join(parts))
        else:
            self._emergency.setText("No emergency number is set.")
        self._set_number.setVisible(not (number and service))
        t = theme.tones()
        ground, _ = signal_colours(ORDER[worst])
        edge = ground if hazards else t.edge
        self.setStyleSheet(
            f"#hazard-banner {{ background: {t.sheet}; border: 2px solid {edge}; }}"
            f"#hazard-list > QWidget > QWidget {{ background: {t.sheet}; }}"
        )
        self._fill()

    def _fill(self) -> None:
        inside = QWidget()
        grid = QGridLayout(inside)
        grid.setContentsMargins(8, 4, 8, 4)
        grid.setHorizontalSpacing(12)
        grid.setVerticalSpacing(2)
        grid.setColumnStretch(2, 1)
        row = 0
        close = [hazard for hazard in self._comparison.hazards if hazard.close]
        for hazard in close:
            self._add(grid, row, hazard)
            row += 1
        rest = [hazard for hazard in self._comparison.hazards if not hazard.close]
        rest.sort(key=lambda h: (ORDER.index(h.severity), h.taxon.group or h.taxon.genus))
        for (severity, group), members in groupby(
            rest, key=lambda h: (h.severity, h.taxon.group or h.taxon.genus or "others")
        ):
            found = list(members)
            key = f"{severity}|{group}"
            if key in self._unfolded:
                for hazard in found:
                    self._add(grid, row, hazard)
                    row += 1
                continue
            fold = QPushButton(f"{len(found)} more: {group}")
            fold.setObjectName(f"hazard-unfold-{row}")
            fold.setAccessibleName(f"Show {len(found)} more, {SIGNAL_WORDS[severity].lower()}, {group}")
            fold.setToolTip("\n".join(hazard.taxon.name for hazard in found))
            fold.clicked.connect(lambda _=False, key=key: self._unfold(key))
            grid.addWidget(SignalWord(severity), row, 0)
            grid.addWidget(fold, row, 1, 1, 2, Qt.AlignmentFlag.AlignLeft)
            row += 1
        grid.setRowStretch(row, 1)
        position = self._area.verticalScrollBar().value()
        self._area.setWidget(inside)
        self._area.verticalScrollBar().setValue(position)
        shown = min(5, max(1, len(close) + (1 if rest else 0))) if row else 0
        self._area.setVisible(bool(row))
        # the reasons wrap: a line for the name and up to one more
        self._area.setFixedHeight(min(34 * shown + 8, 150) if row else 0)
        self.updateGeometry()

    def _add(self, grid: QGridLayout, row: int, hazard: HazardLine) -> None:
        grid.addWidget(SignalWord(hazard.severity), row, 0, Qt.AlignmentFlag.AlignTop)
        name = QPushButton(hazard.taxon.name)
        name.setObjectName(f"hazard-taxon-{hazard.taxon.id}")
        name.setAccessibleName(f"Show {hazard.taxon.name} beside the specimen")
        name.setFlat(True)
        t = theme.tones()
        name.setStyleSheet(
            f"QPushButton {{ font-family: '{theme.SERIF}'; font-style: italic; font-weight: 600; border: none; "
            f"background: transparent; text-align: left; padding: 0 2px; color: {t.ink}; }}"
            f"QPushButton:focus {{ border: 1px solid {t.moss}; }} QPushButton:hover {{ color: {t.moss}; }}"
        )
        english = f" ({hazard.taxon.english})" if hazard.taxon.english else ""
        name.setToolTip(f"{hazard.taxon.name}{english}. {hazard.syndrome}. {hazard.misleads}".strip())
        name.clicked.connect(lambda _=False, key=hazard.taxon.id: self.taxon_wanted.emit(key))
        grid.addWidget(name, row, 1, Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        words = f"{hazard.why[:1].upper()}{hazard.why[1:]}."
        if hazard.onset:
            words += f" Onset {hazard.onset}."
        line = QLabel(words)
        line.setWordWrap(True)
        line.setToolTip(f"{hazard.syndrome}. {hazard.misleads}".strip(". "))
        grid.addWidget(line, row, 2)

    def _unfold(self, key: str) -> None:
        self._unfolded.add(key)
        self._fill()


def headline(comparison: Comparison) -> str:
    """The first line of the banner, in words."""
    if comparison.specimen is None:
        return "Teaching view: taxa beside each other, no find is weighed."
    hazards = comparison.hazards
    if not hazards:
        return f"No dangerous taxon of the reference is left open. {CAUTION_NO_BANNER}"
    if comparison.recorded == 0:
        return f"Nothing is recorded yet, so nothing is excluded: all {len(hazards)} dangerous taxa stand."
    parts = []
    for severity in ORDER:
        count = sum(1 for hazard in hazards if hazard.severity is severity)
        if count:
            parts.append(f"{count} that {MEANING[severity]}")
    return f"Your evidence does not exclude {len(hazards)} dangerous taxa: {', '.join(parts)}."
