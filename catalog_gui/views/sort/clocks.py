"""The clocks: one lane a camera, its pictures as ticks in concluded time, and what was concluded from what."""

from __future__ import annotations

import re
from datetime import datetime, tzinfo

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.foray import Clock
from catalog_gui.domain.problem import BadInput
from catalog_gui.views.page import label
from catalog_gui.views.sort.lanes import Lane
from catalog_gui.views.sort.state import SortState
from catalog_gui.views.words import clock_time, offset_words, span, zone_of


class ClockShelf(QWidget):
    """All cameras of the foray, one under the other."""

    shift_wanted = Signal(str, float)  # clock id, seconds to add
    set_wanted = Signal(str, float)  # clock id, offset in s
    release_wanted = Signal(str)
    photo_chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("clocks")
        self.setAccessibleName("Clocks of the cameras")
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(8, 4, 8, 4)
        self._grid.setHorizontalSpacing(10)
        self._grid.setVerticalSpacing(1)
        self._grid.setColumnStretch(2, 1)
        self._lanes: dict[str, Lane] = {}
        self._words: dict[str, tuple[QLabel, QLabel]] = {}
        self._shown: tuple[str, ...] = ()
        self._state = SortState()

    def set_state(self, state: SortState) -> None:
        """One line a camera: name, what was concluded, its lane, and a way to set it."""
        self._state = state
        keys = tuple(clock.id for clock in state.clocks)
        ends = [(facts.seconds[0], facts.seconds[-1]) for facts in state.lanes if len(facts.seconds)]
        span = (min(low for low, _ in ends), max(high for _, high in ends)) if ends else (0.0, 1.0)
        if span[1] - span[0] < 60:
            span = (span[0] - 30, span[1] + 30)
        if keys != self._shown:
            self._build(state.clocks)
            self._shown = keys
        for facts in state.lanes:
            self._lanes[facts.clock.id].set_ticks(facts, span)
            self._fill(facts.clock, state)

    def choose(self, photo_id: str) -> None:
        """Show the current picture on its camera's lane."""
        photo = self._state.photos.get(photo_id)
        moment = self._state.times.get(photo_id)
        for facts in self._state.lanes:
            mine = photo is not None and moment is not None and photo.camera.key == facts.clock.camera_key
            self._lanes[facts.clock.id].choose(moment.timestamp() if mine and moment is not None else None)

    def _build(self, clocks: tuple[Clock, ...]) -> None:
        while self._grid.count():
            item = self._grid.takeAt(0)
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.setParent(None)
                widget.deleteLater()
        self._lanes, self._words = {}, {}
        for row, clock in enumerate(clocks):
            name = label("", name=f"clock-name-{row}")
            basis = label("", "faded", name=f"clock-basis-{row}")
            basis.setMaximumWidth(420)
            lane = Lane(self)
            lane.setObjectName(f"clock-lane-{row}")
            lane.setAccessibleName(f"Time lane of {clock.camera_key}")
            lane.shifted.connect(lambda seconds, key=clock.id: self.shift_wanted.emit(key, seconds))
            lane.photo_chosen.connect(self.photo_chosen)
            set_it = QToolButton(self)
            set_it.setText("Set…")
            set_it.setObjectName(f"clock-set-{row}")
            set_it.setAccessibleName(f"Set the clock of {clock.camera_key}")
            set_it.clicked.connect(lambda _=False, key=clock.id: self.ask(key))
            self._grid.addWidget(name, row, 0)
            self._grid.addWidget(basis, row, 1)
            self._grid.addWidget(lane, row, 2)
            self._grid.addWidget(set_it, row, 3)
            self._lanes[clock.id] = lane
            self._words[clock.id] = (name, basis)

    def _fill(self, clock: Clock, state: SortState) -> None:
        first, second = self._words[clock.id]
        first.setText(clock.camera_key.split(" #")[0])
        first.setToolTip(f"{clock.camera_key}, {clock.photos} pictures")
        zone = zone_of(state.foray.time_zone if state.foray else "")
        if clock.settled:
            words = f"{correction_words(clock, state.middle, zone)} ± {span(max(1.0, clock.spread_s))}, {clock.basis}"
        else:
            words = f"Not settled: {clock.basis}"
        second.setText(second.fontMetrics().elidedText(words, Qt.TextElideMode.ElideRight, 410))
        second.setToolTip(words)
        second.setProperty("role", "faded" if clock.settled else "trouble")
        second.style().polish(second)

    def ask(self, clock_id: str) -> None:
        """Let her type what the camera showed and what was right."""
        clock = next((c for c in self._state.clocks if c.id == clock_id), None)
        if clock is None:
            return
        dialog = ClockDialog(clock, self._state, self)
        dialog.set_wanted.connect(lambda offset: self.set_wanted.emit(clock_id, offset))
        dialog.release_wanted.connect(lambda: self.release_wanted.emit(clock_id))
        dialog.open()


def correction_words(clock: Clock, middle: datetime | None, zone: tzinfo | None) -> str:
    """The correction against the local time of the foray, as people think of a wrong clock."""
    if middle is None:
        return f"UTC is written {offset_words(clock.offset_s)}"
    local = middle.astimezone(zone).utcoffset()
    wrong = clock.offset_s + (local.total_seconds() if local is not None else 0.0)
    if abs(wrong) < 0.5:
        return "right"
    return f"{offset_words(wrong)}"


def read_correction(text: str) -> float:
    """Seconds from what she types: '+1:00:07', '-0:02', '-38 s', '90'. Raises BadInput."""
    plain = text.strip().replace("−", "-").casefold().replace(" ", "")
    spelt = re.fullmatch(r"([+-]?)(?:(\d+):([0-5]?\d)(?::([0-5]?\d))?|(\d+(?:\.\d+)?)(min|h|d|s)?)", plain)
    if spelt is None:
        raise BadInput(f"'{text}' is not a correction. Write hours, minutes and seconds: +1:00:07, or -38 s.")
    sign, hours, minutes, seconds, number, unit = spelt.groups()
    if hours is not None:
        size = int(hours) * 3600.0 + int(minutes) * 60 + int(seconds or 0)
    else:
        size = float(number) * {"min": 60.0, "h": 3600.0, "d": 86400.0}.get(unit, 1.0)
    return -size if sign == "-" else size


class ClockDialog(QDialog):
    """A camera's correction, typed."""

    set_wanted = Signal(float)
    release_wanted = Signal()

    def __init__(self, clock: Clock, state: SortState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("clock-dialog")
        self.setWindowTitle("Set a clock")
        self._clock = clock
        zone = zone_of(state.foray.time_zone if state.foray else "")
        local = state.middle.astimezone(zone).utcoffset() if state.middle is not None else None
        self._local = local.total_seconds() if local is not None else 0.0
        column = QVBoxLayout(self)
        column.addWidget(label(clock.camera_key, "heading"))
        column.addWidget(label(clock.basis, "faded", wrap=True))
        example = next(
            (p for p in state.photos.values() if p.camera.key == clock.camera_key and p.id in state.times),
            None,
        )
        if example is not None and example.written.local is not None:
            name = state.foray.time_zone if state.foray else ""
            taken_to_be = clock_time(state.times[example.id], name, seconds=True)
            column.addWidget(
                label(
                    f"{example.name}: written {example.written.local:%H:%M:%S}, taken to be {taken_to_be}.",
                    wrap=True,
                )
            )
        form = QFormLayout()
        self._field = QLineEdit(offset_plain(clock.offset_s + self._local))
        self._field.setObjectName("clock-correction")
        self._field.setAccessibleName("Correction to add to the written time")
        self._field.selectAll()
        form.addRow("Add to the written time", self._field)
        column.addLayout(form)
        column.addWidget(
            label(
                "Hours, minutes and seconds: +1:00:07. The written time itself is kept.", "faded", wrap=True
            )
        )
        self._trouble = label("", "trouble", wrap=True)
        column.addWidget(self._trouble)
        row = QHBoxLayout()
        release = QToolButton()
        release.setText("Let the pictures decide")
        release.setObjectName("clock-release")
        release.setEnabled(clock.by_hand)
        release.clicked.connect(self._release)
        row.addWidget(release)
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel
        )
        buttons.button(QDialogButtonBox.StandardButton.Ok).setText("Set the clock")
        buttons.accepted.connect(self._accept)
        buttons.rejected.connect(self.reject)
        row.addWidget(buttons)
        column.addLayout(row)
        self.setMinimumWidth(460)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)

    def _accept(self) -> None:
        try:
            wanted = read_correction(self._field.text())
        except BadInput as problem:
            self._trouble.setText(problem.reason)
            return
        self.set_wanted.emit(wanted - self._local)
        self.accept()

    def _release(self) -> None:
        self.release_wanted.emit()
        self.accept()


def offset_plain(seconds: float) -> str:
    """'+1:00:07', as the field expects it."""
    sign = "-" if seconds < 0 else "+"
    whole = round(abs(seconds))
    return f"{sign}{whole // 3600}:{whole % 3600 // 60:02d}:{whole % 60:02d}"
