"""References made ready for weighing, each of them once."""

from __future__ import annotations

from catalog_gui.lookalikes.prepared import PreparedReference, prepare
from catalog_gui.lookalikes.reference import Reference

_REMEMBERED = 2


class PreparedReferences:
    """Prepares references and remembers the last ones. Not for the GUI thread: the first call takes a while."""

    def __init__(self) -> None:
        self._last: tuple[PreparedReference, ...] = ()

    def __call__(self, reference: Reference) -> PreparedReference:
        """Give the reference made ready; the same object again for the same reference."""
        for one in self._last:
            if one.reference is reference:
                return one
        made = prepare(reference)
        self._last = (made, *self._last)[:_REMEMBERED]
        return made
