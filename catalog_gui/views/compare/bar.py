"""The bar above the table: which find, what is laid beside it, which rows, and the way to paper."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCompleter, QHBoxLayout, QLineEdit, QWidget

from catalog_gui.lookalikes.reference import Reference
from catalog_gui.views.page import button, choice_box


class CompareBar(QWidget):
    """One line of choices; the page listens to them."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("compare-bar")
        self.specimens = choice_box("compare-specimen", "Find to compare")
        self.specimens.setMinimumWidth(210)
        self.specimens.setMaximumWidth(330)
        self.bodies = choice_box("compare-body", "Fruit body of a mixed collection")
        self.bodies.hide()
        self.only = choice_box("compare-only", "Which features to show")
        for word, key in (
            ("Every feature", "all"),
            ("What was recorded", "recorded"),
            ("What parts these taxa", "separates"),
        ):
            self.only.addItem(word, key)
        self.first = button(
            "compare-parting-first",
            "Parting first",
            "What parts these taxa first, within each part",
            "Ctrl+B",
        )
        self.first.setCheckable(True)
        self.taxon = QLineEdit()
        self.taxon.setObjectName("compare-add-taxon")
        self.taxon.setAccessibleName("Lay a taxon beside it: type a name")
        self.taxon.setToolTip("Type a name or an older name, then Return (Ctrl+L)")
        self.taxon.setPlaceholderText("Lay a taxon beside it…")
        self.taxon.setMinimumWidth(170)
        self.taxon.setMaximumWidth(230)
        self.add_own = button(
            "compare-add-own", "Add a taxon…", "Add a taxon of your own to the reference", "Ctrl+Shift+N"
        )
        self.teach = button(
            "compare-teaching", "Teaching view", "Taxa beside each other without a find", "Ctrl+Shift+T"
        )
        self.teach.setCheckable(True)
        self.paper = button(
            "compare-print", "Print…", "A lookalike handout of what lies here, on Hand on", "Ctrl+P"
        )
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(6)
        row.addWidget(self.specimens)
        row.addWidget(self.bodies)
        row.addStretch(1)
        for widget in (self.taxon, self.add_own, self.only, self.first, self.teach, self.paper):
            row.addWidget(widget)

    def complete(self, reference: Reference) -> QCompleter:
        """Offer the names of this reference while she types; the completer tells what was chosen."""
        completer = QCompleter(_names(reference), self)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        completer.setFilterMode(Qt.MatchFlag.MatchContains)
        self.taxon.setCompleter(completer)
        return completer


def _names(reference: Reference) -> list[str]:
    """Every name that can be typed, synonyms included."""
    names: list[str] = []
    for taxon in reference.taxa:
        names.append(f"{taxon.name} ({taxon.english})" if taxon.english else taxon.name)
        names.extend(synonym.name for synonym in reference.synonyms_of(taxon.id))
    return sorted(set(names))
