"""Shows what was found in one of four ways: as a list, as pictures, on the plan, or by forays."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex
from PySide6.QtWidgets import QAbstractItemView, QStackedWidget

from catalog_gui.views.catalogue.emptiness import Emptiness
from catalog_gui.views.catalogue.forays import ForayList
from catalog_gui.views.catalogue.found_list import FoundAlbum, FoundList, rows_in_sight
from catalog_gui.views.catalogue.places import FoundPlan

LIST, PICTURES, PLAN, FORAYS = range(4)


class Front(QStackedWidget):
    """The views over one result, one of them in front; a sheet says why where there is nothing to show.

    `at` is the way of looking that is chosen, also while the sheet is in front.
    """

    def __init__(self, table: FoundList, album: FoundAlbum, plan: FoundPlan, forays: ForayList) -> None:
        super().__init__()
        self._table, self._album, self._forays = table, album, forays
        self.at = LIST
        self.empty = Emptiness()
        for view in (table, album, plan, forays, self.empty):
            self.addWidget(view)

    @property
    def list(self) -> QAbstractItemView:
        """The view of rows that is in front, or that was last."""
        return self._album if self.at == PICTURES else self._table

    @property
    def rows_shown(self) -> bool:
        """Whether rows are in front."""
        return self.currentWidget() in (self._table, self._album)

    @property
    def pictures_shown(self) -> bool:
        """Whether the pictures are in front."""
        return self.currentWidget() is self._album

    def in_sight(self) -> tuple[int, int]:
        """First and last row that can be seen."""
        return rows_in_sight(self.list)

    def show_way(self, at: int, *, nothing: bool, searched: bool) -> None:
        """Bring a way of looking to the front, or the sheet where a search or the catalogue gave nothing."""
        self.at = at
        if nothing and at != FORAYS:
            self.empty.show_why(kept=searched)
            self.setCurrentWidget(self.empty)
        else:
            self.setCurrentIndex(at)

    def go_to(self, index: QModelIndex) -> None:
        """Choose a row and bring it into sight."""
        self.list.setCurrentIndex(index)
        self.list.scrollTo(index)

    def choose_in_both(self, index: QModelIndex) -> None:
        """Choose a row in the list and among the pictures."""
        for view in (self._table, self._album):
            view.setCurrentIndex(index)

    def take_focus(self) -> None:
        """The keyboard goes to what is in front."""
        front = self.currentWidget()
        if front is self._forays:
            front = self._forays.lines
        elif front is self.empty:
            front = self.empty.button
        if front is not None:
            front.setFocus()
