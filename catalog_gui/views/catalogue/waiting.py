"""Lists the open tasks of the whole catalogue by due time; one key says that one is done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent
from PySide6.QtWidgets import QHeaderView, QTreeWidget, QTreeWidgetItem, QWidget

from catalog_gui.domain.specimen import Specimen, Task
from catalog_gui.presenting.catalogue.words import due_words
from catalog_gui.settings import Preferences
from catalog_gui.views import theme

ROW = 23
HINT = "Space: done. Return: go to the specimen."


class WaitingList(QTreeWidget):
    """One line a task. `done` carries the task, `opened` the specimen."""

    done = Signal(object)
    opened = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("open-tasks")
        self.setAccessibleName("Open tasks")
        self.setToolTip(HINT)
        self.setColumnCount(3)
        self.setHeaderLabels(["Specimen", "What", "Due"])
        self.setRootIsDecorated(False)
        self.setUniformRowHeights(True)
        self.setIndentation(0)
        self.setAllColumnsShowFocus(True)
        head = self.header()
        head.setStretchLastSection(False)
        head.setSectionResizeMode(0, QHeaderView.ResizeMode.Interactive)
        head.setSectionResizeMode(1, QHeaderView.ResizeMode.Stretch)
        head.setSectionResizeMode(2, QHeaderView.ResizeMode.ResizeToContents)
        self.setColumnWidth(0, 78)
        self.itemDoubleClicked.connect(self._open)

    def show_tasks(
        self,
        tasks: Sequence[tuple[Task, Specimen | None]],
        zones: Mapping[str, str],
        now: datetime,
        preferences: Preferences,
    ) -> None:
        """Show these; the chosen line stays where it was. `zones`: foray id to its zone."""
        current = self.currentItem()
        row = self.indexOfTopLevelItem(current) if current is not None else 0
        key = self._task_id(current)
        self.clear()
        t = theme.tones()
        for task, specimen in tasks:
            zone = zones.get(specimen.foray_id, "") if specimen is not None else ""
            due = due_words(task, now, preferences, zone)
            item = QTreeWidgetItem([specimen.number if specimen is not None else "?", task.title, due])
            item.setData(0, Qt.ItemDataRole.UserRole, task)
            item.setSizeHint(0, QSize(0, ROW))
            for column in range(3):
                item.setToolTip(column, f"{item.text(0)}: {task.title}, {due}. {HINT}")
            if task.overdue(now):
                item.setForeground(2, QColor(t.rust))
            self.addTopLevelItem(item)
            if task.id == key:
                self.setCurrentItem(item)
        # When the one that was chosen is done the next takes its place, so that Space can go on.
        following = self.topLevelItem(min(row, self.topLevelItemCount() - 1))
        if self.currentItem() is None and following is not None:
            self.setCurrentItem(following)

    def chosen(self) -> Task | None:
        """The task of the current line."""
        item = self.currentItem()
        task = item.data(0, Qt.ItemDataRole.UserRole) if item is not None else None
        return task if isinstance(task, Task) else None

    def finish(self) -> None:
        """The chosen one is done."""
        task = self.chosen()
        if task is not None:
            self.done.emit(task)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Space: done. Return: its specimen."""
        if event.key() == Qt.Key.Key_Space:
            self.finish()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._open()
        else:
            super().keyPressEvent(event)

    def _open(self, *_: object) -> None:
        task = self.chosen()
        if task is not None:
            self.opened.emit(task.specimen_id)

    def _task_id(self, item: QTreeWidgetItem | None) -> str:
        task = item.data(0, Qt.ItemDataRole.UserRole) if item is not None else None
        return task.id if isinstance(task, Task) else ""
