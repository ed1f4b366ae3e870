"""Sort: the trail with its clocks, plan and tray; the doubtful joins first, everything undoable."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QPoint, Qt, QTimer
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QMenu,
    QPushButton,
    QSlider,
    QSplitter,
    QStackedLayout,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.foray import Join
from catalog_gui.domain.ledger import Changed
from catalog_gui.grouping.proposal import is_doubtful
from catalog_gui.views.bench import Bench
from catalog_gui.views.page import Page, label
from catalog_gui.views.sort.clocks import ClockShelf
from catalog_gui.views.sort.plan import PlanView
from catalog_gui.views.sort.state import SortState, read_state
from catalog_gui.views.sort.trail import TrailView
from catalog_gui.views.sort.tray import TrayView
from catalog_gui.workflows import sorting
from catalog_gui.workflows.ports import Work

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


class SortPage(Page):
    """From pictures to specimens."""

    key = "sort"
    title = "Sort"
    purpose = "Which pictures show the same specimen"

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(bench, parent)
        self._state = SortState()
        self._after_reload = ""
        self.clocks = ClockShelf(self)
        self.trail = TrailView(bench.pictures, self)
        self.plan = PlanView(self)
        self.tray = TrayView(bench.pictures, self)
        self._sentence = label("", "heading", name="sort-sentence")
        self._actions: dict[str, QAction] = {}
        self._make_actions()
        self._lay_out()
        self.trail.current_changed.connect(self._on_current)
        self.trail.asked.connect(self._menu)
        self.trail.dropped.connect(self._on_dropped)
        self.trail.opened.connect(self._show_large)
        self.plan.group_chosen.connect(self.trail.choose_group)
        self.tray.dropped.connect(self._aside_photos)
        self.clocks.photo_chosen.connect(self.trail.choose)
        self.clocks.shift_wanted.connect(self._shift_clock)
        self.clocks.set_wanted.connect(self._set_clock)
        self.clocks.release_wanted.connect(self._release_clock)
        bench.foray_chosen.connect(lambda _: self.mark_stale())

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

        add("doubtful", "Next doubtful join", "D", "Go to the join that is least certain", self.next_doubtful)
        add(
            "together",
            "Together",
            "T",
            "Both sides of this join show one specimen",
            partial(self._answer, True),
        )
        add(
            "apart",
            "Apart",
            "A",
            "The two sides of this join are different specimens",
            partial(self._answer, False),
        )
        add("cut", "Cut here", "C", "This picture begins another specimen", self._cut)
        add(
            "join",
            "Join with the one above",
            "J",
            "This group and the one above are one specimen",
            self._join,
        )
        add("lift", "Lift out", "L", "Give the chosen pictures a group of their own", self._lift)
        add(
            "aside",
            "Not a specimen",
            "N Del",
            "Boots, signs, views: lay the pictures in the tray",
            self._aside,
        )
        add(
            "back",
            "Back to the trail",
            "B",
            "Let the proposal place the chosen pictures of the tray",
            self._bring_back,
        )
        add(
            "same",
            "Same specimen as…",
            "S",
            "This group shows a specimen that is there already",
            self._same_menu,
        )
        add(
            "pair",
            "Same moment…",
            "M",
            "Two chosen pictures of two cameras show one moment: set the clock",
            self._pair,
        )
        add("accept", "Accept", "Return Enter", "Make a specimen of each chosen group", self._accept)
        add(
            "accept-all",
            "Accept all",
            "Ctrl+Return",
            "Make a specimen of every group that is not doubtful",
            self._accept_all,
        )
        add("describe", "Describe", "Ctrl+D", "Go on to describe this specimen", self._describe)

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
        for name in ("cut", "join", "lift", "aside"):
            bar.addWidget(self._button(name))
        bar.addSpacing(10)
        bar.addWidget(self._button("accept", main=True))
        bar.addWidget(self._button("accept-all"))
        side = QWidget()
        right = QVBoxLayout(side)
        right.setContentsMargins(0, 0, 0, 0)
        right.setSpacing(4)
        right.addWidget(self.plan, 3)
        tray_row = QHBoxLayout()
        self._tray_title = label("Tray", "heading", name="tray-title")
        tray_row.addWidget(self._tray_title, 1)
        tray_row.addWidget(self._button("back"))
        right.addLayout(tray_row)
        right.addWidget(self.tray, 2)
        size = QSlider(Qt.Orientation.Horizontal)
        size.setObjectName("picture-size")
        size.setAccessibleName("Size of the pictures")
        size.setToolTip("Size of the pictures")
        size.setRange(72, 320)
        size.setValue(self.trail.edge)
        size.setFixedWidth(130)
        size.valueChanged.connect(self.trail.set_edge)
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
        middle = QVBoxLayout(empty)
        middle.addStretch(2)
        words = label("No pictures yet", "title", name="sort-empty-title")
        words.setAlignment(Qt.AlignmentFlag.AlignCenter)
        middle.addWidget(words)
        hint = label(
            "Take in a folder or a card with Ctrl+T, or drop it on this window. "
            "The originals are only read: nothing is copied, moved or changed.",
            "faded",
            wrap=True,
        )
        hint.setAlignment(Qt.AlignmentFlag.AlignCenter)
        middle.addWidget(hint)
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
        self.bench.read(lambda work: read_state(work, foray_id), self._show)

    @property
    def state(self) -> SortState:
        """What is shown."""
        return self._state

    def _show(self, state: SortState) -> None:
        self._state = state
        self._pages.setCurrentIndex(0 if state.foray is not None and state.photos else 1)
        self.trail.set_state(state)
        self.plan.set_state(state)
        self.clocks.set_state(state)
        self.tray.set_photos(state.tray, state.tray_key)
        accepted = sum(1 for row in state.rows if row.specimen is not None)
        doubtful = len(state.doubtful)
        words = f"{len(state.rows)} groups"
        if accepted:
            words += f", {accepted} accepted"
        words += f", {doubtful} doubtful" if doubtful else ", none doubtful"
        self._sentence.setText(words)
        count = len(state.tray)
        self._tray_title.setText(f"Tray: {count} picture{'' if count == 1 else 's'}" if count else "Tray")
        if self._after_reload:
            wanted, self._after_reload = self._after_reload, ""
            self.trail.choose(wanted)
        self._on_current(self.trail.current)

    def _on_current(self, photo_id: str) -> None:
        row = self.trail.current_row
        self.plan.choose(row.group.id if row is not None else "")
        self.clocks.choose(photo_id)
        join = self._join_at_current()
        self._actions["together"].setEnabled(join is not None)
        self._actions["apart"].setEnabled(join is not None)
        self._actions["cut"].setEnabled(row is not None and row.photos[0].id != photo_id)
        self._actions["join"].setEnabled(self._state.row_of(photo_id) > 0)
        self._actions["doubtful"].setEnabled(bool(self._state.doubtful))

    def _join_at_current(self) -> Join | None:
        join = self._state.join_at.get(self.trail.current)
        return join if join is not None and is_doubtful(join) else None

    # --- what she does -------------------------------------------------------------------------

    def _do(
        self, words: str, action: Callable[[Work], object], then: Callable[[object], None] | None = None
    ) -> None:
        self.bench.do(words, action, then, failed=lambda error: self.bench.trouble.emit(str(error)))

    def next_doubtful(self) -> None:
        """Go to the join that is least certain; the next time to the one after it."""
        doubtful = self._state.doubtful
        if not doubtful:
            self.bench.said.emit("No join is doubtful.")
            return
        afters = [join.after for join in doubtful]
        at = afters.index(self.trail.current) + 1 if self.trail.current in afters else 0
        join = doubtful[at % len(doubtful)]
        self.trail.choose(join.after)
        self.trail.ensure_visible(join.after, whole_row=True)
        self.trail.setFocus()
        same = self._state.row_of(join.before) == self._state.row_of(join.after)
        question = "Is this still the same specimen?" if same else "Is this the same specimen as above?"
        self.bench.said.emit(f"{question} T together, A apart. {join.reason}")

    def _answer(self, together: bool) -> None:
        join = self._join_at_current()
        if join is None:
            self.bench.said.emit("There is no doubtful join at this picture.")
            return
        rest = [other.after for other in self._state.doubtful if other.id != join.id]
        self._after_reload = rest[0] if rest else join.after
        surroundings = self.bench.surroundings
        words = "Set together" if together else "Set apart"
        self._do(words, lambda work: sorting.settle_join(work, join.id, together, surroundings))

    def _cut(self) -> None:
        photo_id = self.trail.current
        surroundings = self.bench.surroundings
        if photo_id:
            self._do("Cut a group in two", lambda work: sorting.split_before(work, photo_id, surroundings))

    def _join(self) -> None:
        index = self._state.row_of(self.trail.current)
        chosen = self.trail.selected_groups()
        if len(chosen) < 2:
            if index < 1:
                self.bench.said.emit("There is no group above this one.")
                return
            chosen = [self._state.rows[index - 1].group.id, self._state.rows[index].group.id]
        surroundings = self.bench.surroundings
        self._do("Join groups", lambda work: sorting.join_groups(work, chosen, surroundings))

    def _lift(self) -> None:
        chosen = self.trail.selected()
        surroundings = self.bench.surroundings
        if chosen:
            self._do("Lift pictures out", lambda work: sorting.move_photos(work, chosen, "", surroundings))

    def _aside(self) -> None:
        self._aside_photos(self.trail.selected())

    def _aside_photos(self, chosen: list[str]) -> None:
        if not chosen:
            return
        following = self._following(chosen)
        self._after_reload = following
        surroundings = self.bench.surroundings
        self._do("Lay pictures in the tray", lambda work: sorting.set_aside(work, chosen, surroundings))

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
        surroundings = self.bench.surroundings
        self._do("Bring pictures back", lambda work: sorting.bring_back(work, chosen, surroundings))

    def _on_dropped(self, ids: list[str], group_id: str) -> None:
        surroundings = self.bench.surroundings
        self._after_reload = ids[0] if ids else ""
        self._do("Move pictures", lambda work: sorting.move_photos(work, ids, group_id, surroundings))

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
        surroundings, prefix = self.bench.surroundings, self.bench.preferences.number_prefix
        if row.offer is not None:
            link = row.offer.id
            yes = menu.addAction(f"Yes: {row.offer_words} (offered: {row.offer.reason})")
            yes.triggered.connect(
                lambda: self._do(
                    "Same specimen",
                    lambda work: sorting.answer_same_as(work, link, True, surroundings, prefix=prefix),
                )
            )
            no = menu.addAction(f"No: not {row.offer_words}")
            no.triggered.connect(
                lambda: self._do(
                    "Not the same specimen",
                    lambda work: sorting.answer_same_as(work, link, False, surroundings),
                )
            )
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
        menu.exec(self.trail.mapToGlobal(QPoint(120, 80)))

    def _pair(self) -> None:
        chosen = self.trail.selected()
        if len(chosen) != 2:
            self.bench.said.emit("Choose two pictures of the same moment, one from each camera.")
            return
        first, second = (self._state.photos[key] for key in chosen)
        clocks = {clock.camera_key: clock for clock in self._state.clocks}
        one, two = clocks.get(first.camera.key), clocks.get(second.camera.key)
        if one is None or two is None:
            return
        surroundings = self.bench.surroundings
        if (one.settled, -one.spread_s) < (two.settled, -two.spread_s):
            wrong, right = first.id, second.id
        else:
            wrong, right = second.id, first.id
        self._do("Set a clock by a pair", lambda work: sorting.pair_moments(work, wrong, right, surroundings))

    def _shift_clock(self, clock_id: str, seconds: float) -> None:
        clock = next((c for c in self._state.clocks if c.id == clock_id), None)
        if clock is not None:
            self._set_clock(clock_id, clock.offset_s + seconds)

    def _set_clock(self, clock_id: str, offset_s: float) -> None:
        surroundings = self.bench.surroundings
        self._do("Set a clock", lambda work: sorting.set_clock(work, clock_id, offset_s, surroundings))

    def _release_clock(self, clock_id: str) -> None:
        surroundings = self.bench.surroundings
        self._do(
            "Let the pictures set a clock", lambda work: sorting.release_clock(work, clock_id, surroundings)
        )

    def _menu(self, _what: str, where: QPoint) -> None:
        menu = QMenu(self)
        for name in ("cut", "join", "lift", "aside", "same", "pair"):
            menu.addAction(self._actions[name])
        menu.addSeparator()
        menu.addAction(self._actions["accept"])
        menu.addAction(self._actions["describe"])
        menu.exec(where)

    def _show_large(self, photo_id: str) -> None:
        photo = self._state.photos.get(photo_id)
        if photo is None:
            return
        dialog = QDialog(self)
        dialog.setObjectName("large-picture")
        dialog.setWindowTitle(photo.name)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.resize(min(1200, self.width() - 40), min(860, self.height() - 20))
        column = QVBoxLayout(dialog)
        picture = QLabel("Opening …")
        picture.setObjectName("large-picture-view")
        picture.setAccessibleName(photo.name)
        picture.setAlignment(Qt.AlignmentFlag.AlignCenter)
        column.addWidget(picture, 1)
        moment = self._state.times.get(photo.id)
        written = f"{photo.written.local:%d.%m.%Y %H:%M:%S}" if photo.written.local else "no time"
        words = f"{photo.name}   written {written}"
        if moment is not None:
            words += f"   concluded {moment:%H:%M:%S} UTC"
        column.addWidget(label(words, "faded"))

        def show() -> None:
            pixmap = self.bench.pictures.pixmap(photo, 1024)
            if pixmap is not None:
                picture.setPixmap(
                    pixmap.scaled(
                        picture.size(),
                        Qt.AspectRatioMode.KeepAspectRatio,
                        Qt.TransformationMode.SmoothTransformation,
                    )
                )

        def ready(which: str) -> None:
            if which == photo.id:
                show()

        self.bench.pictures.ready.connect(ready)
        dialog.finished.connect(lambda _: self.bench.pictures.ready.disconnect(ready))
        dialog.open()
        QTimer.singleShot(0, show)
