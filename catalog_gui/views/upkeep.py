"""Makes safety copies, restores them and checks the catalogue, from the window."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QHeaderView,
    QProgressBar,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.ledger import Changed
from catalog_gui.jobs.worker_queue import Reporter, Ticket
from catalog_gui.presenting.failure import failure_words
from catalog_gui.views.bench import Bench
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.ports import Records

OWN_TAXA = "own-taxa"
"""Where a restored catalogue holds the user's own pack."""


class UpkeepDialog(QDialog):
    """What keeps a lifetime's finds from being lost."""

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("upkeep")
        self.setWindowTitle("Safety copies and check")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.resize(760, 480)
        self._bench = bench
        self._ticket: Ticket[object] | None = None
        self._restored = ""
        column = QVBoxLayout(self)
        column.addWidget(label("Safety copies", "heading"))
        column.addWidget(
            label(
                "One file with everything you wrote, checked by its hashes. Your pictures are in it only if "
                "you say so. It is for you: it holds exact places and names.",
                "faded",
                wrap=True,
            )
        )
        column.addWidget(label(self._schedule(), "faded", name="upkeep-schedule", wrap=True))
        self._pictures = QCheckBox("With the pictures")
        self._pictures.setObjectName("upkeep-with-pictures")
        self._pictures.setAccessibleName("Put the pictures into the copy")
        row = QHBoxLayout()
        row.addWidget(self._button("Make a safety copy…", "upkeep-copy", self._copy))
        row.addWidget(self._pictures)
        row.addWidget(self._button("Restore into an empty folder…", "upkeep-restore", self._restore))
        row.addStretch(1)
        column.addLayout(row)
        column.addWidget(label("Check the catalogue", "heading"))
        check = QHBoxLayout()
        check.addWidget(self._button("Check every picture and link", "upkeep-check", self._check))
        check.addWidget(self._button("Look for moved pictures…", "upkeep-moved", self._find_moved))
        self._take = self._button("Write down the new places", "upkeep-take-moved", self._take_moved)
        self._take.setEnabled(False)
        check.addWidget(self._take)
        check.addStretch(1)
        column.addLayout(check)
        self._table = QTableWidget(0, 2)
        self._table.setObjectName("upkeep-findings")
        self._table.setAccessibleName("What the check found")
        self._table.setHorizontalHeaderLabels(["What", "Found"])
        self._table.verticalHeader().hide()
        self._table.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        self._table.setTabKeyNavigation(False)
        self._table.horizontalHeader().setSectionResizeMode(1, QHeaderView.ResizeMode.Stretch)
        self._table.setColumnWidth(0, 170)
        self._table.horizontalHeader().setDefaultAlignment(
            Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        )
        self._table.hide()
        column.addWidget(self._table, 1)
        self._words = label("", name="upkeep-words", wrap=True)
        column.addWidget(self._words)
        self._adopt = self._button("Use it from the next start", "upkeep-adopt", self._adopt_restored)
        self._adopt.hide()
        column.addWidget(self._adopt, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(0)
        foot = QHBoxLayout()
        self._progress = QProgressBar()
        self._progress.setObjectName("upkeep-progress")
        self._progress.setAccessibleName("Progress")
        self._progress.hide()
        foot.addWidget(self._progress, 1)
        self._stop = self._button("Stop", "upkeep-stop", self.stop)
        self._stop.hide()
        foot.addWidget(self._stop)
        foot.addStretch(1)
        foot.addWidget(self._button("Close", "upkeep-close", self.close))
        column.addLayout(foot)

    def _button(self, words: str, name: str, call: Callable[[], object]) -> QPushButton:
        button = QPushButton(words)
        button.setObjectName(name)
        button.setAccessibleName(words)
        button.clicked.connect(lambda _=False: call())
        return button

    def stop(self) -> None:
        """Stop what runs; nothing half done is left."""
        if self._ticket is not None:
            self._ticket.cancel()

    def run(self, call: Callable[[Reporter], object], then: Callable[[object], object]) -> None:
        """Run one thing at a time in the long queue, with progress."""
        if self._ticket is not None and self._ticket.running:
            self._words.setText("Something is running already.")
            return
        self._progress.setRange(0, 0)
        self._progress.show()
        self._stop.show()

        def done(value: object) -> None:
            self._end()
            then(value)

        def failed(error: Exception) -> None:
            self._end()
            self._words.setText(failure_words(error))

        self._ticket = self._bench.start_long(
            lambda _records, reporter: call(reporter), done=done, failed=failed, progress=self._on_progress
        )

    def copy_to(self, target: Path) -> None:
        """Make a copy at `target`."""
        upkeep, pictures = self._bench.upkeep, self._pictures.isChecked()
        if upkeep is not None:
            self.run(
                lambda reporter: upkeep.copy_now(
                    target, pictures=pictures, progress=_pair(reporter), cancelled=reporter.cancelled
                ),
                lambda words: self._words.setText(str(words)),
            )

    def restore_from(self, archive: Path, folder: Path) -> None:
        """Put a copy into an empty folder."""
        upkeep = self._bench.upkeep
        if upkeep is not None:
            self.run(
                lambda reporter: upkeep.restore(
                    archive, folder, progress=_pair(reporter), cancelled=reporter.cancelled
                ),
                lambda words: self._show_restored(str(words), folder),
            )

    def _show_restored(self, words: str, folder: Path) -> None:
        self._words.setText(words)
        self._restored = str(folder)
        self._adopt.show()

    def _adopt_restored(self) -> None:
        changed = replace(self._bench.preferences, catalogue_folder=self._restored)
        own = Path(self._restored) / OWN_TAXA
        if own.is_dir():
            changed = replace(changed, own_pack=str(own))
        self._bench.set_preferences(changed)
        self._adopt.hide()
        self._words.setText(f"From the next start the catalogue is the one in {self._restored}.")

    def _schedule(self) -> str:
        days, upkeep = self._bench.preferences.copies_every_days, self._bench.upkeep
        if days <= 0 or upkeep is None:
            return "No copy is made by itself; the preferences can change that."
        folder = self._bench.preferences.copies_folder or upkeep.copies
        often = "every day" if days == 1 else f"every {days} days"
        return f"By itself a copy without pictures is made {often} in {folder}."

    def _copy(self) -> None:
        upkeep = self._bench.upkeep
        if upkeep is None:
            return
        start = upkeep.copies.parent / f"foray-bench-{self._bench.surroundings.now():%Y-%m-%d}.zip"
        chosen, _ = QFileDialog.getSaveFileName(self, "Safety copy", str(start), "Safety copy (*.zip)")
        if chosen:
            self.copy_to(Path(chosen))

    def _restore(self) -> None:
        archive, _ = QFileDialog.getOpenFileName(self, "Safety copy to restore", "", "Safety copy (*.zip)")
        folder = QFileDialog.getExistingDirectory(self, "An empty folder for it") if archive else ""
        if folder:
            self.restore_from(Path(archive), Path(folder))

    def _check(self) -> None:
        upkeep = self._bench.upkeep
        if upkeep is not None:
            self.run(
                lambda reporter: upkeep.check(progress=_pair(reporter), cancelled=reporter.cancelled),
                self._show_check,
            )

    def _show_check(self, value: object) -> None:
        if not isinstance(value, tuple):
            return
        words, findings = value
        self._words.setText(words)
        self._table.setRowCount(len(findings))
        self._table.setVisible(bool(findings))
        for row, (kind, sentence) in enumerate(findings):
            self._table.setItem(row, 0, QTableWidgetItem(kind))
            item = QTableWidgetItem(sentence)
            item.setToolTip(sentence)
            self._table.setItem(row, 1, item)

    def _find_moved(self) -> None:
        folder = QFileDialog.getExistingDirectory(self, "Where may the pictures be now?")
        upkeep = self._bench.upkeep
        if not folder or upkeep is None:
            return

        def show(words: object) -> None:
            self._words.setText(str(words))
            self._take.setEnabled(str(words)[0] in "123456789")

        self.run(
            lambda reporter: upkeep.find_moved(
                [Path(folder)], progress=_pair(reporter), cancelled=reporter.cancelled
            ),
            show,
        )

    def _take_moved(self) -> None:
        upkeep = self._bench.upkeep
        if upkeep is None:
            return

        def show(changed: object) -> None:
            self._take.setEnabled(False)
            if isinstance(changed, Changed):
                moved = changed.ids.get("photos", frozenset())
                for photo_id in moved:
                    self._bench.pictures.forget(photo_id)
                self._bench.changed.emit(changed)
                self._words.setText(f"{len(moved)} pictures have their new places. Take back undoes it.")

        self.run(lambda _: upkeep.take_moved(), show)

    def _on_progress(self, value: object) -> None:
        if isinstance(value, tuple):
            done, total = value
            self._progress.setRange(0, 1000 if total else 0)
            self._progress.setValue(int(1000 * done / total) if total else 0)

    def _end(self) -> None:
        self._progress.hide()
        self._stop.hide()


def _pair(reporter: Reporter) -> Callable[[int, int], None]:
    return lambda done, total: reporter.progress((done, total))


def copy_when_due(bench: Bench) -> None:
    """The scheduled safety copy, quietly, some time after the start."""
    upkeep, preferences = bench.upkeep, bench.preferences
    if upkeep is None or preferences.copies_every_days <= 0:
        return
    folder = Path(preferences.copies_folder) if preferences.copies_folder else upkeep.copies
    now = bench.surroundings.now()

    def call(_records: Records, _reporter: Reporter) -> str:
        return upkeep.copy_when_due(folder, now=now, days=preferences.copies_every_days)

    bench.start_long(call, done=lambda words: bench.said.emit(words) if words else None, quiet=True)
