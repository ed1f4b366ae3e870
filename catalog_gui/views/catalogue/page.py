"""Catalogue: every specimen found again by words, part and state, place, date, or what is missing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QModelIndex, QSize, Qt, QTimer
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHBoxLayout,
    QHeaderView,
    QInputDialog,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QMenu,
    QPushButton,
    QSplitter,
    QStackedWidget,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.ledger import Changed, Found, SavedSearch, SeasonCount, TallyLine
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Specimen, Task
from catalog_gui.itemmodels.found_table import PAGE, FoundTable
from catalog_gui.views.bench import Bench
from catalog_gui.views.catalogue.season import SeasonPlot
from catalog_gui.views.page import Page, label
from catalog_gui.views.words import day
from catalog_gui.workflows.ports import Records, Work

SHELVES = ("specimens", "evidence", "determinations", "tasks", "forays", "groups", "searches")
EXAMPLES = (
    ("Anything she wrote", "beech"),
    ("A state of a part", "base: sac-like volva"),
    ("A part that was gone", "ring: gone"),
    ("What nobody looked at", "missing: base"),
    ("Not named yet", "undetermined"),
    ("Hazardous names", "hazard: fatal"),
    ("A month", "date: 2025-10"),
)


@dataclass(frozen=True, slots=True)
class _Answer:
    rows: tuple[Found, ...]
    total: int
    notes: tuple[str, ...]
    season: tuple[SeasonCount, ...]
    tally: tuple[TallyLine, ...]
    tasks: tuple[tuple[Task, Specimen | None], ...]
    covers: dict[str, Photo]


class CataloguePage(Page):
    """Finding things again."""

    key = "catalogue"
    title = "Catalogue"
    purpose = "Find any specimen again"

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(bench, parent)
        self._field = QLineEdit()
        self._field.setObjectName("catalogue-search")
        self._field.setAccessibleName("Search the catalogue")
        self._field.setPlaceholderText("Words, or part: state, or missing: base (Ctrl+F)")
        self._field.setClearButtonEnabled(True)
        self._wait = QTimer(self)
        self._wait.setSingleShot(True)
        self._wait.setInterval(120)
        self._wait.timeout.connect(lambda: self.reload(None))
        self._field.textChanged.connect(lambda _: self._wait.start())
        self._field.returnPressed.connect(self._search_now)
        self._model = FoundTable(self._day, self)
        self._model.more_wanted.connect(self._fetch)
        self.table = QTableView()
        self.table.setObjectName("found-table")
        self.table.setAccessibleName("Specimens found")
        self.table.setModel(self._model)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.table.setAlternatingRowColors(True)
        self.table.setShowGrid(False)
        self.table.setTabKeyNavigation(False)
        self.table.verticalHeader().hide()
        self.table.verticalHeader().setDefaultSectionSize(28)
        head = self.table.horizontalHeader()
        head.setStretchLastSection(True)
        head.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        head.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        for column, width in enumerate((104, 230, 140, 170, 66, 84)):
            self.table.setColumnWidth(column, width)
        self.table.activated.connect(self._open)
        self.table.doubleClicked.connect(self._open)
        self.table.selectionModel().currentRowChanged.connect(self._on_row)
        self._kind = QComboBox()
        self._kind.setObjectName("catalogue-as")
        self._kind.setAccessibleName("Show as a list or as pictures")
        self._kind.addItems(["As a list", "As pictures"])
        self._kind.activated.connect(self._on_kind)
        self._album = QListWidget()
        self._album.setObjectName("found-pictures")
        self._album.setAccessibleName("Specimens found, as pictures")
        self._album.setViewMode(QListWidget.ViewMode.IconMode)
        self._album.setResizeMode(QListWidget.ResizeMode.Adjust)
        self._album.setMovement(QListWidget.Movement.Static)
        self._album.setUniformItemSizes(True)
        self._album.itemActivated.connect(self._open_item)
        self._covers: dict[str, Photo] = {}
        self._notes = label("", "faded", name="catalogue-notes", wrap=True)
        self._count = label("", "heading", name="catalogue-count")
        self._season = SeasonPlot()
        self._season_title = label("Season", "heading", name="season-title")
        self._tally = QListWidget()
        self._tally.setObjectName("tally")
        self._tally.setAccessibleName("Names of the open foray, with how many finds")
        self._tally.itemActivated.connect(self._on_tally)
        self._tasks = QListWidget()
        self._tasks.setObjectName("open-tasks")
        self._tasks.setAccessibleName("Open tasks")
        self._tasks.setWordWrap(True)
        self._tasks.itemActivated.connect(self._open_item)
        self._lay_out()
        bench.pictures.ready.connect(self._on_picture)
        bench.foray_chosen.connect(lambda _: self.mark_stale())
        focus = QAction("Search", self)
        focus.setShortcut(QKeySequence(QKeySequence.StandardKey.Find))
        focus.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        focus.triggered.connect(self._field.setFocus)
        self.addAction(focus)

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 6, 10, 4)
        column.setSpacing(4)
        bar = QHBoxLayout()
        bar.addWidget(self._field, 1)
        bar.addWidget(self._menu_button("Ways to search", "catalogue-ways", self._fill_ways))
        bar.addWidget(self._menu_button("Kept searches", "catalogue-kept", self._fill_kept))
        keep = QPushButton("Keep this search…")
        keep.setObjectName("catalogue-keep")
        keep.setAccessibleName("Keep this search under a name")
        keep.clicked.connect(self._keep)
        bar.addWidget(keep)
        bar.addWidget(self._kind)
        column.addLayout(bar)
        line = QHBoxLayout()
        line.addWidget(self._count)
        line.addWidget(self._notes, 1)
        column.addLayout(line)
        self._stack = QStackedWidget()
        self._stack.addWidget(self.table)
        self._stack.addWidget(self._album)
        side = QWidget()
        right = QVBoxLayout(side)
        right.setContentsMargins(6, 0, 0, 0)
        right.setSpacing(3)
        right.addWidget(self._season_title)
        right.addWidget(self._season)
        right.addWidget(label("Names of the open foray", "heading"))
        right.addWidget(self._tally, 1)
        right.addWidget(label("Open tasks", "heading"))
        right.addWidget(self._tasks, 1)
        split = QSplitter(Qt.Orientation.Horizontal)
        split.setObjectName("catalogue-split")
        split.addWidget(self._stack)
        split.addWidget(side)
        split.setStretchFactor(0, 3)
        split.setStretchFactor(1, 1)
        split.setSizes([960, 360])
        column.addWidget(split, 1)

    def _menu_button(self, words: str, name: str, fill: Callable[[QMenu], None]) -> QPushButton:
        button = QPushButton(words)
        button.setObjectName(name)
        button.setAccessibleName(words)
        menu = QMenu(button)
        menu.aboutToShow.connect(lambda: fill(menu))
        button.setMenu(menu)
        return button

    # --- reading -------------------------------------------------------------------------------

    def reload(self, changed: Changed | None) -> None:
        """Search again when something that is shown moved."""
        if changed is not None and not changed.touches(*SHELVES):
            return
        text = self._field.text()
        foray_id = self.bench.foray_id
        selected = self._selected()
        name = selected.name if selected is not None and selected.name else ""

        def question(records: Records) -> _Answer:
            rows = records.search(text, limit=PAGE)
            tasks = records.open_tasks(limit=60)
            with records.read() as work:
                specimens = {s.id: s for s in work.specimens.where(id=tuple({t.specimen_id for t in tasks}))}
                covers = work.photos.where(id=tuple({row.cover_photo for row in rows if row.cover_photo}))
            return _Answer(
                rows,
                records.search_count(text),
                records.search_notes(text),
                records.season(name),
                records.tally(foray_id) if foray_id else (),
                tuple((task, specimens.get(task.specimen_id)) for task in tasks),
                {photo.id: photo for photo in covers},
            )

        def show(answer: _Answer) -> None:
            if text == self._field.text():
                self._show(answer, selected.specimen_id if selected else "", name)

        self.bench.ask(question, show)

    def _show(self, answer: _Answer, keep: str, name: str) -> None:
        self._model.begin(answer.rows, answer.total)
        self._covers = dict(answer.covers)
        row = self._model.row_of(keep)
        if row >= 0:
            self.table.selectRow(row)
        count = answer.total
        self._count.setText(f"{count} specimen{'' if count == 1 else 's'}")
        self._notes.setText(" ".join(answer.notes))
        self._show_season(answer.season, name)
        self._tally.clear()
        for line in answer.tally:
            item = QListWidgetItem(f"{line.name or 'not named yet'}   {line.specimens}")
            item.setData(Qt.ItemDataRole.UserRole, line.name)
            self._tally.addItem(item)
        now = self.bench.surroundings.now()
        self._tasks.clear()
        for task, specimen in answer.tasks:
            due = f"{task.due.astimezone():%d.%m. %H:%M}" if task.due else "no time set"
            late = ", overdue" if task.overdue(now) else ""
            number = specimen.number if specimen is not None else "?"
            item = QListWidgetItem(f"{number}: {task.title}, {due}{late}")
            item.setData(Qt.ItemDataRole.UserRole, task.specimen_id)
            self._tasks.addItem(item)
        if self._stack.currentIndex() == 1:
            self._fill_album()

    def _show_season(self, counts: tuple[SeasonCount, ...], name: str) -> None:
        self._season.set_counts(counts)
        first = min((count.first for count in counts), default="")
        last = max((count.last for count in counts), default="")
        of = f" of {name}" if name else ""
        self._season_title.setText(f"Season{of}")
        self._season_title.setToolTip(f"First {first}, last {last}" if counts else "")

    def _fetch(self, offset: int) -> None:
        text = self._field.text()

        def question(records: Records) -> tuple[tuple[Found, ...], dict[str, Photo]]:
            rows = records.search(text, limit=PAGE, offset=offset)
            with records.read() as work:
                covers = work.photos.where(id=tuple({row.cover_photo for row in rows if row.cover_photo}))
            return rows, {photo.id: photo for photo in covers}

        def show(answer: tuple[tuple[Found, ...], dict[str, Photo]]) -> None:
            if text == self._field.text():
                self._covers.update(answer[1])
                self._model.add(offset, answer[0])

        self.bench.ask(question, show)

    def _day(self, found: Found) -> str:
        return day(found.collected_at, self.bench.preferences)

    def _selected(self) -> Found | None:
        index = self.table.currentIndex()
        return self._model.found(index.row()) if index.isValid() else None

    # --- what she does -------------------------------------------------------------------------

    def search_for(self, text: str) -> None:
        """Search for this text."""
        self._field.setText(text)
        self._search_now()

    def _search_now(self) -> None:
        self._wait.stop()
        self.reload(None)

    def _on_row(self, current: QModelIndex, _previous: QModelIndex) -> None:
        found = self._model.found(current.row()) if current.isValid() else None
        if found is None:
            return
        name = found.name
        self.bench.ask(lambda records: records.season(name), lambda counts: self._show_season(counts, name))

    def _open(self, index: QModelIndex) -> None:
        found = self._model.found(index.row())
        if found is not None:
            self._go(found.specimen_id)

    def _open_item(self, item: QListWidgetItem) -> None:
        self._go(str(item.data(Qt.ItemDataRole.UserRole)))

    def _go(self, specimen_id: str) -> None:
        bench = self.bench

        def foray_of(work: Work) -> str:
            specimen = work.specimens.get(specimen_id)
            return specimen.foray_id if specimen is not None else ""

        def go(foray_id: str) -> None:
            if foray_id:
                bench.choose_foray(foray_id)
            bench.choose_specimen(specimen_id)
            bench.page_wanted.emit("describe")

        bench.read(foray_of, go)

    def _on_tally(self, item: QListWidgetItem) -> None:
        name = str(item.data(Qt.ItemDataRole.UserRole))
        self.search_for(f"taxon: {name}" if name else "undetermined")

    def _on_kind(self, index: int) -> None:
        self._stack.setCurrentIndex(index)
        if index == 1:
            self._fill_album()

    def _fill_album(self) -> None:
        self._album.clear()
        self._album.setIconSize(QSize(190, 142))
        self._album.setGridSize(QSize(208, 190))
        for row in range(self._model.rowCount()):
            found = self._model.found(row)
            if found is None:
                continue
            item = QListWidgetItem(f"{found.number}\n{found.name or 'not named yet'}")
            item.setData(Qt.ItemDataRole.UserRole, found.specimen_id)
            item.setData(Qt.ItemDataRole.UserRole + 1, found.cover_photo)
            item.setTextAlignment(Qt.AlignmentFlag.AlignHCenter)
            self._album.addItem(item)
            self._paint_cover(item, found.cover_photo)

    def _paint_cover(self, item: QListWidgetItem, photo_id: str) -> None:
        photo = self._covers.get(photo_id)
        pixmap = self.bench.pictures.pixmap(photo, 320) if photo is not None else None
        if pixmap is not None:
            item.setData(Qt.ItemDataRole.DecorationRole, pixmap)

    def _on_picture(self, photo_id: str) -> None:
        if photo_id not in self._covers or self._stack.currentIndex() != 1:
            return
        for row in range(self._album.count()):
            item = self._album.item(row)
            if item.data(Qt.ItemDataRole.UserRole + 1) == photo_id:
                self._paint_cover(item, photo_id)

    def _fill_ways(self, menu: QMenu) -> None:
        menu.clear()
        for words, text in EXAMPLES:
            action = menu.addAction(f"{words}:   {text}")
            action.triggered.connect(lambda _=False, text=text: self.search_for(text))

    def _fill_kept(self, menu: QMenu) -> None:
        menu.clear()
        menu.addAction("Looking …").setEnabled(False)

        def fill(searches: tuple[SavedSearch, ...]) -> None:
            menu.clear()
            if not searches:
                menu.addAction("None is kept yet").setEnabled(False)
            for one in searches:
                sub = menu.addMenu(one.name)
                go = sub.addAction(f"Search:   {one.text}")
                go.triggered.connect(lambda _=False, text=one.text: self.search_for(text))
                drop = sub.addAction("Keep it no longer")
                drop.triggered.connect(
                    lambda _=False, key=one.id: self.bench.do(
                        "Drop a kept search", lambda work: work.searches.remove(key)
                    )
                )

        self.bench.read(lambda work: work.searches.all(), fill)

    def _keep(self) -> None:
        text = self._field.text().strip()
        if not text:
            self.bench.said.emit("Type a search first.")
            return
        name, well = QInputDialog.getText(self, "Keep this search", "Name", text=text)
        if well and name.strip():
            kept = SavedSearch(self.bench.surroundings.new_id(), name.strip(), text)
            self.bench.do("Keep a search", lambda work: work.searches.put(kept))
