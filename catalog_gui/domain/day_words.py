"""Days as the user likes them written, on screens and papers alike; months in English whatever the machine speaks."""

from __future__ import annotations

import re
from datetime import date

USUAL = "d MMMM yyyy"
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
    "November", "December",
)  # fmt: skip
SHORT_MONTHS = tuple(name[:3].casefold() for name in MONTHS)
"""'jan' to 'dec', as the states of the season are called and as people shorten them."""

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")

_FIELD = re.compile(r"'([^']*)'|d{1,4}|M{1,4}|yyyy|yy")


def write_day(day: date, pattern: str = USUAL) -> str:
    """The day by a pattern of d, dd, ddd, dddd, M, MM, MMM, MMMM, yy, yyyy and words in quotes.

    The letters mean what they mean in Unicode's date field symbols (UTS 35) and in Qt. A pattern that does
    not name the day, the month and the year is not used: the day would not be known from it.
    """
    if not {"d", "M", "y"} <= {found.group()[0] for found in _FIELD.finditer(pattern)}:
        pattern = USUAL

    month, weekday = MONTHS[day.month - 1], DAYS[day.weekday()]
    fields = {
        "d": f"{day.day}",
        "dd": f"{day.day:02}",
        "ddd": weekday[:3],
        "dddd": weekday,
        "M": f"{day.month}",
        "MM": f"{day.month:02}",
        "MMM": month[:3],
        "MMMM": month,
        "yy": f"{day.year % 100:02}",
        "yyyy": f"{day.year:04}",
    }
    return _FIELD.sub(lambda found: fields.get(found.group(), found.group(1) or ""), pattern)
