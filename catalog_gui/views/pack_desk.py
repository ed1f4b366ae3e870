"""Holds the reference that everything is weighed with, and changes the user's own pack of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from typing import TypeVar

from PySide6.QtCore import QObject, Signal

from catalog_gui.domain.feature import Vocabulary
from catalog_gui.domain.ledger import Changed
from catalog_gui.domain.pack_edit import RowEdit
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.views.records_desk import RecordsDesk
from catalog_gui.workflows.history import OWN_PACK_CHANGED, newest_of_both
from catalog_gui.workflows.ports import OwnPack, Records

T = TypeVar("T")

NO_PACK = "There is no place for a pack of your own here."


class PackDesk(QObject):
    """Changes the own pack on the records' queue, so that its steps and those of the records stay in one order.

    `own` is the pack, None where there is none; `open_folder` opens that of another folder; `place` names the
    catalogue in the steps of the pack.
    """

    reference_changed = Signal(object)  # Reference
    changed = Signal(object)  # Changed
    said = Signal(str)
    trouble = Signal(str)

    def __init__(
        self,
        records: RecordsDesk,
        reference: Reference,
        *,
        own: OwnPack | None = None,
        open_folder: Callable[[str], OwnPack] | None = None,
        place: str = "",
        now: Callable[[], datetime],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._records = records
        self._now = now
        self.reference = reference
        self.own = own
        self.open_folder = open_folder
        self.place = place

    @property
    def vocabulary(self) -> Vocabulary:
        """The features and states of the reference."""
        return self.reference.vocabulary

    def change(
        self,
        label: str,
        edits: Callable[[Reference, OwnPack], Iterable[RowEdit]],
        then: Callable[[Reference], None] | None = None,
        *,
        failed: Callable[[Exception], None] | None = None,
    ) -> None:
        """Make one change to the own pack; the reference is the new one before `then` is called."""
        pack, reference, place, now = self.own, self.reference, self.place, self._now()
        if pack is None:
            self.trouble.emit(NO_PACK)
            return

        def call(records: Records) -> Reference:
            newest = newest_of_both(records, None, place)[0]
            after = newest.id if newest else 0
            return pack.change(label, edits(reference, pack), at=now, place=place, after=after)

        def done(made: Reference) -> None:
            self.take(made, label)
            self.said.emit(label)
            if then is not None:
                then(made)

        self._records.ask(call, done, failed=failed)

    def read(self, question: Callable[[OwnPack], T], then: Callable[[T], None]) -> None:
        """Ask the own pack something; nothing happens where there is none."""
        pack = self.own
        if pack is not None:
            self._records.queue.submit(lambda _: question(pack), done=then)

    def use(self, folder: str, then: Callable[[], None]) -> None:
        """Work with the pack in another folder from now on. `then` follows when it could be read."""
        if self.open_folder is None:
            then()
            return
        pack = self.open_folder(folder)

        def done(made: Reference) -> None:
            self.own = pack
            self.take(made, "Another pack of your own")
            then()

        self._records.queue.submit(lambda _: pack.read(), done=done)

    def take(self, reference: Reference, label: str) -> None:
        """Weigh with this reference from now on, and tell everybody."""
        self.reference = reference
        self.reference_changed.emit(reference)
        self.changed.emit(Changed(label, dict(OWN_PACK_CHANGED)))

    def forget_undone(self) -> None:
        """A new step was made: what was taken back of the pack cannot be done again."""
        if self.own is not None:
            self.own.forget_undone()
