"""Makes actions: something a page can do, with its words and keys, whatever has the focus within it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QWidget

Keys = Sequence[QKeySequence | QKeySequence.StandardKey | str]


def add_action(
    owner: QWidget, name: str, words: str, keys: Keys, call: Callable[[], object], tip: str = ""
) -> QAction:
    """Add an action to a widget: its keys work while the widget or something inside it has the focus.

    `tip` is said with the first of the keys.
    """
    action = QAction(words, owner)
    action.setObjectName(name)
    shortcuts = [QKeySequence(key) for key in keys]
    action.setShortcuts(shortcuts)
    action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
    if tip:
        action.setToolTip(f"{tip} ({shortcuts[0].toString()})" if shortcuts else tip)
    action.triggered.connect(lambda _=False: call())
    owner.addAction(action)
    return action
