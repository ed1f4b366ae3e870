"""Hands marks over and brings them in: the menu, the questions, and the work beside the GUI."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path, PurePath
from typing import cast

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QFileDialog, QMenu, QMessageBox, QWidget
from shiboken6 import isValid

from catalog_gui.annotation.marks import Mark
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import BadInput
from catalog_gui.jobs.worker_queue import Reporter
from catalog_gui.presenting.canvas.arranging import Captions, arranged, carried
from catalog_gui.presenting.canvas.svg import svg_text
from catalog_gui.views import theme
from catalog_gui.views.bench import Bench
from catalog_gui.views.canvas.burn import burnt, plain
from catalog_gui.views.canvas.ink import text_sizes
from catalog_gui.views.canvas.picture_item import Level
from catalog_gui.workflows import carry_marks
from catalog_gui.workflows.carry_marks import ANNOTATIONS, SIDECAR, MarksRead
from catalog_gui.workflows.ports import MarksOut

PICTURE = "picture"
_FILTERS = {
    PICTURE: "Pictures (*.jpg *.png *.svg)",
    ANNOTATIONS: "Web annotations (*.json *.jsonld)",
    SIDECAR: "Sidecars (*.xmp)",
}
_ENDINGS = {PICTURE: "jpg", ANNOTATIONS: "json", SIDECAR: "xmp"}


class CarryDesk(QObject):
    """Writes the marks of the picture shown to files, and reads them from files."""

    read = Signal(object)  # MarksRead
    written = Signal(str)  # path

    def __init__(self, bench: Bench, window: QWidget) -> None:
        super().__init__(window)
        self._bench = bench
        self._window = window
        self._photo: Photo | None = None
        self._marks: tuple[Mark, ...] = ()
        self._captions: Captions = {}
        self._level: Callable[[], Level | None] = lambda: None
        self._folder: Path | None = None
        self.question: QMessageBox | None = None

    @property
    def files(self) -> MarksOut | None:
        """Who reads and writes files, None where nobody was handed in."""
        return cast("MarksOut | None", getattr(self._bench, "marks_out", None))

    def show(self, photo: Photo | None, level: Callable[[], Level | None]) -> None:
        """Another picture; `level` gives its pixels once they are there."""
        self._photo, self._level = photo, level

    def show_marks(self, marks: Sequence[Mark], captions: Captions) -> None:
        """Its marks, with the words beside them."""
        self._marks, self._captions = tuple(marks), dict(captions)

    def menu(self, parent: QWidget) -> QMenu:
        """What can go out and come in."""
        menu = QMenu(parent)
        menu.setObjectName("canvas-carry-menu")
        for words, kind in (
            ("&Picture with its marks …", PICTURE),
            ("Marks as web &annotations (JSON) …", ANNOTATIONS),
            ("Marks as a &sidecar (XMP) …", SIDECAR),
        ):
            menu.addAction(words).triggered.connect(partial(self._ask_target, kind))
        menu.addSeparator()
        menu.addAction("&Bring marks in …").triggered.connect(self._ask_source)
        return menu

    # --- questions -----------------------------------------------------------------------------

    def _start(self) -> Path:
        papers = self._bench.papers
        return self._folder or (papers.folder if papers is not None else Path.home())

    def _ask_target(self, kind: str, _checked: bool = False) -> None:
        photo, files = self._photo, self.files
        if photo is None or files is None:
            self._bench.said.emit("There is nothing to hand over.")
            return
        name = (
            f"{PurePath(photo.name).stem}-marked.jpg"
            if kind == PICTURE
            else carry_marks.name_for(kind, photo, files)
        )
        dialog = QFileDialog(self._window, "Hand over", str(self._start()), _FILTERS[kind])
        dialog.setObjectName("canvas-carry-dialog")
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setDefaultSuffix(_ENDINGS[kind])
        dialog.selectFile(name)
        # The dialog itself asks before a file is replaced.
        dialog.fileSelected.connect(lambda path: self.save(kind, path, replace=True))
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()

    def _ask_source(self) -> None:
        if self._photo is None or self.files is None:
            self._bench.said.emit("There is no picture to bring marks to.")
            return
        words = "Marks (*.json *.jsonld *.xmp)"
        dialog = QFileDialog(self._window, "Bring marks in", str(self._start()), words)
        dialog.setObjectName("canvas-bring-dialog")
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.fileSelected.connect(self.bring)
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()

    def save(self, kind: str, target: str, *, replace: bool = False, sure: bool = False) -> None:
        """Write to `target`; a place beside the original is asked about first, unless the answer is known (`sure`)."""
        photo = self._photo
        if photo is None or self.files is None:
            return
        if not sure and carry_marks.beside_original(target, photo):
            box = self.question = QMessageBox(
                QMessageBox.Icon.Question,
                "Beside the original?",
                f"{PurePath(target).name} will lie beside the original picture. The picture itself is not "
                "touched.",
                QMessageBox.StandardButton.Save | QMessageBox.StandardButton.Cancel,
                self._window,
            )
            box.setObjectName("canvas-beside-question")

            def answered(button: int) -> None:
                self.question = None
                if button == QMessageBox.StandardButton.Save:
                    self.save(kind, target, replace=replace, sure=True)

            box.finished.connect(answered)
            box.finished.connect(box.deleteLater)
            box.open()
            return
        self._folder = Path(target).parent
        self._write(kind, photo, target, replace=replace)

    # --- work ----------------------------------------------------------------------------------

    def _write(self, kind: str, photo: Photo, target: str, *, replace: bool) -> None:
        files, marks, captions, level = self.files, self._marks, self._captions, self._level()
        if files is None:
            return

        def call(_: Reporter) -> str:
            carry_marks.refuse_original(target, photo)
            if kind == PICTURE:
                if level is None:
                    raise BadInput("The picture itself is not there, only its preview.", path=photo.path)
                _write_picture(files, photo, level, marks, captions, target, replace=replace)
            else:
                carry_marks.carry_out(files, kind, photo, carried(marks), target, replace=replace)
            return target

        def done(path: str) -> None:
            self._bench.said.emit(f"Written: {path}")
            if isValid(self):
                self.written.emit(path)

        self._bench.long_queue.submit(call, done=done, failed=self._failed)

    def bring(self, path: str) -> None:
        """Read marks from a file and hand them on."""
        photo, files = self._photo, self.files
        if photo is None or files is None:
            return
        self._folder = Path(path).parent

        def done(found: MarksRead) -> None:
            if found.problems:
                self._bench.trouble.emit(f"{path}: {' '.join(found.problems)}")
            if isValid(self):
                self.read.emit(found)

        self._bench.long_queue.submit(
            lambda _: carry_marks.read_in(files, path, photo), done=done, failed=self._failed
        )

    def _failed(self, error: Exception) -> None:
        self._bench.fail(error)


def _write_picture(
    files: MarksOut,
    photo: Photo,
    level: Level,
    marks: Sequence[Mark],
    captions: Captions,
    target: str,
    *,
    replace: bool,
) -> None:
    laid = arranged(level.image.width(), level.image.height(), level.scale, marks, captions, text_sizes)
    if PurePath(target).suffix.casefold() == ".svg":
        text = svg_text(laid, files.jpeg(plain(level)), f"{photo.name} with marks", font=theme.SANS)
        files.write_text(target, text, replace=replace)
    else:
        files.write_picture(target, burnt(level, laid), replace=replace)
