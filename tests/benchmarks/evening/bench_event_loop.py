"""How long the GUI thread is held while pictures are taken in and she scrolls; and how soon a window stands.

Run: `python -m tests.benchmarks.evening.bench_event_loop [COUNT]` (offscreen unless QT_QPA_PLATFORM is set).
A timer of 2 ms runs in the GUI thread; the longest gap between two ticks, less the timer's own 2 ms, is how
long the event loop was held. During the whole take-in, and for ten seconds after it, the trail is scrolled
by a page a tick of another timer, pages are changed, and groups are cut and joined. Aim: never over 50 ms.
The reference is an idle event loop with the same timer in the same run. Start: from the process's first
line to a window that has painted its first page, in a process of its own, beside an empty Qt window.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QElapsedTimer, QEventLoop, QObject, Qt, QTimer
from PySide6.QtWidgets import QApplication

from catalog_gui.app import build_window
from tests.benchmarks.evening.bench_first_proposal import many

AIM_MS = 50.0

START = """
import sys, time
begun = time.perf_counter()
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QMainWindow
application = QApplication([])
if sys.argv[1] == "empty":
    window = QMainWindow()
else:
    from pathlib import Path
    from catalog_gui.app import build_window
    window = build_window(application, folder=sys.argv[2], preferences_file=Path(sys.argv[2] + ".json"))
window.show()
def painted():
    window.grab()
    print(time.perf_counter() - begun)
    sys.stdout.flush()
    import os
    os._exit(0)
QTimer.singleShot(0, painted)
application.exec()
"""


class Watch(QObject):
    """Notes the longest holds of the event loop."""

    def __init__(self) -> None:
        super().__init__()
        self._clock = QElapsedTimer()
        self._timer = QTimer(self)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setInterval(2)
        self._timer.timeout.connect(self._tick)
        self.holds: list[float] = []
        self.worked: list[float] = []
        self._cpu = 0.0

    def start(self) -> None:
        """Begin anew."""
        self.holds, self.worked = [], []
        self._cpu = time.thread_time()
        self._clock.start()
        self._timer.start()

    def stop(self) -> float:
        """End; the longest hold in ms."""
        self._timer.stop()
        return max(self.holds, default=0.0)

    def _tick(self) -> None:
        self.holds.append(self._clock.nsecsElapsed() / 1e6 - 2.0)
        now = time.thread_time()
        self.worked.append((now - self._cpu) * 1e3)
        self._cpu = now
        self._clock.restart()


def spin(milliseconds: int) -> None:
    """Let events run."""
    loop = QEventLoop()
    QTimer.singleShot(milliseconds, loop.quit)
    loop.exec()


def start_times(place: Path, rounds: int = 3) -> tuple[float, float]:
    """Seconds to a painted empty window and to ours, best of `rounds`."""
    times: dict[str, list[float]] = {"empty": [], "ours": []}
    for turn in range(rounds):
        for kind, found in times.items():
            said = subprocess.run(
                [sys.executable, "-c", START, kind, str(place / f"start-{turn}")],
                capture_output=True,
                text=True,
                check=True,
            ).stdout
            found.append(float(said))
    return min(times["empty"]), min(times["ours"])


def main(count: int = 1000) -> None:
    """Print the longest holds and the start."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        card = place / "card"
        card.mkdir()
        many(card, count)
        empty, ours = start_times(place)
        application = QApplication([])
        window = build_window(application, folder=str(place / "catalogue"), preferences_file=place / "p.json")
        window.resize(1366, 768)
        window.show()
        spin(500)
        watch = Watch()
        watch.start()
        spin(3000)
        idle = watch.stop()
        trail = window.pages["sort"].trail  # type: ignore[attr-defined]
        pages = list(window.pages)
        turn = 0

        def stir() -> None:
            nonlocal turn
            turn += 1
            bar = trail.verticalScrollBar()
            bar.setValue((bar.value() + trail.viewport().height() // 2) % max(1, bar.maximum()))
            if turn % 25 == 0:
                window.show_page(pages[turn // 25 % len(pages)])
            elif turn % 25 == 5:
                window.show_page("sort")

        stirring = QTimer()
        stirring.setInterval(40)
        stirring.timeout.connect(stir)
        finished: list[object] = []
        window.intake.finished.connect(finished.append)
        watch.start()
        stirring.start()
        window.intake.start([str(card)])
        begun = time.perf_counter()
        while not finished:
            spin(20)
        took = time.perf_counter() - begun
        during, worked_during = watch.stop(), max(watch.worked)
        watch.start()
        spin(10_000)
        after, worked_after = watch.stop(), max(watch.worked)
        stirring.stop()
        holds = sorted(watch.holds)
        window.close()
    print(f"{count} pictures of 12 MP taken in within {took:.2f} s")
    print(f"idle event loop, longest hold           {idle:7.1f} ms")
    print(f"during the take-in, longest hold        {during:7.1f} ms   (aim: at most {AIM_MS:.0f})")
    print(f"    most the GUI thread worked at once  {worked_during:7.1f} ms")
    print(f"scrolling and turning pages after it    {after:7.1f} ms   (aim: at most {AIM_MS:.0f})")
    print(f"    most the GUI thread worked at once  {worked_after:7.1f} ms")
    print(f"99.9 % of the ticks after it            {holds[int(len(holds) * 0.999)]:7.1f} ms")
    print(f"start to an empty window                {empty:7.2f} s")
    print(f"start to our window, painted            {ours:7.2f} s   ratio {ours / empty:.1f}")


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:]))
