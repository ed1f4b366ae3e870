"""Writes down what is said of the specimen shown: each method makes one undoable change."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from catalog_gui.domain.entry_line import Entry
from catalog_gui.domain.evidence import Standing
from catalog_gui.domain.feature import Part
from catalog_gui.domain.figures_typed import read_size
from catalog_gui.domain.specimen import Specimen
from catalog_gui.presenting.describe.state import DescribeState
from catalog_gui.views.bench import Bench
from catalog_gui.views.describe.taster import TasterDialog
from catalog_gui.workflows import plate, record_evidence
from catalog_gui.workflows.annotate import measured_to_evidence
from catalog_gui.workflows.ports import UnitOfWork


class Recording(QObject):
    """Holds which specimen and fruit body is written about. `stale` asks to show again what is really kept."""

    stale = Signal()
    left_as_it_was = Signal()  # a control was touched that changes nothing

    def __init__(self, bench: Bench, window: QWidget) -> None:
        super().__init__(window)
        self._bench, self._window = bench, window
        self._state = DescribeState()
        self._body = ""

    def about(self, state: DescribeState, fruit_body: str) -> None:
        """Write about this specimen from now on, about one fruit body of it or all of it ('')."""
        self._state, self._body = state, fruit_body

    @property
    def _specimen(self) -> Specimen | None:
        return self._state.specimen

    def _do(self, words: str, action: Callable[[UnitOfWork], object]) -> None:
        def failed(error: Exception) -> None:
            self._bench.fail(error)
            self.stale.emit()

        self._bench.do(words, action, failed=failed)

    # --- features ------------------------------------------------------------------------------

    def record(self, entries: tuple[Entry, ...]) -> None:
        """Note entries; who tasted is asked first, for a taste is recorded only with a name."""
        specimen = self._specimen
        if specimen is None or not entries:
            return
        vocabulary = self._bench.vocabulary
        features = [vocabulary.feature(entry.feature) for entry in entries]
        tasted = any(feature is not None and feature.part is Part.TASTE for feature in features)
        if tasted and entries[0].standing is not Standing.NOT_LOOKED_AT:
            self._ask_taster(lambda who: self._write(specimen.id, entries, who))
        else:
            self._write(specimen.id, entries, self._bench.preferences.person)

    def _write(self, specimen_id: str, entries: tuple[Entry, ...], by: str) -> None:
        bench, body = self._bench, self._body
        feature = bench.vocabulary.feature(entries[0].feature)
        taken_back = entries[0].standing is Standing.NOT_LOOKED_AT
        word = "Take back" if taken_back else "Note"
        self._do(
            f"{word} {feature.name}" if feature is not None else word,
            lambda work: record_evidence.record_entries(
                work,
                specimen_id,
                entries,
                reference=bench.reference,
                surroundings=bench.surroundings,
                by=by,
                fruit_body=body,
            ),
        )

    def _ask_taster(self, then: Callable[[str], None]) -> None:
        dialog = TasterDialog(self._state.people, self._window)
        dialog.named.connect(then)
        dialog.rejected.connect(self.stale)
        dialog.open()

    def toggle(self, feature_id: str, state: str, on: bool) -> None:
        """Note a state of a feature, or take it back."""
        specimen = self._specimen
        if specimen is None:
            return
        bench, body = self._bench, self._body
        feature = bench.vocabulary.feature(feature_id)
        taste = feature is not None and feature.part is Part.TASTE

        def write(by: str) -> None:
            self._do(
                f"Note {feature.name if feature is not None else feature_id}",
                lambda work: record_evidence.set_state(
                    work,
                    specimen.id,
                    feature_id,
                    state,
                    on=on,
                    reference=bench.reference,
                    surroundings=bench.surroundings,
                    by=by,
                    fruit_body=body,
                ),
            )

        if taste and on:
            self._ask_taster(write)
        else:
            write("" if taste else bench.preferences.person)

    def set_standing(self, feature_id: str, standing: Standing) -> None:
        """Note that a feature was not there, gone or not looked at; 'seen' waits for what was seen."""
        if standing is Standing.SEEN:
            self.left_as_it_was.emit()
        else:
            self.record((Entry(feature_id, standing),))

    def set_size(self, feature_id: str, text: str) -> None:
        """Note a size as it was typed."""
        feature = self._bench.vocabulary.feature(feature_id)
        found = read_size(text)
        if feature is None or not text.strip():
            return
        if found is None or found[0] or len(found[1]) != 1:
            self._bench.trouble.emit(f"'{text}' is no size. Write 45-60, or 4.5-6 cm.")
            return
        size = found[1][0]
        self.record((Entry(feature_id, Standing.SEEN, low=size.low, high=size.high, unit=size.unit),))

    def set_note(self, feature_id: str, note: str) -> None:
        """Write a note beside an entry."""
        self._annotate(feature_id, "Write a note", note=note, by=self._bench.preferences.person)

    def set_sure(self, feature_id: str, sure: bool) -> None:
        """Doubt an entry, or be sure of it."""
        words = "Be sure of an entry" if sure else "Doubt an entry"
        self._annotate(feature_id, words, sure=sure, by=self._bench.preferences.person)

    def link(self, feature_id: str, mark_id: str) -> None:
        """Tie a mark to the entry it shows; a feature without an entry has nothing to show."""
        if feature_id in self._state.of_body(self._body):
            self._annotate(feature_id, "Link a mark", mark_id=mark_id)

    def _annotate(
        self,
        feature_id: str,
        words: str,
        *,
        note: str | None = None,
        sure: bool | None = None,
        mark_id: str | None = None,
        by: str = "",
    ) -> None:
        specimen = self._specimen
        if specimen is None:
            return
        bench, body = self._bench, self._body
        self._do(
            words,
            lambda work: record_evidence.annotate_entry(
                work,
                specimen.id,
                feature_id,
                reference=bench.reference,
                surroundings=bench.surroundings,
                note=note,
                sure=sure,
                mark_id=mark_id,
                by=by,
                fruit_body=body,
            ),
        )

    # --- pictures ------------------------------------------------------------------------------

    def assign(self, part: str, photo_id: str) -> None:
        """Put a picture on a panel of the plate."""
        specimen, surroundings = self._specimen, self._bench.surroundings
        if specimen is not None:
            self._do(
                "Put a picture on the plate",
                lambda work: plate.put_on_panel(work, specimen.id, part, photo_id, surroundings=surroundings),
            )

    def empty_panel(self, part: str) -> None:
        """Take the picture off a panel."""
        specimen = self._specimen
        if specimen is not None:
            self._do(
                "Take a picture off the plate", lambda work: plate.take_off_panel(work, specimen.id, part)
            )

    def measured(self, mark_id: str, feature_id: str, low: float, high: float, unit: str) -> None:
        """Note a size that was measured on a picture."""
        specimen = self._specimen
        if specimen is None:
            return
        bench, body = self._bench, self._body
        self._do(
            "Note a measured size",
            lambda work: measured_to_evidence(
                work,
                specimen.id,
                feature_id,
                low,
                high,
                unit,
                reference=bench.reference,
                surroundings=bench.surroundings,
                mark_id=mark_id,
                by=bench.preferences.person,
                fruit_body=body,
            ),
        )
