"""Catalogue: every specimen found again by words, part and state, place, date, or what is missing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any, TypeVar

from PySide6.QtCore import QEvent, QModelIndex, QObject, QSize, Qt, QTimer
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence, QPixmap
from PySide6.QtWidgets import (
    QAbstractItemView,
    QButtonGroup,
    QComboBox,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.foray import Foray
from catalog_gui.domain.ledger import Changed, ForayCount, Found, FoundOrder
from catalog_gui.domain.photo import Photo
from catalog_gui.itemmodels.found_table import DAY, ORDERS, PAGE, FoundTable
from catalog_gui.jobs.lane import Ticket
from catalog_gui.presenting.words import day, written_day
from catalog_gui.views.bench import Bench
from catalog_gui.views.catalogue.asking import Asking
from catalog_gui.views.catalogue.emptiness import Emptiness
from catalog_gui.views.catalogue.find_card import CardFacts, FindCard, card_facts
from catalog_gui.views.catalogue.forays import ForayList
from catalog_gui.views.catalogue.found_list import FoundAlbum, FoundList, rows_in_sight
from catalog_gui.views.catalogue.places import FoundPlan, PlacesFound, laid_out
from catalog_gui.views.catalogue.side import CatalogueSide
from catalog_gui.views.catalogue.ways import KeptSearches, fill_ways, menu_button
from catalog_gui.views.page import Page, label
from catalog_gui.workflows.ports import Records, Work

T = TypeVar("T")

LIST, PICTURES, PLAN, FORAYS = range(4)
VIEWS = (
    ("List", "catalogue-list", "The finds as a list"),
    ("Pictures", "catalogue-pictures", "The finds as pictures"),
    ("Plan", "catalogue-plan", "The finds on the ground, to scale"),
    ("Forays", "catalogue-forays", "All forays, to look at and to put right"),
)
SEARCHED = ("specimens", "evidence", "determinations", "forays", "groups", "marks", "photos")
TASKED = ("tasks", "specimens", "forays")
OUTINGS = ("forays", "photos", "specimens", "determinations")


@dataclass(frozen=True, slots=True)
class _Answer:
    offset: int
    rows: tuple[Found, ...]
    total: int
    notes: tuple[str, ...]
    covers: dict[str, Photo]


@dataclass(frozen=True, slots=True)
class _Outings:
    forays: tuple[Foray, ...]  # newest first
    counts: dict[str, ForayCount]


class CataloguePage(Page):
    """Finding things again."""

    key = "catalogue"
    title = "Catalogue"
    purpose = "Find any specimen again"

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(bench, parent)
        self._asking = Asking(bench)
        self._coming: dict[int, Ticket[Any]] = {}
        self._restoring = False
        self._covers: dict[str, Photo] = {}
        self._shown_text: str | None = None
        self._shown_order = FoundOrder.NEWEST
        self._chosen: Found | None = None
        self._zones: dict[str, str] = {}
        self._forays: dict[str, Foray] = {}
        self._places_for: tuple[object, ...] = ()
        self._make_search()
        self.model = FoundTable(self._day, self)
        self.table = FoundList(self.model)
        self.album = FoundAlbum(self.model, self._cover, bench.pictures.problem)
        self.plan = FoundPlan()
        self.forays = ForayList(bench)
        self.card = FindCard(bench.pictures)
        self.side = CatalogueSide(bench, self._asking)
        self.season, self.tally, self.tasks = self.side.season, self.side.tally, self.side.tasks
        self._lay_out()
        self._connect()

    # --- making --------------------------------------------------------------------------------

    def _make_search(self) -> None:
        self.field = QLineEdit()
        self.field.setObjectName("catalogue-search")
        self.field.setAccessibleName("Search the catalogue")
        self.field.setPlaceholderText("Search words, or: gills: white, missing: base, date: october")
        self.field.setToolTip("Ctrl+F comes here. Down goes to what was found.")
        self.field.setClearButtonEnabled(True)
        self.field.installEventFilter(self)
        self._wait = QTimer(self)
        self._wait.setSingleShot(True)
        self._wait.setInterval(120)
        self._ahead = QTimer(self)
        self._ahead.setSingleShot(True)
        self._ahead.setInterval(10)
        self.kept = KeptSearches(self.bench, self, self.search_for)
        self.order = QComboBox()
        self.order.setObjectName("catalogue-order")
        self.order.setAccessibleName("Order of what was found")
        self.order.setToolTip("Order of everything that was found; a click on a head does the same")
        self.order.addItems([order.value for order in FoundOrder])
        self._count = label("", "heading", name="catalogue-count")
        self._notes = label("", "caution", name="catalogue-notes", wrap=True)
        self._notes.hide()

    def _lay_out(self) -> None:
        bar = QHBoxLayout()
        bar.addWidget(self.field, 1)
        ways = menu_button(
            "Ways to search",
            "catalogue-ways",
            "Examples; choose one to try it",
            lambda menu: fill_ways(menu, self.search_for),
        )
        kept = menu_button("Kept searches", "catalogue-kept", "Searches you kept", self.kept.fill)
        keep = QPushButton("Keep this search…")
        keep.setObjectName("catalogue-keep")
        keep.setAccessibleName("Keep this search under a name")
        keep.setToolTip("Keep this search under a name (Ctrl+K)")
        keep.clicked.connect(self._ask_keep)
        for button in (ways, kept, keep):
            bar.addWidget(button)
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
            button = QPushButton(words)
            button.setObjectName(name)
            button.setAccessibleName(tip)
            button.setToolTip(f"{tip} (Ctrl+{number + 1})")
            button.setCheckable(True)
            button.setChecked(number == LIST)
            self._views.addButton(button, number)
            line.addWidget(button)
        self._stack = QStackedWidget()
        for view in (self.table, self.album, self.plan, self.forays):
            self._stack.addWidget(view)
        self._empty = Emptiness()
        self._empty.button.clicked.connect(self._leave_empty)
        self._stack.addWidget(self._empty)
        left = QWidget()
        found = QVBoxLayout(left)
        found.setContentsMargins(0, 0, 0, 0)
        found.setSpacing(4)
        found.addWidget(self._stack, 1)
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
        column.addLayout(bar)
        column.addLayout(line)
        column.addWidget(self._notes)
        column.addWidget(split, 1)

    def _connect(self) -> None:
        self._wait.timeout.connect(self._search_now)
        self._ahead.timeout.connect(self._look_ahead)
        self.field.textChanged.connect(self._on_typed)
        self.order.activated.connect(self._on_order)
        self._views.idClicked.connect(self.show_view)
        self.table.horizontalHeader().sectionClicked.connect(self._on_head)
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
        for words, keys, call in (
            ("Search", QKeySequence(QKeySequence.StandardKey.Find), self._to_search),
            ("Keep this search", QKeySequence("Ctrl+K"), self._ask_keep),
        ):
            self._act(words, keys, call)
        for number in range(len(VIEWS)):
            self._act(VIEWS[number][0], QKeySequence(f"Ctrl+{number + 1}"), partial(self.show_view, number))

    def _act(self, words: str, keys: QKeySequence, call: Callable[[], object]) -> None:
        action = QAction(words, self)
        action.setShortcut(keys)
        action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        action.triggered.connect(lambda _=False: call())
        self.addAction(action)

    # --- reading -------------------------------------------------------------------------------

    def reload(self, changed: Changed | None) -> None:
        """Read again what a change touched; place, selection and focus stay."""
        if changed is None or changed.touches(*SEARCHED):
            self._search()
        if changed is None or changed.touches(*OUTINGS):
            self._load_forays()
        if changed is None or changed.touches(*TASKED):
            self.side.load_tasks()

    def enter(self) -> None:
        """To the front; the search is at hand."""
        super().enter()
        if not self.model.rowCount():
            self.field.setFocus()

    @property
    def _order(self) -> FoundOrder:
        return list(FoundOrder)[self.order.currentIndex()]

    def _search(self) -> None:
        """The first page of another search; of the same search, the page that is in sight."""
        self._wait.stop()
        text, order = self.field.text(), self._order
        again = text == self._shown_text and order is self._shown_order
        offset = rows_in_sight(self._list)[0] // PAGE * PAGE if again else 0
        for ticket in self._coming.values():
            ticket.withdraw()
        self._coming.clear()

        def question(records: Records) -> _Answer:
            rows = records.search(text, limit=PAGE, offset=offset, order=order)
            return _Answer(
                offset,
                rows,
                records.search_count(text),
                records.search_notes(text),
                _covers(records, rows),
            )

        self._asking.ask("search", question, lambda answer: self._show(answer, text, order))

    def _show(self, answer: _Answer, text: str, order: FoundOrder) -> None:
        if answer.offset and not answer.rows:  # the list became shorter than the place she is at
            self._shown_text = None
            self._search()
            return
        again = text == self._shown_text and order is self._shown_order
        self._shown_text, self._shown_order = text, order
        self._covers.update(answer.covers)
        stays = self._list.verticalScrollBar().value() if again else 0
        self.model.begin(answer.offset, answer.rows, answer.total)
        self._restore_row(again=again)
        self._list.verticalScrollBar().setValue(stays)
        count = answer.total
        self.table.show_matches(bool(text.strip()))
        self._say_count()
        self._notes.setText(" ".join(answer.notes))
        self._notes.setVisible(bool(answer.notes))
        self._show_emptiness(nothing=not count, kept=bool(text.strip()))
        self._ahead.start()
        self._load_season()
        self._load_places(refit=not again)

    def _restore_row(self, *, again: bool) -> None:
        """Keep her find chosen where it is still there; in another result the first one is."""
        key = self._chosen.specimen_id if self._chosen is not None else self.bench.specimen_id
        row = self.model.row_of(key)
        if row < 0 and again and self._chosen is not None:
            self._choose(self._chosen)  # it stands on a page that has not come; its card is read anew
            return
        row = max(row, 0)
        self._restoring = True
        for view in (self.table, self.album):
            view.setCurrentIndex(self.model.index(row, 0) if self.model.rowCount() else QModelIndex())
        self._restoring = False
        self._choose(self.model.found(row))

    def _say_count(self) -> None:
        """How many there are of what is in front."""
        if self._views.checkedId() == FORAYS:
            count, word, found = len(self._forays), "foray", ""
        else:
            count, word = self.model.rowCount(), "specimen"
            found = " found" if (self._shown_text or "").strip() else ""
        self._count.setText(f"{count:,} {word}{'' if count == 1 else 's'}{found}")
        self.order.setEnabled(self._views.checkedId() in (LIST, PICTURES))

    def _show_emptiness(self, *, nothing: bool, kept: bool) -> None:
        at = self._views.checkedId()
        if not nothing or at == FORAYS:
            self._stack.setCurrentIndex(at)
        else:
            self._empty.show_why(kept=kept)
            self._stack.setCurrentWidget(self._empty)

    def _load_season(self) -> None:
        self.side.load_season(self.field.text(), self._plain_name())

    def _plain_name(self) -> str | None:
        return self._chosen.name if self._chosen is not None and self._chosen.name else None

    def _load_places(self, *, refit: bool) -> None:
        if self._views.checkedId() != PLAN:
            self._places_for = ()
            return
        text = self.field.text()

        def question(records: Records) -> PlacesFound:
            return laid_out(records.search_places(text), records.search_count(text))

        def show(found: PlacesFound) -> None:
            self._places_for = (text,)
            self.plan.set_found(found, refit=refit)
            self.plan.choose(self._chosen.specimen_id if self._chosen is not None else "")

        self._asking.ask("places", question, show)

    def _load_forays(self) -> None:
        def question(records: Records) -> _Outings:
            with records.read() as work:
                forays = work.forays.all()
            dated = sorted(forays, key=lambda one: one.started.isoformat() if one.started else "")
            return _Outings(tuple(reversed(dated)), dict(records.foray_counts()))

        def show(outings: _Outings) -> None:
            self._forays = {foray.id: foray for foray in outings.forays}
            self._zones = {foray.id: foray.time_zone for foray in outings.forays}
            counted = self.tally.foray_id or self.bench.foray_id
            preferences = self.bench.preferences
            self.tally.set_forays(
                [(one, day(one.started, preferences, one.time_zone)) for one in outings.forays], counted
            )
            self.forays.show_forays(outings.forays, outings.counts, self.bench.foray_id)
            self.side.load_tally(self.tally.foray_id)
            self._say_count()

        self._asking.ask("forays", question, show)

    def _look_ahead(self) -> None:
        """Fetch what is in sight and a page before and after it; what she scrolled past is not waited for."""
        if self._stack.currentWidget() not in (self.table, self.album):
            return
        first, last = rows_in_sight(self._list)
        wanted = self.model.missing(first - PAGE // 2, last + PAGE)
        for offset in [offset for offset in self._coming if offset not in wanted]:
            self._coming.pop(offset).withdraw()
        wanted.sort(key=lambda offset: abs(offset + PAGE // 2 - first))
        for offset in wanted:
            if offset not in self._coming:
                self._fetch(offset)

    def _fetch(self, offset: int) -> None:
        text, order = self._shown_text or "", self._shown_order

        def question(records: Records) -> tuple[tuple[Found, ...], dict[str, Photo]]:
            rows = records.search(text, limit=PAGE, offset=offset, order=order)
            return rows, _covers(records, rows)

        def show(answer: tuple[tuple[Found, ...], dict[str, Photo]]) -> None:
            self._coming.pop(offset, None)
            if (text, order) != (self._shown_text, self._shown_order):
                return
            self._covers.update(answer[1])
            self.model.add(offset, answer[0])
            current = self.model.found(self._list.currentIndex().row())
            if current is not None and current != self._chosen:
                self._choose(current)

        self._coming[offset] = self.bench.ask(question, show)

    # --- what is shown -------------------------------------------------------------------------

    @property
    def _list(self) -> QAbstractItemView:
        return self.album if self._views.checkedId() == PICTURES else self.table

    def _day(self, found: Found) -> str:
        return written_day(found.local_date, self.bench.preferences)

    def _cover(self, found: Found, size: QSize) -> QPixmap | None:
        photo = self._covers.get(found.cover_photo)
        if photo is None:
            return None
        ratio = self.devicePixelRatioF()
        fit = (round(size.width() * ratio), round(size.height() * ratio))
        return self.bench.pictures.pixmap(photo, 320, fit=fit)

    def _on_picture(self, photo_id: str, _reason: str = "") -> None:
        self.card.on_picture(photo_id)
        if self._stack.currentWidget() is self.album and photo_id in self._covers:
            self.album.viewport().update()

    def show_view(self, number: int) -> None:
        """Show as a list (0), pictures (1), plan (2), or the forays (3)."""
        row = self._list.currentIndex().row()
        self._views.button(number).setChecked(True)
        self._show_emptiness(nothing=not self.model.rowCount(), kept=bool(self.field.text().strip()))
        if number in (LIST, PICTURES) and row >= 0:
            index = self.model.index(row, 0)
            self._list.setCurrentIndex(index)
            self._list.scrollTo(index)
        self.card.setVisible(number != FORAYS and bool(self.card.lines))
        self._say_count()
        self._to_found()
        if number == PLAN and self._places_for != (self.field.text(),):
            self._load_places(refit=True)
        self._ahead.start()

    def _scrolled(self, *_: int) -> None:
        if not self._ahead.isActive():
            self._ahead.start()

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
        if self._views.checkedId() == FORAYS:
            self.card.hide()

    # --- what she does -------------------------------------------------------------------------

    def search_for(self, text: str) -> None:
        """Search for this text; the forays make room for what is found."""
        if self._views.checkedId() == FORAYS:
            self._views.button(LIST).setChecked(True)
        self.field.setText(text)
        self._search_now()

    def _search_now(self) -> None:
        if self.field.text() != self._shown_text:
            self._chosen = None
        self._search()

    def _on_typed(self, _: str) -> None:
        self._wait.start()

    def _to_found(self) -> None:
        """The keyboard goes to what is in front."""
        front = self._stack.currentWidget()
        if front is self.forays:
            front = self.forays.lines
        elif front is self._empty:
            front = self._empty.button
        if front is not None:
            front.setFocus()

    def _to_search(self) -> None:
        self.field.setFocus()
        self.field.selectAll()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """In the search field Return searches, Down goes to what was found, Escape empties it."""
        if watched is self.field and isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                if self._wait.isActive() or self.field.text() != self._shown_text:
                    self._search_now()
                self._to_found()
                return True
            if event.key() == Qt.Key.Key_Down:
                self._to_found()
                return True
            if event.key() == Qt.Key.Key_Escape and self.field.text():
                self.search_for("")
                return True
        return super().eventFilter(watched, event)

    def _ask_keep(self) -> None:
        self.kept.ask_name(self.field.text().strip())

    def _on_order(self, _row: int) -> None:
        for column, orders in ORDERS.items():
            if self._order in orders:
                backwards = (self._order is orders[1]) != (column == DAY)
                way = Qt.SortOrder.DescendingOrder if backwards else Qt.SortOrder.AscendingOrder
                self.table.horizontalHeader().setSortIndicator(column, way)
        self._search()

    def _on_head(self, column: int) -> None:
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

        def one(records: Records) -> Found | None:
            with records.read() as work:
                specimen = work.specimens.get(specimen_id)
            number = specimen.number if specimen is not None else ""
            rows = records.search(f'number: "{number}"', limit=20) if number else ()
            return next((row for row in rows if row.specimen_id == specimen_id), None)

        self._asking.ask("one", one, lambda found: self._choose(found) if found is not None else None)

    def _on_card(self, page: str) -> None:
        if self._chosen is not None:
            self._go(self._chosen.specimen_id, page)

    def _go(self, specimen_id: str, page: str = "describe") -> None:
        bench = self.bench

        def foray_of(work: Work) -> str:
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
        kept = [one for one in self.field.text().split(",") if not one.strip().startswith("date:")]
        name = self._plain_name() if self.side.season_of_name else None
        parts = [f"taxon: {name}"] if name else [one.strip() for one in kept if one.strip()]
        self.search_for(", ".join([*parts, f"date: {month}"]))

    def _on_tally(self, name: str) -> None:
        where = self._foray_words(self.tally.foray_id)
        self.search_for(
            ", ".join(part for part in (f"taxon: {name}" if name else "undetermined", where) if part)
        )

    def _foray_words(self, foray_id: str) -> str:
        """The condition that finds a foray's specimens by its title and, for its namesakes' sake, its date."""
        foray = self._forays.get(foray_id)
        title = " ".join(foray.title.replace('"', " ").split()) if foray is not None else ""
        return f'foray: "{title}"' if title else ""

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
        if self.field.text().strip():
            self.search_for("")
        else:
            self.bench.page_wanted.emit("sort")


def _covers(records: Records, rows: tuple[Found, ...]) -> dict[str, Photo]:
    wanted = tuple({row.cover_photo for row in rows if row.cover_photo})
    with records.read() as work:
        return {photo.id: photo for photo in work.photos.where(id=wanted)} if wanted else {}
