"""The page for an own taxon, or for own values of one of ours. Saved row by row in the user's pack."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QMessageBox,
    QPushButton,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain import vocabulary_roles as roles
from catalog_gui.domain.caution import CAUTION
from catalog_gui.domain.problem import Problem
from catalog_gui.lookalikes.reference import Reference, Taxon
from catalog_gui.presenting.failure import failure_words
from catalog_gui.views.bench import Bench
from catalog_gui.views.compare import own_fields as fields
from catalog_gui.views.compare.own_dangers import HazardsTab, PairsTab
from catalog_gui.views.compare.own_rows import Edits, HerRow, RowsTab
from catalog_gui.views.compare.own_values import SizesTab, StatesTab
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.own_taxa import (
    RANKS,
    TaxonDraft,
    corrected_taxon,
    her_rows,
    is_hers,
    new_taxon,
    taxon_key,
    without_taxon,
)


class NameTab(QWidget):
    """The name and where it belongs."""

    save_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("own-name-tab")
        self.name = fields.line("own-name", "Name without authority", "Genus species")
        self.authority = fields.line("own-authority", "Authority", "(Fr.) Quél.")
        self.english = fields.line("own-english", "English name")
        self.rank = fields.Choice("own-rank", "Rank")
        self.rank.offer((rank, rank) for rank in RANKS)
        self.rank.choose("species")
        self.genus = fields.line("own-genus", "Genus", "first word of the name")
        self.section = fields.line("own-section", "Section")
        self.group = fields.Choice("own-group", "Group under which it is listed", free=True)
        self.forms = fields.TickList("own-forms", "Form of the fruit body")
        self.note = fields.line("own-note", "Note", "a few words; longer notes have their own place")
        self.source = fields.source_field("own-source")
        self.kept = label("", "faded", name="own-kept", wrap=True)
        self.save = QPushButton("Add this taxon")
        self.save.setObjectName("own-save")
        self.save.setProperty("role", "main")
        self.save.setAutoDefault(False)
        self.save.clicked.connect(self.save_wanted)
        for field in (self.name, self.authority, self.english, self.genus, self.section, self.note):
            field.returnPressed.connect(self.save_wanted)
        self._lay_out()

    def _lay_out(self) -> None:
        form = QFormLayout(self)
        for words, left, right_words, right in (
            ("Name", self.name, "Authority", self.authority),
            ("English name", self.english, "Rank", self.rank),
            ("Genus", self.genus, "Section", self.section),
        ):
            row = QHBoxLayout()
            row.addWidget(left, 3)
            row.addWidget(QLabel(right_words))
            row.addWidget(right, 2)
            form.addRow(words, row)
        form.addRow("Group", self.group)
        form.addRow("Form", self.forms)
        form.addRow("Note", self.note)
        form.addRow("Source", self.source)
        form.addRow("", self.kept)
        foot = QHBoxLayout()
        foot.addStretch(1)
        foot.addWidget(self.save)
        form.addRow(foot)

    def show_taxon(self, reference: Reference, taxon: Taxon | None, name: str = "") -> None:
        """Fill the fields with what stands in the reference, or make them ready for a new name."""
        groups = sorted({one.group for one in reference.taxa if one.group})
        self.group.offer((group, group) for group in groups)
        self.source.offer(fields.sources_on_offer(reference))
        states = reference.vocabulary.states_of(roles.FORM)
        self.forms.offer(((state.name, state.id) for state in states), taxon.forms if taxon else ())
        for field, words in (
            (self.name, taxon.name if taxon else name),
            (self.authority, taxon.authority if taxon else ""),
            (self.english, taxon.english if taxon else ""),
            (self.genus, taxon.genus if taxon else ""),
            (self.section, taxon.section if taxon else ""),
            (self.note, taxon.note if taxon else ""),
        ):
            field.setText(words)
        self.rank.setEditText(taxon.rank if taxon else "species")
        self.group.setEditText(taxon.group if taxon else "")
        source = reference.source(taxon.source) if taxon else None
        self.source.setEditText(source.citation if source is not None else "")
        dangerous = taxon is not None and reference.severity_of(taxon.id) is not None
        for field in (self.genus, self.section):
            field.setEnabled(not (dangerous and taxon is not None and not is_hers(reference, taxon.pack)))
        self.kept.setText(
            "A dangerous taxon of ours keeps its genus and section, and its name here stays as a synonym."
            if not self.genus.isEnabled()
            else ""
        )
        self.save.setText(
            "Add this taxon"
            if taxon is None
            else ("Save the name" if is_hers(reference, taxon.pack) else "Put this in place of ours")
        )
        self.save.setAccessibleName(self.save.text())

    def draft(self) -> TaxonDraft:
        """What the user typed."""
        return TaxonDraft(
            self.name.text(),
            self.authority.text(),
            self.english.text(),
            self.rank.currentText().strip(),
            self.genus.text(),
            self.section.text(),
            self.forms.ticked,
            self.group.currentText().strip(),
            self.note.text(),
            fields.source_words(self.source),
        )


class OwnTaxonDialog(QDialog):
    """Stays open beside the page. Every 'add' is one step: saved at once, and taken back with Ctrl+Z."""

    lay_beside_wanted = Signal(str)

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self._taxon_id = ""
        self.setObjectName("own-taxon")
        self.resize(940, 700)
        self.heading = label("", "title", name="own-heading")
        self.where = label("", "faded", name="own-where", wrap=True)
        self.told = label("", name="own-told", wrap=True)
        self.told.setAccessibleName("What happened")
        self.tabs = QTabWidget(self)
        self.tabs.setObjectName("own-tabs")
        self.name_tab = NameTab()
        self.name_tab.save_wanted.connect(self.save_name)
        self.states, self.sizes = StatesTab("states"), SizesTab("sizes")
        self.hazards, self.pairs = HazardsTab("hazards"), PairsTab("pairs")
        self.tabs.addTab(self.name_tab, "&Name")
        for tab, words in (
            (self.states, "What it &shows"),
            (self.sizes, "Si&zes"),
            (self.hazards, "&Hazards"),
            (self.pairs, "&Mistaken for"),
        ):
            self.tabs.addTab(tab, words)
            tab.wanted.connect(self._change)
            tab.refused.connect(self._refuse)
        self._lay_out()
        bench.reference_changed.connect(lambda _: self._refresh())

    @property
    def _row_tabs(self) -> tuple[RowsTab, ...]:
        return (self.states, self.sizes, self.hazards, self.pairs)

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.addWidget(self.heading)
        column.addWidget(self.where)
        column.addWidget(self.tabs, 1)
        column.addWidget(self.told)
        column.addWidget(label(CAUTION, "caution", name="own-caution", wrap=True))
        foot = QHBoxLayout()
        self.back = button("own-undo", "Take back", "Take back the newest change (Ctrl+Z)")
        self.back.clicked.connect(self._bench.undo)
        QShortcut(QKeySequence(QKeySequence.StandardKey.Undo), self, self._bench.undo)
        QShortcut(QKeySequence("Ctrl+Shift+Z"), self, self._bench.redo)
        self.remove = button("own-remove", "Take all of mine away…", "Take everything of yours away")
        self.remove.clicked.connect(self._ask_remove)
        self.beside = button("own-beside", "Lay it beside the find", "Lay it beside the find")
        self.beside.clicked.connect(lambda: self.lay_beside_wanted.emit(self._taxon_id))
        close = button("own-close", "Close", "Close (Escape)")
        close.clicked.connect(self.close)
        foot.addWidget(self.back)
        foot.addWidget(self.remove)
        foot.addStretch(1)
        foot.addWidget(self.beside)
        foot.addWidget(close)
        column.addLayout(foot)

    @property
    def taxon_id(self) -> str:
        """The taxon whose values are shown; '' for one that is not added yet."""
        return self._taxon_id

    def begin(self, name: str = "") -> None:
        """Ready for a taxon that is not there yet."""
        self._taxon_id = ""
        self._say("")
        self.name_tab.show_taxon(self._bench.reference, None, name)
        self.tabs.setCurrentIndex(0)
        self.name_tab.name.setFocus()
        self._refresh()

    def show_taxon(self, taxon_id: str) -> None:
        """What is written of a taxon, ours and the user's, ready to be added to."""
        taxon = self._bench.reference.taxon(taxon_id)
        if taxon is None:
            return
        self._taxon_id = taxon_id
        self._say("")
        self.name_tab.show_taxon(self._bench.reference, taxon)
        self.tabs.setCurrentIndex(1)
        self._refresh()

    # --- what the user does -------------------------------------------------------------------------

    def save_name(self) -> None:
        """Add the taxon, or put the row of its name in place of what stands there."""
        draft, taxon_id = self.name_tab.draft(), self._taxon_id
        bench = self._bench
        try:
            if taxon_id:
                corrected_taxon(bench.reference, taxon_id, draft)
            else:
                new_taxon(bench.reference, draft)
        except Problem as problem:
            self._refuse(problem.reason)
            return
        key = taxon_id or taxon_key(draft.name)

        def shown(reference: Reference) -> None:
            if not taxon_id and reference.taxon(key) is not None:
                self.show_taxon(key)
                self._say("Added. Now say what it shows; every row is saved at once.")

        bench.change_pack(
            f"{'Name of' if taxon_id else 'Added'} {' '.join(draft.name.split())}",
            lambda reference, _: (
                corrected_taxon(reference, taxon_id, draft) if taxon_id else new_taxon(reference, draft)[1]
            ),
            shown,
            failed=self._failed,
        )

    def _change(self, words: str, edits: Edits) -> None:
        taxon = self._bench.reference.taxon(self._taxon_id)
        name = taxon.name if taxon is not None else self._taxon_id
        self._say("")
        self._bench.change_pack(
            f"{name}: {words}",
            lambda reference, _: edits(reference),
            lambda _: self._say(f"Saved: {words}"),
            failed=self._failed,
        )

    def _ask_remove(self) -> None:
        taxon = self._bench.reference.taxon(self._taxon_id)
        if taxon is None:
            return
        hers = is_hers(self._bench.reference, taxon.pack)
        box = QMessageBox(self)
        box.setObjectName("own-remove-box")
        box.setWindowTitle("Take all of mine away")
        box.setText(f"Take everything you wrote about {taxon.name} out of your own pack?")
        box.setInformativeText(
            "It can be taken back with Ctrl+Z."
            if hers
            else "What our pack says stays. It can be taken back with Ctrl+Z."
        )
        box.setStandardButtons(QMessageBox.StandardButton.Yes | QMessageBox.StandardButton.Cancel)
        box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        box.finished.connect(
            lambda answer: self.remove_all() if answer == QMessageBox.StandardButton.Yes.value else None
        )
        box.open()

    def remove_all(self) -> None:
        """Take everything about the taxon out of the user's pack."""
        taxon_id = self._taxon_id
        taxon = self._bench.reference.taxon(taxon_id)
        name = taxon.name if taxon is not None else taxon_id
        self._bench.change_pack(
            f"All of mine about {name} taken away",
            lambda _, pack: without_taxon(pack, taxon_id),
            failed=self._failed,
        )

    # --- showing -------------------------------------------------------------------------------

    def _refresh(self) -> None:
        """After every change, also one that was taken back."""
        bench, taxon_id = self._bench, self._taxon_id
        reference = bench.reference
        taxon = reference.taxon(taxon_id) if taxon_id else None
        if taxon_id and taxon is None:  # taken away, or its adding taken back
            self._taxon_id = ""
            self._say("It is not in your pack any longer. Add it again, or close.")
        self.setWindowTitle(f"Your own values: {taxon.name}" if taxon is not None else "Add a taxon")
        hers = taxon is not None and is_hers(reference, taxon.pack)
        if taxon is None:
            self.heading.setText("A taxon of your own")
        else:
            self.heading.setText(f"{taxon.name} (yours)" if hers else f"Your own values for {taxon.name}")
        pack = bench.own_pack
        self.where.setText(
            f"Kept in your own pack: {pack.folder}. Every row is saved at once."
            if pack is not None
            else "There is no place for a pack of your own here."
        )
        for tab in self._row_tabs:
            self.tabs.setTabEnabled(self.tabs.indexOf(tab), taxon is not None)
        self.beside.setEnabled(taxon is not None)
        self.remove.setEnabled(False)
        if taxon is None:
            self.name_tab.save.setText("Add this taxon")
            return

        def show(rows: Sequence[HerRow]) -> None:
            if self._taxon_id == taxon_id and bench.reference is reference:
                self.remove.setEnabled(bool(rows))
                for tab in self._row_tabs:
                    tab.show_rows(reference, taxon_id, rows)

        bench.read_pack(lambda own: her_rows(own, taxon_id), show)

    def _failed(self, error: Exception) -> None:
        self._refuse(failure_words(error))

    def _refuse(self, words: str) -> None:
        self._say(words, role="trouble")

    def _say(self, words: str, role: str = "faded") -> None:
        self.told.setProperty("role", role)
        self.told.setText(words)
        self.told.style().polish(self.told)
