"""Write the pages of the site that the program itself knows: `python -m resources.make_docs`.

The keys are asked of the real window (offscreen) on the demo foray; the page on the reference tables is the
README that stands beside them.
"""

from __future__ import annotations

import os
import tempfile
from collections import defaultdict
from pathlib import Path

if not os.environ.get("DISPLAY") and not os.environ.get("WAYLAND_DISPLAY"):
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtGui import QAction, QShortcut
from PySide6.QtWidgets import QAbstractButton, QApplication, QWidget

from catalog_gui.views.main_window import MainWindow
from resources.make_screenshots import PAGES, SIZES, demo, settle

HERE = Path(__file__).resolve().parent
DOCS = HERE / "docs"


def keys_of(window: MainWindow) -> dict[str, dict[str, str]]:
    """Ask the window for every key: by page (or 'Everywhere') the key and what it does."""
    found: dict[str, dict[str, str]] = defaultdict(dict)
    pages: dict[object, str] = {window.pages[key]: window.pages[key].title for key in PAGES}

    def place(widget: object) -> str:
        while isinstance(widget, QWidget):
            if widget in pages:
                return pages[widget]
            widget = widget.parentWidget()
        return "Everywhere"

    for action in window.findChildren(QAction):
        for sequence in action.shortcuts():
            words = (action.toolTip() or action.text()).replace("&", "").split("\n")[0]
            owner = action.parent()
            found[place(owner)][sequence.toString()] = words.rstrip("….")
    for shortcut in window.findChildren(QShortcut):
        words = shortcut.whatsThis() or shortcut.objectName().replace("-", " ")
        if words:
            found[place(shortcut.parent())].setdefault(shortcut.key().toString(), words)
    for button in window.findChildren(QAbstractButton):
        if not button.shortcut().isEmpty():
            words = (button.accessibleName() or button.text()).replace("&", "")
            found[place(button)].setdefault(button.shortcut().toString(), words)
    return found


def keys_page(found: dict[str, dict[str, str]]) -> str:
    """Write the page of keys."""
    lines = ["# Keys", "", "Asked of the program itself. On a Mac Ctrl is the command key.", ""]
    for place in sorted(found, key=lambda p: (p != "Everywhere", p)):
        lines += [f"## {place}", "", "| key | does |", "|---|---|"]
        lines += [
            f"| `{key.replace('|', '&#124;')}` | {words.replace('|', '/')} |"
            for key, words in sorted(found[place].items(), key=lambda one: one[0])
            if key
        ]
        lines.append("")
    return "\n".join(lines)


def main() -> None:
    """Write the pages."""
    reference = (HERE / "reference" / "README.md").read_text(encoding="utf-8")
    (DOCS / "reference-format.md").write_text(reference, encoding="utf-8")
    application = QApplication([])
    with tempfile.TemporaryDirectory() as folder:
        window = demo(application, Path(folder), "light", SIZES[0])
        for key in PAGES:
            window.show_page(key)
            settle(window)
        (DOCS / "handbook" / "keys.md").write_text(keys_page(keys_of(window)), encoding="utf-8")
        window.close()
    application.processEvents()


if __name__ == "__main__":
    main()
