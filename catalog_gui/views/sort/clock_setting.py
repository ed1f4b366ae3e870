"""Sets the clocks from the Sort page: by typing, dragging a lane, pairing pictures, or a picture of a clock."""

from __future__ import annotations

from datetime import time
from functools import partial

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget
from shiboken6 import isValid

from catalog_gui.domain.foray import Clock
from catalog_gui.grouping import Proposal
from catalog_gui.presenting.sort.interleaving import interleaved
from catalog_gui.presenting.words import offset_words
from catalog_gui.views.bench import Bench
from catalog_gui.views.sort.clock_dialog import ClockDialog
from catalog_gui.views.sort.clocks import ClockShelf
from catalog_gui.views.sort.interleave import InterleaveView
from catalog_gui.views.sort.trail import TrailView
from catalog_gui.workflows import sorting
from catalog_gui.workflows.foray_memory import ForayMemory
from catalog_gui.workflows.regroup import explain


class ClockSetting(QObject):
    """One method for each way to set a clock."""

    def __init__(
        self, bench: Bench, memory: ForayMemory, trail: TrailView, shelf: ClockShelf, page: QWidget
    ) -> None:
        super().__init__(page)
        self.bench, self.trail = bench, trail
        self._memory, self._shelf, self._page = memory, shelf, page
        self.order = InterleaveView(bench.pictures, page)
        shelf.shift_wanted.connect(self.shift)
        shelf.moving.connect(self.show_moving)
        shelf.still.connect(self.show_still)
        shelf.asked.connect(self.ask)

    def pair(self) -> None:
        chosen = self.trail.selected()
        if len(chosen) != 2:
            self.ask_here()
            return
        first, second = (self.trail.state.photos[key] for key in chosen)
        clocks = {clock.camera_key: clock for clock in self.trail.state.clocks}
        one, two = (
            clocks.get(self.trail.state.clock_key(first)),
            clocks.get(self.trail.state.clock_key(second)),
        )
        if one is None or two is None:
            return
        if (one.settled, -one.spread_s) < (two.settled, -two.spread_s):
            self._pair_photos(first.id, second.id)
        else:
            self._pair_photos(second.id, first.id)

    def _clock(self, clock_id: str) -> Clock | None:
        return next((clock for clock in self.trail.state.clocks if clock.id == clock_id), None)

    def shift(self, clock_id: str, seconds: float) -> None:
        clock = self._clock(clock_id)
        if clock is not None:
            self._set(clock_id, clock.offset_s + seconds)

    def _set(self, clock_id: str, offset_s: float) -> None:
        surroundings, memory = self.bench.surroundings, self._memory
        self.bench.do(
            "Set a clock",
            lambda work: sorting.set_clock(work, clock_id, offset_s, surroundings, memory=memory),
        )

    def _release(self, clock_id: str) -> None:
        surroundings, memory = self.bench.surroundings, self._memory
        self.bench.do(
            "Let the pictures set a clock",
            lambda work: sorting.release_clock(work, clock_id, surroundings, memory=memory),
        )

    def show_moving(self, clock_id: str, seconds: float, moment: float) -> None:
        """While a lane is dragged: how the pictures of all cameras would follow each other."""
        clock = self._clock(clock_id)
        if clock is None:
            return
        below = self._shelf.geometry().bottom() + 3
        self.order.setGeometry(8, below, self._page.width() - 16, self.order.height())
        beats = interleaved(self.trail.state.lanes, clock_id, seconds, moment, self.order.room)
        zone = self.trail.state.foray.time_zone if self.trail.state.foray else ""
        name = clock.camera_key.split(" #")[0]
        self.order.show_order(
            beats,
            self.trail.state.photos,
            f"{name} moved by {offset_words(seconds)}: the order would be",
            zone,
        )

    def show_still(self) -> None:
        self.order.hide()

    def ask_here(self) -> None:
        photo = self.trail.state.photos.get(self.trail.current)
        if photo is not None:
            for clock in self.trail.state.clocks:
                if clock.camera_key == self.trail.state.clock_key(photo):
                    self.ask(clock.id)

    def ask(self, clock_id: str) -> None:
        """Open what sets a clock; what the engine would like to know about it follows."""
        clock = self._clock(clock_id)
        if clock is None:
            return
        chosen = next(
            (
                k
                for k in self.trail.selected()
                if self.trail.state.clock_key(self.trail.state.photos[k]) == clock.camera_key
            ),
            "",
        )
        dialog = ClockDialog(
            clock, self.trail.state, self.bench.pictures, pair=(chosen, ""), parent=self._page
        )
        surroundings, foray_id, memory = self.bench.surroundings, self.bench.foray_id, self._memory
        dialog.set_wanted.connect(partial(self._set, clock_id))
        dialog.release_wanted.connect(partial(self._release, clock_id))
        dialog.pair_wanted.connect(self._pair_photos)
        dialog.face_wanted.connect(self._read_face)
        dialog.open()
        if clock.settled:
            return

        def told(proposal: Proposal) -> None:
            for question in proposal.questions:
                if question.camera_key == clock.camera_key and isValid(dialog):
                    dialog.tell(question.text, question.pair if not chosen else None)

        self.bench.read(lambda work: explain(work, foray_id, surroundings, memory), told)

    def _pair_photos(self, wrong: str, right: str) -> None:
        surroundings, memory = self.bench.surroundings, self._memory
        self.bench.do(
            "Set a clock by a pair",
            lambda work: sorting.pair_moments(work, wrong, right, surroundings, memory=memory),
        )

    def _read_face(self, photo_id: str, shown: time, seconds: bool) -> None:
        surroundings, memory = self.bench.surroundings, self._memory
        self.bench.do(
            "Set a clock by a picture of one",
            lambda work: sorting.read_clock_face(
                work, photo_id, shown, surroundings, seconds=seconds, memory=memory
            ),
        )
