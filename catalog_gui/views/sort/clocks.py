"""The clocks: one lane a camera, its pictures as ticks in concluded time, and what was concluded from what."""

from __future__ import annotations

import re
from datetime import datetime, tzinfo

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.foray import Clock
from catalog_gui.domain.problem import BadInput
from catalog_gui.views import theme
from catalog_gui.views.page import label
from catalog_gui.views.sort.state import SortState
from catalog_gui.views.words import clock_time, offset_words, span, zone_of


class Lane(QWidget):
    """One camera's pictures as ticks along the common time; drag it sideways to set the clock."""

    shifted = Signal(float)  # by how many seconds she moved it
    photo_chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setMinimumSize(160, 22)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(22)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.SizeHorCursor)
        self._ticks: list[tuple[float, str]] = []
        self._span = (0.0, 1.0)
        self._chosen = ""
        self._press: float | None = None
        self._drag_px = 0.0
        self._nudge = 0.0
        self._settled = True

    def sizeHint(self) -> QSize:
        """As wide as the row allows."""
        return QSize(400, 22)

    def set_ticks(self, ticks: list[tuple[float, str]], span: tuple[float, float], *, settled: bool) -> None:
        """`ticks`: (UTC seconds, photo id); `span`: the seconds at both ends of the lane."""
        self._ticks, self._span, self._settled = ticks, span, settled
        self._drag_px = self._nudge = 0.0
        self.update()

    def choose(self, photo_id: str) -> None:
        """Show where the current picture stands."""
        self._chosen = photo_id
        self.update()

    def _x(self, moment: float) -> float:
        low, high = self._span
        return 6 + (moment - low) / max(1e-9, high - low) * (self.width() - 12)

    def _seconds_per_px(self) -> float:
        return (self._span[1] - self._span[0]) / max(1, self.width() - 12)

    def paintEvent(self, event: QPaintEvent) -> None:
        """A line with a tick for every picture."""
        t = theme.tones()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle = self.height() / 2
        painter.setPen(QPen(QColor(t.line), 1.4))
        painter.drawLine(QPointF(4, middle), QPointF(self.width() - 4, middle))
        shift = self._drag_px + self._nudge / max(1e-9, self._seconds_per_px())
        colour = QColor(t.moss if self._settled else t.ochre)
        for moment, photo_id in self._ticks:
            x = self._x(moment) + shift
            chosen = photo_id == self._chosen
            painter.setPen(QPen(QColor(t.ink) if chosen else colour, 3 if chosen else 1.6))
            reach = 9 if chosen else 6
            painter.drawLine(QPointF(x, middle - reach), QPointF(x, middle + reach))
        if self.hasFocus():
            painter.setPen(QPen(QColor(t.moss), 1.4))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 3, 3)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin to drag, or choose the nearest picture."""
        self._press = event.position().x()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """The ticks follow the hand; nothing changes until it lets go."""
        if self._press is not None:
            self._drag_px = event.position().x() - self._press
            self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go: the clock is set by what was moved; a click chooses a picture."""
        moved, self._press, self._drag_px = self._drag_px, None, 0.0
        if abs(moved) >= 4:
            self.shifted.emit(moved * self._seconds_per_px())
        elif self._ticks:
            x = event.position().x()
            near = min(self._ticks, key=lambda tick: abs(self._x(tick[0]) - x))
            if abs(self._x(near[0]) - x) < 8:
                self.photo_chosen.emit(near[1])
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows nudge by a second (Shift: a minute, Ctrl: an hour); Return keeps it, Escape drops it."""
        step = 1.0
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            step = 60.0
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            step = 3600.0
        if event.key() == Qt.Key.Key_Right:
            self._nudge += step
        elif event.key() == Qt.Key.Key_Left:
            self._nudge -= step
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self._nudge:
            moved, self._nudge = self._nudge, 0.0
            self.shifted.emit(moved)
        elif event.key() == Qt.Key.Key_Escape and self._nudge:
            self._nudge = 0.0
        else:
            super().keyPressEvent(event)
            return
        self.setToolTip(f"Moved by {offset_words(self._nudge)}; Return keeps it." if self._nudge else "")
        self.update()


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
        times = [moment.timestamp() for moment in state.times.values()]
        span = (min(times), max(times)) if times else (0.0, 1.0)
        if span[1] - span[0] < 60:
            span = (span[0] - 30, span[1] + 30)
        if keys != self._shown:
            self._build(state.clocks)
            self._shown = keys
        for clock in state.clocks:
            ticks = [
                (state.times[photo.id].timestamp(), photo.id)
                for photo in state.photos.values()
                if photo.camera.key == clock.camera_key and photo.id in state.times
            ]
            self._lanes[clock.id].set_ticks(ticks, span, settled=clock.settled)
            self._fill(clock, state)

    def choose(self, photo_id: str) -> None:
        """Show the current picture on its camera's lane."""
        for lane in self._lanes.values():
            lane.choose(photo_id)

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
            words = f"{correction_words(clock, state.times, zone)} ± {span(max(1.0, clock.spread_s))}, {clock.basis}"
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


def correction_words(clock: Clock, times: dict[str, datetime], zone: tzinfo | None) -> str:
    """The correction against the local time of the foray, as people think of a wrong clock."""
    moments = sorted(times.values())
    if not moments:
        return f"UTC is written {offset_words(clock.offset_s)}"
    middle = moments[len(moments) // 2].astimezone(zone)
    local = middle.utcoffset()
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
        moments = sorted(state.times.values())
        local = moments[len(moments) // 2].astimezone(zone).utcoffset() if moments else None
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
