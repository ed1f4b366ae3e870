"""Lengths of things one can see, in the unit the user likes: millimetres or centimetres. Spores stay in µm."""

from __future__ import annotations

CENTIMETRES = "centimetre"
"""The preference's word for centimetres."""
MILLIMETRES = "metric"
"""Its word for millimetres. With any other word figures stay in the unit they were given in."""

_TO_CM = {"mm": ("cm", 0.1), "mm²": ("cm²", 0.01)}
_TO_MM = {"cm": ("mm", 10.0), "cm²": ("mm²", 100.0)}


def shown_unit(unit: str, units: str) -> tuple[str, float]:
    """The unit to show a figure of `unit` in, and by what to multiply it; anything else stays as it is."""
    turned = {CENTIMETRES: _TO_CM, MILLIMETRES: _TO_MM}.get(units, {})
    return turned.get(unit, (unit, 1.0))


def shown_size(low: float | None, high: float | None, unit: str, units: str) -> str:
    """'40–65 mm' or '4–6.5 cm'; '' without figures. A ratio has no unit."""
    ends = [end for end in (low, high) if end is not None]
    if not ends:
        return ""
    unit, factor = shown_unit(unit, units)
    figures = list(dict.fromkeys(_short(end * factor) for end in ends))
    return f"{'–'.join(figures)} {'' if unit == 'ratio' else unit}".strip()


def _short(value: float) -> str:
    return f"{value:.4g}" if abs(value) < 10_000 else f"{value:.0f}"
