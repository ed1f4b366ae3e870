"""Says on every page what is lost if it is not done soon."""

from __future__ import annotations

from dataclasses import dataclass, replace

from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QFrame, QHBoxLayout, QMenu, QWidget

from catalog_gui.domain.number_order import number_key
from catalog_gui.domain.specimen import Specimen, Task
from catalog_gui.presenting.words import clock_time, day
from catalog_gui.views import theme
from catalog_gui.views.bench import Bench
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label

LISTED = 25


@dataclass(frozen=True, slots=True)
class Waiting:
    """An open task with its specimen and the time zone of the foray it was found on ('': the machine's)."""

    task: Task
    specimen: Specimen
    zone: str = ""


class CannotWait(QFrame):
    """One line about the most pressing task, and a list of the next ones."""

    def __init__(self, bench: Bench, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("cannot-wait")
        self._bench = bench
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 2, 12, 2)
        self._words = label("", name="cannot-wait-words")
        row.addWidget(self._words, 1)
        self._button = button(
            "cannot-wait-list", "What cannot wait", "List of what cannot wait", call=self._open
        )
        row.addWidget(self._button)
        self._tasks: list[Waiting] = []
        self.hide()

    @property
    def words(self) -> str:
        """What the line says."""
        return self._words.text()

    def show_tasks(self, tasks: list[Waiting]) -> None:
        """Show the most pressing of the open tasks; the strip hides when there are none."""
        now = self._bench.surroundings.now()
        self._tasks = sorted(tasks, key=lambda one: (one.task.due or now, number_key(one.specimen.number)))
        self.setVisible(bool(tasks))
        if not tasks:
            return
        t = theme.tones()
        overdue = sum(1 for one in tasks if one.task.overdue(now))
        first = self._tasks[0]
        words = f"{len(tasks)} thing{'' if len(tasks) == 1 else 's'} cannot wait"
        if overdue:
            words += f", {overdue} overdue"
        title = first.task.title[:1].lower() + first.task.title[1:]
        self._words.setText(f"{words}. First: {title}, {first.specimen.number}, by {self._due(first)}.")
        colour = t.rust if overdue else t.ochre
        self.setStyleSheet(
            f"#cannot-wait {{ background: {t.ochre_soft}; border-left: 5px solid {colour}; }}"
            f"#cannot-wait QLabel {{ color: {t.ink}; }}"
        )

    def _due(self, one: Waiting) -> str:
        """Say the time in the foray's zone, with its day in the preferred form when that is not today."""
        due, preferences = one.task.due, self._bench.preferences
        if due is None:
            return "no time set"
        time, on = clock_time(due, one.zone), day(due, preferences, one.zone)
        today = day(self._bench.surroundings.now(), preferences, one.zone)
        return time if on == today else f"{on}, {time}"

    def fill(self, menu: QMenu) -> None:
        """The most pressing tasks, each with what can be done about it."""
        now = self._bench.surroundings.now()
        for one in self._tasks[:LISTED]:
            late = " – overdue" if one.task.overdue(now) else ""
            sub = menu.addMenu(f"{one.specimen.number}   {one.task.title}   {self._due(one)}{late}")
            done = sub.addAction("Done")
            done.triggered.connect(lambda _=False, task=one.task: self._done(task))
            go = sub.addAction("Go to the specimen")
            go.triggered.connect(lambda _=False, key=one.specimen.id: self._go(key))

    def _open(self) -> None:
        menu = QMenu(self)
        self.fill(menu)
        menu.exec(self._button.mapToGlobal(QPoint(0, self._button.height())))

    def _done(self, task: Task) -> None:
        finished = replace(task, done_at=self._bench.surroundings.now())
        self._bench.do(f"Done: {task.title}", lambda work: work.tasks.put(finished))

    def _go(self, specimen_id: str) -> None:
        self._bench.choose_specimen(specimen_id)
        self._bench.page_wanted.emit("describe")
