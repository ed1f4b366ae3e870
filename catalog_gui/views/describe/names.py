"""Shows the names a specimen was given, the newest on top, with room for the next opinion."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import QDate, QStringListModel, Qt
from PySide6.QtWidgets import (
    QComboBox,
    QCompleter,
    QDateEdit,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLineEdit,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.caution import CAUTION
from catalog_gui.domain.specimen import Determination, Qualifier
from catalog_gui.presenting.describe.state import DescribeState
from catalog_gui.presenting.describe.words import names_on_offer
from catalog_gui.settings import Preferences
from catalog_gui.views import theme
from catalog_gui.views.bench import Bench
from catalog_gui.views.describe.header import name_html
from catalog_gui.views.widgets.dates import BRITISH
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.determine import determine, present, split_name

_QUALIFIERS = (
    (Qualifier.NONE, "none: I hold it to be this"),
    (Qualifier.CF, "cf. – to be compared with it, not sure"),
    (Qualifier.AFF, "aff. – near it, but not it"),
    (Qualifier.SP, "sp. – only the genus"),
    (Qualifier.AGG, "agg. – the group of species around it"),
)
_BASES = (
    "seen in hand",
    "pictures only",
    "with a key",
    "with the microscope",
    "compared with a voucher",
    "by its sequence",
)


class NamesDialog(QDialog):
    """A new name replaces the present one; nothing is overwritten."""

    def __init__(self, bench: Bench, state: DescribeState, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("names-dialog")
        number = state.specimen.number if state.specimen is not None else ""
        self.setWindowTitle(f"Names of {number}")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._bench = bench
        self._specimen = state.specimen.id if state.specimen is not None else ""
        self.history = QTextBrowser()
        self.history.setObjectName("names-history")
        self.history.setAccessibleName("Names given so far")
        self.history.setHtml(history_html(state.names, bench.preferences))
        self.history.setFixedHeight(130)
        self.name = QLineEdit()
        self.name.setObjectName("names-name")
        self.name.setAccessibleName("Name")
        self.name.setPlaceholderText("Genus species, or an older name of it")
        completer = QCompleter(QStringListModel(names_on_offer(bench.reference), self), self)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        completer.setFilterMode(Qt.MatchFlag.MatchContains)
        completer.setMaxVisibleItems(12)
        self.name.setCompleter(completer)
        self.name.textChanged.connect(self._on_name)
        self.known = label("", "faded", name="names-known", wrap=True)
        self.qualifier = QComboBox()
        self.qualifier.setObjectName("names-qualifier")
        self.qualifier.setAccessibleName("Qualifier")
        for qualifier, words in _QUALIFIERS:
            self.qualifier.addItem(words, qualifier)
        self.by = QComboBox()
        self.by.setObjectName("names-by")
        self.by.setAccessibleName("Determined by")
        self.by.setEditable(True)
        self.by.addItems(state.people)
        self.by.setCurrentText(bench.preferences.person)
        self.on = QDateEdit()
        self.on.setObjectName("names-on")
        self.on.setAccessibleName("Determined on")
        self.on.setCalendarPopup(True)
        self.on.setLocale(BRITISH)
        self.on.setDisplayFormat(bench.preferences.date_format)
        today = bench.surroundings.now().date()
        self.on.setMaximumDate(QDate(today.year, today.month, today.day))
        self.on.setDate(QDate(today.year, today.month, today.day))
        self.basis = QComboBox()
        self.basis.setObjectName("names-basis")
        self.basis.setAccessibleName("Basis")
        self.basis.setEditable(True)
        self.basis.addItems(_BASES)
        form = QFormLayout()
        form.addRow("Name", self.name)
        form.addRow("", self.known)
        form.addRow("Qualifier", self.qualifier)
        form.addRow("Determined by", self.by)
        form.addRow("On", self.on)
        form.addRow("Basis", self.basis)
        buttons = QDialogButtonBox()
        self._give = buttons.addButton("Give this name", QDialogButtonBox.ButtonRole.AcceptRole)
        self._give.setObjectName("names-give")
        self._give.setProperty("role", "main")
        buttons.addButton("Close", QDialogButtonBox.ButtonRole.RejectRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(self.history)
        column.addLayout(form)
        column.addWidget(label(CAUTION, "caution", wrap=True))
        column.addWidget(buttons)
        self.setMinimumWidth(560)
        self.name.setFocus()
        self._on_name("")

    def _on_name(self, text: str) -> None:
        plain, qualifier = split_name(text)
        self._give.setEnabled(bool(plain))
        if qualifier is not Qualifier.NONE:
            self.qualifier.setCurrentIndex([one for one, _ in _QUALIFIERS].index(qualifier))
        taxon = self._bench.reference.named(plain) if plain else None
        if taxon is None:
            self.known.setText(
                "Not in the reference: kept as typed, but it cannot be weighed." if plain else ""
            )
        elif taxon.name.casefold() != plain.casefold():
            self.known.setText(
                f"In the reference as {taxon.name} {taxon.authority}. Your name stays as typed."
            )
        else:
            self.known.setText(" ".join(filter(None, (taxon.name, taxon.authority, taxon.english))))

    def accept(self) -> None:
        """Write the slip."""
        bench, key = self._bench, self._specimen
        name, by, basis = self.name.text(), self.by.currentText(), self.basis.currentText()
        qualifier = Qualifier(str(self.qualifier.currentData()))
        chosen = self.on.date()
        on = date(chosen.year(), chosen.month(), chosen.day())
        if not split_name(name)[0]:
            return
        bench.do(
            f"Name it {name}",
            lambda work: determine(
                work,
                key,
                name,
                reference=bench.reference,
                surroundings=bench.surroundings,
                qualifier=qualifier,
                by=by,
                on=on,
                basis=basis,
            ),
        )
        super().accept()


def history_html(names: tuple[Determination, ...], preferences: Preferences) -> str:
    """The slips, newest first; the present one is marked in words."""
    t = theme.tones()
    now = present(names)
    if now is None:
        return f'<p style="color:{t.faded}">Nobody has given it a name yet.</p>'
    lines = []
    for one in reversed(names):
        when = (
            BRITISH.toString(
                QDate(one.determined_on.year, one.determined_on.month, one.determined_on.day),
                preferences.date_format,
            )
            if one.determined_on is not None
            else "no date"
        )
        facts = ", ".join(filter(None, (one.determined_by and f"det. {one.determined_by}", when, one.basis)))
        standing = "present name" if one is now else "replaced"
        lines.append(
            f'<p style="margin:3px 0">{name_html(one)}<br>'
            f'<span style="color:{t.faded}">{facts} – {standing}</span></p>'
        )
    return "".join(lines)
