"""Reads and says corrections of clocks: what is typed, what a clock in a picture shows, how far it is wrong."""

from __future__ import annotations

import re
from datetime import datetime, time, tzinfo

from catalog_gui.domain.foray import Clock
from catalog_gui.domain.problem import BadInput
from catalog_gui.presenting.words import offset_words


def read_correction(text: str) -> float:
    """Read seconds from what is typed: '+1:00:07', '-0:02', '-38 s', '90'. Raises BadInput."""
    plain = text.strip().replace("−", "-").casefold().replace(" ", "")
    spelt = re.fullmatch(r"([+-]?)(?:(\d+):([0-5]?\d)(?::([0-5]?\d))?|(\d+(?:\.\d+)?)(min|h|d|s)?)", plain)
    if spelt is None:
        raise BadInput(f"'{text}' is not a correction. Write hours, minutes and seconds: +1:00:07, or -38 s.")
    sign, hours, minutes, seconds, number, unit = spelt.groups()
    if hours is not None:
        size = int(hours) * 3600.0 + int(minutes) * 60 + int(seconds or 0)
    else:
        size = float(number) * {"min": 60.0, "h": 3600.0, "d": 86400.0}.get(unit, 1.0)
    return -size if sign == "-" else size


def read_clock_face(text: str) -> tuple[time, bool]:
    """The time that a clock in a picture shows, '14:07:31' or '14:07', and whether it shows seconds."""
    spelt = re.fullmatch(r"\s*([01]?\d|2[0-3])[:.]([0-5]\d)(?:[:.]([0-5]\d))?\s*", text)
    if spelt is None:
        raise BadInput(f"'{text}' is not a time of day. Write what the clock shows: 14:07:31, or 14:07.")
    hours, minutes, seconds = spelt.groups()
    return time(int(hours), int(minutes), int(seconds or 0)), seconds is not None


def offset_plain(seconds: float) -> str:
    """'+1:00:07', as the field expects it."""
    sign = "-" if seconds < 0 else "+"
    whole = round(abs(seconds))
    return f"{sign}{whole // 3600}:{whole % 3600 // 60:02d}:{whole % 60:02d}"


def correction_words(clock: Clock, middle: datetime | None, zone: tzinfo | None) -> str:
    """The correction against the local time of the foray, as people think of a wrong clock."""
    if middle is None:
        return f"UTC is written {offset_words(clock.offset_s)}"
    local = middle.astimezone(zone).utcoffset()
    wrong = clock.offset_s + (local.total_seconds() if local is not None else 0.0)
    if abs(wrong) < 0.5:
        return "right"
    return f"{offset_words(wrong)}"
