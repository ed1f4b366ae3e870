"""Offers searches to begin with, and those that are kept."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QInputDialog, QMenu, QPushButton, QWidget

from catalog_gui.domain.ledger import SavedSearch
from catalog_gui.presenting.catalogue.searches import COMBINED, EXAMPLES
from catalog_gui.views.bench import Bench
from catalog_gui.views.widgets.buttons import button
from catalog_gui.workflows.ports import UnitOfWork


def fill_ways(menu: QMenu, search_for: Callable[[str], object]) -> None:
    """Examples that search when they are chosen."""
    menu.clear()
    menu.addSection("One condition")
    for words, text in EXAMPLES:
        _searching(menu, f"{words}:   {text}", text, search_for)
    menu.addSection("Several, with commas between")
    for words, text in COMBINED:
        _searching(menu, f"{words}:   {text}", text, search_for)


class KeptSearches:
    """The menu of kept searches, and the keeping of one."""

    def __init__(self, bench: Bench, owner: QWidget, search_for: Callable[[str], object]) -> None:
        self._bench = bench
        self._owner = owner
        self._search_for = search_for

    def fill(self, menu: QMenu) -> None:
        """Each search by its name; at the end a way to drop one."""
        menu.clear()
        menu.addAction("Looking …").setEnabled(False)

        def show(searches: tuple[SavedSearch, ...]) -> None:
            menu.clear()
            if not searches:
                menu.addAction("None is kept yet").setEnabled(False)
                return
            for one in searches:
                shown = one.name if one.name == one.text else f"{one.name}:   {one.text}"
                _searching(menu, shown, one.text, self._search_for)
            menu.addSeparator()
            drop = menu.addMenu("Keep no longer")
            for one in searches:
                action = drop.addAction(one.name.replace("&", "&&"))
                action.triggered.connect(lambda _=False, key=one.id: self.drop(key))

        self._bench.read(lambda work: work.searches.all(), show)

    def ask_name(self, text: str) -> QInputDialog | None:
        """Ask for a name and keep the search; says so when there is nothing to keep."""
        if not text:
            self._bench.said.emit("Type a search first.")
            return None
        dialog = QInputDialog(self._owner)
        dialog.setObjectName("keep-search")
        dialog.setWindowTitle("Keep this search")
        dialog.setLabelText(f"A name for '{text}':")
        dialog.setTextValue(text)
        dialog.textValueSelected.connect(lambda name: self.keep(name, text))
        dialog.open()
        return dialog

    def keep(self, name: str, text: str) -> None:
        """Keep it; a name that is used already stands for this search from now on."""
        name = " ".join(name.split()) or text
        new_id = self._bench.surroundings.new_id()

        def put(work: UnitOfWork) -> None:
            repository = work.searches
            known = repository.where(name=name)
            repository.put(SavedSearch(known[0].id if known else new_id, name, text))

        self._bench.do(f"Keep the search '{name}'", put)

    def drop(self, key: str) -> None:
        """Keep it no longer."""
        self._bench.do("Drop a kept search", lambda work: work.searches.remove(key))


def menu_button(words: str, name: str, tip: str, fill: Callable[[QMenu], None]) -> QPushButton:
    """Make a button whose menu is filled when it opens."""
    made = button(name, words, tip=tip)
    menu = QMenu(made)
    menu.setObjectName(f"{name}-menu")
    menu.aboutToShow.connect(lambda: fill(menu))
    made.setMenu(menu)
    return made


def _searching(menu: QMenu, words: str, text: str, search_for: Callable[[str], object]) -> None:
    action = menu.addAction(words.replace("&", "&&"))
    action.triggered.connect(lambda _=False: search_for(text))
