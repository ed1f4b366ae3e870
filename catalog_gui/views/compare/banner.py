"""The hazard banner: every dangerous taxon not excluded, worst first. It cannot be closed or scrolled away."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFont, QPainter, QPaintEvent
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
from catalog_gui.presenting.compare.state import Comparison, HazardLine, StruckLine
from catalog_gui.presenting.signal_words import SIGNAL_WORDS
from catalog_gui.presenting.words import emergency_words
from catalog_gui.settings import Preferences
from catalog_gui.views import theme
from catalog_gui.views.compare.hazard_list import Fold, HazardList, folds
from catalog_gui.views.widgets.labels import label
from catalog_gui.views.widgets.signs import paint_signal, signal_colours

HELD_NAMED = 8
"""So many names are spelt out for one record that was struck out."""
ROWS_SHOWN = 3
LIST_MOST = 72
OPENED_SHARE = 0.5
"""Share of the page that the opened banner may take; what is longer scrolls inside it."""


class SignalWord(QWidget):
    """A signal word on its colour with the sign before it."""

    def __init__(self, severity: Severity, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("hazard-signal")
        self.setFixedSize(QSize(132, 34))
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
    """Names the close ones in full, folds the rest by group with a count, hides nothing.

    It has no way to be closed: once made, it stays visible for as long as its page is.
    """

    taxon_wanted = Signal(str)
    about_wanted = Signal(str)
    preferences_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("hazard-banner")
        self.setAccessibleName("Dangerous taxa that are not excluded")
        self._opened = False
        self._room = 600
        self._comparison = Comparison()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(self._head())
        self.deadly = label("", name="hazard-deadly", wrap=True)
        self.deadly.setAccessibleName("Not excluded, and known to kill")
        self.deadly.setContentsMargins(8, 2, 8, 2)
        column.addWidget(self.deadly)
        self.list = HazardList(self)
        self.list.taxon_wanted.connect(self.taxon_wanted)
        self.list.about_wanted.connect(self.about_wanted)
        self.list.fold_changed.connect(self._fit)
        column.addWidget(self.list)
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
        self._open = QPushButton("Show all")
        self._open.setObjectName("hazard-open")
        self._open.setCheckable(True)
        self._open.setShortcut("Ctrl+H")
        self._open.toggled.connect(self.set_opened)
        row.addWidget(self._open)
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

    @property
    def opened(self) -> bool:
        """Whether the whole list has been given room."""
        return self._opened

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
        listed = (*hazards, *comparison.minded)
        self.deadly.setText(deadly_words(listed))
        self.deadly.setVisible(bool(self.deadly.text()))
        self.list.show_hazards(listed, find)
        self.list.setVisible(bool(listed))
        self._tell_open()
        self._fit()

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
        listed = (*self._comparison.hazards, *self._comparison.minded)
        count, groups = len(listed), sum(isinstance(row, Fold) for row in folds(listed))
        self._open.setVisible(count > ROWS_SHOWN)
        folded = f", {groups} group{'' if groups == 1 else 's'} folded" if groups else ""
        self._open.setText("Show fewer" if self._opened else f"Show all {count}{folded}")
        self._open.setAccessibleName(
            "Give the list less room" if self._opened else f"Give the list of all {count} more room{folded}"
        )
        self._open.setToolTip(f"{self._open.accessibleName()} (Ctrl+H)")

    def set_opened(self, opened: bool) -> None:
        """Give the list half the page, or only a few rows."""
        self._opened = opened
        if self._open.isChecked() is not opened:
            self._open.setChecked(opened)
        self._tell_open()
        self._fit()

    def set_room(self, height: int) -> None:
        """Tell the banner how high its page is, px."""
        self._room = height
        self._fit()

    def _fit(self) -> None:
        if self._opened:
            height = min(self.list.height_of(), round(self._room * OPENED_SHARE) - 80)
        else:
            heights = [self.list.height_of(rows) for rows in range(1, ROWS_SHOWN + 1)]
            height = max([height for height in heights if height <= LIST_MOST], default=LIST_MOST)
        self.list.setFixedHeight(max(height, 26))

    def _dress(self, edge: str) -> None:
        t = theme.tones()
        sheet = (
            f"#hazard-banner {{ background: {t.sheet}; border: 2px solid {edge}; }}"
            f"#hazard-list {{ background: {t.sheet}; border: none; border-top: 1px solid {t.line}; }}"
            f"#hazard-list:focus {{ border: 2px solid {t.moss}; }}"
            f"#hazard-foot {{ background: {t.ochre_soft}; border-top: 1px solid {t.line}; }}"
            f"#hazard-foot QLabel {{ color: {t.ink}; background: transparent; }}"
            "#hazard-emergency { font-weight: 600; }"
        )
        if sheet != self.styleSheet():
            self.setStyleSheet(sheet)


def deadly_words(listed: Sequence[HazardLine]) -> str:
    """Every taxon that can kill, by name: 'Can kill: Amanita phalloides, A. virosa; Galerina marginata'.

    It stands outside the list, so that no scrolling and no folding can take a name out of sight.
    """
    by_genus: dict[str, list[str]] = {}
    for line in listed:
        if line.severity is Severity.FATAL:
            by_genus.setdefault(line.taxon.genus or line.taxon.name.split(" ")[0], []).append(line.name)
    told = []
    for genus, names in by_genus.items():
        first, *rest = dict.fromkeys(names)
        told.append(", ".join([first, *(name.replace(f"{genus} ", f"{genus[:1]}. ", 1) for name in rest)]))
    return f"Can kill: {'; '.join(told)}." if told else ""


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
