"""Chooses a round length for the bar on a picture."""

from __future__ import annotations


def nice_length_mm(most_mm: float) -> float:
    """The longest of 1, 2 and 5 times a power of ten that is at most `most_mm` (above 0)."""
    power = 1.0
    while power > most_mm:
        power /= 10.0
    while power * 10.0 <= most_mm:
        power *= 10.0
    return next(power * step for step in (5.0, 2.0, 1.0) if power * step <= most_mm)
