"""Fields of the page for the user's own taxa: choices that can be typed, lists to tick, numbers, sources."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPalette, QShowEvent
from PySide6.QtWidgets import QComboBox, QCompleter, QLineEdit, QListWidget, QListWidgetItem, QWidget

from catalog_gui.domain.feature import Feature
from catalog_gui.domain.problem import BadInput
from catalog_gui.lookalikes.reference import ABSENT, MEMORY, Reference
from catalog_gui.presenting.part_titles import FULL_TITLES
from catalog_gui.views import theme


class Choice(QComboBox):
    """A choice that may be typed: any part of the words finds it. `key` is '' where the words are none of them."""

    def __init__(self, name: str, told: str, parent: QWidget | None = None, *, free: bool = False) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self.setAccessibleName(told)
        self.setToolTip(told)
        self.setEditable(True)
        self.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(12)
        self._free = free
        completer = QCompleter(self.model(), self)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        completer.setFilterMode(Qt.MatchFlag.MatchContains)
        completer.setCompletionMode(QCompleter.CompletionMode.PopupCompletion)
        self.setCompleter(completer)

    def offer(self, entries: Iterable[tuple[str, str]], words: str = "") -> None:
        """Fill it with (words, key); what was chosen stays where it is still offered."""
        before = self.key
        kept = self.currentText() if self._free else words
        self.blockSignals(True)
        self.clear()
        for said, key in entries:
            self.addItem(said, key)
        place = self.findData(before) if before else -1
        self.setCurrentIndex(place)
        edit = self.lineEdit()
        if edit is not None:
            if place < 0:
                edit.setText(kept)
            edit.setCursorPosition(0)
        self.blockSignals(False)
        self.currentIndexChanged.emit(self.currentIndex())

    @property
    def key(self) -> str:
        """The key of the words in the field, or of the only entry that holds them; '' for neither."""
        words = self.currentText().strip()
        place = self.findText(words, Qt.MatchFlag.MatchFixedString)
        if place < 0 and words and not self._free:
            holding = [n for n in range(self.count()) if words.casefold() in self.itemText(n).casefold()]
            place = holding[0] if len(holding) == 1 else -1
        return str(self.itemData(place) or "") if place >= 0 else ""

    def choose(self, key: str) -> None:
        """Put the entry with this key in the field."""
        self.setCurrentIndex(self.findData(key))


class TickList(QListWidget):
    """A list to tick with the space bar; typing goes to the entry that begins so."""

    def __init__(self, name: str, told: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self.setAccessibleName(told)
        self.setToolTip(f"{told}. Space ticks.")
        self.setMinimumHeight(90)
        self.setTabKeyNavigation(False)

    def showEvent(self, event: QShowEvent) -> None:
        """Give the ticks an edge that can be seen: the style draws it by darkening the ground."""
        super().showEvent(event)
        palette = self.palette()
        palette.setColor(QPalette.ColorRole.Window, QColor(theme.tones().faded))
        self.setPalette(palette)

    def offer(self, entries: Iterable[tuple[str, str]], ticked: Sequence[str] = ()) -> None:
        """Fill it with (words, key)."""
        self.clear()
        for words, key in entries:
            item = QListWidgetItem(words, self)
            item.setData(Qt.ItemDataRole.UserRole, key)
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Checked if key in ticked else Qt.CheckState.Unchecked)

    @property
    def ticked(self) -> tuple[str, ...]:
        """The keys that are ticked."""
        items = (self.item(row) for row in range(self.count()))
        return tuple(
            str(item.data(Qt.ItemDataRole.UserRole))
            for item in items
            if item.checkState() is Qt.CheckState.Checked
        )

    def tick(self, keys: Iterable[str]) -> None:
        """Tick just these."""
        wanted = set(keys)
        for row in range(self.count()):
            item = self.item(row)
            on = item.data(Qt.ItemDataRole.UserRole) in wanted
            item.setCheckState(Qt.CheckState.Checked if on else Qt.CheckState.Unchecked)


def line(name: str, told: str, hint: str = "") -> QLineEdit:
    """A line to type in."""
    made = QLineEdit()
    made.setObjectName(name)
    made.setAccessibleName(told)
    made.setToolTip(told)
    made.setPlaceholderText(hint)
    return made


def number_in(field: QLineEdit) -> float | None:
    """The number in a line, None where it is empty. Raises BadInput for anything else."""
    words = field.text().strip().replace(",", ".")
    if not words:
        return None
    try:
        return float(words)
    except ValueError:
        raise BadInput(f"'{field.text().strip()}' is not a number.") from None


def source_field(name: str) -> Choice:
    """Where a value comes from: a source that is there, a new citation, or memory."""
    made = Choice(name, "Source: choose one, type a new citation, or leave it empty for memory", free=True)
    edit = made.lineEdit()
    if edit is not None:
        edit.setPlaceholderText("memory, or a citation")
    return made


def sources_on_offer(reference: Reference) -> list[tuple[str, str]]:
    """The user's own sources first, then ours."""
    known = [source for source in reference.sources if source.id != MEMORY]
    shipped = reference.packs[0] if reference.packs else ""
    known.sort(key=lambda source: (source.pack == shipped, source.citation.casefold()))
    return [(source.citation, source.id) for source in known]


def source_words(field: Choice) -> str:
    """The id of the chosen source, or the citation that was typed."""
    return field.key or field.currentText().strip()


def feature_words(feature: Feature) -> str:
    """'Cap: cap colour'."""
    return f"{FULL_TITLES[feature.part].split(',')[0]}: {feature.name}"


def features_on_offer(reference: Reference, kind: str = "") -> list[tuple[str, str]]:
    """The features in the order of the vocabulary, of one kind if it is given."""
    return [
        (feature_words(feature), feature.id)
        for feature in reference.vocabulary.features
        if (feature.kind == kind if kind else feature.kind != "text")
    ]


def states_on_offer(reference: Reference, feature_id: str) -> list[tuple[str, str]]:
    """The states of a feature, and its words for absence where it can be absent."""
    states = [(state.name, state.id) for state in reference.vocabulary.states_of(feature_id)]
    absent = reference.absent_name(feature_id)
    return [*states, (absent, ABSENT)] if absent and states else states


def taxa_on_offer(reference: Reference, but: str = "") -> list[tuple[str, str]]:
    """Every taxon by name."""
    return sorted((taxon.name, taxon.id) for taxon in reference.taxa if taxon.id != but)
