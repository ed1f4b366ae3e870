"""Takes pictures in from the window: choose, watch, stop, and read the account of every file."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import PurePath

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QHeaderView,
    QMessageBox,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.ledger import Changed
from catalog_gui.jobs.worker_queue import Reporter, Ticket
from catalog_gui.presenting.intake import account_rows, report_sentence
from catalog_gui.views.bench import Bench
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.import_photos import (
    IntakeProgress,
    IntakeReport,
    fill_content_hashes,
    take_in,
)
from catalog_gui.workflows.ports import Records
from catalog_gui.workflows.tell_cameras_apart import tell_cameras_apart
from catalog_gui.workflows.weigh_looks import see_pictures

PHASES = {
    "looking": "Looking for pictures",
    "reading": "Reading what the cameras wrote",
    "sorting": "Sorting",
    "hashing": "Fingerprinting whole files",
}


class Intake(QObject):
    """Runs take-ins for the window, one at a time."""

    progressed = Signal(str, int, int)  # words, done, total
    finished = Signal(object)  # IntakeReport
    ended = Signal()

    def __init__(self, bench: Bench, window: QWidget) -> None:
        super().__init__(window)
        self._bench = bench
        self._window = window
        self._ticket: Ticket[tuple[IntakeReport, Changed | None, object]] | None = None
        self._seeing: Ticket[tuple[int, Changed | None, object]] | None = None
        self._hashing: Ticket[object] | None = None

    @property
    def running(self) -> bool:
        """Whether a take-in is under way."""
        return self._ticket is not None and self._ticket.running

    def ask_folder(self) -> None:
        """Ask for a folder or card; a foray that is open may be joined."""
        folder = QFileDialog.getExistingDirectory(self._window, "Folder or card with the pictures")
        if folder:
            self.offer([folder])

    def offer(self, places: Sequence[str]) -> None:
        """Take in these places, after asking whether they belong to the foray that is open."""
        foray_id = self._bench.foray_id
        if not foray_id:
            self.start(places)
            return
        question = QMessageBox(self._window)
        question.setObjectName("which-foray")
        question.setWindowTitle("Which foray?")
        question.setText("Do these pictures belong to the foray that is open?")
        question.setInformativeText("A second card or a friend's camera joins it. What you did there stays.")
        join = question.addButton("Join this foray", QMessageBox.ButtonRole.AcceptRole)
        fresh = question.addButton("New foray", QMessageBox.ButtonRole.ActionRole)
        question.addButton("Leave it", QMessageBox.ButtonRole.RejectRole)
        question.setDefaultButton(join)
        question.exec()
        if question.clickedButton() is join:
            self.start(places, foray_id=foray_id)
        elif question.clickedButton() is fresh:
            self.start(places)

    def start(self, places: Sequence[str], *, foray_id: str = "") -> None:
        """Take in at once; `finished` follows with the report."""
        if self.running:
            self._bench.trouble.emit("A take-in is running already. Stop it or let it end first.")
            return
        if self._hashing is not None and self._hashing.running:
            self._hashing.cancel()  # it goes on after the new pictures
        if self._seeing is not None and self._seeing.running:
            self._seeing.drop()  # the pictures are looked at when they are shown
        bench = self._bench

        def call(records: Records, reporter: Reporter) -> tuple[IntakeReport, Changed | None, object]:
            report = take_in(
                records,
                bench.files,
                places,
                bench.surroundings,
                foray_id=foray_id,
                time_zone=bench.preferences.time_zone,
                progress=reporter.progress,
                cancelled=reporter.cancelled,
            )
            with records.read() as work:
                return report, records.last_change, work.position()

        self.progressed.emit("Looking for pictures", 0, 0)
        self._ticket = bench.start_long(call, done=self._done, failed=self._failed, progress=self._progress)

    def stop(self) -> None:
        """Stop after the picture being read; what was read is kept."""
        if self._ticket is not None:
            self._ticket.cancel()

    def hash_on(self) -> None:
        """Fingerprint whole files in the background; goes on where it stopped last time."""
        if self._hashing is not None and self._hashing.running:
            return

        def call(records: Records, reporter: Reporter) -> object:
            return fill_content_hashes(records, self._bench.files, cancelled=reporter.cancelled)

        self._hashing = self._bench.start_long(call, done=lambda _: None, failed=lambda _: None, quiet=True)

    def _see_pictures(self, report: IntakeReport, position: object) -> None:
        """Read makers' notes and look at what was taken in, in the background; `looks_ready` follows."""
        bench = self._bench
        if not report.taken:
            return
        pictures, looks = bench.pictures.decoder, bench.surroundings.likeness is not None

        def call(records: Records, reporter: Reporter) -> tuple[int, Changed | None, object]:
            stop, since = reporter.cancelled, position
            apart = tell_cameras_apart(
                records, bench.files, report.foray_id, since, bench.surroundings, cancelled=stop
            )
            change = records.last_change if apart else None
            if apart:
                with records.read() as work:
                    since = work.position()
            return see_pictures(pictures, report.taken, cancelled=stop) if looks else 0, change, since

        def done(outcome: tuple[int, Changed | None, object]) -> None:
            seen, change, since = outcome
            if change is not None:
                bench.changed.emit(change)
            if seen:
                bench.looks_ready.emit(report.foray_id, since)

        self._seeing = bench.start_long(call, done=done, failed=lambda _: None, quiet=True)

    def _progress(self, value: object) -> None:
        if isinstance(value, IntakeProgress):
            self.progressed.emit(PHASES.get(value.phase, value.phase), value.done, value.total)

    def _done(self, outcome: tuple[IntakeReport, Changed | None, object]) -> None:
        report, change, position = outcome
        self.ended.emit()
        if change is not None and (report.taken or report.tracks or report.known):
            self._bench.changed.emit(change)
        if report.taken:
            self._bench.choose_foray(report.foray_id)
        self.finished.emit(report)
        self._see_pictures(report, position)
        self.hash_on()

    def _failed(self, error: Exception) -> None:
        self.ended.emit()
        self._bench.fail(error, "The pictures could not be taken in.")


class IntakeAccount(QDialog):
    """Every file that was not simply taken in, with the reason."""

    def __init__(self, report: IntakeReport, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("intake-account")
        self.setWindowTitle("Account of the take-in")
        self.resize(760, 420)
        rows = account_rows(report)
        column = QVBoxLayout(self)
        column.addWidget(label(report_sentence(report), "heading", name="intake-sentence", wrap=True))
        column.addWidget(label("No file was changed, moved or copied.", "faded"))
        table = QTableWidget(len(rows), 3, self)
        table.setObjectName("intake-table")
        table.setAccessibleName("Files that were not simply taken in")
        table.setHorizontalHeaderLabels(["What", "File", "Why"])
        table.verticalHeader().hide()
        table.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        table.setSelectionBehavior(QTableWidget.SelectionBehavior.SelectRows)
        table.setTabKeyNavigation(False)
        for row, (what, path, reason) in enumerate(rows):
            for cell, text in enumerate((what, PurePath(path).name, reason)):
                item = QTableWidgetItem(text)
                item.setToolTip(path if cell == 1 else text)
                table.setItem(row, cell, item)
        table.horizontalHeader().setSectionResizeMode(2, QHeaderView.ResizeMode.Stretch)
        table.setColumnWidth(0, 110)
        table.setColumnWidth(1, 230)
        table.setWordWrap(True)
        table.resizeRowsToContents()
        column.addWidget(table, 1)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, self)
        buttons.rejected.connect(self.reject)
        buttons.button(QDialogButtonBox.StandardButton.Close).setObjectName("intake-close")
        column.addWidget(buttons)
        self.setWindowModality(Qt.WindowModality.NonModal)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
