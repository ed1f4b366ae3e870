"""Keeps the fields of a foray while they are typed, each field as one step."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QTimer, Signal
from PySide6.QtGui import QHideEvent
from PySide6.QtWidgets import (
    QFormLayout,
    QFrame,
    QHBoxLayout,
    QLineEdit,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.foray import Foray
from catalog_gui.domain.ledger import Changed
from catalog_gui.views.bench import Bench
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.countries import tie
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.edit_foray import FIELDS, Run, Values, changed_foray, keep_run, people_of
from catalog_gui.workflows.ports import Records

_RIGHT = ("people", "permission", "note")
_BESIDE = {"country": "country_code", "state_province": "county"}
PAUSE_MS = 700
"""After so long without a key what was typed is kept: a kill loses less than a second of it."""


class ForayForm(QFrame):
    """The fields of one foray."""

    finds_wanted = Signal()
    sort_wanted = Signal()

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "sheet")
        self.setObjectName("foray-form")
        self._bench = bench
        self._shown: Foray | None = None
        self._run = Run({})
        self._fields: dict[str, QLineEdit | QPlainTextEdit] = {}
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(PAUSE_MS)
        self._pause.timeout.connect(self.keep)
        self._lay_out()
        country, code = self._fields["country"], self._fields["country_code"]
        if isinstance(country, QLineEdit) and isinstance(code, QLineEdit):
            tie(country, code)
            code.setMaximumWidth(56)

    def _lay_out(self) -> None:
        across = QHBoxLayout(self)
        across.setContentsMargins(10, 6, 10, 6)
        across.setSpacing(16)
        left, right = QFormLayout(), QFormLayout()
        for form in (left, right):
            form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
            form.setVerticalSpacing(4)
        for name in FIELDS:
            if name in _BESIDE.values():
                continue
            field = self._field(name)
            caption = label(f"{FIELDS[name][0]}:")
            caption.setBuddy(field)
            form = right if name in _RIGHT else left
            second = _BESIDE.get(name)
            if second is None:
                form.addRow(caption, field)
                continue
            beside = self._field(second)
            row = QHBoxLayout()
            row.setSpacing(8)
            row.addWidget(field, 1)
            other = label(f"{FIELDS[second][0]}:")
            other.setBuddy(beside)
            row.addWidget(other)
            row.addWidget(beside, 1)
            form.addRow(caption, row)
        buttons = QVBoxLayout()
        for words, name, tip, wanted in (
            ("Its finds", "foray-finds", "Search for the finds of this foray", self.finds_wanted),
            ("Sort it", "foray-sort", "Open on Sort", self.sort_wanted),
        ):
            made = button(name, words, f"{words}: the chosen foray", tip=tip)
            made.clicked.connect(lambda _=False, wanted=wanted: wanted.emit())
            buttons.addWidget(made)
        buttons.addStretch(1)
        across.addLayout(left, 1)
        across.addLayout(right, 1)
        across.addLayout(buttons)

    def _field(self, name: str) -> QLineEdit | QPlainTextEdit:
        words, purpose = FIELDS[name]
        field: QLineEdit | QPlainTextEdit
        if name == "note":
            field = QPlainTextEdit()
            field.setTabChangesFocus(True)
            field.setFixedHeight(62)
        else:
            field = QLineEdit()
        field.textChanged.connect(self._on_typed)
        field.installEventFilter(self)
        field.setObjectName(f"foray-{name.replace('_', '-')}")
        field.setAccessibleName(f"{words} of the foray")
        field.setToolTip(purpose)
        self._fields[name] = field
        return field

    # --- what is shown -------------------------------------------------------------------------

    @property
    def shown(self) -> Foray | None:
        """The foray whose fields these are."""
        return self._shown

    def show_foray(self, foray: Foray | None) -> None:
        """Show a foray; what is being typed just now stays."""
        same = foray is not None and self._shown is not None and foray.id == self._shown.id
        before, self._shown = self._shown, foray
        self.setEnabled(foray is not None)
        if not same:
            self._pause.stop()
        if not same or not all(_says(foray, *written) for written in self._run.values.items()):
            self._run = Run({})  # another foray, or what was typed was taken back meanwhile
        for name, field in self._fields.items():
            text, typed = _text_of(foray, name), _typed(field)
            if (field.hasFocus() and _says(foray, name, typed)) or (same and not _says(before, name, typed)):
                continue  # it says so already, or what was typed there is still to be kept
            if typed == text:
                continue
            if isinstance(field, QPlainTextEdit):
                field.setPlainText(text)
            else:
                field.setText(text)
                field.setCursorPosition(0)

    # --- keeping -------------------------------------------------------------------------------

    def _on_typed(self, *_: object) -> None:
        if self._shown is not None and self._values():
            self._pause.start()

    def hideEvent(self, event: QHideEvent) -> None:
        """Keep what stands in a field that still has the focus."""
        self.leave()
        super().hideEvent(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Leaving a field keeps it, and ends its step."""
        if event.type() == QEvent.Type.FocusOut and watched in self._fields.values():
            self.leave()
        return super().eventFilter(watched, event)

    def leave(self) -> None:
        """Keep what is typed; what is typed from now on is another step."""
        self.keep()
        self._run = Run({})

    def _values(self) -> Values:
        """The fields that say something else than what is kept."""
        return {
            name: text
            for name, field in self._fields.items()
            if not _says(self._shown, name, text := _typed(field).strip())
        }

    def keep(self) -> None:
        """Save every field that says something else than what is kept, in one step."""
        self._pause.stop()
        foray = self._shown
        values = self._values() if foray is not None else {}
        if foray is None or not values:
            return
        run, bench, key = self._run, self._bench, foray.id
        run.values |= values
        title, written = run.title, dict(run.values)
        # At once, so that a second signal of the same leaving does not save it twice.
        self._shown = changed_foray(foray, values)

        def kept(_: None) -> None:
            bench.changed.emit(Changed(title, {"forays": frozenset({key})}))
            bench.said.emit(title)

        def keep_now(records: Records) -> None:
            keep_run(records, key, run, title, written)
            if bench.own_pack is not None:
                bench.own_pack.forget_undone()  # as after every step

        bench.ask(keep_now, kept)


def _typed(field: QLineEdit | QPlainTextEdit) -> str:
    return field.toPlainText() if isinstance(field, QPlainTextEdit) else field.text()


def _text_of(foray: Foray | None, name: str) -> str:
    if foray is None:
        return ""
    return ", ".join(foray.people) if name == "people" else str(getattr(foray, name))


def _says(foray: Foray | None, name: str, text: str) -> bool:
    """Whether the text means what the foray has in that field."""
    if name == "people":
        return foray is not None and people_of(text) == foray.people
    return text.strip() == _text_of(foray, name).strip()
