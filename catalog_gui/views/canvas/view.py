"""Shows the canvas: its parts, how a picture is opened, and what is said of it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent
from PySide6.QtWidgets import QHBoxLayout, QMessageBox, QSizePolicy, QVBoxLayout, QWidget
from shiboken6 import isValid

from catalog_gui.annotation.colour import PatchColour
from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.domain.ledger import Changed
from catalog_gui.domain.photo import Photo
from catalog_gui.jobs.worker_queue import WorkerQueue
from catalog_gui.presenting.canvas.colour import read_colour
from catalog_gui.presenting.canvas.look import BY_ID
from catalog_gui.presenting.canvas.measures import draft_words, figures_of
from catalog_gui.presenting.canvas.state import CanvasState, read_canvas
from catalog_gui.presenting.canvas.words import (
    Readings,
    caption_of,
    row_words,
    scale_sentences,
)
from catalog_gui.views.bench import Bench
from catalog_gui.views.canvas.bar import CanvasBar
from catalog_gui.views.canvas.carry import CarryDesk
from catalog_gui.views.canvas.loader import PictureLoader
from catalog_gui.views.canvas.marking import Marking
from catalog_gui.views.canvas.measuring import Measuring
from catalog_gui.views.canvas.questions import Questions
from catalog_gui.views.canvas.rail import ToolRail
from catalog_gui.views.canvas.scale import ScaleDialog
from catalog_gui.views.canvas.side import SideColumn
from catalog_gui.views.canvas.spores import SporeDialog
from catalog_gui.views.canvas.surface import Surface
from catalog_gui.views.widgets.labels import label

_SHELVES = ("marks", "photos", "groups", "specimens")
_KEYS = "By keys: arrows, Return sets a point, Backspace takes it back, Escape ends."


class CanvasView(QWidget):
    """Draws and measures on one picture of a specimen. `measured` hands a size over to become evidence."""

    closed = Signal()
    measured = Signal(str, str, float, float, str)  # mark id, feature, low, high, unit

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.bench = bench
        self._state = CanvasState()
        self._wanted = ("", "")
        self._refusal = ""
        self._queue = WorkerQueue("canvas", threads=2, parent=self)
        self.surface = Surface(self._queue, self)
        self.rail = ToolRail(self)
        self.side = SideColumn(bench.vocabulary, self)
        self.marking = Marking(bench, self)
        self.questions = Questions(bench, self.marking, self.surface, self)
        self.measuring = Measuring(bench, self.marking, self.questions, self.surface, self)
        self.words = self.questions.words
        self.carry = CarryDesk(bench, self)
        self.loader = PictureLoader(bench.pictures, self.surface.picture, self._queue, self)
        self.setObjectName("canvas")
        self.setAccessibleName("Canvas")
        self.setFocusProxy(self.surface)
        self._lay_out()
        self._connect()

    # --- building ------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        self.trouble = label("", "caution", name="canvas-trouble", wrap=True)
        self.trouble.hide()
        self.hint = label("", "faded", name="canvas-hint")
        self.hint.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.bar = CanvasBar(self)
        self.bar.set_menu(self.carry.menu(self.bar))
        middle = QVBoxLayout()
        middle.setSpacing(4)
        middle.addWidget(self.trouble)
        middle.addWidget(self.surface, 1)
        middle.addWidget(self.hint)
        row = QHBoxLayout()
        row.setSpacing(6)
        row.addWidget(self.rail)
        row.addLayout(middle, 1)
        row.addWidget(self.side)
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 5, 8, 4)
        column.setSpacing(5)
        column.addWidget(self.bar)
        column.addLayout(row, 1)

    def _connect(self) -> None:
        surface, side = self.surface, self.side
        self.bench.changed.connect(self._on_changed)
        self.bench.specimen_chosen.connect(self._on_specimen)
        bar = self.bar
        bar.back.connect(self.leave)
        bar.page_wanted.connect(self.turn_page)
        bar.zoom_wanted.connect(lambda times: surface.zoom_to(surface.zoom * times))
        bar.fit_wanted.connect(surface.fit)
        bar.full_wanted.connect(lambda: surface.zoom_to(1.0 / self.devicePixelRatioF()))
        self.rail.taken.connect(self._take_tool)
        surface.tool_changed.connect(self._on_tool)
        surface.drawn.connect(self.questions.ask_drawn)
        surface.moved.connect(self.marking.move)
        surface.chosen.connect(self._on_chosen)
        surface.words_wanted.connect(self.questions.ask_words)
        surface.removal_wanted.connect(self.marking.remove)
        surface.page_wanted.connect(self.turn_page)
        surface.letter_pressed.connect(self._on_letter)
        surface.leave_wanted.connect(self.leave)
        surface.looked.connect(self._show_zoom)
        surface.draft_words = self._draft_words
        self.marking.shown.connect(self._show_marks)
        self.marking.refused.connect(lambda: self._reload(self._show))
        self.marking.put_down.connect(lambda mark_id: surface.choose((mark_id,)))
        self.measuring.measured.connect(self.measured)
        self.carry.read.connect(self.marking.bring_in)
        self.loader.came.connect(self._on_picture)
        self.loader.refused.connect(self._on_refused)
        self.loader.suspected.connect(self._ask_again)
        side.part_chosen.connect(self._on_part)
        side.feature_chosen.connect(self._on_feature)
        side.tilt_changed.connect(self._on_tilt)
        side.marks_chosen.connect(surface.choose)
        side.note_wanted.connect(self.measuring.note)
        side.copy_wanted.connect(self.copy_marks)
        side.spores_wanted.connect(self.open_spores)
        self._on_tool(surface.tool)

    # --- opening -------------------------------------------------------------------------------

    @property
    def state(self) -> CanvasState:
        """What is shown."""
        return self._state

    @property
    def busy(self) -> bool:
        """Whether copies of the picture or places for labels are still being made."""
        return self._queue.busy

    @property
    def readings(self) -> Readings:
        """Scale and measures of the picture shown."""
        return self.marking.readings

    def open(self, photo_id: str, specimen_id: str, part: str = "") -> None:
        """Show a picture of a specimen; new marks show `part`."""
        self._wanted = (photo_id, specimen_id)
        self.marking.part, self.marking.feature = part, ""
        self.side.show_part(part)
        self.surface.take_tool("move")
        self._reload(self._begin)

    def turn_page(self, step: int) -> None:
        """The picture before or after, round and round."""
        photos = self._state.photos
        if self._state.photo is None or len(photos) < 2:
            self.bench.said.emit("There is no other picture of this specimen.")
            return
        photo = photos[(self._state.number - 1 + step) % len(photos)]
        self._wanted = (photo.id, self._wanted[1])
        self._reload(self._begin)

    def leave(self) -> None:
        """Back to the plate; everything is saved already."""
        self.surface.take_tool("move")
        self.closed.emit()

    def shut(self) -> None:
        """End the work beside the GUI; the canvas is not used afterwards."""
        self.loader.stop()
        self._queue.close()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Keys go to the picture."""
        super().focusInEvent(event)
        self.surface.setFocus()

    def _reload(self, then: Callable[[CanvasState], None]) -> None:
        photo_id, specimen_id = self._wanted
        number = self.marking.gestures

        def show(state: CanvasState) -> None:
            current = self._wanted == (photo_id, specimen_id) and number == self.marking.gestures
            if isValid(self) and current:  # the answer may come after the window was closed
                then(state)

        self.bench.read(lambda work: read_canvas(work, photo_id, specimen_id), show)

    def _begin(self, state: CanvasState) -> None:
        self._state = state
        photo = state.photo
        self.marking.begin(photo, self._wanted[1])
        self.side.show_tilt(0.0)
        self._refusal = ""
        self._tell("")
        picture = self.surface.picture
        self.carry.show(photo, lambda: picture.whole)
        if photo is None:
            self.surface.show_picture((0, 0))
            self._tell("That picture is not in the catalogue any longer.")
            return
        many = f"{state.number} of {len(state.photos)}"
        number = f"{state.specimen.number}, " if state.specimen is not None else ""
        self.bar.show_name(f"{number}{photo.name}, {many}")
        self.surface.show_picture(photo.upright_size)
        if min(photo.upright_size) <= 0:
            self._tell(f"{photo.name} has no size: nothing can be drawn on it.")
        else:
            self.loader.open(photo)
        self._show(state)

    def _show(self, state: CanvasState) -> None:
        self._state = state
        self.marking.hold(state.marks)

    def _show_marks(self) -> None:
        """Everything that follows from the marks: measures, captions, the list."""
        marks, readings = list(self.marking.marks.values()), self.marking.readings
        if readings.scale is not None:
            self.side.show_tilt(self.marking.tilt)
        vocabulary = self.bench.vocabulary
        captions = {mark.id: caption_of(mark, readings, vocabulary) for mark in marks}
        self.surface.show_marks(marks, captions)
        self.carry.show_marks(marks, captions)
        rows = [(mark, row_words(mark, readings, vocabulary)) for mark in marks]
        self.side.show_marks(rows, self.surface.selection)
        self._show_measure()

    def _on_changed(self, changed: Changed) -> None:
        if self._state.photo is None or not changed.touches(*_SHELVES):
            return
        self._reload(self._show)

    def _on_specimen(self, specimen_id: str) -> None:
        """Another specimen is described now: its pictures are not these."""
        if specimen_id and self._wanted[1] and specimen_id != self._wanted[1] and self.isVisible():
            self.leave()

    # --- what is said --------------------------------------------------------------------------

    def _tell(self, words: str) -> None:
        self.trouble.setText(words)
        self.trouble.setVisible(bool(words))

    def _on_picture(self, whole: bool) -> None:
        if whole:
            self._refusal = ""
            self._tell("")
            self._show_measure()
        elif self._refusal:
            self._on_refused(self._refusal)

    def _on_refused(self, reason: str) -> None:
        """The file cannot be read: say so, say where it was, and go on with the preview if there is one."""
        photo = self._state.photo
        if photo is None:
            return
        self._refusal = reason
        kept = " You see the preview kept in the catalogue." if self.surface.picture.anything else ""
        self._tell(f"{reason} It was at {photo.path}.{kept}")

    def _ask_again(self, photo: Photo) -> None:
        """Ask whether to decode a picture over which the program ended, without making the window wait."""
        box = QMessageBox(self)
        box.setObjectName("decode-again")
        box.setWindowTitle("Try this picture again?")
        box.setIcon(QMessageBox.Icon.NoIcon)
        box.setTextFormat(Qt.TextFormat.PlainText)
        box.setText(f"The program ended while it was decoding {photo.name}.")
        box.setInformativeText(
            "It may have been chance, or the picture may take more memory than there is. All that you changed is "
            "saved."
        )
        again = box.addButton("Try it again", QMessageBox.ButtonRole.AcceptRole)
        leave = box.addButton("Leave it alone", QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(leave)
        box.setEscapeButton(leave)

        def closed(_result: int) -> None:
            box.deleteLater()
            if (
                box.clickedButton() is again
                and self._state.photo is not None
                and self._state.photo.id == photo.id
            ):
                self._refusal = ""
                self.loader.open(photo, again=True)

        box.finished.connect(closed)
        QMessageBox.open(box)

    def _on_tool(self, tool_id: str) -> None:
        tool = self.rail.show_tool(tool_id)
        keys = "" if tool.kind is None else f" {_KEYS}"
        self.hint.setText(f"{tool.name}: {tool.how}{keys}")
        self.hint.setToolTip(f"{tool.how}{keys}")

    def _show_zoom(self) -> None:
        surface = self.surface
        shown = surface.mapToScene(surface.viewport().rect()).boundingRect()
        self.loader.look_at(shown, surface.zoom * self.devicePixelRatioF())
        self.bar.zoomed.setText(f"{100 * self.surface.zoom * self.devicePixelRatioF():.0f} %")

    def _show_measure(self) -> None:
        """Scale, and the figures of the chosen marks."""
        marks, readings, vocabulary = self.marking.marks, self.marking.readings, self.bench.vocabulary
        self.side.scale.setText(" ".join(scale_sentences(readings, self.marking.tilt)))
        chosen = self.surface.selection
        told = figures_of(marks, readings, chosen, vocabulary)
        colour: PatchColour | None = None
        spot = marks.get(chosen[0]) if len(chosen) == 1 else None
        if spot is not None and spot.kind is MarkKind.COLOUR:
            colour, words = read_colour(spot, marks.values(), self.surface.picture, vocabulary)
            told.append(words)
        self.side.show_colour(colour)
        self.side.figure.setText("\n".join(told))
        self.side.figure.setVisible(bool(told))
        self.side.note.setEnabled(any(m.what == "length" for m in readings.found.values()))

    def _draft_words(self, mark: Mark) -> tuple[str, ...]:
        """The figure beside a line while it is drawn; a scale measures nothing yet."""
        if BY_ID[self.surface.tool].kind is MarkKind.SCALE:
            return ()
        return draft_words(mark, self.marking.readings)

    # --- gestures ------------------------------------------------------------------------------

    def _take_tool(self, tool_id: str) -> None:
        self.surface.take_tool(tool_id)
        self.surface.setFocus()

    def _on_chosen(self, ids: tuple[str, ...]) -> None:
        self.side.show_chosen(ids)
        self._show_measure()

    def _on_part(self, part: str) -> None:
        self.marking.part, self.marking.feature = part, ""
        self.side.show_features(part)
        self.surface.setFocus()

    def _on_feature(self, feature_id: str) -> None:
        self.marking.feature = feature_id
        feature = self.bench.vocabulary.feature(feature_id)
        if feature is not None and feature.part.value != self.marking.part:
            self.marking.part = feature.part.value
            self.side.show_part(self.marking.part)
            self.side.show_features(self.marking.part, feature_id)
        self.surface.setFocus()

    def _on_tilt(self, degrees: float) -> None:
        self.marking.state_tilt(degrees)
        self._show_measure()

    def _on_letter(self, letter: str) -> None:
        match letter:
            case "E":
                self.measuring.note()
            case "D":
                self.copy_marks()
            case "Q":
                self.open_spores()
            case "J":
                self.bar.hand_over.showMenu()
            case "H":
                self.surface.set_hidden(not self.surface.hidden)
            case "W":
                self.side.part.setFocus()
                self.side.part.showPopup()
            case "V":
                self.side.ask_feature()

    @property
    def scale_dialog(self) -> ScaleDialog | None:
        """The dialog that asks for the length of a scale, while it is open."""
        return self.questions.scale_dialog

    @property
    def spore_dialog(self) -> SporeDialog | None:
        """The dialog of spore statistics, while it is open."""
        return self.measuring.spore_dialog

    def open_spores(self) -> None:
        """Spore statistics from the lines on this picture, or typed."""
        self.measuring.open_spores()

    # --- other pictures ------------------------------------------------------------------------

    def copy_marks(self) -> None:
        """Lay the chosen marks, or all of them, over another picture of the specimen."""
        photo = self._state.photo
        others = [one for one in self._state.photos if photo is not None and one.id != photo.id]
        ids = self.surface.selection or tuple(self.marking.marks)
        if not others or not ids:
            words = "There is no other picture of this specimen." if ids else "There is no mark to copy."
            self.bench.said.emit(words)
            return
        self.questions.ask_picture(others, lambda other: self.marking.copy_to(ids, other), self.side.copy)
