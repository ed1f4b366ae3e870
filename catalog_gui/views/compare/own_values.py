"""The user's own values of a taxon: what it shows and how often, and its sizes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtWidgets import QGridLayout, QLayout

from catalog_gui.lookalikes.reasons import size_words, state_name
from catalog_gui.lookalikes.reference import ABSENT, Frequency, Reference
from catalog_gui.views.compare import own_fields as fields
from catalog_gui.views.compare.own_rows import (
    Edits,
    RowsTab,
    Shown,
    citation_of,
    feature_name,
    labelled,
    on_return,
)
from catalog_gui.views.widgets.buttons import choice_box
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.own_taxa import is_hers, size_rows, state_rows


class StatesTab(RowsTab):
    """What it shows, and how often."""

    table_name = "taxon_states"
    columns = ("Feature", "State", "How often", "Source", "Note")
    empty = "Nothing is written of it yet. Without a value it is neither excluded nor preferred."

    def _fields(self) -> QLayout:
        self.feature = fields.Choice("own-state-feature", "Feature")
        self.state = fields.Choice("own-state-state", "State")
        self.often = choice_box("own-state-often", "How often a fresh, whole fruit body shows it")
        for frequency in Frequency:
            self.often.addItem(frequency.value)
        self.often.setCurrentIndex(1)
        self.source = fields.source_field("own-state-source")
        self.note = fields.line("own-state-note", "Note", "a few words, if needed")
        self.feature.currentIndexChanged.connect(lambda _: self._offer_states())
        self.feature.editTextChanged.connect(lambda _: self._offer_states())
        on_return(self.add_row, self.note, self.source)
        grid = QGridLayout()
        for place, (words, widget, wide) in enumerate(
            (("Feature", self.feature, 3), ("State", self.state, 3), ("How often", self.often, 1),
             ("Source", self.source, 3), ("Note", self.note, 2))
        ):  # fmt: skip
            labelled(grid, place, words, widget, wide)
        return grid

    def offer(self, reference: Reference) -> None:
        """Fill the choices."""
        self.feature.offer(fields.features_on_offer(reference, "states"))
        self.source.offer(fields.sources_on_offer(reference))
        self._offer_states()

    def _offer_states(self) -> None:
        if self.reference is not None:
            self.state.offer(fields.states_on_offer(self.reference, self.feature.key))

    def edits(self) -> tuple[str, Edits]:
        """One state."""
        taxon, feature, state = self.taxon_id, self.feature.key, self.state.key
        often, source, note = (
            Frequency(self.often.currentText()),
            fields.source_words(self.source),
            self.note.text(),
        )
        return (
            f"{self.feature.currentText()}: {often.value} {self.state.currentText()}",
            lambda r: state_rows(r, taxon, feature, state, often, source=source, note=note),
        )

    def clear_fields(self) -> None:
        """The feature stays: most have several states."""
        self.state.setCurrentIndex(-1)
        self.note.clear()
        self.state.setFocus()

    def ours(self, reference: Reference, taxon_id: str) -> list[Shown]:
        """What our pack says."""
        return [
            (_state_words(reference, r.feature, r.state, r.frequency.value, r.source, r.note), None)
            for r in reference.all_states_of(taxon_id)
            if not is_hers(reference, r.pack)
        ]

    def hers(self, reference: Reference, row: Mapping[str, str]) -> Sequence[str]:
        """A row of the user's table."""
        return _state_words(
            reference, row["feature"], row["state"], row["frequency"], row["source"], row["note"]
        )


def _state_words(
    reference: Reference, feature_id: str, state: str, often: str, source: str, note: str
) -> tuple[str, ...]:
    absent = reference.absent_name(feature_id) or "not there"
    words = absent if state == ABSENT else state_name(reference.vocabulary, feature_id, state)
    return (feature_name(reference, feature_id), words, often, citation_of(reference, source), note)


class SizesTab(RowsTab):
    """What is measured, as ranges."""

    table_name = "taxon_sizes"
    columns = ("What", "Range", "Source", "Note")
    empty = "No size is written down yet."

    def _fields(self) -> QLayout:
        self.feature = fields.Choice("own-size-feature", "What is measured")
        self.unit = label("", "faded", name="own-size-unit")
        self.numbers = [
            fields.line(f"own-size-{key}", words, hint)
            for key, words, hint in (
                ("lowest", "Lowest extreme", "(lowest)"),
                ("low", "From", "from"),
                ("high", "To", "to"),
                ("highest", "Highest extreme", "(highest)"),
            )
        ]
        for field in self.numbers:
            field.setMaximumWidth(90)
        self.source = fields.source_field("own-size-source")
        self.feature.currentIndexChanged.connect(lambda _: self._tell_unit())
        self.feature.editTextChanged.connect(lambda _: self._tell_unit())
        on_return(self.add_row, *self.numbers, self.source)
        grid = QGridLayout()
        labelled(grid, 0, "What", self.feature, 3)
        for place, field in enumerate(self.numbers, 1):
            labelled(grid, place, field.accessibleName(), field, 0)
        grid.addWidget(self.unit, 1, 5)
        labelled(grid, 6, "Source", self.source, 3)
        return grid

    def offer(self, reference: Reference) -> None:
        """Fill the choices."""
        self.feature.offer(fields.features_on_offer(reference, "number"))
        self.source.offer(fields.sources_on_offer(reference))

    def _tell_unit(self) -> None:
        feature = self.reference.vocabulary.feature(self.feature.key) if self.reference else None
        self.unit.setText(feature.unit if feature is not None else "")

    def edits(self) -> tuple[str, Edits]:
        """One range."""
        taxon, feature = self.taxon_id, self.feature.key
        lowest, low, high, highest = map(fields.number_in, self.numbers)
        source = fields.source_words(self.source)
        return (
            f"{self.feature.currentText()}: a size",
            lambda r: size_rows(r, taxon, feature, low, high, lowest=lowest, highest=highest, source=source),
        )

    def clear_fields(self) -> None:
        """Ready for the next one."""
        for field in self.numbers:
            field.clear()
        self.feature.setFocus()

    def ours(self, reference: Reference, taxon_id: str) -> list[Shown]:
        """What our pack says."""
        return [
            (
                (feature_name(reference, r.feature), size_words(r), citation_of(reference, r.source), r.note),
                None,
            )
            for r in reference.sizes_of(taxon_id)
            if not is_hers(reference, r.pack)
        ]

    def hers(self, reference: Reference, row: Mapping[str, str]) -> Sequence[str]:
        """A row of the user's table."""
        low, high = (f"({row[key]})" if row[key] else "" for key in ("extreme_low", "extreme_high"))
        words = f"{low} {row['low']}–{row['high']} {high} {row['unit']}"
        return (
            feature_name(reference, row["feature"]),
            " ".join(words.split()),
            citation_of(reference, row["source"]),
            row["note"],
        )
