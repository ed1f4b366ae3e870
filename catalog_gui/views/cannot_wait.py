"""Says on every page what is lost if it is not done soon."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QFrame, QHBoxLayout, QMenu, QWidget

from catalog_gui.domain.specimen import Task
from catalog_gui.presenting.cannot_wait import Waiting, most_pressing, task_words, waiting_words
from catalog_gui.views import theme
from catalog_gui.views.bench import Bench
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label

LISTED = 25


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

    def show_tasks(self, tasks: Sequence[Waiting]) -> None:
        """Show the most pressing of the open tasks; the strip hides when there are none."""
        now = self._bench.surroundings.now()
        preferences = self._bench.preferences
        self._tasks = most_pressing(tasks, now)
        self.setVisible(bool(tasks))
        if not tasks:
            return
        t = theme.tones()
        overdue = any(one.task.overdue(now) for one in tasks)
        self._words.setText(waiting_words(self._tasks, now, preferences))
        colour = t.rust if overdue else t.ochre
        self.setStyleSheet(
            f"#cannot-wait {{ background: {t.ochre_soft}; border-left: 5px solid {colour}; }}"
            f"#cannot-wait QLabel {{ color: {t.ink}; }}"
        )

    def fill(self, menu: QMenu) -> None:
        """The most pressing tasks, each with what can be done about it."""
        now = self._bench.surroundings.now()
        for one in self._tasks[:LISTED]:
            sub = menu.addMenu(task_words(one, now, self._bench.preferences))
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
