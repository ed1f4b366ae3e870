"""Keeps the window prompt while Python threads work beside it."""

from __future__ import annotations

import gc
import sys

from PySide6.QtCore import QObject, QTimer

SWITCH_S = 0.0005
"""How long a worker may hold the interpreter while the GUI thread waits for it. Python's own 5 ms adds up:
painting one page enters the interpreter dozens of times."""

SWEEP_MS = 600_000


def prepare() -> None:
    """Before anything is built: workers give way quickly, and no search for garbage begins by itself."""
    sys.setswitchinterval(SWITCH_S)
    gc.disable()


class Housekeeping(QObject):
    """Does the interpreter's searches for garbage in the GUI thread, and seldom.

    A foray of 10,000 pictures is a million live objects. Searching them all for rings nobody holds takes
    a few hundred ms, during which every thread stands still, and reading a foray sets such searches off
    again and again although hardly anything is ever found (measured: 100 objects in a session). A search
    that begins in a worker is worse than slow: it may destroy a dropped widget or timer there, and Qt
    objects must end in the GUI thread. So what came since the last time is looked through here, once in
    ten minutes, and then left alone.
    """

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        prepare()
        gc.freeze()
        self._timer = QTimer(self)
        self._timer.setInterval(SWEEP_MS)
        self._timer.timeout.connect(self._sweep)
        self._timer.start()

    def _sweep(self) -> None:
        gc.collect()
        gc.freeze()
