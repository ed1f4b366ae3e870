"""Remakes the pictures of the README from the real window on the demo foray.

    python -m resources.make_screenshots              into resources/docs/images
    python -m resources.make_screenshots --into /tmp/look --all   every page, both themes, both sizes

Runs offscreen where no display is given. The animation shows the first minute: the trail, a doubtful join,
the entry line of Describe, the banner of Compare, the sheet.
"""

from __future__ import annotations

import argparse
import io
import os
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

if not os.environ.get("DISPLAY") and not os.environ.get("WAYLAND_DISPLAY"):
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PIL import Image
from PySide6.QtCore import QBuffer, QEventLoop, QIODevice, Qt, QTimer
from PySide6.QtGui import QPixmap
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit

from catalog_gui.app import build_window
from catalog_gui.domain.foray import Foray
from catalog_gui.domain.specimen import Specimen
from catalog_gui.jobs.worker_queue import WorkerQueue
from catalog_gui.views.intake import IntakeAccount
from catalog_gui.views.main_window import MainWindow

HERE = Path(__file__).resolve().parent
SIZES = ((1366, 768), (1920, 1080))
PAGES = ("sort", "describe", "compare", "outputs", "catalogue")
FIND = "2025-001"
UNDUG = "2025-006"
WIDTH = 960


def spin(milliseconds: int) -> None:
    """Let events run."""
    loop = QEventLoop()
    QTimer.singleShot(milliseconds, loop.quit)
    loop.exec()


def until(condition: Callable[[], object], seconds: float = 60) -> None:
    """Let events run until something holds."""
    begun = time.monotonic()
    while not condition():
        if time.monotonic() - begun > seconds:
            raise TimeoutError("the window did not get there")
        spin(20)


def settle(window: MainWindow) -> None:
    """Wait until nothing is read, decoded or drawn any longer."""
    quiet = 0
    while quiet < 4:
        spin(80)
        busy = any(lane.busy for lane in window.findChildren(WorkerQueue)) or any(
            lane.busy
            for lane in (
                *window.bench.findChildren(WorkerQueue),
                *window.bench.pictures.findChildren(WorkerQueue),
            )
        )
        quiet = 0 if busy else quiet + 1
    spin(250)


def demo(application: QApplication, place: Path, theme: str, size: tuple[int, int]) -> MainWindow:
    """The demo as it opens, with its part of the evening done."""
    window = build_window(
        application, folder=str(place / "demo"), demo=True, theme=theme, preferences_file=place / "p.json"
    )
    window.resize(*size)
    window.show()
    forays: list[Foray] = []

    def begun() -> bool:
        window.bench.read(lambda work: work.forays.all(), forays.extend)
        spin(100)
        return any(foray.site for foray in forays)

    until(begun)
    for account in window.findChildren(IntakeAccount):
        account.close()
    settle(window)
    return window


def choose(window: MainWindow, number: str) -> None:
    """Make the specimen of that number the current one."""
    found: list[Specimen] = []
    window.bench.read(lambda work: work.specimens.where(number=number), found.extend)
    until(lambda: found)
    window.bench.choose_specimen(found[0].id)
    settle(window)


def show(window: MainWindow, page: str) -> QPixmap:
    """Bring a page to the front and take its picture."""
    window.show_page(page)
    settle(window)
    return window.grab()


def still_pictures(application: QApplication, into: Path, *, everything: bool) -> None:
    """One picture a page; with `everything` in both themes and sizes."""
    wanted = [(theme, size) for theme in ("light", "dark") for size in (SIZES if everything else SIZES[:1])]
    for theme, size in wanted:
        with tempfile.TemporaryDirectory() as place:
            window = demo(application, Path(place), theme, size)
            for page in PAGES:
                if theme == "dark" and page != "sort" and not everything:
                    continue
                choose(window, UNDUG if page == "compare" else FIND)
                suffix = f"-{size[0]}" if everything else ""
                show(window, page).save(str(into / f"{page}-{theme}{suffix}.png"))
            window.close()


def frame(window: MainWindow) -> Image.Image:
    """The window as a small picture."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    window.grab().save(buffer, "PNG")
    picture = Image.open(io.BytesIO(buffer.data().data())).convert("RGB")
    return picture.resize((WIDTH, picture.height * WIDTH // picture.width), Image.Resampling.LANCZOS)


def animation(application: QApplication, into: Path) -> None:
    """The first minute as an animated GIF."""
    frames: list[tuple[Image.Image, int]] = []
    with tempfile.TemporaryDirectory() as place:
        window = demo(application, Path(place), "light", SIZES[0])

        def take(milliseconds: int) -> None:
            settle(window)
            frames.append((frame(window), milliseconds))

        window.show_page("sort")
        take(1800)
        sort = window.pages["sort"]
        sort.next_doubtful()  # type: ignore[attr-defined]
        take(1800)
        choose(window, UNDUG)
        window.show_page("describe")
        take(1500)
        line = window.pages["describe"].findChild(QLineEdit, "entry-line")
        if line is not None:
            line.setFocus()
            for letters in ("vol", " s"):
                QTest.keyClicks(line, letters)
                take(500)
            QTest.keyClick(line, Qt.Key.Key_Escape)
        window.show_page("compare")
        take(2600)
        choose(window, FIND)
        window.show_page("describe")
        take(1800)
        window.show_page("outputs")
        take(2200)
        window.close()
    palette = frames[0][0].quantize(128, method=Image.Quantize.MEDIANCUT)
    pictures = [
        picture.quantize(128, palette=palette, dither=Image.Dither.FLOYDSTEINBERG) for picture, _ in frames
    ]
    pictures[0].save(
        into / "first-minute.gif",
        save_all=True,
        append_images=pictures[1:],
        duration=[milliseconds for _, milliseconds in frames],
        loop=0,
        optimize=True,
    )


def main() -> None:
    """Read the options and make the pictures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--into", type=Path, default=HERE / "docs" / "images")
    parser.add_argument(
        "--all", action="store_true", help="every page, both themes, both sizes; no animation"
    )
    options = parser.parse_args()
    options.into.mkdir(parents=True, exist_ok=True)
    application = QApplication([])
    still_pictures(application, options.into, everything=options.all)
    if not options.all:
        animation(application, options.into)


if __name__ == "__main__":
    main()
