"""The bar above the table: which find, what is laid beside it, which rows, and the way to paper."""

from __future__ import annotations

from PySide6.QtCore import QStringListModel, Qt, Signal
from PySide6.QtWidgets import QCompleter, QHBoxLayout, QLineEdit, QListView, QWidget

from catalog_gui.lookalikes.reference import Reference
from catalog_gui.presenting.compare.name_offers import NameOffer, name_offers, offers_for
from catalog_gui.views.widgets.buttons import button, choice_box


class CompareBar(QWidget):
    """One line of choices; the page listens to them."""

    name_chosen = Signal(str)

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
            "What parts these taxa first, before all other features",
            "Ctrl+B",
        )
        self.first.setCheckable(True)
        self.large = button(
            "compare-large",
            "Large rows",
            "Pictures and every row in full; otherwise one line a row, the chosen one in full",
            "Ctrl+Shift+L",
        )
        self.large.setCheckable(True)
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
        self.offers: tuple[NameOffer, ...] = ()
        self._offered = QStringListModel(self)
        self._completer = QCompleter(self._offered, self)
        self._popup = QListView()
        self._popup.setObjectName("compare-offers")
        self._completer.setPopup(self._popup)
        self._completer.setMaxVisibleItems(12)
        self._completer.setCompletionMode(QCompleter.CompletionMode.UnfilteredPopupCompletion)
        self._completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        self._completer.activated.connect(self.name_chosen, Qt.ConnectionType.QueuedConnection)
        self.taxon.setCompleter(self._completer)
        self.taxon.textEdited.connect(self._offer)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(6)
        row.addWidget(self.specimens)
        row.addWidget(self.bodies)
        row.addStretch(1)
        for widget in (self.taxon, self.add_own, self.only, self.first, self.large, self.teach, self.paper):
            row.addWidget(widget)

    def complete(self, reference: Reference) -> None:
        """Offer the names of this reference while something is typed."""
        self.offers = name_offers(reference)

    def _offer(self, typed: str) -> None:
        found = offers_for(typed, self.offers)
        self._offered.setStringList([offer.words for offer in found])
        popup = self._popup
        widest = popup.sizeHintForColumn(0) + popup.verticalScrollBar().sizeHint().width() + 16
        popup.setMinimumWidth(max(self.taxon.width(), widest))
        self._completer.complete()
