"""How long the GUI thread is held on the Catalogue page at 10,000 specimens and 100,000 photos.

Run: `python -m tests.benchmarks.catalogue.bench_page [FOLDER]` (offscreen unless QT_QPA_PLATFORM is set);
FOLDER keeps the generated catalogue for the next run. A timer of 2 ms runs in the GUI thread; the longest gap
between two ticks, less the timer's own 2 ms, is how long the event loop was held (`bench_event_loop.Watch`).
Beside it stands the GUI thread's own processor time between two ticks, which no other program lengthens.
Aim: never over 50 ms, and rows in sight filled within 100 ms of a search. The reference for holds is the idle
event loop of the same run; for the start, the same window over an empty catalogue.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QEventLoop, QTimer
from PySide6.QtWidgets import QApplication

from catalog_gui.app import build_window
from catalog_gui.itemmodels.found_table import PAGE
from catalog_gui.views.catalogue.found_list import rows_in_sight
from catalog_gui.views.catalogue.front import LIST, PICTURES, PLAN
from catalog_gui.views.catalogue.page import CataloguePage
from tests.benchmarks.catalogue.bench_speed import SEARCHES
from tests.benchmarks.evening.bench_event_loop import Watch, spin
from tests.simulated.catalogue import generate

START = """
import json, os, sys, time
begun = time.perf_counter()
from pathlib import Path
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from catalog_gui.app import build_window
application = QApplication([])
window = build_window(application, folder=sys.argv[1], preferences_file=Path(sys.argv[1] + ".json"))
window.resize(1366, 768)
window.show()
window.show_page("catalogue")
page = window.pages["catalogue"]
def look():
    if page.reader.text is None:
        return
    window.grab()
    print(json.dumps([time.perf_counter() - begun, time.process_time()]))
    sys.stdout.flush()
    os._exit(0)
timer = QTimer()
timer.timeout.connect(look)
timer.start(1)
application.exec()
"""


def start_s(folder: Path, rounds: int = 3) -> tuple[float, float]:
    """From the process's first line to the painted first page of the Catalogue: seconds, and processor seconds.

    Each the best of `rounds`.
    """
    told = [
        json.loads(
            subprocess.run(
                [sys.executable, "-c", START, str(folder)], capture_output=True, text=True, check=True
            ).stdout
        )
        for _ in range(rounds)
    ]
    return min(wall for wall, _ in told), min(cpu for _, cpu in told)


class OwnWatch(Watch):
    """Also notes the GUI thread's own processor time between two ticks: a hold that no other program causes."""

    def __init__(self) -> None:
        super().__init__()
        self._own = 0.0
        self.own: list[float] = []
        self._timer.timeout.connect(self._note)

    def start(self) -> None:
        """Begin anew."""
        self.own, self._own = [], time.thread_time()
        super().start()

    def _note(self) -> None:
        now = time.thread_time()
        self.own.append((now - self._own) * 1e3)
        self._own = now

    def told(self) -> str:
        """The longest hold, and how much of any hold was our own work."""
        held = self.stop()
        return f"{held:6.1f} ms, own work at most {max(self.own, default=0.0):5.1f} ms"


def until(condition: Callable[[], bool], limit_s: float = 30.0) -> float:
    """Wait in the event loop; seconds waited."""
    begun = time.perf_counter()
    while not condition() and time.perf_counter() - begun < limit_s:
        loop = QEventLoop()
        QTimer.singleShot(1, loop.quit)
        loop.exec()
    return time.perf_counter() - begun


def filled(page: CataloguePage) -> bool:
    """Whether every row in sight has come."""
    view = page.album if page.view == PICTURES else page.table
    first, last = rows_in_sight(view)
    return not page.model.missing(first, last)


def scroll(page: CataloguePage, watch: OwnWatch, *, steps: int = 150) -> tuple[str, float, float]:
    """Turn the wheel through the whole list; longest hold and share of looks at empty rows, and a jump's wait."""
    view = page.album if page.view == PICTURES else page.table
    bar = view.verticalScrollBar()
    bar.setValue(0)
    spin(300)
    empty = 0
    watch.start()
    for _ in range(steps):
        bar.setValue(bar.value() + 3 * 28)  # three rows a notch, 60 notches a second
        spin(16)
        empty += not filled(page)
    for step in range(40):  # dragged from end to end
        bar.setValue(round(bar.maximum() * (step + 1) / 40))
        spin(16)
    held = watch.told()
    until(lambda: filled(page))
    bar.setValue(bar.maximum() // 2)
    return held, empty / steps, until(lambda: filled(page))


def main(folder: str = "") -> None:
    """Print start, first pages, and the longest holds."""
    with tempfile.TemporaryDirectory() as scratch:
        place = Path(folder or scratch) / "large"
        if not (place / "catalogue.sqlite").exists():
            begun = time.perf_counter()
            generate(place).close()
            print(f"generated within {time.perf_counter() - begun:.0f} s")
        start_s(Path(scratch) / "empty", 1)
        empty, large = start_s(Path(scratch) / "empty"), start_s(place)
        for kind, one, other in zip(("", "processor "), empty, large, strict=True):
            print(
                f"start to the first page, {kind}time: empty {one:.2f} s, 10,000 specimens {other:.2f} s:"
                f" {other - one:+.2f} s   (aim: at most +0.50)"
            )
        application = QApplication([])
        window = build_window(application, folder=str(place), preferences_file=Path(scratch) / "p.json")
        window.resize(1366, 768)
        window.show()
        window.show_page("catalogue")
        page = window.pages["catalogue"]
        assert isinstance(page, CataloguePage)
        until(lambda: page.model.rowCount() > PAGE)
        spin(3000)  # the foray that Sort shows is read too
        watch = OwnWatch()
        watch.start()
        spin(2000)
        print(f"idle event loop, longest hold            {watch.told()}")
        for name, view in (("list", LIST), ("pictures", PICTURES)):
            page.show_view(view)
            spin(800)
            held, seen_empty, jump = scroll(page, watch)
            print(f"scrolling the {name:9} longest hold      {held}   (aim: at most 50)")
            print(
                f"  empty rows seen in {seen_empty:.1%} of the looks; a jump is filled within {jump * 1000:.0f} ms"
            )
        page.show_view(LIST)
        waits: dict[str, float] = {}
        work: dict[str, float] = {}
        watch.start()
        for text in SEARCHES:
            page.reader.forget()
            page.search_for(text)
            used = time.process_time()
            waits[text] = until(lambda text=text: page.reader.text == text)  # type: ignore[misc]
            work[text] = time.process_time() - used
            spin(150)
        held = watch.told()
        print(f"{len(waits)} searches, longest hold              {held}   (aim: at most 50)")
        for kind, taken in (("time", waits), ("processor time", work)):
            slowest = max(taken, key=lambda text: taken[text])
            print(
                f"  slowest first page on the screen, {kind}: {taken[slowest] * 1000:.0f} ms: {slowest!r} (aim: 100)"
            )
        page.search_for("")
        watch.start()
        for column in (0, 1, 2, 3, 1):
            page.order_by(column)
            spin(300)
        print(f"ordering by heads, longest hold          {watch.told()}")
        watch.start()
        page.show_view(PLAN)
        spin(800)
        laying = watch.told()
        watch.start()
        for step in range(60):
            page.plan.zoom(1.1 if step < 30 else 1 / 1.1, page.plan.rect().center().toPointF())
            spin(16)
        print(f"plan of 10,000, longest hold             {laying} laying out, {watch.told()} zooming")
        window.close()


if __name__ == "__main__":
    main(*sys.argv[1:])
