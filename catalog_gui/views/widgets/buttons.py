"""Makes buttons and short choices that say what they do when pointed at or read aloud."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QComboBox, QPushButton

SMALL = "padding: 0px 8px; min-height: 18px;"
"""The measure of a button that stands in a line of text; its colours stay those of the theme."""


def button(
    name: str,
    words: str,
    told: str = "",
    keys: str = "",
    *,
    tip: str = "",
    shown: str = "",
    call: Callable[[], Any] | None = None,
    main: bool = False,
    small: bool = False,
) -> QPushButton:
    """Make a button; Return in a dialog does not press it.

    `told` is read aloud (the words where it is ''), `tip` shown when it is pointed at (else `told`), with
    `keys`, which press it, or with `shown`, the keys of an action that does the same. `main` is the one
    button of its page that goes on; `small` stands in a line of text.
    """
    made = QPushButton(words)
    made.setObjectName(name)
    made.setAccessibleName(told or words)
    pointed = tip or told or words
    made.setToolTip(f"{pointed} ({keys or shown})" if keys or shown else pointed)
    made.setAutoDefault(False)
    if keys:
        made.setShortcut(keys)
    if main:
        made.setProperty("role", "main")
    if small:
        made.setStyleSheet(SMALL)
    if call is not None:
        made.clicked.connect(lambda _=False: call())
    return made


def button_of(name: str, action: QAction, *, main: bool = False) -> QPushButton:
    """Make a button that does what an action does, and can be pressed when that can be done."""
    made = button(name, action.text(), tip=action.toolTip(), call=action.trigger, main=main)
    made.setEnabled(action.isEnabled())
    action.changed.connect(lambda: made.setEnabled(action.isEnabled()))
    return made


def choice_box(name: str, told: str) -> QComboBox:
    """Make a short choice that says what it is for when pointed at or read aloud."""
    made = QComboBox()
    made.setObjectName(name)
    made.setAccessibleName(told)
    made.setToolTip(told)
    return made
