"""Shows the card of the feature in focus: what it is, how to look, its states, and the four standings."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QCheckBox,
    QFrame,
    QHBoxLayout,
    QLineEdit,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.caution import CAUTION_TASTING
from catalog_gui.domain.checklist import Asked
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Part, State, Vocabulary
from catalog_gui.domain.figures_typed import size_words
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.presenting.part_titles import TITLES
from catalog_gui.presenting.words import clock_time
from catalog_gui.views.describe.chips import ChipTray, StateChip
from catalog_gui.views.describe.figures import Figures
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label

_STANDINGS = (
    (Standing.SEEN, "Seen", "Seen: choose a state, type a size or write a note"),
    (Standing.NOT_THERE, "Not there", "Looked for and not there (- in the entry line)"),
    (Standing.GONE, "Gone", "Damaged or gone: it could not be seen any more (~ in the entry line)"),
    (Standing.NOT_LOOKED_AT, "Not looked at", "Take the entry back (? in the entry line)"),
)


class AskedCard(QFrame):
    """Shows one feature and lets the mouse do what the entry line does."""

    state_toggled = Signal(str, str, bool)  # feature, state, on
    standing_set = Signal(str, object)  # feature, Standing
    size_typed = Signal(str, str)  # feature, what was typed
    noted = Signal(str, str)  # feature, note
    doubted = Signal(str, bool)  # feature, sure
    link_wanted = Signal(str)  # feature

    def __init__(self, reference: Reference, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("asked-card")
        self.setAccessibleName("Feature in focus")
        self.setProperty("role", "sheet")
        self._reference = reference
        self._figures = Figures(reference.vocabulary, self)
        self._feature = ""
        self._row: Evidence | None = None
        self._title = label("", "heading", name="asked-title")
        self._due = label("", "faded", name="asked-due")
        self._how = label("", "faded", name="asked-how", wrap=True)
        self._caution = label(CAUTION_TASTING, "caution", name="asked-caution", wrap=True)
        self._tray = ChipTray()
        self._scroll = QScrollArea()
        self._scroll.setObjectName("asked-states")
        self._scroll.setAccessibleName("States")
        self._scroll.setWidgetResizable(True)
        self._scroll.setWidget(self._tray)
        self._tray.setAutoFillBackground(False)  # Qt switches it on for the widget of a scroll area
        self._scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._size = QLineEdit()
        self._size.setObjectName("asked-size")
        self._size.setAccessibleName("Size or range")
        self._size.returnPressed.connect(self._on_size)
        self._standings = QButtonGroup(self)
        self._standings.setExclusive(True)
        self._note = QLineEdit()
        self._note.setObjectName("asked-note")
        self._note.setAccessibleName("Note to this feature")
        self._note.setPlaceholderText("In your own words")
        self._note.editingFinished.connect(self._on_note)
        self._doubt = QCheckBox("Doubted")
        self._doubt.setObjectName("asked-doubted")
        self._doubt.setToolTip("Not sure (a ? behind the state in the entry line)")
        self._doubt.clicked.connect(self._on_doubt)
        self._link = button(
            "asked-link",
            "Show it",
            "Show this feature on a picture",
            tip="Point at it on the picture that is chosen in the strip",
            call=lambda: self.link_wanted.emit(self._feature),
        )
        self._who = label("", "faded", name="asked-who")
        self._lay_out()

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(9, 6, 9, 7)
        column.setSpacing(4)
        top = QHBoxLayout()
        top.addWidget(self._title, 1)
        top.addWidget(self._due)
        column.addLayout(top)
        column.addWidget(self._how)
        column.addWidget(self._caution)
        column.addWidget(self._scroll, 1)
        column.addWidget(self._size)
        row = QHBoxLayout()
        row.setSpacing(4)
        for standing, words, tip in _STANDINGS:
            made = button(f"standing-{standing.name.lower()}", words, standing.value, tip=tip)
            made.setCheckable(True)
            made.clicked.connect(
                lambda _=False, standing=standing: self.standing_set.emit(self._feature, standing)
            )
            self._standings.addButton(made)
            self._standings.setId(made, list(Standing).index(standing))
            row.addWidget(made)
        row.addStretch(1)
        row.addWidget(self._doubt)
        column.addLayout(row)
        foot = QHBoxLayout()
        foot.setSpacing(4)
        foot.addWidget(self._note, 1)
        foot.addWidget(self._link)
        column.addLayout(foot)
        column.addWidget(self._who)

    @property
    def feature(self) -> str:
        """The feature in focus, or ''."""
        return self._feature

    def states(self) -> tuple[State, ...]:
        """The states on offer, in the order of their keys."""
        return tuple(chip.state for chip in self._tray.chips)

    def show_feature(
        self,
        asked: Asked | None,
        row: Evidence | None,
        *,
        last: str = "",
        now: datetime | None = None,
        zone: str = "",
    ) -> None:
        """Put a feature into focus; `last` is the state it was given last on another specimen."""
        self.setVisible(asked is not None)
        if asked is None:
            self._feature = ""
            return
        feature = asked.feature
        fresh = feature.id != self._feature
        self._feature, self._row = feature.id, row
        self._title.setText(f"{feature.name[:1].upper()}{feature.name[1:]}")
        self._title.setToolTip(feature.gloss)
        self._due.setText(self._due_words(asked, row, now, zone))
        how = feature.how_to_look or feature.gloss
        self._how.setText(how)
        self._how.setToolTip(f"{feature.gloss}\n{feature.how_to_look}\nWhen: {feature.when_to_look}".strip())
        self._caution.setVisible(feature.part is Part.TASTE)
        if fresh:
            self._make_chips(self._reference.vocabulary, last)
        on = set(row.states) if row is not None else set()
        for chip in self._tray.chips:
            chip.setChecked(chip.state.id in on)
        self._scroll.setVisible(feature.kind == "states")
        self._size.setVisible(feature.kind == "number")
        if feature.kind == "number":
            self._size.setPlaceholderText(
                f"45-60 in {feature.unit}, or 4.5-6 cm" if feature.unit == "mm" else "8-10"
            )
            if fresh or not self._size.hasFocus():
                self._size.setText(size_words(row.low, row.high, row.unit) if row is not None else "")
        self._show_standing(row, can_be_absent=bool(self._reference.absent_name(feature.id)))
        if fresh or not self._note.hasFocus():
            self._note.setText(row.note if row is not None else "")
        self._who.setText(_who(row, zone))

    def _due_words(self, asked: Asked, row: Evidence | None, now: datetime | None, zone: str) -> str:
        part = TITLES[asked.feature.part].lower()
        if asked.due is None or row is not None or now is None:
            return part
        late = asked.due < now
        self._due.setProperty("role", "trouble" if late else "faded")
        self._due.style().unpolish(self._due)
        self._due.style().polish(self._due)
        return f"{part} · {'was due by' if late else 'by'} {clock_time(asked.due, zone)}"

    def _show_standing(self, row: Evidence | None, *, can_be_absent: bool) -> None:
        standing = row.standing if row is not None else Standing.NOT_LOOKED_AT
        for made in self._standings.buttons():
            here = list(Standing)[self._standings.id(made)]
            made.setChecked(here is standing)
            if here is Standing.NOT_THERE:
                made.setEnabled(can_be_absent)
            if here is Standing.SEEN:
                made.setEnabled(standing is Standing.SEEN)
        self._doubt.setChecked(row is not None and not row.sure)
        self._doubt.setEnabled(row is not None)

    def _make_chips(self, vocabulary: Vocabulary, last: str) -> None:
        self._figures.forget_wanted()
        chips = []
        for number, state in enumerate(vocabulary.states_of(self._feature), 1):
            key = str(number) if number < 10 else ""
            chip = StateChip(state, key, last=state.id == last, figures=self._figures)
            chip.clicked.connect(
                lambda on=False, state=state: self.state_toggled.emit(self._feature, state.id, on)
            )
            chips.append(chip)
        self._tray.set_chips(chips)
        self._scroll.verticalScrollBar().setValue(0)

    def _on_size(self) -> None:
        self.size_typed.emit(self._feature, self._size.text())

    def _on_note(self) -> None:
        before = self._row.note if self._row is not None else ""
        if self._feature and self._note.text().strip() != before:
            self.noted.emit(self._feature, self._note.text())

    def _on_doubt(self) -> None:
        self.doubted.emit(self._feature, not self._doubt.isChecked())


def _who(row: Evidence | None, zone: str) -> str:
    if row is None or row.noted_at is None:
        return "Not looked at. That is not the same as not there."
    words = f"Noted {clock_time(row.noted_at, zone)}"
    if row.noted_by:
        words += f" by {row.noted_by}"
    return f"{words}. Shown on a picture." if row.mark_id or row.photo_id else f"{words}."
