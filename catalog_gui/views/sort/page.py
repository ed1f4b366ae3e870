"""Sorts: the trail with its clocks, plan and tray; the doubtful joins first, everything undoable."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QPoint, Qt, QTimer
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QMenu,
    QPushButton,
    QSlider,
    QSplitter,
    QStackedLayout,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.ledger import Changed
from catalog_gui.domain.makers_notes import MakersNotes
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import Cancelled
from catalog_gui.presenting.sort.commands import BAR, COMMANDS, MENU, possible
from catalog_gui.presenting.sort.reader import SortReader
from catalog_gui.presenting.sort.state import SortState
from catalog_gui.presenting.sort.words import progress_words, tray_words
from catalog_gui.views.bench import Bench
from catalog_gui.views.page import Page
from catalog_gui.views.sort.clock_setting import ClockSetting
from catalog_gui.views.sort.clocks import ClockShelf
from catalog_gui.views.sort.corrections import Corrections
from catalog_gui.views.sort.large_picture import LargePicture
from catalog_gui.views.sort.plan import PlanView
from catalog_gui.views.sort.trail import TrailView
from catalog_gui.views.sort.tray import TrayView
from catalog_gui.views.widgets.actions import add_action
from catalog_gui.views.widgets.buttons import button, button_of
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.foray_memory import ForayMemory
from catalog_gui.workflows.ports import UnitOfWork
from catalog_gui.workflows.regroup import explain
from catalog_gui.workflows.weigh_looks import LABEL, weigh_looks

RECORD_TABLES = (
    "photos",
    "groups",
    "joins",
    "clocks",
    "same_as",
    "specimens",
    "determinations",
    "forays",
    "tracks",
)


EMPTY_TRAY = 76
"""An empty tray leaves its room to the plan, px."""


class SortPage(Page):
    """From pictures to specimens."""

    key = "sort"
    title = "Sort"
    purpose = "Which pictures show the same specimen"

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(bench, parent)
        self._state = SortState()
        self._memory = ForayMemory()  # both are used on the records lane only
        self._reader = SortReader(bench.surroundings, self._memory)
        self._later: list[Callable[[], None]] = []
        self.clocks = ClockShelf(self)
        self.trail = TrailView(bench.pictures, self)
        self.plan = PlanView(self)
        self.tray = TrayView(bench.pictures, self)
        self.corrections = Corrections(bench, self._memory, self.trail, self.tray, self)
        self.clock_setting = ClockSetting(bench, self._memory, self.trail, self.clocks, self)
        self.order = self.clock_setting.order
        self._sentence = label("", "heading", name="sort-sentence")
        self._actions: dict[str, QAction] = {}
        self._slices = QTimer(self)
        self._slices.setInterval(0)
        self._slices.timeout.connect(self._next_slice)
        self._quiet = QTimer(self)
        self._quiet.setSingleShot(True)
        self._quiet.setInterval(1500)
        self._quiet.timeout.connect(self._explain)
        self._make_actions()
        self._lay_out()
        self.trail.current_changed.connect(self._on_current)
        self.trail.selection_changed.connect(self._enable)
        self.trail.asked.connect(self._menu)
        self.trail.answered.connect(self.corrections.give_answer)
        self.trail.dropped.connect(self.corrections.drop)
        self.trail.opened.connect(self._show_large)
        self.plan.group_chosen.connect(self.trail.choose_group)
        self.tray.dropped.connect(self.corrections.lay_aside)
        self.tray.opened.connect(self._show_large)
        self.corrections.hands_changed.connect(self._enable)
        self.tray.selectionModel().selectionChanged.connect(lambda *_: self._enable())
        self.clocks.photo_chosen.connect(self.trail.choose)
        bench.foray_chosen.connect(lambda _: self.mark_stale())
        bench.preferences_changed.connect(lambda _: self.mark_stale())  # the grid places are written in
        bench.looks_ready.connect(self._weigh_looks)

    # --- building ------------------------------------------------------------------------------

    def _make_actions(self) -> None:
        do, clocks = self.corrections, self.clock_setting
        calls: dict[str, Callable[[], object]] = {
            "doubtful": do.next_doubtful,
            "together": partial(do.answer, True),
            "apart": partial(do.answer, False),
            "cut": do.cut,
            "join": do.join,
            "lift": do.lift_out,
            "aside": do.lay_chosen_aside,
            "back": do.bring_back,
            "same": do.same_menu,
            "pick-up": do.pick_up,
            "put-down": do.put_down,
            "before": partial(do.shove, -1),
            "after": partial(do.shove, 1),
            "pair": clocks.pair,
            "clock": clocks.ask_here,
            "track": self._load_track,
            "accept": do.accept,
            "accept-all": do.accept_all,
            "describe": do.describe,
            "large": self._large_here,
            "all": self.trail.choose_all,
        }
        for one in COMMANDS:
            call = calls[one.name]
            self._actions[one.name] = add_action(self, f"sort-{one.name}", one.words, one.keys, call, one.tip)

    def _button(self, name: str, *, main: bool = False) -> QPushButton:
        return button_of(f"button-sort-{name}", self._actions[name], main=main)

    def _lay_out(self) -> None:
        bar = QHBoxLayout()
        bar.setContentsMargins(10, 4, 10, 4)
        bar.addWidget(self._sentence)
        bar.addStretch(1)
        for names in BAR:
            for name in names:
                bar.addWidget(self._button(name))
            bar.addSpacing(10)
        bar.addWidget(self._button("accept", main=True))
        bar.addWidget(self._button("accept-all"))
        side = QWidget()
        right = QVBoxLayout(side)
        right.setContentsMargins(0, 0, 0, 0)
        right.setSpacing(4)
        right.addWidget(self.plan, 3)
        track = self._actions["track"]
        load = button(
            "button-sort-track",
            "Load a track…",
            "Load a track",
            tip=track.toolTip(),
            call=track.trigger,
            small=True,
        )
        load.setParent(self.plan)
        load.move(7, 7)
        tray_row = QHBoxLayout()
        self._tray_title = label("Tray", "heading", name="tray-title")
        tray_row.addWidget(self._tray_title, 1)
        tray_row.addWidget(self._button("back"))
        right.addLayout(tray_row)
        right.addWidget(self.tray, 2)
        self._side = right
        size = QSlider(Qt.Orientation.Horizontal)
        size.setObjectName("picture-size")
        size.setAccessibleName("Size of the pictures")
        size.setToolTip("Size of the pictures (Ctrl and wheel)")
        size.setRange(72, 320)
        size.setValue(self.trail.edge)
        size.setFixedWidth(90)
        size.valueChanged.connect(self.trail.set_edge)
        self.trail.edge_changed.connect(size.setValue)
        large = label("Pictures:", "faded", name="picture-size-label")
        large.setBuddy(size)
        tray_row.addWidget(large)
        tray_row.addWidget(size)
        split = QSplitter(Qt.Orientation.Horizontal)
        split.setObjectName("sort-split")
        split.addWidget(self.trail)
        split.addWidget(side)
        split.setStretchFactor(0, 3)
        split.setStretchFactor(1, 1)
        split.setSizes([940, 380])
        work = QWidget()
        column = QVBoxLayout(work)
        column.setContentsMargins(8, 0, 8, 4)
        column.setSpacing(2)
        column.addLayout(bar)
        column.addWidget(self.clocks)
        column.addWidget(split, 1)
        empty = QWidget()
        empty.setObjectName("sort-empty")
        middle = QVBoxLayout(empty)
        middle.addStretch(2)
        words = label("No pictures yet", "title", name="sort-empty-title")
        words.setAlignment(Qt.AlignmentFlag.AlignCenter)
        middle.addWidget(words)
        hint = label(
            "Take in a folder or a card, or drop it on this window.\n"
            "The originals are only read: nothing is copied, moved or changed.",
            "faded",
        )
        hint.setAlignment(Qt.AlignmentFlag.AlignCenter)
        middle.addWidget(hint)
        middle.addSpacing(8)
        take = self._take = button(
            "sort-take-in",
            "Take in pictures…",
            "Take in pictures",
            tip="Choose a folder or card",
            shown="Ctrl+T",
            call=lambda: self.bench.take_in_wanted.emit([], ""),
            main=True,
        )
        middle.addWidget(take, 0, Qt.AlignmentFlag.AlignCenter)
        middle.addStretch(3)
        self._pages = QStackedLayout(self)
        self._pages.addWidget(work)
        self._pages.addWidget(empty)
        self._pages.setCurrentIndex(1)
        self.setTabOrder(self.trail, self.plan)
        self.setTabOrder(self.plan, self.tray)

    # --- state ---------------------------------------------------------------------------------

    def reload(self, changed: Changed | None) -> None:
        """Read the foray again when something of it moved."""
        if changed is not None and not changed.touches(*RECORD_TABLES):
            return
        foray_id = self.bench.foray_id
        preferences = self.bench.preferences
        self.bench.read(lambda work: self._reader.read(work, foray_id, preferences), self._show)

    def enter(self) -> None:
        """To the front; the keys work on the trail at once."""
        super().enter()
        self._first_focus()

    def _first_focus(self) -> None:
        (self.trail if self._pages.currentIndex() == 0 else self._take).setFocus()

    @property
    def state(self) -> SortState:
        """What is shown."""
        return self._state

    @property
    def sentence(self) -> str:
        """How far the sorting is, in words."""
        return self._sentence.text()

    @property
    def slicing(self) -> bool:
        """Whether parts of the page are still to be filled."""
        return bool(self._later)

    def _show(self, state: SortState) -> None:
        """The trail at once; the clocks, the tray and the plan each in a turn of their own."""
        if state.foray is not None and state.foray.id != self.bench.foray_id:
            return  # an answer about the foray that was open before
        self._state = state
        shown = 0 if state.foray is not None and state.photos else 1
        if shown != self._pages.currentIndex():
            self._pages.setCurrentIndex(shown)
            if self.isVisible():
                self._first_focus()
        self.trail.set_state(state)
        self._later = [
            partial(self.clocks.set_state, state),
            partial(self.tray.set_photos, state.tray, state.tray_key),
            partial(self.plan.set_state, state),
            self._tie,
        ]
        self._slices.start()
        self._sentence.setText(progress_words(state))
        count = len(state.tray)
        self._tray_title.setText(tray_words(count))
        self._side.setStretch(2, 2 if count else 0)
        self.tray.setMaximumHeight(16_777_215 if count else EMPTY_TRAY)
        if self.corrections.go_to:
            wanted, self.corrections.go_to = self.corrections.go_to, ""
            self.trail.choose(wanted)
        self._enable()
        self._quiet.start()

    def next_doubtful(self) -> None:
        """Go to what is least certain; the next time to the one after it."""
        self.corrections.next_doubtful()

    def _next_slice(self) -> None:
        if self._later:
            self._later.pop(0)()
        if not self._later:
            self._slices.stop()

    def _tie(self) -> None:
        self._on_current(self.trail.current)

    def _on_current(self, photo_id: str) -> None:
        """What is chosen on the trail shows on the plan and on the lanes."""
        row = self.trail.current_row
        self.plan.choose(row.group.id if row is not None else "")
        self.clocks.choose(photo_id)
        self._enable()

    def _enable(self) -> None:
        """Only what can be done now can be pressed."""
        able = possible(
            self._state,
            self.trail.current,
            self.trail.selected_groups(),
            lifted=bool(self.trail.lifted),
            in_tray=self.tray.selectionModel().hasSelection(),
        )
        for name, action in self._actions.items():
            action.setEnabled(name in able)

    def _explain(self) -> None:
        """When all is quiet: which written positions were not believed, and why. Readies the next correction."""
        if not self._state.photos or not self.isVisible():
            return
        surroundings, foray_id, memory = self.bench.surroundings, self.bench.foray_id, self._memory
        self.bench.read(
            lambda work: {
                note.photo: note.reason
                for note in explain(work, foray_id, surroundings, memory).ignored_fixes
            },
            self.trail.set_ignored,
        )

    def _weigh_looks(self, foray_id: str, since: object) -> None:
        """The previews of what was taken in are at hand: their look is one more piece of evidence."""
        surroundings = self.bench.surroundings
        memory = self._memory if foray_id == self.bench.foray_id else None

        def weigh(work: UnitOfWork) -> None:
            if not weigh_looks(work, foray_id, since, surroundings, memory=memory):
                raise Cancelled  # nothing came of it: no step, no word

        self.bench.do(LABEL, weigh)

    def _load_track(self) -> None:
        files, _ = QFileDialog.getOpenFileNames(self, "Tracks of this foray", "", "Tracks (*.gpx *.GPX)")
        if files:
            self.bench.take_in_wanted.emit(files, self.bench.foray_id)

    def _menu(self, _what: str, where: QPoint) -> None:
        menu = QMenu(self)
        for names in MENU:
            menu.addActions([self._actions[name] for name in names if self._actions[name].isEnabled()])
            menu.addSeparator()
        menu.setObjectName("trail-menu")
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.popup(where)

    def _large_here(self) -> None:
        self._show_large(self.trail.current)

    def _show_large(self, photo_id: str) -> None:
        photo = self._state.photos.get(photo_id)
        if photo is not None:
            LargePicture(photo, self._state, self.bench.pictures, self._read_notes, self).open()

    def _read_notes(self, photo: Photo, then: Callable[[MakersNotes], None]) -> None:
        files = self.bench.files
        self.bench.start_long(
            lambda _records, _reporter: files.makers_notes(photo.path),
            done=then,
            failed=lambda _: None,  # that the file cannot be read is said in the picture's place
            quiet=True,
        )
