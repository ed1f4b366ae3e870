"""Asks for a clock: two pictures of the same moment, a picture of a phone's clock, or a typed correction."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeySequence, QPainter, QPaintEvent, QPen, QShortcut
from PySide6.QtWidgets import (
    QDialog,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.foray import Clock
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import BadInput
from catalog_gui.presenting.sort.clock_words import (
    correction_words,
    offset_plain,
    read_clock_face,
    read_correction,
)
from catalog_gui.presenting.sort.state import SortState
from catalog_gui.presenting.words import clock_time, counted, offset_words, zone_of
from catalog_gui.views import theme
from catalog_gui.views.widgets.labels import label
from catalog_gui.views.widgets.pictures import PictureSource, fitted


class PicturePane(QFrame):
    """One picture of a row of them, with steps to the one before and after."""

    moved = Signal()

    def __init__(self, name: str, title: str, pictures: PictureSource, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName(f"pane-{name}")
        self.setProperty("role", "sheet")
        self._pictures = pictures
        self._photos: tuple[Photo, ...] = ()
        self._words: dict[str, str] = {}
        self._at = 0
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 6, 8, 6)
        column.addWidget(label(title, "heading", wrap=True))
        self._view = PictureView(pictures, self)
        self._view.setObjectName(f"pane-{name}-picture")
        column.addWidget(self._view, 1)
        row = QHBoxLayout()
        self._back = self._step("before", "◀", name, -1)
        self._on = self._step("after", "▶", name, 1)
        self._text = label("", "faded", name=f"pane-{name}-words", wrap=True)
        self._text.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._text.setMinimumHeight(3 * self._text.fontMetrics().lineSpacing())
        row.addWidget(self._back)
        row.addWidget(self._text, 1)
        row.addWidget(self._on)
        column.addLayout(row)

    def _step(self, word: str, sign: str, name: str, by: int) -> QToolButton:
        button = QToolButton(self)
        button.setText(sign)
        button.setObjectName(f"pane-{name}-{word}")
        button.setAccessibleName(f"The picture {word}")
        button.setAutoRepeat(True)
        button.clicked.connect(lambda _=False: self.step(by))
        return button

    @property
    def photo(self) -> Photo | None:
        """The picture shown."""
        return self._photos[self._at] if self._photos else None

    def show_photos(self, photos: tuple[Photo, ...], words: dict[str, str], first: str) -> None:
        """Step through these, beginning at one; `words` says under each what was written."""
        self._photos, self._words = photos, words
        self._at = next((i for i, photo in enumerate(photos) if photo.id == first), 0)
        self._refresh()

    def step(self, by: int) -> None:
        """To the picture before or after."""
        if self._photos:
            self._at = max(0, min(len(self._photos) - 1, self._at + by))
            self._refresh()
            self.moved.emit()

    def _refresh(self) -> None:
        photo = self.photo
        self._view.show_photo(photo)
        self._text.setText(self._words.get(photo.id, "") if photo is not None else "No picture with a time.")
        self._back.setEnabled(self._at > 0)
        self._on.setEnabled(self._at + 1 < len(self._photos))


class PictureView(QWidget):
    """One picture, as large as there is room."""

    def __init__(self, pictures: PictureSource, parent: QWidget) -> None:
        super().__init__(parent)
        self._pictures = pictures
        self._photo: Photo | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(220, 150)
        pictures.ready.connect(self._on_ready)

    def sizeHint(self) -> QSize:
        """Large enough to read a clock on it."""
        return QSize(430, 300)

    def show_photo(self, photo: Photo | None) -> None:
        """Show this one."""
        self._photo = photo
        self.setAccessibleName(photo.name if photo is not None else "No picture")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """The picture, or its name until it has come."""
        t = theme.tones()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.setPen(QPen(QColor(t.line), 1))
        painter.setBrush(QColor(t.ground))
        painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        if self._photo is None:
            return
        box = self.rect().adjusted(2, 2, -2, -2)
        ratio = self.devicePixelRatioF()
        fit = (round(box.width() * ratio), round(box.height() * ratio))
        pixmap = self._pictures.pixmap(self._photo, 1024, fit=fit)
        if pixmap is not None:
            painter.drawPixmap(fitted(pixmap, box), pixmap)
        else:
            painter.setPen(QColor(t.faded))
            words = self._pictures.problem(self._photo.id) or self._photo.name
            painter.drawText(QRect(box), int(Qt.AlignmentFlag.AlignCenter), words)

    def _on_ready(self, photo_id: str) -> None:
        if self._photo is not None and photo_id == self._photo.id:
            self.update()


class ClockDialog(QDialog):
    """A camera's clock, and three ways to set it. Written times are kept as they are."""

    pair_wanted = Signal(str, str)  # photo of this camera, photo of another one
    face_wanted = Signal(str, object, bool)  # photo, datetime.time, whether seconds were shown
    set_wanted = Signal(float)  # offset in s
    release_wanted = Signal()

    def __init__(
        self,
        clock: Clock,
        state: SortState,
        pictures: PictureSource,
        *,
        pair: tuple[str, str] = ("", ""),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("clock-dialog")
        self.setWindowTitle("Set a clock")
        self._clock, self._state = clock, state
        self._zone_name = state.foray.time_zone if state.foray else ""
        zone = zone_of(self._zone_name)
        local = state.middle.astimezone(zone).utcoffset() if state.middle is not None else None
        self._local = local.total_seconds() if local is not None else 0.0
        self._offsets = {one.camera_key: one.offset_s for one in state.clocks}
        grid = QGridLayout(self)
        grid.setVerticalSpacing(6)
        standing = correction_words(clock, state.middle, zone) if clock.settled else "not settled"
        grid.addWidget(
            label(f"{clock.camera_key.split(' #')[0]}: {standing}", "title", name="clock-title"), 0, 0, 1, 2
        )
        self._basis = label(clock.basis, "faded", name="clock-basis", wrap=True)
        grid.addWidget(self._basis, 1, 0, 1, 2)
        self._mine = PicturePane("mine", "A picture of this camera  (← →)", pictures, self)
        self._theirs = PicturePane("theirs", "The same moment on another  (Ctrl and ← →)", pictures, self)
        grid.addWidget(self._mine, 2, 0)
        grid.addWidget(self._theirs, 2, 1)
        grid.setRowStretch(2, 1)
        self._outcome = label("", name="clock-outcome", wrap=True)
        self._pair = self._button("clock-pair", "Same moment: set the clock", self._on_pair, main=True)
        outcome = QHBoxLayout()
        outcome.addWidget(self._outcome, 1)
        outcome.addWidget(self._pair)
        grid.addLayout(outcome, 3, 0, 1, 2)
        self._face = self._field("clock-face", "What a clock in the left picture shows", "14:07:31")
        self._face_button = self._button("clock-face-set", "Set by that clock", self._on_face)
        grid.addLayout(
            self._row(
                "Does the left picture show a phone's clock? Type its time:", self._face, self._face_button
            ),
            4,
            0,
            1,
            2,
        )
        self._typed = self._field("clock-correction", "Correction to add to the written time", "+1:00:07")
        self._typed.setText(offset_plain(clock.offset_s + self._local))
        grid.addLayout(
            self._row(
                "Or add to the written time:",
                self._typed,
                self._button("clock-typed-set", "Set the clock", self._on_typed),
            ),
            5,
            0,
            1,
            2,
        )
        self._trouble = label("", "trouble", name="clock-trouble", wrap=True)
        grid.addWidget(self._trouble, 6, 0, 1, 2)
        foot = QHBoxLayout()
        release = self._button("clock-release", "Let the pictures decide", self._on_release)
        release.setEnabled(clock.by_hand)
        release.setToolTip("Forget what was set by hand and conclude the clock from the pictures again")
        foot.addWidget(release)
        foot.addStretch(1)
        foot.addWidget(self._button("clock-cancel", "Leave it", self.reject))
        grid.addLayout(foot, 7, 0, 1, 2)
        for pane, keys in ((self._mine, ("Left", "Right")), (self._theirs, ("Ctrl+Left", "Ctrl+Right"))):
            pane.moved.connect(self._weigh)
            for by, key in zip((-1, 1), keys, strict=True):
                shortcut = QShortcut(QKeySequence(key), self)
                shortcut.activated.connect(lambda pane=pane, by=by: pane.step(by))
        self._fill(pair)
        self._pair.setFocus()
        self.resize(960, 620)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)

    def _button(self, name: str, words: str, call: object, *, main: bool = False) -> QPushButton:
        button = QPushButton(words, self)
        button.setObjectName(name)
        button.setAccessibleName(words)
        button.setAutoDefault(main)
        button.setDefault(main)
        if main:
            button.setProperty("role", "main")
        button.clicked.connect(call)
        return button

    def _field(self, name: str, says: str, example: str) -> QLineEdit:
        field = QLineEdit(self)
        field.setObjectName(name)
        field.setAccessibleName(says)
        field.setPlaceholderText(example)
        field.setFixedWidth(130)
        return field

    def _row(self, words: str, field: QLineEdit, button: QPushButton) -> QHBoxLayout:
        row = QHBoxLayout()
        text = label(words)
        text.setBuddy(field)
        row.addWidget(text)
        row.addWidget(field)
        row.addWidget(button)
        row.addStretch(1)
        field.returnPressed.connect(button.click)
        return row

    def tell(self, question: str, pair: tuple[str, str] | None) -> None:
        """What would settle this clock, when that has been found out; the pictures it names are shown."""
        self._basis.setText(question)
        if pair is not None:
            self._fill(pair)

    def _fill(self, pair: tuple[str, str]) -> None:
        photos, times = self._state.photos, self._state.times
        lanes = {facts.clock.camera_key: facts for facts in self._state.lanes}
        mine = lanes[self._clock.camera_key]
        others = sorted(
            (
                key
                for camera, facts in lanes.items()
                if camera != self._clock.camera_key
                for key in facts.photos
            ),
            key=lambda key: times[key],
        )
        first, second = pair
        if first not in mine.photos:
            first = mine.photos[0] if mine.photos else ""
        if second not in photos or self._state.clock_key(photos[second]) == self._clock.camera_key:
            second = self._nearest(first, others)
        self._mine.show_photos(tuple(photos[key] for key in mine.photos), self._words(mine.photos), first)
        self._theirs.show_photos(
            tuple(photos[key] for key in others), self._words(others, camera=True), second
        )
        self._weigh()

    def _nearest(self, photo_id: str, others: list[str]) -> str:
        """The picture of another camera nearest in concluded time."""
        if photo_id not in self._state.times or not others:
            return ""
        seconds = np.array([self._state.times[key].timestamp() for key in others])
        return others[int(np.abs(seconds - self._state.times[photo_id].timestamp()).argmin())]

    def _words(self, keys: list[str] | tuple[str, ...], *, camera: bool = False) -> dict[str, str]:
        said = {}
        for key in keys:
            photo = self._state.photos[key]
            written = f"{photo.written.local:%d.%m. %H:%M:%S}" if photo.written.local else "no time"
            concluded = clock_time(self._state.times.get(key), self._zone_name, seconds=True)
            whose = f"{photo.camera.label}, {photo.name}" if camera else photo.name
            said[key] = f"{whose}\nwritten {written}, taken to be {concluded}"
        return said

    def _weigh(self) -> None:
        """Say what the pair shown would do."""
        offset = self._paired()
        self._pair.setEnabled(offset is not None)
        if offset is None:
            self._outcome.setText("Pairing needs a picture with a time from each of two cameras.")
            return
        by = offset - self._clock.offset_s
        count = self._clock.photos
        self._outcome.setText(
            f"Its {counted(count, 'picture')} would move by {offset_words(by)}; "
            f"the correction would be {offset_words(offset + self._local)}."
        )

    def _paired(self) -> float | None:
        mine, theirs = self._mine.photo, self._theirs.photo
        if mine is None or theirs is None or mine.written.local is None:
            return None
        moment = self._state.times.get(theirs.id)
        if moment is None:
            return None
        written: datetime = mine.written.local.replace(tzinfo=UTC)
        return (moment - written).total_seconds()

    def _on_pair(self) -> None:
        mine, theirs = self._mine.photo, self._theirs.photo
        if mine is not None and theirs is not None and self._paired() is not None:
            self.pair_wanted.emit(mine.id, theirs.id)
            self.accept()

    def _on_face(self) -> None:
        mine = self._mine.photo
        try:
            shown, seconds = read_clock_face(self._face.text())
        except BadInput as problem:
            self._say(problem.reason)
            return
        if mine is not None:
            self.face_wanted.emit(mine.id, shown, seconds)
            self.accept()

    def _on_typed(self) -> None:
        try:
            wanted = read_correction(self._typed.text())
        except BadInput as problem:
            self._say(problem.reason)
            return
        self.set_wanted.emit(wanted - self._local)
        self.accept()

    def _on_release(self) -> None:
        self.release_wanted.emit()
        self.accept()

    def _say(self, trouble: str) -> None:
        self._trouble.setText(trouble)
