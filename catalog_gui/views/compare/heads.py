"""The head of the table: each taxon with its name, its danger, and what can be done with its column."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QHeaderView, QLabel, QToolButton, QVBoxLayout, QWidget

from catalog_gui.domain.caution import NO_ENTRY, NO_ENTRY_MEANS
from catalog_gui.lookalikes.reference import Severity, Taxon
from catalog_gui.presenting.compare.state import MOST_TAXA
from catalog_gui.presenting.signal_words import SIGNAL_WORDS
from catalog_gui.views import theme
from catalog_gui.views.widgets.signs import signal_colours

HEIGHT, HIGHER, ROOM_HEIGHT = 47, 54, 78
"""Two lines of words, px; higher where a sign takes two lines of its own, and for a room."""


class TaxonHead(QWidget):
    """Name, English name, signal word; two small buttons."""

    about_wanted = Signal(str)
    removed = Signal(str)

    def __init__(self, place: int, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName(f"taxon-head-{place}")
        self._taxon: Taxon | None = None
        self._taxon_id = ""
        self._hers = False
        words = QVBoxLayout(self)
        words.setContentsMargins(7, 2, 2, 2)
        words.setSpacing(1)
        above, below = QHBoxLayout(), QHBoxLayout()
        above.setSpacing(2)
        below.setSpacing(5)
        self._name = QLabel()
        self._name.setStyleSheet(f"font-family: '{theme.SERIF}'; font-style: italic; font-size: 14px;")
        self._signal = QLabel()
        self._english = QLabel()
        self._english.setProperty("role", "faded")
        above.addWidget(self._name, 1)
        below.addWidget(self._signal)
        below.addWidget(self._english, 1)
        words.addLayout(above)
        words.addLayout(below)
        self._about = QToolButton()
        self._about.setText("About")
        self._about.setObjectName(f"taxon-about-{place}")
        self._about.clicked.connect(lambda: self.about_wanted.emit(self._taxon_id))
        self._remove = QToolButton()
        self._remove.setText("✕")
        self._remove.setObjectName(f"taxon-remove-{place}")
        self._remove.clicked.connect(lambda: self.removed.emit(self._taxon_id))
        for button, line in ((self._about, below), (self._remove, above)):
            button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            button.setStyleSheet("QToolButton { padding: 0 4px; } QToolButton:focus { padding: 0 3px; }")
            line.addWidget(button)

    def set_for_a_room(self, on: bool) -> None:
        """Set the names so that a room can read them."""
        size, small = (25, 18) if on else (14, 0)
        self._name.setStyleSheet(f"font-family: '{theme.SERIF}'; font-style: italic; font-size: {size}px;")
        self._english.setStyleSheet(f"font-size: {small}px;" if small else "")
        self._elide()

    def show_taxon(self, taxon: Taxon, severity: Severity | None, *, hers: bool = False) -> None:
        """Show this taxon; `hers`: it stands in the user's own pack."""
        self._taxon, self._taxon_id, self._hers = taxon, taxon.id, hers
        whose = "\nYours: it stands in your own pack." if hers else ""
        self.setToolTip(f"{taxon.name} {taxon.authority}".strip() + f"\n{taxon.english}{whose}")
        self._about.setAccessibleName(f"Everything about {taxon.name}")
        self._about.setToolTip(f"Everything about {taxon.name} (Ctrl+I in its column)")
        self._remove.setAccessibleName(f"Take {taxon.name} away")
        self._remove.setToolTip(f"Take {taxon.name} away (Delete in its column)")
        if severity is not None:
            ground, text = signal_colours(severity)
            self._signal.setText(SIGNAL_WORDS[severity])
            self._signal.setToolTip("")
            self._signal.setStyleSheet(
                f"background: {ground}; color: {text}; font-weight: 600; font-size: 11px; padding: 0 5px;"
            )
        else:
            t = theme.tones()
            self._signal.setText(NO_ENTRY.replace(": ", ":\n"))
            self._signal.setToolTip(NO_ENTRY_MEANS)
            self._signal.setStyleSheet(
                f"background: transparent; color: {t.ink}; border: 1px solid {t.edge}; "
                "font-size: 10px; padding: 0 4px;"
            )
        self._elide()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Names are cut to what there is room for."""
        super().resizeEvent(event)
        self._elide()

    def _elide(self) -> None:
        if self._taxon is None:
            return
        room = self.width() - 14
        self._name.ensurePolished()
        metrics = QFontMetrics(self._name.font())
        left = room - self._remove.sizeHint().width()
        self._name.setText(metrics.elidedText(self._taxon.name, Qt.TextElideMode.ElideRight, left))
        signal = self._signal.sizeHint().width() + 5 if not self._signal.isHidden() else 0
        metrics = QFontMetrics(self._english.font())
        left = max(0, room - signal - self._about.sizeHint().width() - 5)
        english = ", ".join(part for part in ("yours" if self._hers else "", self._taxon.english) if part)
        self._english.setText(metrics.elidedText(english, Qt.TextElideMode.ElideRight, left))


class Heads(QHeaderView):
    """A header whose taxon sections are real widgets, so that their buttons take the focus."""

    about_wanted = Signal(str)
    removed = Signal(str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setObjectName("comparison-heads")
        self.setAccessibleName("What stands in the columns")
        self.setHighlightSections(False)
        self.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        self._first = 2
        self._height = HEIGHT
        self._count = 0
        self._for_a_room = self._signless = False
        self._heads = [TaxonHead(place, self) for place in range(MOST_TAXA)]
        for head in self._heads:
            head.about_wanted.connect(self.about_wanted)
            head.removed.connect(self.removed)
            head.hide()
        self.sectionResized.connect(lambda *_: self.place())

    def show_taxa(
        self,
        first: int,
        taxa: Sequence[Taxon],
        severities: Sequence[Severity | None],
        hers: Collection[str] = (),
    ) -> None:
        """The taxa stand in the sections from `first` on; `hers` are the packs that are the user's own."""
        self._first, self._count = first, len(taxa)
        self._signless = None in severities
        self._follow_height()
        for head, taxon, severity in zip(self._heads, taxa, severities, strict=False):
            head.show_taxon(taxon, severity, hers=taxon.pack in hers)
        self.place()

    def set_for_a_room(self, on: bool) -> None:
        """Set the names so that a room can read them."""
        self._for_a_room = on
        for head in self._heads:
            head.set_for_a_room(on)
        self._follow_height()
        self.place()

    def _follow_height(self) -> None:
        height = ROOM_HEIGHT if self._for_a_room else HIGHER if self._signless else HEIGHT
        if height != self._height:
            self._height = height
            self.updateGeometry()

    def place(self) -> None:
        """Lay the heads over their sections."""
        for number, head in enumerate(self._heads):
            section = self._first + number
            if number < self._count and section < self.count():
                head.setGeometry(
                    QRect(
                        self.sectionViewportPosition(section), 0, self.sectionSize(section), self.height() - 1
                    )
                )
                head.show()
                head.raise_()
            else:
                head.hide()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The heads move with their sections."""
        super().resizeEvent(event)
        self.place()

    def sizeHint(self) -> QSize:
        """Two lines of words."""
        return QSize(super().sizeHint().width(), self._height)
