"""Shows the window: the path on top, one page in front, what cannot wait, and a line that says what happened."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtGui import QAction, QCloseEvent, QDragEnterEvent, QDropEvent, QKeySequence
from PySide6.QtWidgets import (
    QApplication,
    QMainWindow,
    QMenu,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.caution import CAUTION, IF_EATEN
from catalog_gui.domain.ledger import Changed
from catalog_gui.presenting.intake import report_sentence
from catalog_gui.presenting.window import WindowFacts, read_window
from catalog_gui.presenting.words import counted
from catalog_gui.settings import Theme
from catalog_gui.views import theme
from catalog_gui.views.bench import Bench
from catalog_gui.views.cannot_wait import CannotWait
from catalog_gui.views.caution_boxes import show_caution, show_if_eaten
from catalog_gui.views.filled_menus import fill_forays, fill_steps
from catalog_gui.views.first_steps import FirstSteps
from catalog_gui.views.foot_line import FootLine
from catalog_gui.views.intake import Intake, IntakeAccount
from catalog_gui.views.page import Page
from catalog_gui.views.path_header import PathHeader
from catalog_gui.views.preferences import show_preferences
from catalog_gui.views.upkeep import UpkeepDialog, copy_when_due
from catalog_gui.views.what_happened import WhatHappened
from catalog_gui.views.where_from import WhereFrom
from catalog_gui.views.widgets.labels import label
from catalog_gui.workflows.import_photos import IntakeReport
from catalog_gui.workflows.ports import UnitOfWork

PageMaker = Callable[[Bench], Page]


class MainWindow(QMainWindow):
    """The one window. `pages` in the order of the evening."""

    def __init__(self, bench: Bench, pages: Sequence[PageMaker], *, title: str = "") -> None:
        super().__init__()
        self.bench = bench
        self.setObjectName("main-window")
        self._title = title
        self.setWindowTitle(f"Foray Bench – {title}" if title else "Foray Bench")
        self.resize(1280, 720)
        self.setMinimumSize(1024, 640)
        self.setAcceptDrops(True)
        self.intake = Intake(bench, self)
        self.pages: dict[str, Page] = {}
        self._stack = QStackedWidget()
        self._stack.setObjectName("pages")
        made = [make(bench) for make in pages]
        for page in made:
            self.pages[page.key] = page
            self._stack.addWidget(page)
        self.header = PathHeader([(page.key, page.title, page.purpose) for page in made], self)
        self.header.chosen.connect(self.show_page)
        self._first_steps = FirstSteps(self)
        self._first_steps.setVisible(bench.preferences.first_steps)
        self._waiting = CannotWait(bench, self)
        self._caution = label(CAUTION, "caution-line", name="page-caution", wrap=True)
        self._caution.setAccessibleName("Caution")
        self._foot = FootLine(self)
        self._lay_out()
        self._make_menus()
        self._connect()
        self._last_report: IntakeReport | None = None
        self._accounts: list[QWidget] = []
        self.show_page(made[0].key)
        self._refresh_shared(None)
        self._minute = QTimer(self)
        self._minute.setInterval(60_000)
        self._minute.timeout.connect(lambda: self._refresh_shared(None))
        self._minute.start()

    def _lay_out(self) -> None:
        whole = QWidget()
        column = QVBoxLayout(whole)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.header)
        column.addWidget(self._first_steps)
        column.addWidget(self._waiting)
        column.addWidget(self._stack, 1)
        column.addWidget(self._caution)
        column.addWidget(self._foot)
        self.setCentralWidget(whole)

    def _make_menus(self) -> None:
        bar = self.menuBar()
        bar.setObjectName("menus")
        foray = bar.addMenu("&Foray")
        self._act(foray, "take-in", "&Take in pictures…", self.intake.ask_folder, "Ctrl+T")
        forays = foray.addMenu("&Open foray")
        forays.setObjectName("menu-forays")
        forays.aboutToShow.connect(lambda: fill_forays(forays, self.bench, self._open_foray))
        self._act(foray, "account", "&Account of the last take-in", self._show_account)
        foray.addSeparator()
        self._act(foray, "upkeep", "&Safety copies and check…", self.show_upkeep)
        self._act(foray, "preferences", "&Preferences…", self.show_preferences, "Ctrl+,")
        foray.addSeparator()
        self._act(foray, "close", "&Close", self.close, QKeySequence(QKeySequence.StandardKey.Quit))
        change = bar.addMenu("&Change")
        self._act(change, "undo", "&Take back", self.bench.undo, QKeySequence(QKeySequence.StandardKey.Undo))
        redo = self._act(change, "redo", "&Do again", self.bench.redo)
        redo.setShortcuts([QKeySequence("Ctrl+Shift+Z"), QKeySequence("Ctrl+Y")])
        steps = change.addMenu("&What was done")
        steps.setObjectName("menu-steps")
        steps.aboutToShow.connect(lambda: fill_steps(steps, self.bench))
        look = bar.addMenu("&Look")
        for key, word in (
            (Theme.LIGHT, "&Light"),
            (Theme.DARK, "&Dark"),
            (Theme.SYSTEM, "As the &system has it"),
        ):
            self._act(look, f"theme-{key}", word, lambda _=False, key=key: self._set_theme(key))
        for page in self.pages.values():
            page_action = QAction(page.title, self)
            page_action.setObjectName(f"go-{page.key}")
            page_action.triggered.connect(lambda _=False, key=page.key: self.show_page(key))
            look.addAction(page_action)
        about = bar.addMenu("&Help")
        self._act(about, "first-steps", "&First steps", self._show_first_steps)
        self._act(about, "what-happened", "&What happened…", self.show_what_happened)
        self._act(about, "where-from", "Where the &values come from…", self.show_where_from)
        self._act(
            about, "caution", "&Caution and law", lambda: show_caution(self.bench.preferences, self), "F1"
        )
        self._act(
            about,
            "if-eaten",
            f"&{IF_EATEN}…",
            lambda: show_if_eaten(self.bench.preferences, self),
            "Shift+F1",
        )

    def _act(
        self,
        menu: QMenu,
        name: str,
        words: str,
        call: Callable[..., object],
        keys: str | QKeySequence | None = None,
    ) -> QAction:
        action = QAction(words, self)
        action.setObjectName(f"action-{name}")
        if keys is not None:
            action.setShortcut(QKeySequence(keys))
        action.triggered.connect(lambda _checked=False: call())
        menu.addAction(action)
        return action

    def _connect(self) -> None:
        bench = self.bench
        bench.said.connect(self._foot.say)
        bench.trouble.connect(self._foot.warn)
        bench.fault.connect(self._foot.fault)
        bench.changed.connect(self._refresh_shared)
        bench.page_wanted.connect(self.show_page)
        bench.take_in_wanted.connect(self._take_in)
        bench.foray_chosen.connect(lambda _: self._refresh_shared(None))
        bench.preferences_changed.connect(self._on_preferences)
        self.intake.progressed.connect(self._foot.show_progress)
        self.intake.ended.connect(self._foot.end_progress)
        self._foot.stop_wanted.connect(self.intake.stop)
        self._foot.log_wanted.connect(self.show_what_happened)
        self.intake.finished.connect(self._on_report)
        self._first_steps.take_in.connect(self.intake.ask_folder)
        self._first_steps.closed.connect(self._hide_first_steps)

    def show_page(self, key: str) -> None:
        """Bring a page to the front."""
        page = self.pages[key]
        self.header.set_chosen(key)
        self._stack.setCurrentWidget(page)
        self._caution.setVisible(not page.own_caution)
        page.enter()

    def go_on(
        self, pictures: Path | None = None, begun: Callable[[UnitOfWork, str], object] | None = None
    ) -> None:
        """Go on where the user stopped: the foray taken in last.

        An empty catalogue takes in `pictures`; `begun(work, foray_id)` then does what was done before.
        """

        def latest(work: UnitOfWork) -> str:
            forays = work.forays.all()
            return forays[-1].id if forays else ""

        def taken(report: IntakeReport) -> None:
            self.intake.finished.disconnect(taken)
            if begun is not None and report.taken:
                self.bench.do("What was done before", lambda work: begun(work, report.foray_id))

        def open_it(foray_id: str) -> None:
            if foray_id:
                self.bench.choose_foray(foray_id)
                self.intake.hash_on()
                QTimer.singleShot(60_000, self, lambda: copy_when_due(self.bench))
            elif pictures is not None:
                self.intake.finished.connect(taken)
                self.intake.start([str(pictures)])

        self.bench.read(latest, open_it)

    def _take_in(self, places: list[str], foray_id: str) -> None:
        """A page asks for pictures or a track."""
        if places:
            self.intake.start(places, foray_id=foray_id)
        else:
            self.intake.ask_folder()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Folders and files of pictures may be dropped anywhere."""
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Take in what was dropped."""
        places = [url.toLocalFile() for url in event.mimeData().urls() if url.isLocalFile()]
        if places:
            event.acceptProposedAction()
            QTimer.singleShot(0, lambda: self.intake.offer(places))

    def closeEvent(self, event: QCloseEvent) -> None:
        """Everything is saved already; only the queues have to end."""
        self.intake.stop()
        for account in self._accounts:
            account.close()
        self.bench.close()
        event.accept()

    def show_where_from(self) -> None:
        """Open the list of sources."""
        WhereFrom(self.bench, self).open()

    def show_what_happened(self) -> None:
        """Open the log."""
        WhatHappened(self.bench, self).open()

    def _on_report(self, report: IntakeReport) -> None:
        self._last_report = report
        self._foot.say(report_sentence(report))
        self.show_page("sort")
        if report.refused or report.known or report.not_reached or not (report.taken or report.tracks):
            self._show_account()

    def _show_account(self) -> None:
        if self._last_report is None:
            self._foot.say("Nothing has been taken in since the program was opened.")
            return
        dialog = IntakeAccount(self._last_report, self)
        self._accounts.append(dialog)
        dialog.destroyed.connect(lambda _=None, d=dialog: self._accounts.remove(d))
        dialog.show()

    def show_preferences(self) -> None:
        """Open the preferences."""
        show_preferences(self.bench, self)

    def show_upkeep(self) -> None:
        """Open safety copies and the check."""
        UpkeepDialog(self.bench, self).open()

    def _open_foray(self, foray_id: str) -> None:
        self.bench.choose_foray(foray_id)
        self.show_page("sort")

    def _set_theme(self, key: Theme) -> None:
        self.bench.set_preferences(replace(self.bench.preferences, theme=key))

    def _on_preferences(self, _: object) -> None:
        app = QApplication.instance()
        if isinstance(app, QApplication):
            theme.apply(app, self.bench.preferences.theme)
        for page in self.pages.values():
            page.mark_stale()

    def _show_first_steps(self) -> None:
        self._first_steps.show()
        self.bench.set_preferences(replace(self.bench.preferences, first_steps=True))

    def _hide_first_steps(self) -> None:
        self._first_steps.hide()
        self.bench.set_preferences(replace(self.bench.preferences, first_steps=False))

    def _refresh_shared(self, changed: Changed | None) -> None:
        if changed is not None and not changed.touches(
            "tasks", "specimens", "joins", "same_as", "groups", "forays"
        ):
            return
        foray_id = self.bench.foray_id

        def show(facts: WindowFacts) -> None:
            self._waiting.show_tasks(facts.waiting)
            self.header.set_waiting("sort", f"{facts.to_settle} to settle" if facts.to_settle else "")
            specimens = counted(facts.specimens, "specimen") if facts.specimens else ""
            self.header.set_waiting("catalogue", specimens)
            parts = [part for part in (facts.title, self._title) if part]
            self.setWindowTitle(" – ".join(["Foray Bench", *parts]))

        self.bench.read(lambda work: read_window(work, foray_id), show)
