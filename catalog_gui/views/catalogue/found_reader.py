"""Reads what a search found, a page at a time: what is in sight first, then what comes next."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal

from catalog_gui.domain.ledger import FoundOrder
from catalog_gui.domain.photo import Photo
from catalog_gui.itemmodels.found_table import PAGE, FoundTable
from catalog_gui.jobs.worker_queue import Ticket
from catalog_gui.presenting.catalogue.state import FoundPage, read_page, read_rows
from catalog_gui.views.bench import Bench
from catalog_gui.views.catalogue.asking import Asking

REST_MS = 10
"""After so long without scrolling the pages around what is in sight are fetched."""


class FoundReader(QObject):
    """Fills the model of what was found. `in_sight` says the first and last row that can be seen.

    `came` carries the answer to a search (`FoundPage`) and whether it is the search that was shown before;
    `filled` follows each further page.
    """

    came = Signal(object, bool)
    filled = Signal()

    def __init__(
        self,
        bench: Bench,
        asking: Asking,
        model: FoundTable,
        in_sight: Callable[[], tuple[int, int]],
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._bench = bench
        self._asking = asking
        self._model = model
        self._in_sight = in_sight
        self._coming: dict[int, Ticket[Any]] = {}
        self.covers: dict[str, Photo] = {}
        self.text: str | None = None  # what the rows that are shown were searched with
        self.order = FoundOrder.NEWEST
        self._ahead = QTimer(self)
        self._ahead.setSingleShot(True)
        self._ahead.setInterval(REST_MS)
        self._ahead.timeout.connect(self._look_ahead)

    @property
    def waiting(self) -> bool:
        """Whether further pages are about to be asked for."""
        return self._ahead.isActive()

    def forget(self) -> None:
        """The next search is another one, even with the same words."""
        self.text = None

    def search(self, text: str, order: FoundOrder) -> None:
        """Ask for the first page of another search; of the same search, the page that is in sight."""
        again = text == self.text and order is self.order
        offset = self._in_sight()[0] // PAGE * PAGE if again else 0
        for ticket in self._coming.values():
            ticket.withdraw()
        self._coming.clear()

        def show(page: FoundPage) -> None:
            if page.offset and not page.rows:  # the list became shorter than the place that was in sight
                self.forget()
                self.search(text, order)
                return
            same = text == self.text and order is self.order
            self.text, self.order = text, order
            self.covers.update(page.covers)
            self.came.emit(page, same)

        self._asking.ask("search", lambda records: read_page(records, text, order, offset, PAGE), show)

    def rest(self) -> None:
        """Fetch what is in sight once the scrolling rests."""
        if not self._ahead.isActive():
            self._ahead.start()

    def _look_ahead(self) -> None:
        """Fetch what is in sight and a page before and after it; what was scrolled past is not waited for."""
        first, last = self._in_sight()
        wanted = self._model.missing(first - PAGE // 2, last + PAGE)
        for offset in [offset for offset in self._coming if offset not in wanted]:
            self._coming.pop(offset).withdraw()
        wanted.sort(key=lambda offset: abs(offset + PAGE // 2 - first))
        for offset in wanted:
            if offset not in self._coming:
                self._fetch(offset)

    def _fetch(self, offset: int) -> None:
        text, order = self.text or "", self.order

        def show(page: FoundPage) -> None:
            self._coming.pop(offset, None)
            if (text, order) != (self.text, self.order):
                return
            self.covers.update(page.covers)
            self._model.add(offset, page.rows)
            self.filled.emit()

        self._coming[offset] = self._bench.ask(
            lambda records: read_rows(records, text, order, offset, PAGE), show
        )
