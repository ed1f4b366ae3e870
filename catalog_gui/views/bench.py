"""Holds together what every page works with, and is the one way to the user's eyes."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import QObject, Signal, SignalInstance

from catalog_gui.domain.feature import Vocabulary
from catalog_gui.domain.problem import Cancelled
from catalog_gui.jobs.worker_queue import WorkerQueue
from catalog_gui.lookalikes.prepared import Prepare
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.presenting.failure import failure_words, usable
from catalog_gui.settings import Preferences
from catalog_gui.views.pack_desk import PackDesk
from catalog_gui.views.records_desk import RecordsDesk
from catalog_gui.views.session import Session
from catalog_gui.views.widgets.pictures import PictureSource
from catalog_gui.workflows import history
from catalog_gui.workflows.ports import (
    MarksOut,
    OwnPack,
    Papers,
    PictureFiles,
    Records,
    Surroundings,
    Upkeep,
)
from catalog_gui.workflows.prepared_references import PreparedReferences

T = TypeVar("T")


class Bench(QObject):
    """Shared by all pages.

    `read` asks the records a question and hands the answer to `then`; `do` makes one undoable change
    (`RecordsDesk`). `pack` holds the reference and changes the own pack of it; `session` knows what is
    worked on and carries wishes between pages. `changed` follows every change, also undone ones.
    """

    changed = Signal(object)  # Changed
    said = Signal(str)  # a short message for the line at the foot of the window
    trouble = Signal(str)  # a message that needs to be seen
    fault = Signal(str)  # the same, where the program is at fault and the log says more
    preferences_changed = Signal(object)

    def __init__(
        self,
        open_records: Callable[[], Records],
        *,
        files: PictureFiles,
        pictures: PictureSource,
        reference: Reference,
        preferences: Preferences,
        surroundings: Surroundings,
        prepare: Prepare | None = None,
        keep_preferences: Callable[[Preferences], None],
        papers: Papers | None = None,
        upkeep: Upkeep | None = None,
        marks_out: MarksOut | None = None,
        own_pack: OwnPack | None = None,
        open_pack: Callable[[str], OwnPack] | None = None,
        place: str = "",
        log_path: str = "",
        read_log: Callable[[], str] = str,
        close_records: Callable[[], None] = lambda: None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.files = files
        self.pictures = pictures
        self.preferences = preferences
        self.surroundings = surroundings
        self.prepare: Prepare = prepare if prepare is not None else PreparedReferences()
        self.papers = papers
        self.upkeep = upkeep
        self.marks_out = marks_out
        self.log_path = log_path
        self._read_log = read_log
        self._keep_preferences = keep_preferences
        self.session = Session(self)
        self.records = RecordsDesk(open_records, close_all=close_records, parent=self)
        self.pack = PackDesk(
            self.records,
            reference,
            own=own_pack,
            open_folder=open_pack,
            place=place,
            now=surroundings.now,
            parent=self,
        )
        self.records.stepped = self.pack.forget_undone
        for desk in (self.records, self.pack):
            desk.changed.connect(self.changed)
            desk.said.connect(self.said)
        self.pack.trouble.connect(self.trouble)
        self.records.failed.connect(self.fail)
        self.read, self.ask, self.do = self.records.read, self.records.ask, self.records.do
        self.start_long = self.records.start_long
        self.change_pack, self.read_pack, self.use_pack = self.pack.change, self.pack.read, self.pack.use
        self.choose_foray, self.choose_specimen = self.session.choose_foray, self.session.choose_specimen

    # --- what is worked on ---------------------------------------------------------------------

    @property
    def foray_id(self) -> str:
        """The foray that Sort shows, or ''."""
        return self.session.foray_id

    @property
    def specimen_id(self) -> str:
        """The specimen that Describe, Compare and Hand on show, or ''."""
        return self.session.specimen_id

    @property
    def foray_chosen(self) -> SignalInstance:
        """Another foray is worked on (its id)."""
        return self.session.foray_chosen

    @property
    def specimen_chosen(self) -> SignalInstance:
        """Another specimen is worked on (its id)."""
        return self.session.specimen_chosen

    @property
    def page_wanted(self) -> SignalInstance:
        """Bring a page to the front (its key)."""
        return self.session.page_wanted

    @property
    def take_in_wanted(self) -> SignalInstance:
        """Take in pictures or tracks (places, the foray they join)."""
        return self.session.take_in_wanted

    @property
    def feature_wanted(self) -> SignalInstance:
        """Go to a feature on Describe (its id)."""
        return self.session.feature_wanted

    @property
    def paper_wanted(self) -> SignalInstance:
        """Make a paper (its kind, specimens, names of taxa)."""
        return self.session.paper_wanted

    @property
    def looks_ready(self) -> SignalInstance:
        """The pictures of a foray have been seen (its id, where the records stood)."""
        return self.session.looks_ready

    # --- what it is weighed with ---------------------------------------------------------------

    @property
    def reference(self) -> Reference:
        """The shipped reference with the own pack over it."""
        return self.pack.reference

    @property
    def vocabulary(self) -> Vocabulary:
        """The features and states of the reference."""
        return self.pack.vocabulary

    @property
    def own_pack(self) -> OwnPack | None:
        """The user's own pack, if there is a place for one."""
        return self.pack.own

    @property
    def place(self) -> str:
        """Which catalogue this is, in the steps of the own pack."""
        return self.pack.place

    @property
    def reference_changed(self) -> SignalInstance:
        """The own pack was changed (the new reference)."""
        return self.pack.reference_changed

    # --- queues --------------------------------------------------------------------------------

    @property
    def records_queue(self) -> WorkerQueue:
        """The queue that reads and changes the records, one piece after the other."""
        return self.records.queue

    @property
    def long_queue(self) -> WorkerQueue:
        """The queue for what takes long and is waited for."""
        return self.records.long_queue

    @property
    def quiet_queue(self) -> WorkerQueue:
        """The queue for what nobody waits for."""
        return self.records.quiet_queue

    # --- undo ----------------------------------------------------------------------------------

    def undo(self) -> None:
        """Take back the newest step, of the records or of the own pack."""
        self._move(history.undo, "Taken back", "There is nothing to take back.")

    def redo(self) -> None:
        """Do again what was taken back last."""
        self._move(history.redo, "Done again", "There is nothing to do again.")

    def _move(
        self, move: Callable[[Records, OwnPack | None, str], history.HistoryMove], word: str, nothing: str
    ) -> None:
        own, place = self.pack.own, self.pack.place

        def done(moved: history.HistoryMove) -> None:
            change = moved.change
            if change is None:
                self.said.emit(nothing)
                return
            if moved.reference is not None:
                self.pack.take(moved.reference, change.label)
            else:
                self.changed.emit(change)
            self.said.emit(f"{word}: {change.label}")

        self.records.ask(lambda records: move(records, own, place), done)

    # --- preferences, failures, end ------------------------------------------------------------

    def set_preferences(self, preferences: Preferences) -> None:
        """Keep new preferences and tell everybody."""
        self.preferences = preferences
        try:
            self._keep_preferences(preferences)
        except OSError as error:  # they hold until the program is closed
            self.fail(error)
        self.preferences_changed.emit(preferences)

    def fail(self, error: Exception, doing: str = "") -> None:
        """Tell the user of a failure: the one way from an exception to the screen. May come from any thread.

        `doing` is a sentence to say before it. Nothing is said of work that was stopped on purpose.
        """
        if isinstance(error, Cancelled):
            return
        words = f"{doing} {failure_words(error)}".strip()
        (self.trouble if usable(error) else self.fault).emit(words)

    def read_log(self, then: Callable[[str], None]) -> None:
        """Hand the newest lines of the log to `then`."""
        self.quiet_queue.submit(lambda _: self._read_log(), done=then)

    def close(self) -> None:
        """Save what is queued, then end every queue."""
        self.pictures.close()
        self.records.close()
