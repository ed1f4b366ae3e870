"""Sizes as people type them ('45-60', '4.5–6 cm', '8–10 × 6 µm'), brought into the unit of a feature."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from catalog_gui.domain.problem import BadInput

_MM = {"m": 1000.0, "cm": 10.0, "mm": 1.0, "µm": 0.001}
_SPELLINGS = {"um": "µm", "μm": "µm", "mu": "µm", "micron": "µm", "microns": "µm"}

_NUMBER = r"\d+(?:[.,]\d+)?"
_UNIT = r"(?:mm|cm|µm|μm|um|microns?|mu|m)\b"
_RANGE = rf"({_NUMBER})(?:\s*(?:-|–|—|−|to|bis)\s*({_NUMBER}))?\s*({_UNIT})?"
_SIZE = re.compile(rf"^(?P<words>[^\d]*?)\s*{_RANGE}(?:\s*(?:x|×|\*|by)\s*{_RANGE})?\s*$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Span:
    """A typed range; `low` and `high` are equal for a single value. `unit` is '' where none was typed."""

    low: float
    high: float
    unit: str = ""


def read_size(text: str) -> tuple[str, tuple[Span, ...]] | None:
    """The words before the figures, and one range, or two where length × width was typed.

    None when the text holds no figures in this form. A unit typed once at the end counts for both ranges.
    """
    found = _SIZE.match(text.strip())
    if found is None:
        return None
    _, low, high, unit, low2, high2, unit2 = found.groups()
    unit, unit2 = _plain(unit), _plain(unit2)
    if low2 is None:
        return found["words"].strip(), (_span(low, high, unit),)
    return found["words"].strip(), (
        _span(low, high, unit or unit2),
        _span(low2, high2, unit2 or unit),
    )


def in_unit(value: float, unit: str, wanted: str) -> float:
    """`value` of `unit` in `wanted` (mm, cm, m, µm; 'ratio' and '' only into themselves).

    An empty `unit` means it is in the wanted one already. Raises BadInput for what cannot be converted.
    """
    unit = _plain(unit)
    if not math.isfinite(value):
        raise BadInput("That is not a number that can be measured.")
    if not unit or unit == wanted:
        return value
    if unit not in _MM or wanted not in _MM:
        raise BadInput(f"'{unit}' does not fit here: this is given in {wanted or 'plain numbers'}.")
    return round(value * _MM[unit] / _MM[wanted], 9)


def size_words(low: float | None, high: float | None, unit: str) -> str:
    """'45–60 mm', '8 µm', 'Q 1.4'; '' without figures."""
    if low is None:
        return ""
    high = low if high is None else high
    words = _short(low) if math.isclose(low, high) else f"{_short(low)}–{_short(high)}"
    return words if unit in {"", "ratio"} else f"{words} {unit}"


def _plain(unit: str | None) -> str:
    folded = (unit or "").strip().casefold()
    return _SPELLINGS.get(folded, folded)


def _span(low: str, high: str | None, unit: str) -> Span:
    first = float(low.replace(",", "."))
    second = float(high.replace(",", ".")) if high else first
    return Span(min(first, second), max(first, second), unit)


def _short(value: float) -> str:
    return f"{value:.4g}" if abs(value) < 10000 else f"{value:.0f}"
