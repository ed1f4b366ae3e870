"""Calibrations kept from one day to the next, as plain JSON, each under the key of the tables it was made for."""

from __future__ import annotations

import json
import math
from contextlib import suppress
from itertools import pairwise
from pathlib import Path

from catalog_gui.durable import write_whole
from catalog_gui.lookalikes.calibration import Calibration

_MOST_KEPT = 8
_DIGITS = frozenset("0123456789abcdef")


class KeptCalibrations:
    """A folder beside the pack. What cannot be read or written is made anew: nothing is lost by it."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def find(self, key: str) -> Calibration | None:
        """Give the calibration kept under this key; None where there is none that makes sense."""
        try:
            said = json.loads(self._path(key).read_text("utf-8"))
            if said["key"] != key:
                return None
            records, bars = ([float(one) for one in said[name]] for name in ("records", "bars"))
        except (OSError, ValueError, TypeError, KeyError, RecursionError):
            return None
        ascending = all(a < b for a, b in pairwise(records))
        if not records or len(records) != len(bars) or not ascending:
            return None
        if not all(map(math.isfinite, (*records, *bars))) or min(bars) <= 0:
            return None
        return Calibration(tuple(records), tuple(bars))

    def keep(self, key: str, calibration: Calibration) -> None:
        """Keep a calibration for the next time, whole or not at all; the oldest of many go."""
        if not all(map(math.isfinite, calibration.bars)):
            return
        said = {"key": key, "records": calibration.records, "bars": calibration.bars}
        with suppress(OSError):
            self._folder.mkdir(parents=True, exist_ok=True)
            write_whole(self._path(key), json.dumps(said).encode(), flush=False)
            for old in sorted(self._folder.glob("*.json"), key=lambda path: -path.stat().st_mtime)[
                _MOST_KEPT:
            ]:
                old.unlink(missing_ok=True)

    def _path(self, key: str) -> Path:
        if not key or not set(key) <= _DIGITS:
            raise ValueError("A key has hexadecimal digits only.")
        return self._folder / f"{key}.json"
