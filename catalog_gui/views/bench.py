"""The bench: what every page works with. Reads and changes run on the records lane, never in the GUI thread."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

from PySide6.QtCore import QObject, Signal

from catalog_gui.domain.feature import Vocabulary
from catalog_gui.domain.ledger import Changed
from catalog_gui.domain.pack_edit import RowEdit
from catalog_gui.domain.problem import Cancelled
from catalog_gui.jobs.lane import Lane, Reporter, Ticket
from catalog_gui.lookalikes.prepared import Prepare
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.presenting.failure import failure_words, usable
from catalog_gui.settings import Preferences
from catalog_gui.views.widgets.pictures import PictureSource
from catalog_gui.workflows.history import newest_of_both, oldest_undone_of_both
from catalog_gui.workflows.ports import (
    MarksOut,
    OwnPack,
    Papers,
    PictureFiles,
    Records,
    Surroundings,
    Upkeep,
    Work,
)
from catalog_gui.workflows.prepared_references import PreparedReferences

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
    fault = Signal(str)  # the same, where the program is at fault and the log says more
    preferences_changed = Signal(object)
    looks_ready = Signal(str, object)  # a foray taken in, and where the records stood then
    feature_wanted = Signal(str)  # go to this feature on Describe
    paper_wanted = Signal(str, list, list)  # kind of paper (publish_order.Kind), specimens, names of taxa
    reference_changed = Signal(object)  # Reference: her own pack was changed

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
        self._open_records = open_records
        self._records: Records | None = None
        self.files = files
        self.pictures = pictures
        self.reference = reference
        self.vocabulary = vocabulary
        self.preferences = preferences
        self.surroundings = surroundings
        self.prepare: Prepare = prepare if prepare is not None else PreparedReferences()
        self.papers = papers
        self.upkeep = upkeep
        self.marks_out = marks_out
        self.own_pack = own_pack
        self._open_pack = open_pack
        self.place = place  # which catalogue this is, in the steps of her own pack
        self.log_path = log_path
        self._read_log = read_log
        self._keep_preferences = keep_preferences
        self._close_all = close_records
        self.records_lane = Lane("records", parent=self)
        self.long_lane = Lane("long", parent=self)
        self.quiet_lane = Lane("quiet", parent=self)  # what nobody waits for: fingerprints, scheduled copies
        self.records_lane.trouble.connect(self.fail)
        self.long_lane.trouble.connect(self.fail)
        self.quiet_lane.trouble.connect(self.fail)
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
            if undoable and self.own_pack is not None and records.last_change is not None:
                self.own_pack.forget_undone()
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
        """Take back the newest step, of the records or of her own pack."""
        self._walk_history("Taken back", "There is nothing to take back.", back=True)

    def redo(self) -> None:
        """Do again what was taken back last."""
        self._walk_history("Done again", "There is nothing to do again.", back=False)

    # --- her own pack --------------------------------------------------------------------------

    def change_pack(
        self,
        label: str,
        edits: Callable[[Reference, OwnPack], Iterable[RowEdit]],
        then: Callable[[Reference], None] | None = None,
        *,
        failed: Callable[[Exception], None] | None = None,
    ) -> None:
        """Make one change to her own pack; the reference is the new one before `then` is called."""
        pack, reference, now = self.own_pack, self.reference, self.surroundings.now()
        if pack is None:
            self.trouble.emit("There is no place for a pack of your own here.")
            return

        def call(_: Reporter) -> Reference:
            newest = newest_of_both(self._opened(), None, self.place)[0]
            return pack.change(
                label, edits(reference, pack), at=now, place=self.place, after=newest.id if newest else 0
            )

        def done(made: Reference) -> None:
            self._take_reference(made, label)
            self.said.emit(label)
            if then is not None:
                then(made)

        self.records_lane.submit(call, done=done, failed=failed)

    def read_pack(self, question: Callable[[OwnPack], T], then: Callable[[T], None]) -> None:
        """Ask her own pack something; nothing happens where there is none."""
        pack = self.own_pack
        if pack is not None:
            self.records_lane.submit(lambda _: question(pack), done=then)

    def use_pack(self, folder: str, then: Callable[[], None]) -> None:
        """Work with the pack in another folder from now on. `then` follows when it could be read."""
        if self._open_pack is None:
            then()
            return
        pack = self._open_pack(folder)

        def done(made: Reference) -> None:
            self.own_pack = pack
            self._take_reference(made, "Another pack of your own")
            then()

        self.records_lane.submit(lambda _: pack.read(), done=done)

    def _take_reference(self, reference: Reference, label: str) -> None:
        self.reference = reference
        self.vocabulary = reference.vocabulary
        self.reference_changed.emit(reference)
        self.changed.emit(Changed(label, {"reference": frozenset({"own"})}))

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
        try:
            self._keep_preferences(preferences)
        except OSError as error:  # they hold until the program is closed
            self.fail(error)
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

    def _walk_history(self, word: str, nothing: str, *, back: bool) -> None:
        pack = self.own_pack

        def call(_: Reporter) -> tuple[Changed | None, Reference | None]:
            records = self._opened()
            ask = newest_of_both if back else oldest_undone_of_both
            of_pack = ask(records, pack, self.place)[1]
            if pack is not None and of_pack is not None:
                moved = pack.undo() if back else pack.redo()
                if moved is not None:
                    label = moved[0].label
                    return Changed(label, {"reference": frozenset({"own"})}), moved[1]
            return (records.undo() if back else records.redo()), None

        def done(answer: tuple[Changed | None, Reference | None]) -> None:
            change, reference = answer
            if change is None:
                self.said.emit(nothing)
                return
            if reference is not None:
                self._take_reference(reference, change.label)
            else:
                self.changed.emit(change)
            self.said.emit(f"{word}: {change.label}")

        self.records_lane.submit(call, done=done)

    def fail(self, error: Exception) -> None:
        """Tell the user of a failure: the one way from an exception to the screen. May come from any thread.

        Nothing is said of work that was stopped on purpose.
        """
        if isinstance(error, Cancelled):
            return
        words = failure_words(error)
        (self.trouble if usable(error) else self.fault).emit(words)

    def read_log(self, then: Callable[[str], None]) -> None:
        """Hand the newest lines of the log to `then`."""
        self.quiet_lane.submit(lambda _: self._read_log(), done=then)
