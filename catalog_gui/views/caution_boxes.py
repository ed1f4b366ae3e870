"""Shows the caution with the law, and what to do after a suspected poisoning."""

from __future__ import annotations

from PySide6.QtWidgets import QMessageBox, QWidget

from catalog_gui.domain.caution import AFTER_A_MEAL, CAUTION, IF_EATEN, LAW
from catalog_gui.presenting.words import emergency_words
from catalog_gui.settings import Preferences


def show_caution(preferences: Preferences, parent: QWidget) -> None:
    """Show the caution, the numbers to call and the law."""
    after = (f"{IF_EATEN}:", *AFTER_A_MEAL, LAW)
    _show("caution-box", "Caution and law", f"{CAUTION}\n\n{emergency_words(preferences)}", after, parent)


def show_if_eaten(preferences: Preferences, parent: QWidget) -> None:
    """Show what to do after a suspected poisoning: the call and the numbers first."""
    first, *more = AFTER_A_MEAL
    _show("if-eaten-box", IF_EATEN, f"{first}\n\n{emergency_words(preferences)}", tuple(more), parent)


def _show(name: str, title: str, text: str, more: tuple[str, ...], parent: QWidget) -> None:
    box = QMessageBox(parent)
    box.setObjectName(name)
    box.setWindowTitle(title)
    box.setIcon(QMessageBox.Icon.NoIcon)
    box.setText(text)
    box.setInformativeText("\n\n".join(more))
    box.open()
