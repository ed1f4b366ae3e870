"""Printing directly, and opening what was saved or its folder."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader
from PySide6.QtCore import QObject, QUrl, Slot
from PySide6.QtGui import QDesktopServices
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QMessageBox, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from catalog_gui.domain.last_look import LastLook
from catalog_gui.domain.ledger import HandedOn
from catalog_gui.domain.page import A4_MM, LETTER_MM, Paper, Text, Weight
from catalog_gui.domain.problem import BadInput, Cancelled
from catalog_gui.views.bench import Bench
from catalog_gui.views.outputs.hand_over import HandOver
from catalog_gui.views.outputs.page import HandOnPage
from catalog_gui.views.outputs.painter import write_pdf
from catalog_gui.views.outputs.printing import print_papers
from catalog_gui.workflows.publish.order import FILES, Kind

PATIENCE = 60_000


def printer_into(target: Path) -> QPrinter:
    """A printer whose paper tray is a file."""
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(target))
    return printer


def words_on(path: Path) -> list[str]:
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not installed")
    told = subprocess.run(
        ["pdftotext", "-layout", str(path), "-"], capture_output=True, check=True, text=True
    )
    return told.stdout.split()


@pytest.mark.parametrize("size", [A4_MM, LETTER_MM])
def test_the_printer_gets_the_pages_of_the_pdf(
    size: tuple[float, float], fonts: object, tmp_path: Path
) -> None:
    lines = tuple(Text(f"line {n}") for n in range(90))
    papers = [Paper("p", (Text("Head", Weight.TITLE), *lines), size), Paper("q", (Text("Second"),), size)]
    done: list[int] = []
    pages = print_papers(iter(papers), printer_into(tmp_path / "printed.pdf"), progress=done.append)
    assert pages == write_pdf(papers, tmp_path / "saved.pdf", title="p")
    assert done == [1, 2]
    printed = PdfReader(tmp_path / "printed.pdf")
    assert len(printed.pages) == pages
    box = printed.pages[0].mediabox
    assert float(box.width) == pytest.approx(size[0] / 25.4 * 72, abs=1.5)
    assert float(box.height) == pytest.approx(size[1] / 25.4 * 72, abs=1.5)
    assert words_on(tmp_path / "printed.pdf") == words_on(tmp_path / "saved.pdf")


def test_stopping_and_nothing_to_print(fonts: object, tmp_path: Path) -> None:
    paper = Paper("p", (Text("words"),))
    with pytest.raises(Cancelled):
        print_papers([paper], printer_into(tmp_path / "a.pdf"), cancelled=lambda: True)
    with pytest.raises(BadInput, match="nothing to print"):
        print_papers([], printer_into(tmp_path / "b.pdf"))
    with pytest.raises(BadInput, match="printer takes nothing"):
        print_papers([paper], printer_into(tmp_path / "no such folder" / "c.pdf"))


def test_what_was_printed_is_noted(
    page: HandOnPage, bench: Bench, shown: Callable[[], None], qtbot: QtBot, tmp_path: Path
) -> None:
    page.choices.set_kind(Kind.EMERGENCY)
    shown()
    target = tmp_path / "tray.pdf"
    with qtbot.waitSignal(bench.said, timeout=PATIENCE) as said:
        page.hand_over.print_on(printer_into(target))
    assert "1 page" in said.args[0]
    assert len(PdfReader(target).pages) == 1
    kept: list[tuple[HandedOn, ...]] = []
    bench.read(lambda work: work.handed_on.all(), kept.append)
    qtbot.waitUntil(lambda: bool(kept), timeout=PATIENCE)
    (entry,) = kept[0]
    assert entry.what == "Emergency page"
    assert entry.target.startswith("printed on ")
    assert entry.precision == "no place"


def test_ctrl_p_opens_the_printer_s_dialog_and_files_cannot_be_printed(
    page: HandOnPage, shown: Callable[[], None], qtbot: QtBot
) -> None:
    shown()
    button = page.findChild(QPushButton, "hand-on-print")
    assert button is not None
    assert button.isEnabled()
    page.hand_over.ask_printer()
    dialog = page.findChild(QPrintDialog, "hand-on-print-dialog")
    assert dialog is not None
    dialog.reject()
    for kind in sorted(FILES):
        page.choices.set_kind(kind)
        shown()
        assert not button.isEnabled()


class Desktop(QObject):
    """Takes what would have been opened."""

    def __init__(self) -> None:
        super().__init__()
        self.opened: list[str] = []

    @Slot(QUrl)
    def take(self, url: QUrl) -> None:
        self.opened.append(url.toLocalFile())


def test_after_saving_the_file_and_its_folder_can_be_opened(
    page: HandOnPage, bench: Bench, shown: Callable[[], None], qtbot: QtBot, tmp_path: Path
) -> None:
    shown()
    opener, folder = (page.findChild(QWidget, name) for name in ("hand-on-open", "hand-on-folder"))
    assert isinstance(opener, QPushButton)
    assert isinstance(folder, QPushButton)
    assert not opener.isVisible()
    target = tmp_path / "sheet.pdf"
    with qtbot.waitSignal(bench.said, timeout=PATIENCE):
        page.save(target)
    assert opener.isVisible()
    assert folder.isVisible()
    desktop = Desktop()
    QDesktopServices.setUrlHandler("file", desktop, "take")  # type: ignore[arg-type]  # Qt takes the name as text
    try:
        opener.click()
        folder.click()
        assert desktop.opened == [str(target), str(tmp_path)]
        target.unlink()
        with qtbot.waitSignal(bench.trouble, timeout=PATIENCE) as told:
            opener.click()
    finally:
        QDesktopServices.unsetUrlHandler("file")
    assert str(target) in told.args[0]
    assert desktop.opened == [str(target), str(tmp_path)]


def test_words_that_look_like_a_place_are_asked_about_and_nothing_is_written_until_answered(
    page: HandOnPage, bench: Bench, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    said: list[str] = []
    bench.said.connect(said.append)
    page.choices.set_kind(Kind.SLIPS)
    page.choices.tick(None)
    target = tmp_path / "handed" / "slips.pdf"
    target.parent.mkdir()
    hand_over = page.findChild(HandOver)
    assert hand_over is not None
    seen: list[frozenset[str]] = []

    def write(*_: object, look: LastLook | None, **__: object) -> int:
        assert look is not None
        seen.append(look.left_in)
        look.at(["under NY 21683 09305", "near 54.4718263"])
        target.write_bytes(b"%PDF")
        return 1

    monkeypatch.setattr(type(bench.papers), "looking", lambda _, look: look)
    monkeypatch.setattr("catalog_gui.views.outputs.hand_over.write_pdf_in_subprocess", write)

    def ask() -> QMessageBox:
        page.save(target)
        qtbot.waitUntil(lambda: page.findChild(QMessageBox, "places-left") is not None, timeout=60_000)
        box = page.findChild(QMessageBox, "places-left")
        assert isinstance(box, QMessageBox)
        return box

    box = ask()
    assert "'NY 21683 09305', '54.4718263'" in box.text()
    assert box.defaultButton().text() == "Do not write it"
    assert not page.running
    box.defaultButton().click()
    qtbot.waitUntil(lambda: page.findChild(QMessageBox, "places-left") is None, timeout=20_000)
    assert list(target.parent.iterdir()) == []
    assert said[-1] == "Nothing was written."
    box = ask()
    next(one for one in box.buttons() if one.text() == "Leave it in").click()
    qtbot.waitUntil(target.exists, timeout=60_000)
    assert seen == [frozenset(), frozenset(), frozenset({"NY 21683 09305", "54.4718263"})]
