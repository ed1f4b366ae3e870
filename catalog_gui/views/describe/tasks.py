"""Shows what has to be done for a specimen, and until when."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from PySide6.QtCore import QDateTime, Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDateTimeEdit,
    QDialog,
    QGridLayout,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.specimen import Task
from catalog_gui.presenting.describe.state import DescribeState
from catalog_gui.presenting.words import clock_time, day, zone_of
from catalog_gui.views.bench import Bench
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.dates import BRITISH
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows import specimen_notes
from catalog_gui.workflows.ports import UnitOfWork

_NEW = (
    ("print", "Start a spore print", 12.0),
    ("drying", "Start drying", 24.0),
    ("microscopy", "Look at it under the microscope", 48.0),
    ("show", "Show it to somebody", 72.0),
    ("photo", "Take a missing picture", 2.0),
    ("smell", "Smell it", 4.0),
    ("other", "", 24.0),
)


class TasksDialog(QDialog):
    """Stays open while tasks are worked off; every press is saved at once."""

    def __init__(self, bench: Bench, state: DescribeState, parent: QWidget) -> None:
        super().__init__(parent)
        self._bench = bench
        self._specimen = state.specimen.id if state.specimen is not None else ""
        self._zone = state.zone
        number = state.specimen.number if state.specimen is not None else ""
        self.setObjectName("tasks-dialog")
        self.setWindowTitle(f"What is to do for {number}")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._rows = QWidget()
        self._grid = QGridLayout(self._rows)
        self._grid.setColumnStretch(0, 1)
        area = QScrollArea()
        area.setObjectName("tasks-list")
        area.setAccessibleName("Tasks")
        area.setWidgetResizable(True)
        area.setWidget(self._rows)
        self.kind = QComboBox()
        self.kind.setObjectName("task-kind")
        self.kind.setAccessibleName("Kind of task")
        for kind, words, _ in _NEW:
            self.kind.addItem(words or "Something else", kind)
        self.what = QLineEdit()
        self.what.setObjectName("task-title")
        self.what.setAccessibleName("What has to be done")
        self.due = _clock_field("task-due", "Until when")
        add = self._button("task-add", "Add", self._add)
        self.reagent = QLineEdit()
        self.reagent.setObjectName("reagent-what")
        self.reagent.setAccessibleName("Reagent and surface, or cut")
        self.reagent.setPlaceholderText("KOH on the cap, or the fresh cut")
        series = self._button("reagent-start", "Drop is on: read at 0, 1, 5, 30 min", self._series)
        self.reagent.returnPressed.connect(self._series)
        self.kind.currentIndexChanged.connect(self._on_kind)
        first = QHBoxLayout()
        first.addWidget(self.kind)
        first.addWidget(self.what, 1)
        first.addWidget(self.due)
        first.addWidget(add)
        second = QHBoxLayout()
        second.addWidget(self.reagent, 1)
        second.addWidget(series)
        close = self._button("tasks-close", "Close", self.accept)
        column = QVBoxLayout(self)
        column.addWidget(area, 1)
        column.addWidget(label("Something more to do", "heading"))
        column.addLayout(first)
        column.addWidget(label("A reagent, or a cut", "heading"))
        column.addLayout(second)
        column.addWidget(close, 0, Qt.AlignmentFlag.AlignRight)
        self.resize(760, 520)
        self._on_kind(0)
        self._show(state.tasks)
        bench.changed.connect(self._reload)

    def _button(self, name: str, words: str, call: Callable[[], object], tip: str = "") -> QPushButton:
        return button(name, words, tip, call=call)

    def _reload(self, _changed: object) -> None:
        key = self._specimen
        self._bench.read(lambda work: work.tasks.where(specimen_id=key), self._show)

    def _show(self, tasks: tuple[Task, ...]) -> None:
        while (item := self._grid.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        now = self._bench.surroundings.now()
        far = now + timedelta(days=36500)
        ordered = sorted(tasks, key=lambda task: (task.done_at is not None, task.due or far))
        if not ordered:
            self._grid.addWidget(label("Nothing is to do.", "faded"), 0, 0)
        for row, task in enumerate(ordered):
            self._fill(row, task, now)
        self._grid.setRowStretch(len(ordered) + 1, 1)

    def _fill(self, row: int, task: Task, now: datetime) -> None:
        late = task.overdue(now)
        title = label(task.title, "faded" if task.done_at else "", wrap=True)
        title.setToolTip(task.note)
        self._grid.addWidget(title, row, 0)
        if task.done_at is not None:
            when = f"done {clock_time(task.done_at, self._zone)}"
        elif task.due is not None:
            when = f"{'overdue since' if late else 'by'} {self._moment(task.due)}"
        else:
            when = "no time set"
        self._grid.addWidget(label(when, "trouble" if late else "faded"), row, 1)
        if task.done_at is not None:
            again = self._button(
                f"task-again-{row}", "Not done", lambda: self._do("Take up again", self._again(task))
            )
            self._grid.addWidget(again, row, 4)
            return
        due = _clock_field(f"task-due-{row}", f"Due time of {task.title}")
        due.setDateTime(self._qt(task.due or now))
        due.editingFinished.connect(lambda: self._move(task, due.dateTime()))
        self._grid.addWidget(due, row, 2)
        if task.kind in {"print", "drying"} and task.started_at is None:
            start = self._button(
                f"task-start-{row}",
                "Started",
                lambda: self._do(f"Started: {task.title}", self._start(task)),
                "It is under way: a task to look at it later is added",
            )
            self._grid.addWidget(start, row, 3)
        done = self._button(
            f"task-done-{row}", "Done", lambda: self._do(f"Done: {task.title}", self._finish(task))
        )
        self._grid.addWidget(done, row, 4)
        strike = self._button(
            f"task-strike-{row}",
            "Strike",
            lambda: self._do("Strike a task", self._strike(task)),
            "Not needed",
        )
        self._grid.addWidget(strike, row, 5)

    def _moment(self, moment: datetime) -> str:
        today = self._bench.surroundings.now().astimezone(zone_of(self._zone)).date()
        clock = clock_time(moment, self._zone)
        if moment.astimezone(zone_of(self._zone)).date() == today:
            return clock
        return f"{day(moment, self._bench.preferences, self._zone)}, {clock}"

    def _do(self, words: str, action: Callable[[UnitOfWork], object]) -> None:
        bench = self._bench
        bench.do(words, action)

    def _again(self, task: Task) -> Callable[[UnitOfWork], object]:
        return lambda work: specimen_notes.reopen_task(work, task.id)

    def _start(self, task: Task) -> Callable[[UnitOfWork], object]:
        surroundings = self._bench.surroundings
        return lambda work: specimen_notes.start_task(work, task.id, surroundings=surroundings)

    def _finish(self, task: Task) -> Callable[[UnitOfWork], object]:
        surroundings = self._bench.surroundings
        return lambda work: specimen_notes.finish_task(work, task.id, surroundings=surroundings)

    def _strike(self, task: Task) -> Callable[[UnitOfWork], object]:
        return lambda work: specimen_notes.remove_task(work, task.id)

    def _move(self, task: Task, to: QDateTime) -> None:
        due = self._aware(to)
        if task.due is None or abs((due - task.due).total_seconds()) >= 60:
            self._do(f"Move: {task.title}", lambda work: specimen_notes.set_due(work, task.id, due))

    def _on_kind(self, row: int) -> None:
        kind, words, hours = _NEW[row]
        self.what.setText(words)
        self.what.setPlaceholderText("What has to be done" if kind == "other" else "")
        self.due.setDateTime(self._qt(self._bench.surroundings.now() + timedelta(hours=hours)))

    def _add(self) -> None:
        kind, title = str(self.kind.currentData()), self.what.text()
        due, key, surroundings = self._aware(self.due.dateTime()), self._specimen, self._bench.surroundings
        self._do(
            f"To do: {title}",
            lambda work: specimen_notes.add_task(work, key, kind, title, surroundings=surroundings, due=due),
        )

    def _series(self) -> None:
        what, key, surroundings = self.reagent.text(), self._specimen, self._bench.surroundings
        self._do(
            f"Drop is on: {what}",
            lambda work: specimen_notes.reagent_series(work, key, what, surroundings=surroundings),
        )
        self.reagent.clear()

    def _qt(self, moment: datetime) -> QDateTime:
        """The moment as the foray's wall clock shows it; the widget knows no zones."""
        local = moment.astimezone(zone_of(self._zone))
        return QDateTime(local.year, local.month, local.day, local.hour, local.minute, local.second)

    def _aware(self, wall: QDateTime) -> datetime:
        day_part, time_part = wall.date(), wall.time()
        local = datetime(  # noqa: DTZ001 - the zone is put on below, the system's own where none is known
            day_part.year(), day_part.month(), day_part.day(), time_part.hour(), time_part.minute()
        )
        zone = zone_of(self._zone)
        aware = local.replace(tzinfo=zone) if zone is not None else local.astimezone()
        return aware.astimezone(UTC)


def _clock_field(name: str, words: str) -> QDateTimeEdit:
    field = QDateTimeEdit()
    field.setObjectName(name)
    field.setAccessibleName(words)
    field.setToolTip(f"{words}. Arrow keys change the part under the caret.")
    field.setLocale(BRITISH)
    field.setDisplayFormat("d MMM HH:mm")
    field.setKeyboardTracking(False)
    field.setButtonSymbols(QDateTimeEdit.ButtonSymbols.NoButtons)
    return field
