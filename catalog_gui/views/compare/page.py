"""Compare: the banner first, then the specimen beside its lookalikes, and what to look at next."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import (
    QComboBox,
    QCompleter,
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.ledger import Changed
from catalog_gui.views.bench import Bench
from catalog_gui.views.compare.banner import HazardBanner
from catalog_gui.views.compare.state import MOST_TAXA, Comparison, read_comparison
from catalog_gui.views.compare.table import ComparisonTable
from catalog_gui.views.page import Page, label
from catalog_gui.views.sort.state import current_names
from catalog_gui.workflows.ports import Work

SHELVES = ("evidence", "specimens", "determinations", "marks", "photos", "groups")


class ComparePage(Page):
    """Dangerous lookalikes, weighed soberly."""

    key = "compare"
    title = "Compare"
    purpose = "Which dangerous lookalikes the evidence does not exclude"

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(bench, parent)
        self._chosen: dict[str, tuple[str, ...]] = {}
        self._comparison = Comparison()
        self._teaching = False
        self.banner = HazardBanner(self)
        self.table = ComparisonTable(bench.pictures, self)
        self._specimens = QComboBox()
        self._specimens.setObjectName("compare-specimen")
        self._specimens.setAccessibleName("Specimen to compare")
        self._specimens.setMinimumWidth(260)
        self._specimens.activated.connect(self._on_specimen)
        self._bodies = QComboBox()
        self._bodies.setObjectName("compare-body")
        self._bodies.setAccessibleName("Fruit body of a mixed collection")
        self._bodies.activated.connect(lambda _: self.reload(None))
        self._bodies.hide()
        self._only = QComboBox()
        self._only.setObjectName("compare-only")
        self._only.setAccessibleName("Which features to show")
        for word, key in (
            ("Every feature", "all"),
            ("What was recorded", "recorded"),
            ("What parts these taxa", "separates"),
        ):
            self._only.addItem(word, key)
        self._only.activated.connect(lambda _: self._show(self._comparison))
        self._taxon = QLineEdit()
        self._taxon.setObjectName("compare-add-taxon")
        self._taxon.setAccessibleName("Lay a taxon beside it: type a name")
        self._taxon.setPlaceholderText("Lay a taxon beside it…")
        self._taxon.setFixedWidth(210)
        self._teach = QPushButton("Teaching view")
        self._teach.setObjectName("compare-teaching")
        self._teach.setAccessibleName("Teaching view: taxa beside each other without a find")
        self._teach.setToolTip("Taxa beside each other without a find (Ctrl+Shift+T)")
        self._teach.setShortcut("Ctrl+Shift+T")
        self._teach.setCheckable(True)
        self._teach.toggled.connect(self._on_teaching)
        self._candidates = QListWidget()
        self._candidates.setObjectName("candidates")
        self._candidates.setAccessibleName("Candidates in order")
        self._candidates.setWordWrap(True)
        self._candidates.setSpacing(1)
        self._candidates.itemActivated.connect(self._on_candidate)
        self._candidates.itemClicked.connect(self._on_candidate)
        self._checks = QListWidget()
        self._checks.setObjectName("next-checks")
        self._checks.setAccessibleName("What to check next")
        self._checks.setWordWrap(True)
        self._checks.setSpacing(1)
        self._checks.itemActivated.connect(self._on_check)
        self._lay_out()
        self._complete()
        self.banner.taxon_wanted.connect(self.lay_beside)
        self.banner.preferences_wanted.connect(self._ask_preferences)
        self.table.feature_wanted.connect(self._describe_feature)
        focus = QAction("Lay a taxon beside it", self)
        focus.setShortcut(QKeySequence("Ctrl+L"))
        focus.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        focus.triggered.connect(self._taxon.setFocus)
        self.addAction(focus)
        bench.specimen_chosen.connect(lambda _: self.mark_stale())
        bench.foray_chosen.connect(lambda _: self.mark_stale())

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 4, 8, 4)
        column.setSpacing(4)
        column.addWidget(self.banner)
        bar = QHBoxLayout()
        bar.addWidget(self._specimens)
        bar.addWidget(self._bodies)
        self._name = label("", "taxon", name="compare-name")
        bar.addWidget(self._name, 1)
        bar.addWidget(self._only)
        bar.addWidget(self._taxon)
        bar.addWidget(self._teach)
        column.addLayout(bar)
        side = QWidget()
        right = QVBoxLayout(side)
        right.setContentsMargins(0, 0, 0, 0)
        right.setSpacing(2)
        right.addWidget(label("What to check next", "heading"))
        right.addWidget(self._checks, 1)
        right.addWidget(label("Candidates, in order", "heading"))
        right.addWidget(
            label("An order, not a name. The best of these may still be wrong.", "faded", wrap=True)
        )
        right.addWidget(self._candidates, 1)
        split = QSplitter(Qt.Orientation.Horizontal)
        split.setObjectName("compare-split")
        split.addWidget(self.table)
        split.addWidget(side)
        split.setStretchFactor(0, 3)
        split.setStretchFactor(1, 1)
        split.setSizes([960, 340])
        column.addWidget(split, 1)
        self._side = side

    def _complete(self) -> None:
        names: list[str] = []
        for taxon in self.bench.reference.taxa:
            names.append(f"{taxon.name} ({taxon.english})" if taxon.english else taxon.name)
            names.extend(synonym.name for synonym in self.bench.reference.synonyms_of(taxon.id))
        completer = QCompleter(sorted(set(names)), self)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        completer.setFilterMode(Qt.MatchFlag.MatchContains)
        completer.activated.connect(self._add_named)
        self._taxon.setCompleter(completer)
        self._taxon.returnPressed.connect(lambda: self._add_named(self._taxon.text()))

    # --- reading -------------------------------------------------------------------------------

    def reload(self, changed: Changed | None) -> None:
        """Weigh again when something of the evidence moved."""
        if changed is not None and not changed.touches(*SHELVES):
            return
        bench = self.bench
        specimen_id = "" if self._teaching else bench.specimen_id
        foray_id = bench.foray_id
        body = str(self._bodies.currentData() or "") if self._bodies.isVisible() else ""
        chosen = self._chosen.get(specimen_id)
        reference = bench.reference

        def question(work: Work) -> tuple[Comparison, list[tuple[str, str]]]:
            specimens = work.specimens.where(foray_id=foray_id) if foray_id else ()
            if not specimens:
                specimens = work.specimens.all()
            names = current_names(work, tuple(s.id for s in specimens))
            listed = sorted((s.number + "   " + names.get(s.id, ""), s.id) for s in specimens)
            return read_comparison(work, specimen_id, reference, chosen, body=body), listed

        def show(answer: tuple[Comparison, list[tuple[str, str]]]) -> None:
            comparison, listed = answer
            self._fill_specimens(listed)
            if comparison.specimen is None and not self._teaching and listed and not bench.specimen_id:
                bench.choose_specimen(listed[0][1])
                return
            self._show(comparison)

        bench.read(question, show)

    @property
    def comparison(self) -> Comparison:
        """What is shown."""
        return self._comparison

    def _fill_specimens(self, listed: list[tuple[str, str]]) -> None:
        self._specimens.blockSignals(True)
        self._specimens.clear()
        for words, key in listed:
            self._specimens.addItem(words.strip(), key)
        self._specimens.setCurrentIndex(self._specimens.findData(self.bench.specimen_id))
        self._specimens.setEnabled(bool(listed) and not self._teaching)
        if not listed:
            self._specimens.setPlaceholderText("No specimen is accepted yet")
        self._specimens.blockSignals(False)

    def _show(self, comparison: Comparison) -> None:
        self._comparison = comparison
        self.banner.show_comparison(comparison, self.bench.preferences)
        self._name.setText(comparison.name or ("" if comparison.specimen is None else "not named yet"))
        self._bodies.setVisible(bool(comparison.bodies))
        if comparison.bodies and self._bodies.count() != len(comparison.bodies) + 1:
            self._bodies.clear()
            self._bodies.addItem("The whole collection", "")
            for body in comparison.bodies:
                self._bodies.addItem(f"Fruit body {body}", body)
        self.table.show_comparison(comparison, str(self._only.currentData()))
        self._side.setVisible(comparison.specimen is not None)
        self._fill_candidates(comparison)
        self._fill_checks(comparison)

    def _fill_candidates(self, comparison: Comparison) -> None:
        self._candidates.clear()
        shown = {taxon.id for taxon in comparison.taxa}
        for place, candidate in enumerate(comparison.candidates, 1):
            words = f"{place}. {candidate.taxon.name}"
            if candidate.taxon.english:
                words += f" ({candidate.taxon.english})"
            if candidate.severity is not None:
                words += f" – {candidate.severity.value}"
            against = (
                candidate.speaks_against[0]
                if candidate.speaks_against
                else "nothing recorded speaks against it"
            )
            words += f"\n{len(candidate.speaks_for)} for, {len(candidate.speaks_against)} against: {against}"
            item = QListWidgetItem(words)
            item.setData(Qt.ItemDataRole.UserRole, candidate.taxon.id)
            item.setToolTip("\n".join([*candidate.speaks_for[:8], *candidate.speaks_against[:8]]))
            if candidate.taxon.id in shown:
                font = item.font()
                font.setBold(True)
                item.setFont(font)
            self._candidates.addItem(item)

    def _fill_checks(self, comparison: Comparison) -> None:
        self._checks.clear()
        for place, check in enumerate(comparison.checks, 1):
            item = QListWidgetItem(f"{place}. {check.name} ({check.cost})\n{check.settles}")
            item.setData(Qt.ItemDataRole.UserRole, check.feature)
            item.setToolTip("\n".join([check.how, *check.answers]).strip())
            item.setSizeHint(QSize())
            self._checks.addItem(item)

    # --- what she does -------------------------------------------------------------------------

    def lay_beside(self, taxon_id: str) -> None:
        """Lay a taxon beside the find; the oldest of three gives way."""
        key = "" if self._teaching else self.bench.specimen_id
        now = tuple(taxon.id for taxon in self._comparison.taxa)
        without = tuple(one for one in now if one != taxon_id)
        self._chosen[key] = without if taxon_id in now else (*now[-(MOST_TAXA - 1) :], taxon_id)
        self.reload(None)

    def _add_named(self, text: str) -> None:
        taxon = self.bench.reference.named(text.split(" (", maxsplit=1)[0])
        if taxon is None:
            self.bench.said.emit(f"'{text}' is not in the reference.")
            return
        self._taxon.clear()
        if taxon.id not in {shown.id for shown in self._comparison.taxa}:
            self.lay_beside(taxon.id)

    def _on_candidate(self, item: QListWidgetItem) -> None:
        self.lay_beside(str(item.data(Qt.ItemDataRole.UserRole)))

    def _on_check(self, item: QListWidgetItem) -> None:
        self._describe_feature(str(item.data(Qt.ItemDataRole.UserRole)))

    def _describe_feature(self, feature_id: str) -> None:
        feature = self.bench.vocabulary.feature(feature_id)
        if feature is not None and self._comparison.specimen is not None:
            self.bench.page_wanted.emit("describe")
            self.bench.feature_wanted.emit(feature_id)

    def _on_specimen(self, index: int) -> None:
        self.bench.choose_specimen(str(self._specimens.itemData(index)))

    def _on_teaching(self, teaching: bool) -> None:
        self._teaching = teaching
        if teaching and "" not in self._chosen:
            self._chosen[""] = tuple(taxon.id for taxon in self._comparison.taxa)
        self.reload(None)

    def _ask_preferences(self) -> None:
        window = self.window()
        show = getattr(window, "show_preferences", None)
        if callable(show):
            partial(show)()
