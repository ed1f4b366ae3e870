"""Keeps the marks of the picture shown: each thing that can be done with them is one undoable change."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from PySide6.QtCore import QObject, Signal
from shiboken6 import isValid

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.domain.feature import Feature
from catalog_gui.domain.photo import Photo
from catalog_gui.presenting.canvas.look import BY_ID, NAMES
from catalog_gui.presenting.canvas.words import Readings, read_marks, tilt_of, title_of, with_tilt
from catalog_gui.views.bench import Bench
from catalog_gui.workflows import annotate
from catalog_gui.workflows.carry_marks import MarksRead
from catalog_gui.workflows.ports import UnitOfWork

Points = tuple[tuple[float, float], ...]


class Marking(QObject):
    """A change is shown at once (`shown`) and then saved; `refused` says that it could not be kept.

    `part` and `feature` are what new marks show; `tilt` is the bound in degrees that the scales of the
    picture state; `gestures` counts changes, so that an older answer of the records is not shown over them.
    """

    shown = Signal()
    refused = Signal()
    put_down = Signal(str)  # id of a mark that was just drawn or given its length

    def __init__(self, bench: Bench, parent: QObject) -> None:
        super().__init__(parent)
        self._bench = bench
        self._photo: Photo | None = None
        self._specimen_id = ""
        self.marks: dict[str, Mark] = {}
        self.readings = Readings(None, {})
        self.part = ""
        self.feature = ""
        self.tilt = 0.0
        self.gestures = 0

    def begin(self, photo: Photo | None, specimen_id: str) -> None:
        """Another picture: nothing is known of it yet."""
        self._photo, self._specimen_id = photo, specimen_id
        self.tilt = 0.0
        self.marks = {}

    def hold(self, marks: Sequence[Mark]) -> None:
        """Show what is kept."""
        self.marks = {mark.id: mark for mark in marks}
        self._tell()

    def _tell(self) -> None:
        marks = list(self.marks.values())
        self.readings = read_marks(marks, self._bench.preferences.units)
        if self.readings.scale is not None:
            self.tilt = tilt_of(marks)
        self.shown.emit()

    def _do(self, words: str, action: Callable[[UnitOfWork], object]) -> None:
        """Save one gesture; if it cannot be kept, what is kept is shown again."""
        self.gestures += 1

        def failed(error: Exception) -> None:
            self._bench.fail(error)
            if isValid(self):
                self.refused.emit()

        self._bench.do(words, action, failed=failed)

    # --- one mark ------------------------------------------------------------------------------

    def new(self, tool_id: str, points: Points) -> Mark | None:
        """The mark that a tool has drawn, not kept yet; None where there is nothing to draw on."""
        photo, kind = self._photo, BY_ID[tool_id].kind
        if photo is None or kind is None:
            return None
        whole = kind is MarkKind.SCALE or tool_id == "card"  # about the picture, not about a part
        return Mark(
            self._bench.surroundings.new_id(),
            photo.id,
            kind,
            points,
            specimen_id=self._specimen_id,
            part="" if whole else self.part,
            feature="" if whole else self.feature,
            label=annotate.GREY_CARD if tool_id == "card" else "",
        )

    def put(self, mark: Mark) -> None:
        """Keep a new mark, or one that was given a length or a part."""
        word = "Word" if mark.id in self.marks else "Draw"
        self.marks[mark.id] = mark
        self._tell()
        self.put_down.emit(mark.id)
        vocabulary = self._bench.vocabulary
        self._do(
            f"{word}: {NAMES[mark.kind]}", lambda work: annotate.put_mark(work, mark, vocabulary=vocabulary)
        )

    def put_scale(self, mark: Mark, length_mm: float, doubt_mm: float, name: str) -> None:
        """Keep a scale with its length and how far that may be off, both in mm."""
        note = with_tilt(mark.note, self.tilt)
        self.put(replace(mark, length_mm=length_mm, length_u_mm=doubt_mm, label=name, note=note))

    def put_part(self, mark: Mark, part: str) -> None:
        """Keep a cut-out for one panel of the plate."""
        self.put(replace(mark, part=part))

    def move(self, mark_id: str, points: Points) -> None:
        """Keep a mark at other points of the picture."""
        mark = self.marks.get(mark_id)
        if mark is None:
            return
        self.marks[mark_id] = replace(mark, points=points)
        self._tell()
        self._do(f"Move: {NAMES[mark.kind]}", lambda work: annotate.move_mark(work, mark_id, points))

    def word(self, mark_id: str, text: str, feature: str | None, state: str | None) -> None:
        """Give a mark other words; `feature` and `state` stay where they are None."""
        mark = self.marks.get(mark_id)
        if mark is None:
            return
        vocabulary = self._bench.vocabulary
        known = vocabulary.feature(feature) if feature else None
        part = known.part.value if known is not None else None
        changed = replace(
            mark,
            label=text,
            feature=mark.feature if feature is None else feature,
            state=mark.state if state is None else state,
            part=part or mark.part,
        )
        if changed == mark or (feature is None and text == title_of(mark, vocabulary)):
            return
        self.marks[mark_id] = changed
        self._tell()
        self._do(
            f"Word: {NAMES[mark.kind]}",
            lambda work: annotate.relabel(
                work, mark_id, vocabulary=vocabulary, label=text, part=part, feature=feature, state=state
            ),
        )

    # --- several marks -------------------------------------------------------------------------

    def remove(self, ids: Sequence[str]) -> None:
        """Take marks away."""
        there = [mark_id for mark_id in ids if mark_id in self.marks]
        if not there:
            return
        names = [NAMES[self.marks.pop(mark_id).kind] for mark_id in there]
        words = f"Remove: {names[0]}" if len(names) == 1 else f"Remove {len(names)} marks"
        self._tell()
        self._do(words, lambda work: annotate.remove_marks(work, there))

    def tie(self, ids: Sequence[str], feature: Feature) -> None:
        """Say that these marks measure a feature; nothing is done where they say so already."""
        untied = [mark_id for mark_id in ids if self.marks[mark_id].feature != feature.id]
        if not untied:
            return
        part, vocabulary = feature.part.value, self._bench.vocabulary
        for mark_id in untied:
            tied = replace(self.marks[mark_id], feature=feature.id, state="", part=part)
            self.marks[mark_id] = tied
        self._tell()

        def tie(work: UnitOfWork) -> None:
            for mark_id in untied:
                annotate.relabel(work, mark_id, vocabulary=vocabulary, feature=feature.id, part=part)

        self._do("Say what was measured", tie)

    def state_tilt(self, degrees: float) -> None:
        """State the bound of the tilt; the scales of the picture remember it."""
        self.tilt = degrees
        scales = [mark for mark in self.marks.values() if mark.kind is MarkKind.SCALE]
        notes = {mark.id: with_tilt(mark.note, degrees) for mark in scales}
        changed = {mark.id: notes[mark.id] for mark in scales if mark.note != notes[mark.id]}
        if not changed:
            return
        for mark_id, note in changed.items():
            self.marks[mark_id] = replace(self.marks[mark_id], note=note)
        vocabulary = self._bench.vocabulary

        def keep(work: UnitOfWork) -> None:
            for mark_id, note in changed.items():
                annotate.relabel(work, mark_id, vocabulary=vocabulary, note=note)

        self._do("State the tilt", keep)

    def copy_to(self, ids: Sequence[str], photo: Photo) -> None:
        """Lay marks over another picture of the specimen."""
        new_id = self._bench.surroundings.new_id
        self._do(
            f"Copy marks to {photo.name}",
            lambda work: annotate.copy_marks(work, ids, photo.id, new_id=new_id),
        )

    def bring_in(self, found: MarksRead) -> None:
        """Keep marks that were read from a file."""
        photo = self._photo
        if photo is None:
            return
        specimen_id, new_id = self._specimen_id, self._bench.surroundings.new_id
        self._do(
            "Bring marks in",
            lambda work: annotate.bring_in(work, found.marks, photo.id, specimen_id, new_id=new_id),
        )
