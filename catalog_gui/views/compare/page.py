"""Compare: the banner first, then the specimen beside its lookalikes, and what to look at next."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QAction, QFontMetrics, QKeySequence, QResizeEvent
from PySide6.QtWidgets import (
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.caution import TREAT_AS_WORST
from catalog_gui.domain.ledger import Changed
from catalog_gui.presenting.compare.name_offers import offers_for, taxon_typed
from catalog_gui.presenting.compare.reading import read_comparison
from catalog_gui.presenting.compare.state import MOST_TAXA, Comparison, Line
from catalog_gui.views.bench import Bench
from catalog_gui.views.compare.banner import HazardBanner
from catalog_gui.views.compare.bar import CompareBar
from catalog_gui.views.compare.overlay import HazardOverlay
from catalog_gui.views.compare.own_taxon import OwnTaxonDialog
from catalog_gui.views.compare.side import Side
from catalog_gui.views.compare.table import ComparisonTable
from catalog_gui.views.compare.taxon_page import TaxonSheet
from catalog_gui.views.page import Page
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.determine import current_names
from catalog_gui.workflows.ports import UnitOfWork
from catalog_gui.workflows.publish.order import Kind

RECORD_TABLES = ("evidence", "specimens", "determinations", "marks", "photos", "groups")
Listed = list[tuple[str, str]]
_HINT = "Choose a row to read its sources here. Return goes to the feature on Describe."
_NO_ROWS = {
    "all": "Nothing is written about these taxa.",
    "recorded": "Nothing is recorded yet.",
    "separates": TREAT_AS_WORST,
}


class ComparePage(Page):
    """Dangerous lookalikes, weighed soberly."""

    key = "compare"
    title = "Compare"
    purpose = "Which dangerous lookalikes the evidence does not exclude"
    own_caution = True

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(bench, parent)
        self._chosen: dict[str, tuple[str, ...]] = {}
        self._comparison = Comparison()
        self._listed: Listed = []
        self._body = ""
        self._only_before = "all"
        self._asked = 0
        self._table_wait = QTimer(self)
        self._table_wait.setSingleShot(True)
        self._table_wait.setInterval(0)
        self._table_wait.timeout.connect(self._show_table)
        self._sheet: TaxonSheet | None = None
        self._own: OwnTaxonDialog | None = None
        self.banner = HazardBanner(self)
        self._focus_before: QWidget | None = None
        self.table = ComparisonTable(bench, self)
        self.side = Side(self)
        self.bar = CompareBar(self)
        self._specimens, self._bodies, self._only = self.bar.specimens, self.bar.bodies, self.bar.only
        self._first, self._teach, self._taxon = self.bar.first, self.bar.teach, self.bar.taxon
        self._add_own, self._paper = self.bar.add_own, self.bar.paper
        self._lay_out()
        self.overlay = HazardOverlay(self)
        self._complete()
        self._connect()
        self._make_actions()

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 4, 8, 4)
        column.setSpacing(4)
        column.addWidget(self.banner)
        column.addWidget(self.bar)
        left = QWidget()
        rows = QVBoxLayout(left)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(2)
        self._nothing = label("", "faded", name="compare-nothing", wrap=True)
        self._nothing.setAlignment(Qt.AlignmentFlag.AlignCenter)
        rows.addWidget(self._nothing, 1)
        rows.addWidget(self.table, 1)
        self._sources = label("", "faded", name="compare-sources")
        self._sources.setAccessibleName("Sources of the chosen row")
        self._sources.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._sources.setMinimumWidth(50)
        self._sources_words = ""
        rows.addWidget(self._sources)
        split = QSplitter(Qt.Orientation.Horizontal)
        split.setObjectName("compare-split")
        split.addWidget(left)
        split.addWidget(self.side)
        split.setStretchFactor(0, 1)
        split.setStretchFactor(1, 0)
        split.setSizes([1040, 300])
        split.setChildrenCollapsible(False)
        column.addWidget(split, 1)

    def _connect(self) -> None:
        bench = self.bench
        self._specimens.activated.connect(self._on_specimen)
        self._bodies.activated.connect(self._on_body)
        self._add_own.clicked.connect(lambda _=False: self.add_taxon())
        self._only.activated.connect(lambda _: self._show_table())
        self._first.toggled.connect(lambda _: self._show_table())
        self.bar.large.clicked.connect(self.table.set_large)
        self.table.rows_resized.connect(self.bar.large.setChecked)
        self._teach.toggled.connect(self._on_teaching)
        self.bar.name_chosen.connect(self._add_named)
        self._taxon.returnPressed.connect(lambda: self._add_named(self._taxon.text()))
        self._paper.clicked.connect(self.print_handout)
        self.banner.resized.connect(self._place_overlay)
        self.banner.list_wanted.connect(self.show_hazards)
        self.overlay.list.taxon_wanted.connect(self._lay_from_list)
        self.overlay.list.about_wanted.connect(self.show_about)
        self.overlay.closed.connect(self._on_list_closed)
        self.banner.emergency_wanted.connect(self.print_emergency_page)
        self.banner.preferences_wanted.connect(self._ask_preferences)
        self.table.feature_wanted.connect(self._describe_feature)
        self.table.about_wanted.connect(self.show_about)
        self.table.taxon_removed.connect(self.take_away)
        self.table.sources_changed.connect(self._tell_sources)
        self.side.feature_wanted.connect(self._describe_feature)
        self.side.taxon_wanted.connect(self.lay_beside)
        self.side.about_wanted.connect(self.show_about)
        bench.specimen_chosen.connect(self._on_other_find)
        bench.foray_chosen.connect(self._on_other_find)
        bench.reference_changed.connect(self._on_reference)

    def _make_actions(self) -> None:
        def add(name: str, words: str, keys: str, call: Callable[[], object]) -> None:
            action = QAction(words, self)
            action.setObjectName(f"compare-go-{name}")
            action.setShortcut(QKeySequence(keys))
            action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            action.triggered.connect(lambda _=False: call())
            self.addAction(action)

        add("taxon", "Lay a taxon beside it", "Ctrl+L", self._taxon.setFocus)
        add("hazards", "To the hazards", "Ctrl+1", self.banner.lines.take_focus)
        add("table", "To the table", "Ctrl+2", self.table.setFocus)
        add("checks", "To what to check next", "Ctrl+3", self.side.checks.setFocus)
        add("candidates", "To the candidates", "Ctrl+4", self.side.candidates.setFocus)
        add("next", "Next find", "Ctrl+PgDown", lambda: self._step(1))
        add("previous", "Previous find", "Ctrl+PgUp", lambda: self._step(-1))

    def _complete(self) -> None:
        self.bar.complete(self.bench.reference)

    def _on_reference(self, _: object) -> None:
        """The user's own pack was changed: other names to offer, and everything is weighed again."""
        self._complete()
        self.mark_stale()

    # --- reading -------------------------------------------------------------------------------

    @property
    def comparison(self) -> Comparison:
        """What is shown."""
        return self._comparison

    @property
    def table_waiting(self) -> bool:
        """Whether the table is still to follow what was read."""
        return self._table_wait.isActive()

    @property
    def teaching(self) -> bool:
        """Whether taxa stand beside each other without a find."""
        return self._teach.isChecked()

    def reload(self, changed: Changed | None) -> None:
        """Weigh again when something of the evidence moved. Only the newest answer is shown."""
        if changed is not None and not changed.touches(*RECORD_TABLES):
            return
        bench = self.bench
        key = self._key()
        foray_id, chosen, body, reference = bench.foray_id, self._chosen.get(key), self._body, bench.reference
        self._asked += 1
        number = self._asked

        def question(work: UnitOfWork) -> tuple[Comparison, Listed]:
            specimens = work.specimens.where(foray_id=foray_id) if foray_id else ()
            if not specimens:
                specimens = work.specimens.all()
            names = current_names(work, tuple(s.id for s in specimens))
            listed = sorted((f"{s.number}   {names.get(s.id, '')}".strip(), s.id) for s in specimens)
            return read_comparison(work, key, reference, chosen, prepare=bench.prepare, body=body), listed

        def show(answer: tuple[Comparison, Listed]) -> None:
            if number == self._asked:
                self._on_read(*answer)

        bench.read(question, show)

    def _key(self) -> str:
        return "" if self.teaching else self.bench.specimen_id

    def _on_read(self, comparison: Comparison, listed: Listed) -> None:
        self._fill_specimens(listed)
        if comparison.specimen is None and not self.teaching and listed:
            keys = {key for _, key in listed}
            if self.bench.specimen_id not in keys:
                self.bench.choose_specimen(listed[0][1])
                return
        if comparison.body and comparison.body not in comparison.bodies:
            self._body = ""
            self.reload(None)
            return
        self._show(comparison)

    def _fill_specimens(self, listed: Listed) -> None:
        if listed != self._listed or self._specimens.currentData() != self.bench.specimen_id:
            self._listed = listed
            self._specimens.blockSignals(True)
            self._specimens.clear()
            for words, key in listed:
                self._specimens.addItem(words, key)
            self._specimens.setCurrentIndex(self._specimens.findData(self.bench.specimen_id))
            self._specimens.blockSignals(False)
        self._specimens.setEnabled(bool(listed) and not self.teaching)
        if not listed:
            self._specimens.setPlaceholderText("No specimen is kept yet")

    def _show(self, comparison: Comparison) -> None:
        self._comparison = comparison
        self.banner.show_comparison(comparison, self.bench.preferences)
        self.overlay.show_lines(comparison.banner, comparison.specimen.id if comparison.specimen else "")
        self._fill_bodies(comparison)
        self.side.setVisible(comparison.specimen is not None)
        self.side.show_comparison(comparison)
        self._table_wait.start()  # the table in an event of its own: what is typed meanwhile goes first

    def _fill_bodies(self, comparison: Comparison) -> None:
        self._bodies.setVisible(bool(comparison.bodies))
        self._bodies.blockSignals(True)
        self._bodies.clear()
        self._bodies.addItem("The whole collection", "")
        for body in comparison.bodies:
            self._bodies.addItem(f"Fruit body {body}", body)
        self._bodies.setCurrentIndex(max(0, self._bodies.findData(comparison.body)))
        self._bodies.blockSignals(False)

    def _show_table(self) -> None:
        comparison = self._comparison
        empty = comparison.specimen is None and not comparison.taxa
        self.table.setVisible(not empty)
        self._sources.setVisible(not empty)
        self._nothing.setVisible(empty)
        self._nothing.setText(
            f"Type the name of a taxon above (Ctrl+L) to lay it here; up to {MOST_TAXA} stand side by side."
            if self.teaching
            else "No find yet. Accept specimens on Sort, or open the teaching view to lay taxa side by side."
        )
        if empty:
            return
        if self.teaching and not any(line.separates for line in comparison.lines):
            self._only.setCurrentIndex(
                self._only.findData("all")
            )  # one taxon alone is not parted from anything
        self.table.show_comparison(
            comparison, str(self._only.currentData()), parting_first=self.teaching or self._first.isChecked()
        )
        if not any(isinstance(row, Line) for row in self.table.rows.rows):
            self._tell_sources(_NO_ROWS[str(self._only.currentData())])
        elif not self.table.currentIndex().isValid():
            self._tell_sources(_HINT)

    # --- what the user does -------------------------------------------------------------------------

    def lay_beside(self, taxon_id: str) -> None:
        """Lay a taxon beside the find, or take it away if it lies there; the last of three gives way."""
        if taxon_id in {taxon.id for taxon in self._comparison.taxa}:
            self.take_away(taxon_id)
        else:
            self.show_beside(taxon_id)

    def show_beside(self, taxon_id: str) -> None:
        """Lay a taxon beside the find; nothing happens if it lies there already."""
        now = tuple(taxon.id for taxon in self._comparison.taxa)
        reference = self.bench.reference
        if taxon_id in now:
            return
        kept, gone = now[: MOST_TAXA - 1], now[MOST_TAXA - 1 :]
        self._chosen[self._key()] = (*kept, taxon_id)
        names = [taxon.name for key in (taxon_id, *gone) if (taxon := reference.taxon(key)) is not None]
        if gone and len(names) > 1:
            self.bench.said.emit(f"{names[0]} lies here now, in place of {names[1]}.")
        self.reload(None)

    def show_hazards(self, place: int = 0) -> None:
        """Lay the full list over the table, at a line of the banner; -1 takes it away."""
        if place < 0:
            self.overlay.fold()
            return
        if self.overlay.isHidden():
            self._focus_before = self.focusWidget()
        self.banner.set_opened(True)
        self._place_overlay()
        self.overlay.unfold(place)

    def _on_list_closed(self) -> None:
        self.banner.set_opened(False)
        before, self._focus_before = self._focus_before, None
        if before is not None and before.isVisible():
            before.setFocus(Qt.FocusReason.ShortcutFocusReason)
        else:
            self.banner.lines.take_focus()

    def _lay_from_list(self, taxon_id: str) -> None:
        """Lay a taxon of the full list beside the find, and show the table again."""
        self.overlay.fold()
        self.show_beside(taxon_id)

    def _place_overlay(self) -> None:
        top = self.banner.geometry().bottom() + 3
        self.overlay.setGeometry(self.rect().adjusted(8, top, -8, -4))

    def take_away(self, taxon_id: str) -> None:
        """Take a taxon off the table. It stays in the banner."""
        self._chosen[self._key()] = tuple(taxon.id for taxon in self._comparison.taxa if taxon.id != taxon_id)
        self.reload(None)

    def show_about(self, taxon_id: str) -> None:
        """Open the sheet with everything about a taxon."""
        if self._sheet is None:
            self._sheet = TaxonSheet(self.bench, self)
            self._sheet.lay_beside_wanted.connect(self.show_beside)
            self._sheet.own_values_wanted.connect(self.add_taxon)
        self._sheet.show_taxon(taxon_id)
        self._sheet.show()
        self._sheet.raise_()
        self._sheet.activateWindow()

    def add_taxon(self, taxon_id: str = "") -> None:
        """Open the page for an own taxon, or for own values of one that is there."""
        if self._own is None:
            self._own = OwnTaxonDialog(self.bench, self)
            self._own.lay_beside_wanted.connect(self.show_beside)
        if taxon_id:
            self._own.show_taxon(taxon_id)
        else:
            typed = self._taxon.text().strip()
            self._own.begin(typed if typed and self.bench.reference.named(typed) is None else "")
        self._own.show()
        self._own.raise_()
        self._own.activateWindow()

    def print_handout(self) -> None:
        """Go to Hand on with the lookalike handout chosen: this find with the taxa that lie beside it."""
        shown = self._comparison
        finds = [shown.specimen.id] if shown.specimen is not None else []
        self.bench.paper_wanted.emit(Kind.HANDOUT.value, finds, [taxon.name for taxon in shown.taxa])

    def print_emergency_page(self) -> None:
        """Go to Hand on with the emergency page of this find made: one side, to look at and to print."""
        if self._comparison.specimen is not None:
            self.bench.paper_wanted.emit(Kind.EMERGENCY.value, [self._comparison.specimen.id], [])

    @property
    def own(self) -> OwnTaxonDialog | None:
        """The page for the user's own taxa, once it was opened."""
        return self._own

    @property
    def sheet(self) -> TaxonSheet | None:
        """The sheet about a taxon, once it was opened."""
        return self._sheet

    def _add_named(self, text: str) -> None:
        if not text.strip():
            return  # Return on a name in the list comes here twice: once chosen, once typed
        taxon_id = taxon_typed(text, self.bar.offers, self.bench.reference)
        if taxon_id:
            self._taxon.clear()
            self.show_beside(taxon_id)
        elif some := offers_for(text, self.bar.offers):
            self.bench.said.emit(
                f"'{text}' may be {some[0].words} or {some[1].words}: choose one in the list."
            )
        else:
            self.bench.said.emit(f"'{text}' is not in the reference. Ctrl+Shift+N adds it as one of yours.")

    def _describe_feature(self, feature_id: str) -> None:
        feature = self.bench.vocabulary.feature(feature_id)
        if feature is not None and self._comparison.specimen is not None:
            self.bench.page_wanted.emit("describe")
            self.bench.feature_wanted.emit(feature_id)

    def _tell_sources(self, words: str) -> None:
        self._sources_words = words
        self._sources.setToolTip(words.replace(" | ", "\n"))
        self._sources.setAccessibleDescription(words)
        metrics = QFontMetrics(self._sources.font())
        self._sources.setText(
            metrics.elidedText(words, Qt.TextElideMode.ElideRight, max(100, self.table.width() - 4))
        )

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The sources are cut to the new width; the full list follows the page."""
        super().resizeEvent(event)
        self.banner.lines.set_room(self.height())
        self._place_overlay()
        self._tell_sources(self._sources_words)

    def _on_specimen(self, index: int) -> None:
        self.bench.choose_specimen(str(self._specimens.itemData(index)))

    def _step(self, way: int) -> None:
        index = self._specimens.currentIndex() + way
        if 0 <= index < self._specimens.count() and not self.teaching:
            self._on_specimen(index)

    def _on_other_find(self, _: str) -> None:
        self._body = ""
        self.mark_stale()

    def _on_body(self, index: int) -> None:
        self._body = str(self._bodies.itemData(index) or "")
        self.reload(None)

    def _on_teaching(self, teaching: bool) -> None:
        if teaching and "" not in self._chosen:
            self._chosen[""] = tuple(taxon.id for taxon in self._comparison.taxa)
        self.table.set_for_a_room(teaching)
        if teaching:
            self._only_before = str(self._only.currentData())
        self._only.setCurrentIndex(self._only.findData("separates" if teaching else self._only_before))
        self.reload(None)

    def _ask_preferences(self) -> None:
        show = getattr(self.window(), "show_preferences", None)
        if callable(show):
            show()
