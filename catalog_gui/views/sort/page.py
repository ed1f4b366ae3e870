"""Sort: the trail with its clocks, plan and tray; the doubtful joins first, everything undoable."""

from __future__ import annotations

from collections.abc import Callable
from datetime import time
from functools import partial

from PySide6.QtCore import QPoint, Qt, QTimer
from PySide6.QtGui import QAction, QKeySequence
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
from shiboken6 import isValid

from catalog_gui.domain.foray import Clock
from catalog_gui.domain.ledger import Changed
from catalog_gui.domain.problem import Cancelled
from catalog_gui.grouping import Proposal
from catalog_gui.views.bench import Bench
from catalog_gui.views.page import SMALL, Page, label
from catalog_gui.views.sort.clock_dialog import ClockDialog
from catalog_gui.views.sort.clocks import ClockShelf
from catalog_gui.views.sort.interleave import InterleaveView, interleaved
from catalog_gui.views.sort.large_picture import LargePicture
from catalog_gui.views.sort.plan import PlanView
from catalog_gui.views.sort.reader import SortReader
from catalog_gui.views.sort.state import Row, SortState
from catalog_gui.views.sort.trail import TrailView
from catalog_gui.views.sort.trail_card import Asked, asked_at, asked_inside
from catalog_gui.views.sort.tray import TrayView
from catalog_gui.views.words import offset_words
from catalog_gui.workflows import sorting
from catalog_gui.workflows.foray_memory import ForayMemory
from catalog_gui.workflows.ports import Work
from catalog_gui.workflows.regroup import explain
from catalog_gui.workflows.weigh_looks import LABEL, weigh_looks

SHELVES = (
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
        self._after_reload = ""
        self._later: list[Callable[[], None]] = []
        self.clocks = ClockShelf(self)
        self.trail = TrailView(bench.pictures, self)
        self.plan = PlanView(self)
        self.tray = TrayView(bench.pictures, self)
        self.order = InterleaveView(bench.pictures, self)
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
        self.trail.answered.connect(self._give_answer)
        self.trail.dropped.connect(self._on_dropped)
        self.trail.opened.connect(self._show_large)
        self.plan.group_chosen.connect(self.trail.choose_group)
        self.tray.dropped.connect(self._aside_photos)
        self.tray.opened.connect(self._show_large)
        self.tray.selectionModel().selectionChanged.connect(lambda *_: self._enable())
        self.clocks.photo_chosen.connect(self.trail.choose)
        self.clocks.shift_wanted.connect(self._shift_clock)
        self.clocks.moving.connect(self._on_moving)
        self.clocks.still.connect(self._on_still)
        self.clocks.asked.connect(self._ask_clock)
        bench.foray_chosen.connect(lambda _: self.mark_stale())
        bench.looks_ready.connect(self._weigh_looks)

    # --- building ------------------------------------------------------------------------------

    def _make_actions(self) -> None:
        def add(name: str, words: str, keys: str, tip: str, call: Callable[[], object]) -> None:
            action = QAction(words, self)
            action.setObjectName(f"sort-{name}")
            action.setShortcuts([QKeySequence(one) for one in keys.split()])
            action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            action.setToolTip(f"{tip} ({keys.split(maxsplit=1)[0]})")
            action.triggered.connect(lambda _=False: call())
            self.addAction(action)
            self._actions[name] = action

        answer = self._answer
        add("doubtful", "Next doubtful", "D", "Go to what is least certain", self.next_doubtful)
        add("together", "Together", "T", "Both sides show one specimen", partial(answer, True))
        add("apart", "Apart", "A", "The two sides are different specimens", partial(answer, False))
        add("cut", "Cut here", "C", "This picture begins another specimen", self._cut)
        add("join", "Join above", "J", "This group and the one before it are one specimen", self._join)
        add("lift", "Lift out", "L", "Give the chosen pictures a group of their own", self._lift)
        add("aside", "Not a specimen", "N Del", "Boots, signs, views: lay them in the tray", self._aside)
        add(
            "back",
            "Back to the trail",
            "B",
            "Let the chosen pictures of the tray be placed",
            self._bring_back,
        )
        add("same", "Same as…", "S", "This group shows a specimen that is there already", self._same_menu)
        add("pick-up", "Pick up", "X", "Carry the chosen pictures to another group", self._pick_up)
        add("put-down", "Put down here", "V", "Put what was picked up into this group", self._put_down)
        add(
            "before",
            "Move to the group before",
            "Alt+Up",
            "The chosen pictures belong there",
            partial(self._shove, -1),
        )
        add(
            "after",
            "Move to the group after",
            "Alt+Down",
            "The chosen pictures belong there",
            partial(self._shove, 1),
        )
        add("pair", "Same moment", "M", "Two chosen pictures show one moment: set the clock", self._pair)
        add("clock", "Clock of this camera…", "K", "Set the clock by pairing or typing", self._clock_here)
        add(
            "track",
            "Load a track…",
            "Ctrl+L",
            "Take in the walk as a receiver logged it (GPX)",
            self._load_track,
        )
        add("accept", "Accept", "Return Enter", "Make a specimen of each chosen group", self._accept)
        add(
            "accept-all",
            "Accept all",
            "Ctrl+Return",
            "Make specimens of all groups that are not doubtful",
            self._accept_all,
        )
        add("describe", "Describe", "Ctrl+D", "Go on to describe this specimen", self._describe)
        add("large", "Look at it large", "O", "Open the picture in a window of its own", self._large_here)
        add(
            "all", "Choose all pictures", "Ctrl+A", "Choose every picture of the trail", self.trail.choose_all
        )

    def _button(self, name: str, *, main: bool = False) -> QPushButton:
        action = self._actions[name]
        button = QPushButton(action.text())
        button.setObjectName(f"button-sort-{name}")
        button.setAccessibleName(action.text())
        button.setToolTip(action.toolTip())
        if main:
            button.setProperty("role", "main")
        button.clicked.connect(action.trigger)
        action.changed.connect(lambda: button.setEnabled(action.isEnabled()))
        return button

    def _lay_out(self) -> None:
        bar = QHBoxLayout()
        bar.setContentsMargins(10, 4, 10, 4)
        bar.addWidget(self._sentence)
        bar.addStretch(1)
        for name in ("doubtful", "together", "apart"):
            bar.addWidget(self._button(name))
        bar.addSpacing(10)
        for name in ("cut", "join", "lift", "aside", "same"):
            bar.addWidget(self._button(name))
        bar.addSpacing(10)
        bar.addWidget(self._button("accept", main=True))
        bar.addWidget(self._button("accept-all"))
        side = QWidget()
        right = QVBoxLayout(side)
        right.setContentsMargins(0, 0, 0, 0)
        right.setSpacing(4)
        right.addWidget(self.plan, 3)
        load = QPushButton(self.plan)
        load.setObjectName("button-sort-track")
        load.setAccessibleName("Load a track")
        load.setText("Load a track…")
        load.setToolTip(self._actions["track"].toolTip())
        load.clicked.connect(self._actions["track"].trigger)
        load.setStyleSheet(SMALL)
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
        size.setFixedWidth(130)
        size.valueChanged.connect(self.trail.set_edge)
        self.trail.edge_changed.connect(size.setValue)
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
        take = QPushButton("Take in pictures…")
        take.setObjectName("sort-take-in")
        take.setAccessibleName("Take in pictures")
        take.setToolTip("Choose a folder or card (Ctrl+T)")
        take.setProperty("role", "main")
        take.clicked.connect(lambda: self.bench.take_in_wanted.emit([], ""))
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
        if changed is not None and not changed.touches(*SHELVES):
            return
        foray_id = self.bench.foray_id
        preferences = self.bench.preferences
        self.bench.read(lambda work: self._reader.read(work, foray_id, preferences), self._show)

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
        self._pages.setCurrentIndex(0 if state.foray is not None and state.photos else 1)
        self.trail.set_state(state)
        self._later = [
            partial(self.clocks.set_state, state),
            partial(self.tray.set_photos, state.tray, state.tray_key),
            partial(self.plan.set_state, state),
            self._tie,
        ]
        self._slices.start()
        accepted = sum(1 for row in state.rows if row.specimen is not None)
        doubtful = len(state.doubtful) + len(state.offers)
        words = f"{len(state.rows)} group{'' if len(state.rows) == 1 else 's'}"
        if accepted:
            words += f", {accepted} accepted"
        words += f", {doubtful} to settle" if doubtful else ", none doubtful"
        self._sentence.setText(words)
        count = len(state.tray)
        self._tray_title.setText(f"Tray: {count} picture{'' if count == 1 else 's'}" if count else "Tray")
        self._side.setStretch(2, 2 if count else 0)
        self.tray.setMaximumHeight(16_777_215 if count else EMPTY_TRAY)
        if self._after_reload:
            wanted, self._after_reload = self._after_reload, ""
            self.trail.choose(wanted)
        self._enable()
        self._quiet.start()

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
        row, photo_id = self.trail.current_row, self.trail.current
        there = row is not None
        asked = self._asked() is not None
        index = self._state.row_of(photo_id)
        groups = self.trail.selected_groups() if len(self._state.rows) else []
        for name, able in {
            "doubtful": bool(self._state.doubtful or self._state.offers),
            "together": asked,
            "apart": asked,
            "cut": row is not None and row.photos[0].id != photo_id,
            "join": index > 0 or len(groups) > 1,
            "lift": there,
            "aside": there,
            "same": there,
            "pick-up": there,
            "put-down": there and bool(self.trail.lifted),
            "before": index > 0,
            "after": 0 <= index < len(self._state.rows) - 1,
            "pair": there,
            "clock": there,
            "accept": there and any(self._row_of_group(key).specimen is None for key in groups),
            "accept-all": any(other.specimen is None for other in self._state.rows),
            "describe": row is not None and row.specimen is not None,
            "large": there,
            "back": bool(self.tray.selectionModel().hasSelection()),
        }.items():
            self._actions[name].setEnabled(able)

    def _row_of_group(self, group_id: str) -> Row:
        return self._state.rows[self._state.row_of_group[group_id]]

    def _asked(self) -> Asked | None:
        """The open question at the current picture: inside its group, or above the group it begins."""
        row = self.trail.current_row
        if row is None:
            return None
        if row.photos[0].id == self.trail.current:
            return asked_at(row)
        return asked_inside(row, self.trail.current)

    # --- what she does -------------------------------------------------------------------------

    def _do(
        self, words: str, action: Callable[[Work], object], then: Callable[[object], None] | None = None
    ) -> None:
        self.bench.do(words, action, then, failed=lambda error: self.bench.trouble.emit(str(error)))

    def next_doubtful(self) -> None:
        """Go to what is least certain; the next time to the one after it. Offers come after the joins."""
        wanted = self._to_settle()
        if not wanted:
            self.bench.said.emit("Nothing is doubtful.")
            return
        at = wanted.index(self.trail.current) + 1 if self.trail.current in wanted else 0
        self.trail.choose(wanted[at % len(wanted)])
        self.trail.ensure_visible(self.trail.current, whole_row=True)
        self.trail.setFocus()
        asked = self._asked()
        if asked is not None:
            self.bench.said.emit(f"{asked.question} {asked.reason.rstrip('.')}. T together, A apart.")

    def _to_settle(self) -> list[str]:
        """The pictures at which something is asked, the least certain first."""
        offers = sorted(self._state.offers, key=lambda row: -row.offer.probability if row.offer else 0.0)
        wanted = [join.after for join in self._state.doubtful] + [row.photos[0].id for row in offers]
        return [key for key in dict.fromkeys(wanted) if key in self._state.where]

    def _answer(self, together: bool) -> None:
        asked = self._asked()
        if asked is None:
            self.bench.said.emit("Nothing is asked at this picture.")
            return
        rest = [key for key in self._to_settle() if key != self.trail.current]
        self._after_reload = rest[0] if rest else self.trail.current
        self._give_answer(asked.kind, asked.key, together)

    def _give_answer(self, kind: str, key: str, together: bool) -> None:
        surroundings, prefix = self.bench.surroundings, self.bench.preferences.number_prefix
        memory = self._memory
        if kind == "join":
            words = "Set together" if together else "Set apart"
            self._do(
                words, lambda work: sorting.settle_join(work, key, together, surroundings, memory=memory)
            )
        else:
            words = "Same specimen" if together else "Not the same specimen"
            self._do(
                words, lambda work: sorting.answer_same_as(work, key, together, surroundings, prefix=prefix)
            )

    def _cut(self) -> None:
        photo_id = self.trail.current
        surroundings, memory = self.bench.surroundings, self._memory
        if photo_id:
            self._do(
                "Cut a group in two",
                lambda work: sorting.split_before(work, photo_id, surroundings, memory=memory),
            )

    def _join(self) -> None:
        index = self._state.row_of(self.trail.current)
        chosen = self.trail.selected_groups()
        if len(chosen) < 2:
            if index < 1:
                self.bench.said.emit("There is no group above this one.")
                return
            chosen = [self._state.rows[index - 1].group.id, self._state.rows[index].group.id]
        surroundings, memory = self.bench.surroundings, self._memory
        self._do("Join groups", lambda work: sorting.join_groups(work, chosen, surroundings, memory=memory))

    def _lift(self) -> None:
        self._move(self.trail.selected(), "", "Lift pictures out")

    def _pick_up(self) -> None:
        chosen = self.trail.selected()
        self.trail.pick_up(chosen)
        self._enable()
        count = f"{len(chosen)} picture{'' if len(chosen) == 1 else 's'}"
        self.bench.said.emit(f"{count} picked up. Go to another group and press V; Escape lets them lie.")

    def _put_down(self) -> None:
        row = self.trail.current_row
        if row is not None:
            self._move(self.trail.lifted, row.group.id, "Move pictures")
            self.trail.pick_up([])

    def _shove(self, by: int) -> None:
        index = self._state.row_of(self.trail.current) + by
        if 0 <= index < len(self._state.rows):
            self._move(self.trail.selected(), self._state.rows[index].group.id, "Move pictures")

    def _move(self, chosen: list[str], group_id: str, words: str) -> None:
        if not chosen:
            self.bench.said.emit("Choose the pictures to move first.")
            return
        self._after_reload = chosen[0]
        surroundings, memory = self.bench.surroundings, self._memory
        self._do(words, lambda work: sorting.move_photos(work, chosen, group_id, surroundings, memory=memory))

    def _aside(self) -> None:
        self._aside_photos(self.trail.selected())

    def _aside_photos(self, chosen: list[str]) -> None:
        if not chosen:
            return
        following = self._following(chosen)
        self._after_reload = following
        surroundings, memory = self.bench.surroundings, self._memory
        self._do(
            "Lay pictures in the tray",
            lambda work: sorting.set_aside(work, chosen, surroundings, memory=memory),
        )

    def _following(self, chosen: list[str]) -> str:
        gone, order = set(chosen), self._state.order
        last = max((self._state.place_of(key) for key in chosen), default=-1)
        return next((key for key in (*order[last + 1 :], *order) if key not in gone), "")

    def _bring_back(self) -> None:
        chosen = self.tray.selected()
        if not chosen:
            self.bench.said.emit("Choose pictures in the tray first.")
            return
        self._after_reload = chosen[0]
        surroundings, memory = self.bench.surroundings, self._memory
        self._do(
            "Bring pictures back", lambda work: sorting.bring_back(work, chosen, surroundings, memory=memory)
        )

    def _on_dropped(self, ids: list[str], group_id: str) -> None:
        self._move(ids, group_id, "Move pictures")

    def _accept(self) -> None:
        chosen = [
            group
            for group in self.trail.selected_groups()
            if any(row.group.id == group and row.specimen is None for row in self._state.rows)
        ]
        self._accept_groups(chosen, "Every chosen group is a specimen already.")

    def _accept_all(self) -> None:
        chosen = [
            row.group.id
            for row in self._state.rows
            if row.specimen is None and not row.doubtful and row.offer is None
        ]
        left = sum(1 for row in self._state.rows if row.specimen is None) - len(chosen)
        self._accept_groups(chosen, "Nothing certain is left to accept.")
        if left:
            self.bench.said.emit(f"{left} doubtful group{'' if left == 1 else 's'} left for you to settle.")

    def _accept_groups(self, groups: list[str], nothing: str) -> None:
        if not groups:
            self.bench.said.emit(nothing)
            return
        bench = self.bench
        words = f"Accept {len(groups)} specimen{'' if len(groups) == 1 else 's'}"

        def accepted(made: object) -> None:
            if isinstance(made, tuple) and made:
                bench.choose_specimen(str(made[0]))

        self._do(
            words,
            lambda work: sorting.accept(
                work,
                groups,
                bench.surroundings,
                prefix=bench.preferences.number_prefix,
                collector=bench.preferences.person,
            ),
            accepted,
        )

    def _describe(self) -> None:
        row = self.trail.current_row
        if row is None or row.specimen is None:
            self.bench.said.emit("Accept the group first; then it can be described.")
            return
        self.bench.choose_specimen(row.specimen.id)
        self.bench.page_wanted.emit("describe")

    def _same_menu(self) -> None:
        row = self.trail.current_row
        if row is None:
            return
        menu = QMenu(self)
        if row.offer is not None:
            for together, word in ((True, "Yes, the same as"), (False, "No, not")):
                answer = menu.addAction(f"{word} {row.offer_words}   ({row.offer.reason})")
                answer.triggered.connect(partial(self._give_answer, "offer", row.offer.id, together))
            menu.addSeparator()
        group_id = row.group.id
        seen: set[str] = set()
        for other in self._state.rows:
            if other.specimen is None or other.group.id == group_id or other.specimen.id in seen:
                continue
            seen.add(other.specimen.id)
            key = other.specimen.id
            action = menu.addAction(f"{other.specimen.number}   {other.name}")
            action.triggered.connect(
                lambda _=False, key=key: self._do(
                    "Same specimen", lambda work: sorting.same_specimen(work, group_id, key)
                )
            )
        if menu.isEmpty():
            menu.addAction("No specimen is accepted yet.").setEnabled(False)
        at = self.trail.rect_of(self.trail.current)
        menu.setObjectName("same-menu")
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.popup(self.trail.viewport().mapToGlobal(at.bottomLeft()))

    def _pair(self) -> None:
        chosen = self.trail.selected()
        if len(chosen) != 2:
            self._clock_here()
            return
        first, second = (self._state.photos[key] for key in chosen)
        clocks = {clock.camera_key: clock for clock in self._state.clocks}
        one, two = clocks.get(self._state.clock_key(first)), clocks.get(self._state.clock_key(second))
        if one is None or two is None:
            return
        if (one.settled, -one.spread_s) < (two.settled, -two.spread_s):
            self._pair_photos(first.id, second.id)
        else:
            self._pair_photos(second.id, first.id)

    def _clock(self, clock_id: str) -> Clock | None:
        return next((clock for clock in self._state.clocks if clock.id == clock_id), None)

    def _shift_clock(self, clock_id: str, seconds: float) -> None:
        clock = self._clock(clock_id)
        if clock is not None:
            self._set_clock(clock_id, clock.offset_s + seconds)

    def _set_clock(self, clock_id: str, offset_s: float) -> None:
        surroundings, memory = self.bench.surroundings, self._memory
        self._do(
            "Set a clock",
            lambda work: sorting.set_clock(work, clock_id, offset_s, surroundings, memory=memory),
        )

    def _release_clock(self, clock_id: str) -> None:
        surroundings, memory = self.bench.surroundings, self._memory
        self._do(
            "Let the pictures set a clock",
            lambda work: sorting.release_clock(work, clock_id, surroundings, memory=memory),
        )

    def _on_moving(self, clock_id: str, seconds: float, moment: float) -> None:
        """While a lane is dragged: how the pictures of all cameras would follow each other."""
        clock = self._clock(clock_id)
        if clock is None:
            return
        below = self.clocks.geometry().bottom() + 3
        self.order.setGeometry(8, below, self.width() - 16, self.order.height())
        beats = interleaved(self._state.lanes, clock_id, seconds, moment, self.order.room)
        zone = self._state.foray.time_zone if self._state.foray else ""
        name = clock.camera_key.split(" #")[0]
        self.order.show_order(
            beats, self._state.photos, f"{name} moved by {offset_words(seconds)}: the order would be", zone
        )

    def _on_still(self) -> None:
        self.order.hide()

    def _clock_here(self) -> None:
        photo = self._state.photos.get(self.trail.current)
        if photo is not None:
            for clock in self._state.clocks:
                if clock.camera_key == self._state.clock_key(photo):
                    self._ask_clock(clock.id)

    def _ask_clock(self, clock_id: str) -> None:
        """Open what sets a clock; what the engine would like to know about it follows."""
        clock = self._clock(clock_id)
        if clock is None:
            return
        chosen = next(
            (
                k
                for k in self.trail.selected()
                if self._state.clock_key(self._state.photos[k]) == clock.camera_key
            ),
            "",
        )
        dialog = ClockDialog(clock, self._state, self.bench.pictures, pair=(chosen, ""), parent=self)
        surroundings, foray_id, memory = self.bench.surroundings, self.bench.foray_id, self._memory
        dialog.set_wanted.connect(partial(self._set_clock, clock_id))
        dialog.release_wanted.connect(partial(self._release_clock, clock_id))
        dialog.pair_wanted.connect(self._pair_photos)
        dialog.face_wanted.connect(self._read_face)
        dialog.open()
        if clock.settled:
            return

        def told(proposal: Proposal) -> None:
            for question in proposal.questions:
                if question.camera_key == clock.camera_key and isValid(dialog):
                    dialog.tell(question.text, question.pair if not chosen else None)

        self.bench.read(lambda work: explain(work, foray_id, surroundings, memory), told)

    def _pair_photos(self, wrong: str, right: str) -> None:
        surroundings, memory = self.bench.surroundings, self._memory
        self._do(
            "Set a clock by a pair",
            lambda work: sorting.pair_moments(work, wrong, right, surroundings, memory=memory),
        )

    def _read_face(self, photo_id: str, shown: time, seconds: bool) -> None:
        surroundings, memory = self.bench.surroundings, self._memory
        self._do(
            "Set a clock by a picture of one",
            lambda work: sorting.read_clock_face(
                work, photo_id, shown, surroundings, seconds=seconds, memory=memory
            ),
        )

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

        def weigh(work: Work) -> None:
            if not weigh_looks(work, foray_id, since, surroundings, memory=memory):
                raise Cancelled  # nothing came of it: no step, no word

        self.bench.do(LABEL, weigh)

    def _load_track(self) -> None:
        files, _ = QFileDialog.getOpenFileNames(self, "Tracks of this foray", "", "Tracks (*.gpx *.GPX)")
        if files:
            self.bench.take_in_wanted.emit(files, self.bench.foray_id)

    def _menu(self, _what: str, where: QPoint) -> None:
        menu = QMenu(self)
        for names in (
            ("together", "apart"),
            ("cut", "join", "lift", "aside", "same"),
            ("pick-up", "put-down", "before", "after"),
            ("pair", "clock"),
            ("accept", "describe", "large"),
        ):
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
            LargePicture(photo, self._state, self.bench.pictures, self).open()
