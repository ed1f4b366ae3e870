"""Shows the head of the page: number, name, where and when, and what leads to names, fields and tasks."""

from __future__ import annotations

from datetime import datetime
from html import escape

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QFrame, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from catalog_gui.domain.number_order import number_key
from catalog_gui.domain.specimen import Determination, Qualifier
from catalog_gui.presenting.describe.state import DescribeState
from catalog_gui.presenting.words import clock_time, day
from catalog_gui.settings import Preferences
from catalog_gui.views import theme
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label

COLLECTION = "The whole collection"
_ANOTHER = "Another fruit body…"


class SpecimenHeader(QFrame):
    """Who it is, and three doors: names, fields, what is to do."""

    names_wanted = Signal()
    fields_wanted = Signal()
    tasks_wanted = Signal()
    compare_wanted = Signal()
    body_chosen = Signal(str)  # fruit body, '' for the collection
    body_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("specimen-header")
        self.setAccessibleName("Specimen")
        self.number = label("", "title", name="specimen-number")
        self.name = label("", name="specimen-name")
        self.name.setTextFormat(Qt.TextFormat.RichText)
        self.facts = label("", "faded", name="specimen-facts")
        self.facts.setAccessibleName("Where, when and by whom")
        self.facts.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.bodies = QComboBox()
        self.bodies.setObjectName("fruit-body")
        self.bodies.setAccessibleName("Fruit body that is described")
        self.bodies.setToolTip("Describe the collection as a whole, or one fruit body of it by its name")
        self.bodies.activated.connect(self._on_body)
        self.name_button = self._button("name-it", "Name it", "Give it a name, see earlier ones (Ctrl+N)")
        self.fields_button = self._button("fields", "Fields", "Collector, habitat, trees, voucher … (Ctrl+I)")
        self.tasks_button = self._button("tasks", "To do", "What has to be done, and until when (Ctrl+K)")
        self.compare_button = self._button("compare", "Compare", "Weigh it against lookalikes (Ctrl+L)")
        self.name_button.clicked.connect(self.names_wanted)
        self.fields_button.clicked.connect(self.fields_wanted)
        self.tasks_button.clicked.connect(self.tasks_wanted)
        self.compare_button.clicked.connect(self.compare_wanted)
        top = QHBoxLayout()
        top.setSpacing(10)
        top.addWidget(self.number)
        top.addWidget(self.name, 1)
        top.addWidget(self.bodies)
        for made in (self.name_button, self.fields_button, self.tasks_button, self.compare_button):
            top.addWidget(made)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(1)
        column.addLayout(top)
        column.addWidget(self.facts)

    def _button(self, name: str, words: str, tip: str) -> QPushButton:
        return button(f"button-{name}", words, tip=tip)

    def set_state(
        self, state: DescribeState, preferences: Preferences, now: datetime, fruit_body: str
    ) -> None:
        """Show a specimen."""
        specimen = state.specimen
        if specimen is None:
            return
        t = theme.tones()
        self.number.setText(specimen.number)
        name = state.name
        if name is None:
            self.name.setText(f'<span style="color:{t.faded}">not named yet</span>')
        else:
            self.name.setText(f'<span style="font-size:16px">{name_html(name)}</span>')
        when = day(specimen.collected_at, preferences, state.zone)
        facts = [
            f"{when}, {clock_time(specimen.collected_at, state.zone)}",
            specimen.site,
            state.where,
            f"collected by {specimen.collector}" if specimen.collector else "",
            _counted(len(state.photos), "picture"),
        ]
        self.facts.setText("   ·   ".join(fact for fact in facts if fact))
        self.facts.setToolTip(self.facts.text())
        open_tasks = [task for task in state.tasks if task.done_at is None]
        late = sum(1 for task in open_tasks if task.overdue(now))
        words = f"To do: {len(open_tasks)}" if open_tasks else "To do"
        self.tasks_button.setText(f"{words}, {late} overdue" if late else words)
        self._fill_bodies(state.fruit_bodies, fruit_body)

    def _fill_bodies(self, bodies: tuple[str, ...], chosen: str) -> None:
        names = sorted({*bodies, *([chosen] if chosen else [])}, key=number_key)
        self.bodies.clear()
        self.bodies.addItem(COLLECTION, "")
        for name in names:
            self.bodies.addItem(f"Fruit body {name}", name)
        self.bodies.addItem(_ANOTHER, None)
        self.bodies.setCurrentIndex(names.index(chosen) + 1 if chosen else 0)

    def _on_body(self, row: int) -> None:
        chosen = self.bodies.itemData(row)
        if chosen is None:
            self.body_wanted.emit()
        else:
            self.body_chosen.emit(str(chosen))


def name_html(given: Determination) -> str:
    """The name in italics, its qualifier upright, as the trade prints it."""
    upright = {qualifier.value for qualifier in Qualifier if qualifier.value}
    upright |= {"var.", "subsp.", "f."}
    words = [
        escape(word) if word in upright else f"<i>{escape(word)}</i>" for word in given.display_name.split()
    ]
    return f"<span style=\"font-family:'{theme.SERIF}'\">{' '.join(words)}</span>"


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}{'' if count == 1 else 's'}"
