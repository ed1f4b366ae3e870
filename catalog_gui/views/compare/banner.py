"""The hazard banner: every dangerous taxon not excluded, worst first. It cannot be closed or scrolled away."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFont, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QMessageBox,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.caution import CAUTION, CAUTION_NO_BANNER, NOTHING_LEFT
from catalog_gui.lookalikes.reference import Severity
from catalog_gui.presenting.compare.state import Comparison, StruckLine
from catalog_gui.presenting.signal_words import SIGNAL_WORDS
from catalog_gui.presenting.words import emergency_words
from catalog_gui.settings import Preferences
from catalog_gui.views import theme
from catalog_gui.views.compare.hazard_rows import HazardRows
from catalog_gui.views.widgets.labels import label
from catalog_gui.views.widgets.signs import paint_signal, signal_colours

HELD_NAMED = 8
"""So many names are spelt out for one record that was struck out."""


class SignalWord(QWidget):
    """A signal word on its colour with the sign before it."""

    def __init__(self, severity: Severity, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("hazard-signal")
        self.setFixedSize(QSize(126, 30))
        self.set_severity(severity)

    def set_severity(self, severity: Severity) -> None:
        """Show another word."""
        self._severity = severity
        self.setAccessibleName(SIGNAL_WORDS[severity])
        self.update()

    @property
    def word(self) -> str:
        """The word that is shown."""
        return SIGNAL_WORDS[self._severity]

    def paintEvent(self, event: QPaintEvent) -> None:
        """Colour, sign, word."""
        painter = QPainter(self)
        font = QFont(self.font())
        font.setBold(True)
        font.setPointSizeF(font.pointSizeF() + 3)
        painter.setFont(font)
        paint_signal(painter, QRectF(self.rect()), self._severity)
        painter.end()


class HazardBanner(QFrame):
    """A few lines by poison that hold every dangerous taxon; all that can kill are named, none of it scrolls.

    It has no way to be closed: once made, it stays visible for as long as its page is.

    Signals:
        list_wanted: the full list, at the line of that number; -1 takes it away.
        emergency_wanted: the page to print after somebody has eaten.
        preferences_wanted: the dialog where the numbers to call are typed in.
        resized: the banner is higher or lower than before.
    """

    list_wanted = Signal(int)
    emergency_wanted = Signal()
    preferences_wanted = Signal()
    resized = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("hazard-banner")
        self.setAccessibleName("Dangerous taxa that are not excluded")
        self._comparison = Comparison()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(self._head())
        self.lines = HazardRows(self)
        self.lines.list_wanted.connect(self.list_wanted)
        column.addWidget(self.lines)
        column.addWidget(self._foot())
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.show_comparison(Comparison(), Preferences())

    def _head(self) -> QHBoxLayout:
        row = self._top = QHBoxLayout()
        row.setSpacing(12)
        self._word = SignalWord(Severity.FATAL, self)
        row.addWidget(self._word)
        self._headline = label("", name="hazard-headline", wrap=True)
        font = QFont(self.font())
        font.setBold(True)
        font.setPointSizeF(font.pointSizeF() + 1)
        self._headline.setFont(font)
        row.addWidget(self._headline, 1)
        self._struck = QPushButton("Which?")
        self._struck.setObjectName("hazard-struck-out")
        self._struck.setAccessibleName("Which records were struck out and still hold hazards in")
        self._struck.setToolTip("Records that were struck out and still hold hazards in (Ctrl+Shift+H)")
        self._struck.setShortcut("Ctrl+Shift+H")
        self._struck.clicked.connect(self.show_struck)
        self._struck.hide()
        row.addWidget(self._struck)
        self._open = QPushButton("Full list")
        self._open.setObjectName("hazard-open")
        self._open.setCheckable(True)
        self._open.clicked.connect(lambda on: self.list_wanted.emit(0 if on else -1))
        row.addWidget(self._open)
        self._emergency_page = QPushButton("If somebody has eaten…")
        self._emergency_page.setObjectName("hazard-emergency-page")
        self._emergency_page.setAccessibleName("Make the emergency page of this find")
        self._emergency_page.setToolTip(
            "One printed side for the hospital: what is not excluded, whom to call, what to do (Ctrl+Shift+E)"
        )
        self._emergency_page.setShortcut("Ctrl+Shift+E")
        self._emergency_page.clicked.connect(self.emergency_wanted)
        row.addWidget(self._emergency_page)
        return row

    def _foot(self) -> QWidget:
        foot = QWidget(self)
        foot.setObjectName("hazard-foot")
        row = QHBoxLayout(foot)
        row.setContentsMargins(8, 2, 8, 3)
        row.setSpacing(14)
        self._caution = label(CAUTION, name="hazard-caution", wrap=True)
        self._caution.setAccessibleName("Caution")
        row.addWidget(self._caution, 1)
        self._emergency = QLabel("")
        self._emergency.setObjectName("hazard-emergency")
        self._emergency.setAccessibleName("Whom to call in an emergency")
        self._emergency.setTextFormat(Qt.TextFormat.PlainText)
        self._emergency.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        row.addWidget(self._emergency)
        self._set_number = QPushButton("Set the numbers…")
        self._set_number.setObjectName("hazard-set-numbers")
        self._set_number.setAccessibleName("Set the emergency numbers")
        self._set_number.setToolTip("Type the numbers of your own country in the preferences")
        self._set_number.clicked.connect(self.preferences_wanted)
        row.addWidget(self._set_number)
        return foot

    def setVisible(self, visible: bool) -> None:
        """The banner can be shown, and not hidden."""
        super().setVisible(True)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """What lies below follows."""
        super().resizeEvent(event)
        self.resized.emit()

    def show_comparison(self, comparison: Comparison, preferences: Preferences) -> None:
        """Show what the weighing does not exclude."""
        self._comparison = comparison
        hazards, find = comparison.hazards, comparison.specimen.id if comparison.specimen else ""
        worst = min((hazard.severity for hazard in hazards), key=lambda s: s.order, default=Severity.FATAL)
        self._word.set_severity(worst)
        self._word.setVisible(bool(hazards))
        self._top.setContentsMargins(*((0, 0, 8, 0) if hazards else (10, 6, 8, 6)))
        words = headline(comparison)
        self._headline.setText(words)
        self._struck.setVisible(bool(comparison.struck))
        self.setAccessibleDescription(f"{words} {CAUTION}")
        self._emergency.setText(emergency_words(preferences))
        self._set_number.setVisible(not (preferences.emergency_number and preferences.poison_service))
        self._dress(signal_colours(worst)[0] if hazards else theme.tones().edge)
        self.lines.show_lines(comparison.banner, find)
        self.lines.setVisible(bool(comparison.banner))
        self._emergency_page.setVisible(comparison.specimen is not None)
        self._tell_open()

    def show_struck(self) -> None:
        """Which records were struck out, when, and what stands only because of them."""
        box = QMessageBox(self)
        box.setObjectName("struck-out-box")
        box.setWindowTitle("Struck out, and still holding")
        box.setIcon(QMessageBox.Icon.NoIcon)
        box.setText("These records were struck out. They no longer speak against a danger, only for it.")
        box.setInformativeText("\n\n".join(struck_sentence(line) for line in self._comparison.struck))
        box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        box.open()

    def _tell_open(self) -> None:
        count = sum(len(line.members) for line in self._comparison.banner)
        self._open.setVisible(count > 0)
        opened = self._open.isChecked()
        self._open.setText("Back to the table" if opened else f"Full list of {count}")
        self._open.setShortcut("Ctrl+H")  # a new text takes the key away
        self._open.setAccessibleName(
            "Take the full list away" if opened else f"Open the full list of all {count} with their reasons"
        )
        self._open.setToolTip(f"{self._open.accessibleName()} (Ctrl+H)")

    def set_opened(self, opened: bool) -> None:
        """Say whether the full list lies open."""
        self._open.setChecked(opened)
        self._tell_open()

    def _dress(self, edge: str) -> None:
        t = theme.tones()
        sheet = (
            f"#hazard-banner {{ background: {t.sheet}; border: 2px solid {edge}; }}"
            f"#hazard-lines {{ background: {t.sheet}; border-top: 1px solid {t.line}; }}"
            f"#hazard-foot {{ background: {t.ochre_soft}; border-top: 1px solid {t.line}; }}"
            f"#hazard-foot QLabel {{ color: {t.ink}; background: transparent; }}"
            "#hazard-emergency { font-weight: 600; }"
        )
        if sheet != self.styleSheet():
            self.setStyleSheet(sheet)


def headline(comparison: Comparison) -> str:
    """The first line of the banner, in words."""
    hazards = comparison.hazards
    if comparison.specimen is None:
        if not comparison.taxa:
            return "No find is weighed here, so nothing is excluded."
        if hazards:
            shown = "1 of the taxa shown is" if len(hazards) == 1 else f"{len(hazards)} of the taxa shown are"
            return f"No find is weighed here. {shown} dangerous; of the others nothing is said."
        return f"No find is weighed here. {CAUTION_NO_BANNER}"
    if not hazards:
        return NOTHING_LEFT
    if comparison.recorded == 0:
        return f"Nothing is recorded yet, so nothing is excluded. All {len(hazards)} dangerous taxa stand."
    parts = []
    for severity in Severity:
        count = sum(1 for hazard in hazards if hazard.severity is severity)
        if count:
            parts.append(f"{count} that {severity.means}")
    count_words = "1 dangerous taxon" if len(hazards) == 1 else f"{len(hazards)} dangerous taxa"
    told = f"Your evidence does not exclude {count_words}: {', '.join(parts)}."
    held = {name for line in comparison.struck for name in line.holds}
    if held:
        which = "a record" if len(comparison.struck) == 1 else "records"
        stand = "1 stands" if len(held) == 1 else f"{len(held)} stand"
        told += f" {stand} only because of {which} you struck out."
    return told


def struck_sentence(line: StruckLine) -> str:
    """'Volva: sac, struck out on 18 October 2025, 20:31. Because of it stands Amanita verna.'"""
    moment = line.at.astimezone()
    names = line.holds[:HELD_NAMED]
    more = f" and {len(line.holds) - len(names)} more" if len(line.holds) > len(names) else ""
    verb = "stands" if len(line.holds) == 1 else "stand"
    return (
        f"{line.words[:1].upper()}{line.words[1:]}, struck out on {moment.day} {moment:%B %Y, %H:%M}. "
        f"Because of it {verb} {', '.join(names)}{more}."
    )
