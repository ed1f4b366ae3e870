"""Questions to the catalogue of which only the latest of each kind is answered."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import Any, TypeVar

from catalog_gui.jobs.worker_queue import Ticket
from catalog_gui.views.bench import Bench
from catalog_gui.workflows.ports import Records

T = TypeVar("T")


class Asking:
    """Asks, and forgets what was asked before under the same word."""

    def __init__(self, bench: Bench) -> None:
        self._bench = bench
        self._numbers = itertools.count(1)
        self._asked: dict[str, tuple[int, Ticket[Any]]] = {}

    def ask(self, what: str, question: Callable[[Records], T], show: Callable[[T], None]) -> None:
        """Ask the records; an older question of the same kind is not answered any more."""
        self.forget(what)
        number = next(self._numbers)

        def done(answer: T) -> None:
            if self._asked.get(what, (0,))[0] == number:
                del self._asked[what]
                show(answer)

        self._asked[what] = (number, self._bench.ask(question, done))

    def forget(self, what: str) -> None:
        """Do not answer the question of this kind any more."""
        asked = self._asked.pop(what, None)
        if asked is not None:
            asked[1].withdraw()
