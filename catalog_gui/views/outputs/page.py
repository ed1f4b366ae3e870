"""Hands on: what goes out, of which finds, for whom, with how much place; the real pages before they go."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import (
    QFileDialog,
    QFrame,
    QListWidget,
    QListWidgetItem,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.ledger import Changed, HandedOn
from catalog_gui.domain.page import Paper
from catalog_gui.domain.privacy import usual_precision
from catalog_gui.jobs.worker_queue import Reporter
from catalog_gui.presenting.failure import failure_reason
from catalog_gui.presenting.outputs.state import HandOnState, read_state
from catalog_gui.presenting.outputs.words import log_words
from catalog_gui.settings import PaperSize
from catalog_gui.views.bench import Bench
from catalog_gui.views.outputs.choices import Choices
from catalog_gui.views.outputs.hand_over import HandOver
from catalog_gui.views.outputs.old_table import read_old_table
from catalog_gui.views.outputs.preview import PaperPreview
from catalog_gui.views.page import Page
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.publish.files import file_preview
from catalog_gui.workflows.publish.gathered import Gathered, gather_many
from catalog_gui.workflows.publish.order import (
    FILES,
    Kind,
    Order,
    make_paper,
)
from catalog_gui.workflows.publish.press import Press, press_of

SHOWN_KINDS = (
    "specimens",
    "evidence",
    "determinations",
    "marks",
    "photos",
    "groups",
    "forays",
    "taxon_notes",
)


class HandOnPage(Page):
    """Papers, records and pictures for others."""

    key = "outputs"
    title = "Hand on"
    purpose = "Papers, records and pictures for others, with as much place as you choose"

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(bench, parent)
        self._state = HandOnState()
        self._asked_for: tuple[str, ...] | None = None
        self.choices = Choices(usual_precision(bench.preferences.place_precision), self)
        self.choices.changed.connect(self._order_changed)
        self.choices.options.complete_taxa([taxon.name for taxon in bench.reference.taxa])
        self.choices.options.set_person(bench.preferences.person)
        self.choices.options.set_paper(letter=bench.preferences.paper is PaperSize.LETTER)
        self.preview = PaperPreview(self)
        self.preview.wanted.connect(self._make_preview)
        self._wait = QTimer(self)
        self._wait.setSingleShot(True)
        self._wait.setInterval(120)
        self._wait.timeout.connect(self._begin_preview)
        self.hand_over = HandOver(bench, self.choices, self._press, self)
        self.hand_over.running_changed.connect(lambda running: self.choices.setEnabled(not running))
        self._log = QListWidget()
        self._log.setObjectName("hand-on-log")
        self._log.setAccessibleName("What was handed to whom")
        self._log.setWordWrap(True)
        self._log.setSpacing(1)
        self._old = button(
            "hand-on-old-table",
            "Bring in an old spreadsheet…",
            "Bring in an old spreadsheet",
            tip="CSV or XLSX; you say what each column means",
            call=self._ask_old_table,
        )
        self._no_log = label("Nothing has been handed on yet.", "faded", name="hand-on-no-log", wrap=True)
        self._lay_out()
        bench.specimen_chosen.connect(lambda _: self.mark_stale())
        bench.foray_chosen.connect(lambda _: self.mark_stale())
        bench.preferences_changed.connect(self._on_preferences)
        bench.paper_wanted.connect(self._on_paper_wanted)
        bench.reference_changed.connect(
            lambda reference: self.choices.options.complete_taxa([taxon.name for taxon in reference.taxa])
        )

    def _on_paper_wanted(self, kind: str, specimens: list[str], taxa: list[str]) -> None:
        """Another page asks for a paper on these finds, with these taxa beside them."""
        self.bench.page_wanted.emit(self.key)
        self.choices.options.set_taxa(taxa)
        self.choices.set_kind(Kind(kind))
        self._asked_for = tuple(specimens)
        self.reload(None)

    def _lay_out(self) -> None:
        left = QWidget()
        column = QVBoxLayout(left)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.choices, 1)
        column.addWidget(self.hand_over)
        right = QFrame()
        right.setProperty("role", "sheet")
        side = QVBoxLayout(right)
        side.setContentsMargins(8, 6, 8, 6)
        side.setSpacing(4)
        side.addWidget(label("Before it goes", "heading"))
        self._before = label("", name="hand-on-before", wrap=True)
        self._before.setAlignment(Qt.AlignmentFlag.AlignTop)
        side.addWidget(self._before)
        side.addWidget(label("Handed on so far", "heading"))
        self._no_log.setAlignment(Qt.AlignmentFlag.AlignTop)
        side.addWidget(self._no_log, 1)
        side.addWidget(self._log, 1)
        side.addWidget(self._old)
        split = QSplitter(Qt.Orientation.Horizontal)
        split.setObjectName("hand-on-split")
        split.addWidget(left)
        split.addWidget(self.preview)
        split.addWidget(right)
        split.setStretchFactor(0, 0)
        split.setStretchFactor(1, 1)
        split.setStretchFactor(2, 0)
        split.setSizes([350, 720, 270])
        whole = QVBoxLayout(self)
        whole.setContentsMargins(8, 6, 8, 4)
        whole.addWidget(split)

    # -- what is there -------------------------------------------------------------------------------
    def reload(self, changed: Changed | None) -> None:
        """Read the finds and the log again; the choice of finds stays."""
        if changed is not None and not changed.touches(*SHOWN_KINDS, "handed_on"):
            return
        foray_id, specimen_id = self.bench.foray_id, self.bench.specimen_id
        only_log = changed is not None and not changed.touches(*SHOWN_KINDS)

        def show(state: HandOnState) -> None:
            self._show_log(state.log)
            if only_log:
                return
            self._state = state
            self.choices.options.set_first_number(state.next_number)
            self.choices.show_finds(state.foray_id, state.foray, state.finds, specimen_id)
            if self._asked_for is not None:
                self.choices.tick(self._asked_for)
                self._asked_for = None
            self._order_changed()

        prefix, year = self.bench.preferences.number_prefix, self.bench.surroundings.now().year
        self.bench.read(lambda work: read_state(work, foray_id, specimen_id, prefix, year), show)

    def _on_preferences(self, _: object) -> None:
        self.choices.options.set_person(self.bench.preferences.person)
        self.choices.options.set_paper(letter=self.bench.preferences.paper is PaperSize.LETTER)
        self.choices.set_usual(usual_precision(self.bench.preferences.place_precision))
        self.mark_stale()

    def _show_log(self, log: tuple[HandedOn, ...]) -> None:
        self._no_log.setVisible(not log)
        self._log.setVisible(bool(log))
        self._log.clear()
        for entry in log:
            item = QListWidgetItem(log_words(entry, self.bench.preferences))
            item.setToolTip(entry.target)
            self._log.addItem(item)

    # -- the preview ---------------------------------------------------------------------------------
    def order(self) -> Order:
        """What is chosen now."""
        return self.choices.order()

    def _order_changed(self) -> None:
        order = self.order()
        self.hand_over.show_order(order, settled=self.choices.settled)
        self._before.setText(self.choices.before_words())
        self._wait.start()

    def _begin_preview(self) -> None:
        order = self.order()
        if not order.papers:
            self.preview.clear(self.choices.empty_words())
            return
        self.preview.begin(order.papers)

    def _press(self) -> Press:
        bench = self.bench
        return press_of(
            bench.preferences, bench.reference, bench.pictures.decoder, bench.surroundings, bench.prepare
        )

    def _make_preview(self, index: int) -> None:
        order, papers = self.order(), self.bench.papers
        if papers is None or index >= order.papers:
            return
        press = self._press()

        def gathered(found: tuple[Gathered, ...]) -> None:
            def make(_: Reporter) -> Paper:
                if order.kind in FILES:
                    return file_preview(order, found, press, papers)
                return make_paper(order, found, press, papers)

            self.preview.make(make)

        def failed(error: Exception) -> None:
            self.preview.clear(failure_reason(error))

        self.bench.read(lambda work: gather_many(work, order.needs(index)), gathered, failed=failed)

    # -- old spreadsheets ----------------------------------------------------------------------------
    def _ask_old_table(self) -> None:
        dialog = QFileDialog(
            self, "Bring in an old spreadsheet", "", "Spreadsheets (*.csv *.tsv *.txt *.xlsx)"
        )
        dialog.setObjectName("hand-on-old-dialog")
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.fileSelected.connect(lambda chosen: read_old_table(self.bench, chosen, self))
        dialog.open()

    @property
    def preview_is_up_to_date(self) -> bool:
        """Whether the page on show is the page of what is chosen, or words say why there is none."""
        settled = not self._wait.isActive() and not self.bench.records_queue.busy
        return settled and not self.preview.busy

    # -- handing on ----------------------------------------------------------------------------------
    def save(self, target: Path, *, replace: bool = False) -> None:
        """Write what is chosen to `target`; the log follows when it is whole."""
        self.hand_over.save(target, replace=replace)

    def stop(self) -> None:
        """Stop writing; no half file is left."""
        self.hand_over.stop()

    @property
    def running(self) -> bool:
        """Whether something is being written or printed."""
        return self.hand_over.running
