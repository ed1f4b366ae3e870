"""The bench: what every page works with. Reads and changes run on the records lane, never in the GUI thread."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import QObject, Signal

from catalog_gui.domain.feature import Vocabulary
from catalog_gui.domain.ledger import Changed
from catalog_gui.domain.problem import Cancelled, Problem
from catalog_gui.jobs.lane import Lane, Reporter, Ticket
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.settings import Preferences
from catalog_gui.views.widgets.pictures import PictureSource
from catalog_gui.workflows.ports import MarksOut, Papers, PictureFiles, Records, Surroundings, Upkeep, Work

T = TypeVar("T")


class Bench(QObject):
    """Shared by all pages.

    `read` asks the records a question and hands the answer to `then`; `do` makes one undoable change.
    Both return at once; `then` runs in the GUI thread. `changed` follows every change, also undone ones.
    """

    changed = Signal(object)  # Changed
    foray_chosen = Signal(str)
    specimen_chosen = Signal(str)
    take_in_wanted = Signal(list, str)  # places ([] to ask for a folder), the foray they join or ''
    page_wanted = Signal(str)  # 'sort', 'describe', 'compare', 'outputs', 'catalogue'
    said = Signal(str)  # a short message for the line at the foot of the window
    trouble = Signal(str)  # a message that needs to be seen
    preferences_changed = Signal(object)
    feature_wanted = Signal(str)  # go to this feature on Describe

    def __init__(
        self,
        open_records: Callable[[], Records],
        *,
        files: PictureFiles,
        pictures: PictureSource,
        reference: Reference,
        vocabulary: Vocabulary,
        preferences: Preferences,
        surroundings: Surroundings,
        keep_preferences: Callable[[Preferences], None],
        papers: Papers | None = None,
        upkeep: Upkeep | None = None,
        marks_out: MarksOut | None = None,
        close_records: Callable[[], None] = lambda: None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._open_records = open_records
        self._records: Records | None = None
        self.files = files
        self.pictures = pictures
        self.reference = reference
        self.vocabulary = vocabulary
        self.preferences = preferences
        self.surroundings = surroundings
        self.papers = papers
        self.upkeep = upkeep
        self.marks_out = marks_out
        self._keep_preferences = keep_preferences
        self._close_all = close_records
        self.records_lane = Lane("records", parent=self)
        self.long_lane = Lane("long", parent=self)
        self.quiet_lane = Lane("quiet", parent=self)  # what nobody waits for: fingerprints, scheduled copies
        self.records_lane.trouble.connect(self._tell)
        self.long_lane.trouble.connect(self._tell)
        self.quiet_lane.trouble.connect(self._tell)
        self.foray_id = ""
        self.specimen_id = ""

    def read(
        self,
        question: Callable[[Work], T],
        then: Callable[[T], None],
        *,
        failed: Callable[[Exception], None] | None = None,
    ) -> Ticket[T]:
        """Ask the records something; `then(answer)` follows in the GUI thread."""

        def call(_: Reporter) -> T:
            with self._opened().read() as work:
                return question(work)

        return self.records_lane.submit(call, done=then, failed=failed)

    def ask(
        self,
        question: Callable[[Records], T],
        then: Callable[[T], None],
        *,
        failed: Callable[[Exception], None] | None = None,
    ) -> Ticket[T]:
        """Like `read`, for questions to the catalogue as a whole (search, steps, safety copies)."""
        return self.records_lane.submit(lambda _: question(self._opened()), done=then, failed=failed)

    def do(
        self,
        label: str,
        action: Callable[[Work], T],
        then: Callable[[T], None] | None = None,
        *,
        undoable: bool = True,
        failed: Callable[[Exception], None] | None = None,
    ) -> Ticket[tuple[T, Changed | None]]:
        """Make one change, saved with its undo step before `then` is called."""

        def call(_: Reporter) -> tuple[T, Changed | None]:
            records = self._opened()
            with records.step(label, undoable=undoable) as work:
                value = action(work)
            return value, records.last_change

        def done(outcome: tuple[T, Changed | None]) -> None:
            value, change = outcome
            if change is not None:
                self.changed.emit(change)
                if undoable:
                    self.said.emit(label)
            if then is not None:
                then(value)

        return self.records_lane.submit(call, done=done, failed=failed)

    def undo(self) -> None:
        """Take back the newest step."""
        self._walk_history(lambda records: records.undo(), "Taken back", "There is nothing to take back.")

    def redo(self) -> None:
        """Do again what was taken back last."""
        self._walk_history(lambda records: records.redo(), "Done again", "There is nothing to do again.")

    def start_long(
        self,
        call: Callable[[Records, Reporter], T],
        *,
        done: Callable[[T], None],
        failed: Callable[[Exception], None] | None = None,
        progress: Callable[[object], None] | None = None,
        quiet: bool = False,
    ) -> Ticket[T]:
        """Run something long beside the other work, with its own connection to the records.

        `quiet` work never keeps what she asked for waiting: it has a lane of its own.
        """

        def work(reporter: Reporter) -> T:
            records = self._open_records()
            try:
                return call(records, reporter)
            finally:
                records.close()

        lane = self.quiet_lane if quiet else self.long_lane
        return lane.submit(work, done=done, failed=failed, progress=progress)

    def choose_foray(self, foray_id: str) -> None:
        """Make this the foray that Sort shows."""
        if foray_id != self.foray_id:
            self.foray_id = foray_id
            self.foray_chosen.emit(foray_id)

    def choose_specimen(self, specimen_id: str) -> None:
        """Make this the specimen that Describe, Compare and Hand on show."""
        if specimen_id != self.specimen_id:
            self.specimen_id = specimen_id
            self.specimen_chosen.emit(specimen_id)

    def set_preferences(self, preferences: Preferences) -> None:
        """Keep new preferences and tell everybody."""
        self.preferences = preferences
        self._keep_preferences(preferences)
        self.preferences_changed.emit(preferences)

    def close(self) -> None:
        """Save what is queued, then end every lane."""
        self.pictures.close()
        self.long_lane.close()
        self.quiet_lane.close()
        self.records_lane.submit(lambda _: self._close_records())
        self.records_lane.finish()
        self._close_all()

    def _opened(self) -> Records:
        """The records of the lane's own thread: a connection never crosses threads."""
        if self._records is None:
            self._records = self._open_records()
        return self._records

    def _close_records(self) -> None:
        if self._records is not None:
            self._records.close()
            self._records = None

    def _walk_history(self, walk: Callable[[Records], Changed | None], word: str, nothing: str) -> None:
        def done(change: Changed | None) -> None:
            if change is None:
                self.said.emit(nothing)
            else:
                self.changed.emit(change)
                self.said.emit(f"{word}: {change.label}")

        self.records_lane.submit(lambda _: walk(self._opened()), done=done)

    def _tell(self, error: Exception) -> None:
        if isinstance(error, Cancelled):
            return
        if isinstance(error, Problem):
            self.trouble.emit(str(error))
        else:
            self.trouble.emit(f"Something went wrong inside the program ({type(error).__name__}: {error}).")
