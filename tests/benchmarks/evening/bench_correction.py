"""From the key press to the trail that shows a correction, beside a whole proposal in the same run.

Run: `python -m tests.benchmarks.evening.bench_correction [COUNT ...]` (1000 2000 10000 by default; offscreen
unless QT_QPA_PLATFORM is set). A Sort page over a catalogue on disk holds pictures of the grouping
benchmark's long weekend. Cut, join, lift out, move, the tray, undo and redo are done by key in several places;
printed are the median and the slowest time until the trail shows it, the longest hold of the GUI thread, and
the median divided by the time of `grouping.propose` with its groups, joins and offers. Aims: shown within 150 ms
at 10,000 pictures, the GUI thread never held over 50 ms.
"""

from __future__ import annotations

import itertools
import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QEventLoop, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from catalog_gui import assets
from catalog_gui.catalogue.store import open_catalogue
from catalog_gui.grouping import propose
from catalog_gui.jobs.housekeeping import prepare
from catalog_gui.packs.reader import read_packs
from catalog_gui.settings import Preferences
from catalog_gui.views.bench import Bench
from catalog_gui.views.sort.page import SortPage
from catalog_gui.views.widgets.pictures import PictureSource
from catalog_gui.workflows.import_photos import take_in
from catalog_gui.workflows.ports import Surroundings
from tests.benchmarks.evening.bench_event_loop import Watch, spin
from tests.simulated.forays import long_weekend
from tests.views.plain import PlainPictures
from tests.workflows.conftest import FakeFiles

AIM_MS = 150.0
PLACES = 5


def until(met: Callable[[], bool], *, patience_s: float = 30.0) -> None:
    """Let events run until something holds."""
    loop = QEventLoop()
    watch = QTimer()
    watch.setInterval(1)
    watch.timeout.connect(lambda: loop.quit() if met() else None)
    watch.start()
    QTimer.singleShot(int(patience_s * 1000), loop.quit)
    loop.exec()
    watch.stop()
    assert met()


class Hand:
    """Presses a key and waits until the trail shows what came of it."""

    def __init__(self, bench: Bench, page: SortPage) -> None:
        self.bench, self.page = bench, page
        self.watch = Watch()

    def press(self, act: Callable[[], object]) -> float:
        """ms until the trail was painted anew with another state."""
        before = self.page.state
        begun = time.perf_counter()
        act()
        until(lambda: self.page.state is not before)
        self.page.trail.viewport().repaint()
        took = (time.perf_counter() - begun) * 1e3
        until(lambda: not self.page.slicing and not self.bench.records_queue.busy)
        spin(60)
        return took

    def key(self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> float:
        """`press` for a key on the trail."""
        return self.press(lambda: QTest.keyClick(self.page.trail, key, modifier))


def measure(count: int, place: Path) -> None:
    """Print the lines of one size."""
    outing = long_weekend(count)
    photos = [replace(photo, path=f"/card/{number:06d}.jpg") for number, photo in enumerate(outing.photos)]
    numbers = itertools.count(1)
    surroundings = Surroundings(lambda: datetime.now(UTC), lambda: f"id-{next(numbers):07d}")
    catalogue = open_catalogue(place / f"catalogue-{count}", now=surroundings.now)
    reference = read_packs(assets.reference_pack())
    foray = take_in(
        catalogue, FakeFiles(photos), ["/card"], surroundings, time_zone=outing.time_zone
    ).foray_id
    bench = Bench(
        catalogue.another,
        files=FakeFiles(photos),
        pictures=PictureSource(PlainPictures()),
        reference=reference,
        preferences=Preferences(),
        surroundings=surroundings,
        keep_preferences=lambda _: None,
        close_records=catalogue.close,
    )
    page = SortPage(bench)
    page.resize(1366, 700)
    page.show()
    bench.choose_foray(foray)
    page.enter()
    until(lambda: bool(page.state.rows))
    spin(2500)  # the page looks into the proposal when all is quiet
    until(lambda: not bench.records_queue.busy)
    hand = Hand(bench, page)
    whole: list[float] = []
    for _ in range(3):
        begun = time.perf_counter()
        made = propose(tuple(page.state.photos.values()), time_zone=outing.time_zone)
        assert made.groups
        assert made.joins
        assert made.revisits is not None
        whole.append((time.perf_counter() - begun) * 1e3)
    reference_ms = min(whole)
    print(f"\n{count} pictures, {len(page.state.rows)} groups; a whole proposal takes {reference_ms:.0f} ms")
    took: dict[str, list[float]] = {}
    hand.watch.start()
    for turn in range(PLACES):
        rows = page.state.rows
        near = len(rows) * (turn + 1) // (PLACES + 1)
        row = next(r for r in rows[near:] if len(r.photos) > 3)
        page.trail.choose(row.photos[2].id)
        spin(40)
        took.setdefault("cut", []).append(hand.key(Qt.Key.Key_C))
        took.setdefault("join", []).append(hand.key(Qt.Key.Key_J))
        took.setdefault("undo", []).append(hand.press(bench.undo))
        took.setdefault("redo", []).append(hand.press(bench.redo))
        took.setdefault("lift out", []).append(hand.key(Qt.Key.Key_L))
        took.setdefault("move", []).append(hand.key(Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier))
        took.setdefault("tray", []).append(hand.key(Qt.Key.Key_N))
    hold, worked = hand.watch.stop(), max(hand.watch.worked)
    for name, times in took.items():
        middle = statistics.median(times)
        print(
            f"{name:10s} shown after {middle:6.0f} ms, slowest {max(times):6.0f} ms   "
            f"{middle / reference_ms:5.2f} of a whole proposal"
        )
    print(f"GUI thread: longest hold {hold:.0f} ms, most it worked at once {worked:.0f} ms (aim: at most 50)")
    page.close()
    bench.close()


def main(*counts: int) -> None:
    """Print all sizes."""
    prepare()
    application = QApplication.instance() or QApplication([])
    with tempfile.TemporaryDirectory() as folder:
        for count in counts or (1_000, 2_000, 10_000):
            measure(count, Path(folder))
    print(f"\nAim at 10,000 pictures: shown within {AIM_MS:.0f} ms")
    application.processEvents()


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:]))
