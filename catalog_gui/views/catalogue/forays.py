"""Every foray with what it came to, and what can be put right about it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from PySide6.QtCore import QEvent, QObject, QSize, Qt, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent
from PySide6.QtWidgets import (
    QFormLayout,
    QFrame,
    QHBoxLayout,
    QHeaderView,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.foray import Foray
from catalog_gui.domain.ledger import ForayCount
from catalog_gui.views.bench import Bench
from catalog_gui.views.page import label
from catalog_gui.views.words import day
from catalog_gui.workflows.ports import Work

FIELDS = {
    "title": ("Title", "What you call this foray"),
    "site": ("Site", "Where it went; specimens without a site of their own have this one"),
    "people": ("People", "Who was there, with commas between"),
    "permission": ("Permission", "Who allowed it, on what terms. It stays here unless you export it."),
    "note": ("Note", "Anything else worth keeping"),
}


def people_of(text: str) -> tuple[str, ...]:
    """Names as she typed them, with commas or semicolons between."""
    return tuple(name for part in text.replace(";", ",").split(",") if (name := part.strip()))


def change_foray(work: Work, foray_id: str, field: str, text: str) -> None:
    """Write one field of a foray anew; a foray that is gone stays gone."""
    foray = work.forays.get(foray_id)
    if foray is None:
        return
    match field:
        case "title":
            foray = replace(foray, title=text)
        case "site":
            foray = replace(foray, site=text)
        case "people":
            foray = replace(foray, people=people_of(text))
        case "permission":
            foray = replace(foray, permission=text)
        case "note":
            foray = replace(foray, note=text)
    work.forays.put(foray)


class ForayList(QWidget):
    """The forays, newest first, and below them the fields of the chosen one: each change is one step."""

    finds_wanted = Signal(str)  # foray id
    sort_wanted = Signal(str)
    chosen = Signal(str)

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("foray-panel")
        self._bench = bench
        self._forays: dict[str, Foray] = {}
        self._shown: Foray | None = None
        self.lines = QTreeWidget()
        self.lines.setObjectName("forays")
        self.lines.setAccessibleName("Forays")
        self.lines.setToolTip("Return: its finds")
        self.lines.setHeaderLabels(["Title", "Date", "Site", "Pictures", "Finds", "Names"])
        self.lines.setRootIsDecorated(False)
        self.lines.setUniformRowHeights(True)
        self.lines.setIndentation(0)
        self.lines.setAlternatingRowColors(True)
        self.lines.setAllColumnsShowFocus(True)
        self.lines.installEventFilter(self)
        head = self.lines.header()
        head.setStretchLastSection(False)
        head.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        for column, width in ((1, 150), (2, 190), (3, 76), (4, 64), (5, 64)):
            head.setSectionResizeMode(column, QHeaderView.ResizeMode.Interactive)
            self.lines.setColumnWidth(column, width)
        self.lines.currentItemChanged.connect(self._on_line)
        self.lines.itemDoubleClicked.connect(self._ask_finds)
        self._fields: dict[str, QLineEdit | QPlainTextEdit] = {}
        self._form = QFrame()
        self._form.setProperty("role", "sheet")
        self._form.setObjectName("foray-form")
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(4)
        whole.addWidget(self.lines, 1)
        whole.addWidget(self._form)
        self._fill_form()

    def _fill_form(self) -> None:
        across = QHBoxLayout(self._form)
        across.setContentsMargins(10, 6, 10, 6)
        across.setSpacing(16)
        left, right = QFormLayout(), QFormLayout()
        for form in (left, right):
            form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
            form.setVerticalSpacing(4)
        for name, (words, purpose) in FIELDS.items():
            field: QLineEdit | QPlainTextEdit
            if name == "note":
                field = QPlainTextEdit()
                field.setTabChangesFocus(True)
                field.setMaximumHeight(62)
                field.installEventFilter(self)
            else:
                field = QLineEdit()
                field.editingFinished.connect(self._keep)
            field.setObjectName(f"foray-{name}")
            field.setAccessibleName(f"{words} of the foray")
            field.setToolTip(purpose)
            self._fields[name] = field
            caption = label(f"{words}:")
            caption.setBuddy(field)
            (right if name in ("permission", "note") else left).addRow(caption, field)
        buttons = QVBoxLayout()
        for words, name, call in (
            ("Its finds", "foray-finds", self._ask_finds),
            ("Sort it", "foray-sort", self._ask_sort),
        ):
            button = QPushButton(words)
            button.setObjectName(name)
            button.setAccessibleName(f"{words}: the chosen foray")
            button.setToolTip(
                "Search for the finds of this foray" if name == "foray-finds" else "Open on Sort"
            )
            button.clicked.connect(call)
            buttons.addWidget(button)
        buttons.addStretch(1)
        across.addLayout(left, 1)
        across.addLayout(right, 1)
        across.addLayout(buttons)

    def show_forays(self, forays: Sequence[Foray], counts: Mapping[str, ForayCount], present: str) -> None:
        """Show these (newest first). The chosen line stays; without one, `present` is chosen."""
        key = self._shown.id if self._shown is not None else present
        self._forays = {foray.id: foray for foray in forays}
        self.lines.blockSignals(True)
        self.lines.clear()
        chosen = None
        for foray in forays:
            count = counts.get(foray.id)
            figures = [str(n) for n in (count.photos, count.specimens, count.names)] if count else [""] * 3
            written = day(foray.started, self._bench.preferences, foray.time_zone)
            item = QTreeWidgetItem([foray.title or "Foray without a title", written, foray.site, *figures])
            item.setData(0, Qt.ItemDataRole.UserRole, foray.id)
            item.setSizeHint(0, QSize(0, 28))
            for column in range(3):
                item.setToolTip(column, item.text(column))
            self.lines.addTopLevelItem(item)
            if foray.id == key:
                chosen = item
        chosen = chosen or self.lines.topLevelItem(0)
        if chosen is not None:
            self.lines.setCurrentItem(chosen)
        self.lines.blockSignals(False)
        self._show(self._forays.get(_key(chosen)))

    def hideEvent(self, event: QHideEvent) -> None:
        """Save what stands in a field that still has the focus."""
        self._keep()
        super().hideEvent(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Return on a line asks for its finds; leaving the note saves it."""
        if watched is self._fields.get("note") and event.type() == QEvent.Type.FocusOut:
            self._keep()
        if (
            watched is self.lines
            and isinstance(event, QKeyEvent)
            and event.type() == QEvent.Type.KeyPress
            and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        ):
            self._ask_finds()
            return True
        return super().eventFilter(watched, event)

    def _on_line(self, current: QTreeWidgetItem | None, _previous: QTreeWidgetItem | None) -> None:
        self._keep()
        key = _key(current)
        self._show(self._forays.get(key))
        if key:
            self.chosen.emit(key)

    def _show(self, foray: Foray | None) -> None:
        same = foray is not None and self._shown is not None and foray.id == self._shown.id
        before, self._shown = self._shown, foray
        self._form.setEnabled(foray is not None)
        for name, field in self._fields.items():
            text = _text_of(foray, name)
            if same and field.hasFocus() and _typed(field) != _text_of(before, name):
                continue  # she is writing there
            if _typed(field) == text:
                continue
            if isinstance(field, QPlainTextEdit):
                field.setPlainText(text)
            else:
                field.setText(text)
                field.setCursorPosition(0)

    def _keep(self) -> None:
        """Save every field that says something else than what is kept, each as its own step."""
        foray = self._shown
        if foray is None:
            return
        for name, field in self._fields.items():
            text = _typed(field).strip()
            if text == _text_of(foray, name).strip():
                continue
            # At once, so that a second signal of the same leaving does not save it twice.
            kept = {"people": people_of(text)} if name == "people" else {name: text}
            foray = self._shown = replace(foray, **kept)
            words = FIELDS[name][0].lower()
            key = foray.id

            def change(work: Work, key: str = key, name: str = name, text: str = text) -> None:
                change_foray(work, key, name, text)

            self._bench.do(f"Foray: {words}", change)

    def _ask_finds(self, *_: object) -> None:
        if self._shown is not None:
            self.finds_wanted.emit(self._shown.id)

    def _ask_sort(self, *_: object) -> None:
        if self._shown is not None:
            self.sort_wanted.emit(self._shown.id)


def _key(item: QTreeWidgetItem | None) -> str:
    return str(item.data(0, Qt.ItemDataRole.UserRole)) if item is not None else ""


def _typed(field: QLineEdit | QPlainTextEdit) -> str:
    return field.toPlainText() if isinstance(field, QPlainTextEdit) else field.text()


def _text_of(foray: Foray | None, name: str) -> str:
    if foray is None:
        return ""
    return ", ".join(foray.people) if name == "people" else str(getattr(foray, name))
