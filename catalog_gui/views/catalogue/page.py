"""Finds every specimen again: by words, part and state, place, date, or what is missing."""

from __future__ import annotations

from functools import partial
from typing import TypeVar

from PySide6.QtCore import QModelIndex, QSize, Qt
from PySide6.QtGui import QKeySequence, QPixmap
from PySide6.QtWidgets import (
    QButtonGroup,
    QHBoxLayout,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.foray import Foray
from catalog_gui.domain.ledger import Changed, Found, FoundOrder
from catalog_gui.itemmodels.found_table import DAY, ORDERS, FoundTable
from catalog_gui.presenting.catalogue import searches
from catalog_gui.presenting.catalogue.find_facts import CardFacts, card_facts
from catalog_gui.presenting.catalogue.places import PlacesFound, laid_out
from catalog_gui.presenting.catalogue.state import FoundPage, Outings, find_one, read_outings
from catalog_gui.presenting.catalogue.words import count_words
from catalog_gui.presenting.words import day, written_day
from catalog_gui.views.bench import Bench
from catalog_gui.views.catalogue.asking import Asking
from catalog_gui.views.catalogue.find_card import FindCard
from catalog_gui.views.catalogue.forays import ForayList
from catalog_gui.views.catalogue.found_list import FoundAlbum, FoundList
from catalog_gui.views.catalogue.found_reader import FoundReader
from catalog_gui.views.catalogue.front import FORAYS, LIST, PICTURES, PLAN, Front
from catalog_gui.views.catalogue.places import FoundPlan
from catalog_gui.views.catalogue.reckoner import Reckoner
from catalog_gui.views.catalogue.search_bar import SearchBar
from catalog_gui.views.catalogue.side import CatalogueSide
from catalog_gui.views.page import Page
from catalog_gui.views.widgets.actions import add_action
from catalog_gui.views.widgets.buttons import button, choice_box
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.ports import Records, UnitOfWork

T = TypeVar("T")

VIEWS = (
    ("List", "catalogue-list", "The finds as a list"),
    ("Pictures", "catalogue-pictures", "The finds as pictures"),
    ("Plan", "catalogue-plan", "The finds on the ground, to scale"),
    ("Forays", "catalogue-forays", "All forays, to look at and to put right"),
)
SEARCHED = ("specimens", "evidence", "determinations", "forays", "groups", "marks", "photos")
WEIGHED = ("specimens", "evidence", "determinations", "reference")
TASKED = ("tasks", "specimens", "forays")
OUTINGS = ("forays", "photos", "specimens", "determinations")


class CataloguePage(Page):
    """Finding things again."""

    key = "catalogue"
    title = "Catalogue"
    purpose = "Find any specimen again"

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(bench, parent)
        self._asking = Asking(bench)
        self._restoring = False
        self._chosen: Found | None = None
        self._forays: dict[str, Foray] = {}
        self._places_for: tuple[object, ...] = ()
        self.search = SearchBar(bench, self)
        self.model = FoundTable(self._day, self)
        self.table = FoundList(self.model)
        self.album = FoundAlbum(self.model, self._cover, bench.pictures.problem)
        self.reader = FoundReader(bench, self._asking, self.model, self._in_sight, self)
        self.reckoner = Reckoner(bench, self)
        self.plan = FoundPlan()
        self.forays = ForayList(bench)
        self.card = FindCard(bench.pictures)
        self.side = CatalogueSide(bench, self._asking)
        self.season, self.tally, self.tasks = self.side.season, self.side.tally, self.side.tasks
        self._lay_out()
        self._connect()

    # --- making --------------------------------------------------------------------------------

    def _make_line(self) -> QHBoxLayout:
        """How many there are, their order, and the ways to look at them."""
        self.order = choice_box("catalogue-order", "Order of what was found")
        self.order.setToolTip("Order of everything that was found; a click on a head does the same")
        self.order.addItems([order.value for order in FoundOrder])
        self._count = label("", "heading", name="catalogue-count")
        line = QHBoxLayout()
        line.addWidget(self._count)
        line.addStretch(1)
        caption = label("Order:", "faded")
        caption.setBuddy(self.order)
        line.addWidget(caption)
        line.addWidget(self.order)
        line.addSpacing(14)
        self._views = QButtonGroup(self)
        for number, (words, name, tip) in enumerate(VIEWS):
            view = button(name, words, tip, shown=f"Ctrl+{number + 1}")
            view.setCheckable(True)
            view.setChecked(number == LIST)
            self._views.addButton(view, number)
            line.addWidget(view)
        return line

    def _lay_out(self) -> None:
        line = self._make_line()
        self._notes = label("", "caution", name="catalogue-notes", wrap=True)
        self._notes.hide()
        self.front = Front(self.table, self.album, self.plan, self.forays)
        self.front.empty.button.clicked.connect(self._leave_empty)
        left = QWidget()
        found = QVBoxLayout(left)
        found.setContentsMargins(0, 0, 0, 0)
        found.setSpacing(4)
        found.addWidget(self.front, 1)
        found.addWidget(self.card)
        split = QSplitter(Qt.Orientation.Horizontal)
        split.setObjectName("catalogue-split")
        split.addWidget(left)
        split.addWidget(self.side)
        split.setStretchFactor(0, 1)
        split.setStretchFactor(1, 0)
        split.setCollapsible(0, False)
        split.setSizes([950, 390])
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 6, 10, 4)
        column.setSpacing(4)
        column.addWidget(self.search)
        column.addLayout(line)
        column.addWidget(self._notes)
        column.addWidget(split, 1)

    def _connect(self) -> None:
        self.search.wanted.connect(self._search_now)
        self.search.left.connect(self.front.take_focus)
        self.search.chosen.connect(self.search_for)
        self.reader.came.connect(self._show)
        self.reckoner.reckoned.connect(self._on_reckoned)
        self.reader.filled.connect(self._on_filled)
        self.order.activated.connect(self._on_order)
        self._views.idClicked.connect(self.show_view)
        self.table.horizontalHeader().sectionClicked.connect(self.order_by)
        for view in (self.table, self.album):
            view.activated.connect(self._open)
            view.selectionModel().currentChanged.connect(self._on_row)
            view.verticalScrollBar().valueChanged.connect(self._scrolled)
            view.verticalScrollBar().rangeChanged.connect(self._scrolled)
        self.plan.chosen.connect(self._on_plan)
        self.plan.opened.connect(self._go)
        self.card.page_wanted.connect(self._on_card)
        self.season.month_chosen.connect(self._on_month)
        self.side.season_wanted.connect(self._load_season)
        self.tally.name_wanted.connect(self._on_tally)
        self.tasks.opened.connect(self._go)
        self.forays.finds_wanted.connect(self._on_foray_finds)
        self.forays.sort_wanted.connect(self._on_foray_sort)
        self.forays.chosen.connect(self.side.load_tally)
        self.bench.pictures.ready.connect(self._on_picture)
        self.bench.pictures.refused.connect(self._on_picture)
        self.bench.foray_chosen.connect(self._on_foray)
        find = QKeySequence.StandardKey.Find
        add_action(self, "catalogue-find", "Search", [find], self.search.to_field)
        add_action(self, "catalogue-keep-search", "Keep this search", ["Ctrl+K"], self.search.ask_keep)
        for number, (words, name, _) in enumerate(VIEWS):
            show = partial(self.show_view, number)
            add_action(self, f"{name}-show", words, [f"Ctrl+{number + 1}"], show)

    # --- reading -------------------------------------------------------------------------------

    def reload(self, changed: Changed | None) -> None:
        """Read again what a change touched; place, selection and focus stay."""
        if changed is None or changed.touches(*SEARCHED):
            self._search()
        if changed is None or changed.touches(*WEIGHED):
            self.reckoner.wake()
        if changed is None or changed.touches(*OUTINGS):
            self._load_forays()
        if changed is None or changed.touches(*TASKED):
            self.side.load_tasks()

    def enter(self) -> None:
        """To the front; the search is at hand."""
        super().enter()
        if not self.model.rowCount():
            self.search.field.setFocus()

    @property
    def busy(self) -> bool:
        """Whether something typed is not searched for yet, or pages of rows are about to be fetched."""
        return self.search.waiting or self.reader.waiting

    @property
    def chosen(self) -> Found | None:
        """The find that the card, the season and the plan show."""
        return self._chosen

    @property
    def view(self) -> int:
        """What is in front: LIST, PICTURES, PLAN or FORAYS."""
        return self.front.at

    @property
    def _order(self) -> FoundOrder:
        return list(FoundOrder)[self.order.currentIndex()]

    def _search(self) -> None:
        self.search.settle()
        self.reader.search(self.search.text, self._order)

    def _on_reckoned(self) -> None:
        """More specimens were weighed: what is shown is read again, what is being typed is left alone."""
        if self.reader.text is not None and not self.search.waiting:
            self.reader.search(self.reader.text, self.reader.order)

    def _in_sight(self) -> tuple[int, int]:
        return self.front.in_sight()

    def _rest(self) -> None:
        """Rows are in front: what is in sight is fetched."""
        if self.front.rows_shown:
            self.reader.rest()

    def _show(self, page: FoundPage, again: bool) -> None:
        stays = self.front.list.verticalScrollBar().value() if again else 0
        self.model.begin(page.offset, page.rows, page.total)
        self._restore_row(again=again)
        self.front.list.verticalScrollBar().setValue(stays)
        searched = bool((self.reader.text or "").strip())
        self.table.show_matches(searched)
        self._say_count()
        self._notes.setText(" ".join(page.notes))
        self._notes.setVisible(bool(page.notes))
        self.front.show_way(self.view, nothing=not page.total, searched=searched)
        self._rest()
        self._load_season()
        self._load_places(refit=not again)

    def _restore_row(self, *, again: bool) -> None:
        """Keep the find chosen where it is still there; in another result the first one is."""
        key = self._chosen.specimen_id if self._chosen is not None else self.bench.specimen_id
        row = self.model.row_of(key)
        if row < 0 and again and self._chosen is not None:
            self._choose(self._chosen)  # it stands on a page that has not come; its card is read anew
            return
        row = max(row, 0)
        self._restoring = True
        there = self.model.rowCount()
        self.front.choose_in_both(self.model.index(row, 0) if there else QModelIndex())
        self._restoring = False
        self._choose(self.model.found(row))

    def _say_count(self) -> None:
        """How many there are of what is in front."""
        if self.view == FORAYS:
            words = count_words(len(self._forays), "foray")
        else:
            words = count_words(
                self.model.rowCount(), "specimen", searched=bool((self.reader.text or "").strip())
            )
        self._count.setText(words)
        self.order.setEnabled(self.view in (LIST, PICTURES))

    def _load_season(self) -> None:
        self.side.load_season(self.search.text, self._plain_name() or None)

    def _plain_name(self) -> str:
        return self._chosen.name if self._chosen is not None else ""

    def _load_places(self, *, refit: bool) -> None:
        if self.view != PLAN:
            self._places_for = ()
            return
        text = self.search.text

        def question(records: Records) -> PlacesFound:
            return laid_out(records.search_places(text), records.search_count(text))

        def show(found: PlacesFound) -> None:
            self._places_for = (text,)
            self.plan.set_found(found, refit=refit)
            self.plan.choose(self._chosen.specimen_id if self._chosen is not None else "")

        self._asking.ask("places", question, show)

    def _load_forays(self) -> None:
        def show(outings: Outings) -> None:
            self._forays = {foray.id: foray for foray in outings.forays}
            counted = self.tally.foray_id or self.bench.foray_id
            preferences = self.bench.preferences
            self.tally.set_forays(
                [(one, day(one.started, preferences, one.time_zone)) for one in outings.forays], counted
            )
            self.forays.show_forays(outings.forays, outings.counts, self.bench.foray_id)
            self.side.load_tally(self.tally.foray_id)
            self._say_count()

        self._asking.ask("forays", read_outings, show)

    def _on_filled(self) -> None:
        """The row that is chosen may have come."""
        current = self.model.found(self.front.list.currentIndex().row())
        if current is not None and current != self._chosen:
            self._choose(current)

    # --- what is shown -------------------------------------------------------------------------

    def _day(self, found: Found) -> str:
        return written_day(found.local_date, self.bench.preferences)

    def _cover(self, found: Found, size: QSize) -> QPixmap | None:
        photo = self.reader.covers.get(found.cover_photo)
        if photo is None:
            return None
        ratio = self.devicePixelRatioF()
        fit = (round(size.width() * ratio), round(size.height() * ratio))
        return self.bench.pictures.pixmap(photo, 320, fit=fit)

    def _on_picture(self, photo_id: str, _reason: str = "") -> None:
        self.card.on_picture(photo_id)
        if self.front.pictures_shown and photo_id in self.reader.covers:
            self.album.viewport().update()

    def show_view(self, number: int) -> None:
        """Show as a list (0), pictures (1), plan (2), or the forays (3)."""
        row = self.front.list.currentIndex().row()
        self._views.button(number).setChecked(True)
        searched = bool(self.search.text.strip())
        self.front.show_way(number, nothing=not self.model.rowCount(), searched=searched)
        if number in (LIST, PICTURES) and row >= 0:
            self.front.go_to(self.model.index(row, 0))
        self.card.setVisible(number != FORAYS and bool(self.card.lines))
        self._say_count()
        self.front.take_focus()
        if number == PLAN and self._places_for != (self.search.text,):
            self._load_places(refit=True)
        self._rest()

    def _scrolled(self, *_: int) -> None:
        self._rest()

    def _on_row(self, current: QModelIndex, _previous: QModelIndex) -> None:
        if not self._restoring:
            self._choose(self.model.found(current.row()) if current.isValid() else None)

    def _choose(self, found: Found | None) -> None:
        """This find is chosen: its card, its season, its spot on the plan."""
        other = (found.name if found else "") != (self._chosen.name if self._chosen else "")
        self._chosen = found
        if found is None:
            self._asking.forget("card")
            if (
                not self.model.rowCount()
            ):  # else the row is on its way; a card that blinks would move the list
                self.card.show_facts(None)
        else:
            vocabulary, preferences = self.bench.vocabulary, self.bench.preferences

            def question(records: Records) -> CardFacts:
                with records.read() as work:
                    return card_facts(work, found, vocabulary, preferences)

            self._asking.ask("card", question, self._show_card)
            self.plan.choose(found.specimen_id)
        if other and self.side.season_of_name:
            self._load_season()

    def _show_card(self, facts: CardFacts) -> None:
        self.card.show_facts(facts)
        if self.view == FORAYS:
            self.card.hide()

    # --- commands -----------------------------------------------------------------------------

    def search_for(self, text: str) -> None:
        """Search for this text; the forays make room for what is found."""
        if self.view == FORAYS:
            self._views.button(LIST).setChecked(True)
            self.front.at = LIST
        self.search.put(text)
        self._search_now()

    def _search_now(self) -> None:
        if self.search.text != self.reader.text:
            self._chosen = None
        self._search()

    def _on_order(self, _row: int) -> None:
        for column, orders in ORDERS.items():
            if self._order in orders:
                backwards = (self._order is orders[1]) != (column == DAY)
                way = Qt.SortOrder.DescendingOrder if backwards else Qt.SortOrder.AscendingOrder
                self.table.horizontalHeader().setSortIndicator(column, way)
        self._search()

    def order_by(self, column: int) -> None:
        """Order everything that was found by the head of a column; a second time the other way round."""
        if column in ORDERS:
            first, second = ORDERS[column]
            self.order.setCurrentIndex(list(FoundOrder).index(second if self._order is first else first))
        self._on_order(0)

    def _open(self, index: QModelIndex) -> None:
        found = self.model.found(index.row())
        if found is not None:
            self._go(found.specimen_id)

    def _on_plan(self, specimen_id: str) -> None:
        """A find chosen on the plan is chosen in the list, or at least on the card."""
        row = self.model.row_of(specimen_id)
        if row >= 0:
            self.table.setCurrentIndex(self.model.index(row, 0))
            return

        def show(found: Found | None) -> None:
            if found is not None:
                self._choose(found)

        self._asking.ask("one", lambda records: find_one(records, specimen_id), show)

    def _on_card(self, page: str) -> None:
        if self._chosen is not None:
            self._go(self._chosen.specimen_id, page)

    def _go(self, specimen_id: str, page: str = "describe") -> None:
        bench = self.bench

        def foray_of(work: UnitOfWork) -> str:
            specimen = work.specimens.get(specimen_id)
            return specimen.foray_id if specimen is not None else ""

        def go(foray_id: str) -> None:
            if foray_id:
                bench.choose_foray(foray_id)
            bench.choose_specimen(specimen_id)
            bench.page_wanted.emit(page)

        bench.read(foray_of, go)

    def _on_month(self, month: str) -> None:
        """The finds of a month of the season, within the search (in place of another date)."""
        name = self._plain_name() if self.side.season_of_name else ""
        self.search_for(searches.of_month(self.search.text, name, month))

    def _on_tally(self, name: str) -> None:
        self.search_for(searches.of_name(name, self._foray_words(self.tally.foray_id)))

    def _foray_words(self, foray_id: str) -> str:
        """The condition that finds the specimens of a foray."""
        foray = self._forays.get(foray_id)
        return searches.of_foray(foray.title) if foray is not None else ""

    def _on_foray_finds(self, foray_id: str) -> None:
        self.search_for(self._foray_words(foray_id))

    def _on_foray_sort(self, foray_id: str) -> None:
        self.bench.choose_foray(foray_id)
        self.bench.page_wanted.emit("sort")

    def _on_foray(self, foray_id: str) -> None:
        """Another foray is open: its names are counted."""
        if self.isVisible():
            self.side.load_tally(foray_id)
        else:
            self.tally.choose(foray_id)
            self._stale = True

    def _leave_empty(self) -> None:
        if self.search.text.strip():
            self.search_for("")
        else:
            self.bench.page_wanted.emit("sort")
