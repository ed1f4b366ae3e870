"""Describe: where evidence is made. The list, the plate, and the entry line with what is asked next."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import (
    QButtonGroup,
    QHBoxLayout,
    QInputDialog,
    QPushButton,
    QSplitter,
    QStackedLayout,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.annotation.marks import MarkKind
from catalog_gui.domain.checklist import Checklist, still_fresh
from catalog_gui.domain.entry_line import Entry
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Part
from catalog_gui.domain.figures_typed import read_size
from catalog_gui.domain.ledger import Changed
from catalog_gui.presenting.describe.state import DescribeState, is_about, list_of, read_again, read_state
from catalog_gui.presenting.describe.words import weights_of
from catalog_gui.presenting.words import place_words
from catalog_gui.views.bench import Bench
from catalog_gui.views.describe.entry import EntryPanel
from catalog_gui.views.describe.feature_list import FeatureList
from catalog_gui.views.describe.fields import FieldsDialog
from catalog_gui.views.describe.header import SpecimenHeader
from catalog_gui.views.describe.names import NamesDialog
from catalog_gui.views.describe.plate_view import PlateView
from catalog_gui.views.describe.specimen_list import SpecimenList
from catalog_gui.views.describe.tasks import TasksDialog
from catalog_gui.views.describe.taster import TasterDialog
from catalog_gui.views.page import Page
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows import plate, record_evidence
from catalog_gui.workflows.annotate import measured_to_evidence
from catalog_gui.workflows.ports import Work

if TYPE_CHECKING:
    from catalog_gui.views.canvas.view import CanvasView

SHELVES = (
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
        self._canvas: CanvasView | None = None
        self._pointing = ""
        self._marks_before: frozenset[str] = frozenset()
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
            button = QPushButton(words)
            button.setCheckable(True)
            button.setChecked(hasty == self._hasty)
            button.setObjectName("order-haste" if hasty else "order-part")
            button.setAccessibleName(words)
            button.setToolTip(tip)
            button.clicked.connect(partial(self.set_order, hasty))
            self._order.addButton(button, int(hasty))
            orders.addWidget(button)
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
        go = QPushButton("Go to Sort")
        go.setObjectName("describe-go-sort")
        go.setAccessibleName("Go to Sort")
        go.clicked.connect(lambda: self.bench.page_wanted.emit("sort"))
        middle.addWidget(none)
        middle.addWidget(hint)
        middle.addWidget(go, 0, Qt.AlignmentFlag.AlignHCenter)
        middle.addStretch(3)
        self._pages = QStackedLayout(self)
        self._pages.addWidget(empty)
        self._pages.addWidget(work)
        self.setTabOrder(self.list, self.entry.line)
        self.setTabOrder(self.entry.line, self.features)
        self.setTabOrder(self.features, self.plate.strip)

    def _connect(self) -> None:
        bench = self.bench
        bench.foray_chosen.connect(self._on_foray)
        bench.specimen_chosen.connect(self._on_specimen)
        self.list.chosen.connect(bench.choose_specimen)
        self.features.chosen.connect(self._focus_feature)
        self.bench.feature_wanted.connect(self._on_feature_wanted)
        self.entry.entries_made.connect(self._record)
        self.entry.asked_changed.connect(self.features.mark)
        card = self.entry.card
        card.state_toggled.connect(self._toggle)
        card.standing_set.connect(self._set_standing)
        card.size_typed.connect(self._set_size)
        card.noted.connect(self._set_note)
        card.doubted.connect(self._set_sure)
        card.link_wanted.connect(self._show_on_picture)
        self.plate.opened.connect(self._open_canvas)
        self.plate.assigned.connect(self._assign)
        self.plate.emptied.connect(self._empty_panel)
        self.plate.asked.connect(self.entry.ask_part)
        self.header.names_wanted.connect(self.give_name)
        self.header.fields_wanted.connect(self.edit_fields)
        self.header.tasks_wanted.connect(self.show_tasks)
        self.header.compare_wanted.connect(lambda: bench.page_wanted.emit("compare"))
        self.header.body_chosen.connect(self.describe_body)
        self.header.body_wanted.connect(self._ask_body)

    def _make_actions(self) -> None:
        def add(name: str, words: str, keys: tuple[str, ...], call: Callable[[], object]) -> None:
            action = QAction(words, self)
            action.setObjectName(f"describe-{name}")
            action.setShortcuts([QKeySequence(key) for key in keys])
            action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            action.triggered.connect(lambda _=False: call())
            self.addAction(action)

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
        if changed is not None and not changed.touches(*SHELVES):
            return
        bench = self.bench
        foray_id, specimen_id, now = bench.foray_id, bench.specimen_id, bench.surroundings.now()
        reference, known, preferences = bench.reference, self._state, bench.preferences

        def look(work: Work) -> tuple[DescribeState, bool]:
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

        bench.read(look, self._on_read)

    def _on_read(self, answer: tuple[DescribeState, bool]) -> None:
        state, again = answer
        if not again:
            self._show(state)
        elif state.specimen is not None and state.specimen.id == self._shown:
            self._show(self._state.with_again(state))

    def _show(self, state: DescribeState) -> None:
        self._state = state
        specimen = state.specimen
        if specimen is None:
            self._pages.setCurrentIndex(0)
            self._shown = ""
            return
        fresh = specimen.id != self._shown
        if fresh or self._canvas is None or self._pages.currentWidget() is not self._canvas:
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

    # --- what she does -------------------------------------------------------------------------

    def write(self) -> None:
        """Put the caret into the entry line."""
        self.entry.line.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.entry.line.selectAll()

    def set_order(self, hasty: bool) -> None:
        """List by part, or what fades first."""
        self._hasty = hasty
        button = self._order.button(int(hasty))
        if button is not None:
            button.setChecked(True)
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
        """Another page asks for this feature: after whatever is being read for the page that just came up."""
        self.bench.read(lambda _work: None, lambda _: self._focus_feature(feature_id))

    def _focus_feature(self, feature_id: str) -> None:
        self.entry.ask(feature_id)
        self.write()

    def _do(self, words: str, action: Callable[[Work], object]) -> None:
        self.bench.do(words, action, failed=self._failed)

    def _failed(self, error: Exception) -> None:
        """Say why, and show again what is really there."""
        self.bench.fail(error)
        self.reload(None)

    def _record(self, entries: tuple[Entry, ...]) -> None:
        specimen = self._state.specimen
        if specimen is None or not entries:
            return
        vocabulary = self.bench.reference.vocabulary
        features = [vocabulary.feature(entry.feature) for entry in entries]
        tasted = any(feature is not None and feature.part is Part.TASTE for feature in features)
        if tasted and entries[0].standing is not Standing.NOT_LOOKED_AT:
            self._ask_taster(lambda who: self._write(specimen.id, entries, who))
        else:
            self._write(specimen.id, entries, self.bench.preferences.person)

    def _write(self, specimen_id: str, entries: tuple[Entry, ...], by: str) -> None:
        bench, body = self.bench, self._body
        feature = bench.reference.vocabulary.feature(entries[0].feature)
        words = f"Note {feature.name}" if feature is not None else "Note"
        if entries[0].standing is Standing.NOT_LOOKED_AT:
            words = words.replace("Note", "Take back", 1)
        self._do(
            words,
            lambda work: record_evidence.record_entries(
                work,
                specimen_id,
                entries,
                reference=bench.reference,
                surroundings=bench.surroundings,
                by=by,
                fruit_body=body,
            ),
        )

    def _ask_taster(self, then: Callable[[str], None]) -> None:
        dialog = TasterDialog(self._state.people, self)
        dialog.named.connect(then)
        dialog.rejected.connect(lambda: self.reload(None))
        dialog.open()

    def _toggle(self, feature_id: str, state: str, on: bool) -> None:
        specimen = self._state.specimen
        if specimen is None:
            return
        bench, body = self.bench, self._body
        feature = bench.reference.vocabulary.feature(feature_id)
        name = feature.name if feature is not None else feature_id

        def write(by: str) -> None:
            self._do(
                f"Note {name}",
                lambda work: record_evidence.set_state(
                    work,
                    specimen.id,
                    feature_id,
                    state,
                    on=on,
                    reference=bench.reference,
                    surroundings=bench.surroundings,
                    by=by,
                    fruit_body=body,
                ),
            )

        if feature is not None and feature.part is Part.TASTE and on:
            self._ask_taster(write)
        else:
            write("" if feature is not None and feature.part is Part.TASTE else bench.preferences.person)

    def _set_standing(self, feature_id: str, standing: Standing) -> None:
        if standing is Standing.SEEN:
            self._spread(fresh=False)
            return
        self._record((Entry(feature_id, standing),))

    def _set_size(self, feature_id: str, text: str) -> None:
        feature = self.bench.reference.vocabulary.feature(feature_id)
        found = read_size(text)
        if feature is None or not text.strip():
            return
        if found is None or found[0] or len(found[1]) != 1:
            self.bench.trouble.emit(f"'{text}' is no size. Write 45-60, or 4.5-6 cm.")
            return
        size = found[1][0]
        self._record((Entry(feature_id, Standing.SEEN, low=size.low, high=size.high, unit=size.unit),))

    def _set_note(self, feature_id: str, note: str) -> None:
        self._annotate(feature_id, "Write a note", note=note)

    def _set_sure(self, feature_id: str, sure: bool) -> None:
        self._annotate(feature_id, "Doubt an entry" if not sure else "Be sure of an entry", sure=sure)

    def _annotate(
        self, feature_id: str, words: str, *, note: str | None = None, sure: bool | None = None
    ) -> None:
        specimen = self._state.specimen
        if specimen is None:
            return
        bench, body = self.bench, self._body
        self._do(
            words,
            lambda work: record_evidence.annotate_entry(
                work,
                specimen.id,
                feature_id,
                reference=bench.reference,
                surroundings=bench.surroundings,
                note=note,
                sure=sure,
                by=bench.preferences.person,
                fruit_body=body,
            ),
        )

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
        self._pointing = feature_id
        self._marks_before = frozenset(mark.id for mark in self._state.marks)
        self._open_canvas(photo or self.plate.strip.current, feature.part.value)

    def _assign(self, part: str, photo_id: str) -> None:
        specimen = self._state.specimen
        if specimen is None:
            return
        surroundings = self.bench.surroundings
        self._do(
            "Put a picture on the plate",
            lambda work: plate.put_on_panel(work, specimen.id, part, photo_id, surroundings=surroundings),
        )

    def _empty_panel(self, part: str) -> None:
        specimen = self._state.specimen
        if specimen is not None:
            self._do(
                "Take a picture off the plate", lambda work: plate.take_off_panel(work, specimen.id, part)
            )

    # --- names, fields, tasks, canvas ----------------------------------------------------------

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

    def _open_canvas(self, photo_id: str, part: str) -> None:
        specimen = self._state.specimen
        if specimen is None or not photo_id:
            self.bench.said.emit("There is no picture of this specimen to open.")
            return
        canvas = self._canvas_view()
        canvas.open(photo_id, specimen.id, part)
        self._pages.setCurrentWidget(canvas)
        canvas.setFocus()

    def _canvas_view(self) -> CanvasView:
        """The canvas, made when it is first wanted: opening the program need not wait for it."""
        if self._canvas is None:
            from catalog_gui.views.canvas.view import CanvasView  # noqa: PLC0415

            canvas = CanvasView(self.bench)
            canvas.closed.connect(self._close_canvas)
            canvas.measured.connect(self._on_measured)
            self._pages.addWidget(canvas)
            self._canvas = canvas
        return self._canvas

    def _close_canvas(self) -> None:
        self._pages.setCurrentIndex(1)
        if self._pointing:
            self._link_newest_mark()
        self.reload(None)
        self.plate.strip.setFocus()

    def _link_newest_mark(self) -> None:
        """She went to the canvas to show a feature: the mark she made there is what shows it."""
        specimen, feature_id, before = self._state.specimen, self._pointing, self._marks_before
        self._pointing = ""
        if specimen is None or feature_id not in self._rows():
            return
        body, surroundings, reference = self._body, self.bench.surroundings, self.bench.reference
        photo_ids = tuple(photo.id for photo in self._state.photos)

        def fresh(work: Work) -> str:
            made = [
                mark.id
                for mark in work.marks.where(photo_id=photo_ids)
                if mark.id not in before and mark.kind not in {MarkKind.CROP, MarkKind.SCALE, MarkKind.BODY}
            ]
            return made[-1] if made else ""

        def link(mark_id: str) -> None:
            if mark_id:
                self._do(
                    "Link a mark",
                    lambda work: record_evidence.annotate_entry(
                        work,
                        specimen.id,
                        feature_id,
                        reference=reference,
                        surroundings=surroundings,
                        mark_id=mark_id,
                        fruit_body=body,
                    ),
                )

        self.bench.read(fresh, link)

    def _on_measured(self, mark_id: str, feature_id: str, low: float, high: float, unit: str) -> None:
        specimen = self._state.specimen
        if specimen is None:
            return
        bench, body = self.bench, self._body
        self._do(
            "Note a measured size",
            lambda work: measured_to_evidence(
                work,
                specimen.id,
                feature_id,
                low,
                high,
                unit,
                reference=bench.reference,
                surroundings=bench.surroundings,
                mark_id=mark_id,
                by=bench.preferences.person,
                fruit_body=body,
            ),
        )
