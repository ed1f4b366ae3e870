"""References made ready for weighing, each of them once; what takes long is kept for the next day."""

from __future__ import annotations

from catalog_gui.lookalikes.prepared import PreparedReference, arrays_of
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.workflows.ports import Calibrations

_REMEMBERED = 2


class PreparedReferences:
    """Prepares references and remembers the last ones. Not for the GUI thread: the first call takes a while.

    `kept` finds and keeps calibrations; without it they are made anew every day.
    """

    def __init__(self, kept: Calibrations | None = None) -> None:
        self._kept = kept
        self._last: tuple[PreparedReference, ...] = ()

    def __call__(self, reference: Reference) -> PreparedReference:
        """Give the reference made ready; the same object again for the same reference."""
        for one in self._last:
            if one.reference is reference:
                return one
        made = self._prepare(reference)
        self._last = (made, *self._last)[:_REMEMBERED]
        return made

    def _prepare(self, reference: Reference) -> PreparedReference:
        arrays = arrays_of(reference)
        if self._kept is None:
            return arrays.with_bars(arrays.calibrated())
        key = arrays.key
        calibration = self._kept.find(key)
        if calibration is None:
            calibration = arrays.calibrated()
            self._kept.keep(key, calibration)
        return arrays.with_bars(calibration)
