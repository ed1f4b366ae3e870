"""Keeping the window prompt while Python threads work beside it."""

from __future__ import annotations

import gc
import sys

from PySide6.QtCore import QObject, QTimer

SWITCH_S = 0.0005
"""How long a worker may hold the interpreter while the GUI thread waits for it. Python's own 5 ms adds up:
painting one page enters the interpreter dozens of times."""

YOUNG = 3000
TIDY_MS = 2_000
SWEEP_EVERY = 300
"""A full sweep every so many tidyings: ten minutes."""


def prepare() -> None:
    """Before anything is built: loading the program makes many objects and no garbage."""
    sys.setswitchinterval(SWITCH_S)
    gc.set_threshold(YOUNG, 1000, 1000)


class Housekeeping(QObject):
    """Spares the window the interpreter's long searches for garbage.

    A foray of 10,000 pictures is a million live objects. Searching them all for rings nobody holds takes
    a few hundred ms, during which every thread stands still, and reading a foray sets such searches off
    again and again although hardly anything is ever found (measured: 100 objects in a session). So only
    young objects are searched; what has lived for two seconds is moved out of sight of the search, and
    everything is looked through once in ten minutes.
    """

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        prepare()
        gc.freeze()
        self._turns = 0
        self._timer = QTimer(self)
        self._timer.setInterval(TIDY_MS)
        self._timer.timeout.connect(self._tidy)
        self._timer.start()

    def _tidy(self) -> None:
        self._turns += 1
        if self._turns % SWEEP_EVERY == 0:
            gc.unfreeze()
            gc.collect()
        gc.freeze()
