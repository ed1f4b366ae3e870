"""The row that hands over: save, print, stop, and after saving open the file or show its folder."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from PySide6.QtCore import Qt, QUrl, Signal
from PySide6.QtGui import QDesktopServices, QKeySequence
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import (
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QMessageBox,
    QProgressBar,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.last_look import PlacesLeft
from catalog_gui.domain.page import Paper
from catalog_gui.domain.problem import Cancelled
from catalog_gui.jobs.worker_queue import Reporter, Ticket
from catalog_gui.presenting.outputs.words import (
    PLACES_LEFT_HINT,
    places_left_words,
    printed_words,
    save_words,
    saved_words,
)
from catalog_gui.views.bench import Bench
from catalog_gui.views.outputs.choices import Choices
from catalog_gui.views.outputs.painter import burn_marks
from catalog_gui.views.outputs.press_room import write_pdf_in_subprocess
from catalog_gui.views.outputs.printing import print_papers
from catalog_gui.views.widgets.buttons import button
from catalog_gui.workflows.ports import Papers, Records, UnitOfWork
from catalog_gui.workflows.publish.files import write_files
from catalog_gui.workflows.publish.gathered import Gathered
from catalog_gui.workflows.publish.last_look import last_look
from catalog_gui.workflows.publish.ledger import handed_on
from catalog_gui.workflows.publish.order import FILES, Kind, Order, Question, gather_all, make_papers
from catalog_gui.workflows.publish.press import Press


class HandOver(QWidget):
    """Writes or prints what is chosen, off the GUI thread, and notes it down when it is whole.

    `running_changed` says whether something is being written.
    """

    running_changed = Signal(bool)

    def __init__(self, bench: Bench, choices: Choices, press: Callable[[], Press], parent: QWidget) -> None:
        super().__init__(parent)
        self._bench = bench
        self._choices = choices
        self._press = press
        self._ticket: Ticket[int] | None = None
        self._written: Path | None = None
        self._save = button(
            "hand-on-save",
            "Save as PDF…",
            "Save what is shown",
            shown="Ctrl+S",
            call=self.ask_target,
            main=True,
        )
        self._print = button(
            "hand-on-print", "Print…", "Print what is shown", shown="Ctrl+P", call=self.ask_printer
        )
        self._progress = QProgressBar()
        self._progress.setObjectName("hand-on-progress")
        self._progress.setAccessibleName("Progress")
        self._stop = button(
            "hand-on-stop",
            "Stop",
            "Stop; nothing half done is left",
            tip="Nothing half done is left",
            call=self.stop,
        )
        self._open = button("hand-on-open", "Open", "Open what was saved", call=self.open_written, small=True)
        self._folder = button(
            "hand-on-folder",
            "Show folder",
            "Show the folder of what was saved",
            call=self.show_folder,
            small=True,
        )
        for keys, pressed in (("Ctrl+S", self._save), ("Ctrl+P", self._print)):
            action = parent.addAction(
                pressed.accessibleName()
            )  # a button forgets its keys with each new text
            action.setShortcut(QKeySequence(keys))
            action.triggered.connect(pressed.click)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        row = QHBoxLayout()
        row.addWidget(self._save, 1)
        row.addWidget(self._print)
        row.addWidget(self._progress, 1)
        row.addWidget(self._stop)
        column.addLayout(row)
        after = QHBoxLayout()
        after.addWidget(self._open)
        after.addWidget(self._folder)
        after.addStretch(1)
        column.addLayout(after)
        self._show_written(None)
        self._set_running(running=False)

    def show_order(self, order: Order, *, settled: bool) -> None:
        """Say on the buttons what would happen now; what was saved before can still be opened."""
        ready = bool(order.papers) and settled
        self._save.setText(save_words(order.kind))
        self._save.setEnabled(ready)
        self._print.setEnabled(ready and order.kind not in FILES)

    @property
    def running(self) -> bool:
        """Whether something is being written or printed."""
        return self._ticket is not None

    @property
    def written(self) -> Path | None:
        """What was saved last, or None."""
        return self._written

    def stop(self) -> None:
        """Stop writing; no half file is left."""
        if self._ticket is not None:
            self._ticket.cancel()

    # -- saving --------------------------------------------------------------------------------------
    def ask_target(self) -> None:
        """Ask where to."""
        papers = self._bench.papers
        if papers is None or not self._save.isEnabled():
            return
        start = papers.folder / self._choices.file_name()
        dialog = QFileDialog(self, "Save", str(start), self._choices.file_filter())
        dialog.setObjectName("hand-on-dialog")
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.selectFile(start.name)
        picture_folder = self._choices.order().kind is Kind.PICTURES
        dialog.setDefaultSuffix("" if picture_folder else start.suffix.lstrip("."))
        # The dialog asks before it gives back the name of a file that is there.
        dialog.fileSelected.connect(lambda chosen: self.save(Path(chosen), replace=True))
        dialog.open()

    def save(self, target: Path, *, replace: bool = False, left_in: frozenset[str] = frozenset()) -> None:
        """Write what is chosen to `target`, off the GUI thread; the log follows when it is whole.

        What goes out with no place is read once more; whatever in it still looks like a place and is not among
        `left_in` is asked about, and nothing is written before that is answered.
        """
        order, papers = self._choices.order(), self._bench.papers
        if papers is None or self.running or not order.papers or not self._choices.settled:
            return
        press = self._press()

        def call(records: Records, reporter: Reporter) -> int:
            papers.tidy(target.parent)
            if order.kind in FILES:
                return write_files(
                    order,
                    gather_all(order, _reading(records)),
                    press,
                    papers,
                    target,
                    draw=burn_marks,
                    replace=replace,
                    left_in=left_in,
                    progress=reporter.progress,
                    cancelled=reporter.cancelled,
                )
            look = last_look(order, press, left_in)
            return write_pdf_in_subprocess(
                _made(order, records, press, papers, reporter),
                target,
                title=str(order.kind),
                replace=replace,
                look=papers.looking(look) if look is not None else None,
                progress=reporter.progress,
                cancelled=reporter.cancelled,
            )

        def asked(left: PlacesLeft) -> None:
            self._ask_about(
                left, lambda: self._save_again(order, target, replace, left_in.union(left.places))
            )

        def done(pages: int) -> None:
            self._note(order, str(target))
            self._show_written(target)
            self._bench.said.emit(saved_words(order.kind, target.name, pages))
            self._choices.forget_exact()

        self._start(order, call, done, asked)

    def _save_again(self, order: Order, target: Path, replace: bool, left_in: frozenset[str]) -> None:
        """Write after the answer, unless something else is chosen by now."""
        if self._choices.order() != order:
            self._bench.said.emit("Nothing was written: something else is chosen now.")
            return
        self.save(target, replace=replace, left_in=left_in)

    def _ask_about(self, left: PlacesLeft, leave_in: Callable[[], None]) -> None:
        """Ask about words that may be a place, without making the window wait."""
        box = QMessageBox(self)
        box.setObjectName("places-left")
        box.setWindowTitle("Is this a place?")
        box.setIcon(QMessageBox.Icon.NoIcon)
        box.setTextFormat(Qt.TextFormat.PlainText)
        box.setText(places_left_words(left.places))
        box.setInformativeText(PLACES_LEFT_HINT)
        stay = box.addButton("Leave it in", QMessageBox.ButtonRole.AcceptRole)
        refuse = box.addButton("Do not write it", QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(refuse)
        box.setEscapeButton(refuse)

        def closed(_result: int) -> None:
            box.deleteLater()
            if box.clickedButton() is stay:
                leave_in()
            else:
                self._bench.said.emit("Nothing was written.")

        box.finished.connect(closed)
        QMessageBox.open(box)

    # -- printing ------------------------------------------------------------------------------------
    def ask_printer(self) -> None:
        """Ask for a printer; what is chosen there but the size of the sheet is heeded."""
        if not self._print.isEnabled() or self.running:
            return
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setDocName(str(self._choices.order().kind))
        dialog = QPrintDialog(printer, self)
        dialog.setObjectName("hand-on-print-dialog")

        def closed(result: int) -> None:
            dialog.deleteLater()
            if result == QDialog.DialogCode.Accepted:
                self.print_on(printer)

        dialog.finished.connect(closed)
        QDialog.open(dialog)

    def print_on(self, printer: QPrinter) -> None:
        """Print what is chosen, off the GUI thread; the log follows when all of it went."""
        order, papers = self._choices.order(), self._bench.papers
        if papers is None or self.running or not order.papers or not self._choices.settled:
            return
        if order.kind in FILES:
            return
        press = self._press()
        name = printer.printerName() or printer.outputFileName() or "printer"

        def call(records: Records, reporter: Reporter) -> int:
            return print_papers(
                _made(order, records, press, papers, reporter),
                printer,
                progress=reporter.progress,
                cancelled=reporter.cancelled,
            )

        def done(pages: int) -> None:
            self._note(order, f"printed on {name}")
            self._bench.said.emit(printed_words(name, pages))
            self._choices.forget_exact()

        self._start(order, call, done)

    # -- afterwards ----------------------------------------------------------------------------------
    def open_written(self) -> None:
        """Open what was saved with whatever the machine opens it with."""
        if self._written is not None:
            self._show_on_desktop(self._written)

    def show_folder(self) -> None:
        """Show the folder of what was saved."""
        if self._written is not None:
            self._show_on_desktop(self._written.parent)

    def _show_on_desktop(self, path: Path) -> None:
        if not path.exists():
            self._bench.trouble.emit(f"{path}: it is not there any longer.")
        elif not QDesktopServices.openUrl(QUrl.fromLocalFile(str(path))):
            self._bench.trouble.emit(f"{path}: this machine has no program set to open it.")

    def _show_written(self, target: Path | None) -> None:
        self._written = target
        for one in (self._open, self._folder):
            one.setVisible(target is not None)
            if target is not None:
                one.setToolTip(f"{one.accessibleName()}: {target}")

    def _start(
        self,
        order: Order,
        call: Callable[[Records, Reporter], int],
        done: Callable[[int], None],
        asked: Callable[[PlacesLeft], None] | None = None,
    ) -> None:
        many = order.papers > 1
        self._progress.setRange(0, order.papers if many else 0)
        self._progress.setValue(0)
        self._progress.setFormat(f"%v of {order.papers}" if many else "%v done")
        self._show_written(None)
        self._set_running(running=True)

        def ended(pages: int) -> None:
            self._ticket = None
            self._set_running(running=False)
            done(pages)

        def failed(error: Exception) -> None:
            if asked is not None and isinstance(error, PlacesLeft):
                self._ticket = None
                self._set_running(running=False)
                asked(error)
            else:
                self._failed(error)

        self._ticket = self._bench.start_long(call, done=ended, failed=failed, progress=self._progressed)

    def _note(self, order: Order, target: str) -> None:
        words = self._choices.precision_words(order)
        surroundings = self._bench.surroundings

        def note(work: UnitOfWork) -> None:
            handed_on(
                work,
                surroundings,
                what=str(order.kind),
                to_whom=str(order.audience),
                precision=words,
                specimens=order.specimens,
                target=target,
            )

        self._bench.do(f"Handed on: {order.kind}", note, undoable=False)

    def _progressed(self, done: object) -> None:
        if isinstance(done, int):
            self._progress.setValue(done)

    def _failed(self, error: Exception) -> None:
        self._ticket = None
        self._set_running(running=False)
        if isinstance(error, Cancelled):
            self._bench.said.emit("Stopped. No file was left.")
        else:
            self._bench.fail(error)

    def _set_running(self, *, running: bool) -> None:
        self._save.setVisible(not running)
        self._print.setVisible(not running)
        self._progress.setVisible(running)
        self._stop.setVisible(running)
        self.running_changed.emit(running)


def _reading(records: Records) -> Callable[[Question], tuple[Gathered, ...]]:
    def read(question: Question) -> tuple[Gathered, ...]:
        with records.read() as work:
            return question(work)

    return read


def _made(
    order: Order, records: Records, press: Press, papers: Papers, reporter: Reporter
) -> Iterator[Paper]:
    return make_papers(order, _reading(records), press, papers, reporter.cancelled)
