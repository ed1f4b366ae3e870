"""What the user adds about dangers: documented poisonings, and what a taxon is mistaken for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtWidgets import QFormLayout, QGridLayout, QHBoxLayout, QLayout, QWidget

from catalog_gui.lookalikes.reference import Reference, Severity
from catalog_gui.presenting.compare.taxon_words import window_words
from catalog_gui.views.compare import own_fields as fields
from catalog_gui.views.compare.own_rows import (
    Edits,
    RowsTab,
    Shown,
    citation_of,
    feature_name,
    on_return,
)
from catalog_gui.views.widgets.buttons import choice_box
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.own_taxa import HazardDraft, hazard_rows, is_hers, pair_rows


class HazardsTab(RowsTab):
    """Documented poisonings. They are only ever added to ours."""

    table_name = "hazards"
    columns = ("How bad", "Syndrome", "Onset", "Source", "What misleads")
    empty = "No poisoning is written down here. That says nothing about the fungus."

    def _fields(self) -> QLayout:
        self.severity = choice_box("own-hazard-severity", "The worst that is documented")
        for severity in Severity:
            self.severity.addItem(severity.means, severity)
        self.syndrome = fields.Choice("own-hazard-syndrome", "Syndrome")
        self.toxin = fields.line("own-hazard-toxin", "Toxin", "if it is known")
        self.low = fields.line("own-hazard-low", "Onset from", "from")
        self.high = fields.line("own-hazard-high", "Onset to", "to")
        self.unit = choice_box("own-hazard-unit", "Unit of the onset")
        self.unit.addItems(["h", "min", "d"])
        self.counts = fields.line(
            "own-hazard-counts", "What was counted from the meal", "such as first gut trouble"
        )
        self.misleads = fields.line(
            "own-hazard-misleads", "What misleads", "such as a quiet spell before the worst"
        )
        self.source = fields.source_field("own-hazard-source")
        edit = self.source.lineEdit()
        if edit is not None:
            edit.setPlaceholderText("where it is documented (needed)")
        on_return(self.add_row, self.toxin, self.low, self.high, self.counts, self.misleads, self.source)
        form = QFormLayout()
        first, second = QHBoxLayout(), QHBoxLayout()
        for widget, wide in ((self.severity, 0), (self.syndrome, 3), (self.toxin, 2)):
            first.addWidget(widget, wide)
        for widget, wide in ((self.low, 1), (self.high, 1), (self.unit, 0), (self.counts, 4)):
            second.addWidget(widget, wide)
        form.addRow("How bad, syndrome, toxin", first)
        form.addRow("Onset after the meal", second)
        form.addRow("What misleads", self.misleads)
        form.addRow("Source", self.source)
        return form

    def offer(self, reference: Reference) -> None:
        """Fill the choices."""
        self.syndrome.offer((f"{one.id}  {one.name}", one.id) for one in reference.syndromes)
        self.source.offer(fields.sources_on_offer(reference))

    def edits(self) -> tuple[str, Edits]:
        """One poisoning."""
        draft = HazardDraft(
            Severity(self.severity.currentData()),
            fields.source_words(self.source),
            self.syndrome.key,
            self.toxin.text(),
            fields.number_in(self.low),
            fields.number_in(self.high),
            self.unit.currentText(),
            self.counts.text(),
            self.misleads.text(),
        )
        taxon = self.taxon_id
        return f"A hazard: {draft.severity.means}", lambda r: hazard_rows(r, taxon, draft)

    def clear_fields(self) -> None:
        """Ready for the next one."""
        for field in (self.toxin, self.low, self.high, self.counts, self.misleads):
            field.clear()

    def ours(self, reference: Reference, taxon_id: str) -> list[Shown]:
        """What our pack says."""
        return [
            (
                (
                    r.severity.means,
                    _syndrome(reference, r.syndrome),
                    window_words(r),
                    citation_of(reference, r.source),
                    r.misleads,
                ),
                None,
            )
            for r in reference.hazards_of(taxon_id)
            if not is_hers(reference, r.pack)
        ]

    def hers(self, reference: Reference, row: Mapping[str, str]) -> Sequence[str]:
        """A row of the user's table."""
        window = " to ".join(row[key] for key in ("onset_low", "onset_high") if row[key])
        return (
            Severity(row["severity"]).means,
            _syndrome(reference, row["syndrome"]),
            f"{window} {row['onset_unit']}".strip(),
            citation_of(reference, row["source"]),
            row["misleads"],
        )


class PairsTab(RowsTab):
    """What it is mistaken for. A pair is written from both sides."""

    table_name = "confusions"
    columns = ("Mistaken for", "Told apart by", "Not told apart by", "Source")
    empty = "No confusion is written down yet."

    def _fields(self) -> QLayout:
        self.other = fields.Choice("own-pair-other", "The taxon it is mistaken for")
        self.source = fields.source_field("own-pair-source")
        self.note = fields.line("own-pair-note", "Note", "a few words, if needed")
        self.apart = fields.TickList("own-pair-apart", "What tells them apart")
        self.shared = fields.TickList("own-pair-shared", "What does not tell them apart")
        on_return(self.add_row, self.note, self.source)
        grid = QGridLayout()
        for place, (words, widget) in enumerate(
            (("Mistaken for", self.other), ("Source", self.source), ("Note", self.note),
             ("Told apart by", self.apart), ("Not told apart by", self.shared))
        ):  # fmt: skip
            if place < 3:
                _form_line(grid, place, words, widget)
            else:
                grid.addWidget(label(words, "faded"), 0, place - 1)
                grid.addWidget(widget, 1, place - 1, 5, 1)
                grid.setColumnStretch(place - 1, 2)
        grid.setRowStretch(5, 1)
        return grid

    def offer(self, reference: Reference) -> None:
        """Fill the choices."""
        self.other.offer(fields.taxa_on_offer(reference, self.taxon_id))
        self.source.offer(fields.sources_on_offer(reference))
        if self.apart.count() != len(fields.features_on_offer(reference)):
            self.clear_fields()

    def edits(self) -> tuple[str, Edits]:
        """One pair."""
        taxon, other, source, note = (
            self.taxon_id, self.other.key, fields.source_words(self.source), self.note.text(),
        )  # fmt: skip
        apart, shared = self.apart.ticked, self.shared.ticked
        return (
            f"Mistaken for {self.other.currentText()}",
            lambda r: pair_rows(r, taxon, other, separates=apart, shared=shared, source=source, note=note),
        )

    def clear_fields(self) -> None:
        """Ready for the next one."""
        if self.reference is not None:
            for ticks in (self.apart, self.shared):
                ticks.offer(fields.features_on_offer(self.reference))
        self.note.clear()

    def ours(self, reference: Reference, taxon_id: str) -> list[Shown]:
        """What our pack says."""
        return [
            (_pair_words(reference, r.lookalike, r.separates, r.does_not_separate, r.source), None)
            for r in reference.confusions_of(taxon_id)
            if not is_hers(reference, r.pack)
        ]

    def hers(self, reference: Reference, row: Mapping[str, str]) -> Sequence[str]:
        """A row of the user's table."""
        apart, shared = (
            [part for part in row[key].split("|") if part] for key in ("separates", "does_not_separate")
        )
        return _pair_words(reference, row["lookalike"], apart, shared, row["source"])


def _pair_words(
    reference: Reference, other: str, apart: Sequence[str], shared: Sequence[str], source: str
) -> tuple[str, ...]:
    taxon = reference.taxon(other)
    named = [", ".join(feature_name(reference, key, short=True) for key in keys) for keys in (apart, shared)]
    return (taxon.name if taxon is not None else other, *named, citation_of(reference, source))


def _syndrome(reference: Reference, syndrome_id: str) -> str:
    found = reference.syndrome(syndrome_id)
    return found.name if found is not None else syndrome_id


def _form_line(grid: QGridLayout, row: int, words: str, widget: QWidget) -> None:
    grid.addWidget(label(words, "faded"), 2 * row, 0)
    grid.addWidget(widget, 2 * row + 1, 0)
    grid.setColumnStretch(0, 3)
