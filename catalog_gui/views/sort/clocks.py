"""Shows the clocks: one line a camera, its pictures as ticks in concluded time, and what was concluded from what."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.foray import Clock
from catalog_gui.presenting.sort.clock_words import correction_words
from catalog_gui.presenting.sort.state import LaneFacts, SortState
from catalog_gui.presenting.words import span, zone_of
from catalog_gui.views.sort.lanes import Axis, TimeLane
from catalog_gui.views.widgets.buttons import SMALL
from catalog_gui.views.widgets.labels import label

FEW = 3
"""So many lanes are always shown; the others can be folded out."""
MOST_SHOWN = 7
LINE = 25


@dataclass
class _Line:
    """The widgets of one camera."""

    name: QLabel
    basis: QLabel
    lane: TimeLane
    button: QPushButton

    def set_visible(self, shown: bool) -> None:
        for widget in (self.name, self.basis, self.lane, self.button):
            widget.setVisible(shown)


class ClockShelf(QWidget):
    """All cameras of the foray, one under the other; many of them are folded away."""

    shift_wanted = Signal(str, float)  # clock id, seconds to add
    moving = Signal(str, float, float)  # clock id, seconds it would move, UTC second looked at
    still = Signal()
    asked = Signal(str)  # clock id: open what sets it
    photo_chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("clocks")
        self.setAccessibleName("Clocks of the cameras")
        inner = QWidget()
        self._grid = QGridLayout(inner)
        self._grid.setContentsMargins(8, 0, 4, 0)
        self._grid.setHorizontalSpacing(10)
        self._grid.setVerticalSpacing(0)
        self._grid.setColumnStretch(2, 1)
        self._scroll = QScrollArea(self)
        self._scroll.setObjectName("clocks-scroll")
        self._scroll.setWidgetResizable(True)
        self._scroll.setFrameShape(QFrame.Shape.NoFrame)
        self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._scroll.setWidget(inner)
        self._axis = Axis()
        self._more = QPushButton(self)
        self._more.setStyleSheet(SMALL)
        self._more.setObjectName("clocks-more")
        self._more.setAccessibleName("All clocks")
        self._more.setCheckable(True)
        self._more.toggled.connect(self._fold)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 2, 0, 2)
        column.setSpacing(0)
        column.addWidget(self._scroll)
        self._lines: dict[str, _Line] = {}
        self._shown: tuple[str, ...] = ()
        self._state = SortState()
        self._whole = (0.0, 1.0)
        self._span = (0.0, 1.0)

    def set_state(self, state: SortState) -> None:
        """One line a camera: name, what was concluded, its lane, and a way to set it."""
        other = self._state.foray is None or state.foray is None or self._state.foray.id != state.foray.id
        self._state = state
        keys = tuple(facts.clock.id for facts in state.lanes)
        ends = [(facts.seconds[0], facts.seconds[-1]) for facts in state.lanes if len(facts.seconds)]
        whole = (min(low for low, _ in ends), max(high for _, high in ends)) if ends else (0.0, 1.0)
        pad = max(30.0, (whole[1] - whole[0]) * 0.01)
        whole = (float(whole[0]) - pad, float(whole[1]) + pad)
        if other or self._span == self._whole:
            self._span = whole
        self._whole = whole
        if keys != self._shown:
            self._build(state.lanes)
            self._shown = keys
        for facts in state.lanes:
            self._fill(facts.clock, state)
        self._spread()
        self._fold()

    def choose(self, photo_id: str) -> None:
        """Show the current picture on its camera's lane."""
        photo = self._state.photos.get(photo_id)
        moment = self._state.times.get(photo_id)
        for facts in self._state.lanes:
            mine = (
                photo is not None
                and moment is not None
                and self._state.clock_key(photo) == facts.clock.camera_key
            )
            line = self._lines.get(facts.clock.id)
            if line is not None:
                line.lane.choose(moment.timestamp() if mine and moment is not None else None)

    def lane(self, clock_id: str) -> TimeLane:
        """The lane of a clock."""
        return self._lines[clock_id].lane

    @property
    def span(self) -> tuple[float, float]:
        """The UTC seconds at both ends of the lanes."""
        return self._span

    def _build(self, lanes: tuple[LaneFacts, ...]) -> None:
        self._grid.removeWidget(self._axis)
        self._grid.removeWidget(self._more)
        while self._grid.count():
            item = self._grid.takeAt(0)
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.setParent(None)
                widget.deleteLater()
        self._lines = {}
        for row, facts in enumerate(lanes):
            clock = facts.clock
            name = label("", name=f"clock-name-{row}")
            basis = label("", "faded", name=f"clock-basis-{row}")
            basis.setMaximumWidth(420)
            lane = TimeLane(self)
            lane.setObjectName(f"clock-lane-{row}")
            lane.setAccessibleName(f"Time lane of {clock.camera_key}")
            lane.shifted.connect(lambda seconds, key=clock.id: self.shift_wanted.emit(key, seconds))
            lane.moving.connect(lambda seconds, at, key=clock.id: self._on_moving(key, seconds, at))
            lane.still.connect(self._on_still)
            lane.photo_chosen.connect(self.photo_chosen)
            lane.zoomed.connect(self._zoom)
            lane.panned.connect(self._pan)
            button = QPushButton(self)
            button.setStyleSheet(SMALL)
            button.setObjectName(f"clock-set-{row}")
            button.setAccessibleName(f"Set the clock of {clock.camera_key}")
            button.clicked.connect(lambda _=False, key=clock.id: self.asked.emit(key))
            self._lines[clock.id] = line = _Line(name, basis, lane, button)
            for at, widget in enumerate((line.name, line.basis, line.lane, line.button)):
                self._grid.addWidget(widget, row, at)
        self._grid.addWidget(self._more, len(lanes), 0, 1, 2, Qt.AlignmentFlag.AlignLeft)
        self._grid.addWidget(self._axis, len(lanes), 2)

    def _fill(self, clock: Clock, state: SortState) -> None:
        line = self._lines[clock.id]
        line.name.setText(clock.camera_key.split(" #")[0])
        line.name.setToolTip(f"{clock.camera_key}, {clock.photos} pictures")
        zone = zone_of(state.foray.time_zone if state.foray else "")
        if clock.settled:
            correction = correction_words(clock, state.middle, zone)
            words = f"{correction} ± {span(max(1.0, clock.spread_s))}, {clock.basis}"
        else:
            words = f"Not settled: {clock.basis}"
        line.basis.setText(line.basis.fontMetrics().elidedText(words, Qt.TextElideMode.ElideRight, 410))
        line.basis.setToolTip(words)
        role = "faded" if clock.settled else "trouble"
        if line.basis.property("role") != role:
            line.basis.setProperty("role", role)
            line.basis.style().polish(line.basis)
        line.button.setText("Set…" if clock.settled else "Pair…")
        line.button.setToolTip(
            "Type a correction, or pair two pictures of the same moment"
            if clock.settled
            else "The pictures cannot tell. Pair two pictures of the same moment, or a picture of a phone's clock"
        )

    def _fold(self) -> None:
        """Show the lanes that matter: unsettled ones first, then those with most pictures."""
        lanes = self._state.lanes
        many = len(lanes) > FEW
        everything = self._more.isChecked() or not many
        first = sorted(lanes, key=lambda facts: (facts.clock.settled, -len(facts.photos)))[:FEW]
        kept = {facts.clock.id for facts in first}
        for key, line in self._lines.items():
            line.set_visible(everything or key in kept)
        self._more.setVisible(many)
        self._more.setText("Fewer clocks" if self._more.isChecked() else f"All {len(lanes)} clocks")
        self._more.setAccessibleName(self._more.text())
        lines = min(len(lanes) if everything else FEW, MOST_SHOWN)
        axis = self._axis.height() + (10 if many else 2)
        wanted = self._grid.sizeHint().height() if len(lanes) <= MOST_SHOWN or not everything else 0
        self._scroll.setFixedHeight(wanted or lines * (LINE + 4) + axis)
        self.setVisible(bool(lanes))

    def _spread(self) -> None:
        for facts in self._state.lanes:
            self._lines[facts.clock.id].lane.set_ticks(facts, self._span)
        self._axis.set_span(self._span, self._state.foray.time_zone if self._state.foray else "")

    def _zoom(self, factor: float, about: float) -> None:
        low, high = self._span
        if factor <= 0:
            self._span = self._whole
        else:
            length = min(self._whole[1] - self._whole[0], max(20.0, (high - low) / factor))
            low = about - (about - low) * length / (high - low)
            self._span = self._inside(low, low + length)
        self._spread()

    def _pan(self, seconds: float) -> None:
        self._span = self._inside(self._span[0] + seconds, self._span[1] + seconds)
        self._spread()

    def _inside(self, low: float, high: float) -> tuple[float, float]:
        over = max(0.0, self._whole[0] - low) - max(0.0, high - self._whole[1])
        return low + over, high + over

    def _on_moving(self, clock_id: str, seconds: float, moment: float) -> None:
        moved = self._lines[clock_id].lane
        for line in self._lines.values():
            if line.lane is not moved:
                line.lane.show_ghost(moved, seconds)
        self.moving.emit(clock_id, seconds, moment)

    def _on_still(self) -> None:
        for line in self._lines.values():
            line.lane.show_ghost(None)
        self.still.emit()
