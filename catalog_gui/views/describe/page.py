"""Shows where evidence is made: the list, the plate, and the entry line with what is asked next."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QButtonGroup,
    QHBoxLayout,
    QInputDialog,
    QSplitter,
    QStackedLayout,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.checklist import Checklist, still_fresh
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.ledger import Changed
from catalog_gui.jobs.worker_queue import Ticket
from catalog_gui.presenting.describe.state import DescribeState, is_about, list_of, read_again, read_state
from catalog_gui.presenting.describe.words import weights_of
from catalog_gui.presenting.words import place_words
from catalog_gui.views.bench import Bench
from catalog_gui.views.describe.canvas_desk import CanvasDesk
from catalog_gui.views.describe.entry import EntryPanel
from catalog_gui.views.describe.feature_list import FeatureList
from catalog_gui.views.describe.fields import FieldsDialog
from catalog_gui.views.describe.header import SpecimenHeader
from catalog_gui.views.describe.names import NamesDialog
from catalog_gui.views.describe.plate_view import PlateView
from catalog_gui.views.describe.recording import Recording
from catalog_gui.views.describe.specimen_list import SpecimenList
from catalog_gui.views.describe.tasks import TasksDialog
from catalog_gui.views.page import Page
from catalog_gui.views.widgets.actions import add_action
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.ports import UnitOfWork

RECORD_TABLES = (
    "forays",
    "specimens",
    "evidence",
    "marks",
    "determinations",
    "tasks",
    "groups",
    "photos",
)


class DescribePage(Page):
    """From pictures to evidence."""

    key = "describe"
    title = "Describe"
    purpose = "What was seen, part by part"

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(bench, parent)
        self._state = DescribeState()
        self._asked = Checklist((), (), frozenset())
        self._body = ""
        self._hasty = False
        self._shown = ""
        self._reading: Ticket[tuple[DescribeState, bool]] | None = None
        self._feature_wanted = ""
        self.recording = Recording(bench, self)
        self.header = SpecimenHeader(self)
        self.list = SpecimenList(bench.pictures, self)
        self.plate = PlateView(bench, weights_of(bench.reference), self)
        self.entry = EntryPanel(bench.reference, self)
        self.features = FeatureList(bench.reference, self)
        self._progress = label("", "faded", name="describe-progress")
        self._order = QButtonGroup(self)
        self._lay_out()
        self._connect()
        self._make_actions()

    # --- building ------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        orders = QHBoxLayout()
        orders.setSpacing(4)
        for hasty, words, tip in (
            (False, "By part", "In the order of a description (Ctrl+B)"),
            (True, "What fades first", "What is soon gone stands first (Ctrl+B)"),
        ):
            name = "order-haste" if hasty else "order-part"
            made = button(name, words, tip=tip, call=partial(self.set_order, hasty))
            made.setCheckable(True)
            made.setChecked(hasty == self._hasty)
            self._order.addButton(made, int(hasty))
            orders.addWidget(made)
        orders.addStretch(1)
        orders.addWidget(self._progress)
        lower = QWidget()
        below = QVBoxLayout(lower)
        below.setContentsMargins(0, 0, 0, 0)
        below.setSpacing(4)
        below.addLayout(orders)
        below.addWidget(self.features, 1)
        right = QSplitter(Qt.Orientation.Vertical)
        right.setObjectName("describe-entry-split")
        right.addWidget(self.entry)
        right.addWidget(lower)
        right.setSizes([350, 250])
        right.setChildrenCollapsible(False)
        right.setStretchFactor(0, 0)
        right.setStretchFactor(1, 1)
        split = QSplitter(Qt.Orientation.Horizontal)
        split.setObjectName("describe-split")
        split.addWidget(self.list)
        split.addWidget(self.plate)
        split.addWidget(right)
        split.setSizes([205, 730, 410])
        split.setStretchFactor(0, 0)
        split.setStretchFactor(1, 3)
        split.setStretchFactor(2, 1)
        split.setChildrenCollapsible(False)
        self.list.setMinimumWidth(150)
        self.entry.setMinimumWidth(360)
        work = QWidget()
        column = QVBoxLayout(work)
        column.setContentsMargins(8, 5, 8, 4)
        column.setSpacing(5)
        column.addWidget(self.header)
        column.addWidget(split, 1)
        empty = QWidget()
        middle = QVBoxLayout(empty)
        middle.addStretch(2)
        none = label("No specimen yet", "title", name="describe-empty-title")
        none.setAlignment(Qt.AlignmentFlag.AlignCenter)
        hint = label(
            "Keep a group of pictures as a specimen on the Sort page; then it can be described here.",
            "faded",
            wrap=True,
        )
        hint.setAlignment(Qt.AlignmentFlag.AlignCenter)
        go = button("describe-go-sort", "Go to Sort", call=lambda: self.bench.page_wanted.emit("sort"))
        middle.addWidget(none)
        middle.addWidget(hint)
        middle.addWidget(go, 0, Qt.AlignmentFlag.AlignHCenter)
        middle.addStretch(3)
        self._pages = QStackedLayout(self)
        self._pages.addWidget(empty)
        self._pages.addWidget(work)
        self.canvas_desk = CanvasDesk(self.bench, self.recording, self._pages, self)
        self.setTabOrder(self.list, self.entry.line)
        self.setTabOrder(self.entry.line, self.features)
        self.setTabOrder(self.features, self.plate.strip)

    def _connect(self) -> None:
        bench, recording = self.bench, self.recording
        recording.stale.connect(lambda: self.reload(None))
        recording.left_as_it_was.connect(lambda: self._spread(fresh=False))
        self.canvas_desk.closed.connect(self._on_canvas_closed)
        bench.foray_chosen.connect(self._on_foray)
        bench.specimen_chosen.connect(self._on_specimen)
        self.list.chosen.connect(bench.choose_specimen)
        self.features.chosen.connect(self._focus_feature)
        self.bench.feature_wanted.connect(self._on_feature_wanted)
        self.entry.entries_made.connect(recording.record)
        self.entry.asked_changed.connect(self.features.mark)
        card = self.entry.card
        card.state_toggled.connect(recording.toggle)
        card.standing_set.connect(recording.set_standing)
        card.size_typed.connect(recording.set_size)
        card.noted.connect(recording.set_note)
        card.doubted.connect(recording.set_sure)
        card.link_wanted.connect(self._show_on_picture)
        self.plate.opened.connect(self.canvas_desk.open)
        self.plate.assigned.connect(recording.assign)
        self.plate.emptied.connect(recording.empty_panel)
        self.plate.asked.connect(self.entry.ask_part)
        self.header.names_wanted.connect(self.give_name)
        self.header.fields_wanted.connect(self.edit_fields)
        self.header.tasks_wanted.connect(self.show_tasks)
        self.header.compare_wanted.connect(lambda: bench.page_wanted.emit("compare"))
        self.header.body_chosen.connect(self.describe_body)
        self.header.body_wanted.connect(self._ask_body)

    def _make_actions(self) -> None:
        def add(name: str, words: str, keys: tuple[str, ...], call: Callable[[], object]) -> None:
            add_action(self, f"describe-{name}", words, keys, call)

        add("entry", "Write", ("Ctrl+E", "/"), self.write)
        add("next", "Next specimen", ("Ctrl+PgDown", "Alt+Down"), partial(self.list.step, 1))
        add("previous", "Previous specimen", ("Ctrl+PgUp", "Alt+Up"), partial(self.list.step, -1))
        add("name", "Name it", ("Ctrl+N",), self.give_name)
        add("fields", "Fields", ("Ctrl+I",), self.edit_fields)
        add("tasks", "To do", ("Ctrl+K",), self.show_tasks)
        add("compare", "Compare", ("Ctrl+L",), lambda: self.bench.page_wanted.emit("compare"))
        add("order", "Other order", ("Ctrl+B",), lambda: self.set_order(not self._hasty))

    # --- state ---------------------------------------------------------------------------------

    @property
    def state(self) -> DescribeState:
        """What is shown."""
        return self._state

    @property
    def checklist(self) -> Checklist:
        """The features of the specimen shown, in the order they are asked."""
        return self._asked

    @property
    def fruit_body(self) -> str:
        """The fruit body that is described, '' for the collection."""
        return self._body

    def reload(self, changed: Changed | None) -> None:
        """Read the specimen again when something of it moved."""
        if changed is not None and not changed.touches(*RECORD_TABLES):
            return
        bench = self.bench
        foray_id, specimen_id, now = bench.foray_id, bench.specimen_id, bench.surroundings.now()
        reference, known, preferences = bench.reference, self._state, bench.preferences

        def look(work: UnitOfWork) -> tuple[DescribeState, bool]:
            shown = known.specimen.id if known.specimen is not None else ""
            again = changed is not None and shown == specimen_id and is_about(work, changed, known)
            state = (
                read_again(work, specimen_id, reference, now)
                if again
                else read_state(work, foray_id, specimen_id, reference, now)
            )
            # Here and not in the header: the first grid reference loads the projections.
            place = state.specimen.place if state.specimen is not None else None
            return replace(state, where=place_words(place, preferences)), again

        self._reading = bench.read(look, self._on_read)

    def _on_read(self, answer: tuple[DescribeState, bool]) -> None:
        state, again = answer
        if not again:
            self._show(state)
        elif state.specimen is not None and state.specimen.id == self._shown:
            self._show(self._state.with_again(state))
        if self._feature_wanted:
            wanted, self._feature_wanted = self._feature_wanted, ""
            self._focus_feature(wanted)

    def _show(self, state: DescribeState) -> None:
        self._state = state
        specimen = state.specimen
        if specimen is None:
            self._pages.setCurrentIndex(0)
            self._shown = ""
            return
        fresh = specimen.id != self._shown
        if fresh or not self.canvas_desk.in_front:
            self._pages.setCurrentIndex(1)  # a mark drawn on the open canvas must not close it
        self._shown = specimen.id
        if fresh and self._body not in state.fruit_bodies:
            self._body = ""
        if self.bench.specimen_id != specimen.id:
            self.bench.choose_specimen(specimen.id)
        self.list.set_lines(state.lines, specimen.id)
        self._spread(fresh=fresh)

    def _spread(self, *, fresh: bool) -> None:
        """Hand the state to the widgets."""
        state, now = self._state, self.bench.surroundings.now()
        asked = list_of(state, self.bench.reference, self._body)
        if state.specimen is not None and not still_fresh(state.specimen, now):
            asked = replace(
                asked,
                by_part=tuple(replace(one, due=None) for one in asked.by_part),
                by_haste=tuple(replace(one, due=None) for one in asked.by_haste),
            )
        self._asked = asked
        self.recording.about(state, self._body)
        self.canvas_desk.about(state)
        rows = self._rows()
        self.header.set_state(state, self.bench.preferences, now, self._body)
        self.plate.set_state(state, asked, self._body)
        self.features.set_state(asked, rows, hasty=self._hasty, now=now, zone=state.zone)
        self.entry.set_state(
            asked, rows, hasty=self._hasty, recent=state.recent, now=now, zone=state.zone, fresh=fresh
        )
        noted, wanted = asked.progress(
            key for key, row in rows.items() if row.standing is not Standing.NOT_LOOKED_AT
        )
        words = f"{noted} of {wanted} noted"
        self._progress.setText(f"{asked.likeness} · {words}" if asked.likeness else words)

    def _rows(self) -> dict[str, Evidence]:
        return self._state.of_body(self._body)

    def _on_foray(self, _foray_id: str) -> None:
        self.mark_stale()

    def _on_specimen(self, specimen_id: str) -> None:
        if specimen_id != self._shown:
            self.mark_stale()

    # --- commands ---------------------------------------------------------------------------

    def write(self) -> None:
        """Put the caret into the entry line."""
        self.entry.line.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.entry.line.selectAll()

    def set_order(self, hasty: bool) -> None:
        """List by part, or what fades first."""
        self._hasty = hasty
        made = self._order.button(int(hasty))
        if made is not None:
            made.setChecked(True)
        if self._state.specimen is not None:
            self._spread(fresh=True)

    def describe_body(self, fruit_body: str) -> None:
        """Write about one fruit body of a mixed collection from now on, or about all of it ('')."""
        self._body = fruit_body
        self._spread(fresh=True)

    def _ask_body(self) -> None:
        dialog = QInputDialog(self)
        dialog.setObjectName("fruit-body-dialog")
        dialog.setWindowTitle("Another fruit body")
        dialog.setLabelText("What is it called? (A, young, the one beside the stump …)")
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.textValueSelected.connect(lambda name: self.describe_body(name.strip()))
        dialog.rejected.connect(lambda: self.describe_body(self._body))
        dialog.open()

    def _on_feature_wanted(self, feature_id: str) -> None:
        """Another page asks for this feature: it is shown when what is being read for this page has come."""
        if self._reading is not None and self._reading.running:
            self._feature_wanted = feature_id
        else:
            self._focus_feature(feature_id)

    def _focus_feature(self, feature_id: str) -> None:
        self.entry.ask(feature_id)
        self.write()

    def _show_on_picture(self, feature_id: str) -> None:
        """Open the canvas on the picture of the feature's part, or on the one chosen in the strip."""
        feature = self.bench.reference.vocabulary.feature(feature_id)
        if feature is None:
            return
        row = self._rows().get(feature_id)
        photo = row.photo_id if row is not None else ""
        panel = self.plate.panels.get(feature.part)
        if not photo and panel is not None and panel.content.photo is not None:
            photo = panel.content.photo.id
        self.canvas_desk.point_at(feature_id, photo or self.plate.strip.current, feature.part.value)

    # --- names, fields, tasks ------------------------------------------------------------------

    def give_name(self) -> None:
        """Open the names given so far, with room for a new one."""
        if self._state.specimen is not None:
            NamesDialog(self.bench, self._state, self).open()

    def edit_fields(self) -> None:
        """Open the fields of the specimen."""
        if self._state.specimen is not None:
            FieldsDialog(self.bench, self._state, self).open()

    def show_tasks(self) -> None:
        """Open what is to do for this specimen."""
        if self._state.specimen is not None:
            TasksDialog(self.bench, self._state, self).open()

    def _on_canvas_closed(self) -> None:
        self._pages.setCurrentIndex(1)
        self.reload(None)
        self.plate.strip.setFocus()
