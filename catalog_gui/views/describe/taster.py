"""Asks who tasted: every time, with the caution beside it."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QDialog, QDialogButtonBox, QVBoxLayout, QWidget

from catalog_gui.domain.caution import CAUTION_TASTING
from catalog_gui.views.widgets.labels import label


class TasterDialog(QDialog):
    """A taste is not recorded without the name of the trained person who tasted."""

    named = Signal(str)

    def __init__(self, people: tuple[str, ...], parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("taster-dialog")
        self.setWindowTitle("Who tasted?")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.who = QComboBox()
        self.who.setObjectName("taster-name")
        self.who.setAccessibleName("Name of the trained person who tasted")
        self.who.setEditable(True)
        self.who.addItems(people)
        self.who.setCurrentText("")
        buttons = QDialogButtonBox()
        self._keep = buttons.addButton("Record it", QDialogButtonBox.ButtonRole.AcceptRole)
        self._keep.setObjectName("taster-record")
        self._keep.setProperty("role", "main")
        buttons.addButton("Leave it out", QDialogButtonBox.ButtonRole.RejectRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        self.who.currentTextChanged.connect(self._on_text)
        column = QVBoxLayout(self)
        column.addWidget(label(CAUTION_TASTING, "caution", wrap=True))
        column.addWidget(label("Name of the trained person who tasted"))
        column.addWidget(self.who)
        column.addWidget(buttons, 0, Qt.AlignmentFlag.AlignRight)
        self.setMinimumWidth(420)
        self._on_text("")

    def _on_text(self, text: str) -> None:
        self._keep.setEnabled(bool(text.strip()))

    def accept(self) -> None:
        """Only with a name."""
        who = self.who.currentText().strip()
        if who:
            self.named.emit(who)
            super().accept()
