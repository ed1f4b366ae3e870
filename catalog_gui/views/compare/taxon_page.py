"""A sheet with everything about one taxon: what is written, by whom, its drawing, and the user's own notes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Qt, QTimer, QUrl, Signal
from PySide6.QtGui import QCloseEvent, QFocusEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QPlainTextEdit,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.caution import CAUTION
from catalog_gui.domain.ledger import Changed, TaxonNote
from catalog_gui.drawing.shapes import Drawing
from catalog_gui.lookalikes.reference import Severity
from catalog_gui.presenting.compare.taxon_words import LINK, Dress, taxon_page
from catalog_gui.views import theme
from catalog_gui.views.bench import Bench
from catalog_gui.views.compare.sketches import taxon_drawing
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.drawing_painter import DrawingView
from catalog_gui.views.widgets.labels import label
from catalog_gui.views.widgets.signs import signal_colours
from catalog_gui.workflows.ports import UnitOfWork
from catalog_gui.workflows.taxon_notes import note_of, write_note

PAUSE_MS = 500
"""A note is saved when the user pauses for this long, leaves the field, goes to another taxon or closes."""

PRIVATE_PLACES = (
    "Places of its finds go out no finer than a 10 km square, unless you choose the exact place for that one "
    "paper, archive or picture."
)

OWN_PACK = (
    "A pack of your own is a folder with tables laid out like ours (resources/reference/README.md). "
    "What it holds is added to ours, or stands in its place and says so. Hazards and confusions are only "
    "ever added, and what is written of a dangerous taxon stands beside yours."
)


def dress() -> Dress:
    """The colours of the page about a taxon, from the theme as it is now."""
    t = theme.tones()
    return Dress(
        ink=t.ink,
        faded=t.faded,
        heading=t.bark,
        link=t.moss,
        serif=theme.SERIF,
        signals={severity: signal_colours(severity) for severity in Severity},
    )


class NoteField(QPlainTextEdit):
    """Tells when the user leaves it."""

    left = Signal()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """The user goes elsewhere: what was written is to be saved."""
        super().focusOutEvent(event)
        self.left.emit()


class TaxonSheet(QDialog):
    """Stays open beside the page; shows one taxon after another."""

    lay_beside_wanted = Signal(str)
    own_values_wanted = Signal(str)  # the taxon to add own values to; '' for a new one

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self._taxon_id = ""
        self._saved = ""
        self._way: list[str] = []
        self.setObjectName("taxon-sheet")
        self.setWindowTitle("About a taxon")
        self.resize(900, 640)
        self.drawing = DrawingView(self, name="Drawing of the taxon as it usually looks")
        self.drawing.setFixedSize(230, 270)
        self.words = QTextBrowser()
        self.words.setObjectName("taxon-words")
        self.words.setAccessibleName("What is written about the taxon, with sources")
        self.words.setOpenLinks(False)
        self.words.anchorClicked.connect(self._on_link)
        self.note = NoteField()
        self.note.setObjectName("taxon-note")
        self.note.setAccessibleName("Your own notes on this taxon")
        self.note.setPlaceholderText("Your own notes")
        self.private = QCheckBox("Keep its places private")
        self.private.setObjectName("taxon-private-places")
        self.private.setToolTip(PRIVATE_PLACES)
        self.private.clicked.connect(self._on_private)
        self.note.setTabChangesFocus(True)
        self.note.textChanged.connect(self._on_typing)
        self.note.left.connect(self.save_note)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(PAUSE_MS)
        self._pause.timeout.connect(self.save_note)
        self._lay_out()
        bench.changed.connect(self._on_changed)
        bench.preferences_changed.connect(self._on_preferences)
        bench.reference_changed.connect(self._on_reference)

    def _lay_out(self) -> None:
        left = QVBoxLayout()
        left.addWidget(self.drawing, 0, Qt.AlignmentFlag.AlignHCenter)
        left.addWidget(label("As it usually looks, drawn from what is written.", "faded", wrap=True))
        left.addWidget(label("Your notes", "heading"))
        left.addWidget(self.note, 1)
        left.addWidget(self.private)
        pack = label(self._pack_words(), "faded", name="taxon-own-pack", wrap=True)
        pack.setToolTip(OWN_PACK)
        self._pack = pack
        left.addWidget(pack)
        choose = button("taxon-choose-pack", "Your own pack…", "Choose the folder of your own pack")
        choose.setToolTip(OWN_PACK)
        choose.clicked.connect(self._ask_pack)
        left.addWidget(choose)
        side = QWidget()
        side.setLayout(left)
        left.setContentsMargins(0, 0, 0, 0)
        side.setFixedWidth(250)
        top = QHBoxLayout()
        top.addWidget(side)
        top.addWidget(self.words, 1)
        foot = QHBoxLayout()
        self._back = button("taxon-back", "Back", "Back to the taxon before (Alt+Left)")
        self._back.clicked.connect(self.go_back)
        QShortcut(QKeySequence("Alt+Left"), self, self.go_back)
        add = button("taxon-add", "Add a taxon…", "Add a taxon of your own (Ctrl+Shift+N)")
        add.clicked.connect(lambda: self.own_values_wanted.emit(""))
        QShortcut(QKeySequence("Ctrl+Shift+N"), self, add.click)
        own = button("taxon-own-values", "Your own values…", "Add your own values to it (Ctrl+E)")
        own.clicked.connect(lambda: self.own_values_wanted.emit(self._taxon_id))
        QShortcut(QKeySequence("Ctrl+E"), self, own.click)
        beside = button("taxon-beside", "Lay it beside the find", "Lay it beside the find")
        beside.clicked.connect(lambda: self.lay_beside_wanted.emit(self._taxon_id))
        close = button("taxon-close", "Close", "Close this sheet (Escape)")
        close.clicked.connect(self.close)
        foot.addWidget(self._back)
        foot.addStretch(1)
        foot.addWidget(add)
        foot.addWidget(own)
        foot.addWidget(beside)
        foot.addWidget(close)
        whole = QVBoxLayout(self)
        whole.addLayout(top, 1)
        whole.addWidget(label(CAUTION, "caution", name="taxon-caution", wrap=True))
        whole.addLayout(foot)

    @property
    def taxon_id(self) -> str:
        """The taxon that is shown."""
        return self._taxon_id

    def show_taxon(self, taxon_id: str, *, back: bool = False) -> None:
        """Show a taxon; the words and the drawing are made off the GUI thread."""
        reference = self._bench.reference
        taxon = reference.taxon(taxon_id)
        if taxon is None:
            return
        self.save_note()
        if self._taxon_id and self._taxon_id != taxon_id and not back:
            self._way.append(self._taxon_id)
        self._taxon_id = taxon_id
        self._back.setEnabled(bool(self._way))
        self.setWindowTitle(f"About {taxon.name}")

        def look(work: UnitOfWork) -> tuple[str, Drawing, TaxonNote | None]:
            return (
                taxon_page(reference, taxon, dress()),
                taxon_drawing(reference, taxon),
                note_of(work, taxon_id),
            )

        def show(answer: tuple[str, Drawing, TaxonNote | None]) -> None:
            if self._taxon_id != taxon_id:
                return
            words, drawing, note = answer
            self.words.setHtml(words)
            self.drawing.set_drawing(drawing)
            self._put_note(note)

        self._bench.read(look, show)

    def go_back(self) -> None:
        """The taxon that was shown before."""
        if self._way:
            self.show_taxon(self._way.pop(), back=True)

    # --- the user's notes -----------------------------------------------------------------------------

    def save_note(self) -> None:
        """Save what the user wrote, if it differs from what is kept."""
        self._pause.stop()
        words, taxon_id = self.note.toPlainText().strip(), self._taxon_id
        if not taxon_id or words == self._saved:
            return
        self._saved = words
        taxon, surroundings = self._bench.reference.taxon(taxon_id), self._bench.surroundings
        name = taxon.name if taxon is not None else taxon_id
        self._bench.do(
            f"Note on {name}", lambda work: write_note(work, taxon_id, words, surroundings=surroundings)
        )

    def _on_private(self, private: bool) -> None:
        """Whether its places are private is saved at once, with the words that were being typed."""
        self.save_note()
        taxon_id, surroundings = self._taxon_id, self._bench.surroundings
        taxon = self._bench.reference.taxon(taxon_id)
        name = taxon.name if taxon is not None else taxon_id
        self._bench.do(
            f"Places of {name} {'kept private' if private else 'no longer private'}",
            lambda work: write_note(work, taxon_id, private_places=private, surroundings=surroundings),
        )

    def _put_note(self, note: TaxonNote | None) -> None:
        text = note.text if note is not None else ""
        self.private.setChecked(note is not None and note.private_places)
        self._saved = text
        if self.note.toPlainText().strip() != text:
            self.note.blockSignals(True)
            self.note.setPlainText(text)
            self.note.blockSignals(False)

    def _on_typing(self) -> None:
        self._pause.start()

    def _on_changed(self, changed: Changed) -> None:
        taxon_id = self._taxon_id
        if not taxon_id or not changed.touches("taxon_notes"):
            return

        def show(note: TaxonNote | None) -> None:
            if self._taxon_id == taxon_id and not self._pause.isActive():
                self._put_note(note)

        self._bench.read(lambda work: note_of(work, taxon_id), show)

    def _on_preferences(self, _: object) -> None:
        """The words wear the colours of the theme they were made in."""
        self._pack.setText(self._pack_words())
        if self._taxon_id and self.isVisible():
            self.show_taxon(self._taxon_id, back=True)

    def _on_reference(self, _: object) -> None:
        """The user's own pack was changed: what is shown may read otherwise, or be gone."""
        self._pack.setText(self._pack_words())
        if not self._taxon_id or not self.isVisible():
            return
        if self._bench.reference.taxon(self._taxon_id) is None:
            self.close()
        else:
            self.show_taxon(self._taxon_id, back=True)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Nothing typed is lost."""
        self.save_note()
        super().closeEvent(event)

    def reject(self) -> None:
        """Escape closes it, and saves like any other way."""
        self.save_note()
        super().reject()

    # --- elsewhere -----------------------------------------------------------------------------

    def _on_link(self, url: QUrl) -> None:
        target = url.toString()
        if target.startswith(LINK):
            self.show_taxon(target.removeprefix(LINK))

    def _pack_words(self) -> str:
        pack, reference = self._bench.own_pack, self._bench.reference
        hers = reference.packs[1:]
        if pack is not None and hers:
            count = sum(taxon.pack in hers for taxon in reference.taxa)
            return f"Your own pack: {count} {'taxon' if count == 1 else 'taxa'}, in {pack.folder}"
        own = self._bench.preferences.own_pack
        return f"Your own pack: {own}" if own else "You have no taxa of your own yet."

    def _ask_pack(self) -> None:
        dialog = QFileDialog(self, "The folder of your own pack", self._bench.preferences.own_pack)
        dialog.setObjectName("own-pack-dialog")
        dialog.setFileMode(QFileDialog.FileMode.Directory)
        dialog.setOption(QFileDialog.Option.ShowDirsOnly)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.fileSelected.connect(self.choose_pack)
        dialog.open()

    def choose_pack(self, folder: str) -> None:
        """Read the pack in that folder at once and keep it in the preferences; one that is refused is not kept."""
        bench = self._bench

        def keep() -> None:
            bench.set_preferences(replace(bench.preferences, own_pack=str(Path(folder))))
            self._pack.setText(self._pack_words())
            bench.said.emit("Your own pack is read from now on.")

        bench.use_pack(folder, keep)
