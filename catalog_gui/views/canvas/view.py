"""The canvas: one picture at a time, to point at things and to measure them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from PySide6.QtCore import QPoint, Signal
from PySide6.QtGui import QFocusEvent
from PySide6.QtWidgets import QHBoxLayout, QMenu, QSizePolicy, QVBoxLayout, QWidget
from shiboken6 import isValid

from catalog_gui.annotation.colour import PatchColour
from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.annotation.measure import NO_SCALE, Measurement, measure, range_over
from catalog_gui.annotation.quantity import places_for
from catalog_gui.domain.feature import Feature
from catalog_gui.domain.ledger import Changed
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import BadInput
from catalog_gui.jobs.lane import Lane
from catalog_gui.presenting.canvas.colour import read_colour
from catalog_gui.presenting.canvas.links import number_features, word_choices
from catalog_gui.presenting.canvas.look import BY_ID, NAMES
from catalog_gui.presenting.canvas.sketch import target_of
from catalog_gui.presenting.canvas.state import CanvasState, read_canvas
from catalog_gui.presenting.canvas.words import (
    Readings,
    caption_of,
    ratios,
    read_marks,
    row_words,
    scale_sentences,
    tilt_of,
    title_of,
    with_tilt,
)
from catalog_gui.views.bench import Bench
from catalog_gui.views.canvas.bar import CanvasBar
from catalog_gui.views.canvas.carry import CarryDesk
from catalog_gui.views.canvas.loader import PictureLoader
from catalog_gui.views.canvas.rail import ToolRail
from catalog_gui.views.canvas.scale import ScaleDialog
from catalog_gui.views.canvas.side import SideColumn
from catalog_gui.views.canvas.spores import SporeDialog
from catalog_gui.views.canvas.surface import Surface
from catalog_gui.views.canvas.words_edit import WordsEdit
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows import annotate
from catalog_gui.workflows.carry_marks import BroughtIn
from catalog_gui.workflows.ports import Work

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
        self._marks: dict[str, Mark] = {}
        self._readings = Readings(None, {})
        self._gestures = 0
        self._part = ""
        self._feature = ""
        self._tilt = 0.0
        self._last_length = ""
        self._refusal = ""
        self.scale_dialog: ScaleDialog | None = None
        self.spore_dialog: SporeDialog | None = None
        self._lane = Lane("canvas", threads=2, parent=self)
        self.surface = Surface(self._lane, self)
        self.rail = ToolRail(self)
        self.side = SideColumn(bench.vocabulary, self)
        self.words = WordsEdit(self.surface)
        self.carry = CarryDesk(bench, self)
        self.loader = PictureLoader(bench.pictures, self.surface.picture, self._lane, self)
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
        surface.drawn.connect(self._on_drawn)
        surface.moved.connect(self._on_moved)
        surface.chosen.connect(self._on_chosen)
        surface.words_wanted.connect(self.ask_words)
        surface.removal_wanted.connect(self._remove)
        surface.page_wanted.connect(self.turn_page)
        surface.letter_pressed.connect(self._on_letter)
        surface.leave_wanted.connect(self.leave)
        surface.looked.connect(self._show_zoom)
        surface.draft_words = self._draft_words
        self.words.worded.connect(self._on_worded)
        self.words.ended.connect(surface.setFocus)
        self.carry.read.connect(self._bring_in)
        self.loader.came.connect(self._on_picture)
        self.loader.refused.connect(self._on_refused)
        side.part_chosen.connect(self._on_part)
        side.feature_chosen.connect(self._on_feature)
        side.tilt_changed.connect(self._on_tilt)
        side.marks_chosen.connect(surface.choose)
        side.note_wanted.connect(self.note_measure)
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
        return self._lane.busy

    @property
    def readings(self) -> Readings:
        """Scale and measures of the picture shown."""
        return self._readings

    def open(self, photo_id: str, specimen_id: str, part: str = "") -> None:
        """Show a picture of a specimen; new marks show `part`."""
        self._wanted = (photo_id, specimen_id)
        self._part, self._feature = part, ""
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
        self._lane.close()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Keys go to the picture."""
        super().focusInEvent(event)
        self.surface.setFocus()

    def _reload(self, then: Callable[[CanvasState], None]) -> None:
        photo_id, specimen_id = self._wanted
        number = self._gestures

        def show(state: CanvasState) -> None:
            current = self._wanted == (photo_id, specimen_id) and number == self._gestures
            if isValid(self) and current:  # the answer may come after the window was closed
                then(state)

        self.bench.read(lambda work: read_canvas(work, photo_id, specimen_id), show)

    def _begin(self, state: CanvasState) -> None:
        self._state = state
        self._tilt = 0.0
        self.side.show_tilt(0.0)
        photo = state.photo
        self._refusal = ""
        self._tell("")
        picture = self.surface.picture
        self.carry.show(photo, lambda: picture.whole)
        if photo is None:
            self._marks = {}
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
        self._marks = {mark.id: mark for mark in state.marks}
        self._show_marks()

    def _show_marks(self) -> None:
        """Everything that follows from the marks: measures, captions, the list."""
        marks = list(self._marks.values())
        self._readings = read_marks(marks, self.bench.preferences.units)
        if self._readings.scale is not None:
            self._tilt = tilt_of(marks)
            self.side.show_tilt(self._tilt)
        vocabulary = self.bench.vocabulary
        captions = {mark.id: caption_of(mark, self._readings, vocabulary) for mark in marks}
        self.surface.show_marks(marks, captions)
        self.carry.show_marks(marks, captions)
        rows = [(mark, row_words(mark, self._readings, vocabulary)) for mark in marks]
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
        self.side.scale.setText(" ".join(scale_sentences(self._readings, self._tilt)))
        chosen = self.surface.selection
        told = []
        colour: PatchColour | None = None
        for mark_id in chosen:
            mark = self._marks.get(mark_id)
            if mark is None:
                continue
            found = self._readings.found.get(mark_id)
            if found is not None and (found.real is not None or len(chosen) == 1):
                figure = self._readings.said(found)
                told.append(f"{title_of(mark, self.bench.vocabulary) or NAMES[mark.kind]}: {figure}")
            if mark.kind is MarkKind.COLOUR and len(chosen) == 1:
                colour, words = read_colour(
                    mark, self._marks.values(), self.surface.picture, self.bench.vocabulary
                )
                told.append(words)
        if len(chosen) > 1:
            told.extend(ratios(self._readings, chosen))
        self.side.show_colour(colour)
        self.side.figure.setText("\n".join(told))
        self.side.figure.setVisible(bool(told))
        self.side.note.setEnabled(any(m.what == "length" for m in self._readings.found.values()))

    def _draft_words(self, mark: Mark) -> tuple[str, ...]:
        """The figure beside a line while it is drawn."""
        if mark.kind not in {MarkKind.LINE, MarkKind.POLYLINE, MarkKind.ANGLE}:
            return ()
        if self._tool_kind() is MarkKind.SCALE:
            return ()
        try:
            found = measure(mark, self._readings.scale)
        except BadInput:
            return ()
        return (self._readings.said(found),)

    def _tool_kind(self) -> MarkKind | None:
        return BY_ID[self.surface.tool].kind

    # --- gestures ------------------------------------------------------------------------------

    def _take_tool(self, tool_id: str) -> None:
        self.surface.take_tool(tool_id)
        self.surface.setFocus()

    def _do(self, words: str, action: Callable[[Work], object]) -> None:
        """Save one gesture; if it cannot be kept, show what is."""
        self._gestures += 1

        def failed(error: Exception) -> None:
            self.bench.fail(error)
            if isValid(self):
                self._reload(self._show)

        self.bench.do(words, action, failed=failed)

    def _on_drawn(self, tool_id: str, points: tuple[tuple[float, float], ...]) -> None:
        photo, kind = self._state.photo, BY_ID[tool_id].kind
        if photo is None or kind is None:
            return
        mark = Mark(
            self.bench.surroundings.new_id(),
            photo.id,
            kind,
            points,
            specimen_id=self._wanted[1],
            part=self._part,
            feature=self._feature,
        )
        if tool_id == "card":
            mark = replace(mark, label=annotate.GREY_CARD, part="", feature="")
        if kind is MarkKind.SCALE:
            mark = replace(mark, part="", feature="")
            self._ask_scale(mark)
            return
        if kind is MarkKind.CROP and not mark.part:
            self._ask_part(mark)
            return
        self._put(mark)
        if kind in {MarkKind.POINTER, MarkKind.BODY, MarkKind.ELLIPSE, MarkKind.POLYGON, MarkKind.FREE}:
            self.ask_words(mark.id)

    def _put(self, mark: Mark) -> None:
        """Show a new mark at once and keep it."""
        new = mark.id not in self._marks
        self._marks[mark.id] = mark
        self._show_marks()
        self.surface.choose((mark.id,))
        vocabulary = self.bench.vocabulary
        word = "Draw" if new else "Word"
        self._do(
            f"{word}: {NAMES[mark.kind]}", lambda work: annotate.put_mark(work, mark, vocabulary=vocabulary)
        )

    def _ask_scale(self, mark: Mark) -> None:
        last = self._last_length if mark.length_mm is None else f"{mark.length_mm:g} mm"
        dialog = self.scale_dialog = ScaleDialog(self, last=last)

        def accepted() -> None:
            length, doubt, name = dialog.result_scale()
            self._last_length = dialog.length.text()
            note = with_tilt(mark.note, self._tilt)
            self._put(replace(mark, length_mm=length, length_u_mm=doubt, label=name, note=note))

        def finished(_result: int) -> None:
            self.scale_dialog = None
            dialog.deleteLater()
            self.surface.setFocus()

        dialog.accepted.connect(accepted)
        dialog.finished.connect(finished)
        dialog.open()

    def _ask_part(self, mark: Mark) -> None:
        """For which panel of the plate a cut-out is meant."""
        menu = QMenu(self)
        menu.setObjectName("canvas-cutout-menu")
        for row in range(1, self.side.part.count()):
            part = self.side.part.itemData(row)
            action = menu.addAction(self.side.part.itemText(row))
            action.triggered.connect(lambda _=False, part=part: self._put(replace(mark, part=part)))
        menu.aboutToHide.connect(self.surface.setFocus)
        menu.popup(self.surface.mapToGlobal(self._place_of(mark)))

    def _on_moved(self, mark_id: str, points: tuple[tuple[float, float], ...]) -> None:
        mark = self._marks.get(mark_id)
        if mark is None:
            return
        self._marks[mark_id] = replace(mark, points=points)
        self._show_marks()
        self._do(f"Move: {NAMES[mark.kind]}", lambda work: annotate.move_mark(work, mark_id, points))

    def _remove(self, ids: Sequence[str]) -> None:
        there = [mark_id for mark_id in ids if mark_id in self._marks]
        if not there:
            return
        names = [NAMES[self._marks.pop(mark_id).kind] for mark_id in there]
        words = f"Remove: {names[0]}" if len(names) == 1 else f"Remove {len(names)} marks"
        self._show_marks()
        self._do(words, lambda work: annotate.remove_marks(work, there))

    def ask_words(self, mark_id: str) -> None:
        """Open the line in which a mark is worded; a scale is asked for its length instead."""
        mark = self._marks.get(mark_id)
        if mark is None:
            return
        if mark.kind is MarkKind.SCALE:
            self._ask_scale(mark)
            return
        vocabulary = self.bench.vocabulary
        choices = word_choices(vocabulary, mark.part or self._part, mark.feature)
        self.words.ask(mark_id, title_of(mark, vocabulary), choices, self._place_of(mark))

    def _place_of(self, mark: Mark) -> QPoint:
        box = target_of(mark, self.surface.ground())
        return QPoint(round(box[2]) + 8, round(box[1]) - 12)

    def _on_worded(self, mark_id: str, text: str, feature: str | None, state: str | None) -> None:
        mark = self._marks.get(mark_id)
        if mark is None:
            return
        known = self.bench.vocabulary.feature(feature) if feature else None
        part = known.part.value if known is not None else None
        changed = replace(
            mark,
            label=text,
            feature=mark.feature if feature is None else feature,
            state=mark.state if state is None else state,
            part=part or mark.part,
        )
        if changed == mark or (feature is None and text == title_of(mark, self.bench.vocabulary)):
            return
        self._marks[mark_id] = changed
        self._show_marks()
        vocabulary = self.bench.vocabulary
        self._do(
            f"Word: {NAMES[mark.kind]}",
            lambda work: annotate.relabel(
                work, mark_id, vocabulary=vocabulary, label=text, part=part, feature=feature, state=state
            ),
        )

    def _on_chosen(self, ids: tuple[str, ...]) -> None:
        self.side.show_chosen(ids)
        self._show_measure()

    def _on_part(self, part: str) -> None:
        self._part, self._feature = part, ""
        self.side.show_features(part)
        self.surface.setFocus()

    def _on_feature(self, feature_id: str) -> None:
        self._feature = feature_id
        feature = self.bench.vocabulary.feature(feature_id)
        if feature is not None and feature.part.value != self._part:
            self._part = feature.part.value
            self.side.show_part(self._part)
            self.side.show_features(self._part, feature_id)
        self.surface.setFocus()

    def _on_tilt(self, degrees: float) -> None:
        """State the bound; the scales of the picture remember it."""
        self._tilt = degrees
        self._show_measure()
        scales = [mark for mark in self._marks.values() if mark.kind is MarkKind.SCALE]
        notes = {mark.id: with_tilt(mark.note, degrees) for mark in scales}
        changed = {mark.id: notes[mark.id] for mark in scales if mark.note != notes[mark.id]}
        if not changed:
            return
        for mark_id, note in changed.items():
            self._marks[mark_id] = replace(self._marks[mark_id], note=note)
        vocabulary = self.bench.vocabulary

        def keep(work: Work) -> None:
            for mark_id, note in changed.items():
                annotate.relabel(work, mark_id, vocabulary=vocabulary, note=note)

        self._do("State the tilt", keep)

    def _on_letter(self, letter: str) -> None:
        match letter:
            case "E":
                self.note_measure()
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

    # --- measures ------------------------------------------------------------------------------

    def note_measure(self) -> None:
        """Hand the chosen lengths over as evidence, several of them as a range."""
        lengths = [
            found
            for found in self._readings.found.values()
            if found.what == "length" and found.mark.kind is not MarkKind.FREE
        ]
        chosen = [one for one in lengths if one.mark.id in self.surface.selection] or lengths[-1:]
        if not chosen:
            self.bench.said.emit("Measure something first: take the line (L) and draw from end to end.")
            return
        if any(one.real is None for one in chosen):
            self.bench.said.emit(f"{NO_SCALE} Draw a scale first (S).")
            return
        linked = next((one.mark.feature for one in chosen if one.mark.feature), "") or self._feature
        feature = self.bench.vocabulary.feature(linked) if linked else None
        if feature is not None and feature.kind == "number" and feature.unit in {"mm", "cm", "µm"}:
            self._note(chosen, feature)
            return
        self._ask_feature(chosen)

    def _ask_feature(self, chosen: list[Measurement]) -> None:
        """What was measured, when no mark says so: the features of the part first."""
        part = next((one.mark.part for one in chosen if one.mark.part), "") or self._part
        menu = QMenu(self)
        menu.setObjectName("canvas-feature-menu")
        for feature in number_features(self.bench.vocabulary, part, "mm"):
            action = menu.addAction(feature.name)
            action.triggered.connect(lambda _=False, feature=feature: self._note(chosen, feature))
        menu.setActiveAction(menu.actions()[0])
        menu.aboutToHide.connect(self.surface.setFocus)
        menu.popup(self.surface.mapToGlobal(self._place_of(chosen[-1].mark)))

    def _note(self, chosen: list[Measurement], feature: Feature) -> None:
        found = range_over(chosen)
        places = places_for(2 * found.u, 1) if found.u > 0 else 2
        low, high = round(found.low, places), round(found.high, places)
        mark = chosen[-1].mark
        vocabulary = self.bench.vocabulary
        untied = [one.mark.id for one in chosen if one.mark.feature != feature.id]
        if untied:
            for mark_id in untied:
                tied = replace(self._marks[mark_id], feature=feature.id, state="", part=feature.part.value)
                self._marks[mark_id] = tied
            self._show_marks()

            def tie(work: Work) -> None:
                for mark_id in untied:
                    annotate.relabel(
                        work, mark_id, vocabulary=vocabulary, feature=feature.id, part=feature.part.value
                    )

            self._do("Say what was measured", tie)
        self.measured.emit(mark.id, feature.id, low, high, found.unit)
        self.bench.said.emit(f"{feature.name}: {found.text()}")

    # --- other pictures ------------------------------------------------------------------------

    def copy_marks(self) -> None:
        """Lay the chosen marks, or all of them, over another picture of the specimen."""
        photo = self._state.photo
        others = [one for one in self._state.photos if photo is not None and one.id != photo.id]
        ids = self.surface.selection or tuple(self._marks)
        if not others or not ids:
            words = "There is no other picture of this specimen." if ids else "There is no mark to copy."
            self.bench.said.emit(words)
            return
        menu = QMenu(self)
        menu.setObjectName("canvas-copy-menu")
        for other in others:
            menu.addAction(other.name).triggered.connect(
                lambda _=False, other=other: self._copy_to(ids, other)
            )
        menu.setActiveAction(menu.actions()[0])
        menu.aboutToHide.connect(self.surface.setFocus)
        menu.popup(self.side.copy.mapToGlobal(QPoint(0, 0)))

    def _copy_to(self, ids: Sequence[str], photo: Photo) -> None:
        new_id = self.bench.surroundings.new_id
        self._do(
            f"Copy marks to {photo.name}",
            lambda work: annotate.copy_marks(work, ids, photo.id, new_id=new_id),
        )

    def _bring_in(self, found: BroughtIn) -> None:
        """Keep marks that were read from a file."""
        photo = self._state.photo
        if photo is None:
            return
        specimen_id, new_id = self._wanted[1], self.bench.surroundings.new_id
        self._do(
            "Bring marks in",
            lambda work: annotate.bring_in(work, found.marks, photo.id, specimen_id, new_id=new_id),
        )

    def open_spores(self) -> None:
        """Spore statistics from the lines on this picture, or typed."""
        dialog = self.spore_dialog = SporeDialog(tuple(self._readings.found.values()), self)

        def noted(feature: str, low: float, high: float, unit: str) -> None:
            self.measured.emit("", feature, low, high, unit)
            self.bench.said.emit("Spore sizes noted.")

        def finished(_result: int) -> None:
            self.spore_dialog = None
            dialog.deleteLater()
            self.surface.setFocus()

        dialog.noted.connect(noted)
        dialog.finished.connect(finished)
        dialog.open()
