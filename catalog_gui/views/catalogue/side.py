"""Shows beside what was found its season, the names of a foray, and what is still to be done."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QScrollArea,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.ledger import SeasonCount
from catalog_gui.domain.specimen import Task
from catalog_gui.presenting.catalogue.state import OpenTasks, read_tasks
from catalog_gui.presenting.catalogue.words import first_and_last, tasks_words
from catalog_gui.views.bench import Bench
from catalog_gui.views.catalogue.asking import Asking
from catalog_gui.views.catalogue.season import SeasonPlot
from catalog_gui.views.catalogue.tally import Tally
from catalog_gui.views.catalogue.waiting import HINT as WAITING_HINT
from catalog_gui.views.catalogue.waiting import WaitingList
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.ports import Records, UnitOfWork
from catalog_gui.workflows.specimen_notes import finish_task

TASKS = 300
"""So many open tasks are listed, those due first."""


class CatalogueSide(QSplitter):
    """Three panels. `season_wanted` follows when another season is to be shown."""

    season_wanted = Signal()

    def __init__(self, bench: Bench, asking: Asking) -> None:
        super().__init__(Qt.Orientation.Vertical)
        self._bench = bench
        self._asking = asking
        self.season = SeasonPlot()
        self.tally = Tally()
        self.tasks = WaitingList()
        self._season_title = label("Season", "heading", name="season-title")
        self._season_days = label("", "faded", name="season-days")
        self._season_of = QComboBox()
        self._season_of.setObjectName("season-of")
        self._season_of.setAccessibleName("Season of what")
        self._season_of.setToolTip("The season of everything found, or of the chosen name in all years")
        self._season_of.addItems(["of what was found", "of the chosen name"])
        area = QScrollArea()
        area.setObjectName("season-area")
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(self.season)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        done = button(
            "task-done", "Done", "The chosen task is done", tip=WAITING_HINT, call=self.tasks.finish
        )
        self._tasks_title = label("Open tasks", "heading", name="tasks-title")
        self.setObjectName("catalogue-side")
        self.setChildrenCollapsible(False)
        self.addWidget(_panel((self._season_title, self._season_of), self._season_days, area))
        self.addWidget(_panel((label("Names of a foray", "heading"),), self.tally))
        self.addWidget(_panel((self._tasks_title, done), self.tasks))
        self.setSizes([160, 185, 185])
        self._season_of.activated.connect(lambda _: self.season_wanted.emit())
        self.tally.foray_wanted.connect(self.load_tally)
        self.tasks.done.connect(self._finish)

    @property
    def season_of_name(self) -> bool:
        """Whether the season is that of the chosen name, not of what was found."""
        return self._season_of.currentIndex() == 1

    def load_season(self, text: str, chosen_name: str | None) -> None:
        """The season of what this text finds, or of the chosen name, as the box says."""
        name = chosen_name if self.season_of_name else None
        if self.season_of_name and name is None:
            self._asking.forget("season")
            self._show_season((), "Choose a find that has a name.")
            return

        def question(records: Records) -> tuple[SeasonCount, ...]:
            return records.season(name) if name is not None else records.search_season(text)

        self._asking.ask("season", question, lambda counts: self._show_season(counts, ""))

    def _show_season(self, counts: tuple[SeasonCount, ...], words: str) -> None:
        self.season.set_counts(counts)
        self._season_days.setText(words or first_and_last(counts))

    def load_tally(self, foray_id: str) -> None:
        """The names of a foray, counted; none without one."""
        if not foray_id:
            self._asking.forget("tally")
            self.tally.show_lines(())
            return
        if foray_id != self.tally.foray_id:
            self.tally.choose(foray_id)
        self._asking.ask("tally", lambda records: records.tally(foray_id), self.tally.show_lines)

    def load_tasks(self) -> None:
        """What is open, due first."""

        def show(open_tasks: OpenTasks) -> None:
            now = self._bench.surroundings.now()
            self.tasks.show_tasks(open_tasks.lines, open_tasks.zones, now, self._bench.preferences)
            listed = [task for task, _ in open_tasks.lines]
            self._tasks_title.setText(tasks_words(listed, now, more=open_tasks.more))

        self._asking.ask("tasks", lambda records: read_tasks(records, TASKS), show)

    def _finish(self, task: Task) -> None:
        surroundings = self._bench.surroundings

        def finish(work: UnitOfWork) -> None:
            finish_task(work, task.id, surroundings=surroundings)

        self._bench.do(f"Done: {task.title}", finish)


def _panel(head: tuple[QWidget, ...], *rest: QWidget) -> QWidget:
    panel = QWidget()
    column = QVBoxLayout(panel)
    column.setContentsMargins(6, 0, 0, 2)
    column.setSpacing(3)
    line = QHBoxLayout()
    line.addWidget(head[0])
    line.addStretch(1)
    for widget in head[1:]:
        line.addWidget(widget)
    column.addLayout(line)
    for widget in rest:
        column.addWidget(widget, 1 if widget is rest[-1] else 0)
    return panel
