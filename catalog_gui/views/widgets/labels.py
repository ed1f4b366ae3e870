"""Makes labels dressed by their role."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel


def label(text: str, role: str = "", *, name: str = "", wrap: bool = False) -> QLabel:
    """A label dressed by its role (title, heading, faded, trouble, taxon, caution)."""
    made = QLabel(text)
    if role:
        made.setProperty("role", role)
    if name:
        made.setObjectName(name)
    made.setWordWrap(wrap)
    return made
