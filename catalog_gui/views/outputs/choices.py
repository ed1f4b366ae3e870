"""Asks what goes out: what, which finds, for whom, how much place, what else stands on it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QPalette, QShowEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QCheckBox,
    QComboBox,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QRadioButton,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.privacy import Audience, Reader
from catalog_gui.domain.sheet import Precision
from catalog_gui.presenting.outputs import words
from catalog_gui.presenting.outputs.state import FindLine
from catalog_gui.views import theme
from catalog_gui.views.outputs.options import Options
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.publish.order import PLACELESS, Kind, Order


class Choices(QWidget):
    """Everything that is chosen before something goes out. `changed` follows every choice."""

    changed = Signal()

    def __init__(self, usual: Precision, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._usual = usual
        self._foray_id = ""
        self._finds: tuple[FindLine, ...] = ()
        self._quiet = False
        self._ticked_before: tuple[str, ...] = ()
        self._kinds = QComboBox()
        self._kinds.setObjectName("hand-on-kind")
        self._kinds.setAccessibleName("What goes out")
        for kind in Kind:
            self._kinds.addItem(kind.value, kind)
        self._kinds.activated.connect(self._on_kind)
        self._list = QListWidget()
        self._list.setObjectName("hand-on-finds")
        self._list.setAccessibleName("Finds that go out")
        self._list.setToolTip("Tick the finds that go out (space bar)")
        self._list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._list.setTextElideMode(Qt.TextElideMode.ElideRight)
        self._list.itemChanged.connect(self._tell)
        self._foray = label("", "faded", name="hand-on-foray")
        self._all = button("hand-on-all", "All", "Tick every find of the foray", call=lambda: self.tick(None))
        self._this = button(
            "hand-on-this", "This one", "Tick only the current specimen", call=self._tick_current
        )
        self._current = ""
        self._audience = QComboBox()
        self._audience.setObjectName("hand-on-audience")
        self._audience.setAccessibleName("For whom")
        for audience in Audience:
            self._audience.addItem(audience.value, audience)
        self._audience.activated.connect(self._on_audience)
        self._places = QButtonGroup(self)
        self._radios: dict[Precision, QRadioButton] = {}
        for number, precision in enumerate(words.PRECISIONS):
            radio = QRadioButton(precision.value[0].upper() + precision.value[1:])
            radio.setObjectName(f"hand-on-place-{precision.name.lower().replace('_', '-')}")
            radio.setAccessibleName(f"How much place: {precision.value}")
            self._places.addButton(radio, number)
            self._radios[precision] = radio
        self._places.idClicked.connect(self._on_place)
        self._sure = QCheckBox("Yes, give the exact place this once")
        self._sure.setObjectName("hand-on-sure")
        self._sure.setAccessibleName("Yes, give the exact place this once")
        self._sure.toggled.connect(self._tell)
        self._exact = QFrame()
        self._exact.setObjectName("hand-on-exact")
        self._names = self._check("People's names", "hand-on-names", "Collector and determiners stand on it")
        self._notes = self._check(
            "My notes in words", "hand-on-notes", "Free notes stand on it; read them first"
        )
        self._site = self._check("Name of the site", "hand-on-site", "The site's name stands on it")
        self.options = Options()
        self.options.changed.connect(self._tell)
        self._lay_out()
        self._set_place(usual)
        self.options.show_kind(self.kind())
        self._usual_words()

    def _check(self, text: str, name: str, tip: str) -> QCheckBox:
        box = QCheckBox(text)
        box.setObjectName(name)
        box.setAccessibleName(text)
        box.setToolTip(tip)
        box.toggled.connect(self._tell)
        return box

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(label("What goes out", "heading"))
        column.addWidget(self._kinds)
        column.addWidget(self.options)
        row = QHBoxLayout()
        row.addWidget(label("Which finds", "heading"))
        row.addStretch(1)
        row.addWidget(self._this)
        row.addWidget(self._all)
        column.addLayout(row)
        column.addWidget(self._foray)
        column.addWidget(self._list, 1)
        who = QHBoxLayout()
        who.addWidget(label("For", "heading"))
        who.addWidget(self._audience, 1)
        column.addLayout(who)
        column.addWidget(label("How much place", "heading"))
        grid = QGridLayout()
        grid.setContentsMargins(0, 0, 0, 0)
        for number, precision in enumerate(words.PRECISIONS):
            grid.addWidget(self._radios[precision], number // 2, number % 2)
        column.addLayout(grid)
        inside = QVBoxLayout(self._exact)
        inside.setContentsMargins(0, 0, 0, 0)
        self._exact_words = label("", "caution", name="hand-on-exact-words", wrap=True)
        inside.addWidget(self._exact_words)
        inside.addWidget(self._sure)
        column.addWidget(self._exact)
        column.addWidget(label("What else stands on it", "heading"))
        more = QGridLayout()
        more.setContentsMargins(0, 0, 0, 0)
        more.addWidget(self._names, 0, 0)
        more.addWidget(self._notes, 0, 1)
        more.addWidget(self._site, 1, 0)
        column.addLayout(more)

    def showEvent(self, event: QShowEvent) -> None:
        """Give ticks and dots an edge that can be seen: the style draws it by darkening the ground."""
        super().showEvent(event)
        tone = QColor(theme.tones().faded)
        for kind in (QCheckBox, QRadioButton, QListWidget):
            for control in self.findChildren(kind):
                palette = control.palette()
                palette.setColor(QPalette.ColorRole.Window, tone)
                control.setPalette(palette)

    # -- finds ---------------------------------------------------------------------------------------
    def show_finds(self, foray_id: str, foray: str, finds: tuple[FindLine, ...], current: str) -> None:
        """List the finds of a foray; ticks are kept, a newly current specimen is ticked alone."""
        ticked = set(self.ticked())
        anew = foray_id != self._foray_id
        moved = current != self._current
        self._foray_id, self._finds, self._current = foray_id, finds, current
        known = {find.id for find in finds}
        if (moved and current in known) or anew or not ticked & known:
            ticked = {current} if current in known else {finds[0].id} if finds else set()
        self._foray.setText(words.foray_words(foray, finds))
        self._quiet = True
        row = self._list.currentRow()
        self._list.clear()
        for find in finds:
            item = QListWidgetItem(words.find_words(find))
            item.setToolTip(words.find_words(find) + ("   (place private)" if find.private else ""))
            item.setData(Qt.ItemDataRole.UserRole, find.id)
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Checked if find.id in ticked else Qt.CheckState.Unchecked)
            self._list.addItem(item)
        self._list.setCurrentRow(max(0, min(row, self._list.count() - 1)))
        self._quiet = False

    def ticked(self) -> tuple[str, ...]:
        """The finds that are ticked, in the order of the list."""
        items = (self._list.item(i) for i in range(self._list.count()))
        return tuple(
            item.data(Qt.ItemDataRole.UserRole)
            for item in items
            if item.checkState() == Qt.CheckState.Checked
        )

    def tick(self, wanted: Sequence[str] | None) -> None:
        """Tick these finds only; None: all of them."""
        self._quiet = True
        for i in range(self._list.count()):
            item = self._list.item(i)
            on = wanted is None or item.data(Qt.ItemDataRole.UserRole) in wanted
            item.setCheckState(Qt.CheckState.Checked if on else Qt.CheckState.Unchecked)
        self._quiet = False
        self._tell()

    def _tick_current(self) -> None:
        item = self._list.currentItem()
        here = self._current or (item.data(Qt.ItemDataRole.UserRole) if self._list.count() else "")
        self.tick((here,))

    # -- choices -------------------------------------------------------------------------------------
    def kind(self) -> Kind:
        """What goes out."""
        return Kind(self._kinds.currentData())

    def set_kind(self, kind: Kind) -> None:
        """Choose what goes out."""
        self._kinds.setCurrentIndex(self._kinds.findData(kind))
        self._on_kind()

    def set_audience(self, audience: Audience) -> None:
        """Choose for whom."""
        self._audience.setCurrentIndex(self._audience.findData(audience))
        self._on_audience()

    def set_usual(self, usual: Precision) -> None:
        """What a new paper begins with."""
        self._usual = usual
        self._set_place(usual)

    def set_place(self, precision: Precision) -> None:
        """Choose how much place; the exact one still waits for the deliberate yes."""
        self._set_place(precision)
        self._tell()

    def forget_exact(self) -> None:
        """The exact place was given this once; the next paper begins coarse again."""
        if self._precision is Precision.EXACT:
            self.set_place(words.usual_place(self._audience_now(), self._usual))

    def order(self) -> Order:
        """What is chosen now."""
        plain = Order(self.kind(), self.ticked(), self._foray_id, self._audience_now(), self.reader())
        return self.options.filled(plain)

    def reader(self) -> Reader:
        """For whom it is and what it gives away."""
        return Reader(
            self._precision,
            names=self._names.isChecked(),
            notes=self._notes.isChecked(),
            site=self._site.isChecked(),
            deliberate=self._precision is Precision.EXACT and self._sure.isChecked(),
        )

    @property
    def settled(self) -> bool:
        """Whether it may go out: the exact place needs its yes."""
        return self._precision is not Precision.EXACT or self._sure.isChecked()

    def _audience_now(self) -> Audience:
        return Audience(self._audience.currentData())

    @property
    def _precision(self) -> Precision:
        return words.PRECISIONS[max(0, self._places.checkedId())]

    def _set_place(self, precision: Precision) -> None:
        self._radios[precision].setChecked(True)
        self._quiet = True
        self._sure.setChecked(False)
        self._quiet = False
        self._exact.setVisible(precision is Precision.EXACT)

    def _on_kind(self) -> None:
        self._set_place(self._usual)
        for radio in self._radios.values():
            radio.setEnabled(self.kind() not in PLACELESS)
        self._tick_for_kind()
        self.options.show_kind(self.kind())
        if (audience := words.USUAL_AUDIENCE.get(self.kind())) is not None:
            self._audience.setCurrentIndex(self._audience.findData(audience))
            self._on_audience()
        self._tell()

    def _tick_for_kind(self) -> None:
        """A report is about the whole foray: tick it, and go back to the one find afterwards."""
        if self.kind() in (Kind.OWNER, Kind.GROUP):
            if len(self.ticked()) <= 1 < len(self._finds):
                self._ticked_before = self.ticked()
                self.tick(None)
        elif self._ticked_before and len(self.ticked()) == len(self._finds):
            self.tick(self._ticked_before)
            self._ticked_before = ()

    def _on_audience(self) -> None:
        self._set_place(words.usual_place(self._audience_now(), self._usual))
        self._usual_words()
        self._tell()

    def _usual_words(self) -> None:
        """Tick what usually stands on it."""
        usual = words.usual_reader(self._audience_now(), self._usual)
        self._quiet = True
        self._site.setChecked(usual.site)
        self._names.setChecked(usual.names)
        self._notes.setChecked(usual.notes)
        self._quiet = False

    def _on_place(self, number: int) -> None:
        self._set_place(words.PRECISIONS[number])
        self._tell()

    def _tell(self, *_: object) -> None:
        if self._quiet:
            return
        self._exact_words.setText(words.exact_words(len(self.ticked()), self._audience_now()))
        self.changed.emit()

    # -- words ---------------------------------------------------------------------------------------
    def precision_words(self, order: Order) -> str:
        """How much place the order gives, in words for the log."""
        return words.precision_words(order, self._finds)

    def before_words(self) -> str:
        """What the reader gets and does not get, in sentences."""
        return words.before_words(self.order(), self._finds)

    def empty_words(self) -> str:
        """What to do when nothing can be shown."""
        return words.empty_words(self.kind(), self._finds)

    def file_filter(self) -> str:
        """The kinds of file for the dialog."""
        return words.file_filter(self.kind(), self.options.file_suffix())

    def file_name(self) -> str:
        """A name for the file that gives nothing away."""
        return words.file_name(self.order(), self._finds, self.options.file_suffix())
